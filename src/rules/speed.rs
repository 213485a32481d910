//! Speed: never above what the blank is marked for; what is marked anew.

use super::context::{Context, no_more};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::properties::speed::{marked_rpm, surface_speed};
use crate::quantity::{fixed, trimmed};

pub(super) const MARKED: &str = "/blank/max_operating_speed";
const RPM: &str = "/machine/spindle_rpm";

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "speed-limit",
        title: "No faster than the blank is marked for",
        text: "At the machine's rpm the wheel's surface speed stays within the maximum operating speed marked on the blank. As the wheel \
               wears, the rpm may rise only within it. The program never sets a maximum speed of its own.",
        hint: "Lower the rpm, order a smaller wheel, or take a blank marked for this speed.",
        ground: Ground::Limits(&[LimitKey::SpeedShare]),
        heaviest: Severity::Stop,
        judge: limit,
    },
    Rule {
        id: "marked-rpm",
        title: "The rpm that goes with the marked speed",
        text: "A smaller wheel may turn faster and a larger one slower at the same surface speed, so the rpm is marked anew after altering, \
               rounded down.",
        hint: "Put this rpm on the label, not the blank's.",
        ground: Ground::Limits(&[LimitKey::MarkedRpm]),
        heaviest: Severity::Note,
        judge: marked,
    },
    Rule {
        id: "preferred-speed",
        title: "A preferred maximum speed",
        text: "Makers mark wheels with one of the standard's preferred speeds; another value may be a speed in feet per minute, or a slip.",
        hint: "Compare with the blank's own marking.",
        ground: Ground::Limits(&[LimitKey::PreferredSpeeds]),
        heaviest: Severity::Note,
        judge: preferred,
    },
    Rule {
        id: "speed-stripe",
        title: "The colour stripe of fast wheels",
        text: "Wheels for 50 m/s and more may carry a stripe in the colour of their speed. It is optional today; where the blank has one, it is seen \
               to that the altered wheel still shows the right one.",
        hint: "Where the blank has a stripe, see that it is still there after altering.",
        ground: Ground::Limits(&[LimitKey::SpeedStripes]),
        heaviest: Severity::Note,
        judge: stripe,
    },
];

fn limit(c: &Context<'_>, r: &mut Ruling) {
    let (marked, rpm) = (c.marked_speed(), c.job.machine.spindle_rpm);
    if marked.is_none() {
        let question = "Which maximum operating speed is marked on the blank?";
        r.ask(MARKED, question).hint("Give the maximum operating speed as marked on the blank, such as \"33 m/s\".");
    }
    if rpm.is_none() {
        r.ask(RPM, "At how many revolutions per minute does the spindle turn?").hint("Give the speed of the spindle in rpm.");
    }
    let (Some(marked), Some(rpm)) = (marked, rpm) else {
        return r.unknown("the order does not give both the marked speed and the spindle's rpm");
    };
    let most = marked * c.limits.speed_share;
    let speed = surface_speed(c.wheel().outside_diameter, rpm);
    if no_more(speed, most) {
        r.met(RPM).measured(speed, most, "m/s");
        return;
    }
    let message = format!(
        "At {} rpm the wheel of {} runs at {} m/s, faster than the {} m/s it is marked for.",
        trimmed(rpm, 1),
        c.len(c.wheel().outside_diameter),
        fixed(speed, 2),
        fixed(most, 2)
    );
    let slower = marked_rpm(c.wheel().outside_diameter, most);
    r.stop(RPM, message)
        .measured(speed, most, "m/s")
        .hint(format!("Run it at {slower} rpm at most, or take a blank marked for this speed."));
}

/// The marked speed, or the rule cannot be evaluated.
pub(super) fn marked_or(c: &Context<'_>, r: &mut Ruling) -> Option<f64> {
    let marked = c.marked_speed();
    if marked.is_none() {
        r.unknown("the order does not give the marked maximum speed");
    }
    marked
}

fn marked(c: &Context<'_>, r: &mut Ruling) {
    let Some(marked) = marked_or(c, r) else { return };
    let rpm = marked_rpm(c.wheel().outside_diameter, marked);
    let message = format!("Marked for {} m/s, the altered wheel turns at {rpm} rpm at most.", fixed(marked, 2));
    r.note("/wheel/outside_diameter", message).value(f64::from(rpm), "1/min");
}

fn preferred(c: &Context<'_>, r: &mut Ruling) {
    let Some(marked) = marked_or(c, r) else { return };
    let known = &c.limits.preferred_speeds;
    if known.iter().any(|&v| no_more(v, marked) && no_more(marked, v)) {
        r.met(MARKED).value(marked, "m/s");
    } else {
        r.note(MARKED, format!("{} m/s is not among the preferred maximum speeds.", trimmed(marked, 3)))
            .value(marked, "m/s");
    }
}

fn stripe(c: &Context<'_>, r: &mut Ruling) {
    let Some(marked) = marked_or(c, r) else { return };
    let stripes = &c.limits.speed_stripes;
    let least = stripes.iter().map(|(_, v)| *v).fold(f64::INFINITY, f64::min);
    if !no_more(least, marked) {
        return r.absent("the wheel is marked for less than any stripe stands for");
    }
    let own = stripes.iter().find(|(_, v)| no_more(*v, marked) && no_more(marked, *v));
    let message = match own {
        Some((colour, v)) => format!("A wheel for {} m/s may carry a {colour} stripe.", trimmed(*v, 3)),
        None => format!(
            "No stripe stands for {} m/s; the maker's marking says which the wheel carries.",
            trimmed(marked, 3)
        ),
    };
    r.note(MARKED, message).value(marked, "m/s");
}
