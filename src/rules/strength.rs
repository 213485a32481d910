//! Strength: what the stress comes to, as a guide that never stops an order.

use super::context::{Context, no_more};
use super::finding::{Addressee, Severity};
use super::limits::LimitKey;
use super::marking::is_agreed;
use super::rule::{Ground, Rule, Ruling};
use super::speed::{MARKED, marked_or};
use crate::certainty::Certainty;
use crate::properties::mark::Bond;
use crate::quantity::{fixed, trimmed};
use crate::tolerance::STRESS_MODEL;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "stress-raise",
        title: "Tension of the altered wheel against its blank",
        text: "The greatest tension anywhere in the altered wheel is held against that of its blank at the same surface speed, both by finite elements: \
               the ratio needs no strength of the material. Where it is above the shop's ratio the speed of equal tension is named, and the maker is \
               asked; his agreement to the alteration, given with the order, answers it. A guide: notches of grooves, clamping bolts, heat and \
               grinding forces are not in it, and only the speed test proves a wheel. The engineer may mark the wheel for a lower speed than its \
               blank's, never for a higher one.",
        hint: "Get the maker's agreement to the new shape, or mark the wheel for a lower maximum operating speed.",
        ground: Ground::Limits(&[LimitKey::StressRatio, LimitKey::PoissonRatio, LimitKey::RecessFilletLeast]),
        heaviest: Severity::Ask,
        judge: raise,
    },
    STRESS_RANGE,
];

const STRESS_RANGE: Rule = Rule {
    id: "stress-range",
    title: "Stress at the speed test against a published range of strength",
    text: "The greatest tension at the speed test, for the altered wheel with its steps, tapers and grooves, is held against the range of strength \
           that one maker's general page gives for vitrified wheels. Fast wheels are stronger than that: burst tests at 1.8 times the speed mean \
           14.7 MPa at 50 m/s and 37.5 MPa at 80 m/s. So the range never stops an order: above it the maker's burst speed is asked for. A guide: \
           clamping and grinding forces are not in it, and no formula replaces the test.",
    hint: "Ask the abrasive maker for the burst speed or the strength of this mark.",
    ground: Ground::Limits(&[LimitKey::TensileStrength, LimitKey::PoissonRatio, LimitKey::SpeedTestFactor]),
    heaviest: Severity::Ask,
    judge: stress,
};

fn raise(c: &Context<'_>, r: &mut Ruling) {
    let field = "/wheel";
    let ratio = match c.strength.ratio() {
        Certainty::Known(ratio) => ratio,
        Certainty::Unknown(why) => return r.unknown(why),
        Certainty::DoesNotApply(why) => return r.absent(why),
    };
    let of_blank = c.job.blank.as_ref().and_then(|b| b.max_operating_speed);
    // tension grows with the square of the speed: a wheel marked for less than its blank bears less
    let share = c.marked_speed().zip(of_blank).map_or(1.0, |(own, blank)| own / blank);
    let (value, most) = (ratio.value() * share * share, c.limits.stress_ratio);
    if no_more(value, most * (1.0 + STRESS_MODEL)) {
        r.met(field).measured(value, most, "×");
        return;
    }
    let speed = of_blank.map_or_else(
        || format!("{} % of its speed", fixed(100.0 * ratio.speed_share(), 1)),
        |v| format!("{} m/s", fixed(v * ratio.speed_share(), 1)),
    );
    let at = if share < 1.0 { "each at its own marked speed" } else { "at equal surface speed" };
    let found = format!(
        "its greatest tension is {} times the blank's {at}; at {speed} it would be equal",
        fixed(value, 3)
    );
    if is_agreed(c) {
        r.note(field, format!("By calculation {found}; the maker has agreed to the alteration."))
            .measured(value, most, "×");
        return;
    }
    let question = format!("Does the abrasive maker confirm the speed for this shape? By calculation {found}.");
    r.ask(field, question).measured(value, most, "×").to(Addressee::Shop);
}

fn stress(c: &Context<'_>, r: &mut Ruling) {
    let Some(marked) = marked_or(c, r) else { return };
    if c.read_mark().is_some_and(|m| m.bond != Bond::Vitrified) {
        return r.absent("the strength range is that of vitrified wheels");
    }
    if c.density.is_none() {
        return r.unknown("the density is not known");
    }
    let Some(factor) = c.shop.test_factor(marked) else {
        return r.unknown("no factor of the speed test is known for this speed");
    };
    let greatest = match &c.strength.altered {
        Certainty::Known(field) => field.greatest().0 * factor * factor,
        Certainty::Unknown(why) | Certainty::DoesNotApply(why) => return r.unknown(why.as_str()),
    };
    let (low, high) = c.limits.tensile_strength;
    let found = format!("greatest tension at the speed test is {} MPa", fixed(greatest, 2));
    let range = format!("one published range for vitrified wheels is {} to {} MPa", trimmed(low, 2), trimmed(high, 2));
    if no_more(greatest, low) {
        r.met(MARKED).measured(greatest, low, "MPa");
    } else if no_more(greatest, high) {
        r.note(MARKED, format!("The {found}; {range}. Only the test proves this wheel."))
            .measured(greatest, high, "MPa");
    } else {
        let question = format!("At which speed do wheels of this mark burst? The {found}; {range}.");
        r.ask(MARKED, question).measured(greatest, high, "MPa").to(Addressee::Shop);
    }
}
