//! Strength: what the stress comes to, as a guide that never stops an order.

use super::context::{Context, no_more};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use super::speed::{MARKED, marked_or};
use crate::certainty::Certainty;
use crate::properties::mark::Bond;
use crate::quantity::{fixed, trimmed};

pub(super) const RULES: &[Rule] = &[STRESS_RANGE];

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
    let (low, high) = c.shop.range(LimitKey::TensileStrength);
    let found = format!("greatest tension at the speed test is {} MPa", fixed(greatest, 2));
    let range = format!("one published range for vitrified wheels is {} to {} MPa", trimmed(low, 2), trimmed(high, 2));
    if no_more(greatest, low) {
        r.met(MARKED).measured(greatest, low, "MPa");
    } else if no_more(greatest, high) {
        r.note(MARKED, format!("The {found}; {range}. Only the test proves this wheel."))
            .measured(greatest, high, "MPa");
    } else {
        let question = format!("At which speed do wheels of this mark burst? The {found}; {range}.");
        r.ask(MARKED, question).measured(greatest, high, "MPa");
    }
}
