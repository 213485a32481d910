//! Static balance: what is permitted, and what omitted grooves and tolerances put out.

use super::context::{Context, no_more};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::certainty::Certainty;
use crate::properties::balance::{causes, correction};
use crate::quantity::fixed;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "balance-limit",
        title: "Permissible unbalance",
        text: "After altering, the wheel is balanced until what is left is no more than k·√m at its periphery, in grams, m being its mass \
               in grams and k a factor by use. For wheels of 125 mm and more that run at 16 m/s and more.",
        hint: "Balance the wheel to this limit.",
        ground: Ground::Limits(&[
            LimitKey::UnbalanceK,
            LimitKey::UnbalanceUse,
            LimitKey::UnbalanceDiameter,
            LimitKey::UnbalanceSpeed,
        ]),
        heaviest: Severity::Note,
        judge: limit,
    },
    Rule {
        id: "balance-omitted",
        title: "Unbalance by omitted grooves",
        text: "Where grooves are omitted on one side of the wheel, that side is heavier. What this puts out is held against the permissible \
               unbalance.",
        hint: "Leave out grooves evenly round the wheel, or provide for the correction named here.",
        ground: Ground::Limits(&[LimitKey::UnbalanceK]),
        heaviest: Severity::Ask,
        judge: omitted,
    },
    Rule {
        id: "balance-tolerances",
        title: "Unbalance within the tolerances",
        text: "A bore or a recess off centre, clearance on the spindle and sides out of parallel each put the wheel out of balance. The worst \
               that the order's tolerances allow is held against the permissible unbalance: it shows how much balancing the tolerances leave.",
        hint: "Tighten the tolerance, or expect to balance the wheel by this much.",
        ground: Ground::Limits(&[LimitKey::UnbalanceK, LimitKey::SpindleLowerDeviation]),
        heaviest: Severity::Note,
        judge: tolerances,
    },
];

/// The permissible unbalance, or the rule says why it cannot be evaluated.
fn permissible_or(c: &Context<'_>, r: &mut Ruling) -> Option<f64> {
    match c.permitted_unbalance() {
        Certainty::Known(most) => return Some(most),
        Certainty::Unknown(why) => r.unknown(why),
        Certainty::DoesNotApply(why) => r.absent(why),
    }
    None
}

fn limit(c: &Context<'_>, r: &mut Ruling) {
    let Some(most) = permissible_or(c, r) else { return };
    let at_rim = most / c.wheel().outside_radius();
    let message =
        format!("Balance to {} g at the outside diameter ({} g·mm) or better.", fixed(at_rim, 1), fixed(most, 0));
    r.note("/wheel/outside_diameter", message).value(most, "g·mm");
}

fn omitted(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    let patterns = [
        ("/wheel/side_a/grooves/omit", wheel.side_a.grooves.as_ref().map(|g| &g.pattern)),
        ("/wheel/side_b/grooves/omit", wheel.side_b.grooves.as_ref().map(|g| &g.pattern)),
        ("/wheel/face/grooves/omit", wheel.face.as_ref().map(|g| &g.pattern)),
    ];
    let Some((field, _)) = patterns.into_iter().find(|(_, p)| p.is_some_and(|p| !p.omit.is_empty() || p.places == 1))
    else {
        return r.absent("no groove is omitted");
    };
    let Some(most) = permissible_or(c, r) else { return };
    let Some((out, heavy)) = c.numbers.and_then(|n| Some((n.wheel.unbalance?, n.wheel.static_moment_deg))) else {
        return r.unknown("the density is not known");
    };
    let Some(heavy) = heavy.filter(|_| !no_more(out, most)) else {
        r.met(field).measured(out, most, "g·mm");
        return;
    };
    let fix = correction(out, heavy, wheel, c.job.mount.flange_diameter);
    let question = format!(
        "Must exactly these grooves be omitted? They put the wheel {} g·mm out of balance towards {}°, {} g·mm is permitted.",
        fixed(out, 0),
        fixed(heavy, 1),
        fixed(most, 0)
    );
    let flange = fix.at_flange.map_or(String::new(), |g| format!(", or {} g at the flange's edge", fixed(g, 1)));
    let hint = format!(
        "Leave grooves out evenly, or correct it with {} g at the outside diameter{flange} at {}°.",
        fixed(fix.at_outside, 1),
        fixed(fix.light_deg, 1)
    );
    r.ask(field, question).measured(out, most, "g·mm").hint(hint);
}

fn tolerances(c: &Context<'_>, r: &mut Ruling) {
    let Some(most) = permissible_or(c, r) else { return };
    let (Some(density), Some(section), Some(numbers)) = (c.density, c.section, c.numbers) else {
        return r.unknown("the density is not known");
    };
    let lower = c.limits.spindle_lower_deviation;
    let causes = causes(c.job, section, numbers.wheel.volume, density.value, lower);
    if causes.is_empty() {
        return r.unknown("the order gives no tolerance of bore, run-out or parallelism");
    }
    let worst: f64 = causes.iter().map(|cause| cause.unbalance).sum();
    if no_more(worst, most) {
        r.met("/tolerances").measured(worst, most, "g·mm");
        return;
    }
    let listed: Vec<String> = causes.iter().map(|x| format!("{} {} g·mm", x.what, fixed(x.unbalance, 0))).collect();
    let message = format!(
        "The tolerances together allow {} g·mm of unbalance, {} g·mm is permitted: {}.",
        fixed(worst, 0),
        fixed(most, 0),
        listed.join("; ")
    );
    r.note("/tolerances", message).measured(worst, most, "g·mm");
}
