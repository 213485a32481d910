//! The bore: not too large for the wheel, not too small for the spindle.

use super::context::{Context, at_least, at_most};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::wheel::Characteristic;

const BORE: &str = "/wheel/bore";

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "bore-share",
        title: "A bore no larger than two thirds of the wheel",
        text: "For cylindrical, centreless and surface work the bore is at most two thirds of the outside diameter, for any other work at \
               most half. The outside diameter is that after altering: a wheel cut smaller may fail a rule its blank met.",
        hint: "Order a larger wheel or a smaller bore.",
        ground: Ground::Limits(&[LimitKey::BoreShareCylindrical, LimitKey::BoreShareOther]),
        heaviest: Severity::Stop,
        judge: share,
    },
    Rule {
        id: "bore-spindle",
        title: "A hole that is not below nominal",
        text: "The spindle is made to nominal size or slightly below; the hole takes the clearance and must not come out below nominal. A \
               wheel forced onto its spindle may crack.",
        hint: "Give the bore a lower deviation of 0 or above, such as \"+0.005/+0.001\".",
        ground: Ground::Limits(&[LimitKey::BoreLowerDeviation, LimitKey::SpindleLowerDeviation]),
        heaviest: Severity::Stop,
        judge: spindle,
    },
];

fn share(c: &Context<'_>, r: &mut Ruling) {
    let (bore, d) = (c.wheel().bore, c.wheel().outside_diameter);
    let (most, most_other) = (d * c.number(LimitKey::BoreShareCylindrical), d * c.number(LimitKey::BoreShareOther));
    let sizes = format!("The bore of {} in a wheel of {}", c.len(bore), c.len(d));
    if !at_most(bore, most) {
        r.stop(BORE, format!("{sizes} is larger than {}, the most for cylindrical work.", c.len(most)))
            .measured(bore, most, "mm");
    } else if !at_most(bore, most_other) && c.job.work.operation.is_none() {
        let question = format!(
            "Is the wheel for cylindrical, centreless or surface grinding only? {sizes} is larger than {}, the most for any other work.",
            c.len(most_other)
        );
        r.ask(BORE, question)
            .measured(bore, most_other, "mm")
            .by(LimitKey::BoreShareOther)
            .hint("Give work.operation, or confirm that the wheel does cylindrical work.");
    } else {
        r.met(BORE).measured(bore, most, "mm");
    }
}

fn spindle(c: &Context<'_>, r: &mut Ruling) {
    let field = "/tolerances/bore";
    let Some(deviation) = c.job.tolerances.get(Characteristic::Bore) else {
        return r.unknown("the order gives no tolerance of the bore");
    };
    let least = c.number(LimitKey::BoreLowerDeviation);
    if at_least(deviation.lower, least) {
        r.met(field).measured(deviation.lower, least, "mm");
        return;
    }
    let below = c.len(c.wheel().bore + deviation.lower);
    let message = format!(
        "The bore may come out at {below}, {} below its nominal {}: it would not go onto the spindle.",
        c.len(-deviation.lower),
        c.len(c.wheel().bore)
    );
    r.stop(field, message).measured(deviation.lower, least, "mm");
}
