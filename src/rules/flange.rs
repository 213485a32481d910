//! Flanges: large enough, and seated on the wheel.

use super::context::{Context, at_least};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};

pub(super) const RULES: &[Rule] = &[Rule {
    id: "flange-third",
    title: "Flanges of at least a third of the wheel",
    text: "Both flanges are equally large, bear equally, and measure at least a third of the outside diameter after altering. Smaller ones \
           hold the wheel too near its bore, where the stress is greatest.",
    hint: "Fit flanges of at least this diameter, both alike, or order a smaller wheel.",
    ground: Ground::Limits(&[LimitKey::FlangeShare]),
    heaviest: Severity::Stop,
    judge: third,
}];

fn third(c: &Context<'_>, r: &mut Ruling) {
    let field = "/mount/flange_diameter";
    let d = c.wheel().outside_diameter;
    let least = d * c.number(LimitKey::FlangeShare);
    let Some(flange) = c.job.mount.flange_diameter else {
        r.ask(
            field,
            format!("What diameter do the flanges have? A wheel of {} needs at least {}.", c.len(d), c.len(least)),
        )
        .hint("Give mount.flange_diameter.");
        r.unknown("the order gives no flange diameter");
        return;
    };
    if at_least(flange, least) {
        r.met(field).measured(flange, least, "mm");
    } else {
        let message =
            format!("The flanges measure {}; a wheel of {} needs at least {}.", c.len(flange), c.len(d), c.len(least));
        r.stop(field, message).measured(flange, least, "mm");
    }
}
