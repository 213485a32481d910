//! What the wheel grinds: the corner in the fillet's window, the grain and grade for the material.

use super::context::{Context, at_least, at_most, on_side};
use super::finding::{Addressee, Severity};
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::order::OperationKind;
use crate::wheel::{Corner, SideName};

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "fillet-window",
        title: "A corner radius within a fillet window",
        text: "The wheel's corner grinds the fillet of the journal. Crankshaft manuals give windows for that fillet; the corner radius stays \
               inside such a window, or the shaft's own manual must give another.",
        hint: "Ask for the fillet that the shaft's manual gives, from and to.",
        ground: Ground::Limits(&[LimitKey::FilletWindows]),
        heaviest: Severity::Ask,
        judge: fillet,
    },
    Rule {
        id: "wheel-choice",
        title: "Abrasive, grit and bond for the work",
        text: "The mark of the blank is compared with the shop's grade guide for the material and hardness of the work: general purpose 54 grit \
               below about 35 HRC, 60 grit above, and the abrasive that suits the material.",
        hint: "Confirm the wheel with the customer, or choose a blank the guide names.",
        ground: Ground::Limits(&[LimitKey::GradeGuide]),
        heaviest: Severity::Ask,
        judge: choice,
    },
    Rule {
        id: "side-grinding",
        title: "Side grinding only with wheels made for it",
        text: "The side of a wheel grinds only where the maker made it for that. Side dressing of a straight wheel is done with very light \
               pressure only.",
        hint: "Ask the maker whether this wheel may grind with its side; dress its side with very light pressure.",
        ground: Ground::Limits(&[LimitKey::SideGrinding]),
        heaviest: Severity::Ask,
        judge: side_grinding,
    },
];

fn fillet(c: &Context<'_>, r: &mut Ruling) {
    let radii: Vec<(SideName, f64)> = SideName::BOTH
        .into_iter()
        .filter_map(|s| match c.wheel().side(s).corner {
            Some(Corner::Radius(radius)) => Some((s, radius)),
            _ => None,
        })
        .collect();
    if radii.is_empty() {
        return r.absent("no corner is rounded");
    }
    if c.job.work.operation == Some(OperationKind::ThrustFace) {
        return r.absent("the wheel grinds thrust faces");
    }
    let windows = &c.limits.fillet_windows;
    for (name, radius) in radii {
        let field = on_side(name, "/corner/radius");
        if windows.iter().any(|&(low, high)| at_least(radius, low) && at_most(radius, high)) {
            r.met(field).value(radius, "mm");
            continue;
        }
        let nearest =
            windows.iter().flat_map(|&(l, h)| [l, h]).min_by(|a, b| (a - radius).abs().total_cmp(&(b - radius).abs()));
        let listed: Vec<String> = windows.iter().map(|&(l, h)| format!("{} to {}", c.len(l), c.len(h))).collect();
        let known = format!("known windows are {}", listed.join(" and "));
        let limit = nearest.unwrap_or(f64::NAN);
        if c.job.work.operation.is_some() {
            let question = format!(
                "Which fillet does the shaft ask for, from and to? The corner of side {} has {}; {known}.",
                name.letter(),
                c.len(radius)
            );
            r.ask(field, question).measured(radius, limit, "mm");
        } else {
            let message =
                format!("The corner of side {} has {}; for crank journals {known}.", name.letter(), c.len(radius));
            r.note(field, message).measured(radius, limit, "mm");
        }
    }
}

fn choice(c: &Context<'_>, r: &mut Ruling) {
    let work = &c.job.work;
    if work.material.is_none() && work.hardness_hrc.is_none() {
        return r.unknown("the order says nothing of the material");
    }
    let Some(mark) = c.read_mark() else { return r.unknown("the order gives no specification mark that can be read") };
    let advice = c.shop.guide().advise(work, mark);
    if advice.rows == 0 {
        r.unknown("the grade guide has no row for this work");
        match (&work.material, work.hardness_hrc) {
            (Some(_), None) => {
                r.ask("/work/hardness_hrc", "How hard is the work, in HRC?").hint("Give the hardness of the work in HRC.");
            }
            (None, Some(_)) => {
                r.ask("/work/material", "Of what material is the work?").hint("Give the material of the work.");
            }
            _ => {}
        }
        return;
    }
    if advice.questions.is_empty() {
        r.met("/blank/marking");
    }
    if !advice.advice.is_empty() {
        r.note("/blank/marking", advice.advice)
            .hint("Ask the customer where the wheel's life matters more than its price.");
    }
    for q in advice.questions {
        let draft = r.ask("/blank/marking", q.question).to(Addressee::Customer);
        if let Some((measured, limit)) = q.numbers {
            draft.measured(measured, limit, q.unit);
        }
        draft.hint(q.hint);
    }
}

fn side_grinding(c: &Context<'_>, r: &mut Ruling) {
    let field = "/work/operation";
    match c.job.work.operation {
        Some(OperationKind::ThrustFace) => {
            r.ask(field, "Did the maker make this wheel for side grinding? Thrust faces are ground with its side.");
        }
        Some(OperationKind::Fillet) => {
            r.note(
                field,
                "Fillets are ground with the corner only: the straight sides take no load but very light dressing.",
            );
        }
        _ if SideName::BOTH.into_iter().any(|s| !c.wheel().side(s).is_plain()) => {
            r.note("/wheel", "The sides are dressed with very light pressure only; they grind only where the maker made them for it.");
        }
        _ => r.absent("nothing is cut into the sides, and the wheel does not grind with them"),
    }
}
