//! What hub and machine call for: bolts long enough, a recess within the part of the wheel that is never used.

use super::context::{Context, at_most, on_side};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::properties::recess::Missing;
use crate::wheel::SideName;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "bolts-reach",
        title: "Hub bolts that reach through",
        text: "The wheel's thickness at the flange leaves the hub bolts enough thread: it is at most the length of the bolts less flange, \
               washer, nut and least engagement together.",
        hint: "Recess the wheel deeper (`wheeldraft recess ORDER` proposes how), or fit longer bolts.",
        ground: Ground::Limits(&[LimitKey::BoltReach]),
        heaviest: Severity::Stop,
        judge: bolts,
    },
    Rule {
        id: "recess-travel",
        title: "A recess within the worn-out wheel",
        text: "A machine uses only the outer part of a wheel. A recess up to the worn-out diameter spares side dressing and diamond; a wider \
               one is worn into, and the wheel is then thinner than ordered.",
        hint: "Keep the recess within the worn-out diameter, or have the customer confirm the wider one.",
        ground: Ground::Limits(&[LimitKey::RecessTravel]),
        heaviest: Severity::Ask,
        judge: travel,
    },
];

fn bolts(c: &Context<'_>, r: &mut Ruling) {
    let mount = &c.job.mount;
    let (Some(length), Some(stack)) = (mount.bolt_length, mount.bolt_stack) else {
        return ask(r, Missing::bolts(c.job));
    };
    let (thickness, most) = (c.thickness_at_bore(), length - stack);
    if at_most(thickness, most) {
        r.met("/mount/bolt_length").measured(thickness, most, "mm");
        return;
    }
    let message = if most > 0.0 {
        format!(
            "The wheel is {} thick at the flange; bolts of {} less {} reach through {}.",
            c.len(thickness),
            c.len(length),
            c.len(stack),
            c.len(most)
        )
    } else {
        format!("Bolts of {} are used up by flange, washer, nut and engagement, {}.", c.len(length), c.len(stack))
    };
    r.stop("/mount/bolt_length", message).measured(thickness, most, "mm");
}

/// The question for what the order does not say; it leaves the rule unanswered.
fn ask(r: &mut Ruling, missing: Option<Missing>) {
    let Some(missing) = missing else { return };
    r.ask(missing.field(), missing.question()).hint(missing.hint()).beside(missing.beside());
    r.unknown(format!("the order does not give {}", missing.field().trim_start_matches('/').replace('/', ".")));
}

fn travel(c: &Context<'_>, r: &mut Ruling) {
    let Some(worn) = c.worn_out_diameter() else { return ask(r, Missing::travel(c.job)) };
    let mut recessed = false;
    for name in SideName::BOTH {
        let Some(step) = c.wheel().side(name).recess.first() else { continue };
        recessed = true;
        let field = on_side(name, "/recess/0/diameter");
        if at_most(step.diameter, worn) {
            r.met(field).measured(step.diameter, worn, "mm");
            continue;
        }
        let question = format!(
            "May the wheel be worn into its recess on side {}? The recess measures {}, the worn-out wheel {}.",
            name.letter(),
            c.len(step.diameter),
            if worn > 0.0 { c.len(worn) } else { String::from("nothing at all") }
        );
        r.ask(field, question).measured(step.diameter, worn, "mm");
    }
    if !recessed {
        r.absent("no side is recessed");
    }
}
