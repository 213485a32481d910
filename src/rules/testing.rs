//! What an altered wheel is tested for before it leaves: ring, speed, record; what burst tests say.

use super::context::{Context, at_least, at_most, no_more};
use super::finding::{Addressee, Severity};
use super::limits::LimitKey;
use super::marking::is_agreed;
use super::rule::{Ground, Rule, Ruling};
use super::speed::{MARKED, marked_or};
use crate::properties::speed::{rpm_at, test_rpm};
use crate::quantity::{fixed, trimmed};
use crate::wheel::{Characteristic, designation};

/// Seconds in a minute.
const S_PER_MIN: f64 = 60.0;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "speed-test",
        title: "The speed test after altering",
        text: "Every altered wheel is run faster than its marked maximum, locked in a closed chamber until it stands still: at one and a half times \
               up to 80 m/s, which is two and a quarter times the stress, at 1.4 times up to 120 m/s. Faster wheels are tested as their maker says. A \
               wheel made to EN 12413 with a factor S below 2.25 bursts below one and a half times its speed: its maker is asked first. Only this \
               test proves a wheel. Whoever runs it is trained, and instructed again every six months.",
        hint: "Balance the wheel, run the test, balance it again; keep the record.",
        ground: Ground::Limits(&[
            LimitKey::SpeedTestFactor,
            LimitKey::SpeedTestFactorTo,
            LimitKey::SpeedTestFactorFast,
            LimitKey::SpeedTestFactorFastTo,
        ]),
        heaviest: Severity::Ask,
        judge: test,
    },
    Rule {
        id: "test-hold",
        title: "How long the speed test lasts",
        text: "The wheel stays at test speed for the time the shop's file gives, never nothing. Trade pages give 30 seconds; a shop that holds it \
               shorter is asked why. Inspection refuses a record of a shorter test.",
        hint: "Set speed_test_minutes in the shop's file to at least this.",
        ground: Ground::Limits(&[LimitKey::SpeedTestMinutes, LimitKey::SpeedTestHold]),
        heaviest: Severity::Ask,
        judge: hold,
    },
    Rule {
        id: "test-record",
        title: "The record of the speed test",
        text: "The record names the wheel by its number, the date, the person, the speed, the time and the result. Without all of them no certificate \
               is written.",
        hint: "Fill in every line of the record on the inspection sheet.",
        ground: Ground::Limits(&[LimitKey::TestRecord]),
        heaviest: Severity::Note,
        judge: record,
    },
    Rule {
        id: "ring-bond",
        title: "When the ring test says something",
        text: "A vitrified wheel that is sound rings clear when it is tapped dry, at 45° either side of the vertical, an inch or two inside the rim, \
               then turned by 45° and tapped again. Organic wheels do not ring so; thin wheels and those under 100 mm say nothing either way. Heavy \
               ones stand on a clean hard floor. A dead sound always means: not used.",
        hint: "Where the ring test says nothing, look the wheel over the more carefully; the speed test decides.",
        ground: Ground::Limits(&[LimitKey::RingTestDiameter, LimitKey::RingTestThickness]),
        heaviest: Severity::Note,
        judge: ring,
    },
    Rule {
        id: "thickness-variation",
        title: "The same thickness all round",
        text: "Measured at four points 5 to 10 mm inside the rim, the thickness differs by no more than a limit that grows with the diameter.",
        hint: "Give the parallelism a tolerance of at most this, or let the inspection hold the wheel to it.",
        ground: Ground::Limits(&[LimitKey::ThicknessVariation]),
        heaviest: Severity::Ask,
        judge: thickness,
    },
    Rule {
        id: "burst-factor",
        title: "Burst speed over maximum speed",
        text: "For straight, offset and cutting-off wheels article 8 asks that the lowest burst speed of at least three model wheels lies a factor \
               above the maximum speed: 1.8 for machine grinding that is not rough, at ordinary speed, else 2. Other shapes fall under article 9, \
               which is unread. Burst wheels are samples; an altered wheel is never burst.",
        hint: "Ask the abrasive maker for the burst tests where the wheel is altered much.",
        ground: Ground::Limits(&[LimitKey::BurstFactor, LimitKey::BurstFactorOther]),
        heaviest: Severity::Note,
        judge: burst,
    },
];

fn test(c: &Context<'_>, r: &mut Ruling) {
    let Some(marked) = marked_or(c, r) else { return };
    let Some(factor) = c.shop.test_factor(marked) else {
        let most = c.limits.speed_test_factor_fast_to;
        let question = format!(
            "At which speed does the maker want this wheel tested? It is marked for {} m/s; the factors known here reach to {} m/s.",
            trimmed(marked, 2),
            trimmed(most, 2)
        );
        r.ask(MARKED, question).measured(marked, most, "m/s").by(LimitKey::SpeedTestFactorFastTo).to(Addressee::Shop);
        return;
    };
    let speed = marked * factor;
    let least = test_rpm(c.wheel().outside_diameter, speed);
    let message = format!(
        "Speed test at {least} rpm: {} m/s on the surface, {} times the marked speed.",
        fixed(speed, 2),
        trimmed(factor, 3)
    );
    let is_fast = !no_more(marked, c.limits.speed_test_factor_to);
    let by = if is_fast { LimitKey::SpeedTestFactorFast } else { LimitKey::SpeedTestFactor };
    r.note(MARKED, message).value(rpm_at(c.wheel().outside_diameter, speed), "1/min").by(by);
    if names_en_12413(c) && !is_agreed(c) {
        let question = format!(
            "Does the maker permit a test at {} times the marked speed? A wheel to EN 12413 whose factor S is below {} bursts slower.",
            trimmed(factor, 3),
            trimmed(factor * factor, 3)
        );
        r.ask(MARKED, question).by(by).to(Addressee::Shop);
    }
}

/// Whether marking or restrictions show a wheel made to EN 12413, whose restrictions of use are numbered RE1 and on.
fn names_en_12413(c: &Context<'_>) -> bool {
    let Some(blank) = &c.job.blank else { return false };
    let is_numbered = |t: &str| t.strip_prefix("RE").is_some_and(|n| n.starts_with(|c: char| c.is_ascii_digit()));
    let texts = blank.marking.iter().chain(&blank.restrictions).map(|t| t.to_uppercase());
    texts.into_iter().any(|t| t.contains("12413") || t.split([' ', ',', ';']).any(is_numbered))
}

fn hold(c: &Context<'_>, r: &mut Ruling) {
    let (seconds, published) = (c.limits.speed_test_minutes * S_PER_MIN, c.limits.speed_test_hold);
    if no_more(published, seconds) {
        r.met(MARKED).measured(seconds, published, "s");
        return;
    }
    let question = format!(
        "Why does the shop hold the speed test for only {} s? {} s are published.",
        trimmed(seconds, 1),
        trimmed(published, 1)
    );
    r.ask(MARKED, question).measured(seconds, published, "s").by(LimitKey::SpeedTestHold).to(Addressee::Shop);
}

fn record(_: &Context<'_>, r: &mut Ruling) {
    r.note("/wheel", "The speed test is recorded with the wheel's number, date, person, speed, time and result, or the wheel does not leave.");
}

fn ring(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    let (least_d, least_t) = (c.limits.ring_test_diameter, c.limits.ring_test_thickness);
    let says_nothing = "the ring test says nothing of this wheel";
    if c.read_mark().is_some_and(|m| m.bond.is_organic()) {
        r.note(
            "/blank/marking",
            format!("Its bond is organic, and {says_nothing}: only a dead sound counts, against it."),
        );
    } else if !at_least(wheel.outside_diameter, least_d) {
        let message = format!("At {} across, {says_nothing}.", c.len(wheel.outside_diameter));
        r.note("/wheel/outside_diameter", message).measured(wheel.outside_diameter, least_d, "mm");
    } else if !at_least(wheel.thickness, least_t) {
        let message = format!("At {} thick, {says_nothing}.", c.len(wheel.thickness));
        r.note("/wheel/thickness", message).measured(wheel.thickness, least_t, "mm").by(LimitKey::RingTestThickness);
    } else if c.read_mark().is_none() {
        r.unknown("the order gives no specification mark that can be read, so the bond is not known");
    } else {
        r.met("/wheel/outside_diameter").measured(wheel.outside_diameter, least_d, "mm");
    }
}

fn thickness(c: &Context<'_>, r: &mut Ruling) {
    let d = c.wheel().outside_diameter;
    let most = c.limits.thickness_variation.at(d);
    let field = "/tolerances/parallelism";
    let Some(given) = c.job.tolerances.get(Characteristic::Parallelism).map(|t| t.upper.max(-t.lower)) else {
        let message =
            format!("Inspect: the thickness differs by no more than {} at four points round the rim.", c.len(most));
        r.note(field, message).value(most, "mm");
        return;
    };
    if at_most(given, most) {
        r.met(field).measured(given, most, "mm");
        return;
    }
    let question = format!(
        "May the thickness really differ by {}? {} is usual for a wheel of {}.",
        c.len(given),
        c.len(most),
        c.len(d)
    );
    r.ask(field, question).measured(given, most, "mm");
}

fn burst(c: &Context<'_>, r: &mut Ruling) {
    if designation(c.job).shape == Some(1) {
        r.unknown("the order format has no burst tests; they are the abrasive maker's");
    } else {
        r.absent("article 8 is for straight wheels; the article for other shapes is unread");
    }
}
