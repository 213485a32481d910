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
        text: "For precision cylindrical, centreless and surface work the bore should be at most two thirds of the outside diameter, for any \
               other work at most half. The outside diameter is that after altering: a wheel cut smaller may exceed what its blank kept. It is \
               a recommendation; beyond it the makers of wheel and machine approve.",
        hint: "Get the approval of the wheel's maker and of the machine's, or order a larger wheel or a smaller bore.",
        ground: Ground::Limits(&[LimitKey::BoreShareCylindrical, LimitKey::BoreShareOther]),
        heaviest: Severity::Ask,
        judge: share,
    },
    Rule {
        id: "bore-spindle",
        title: "A hole that goes onto every spindle",
        text: "The spindle is made to nominal size +0/−0.002 in; the hole is suitably oversize, so that it goes on freely in all conditions. \
               No figure is given for the hole: its fit is agreed with the customer, and no general tolerance covers it. A wheel forced onto its \
               spindle may crack.",
        hint: "Give the bore a lower deviation above 0, such as \"+0.005/+0.001\".",
        ground: Ground::Limits(&[LimitKey::SpindleUpperDeviation, LimitKey::SpindleLowerDeviation]),
        heaviest: Severity::Stop,
        judge: spindle,
    },
    Rule {
        id: "bushing",
        title: "A bushing that is none too thick",
        text: "A bore smaller than the blank's can only be made with a bushing. It takes at most a quarter of an inch from the hole of a wheel \
               under 10 in, half an inch from 10 in on; it is at least half as long as the wheel is thick and no longer than it, goes freely onto \
               the spindle, and touches no flange.",
        hint: "Take a blank of a smaller bore, or a hub.",
        ground: Ground::Limits(&[LimitKey::BushingReduction, LimitKey::BushingLengthShare]),
        heaviest: Severity::Stop,
        judge: bushing,
    },
];

fn share(c: &Context<'_>, r: &mut Ruling) {
    let (bore, d) = (c.wheel().bore, c.wheel().outside_diameter);
    let (most, most_other) = (d * c.limits.bore_share_cylindrical, d * c.limits.bore_share_other);
    let sizes = format!("The bore of {} in a wheel of {}", c.len(bore), c.len(d));
    if !at_most(bore, most) {
        let question = format!(
            "Do the makers of wheel and machine approve? {sizes} is larger than {}, the most recommended for cylindrical work.",
            c.len(most)
        );
        r.ask(BORE, question).measured(bore, most, "mm");
    } else if !at_most(bore, most_other) && c.job.work.operation.is_none() {
        let question = format!(
            "Is the wheel for cylindrical, centreless or surface grinding only? {sizes} is larger than {}, the most recommended for any other work.",
            c.len(most_other)
        );
        r.ask(BORE, question)
            .measured(bore, most_other, "mm")
            .by(LimitKey::BoreShareOther)
            .hint("Give the operation, or confirm that the wheel does cylindrical work.");
    } else {
        r.met(BORE).measured(bore, most, "mm");
    }
}

fn spindle(c: &Context<'_>, r: &mut Ruling) {
    let field = "/tolerances/bore";
    let Some(deviation) = c.job.tolerances.get(Characteristic::Bore) else {
        let question = format!(
            "Which fit does the bore of {} get on its spindle? The order gives no tolerance of the bore.",
            c.len(c.wheel().bore)
        );
        r.ask(field, question).hint("Ask the customer for spindle or fit, and give the bore its tolerance.");
        return r.unknown("the order gives no tolerance of the bore");
    };
    let largest = c.limits.spindle_upper_deviation;
    let least = c.len(c.wheel().bore + deviation.lower);
    let spindle = c.len(c.wheel().bore + largest);
    if !at_least(deviation.lower, largest) {
        let message =
            format!("The bore may come out at {least}; the largest spindle measures {spindle}: it would not go on.");
        r.stop(field, message).measured(deviation.lower, largest, "mm");
    } else if at_most(deviation.lower, largest) {
        let question = format!(
            "Which clearance does the wheel need on its spindle? Least bore and largest spindle both measure {spindle}: there may be none."
        );
        r.ask(field, question).measured(deviation.lower, largest, "mm");
    } else {
        r.met(field).measured(deviation.lower, largest, "mm");
    }
}

fn bushing(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    let Some(hole) = c.job.blank.as_ref().and_then(|b| b.bore) else {
        return r.unknown("the order does not give the bore of the blank");
    };
    let reduction = hole - wheel.bore;
    if at_most(reduction, 0.0) {
        return r.absent("the bore is no smaller than the blank's");
    }
    let most = c.limits.bushing_reduction.at(wheel.outside_diameter);
    let takes =
        format!("A bushing from {} to {} takes {} from the hole", c.len(hole), c.len(wheel.bore), c.len(reduction));
    if !at_most(reduction, most) {
        r.stop(BORE, format!("{takes}; {} is the most in a wheel of this size.", c.len(most)))
            .measured(reduction, most, "mm");
        return;
    }
    let shortest = wheel.thickness * c.limits.bushing_length_share;
    let question = format!(
        "Is a bushing meant? {takes}; it must be {} to {} long, free on the spindle and clear of both flanges.",
        c.len(shortest),
        c.len(wheel.thickness)
    );
    r.ask(BORE, question).measured(reduction, most, "mm");
}
