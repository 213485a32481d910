//! Handling: lifting, guarding, labelling, and what follows altering.

use super::context::{Context, no_more};
use super::finding::Severity;
use super::grooves::patterns;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::quantity::{fixed, trimmed};

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "lifting",
        title: "Heavy wheels are not lifted alone",
        text: "Above the load constant of the lifting equation a wheel is lifted with an aid or by two people.",
        hint: "Provide a lifting aid or a second person; say so on the traveller.",
        ground: Ground::Limits(&[LimitKey::LiftingMass]),
        heaviest: Severity::Note,
        judge: lifting,
    },
    Rule {
        id: "guard",
        title: "The guard on the machine",
        text: "On cylindrical grinders the guard leaves at most half of the wheel open, and its opening begins no higher than 65° above the horizontal \
               through the wheel's axis.",
        hint: "See that the guard fits the altered wheel.",
        ground: Ground::Limits(&[LimitKey::GuardExposure, LimitKey::GuardTop]),
        heaviest: Severity::Note,
        judge: guard,
    },
    Rule {
        id: "grooves-stated",
        title: "Grooves stated as intended",
        text: "Grooves in the grinding face that cannot be dressed out count as damage in law. We infer that grooves nobody states as intended do; \
               drawing and label say so.",
        hint: "Keep the words on drawing and label.",
        ground: Ground::Limits(&[LimitKey::IntentionalGrooves]),
        heaviest: Severity::Note,
        judge: stated,
    },
    Rule {
        id: "label",
        title: "Everything the label must say",
        text: "The label gives type, dimensions, specification mark, maximum operating speed in m/s (and in rpm above 80 mm), restrictions of use, the \
               expiry of organic bonds, the blank's maker, the alterer, the dates, a trace code and that the wheel was speed tested. What the order \
               does not know cannot be printed; who altered and tested it and when is written in by hand. The engineer may mark a lower speed than the \
               blank's, never a higher one.",
        hint: "Give the blank's marking, marked speed, lot, maker, and expires where its bond is organic.",
        ground: Ground::Limits(&[LimitKey::LabelRpmDiameter, LimitKey::RestrictionCarried]),
        heaviest: Severity::Note,
        judge: label,
    },
    Rule {
        id: "after-altering",
        title: "What follows altering",
        text: "An altered wheel is balanced, speed tested, balanced again, labelled and boxed before it leaves. One altered by anyone but an authorised \
               shop is not to be used: makers tell users never to alter a bore.",
        hint: "Follow the traveller to its last line.",
        ground: Ground::Limits(&[LimitKey::AfterAltering, LimitKey::Altering]),
        heaviest: Severity::Note,
        judge: after,
    },
    Rule {
        id: "run-in",
        title: "The trial run before work",
        text: "Guarded, with nobody in line with it, the wheel runs on its own for a minute before each day's work and for three minutes after it was \
               changed. Whoever changes it is taught to.",
        hint: "Say so on the papers that go with the wheel.",
        ground: Ground::Limits(&[LimitKey::RunInAfterChange, LimitKey::RunIn]),
        heaviest: Severity::Note,
        judge: run_in,
    },
    Rule {
        id: "storage",
        title: "How the wheel is kept until it is mounted",
        text: "Wheels are kept dry and at an even temperature, on edge, thin ones flat. Vitrified ones suffer by frost in a wet wheel and by sudden heat; \
               resin and rubber age and take up moisture: kept for over a year they are spin tested again.",
        hint: "Say so on the papers that go with the wheel.",
        ground: Ground::Limits(&[LimitKey::Storage]),
        heaviest: Severity::Note,
        judge: storage,
    },
];

fn lifting(c: &Context<'_>, r: &mut Ruling) {
    let limit = c.limits.lifting_mass;
    let Some(mass) = c.mass() else { return r.unknown("the density is not known") };
    if no_more(mass, limit) {
        r.met("/wheel").measured(mass, limit, "kg");
        return;
    }
    let message = format!("The wheel weighs {} kg: lift it with an aid or a second person.", fixed(mass, 1));
    r.note("/wheel", message).measured(mass, limit, "kg");
}

fn guard(c: &Context<'_>, r: &mut Ruling) {
    let most = c.limits.guard_exposure;
    let top = trimmed(c.limits.guard_top, 1);
    let message = format!(
        "The guard may leave at most {}° of the wheel open, beginning no higher than {top}° above the horizontal.",
        trimmed(most, 1)
    );
    r.note("/machine", message);
}

fn stated(c: &Context<'_>, r: &mut Ruling) {
    match patterns(c).first() {
        None => r.absent("the wheel has no grooves"),
        Some((_, _, _, at)) => {
            r.note(
                at.clone(),
                "The grooves are intended: drawing and label state them; unstated they count as damage.",
            );
        }
    }
}

fn label(c: &Context<'_>, r: &mut Ruling) {
    let blank = c.job.blank.as_ref();
    let mut missing: Vec<&str> = Vec::new();
    if blank.and_then(|b| b.marking.as_ref()).is_none() {
        missing.push("the specification mark");
    }
    if c.marked_speed().is_none() {
        missing.push("the marked maximum speed");
    }
    if blank.and_then(|b| b.lot.as_ref()).is_none() {
        missing.push("the blank's lot");
    }
    if blank.and_then(|b| b.maker.as_ref()).is_none() {
        missing.push("the blank's maker");
    }
    let is_organic = c.read_mark().is_some_and(|m| m.bond.is_organic());
    if is_organic && blank.and_then(|b| b.expires).is_none() {
        missing.push("the expiry of the organic bond");
    }
    if missing.is_empty() {
        r.met("/blank");
    } else {
        r.note("/blank", format!("The label lacks {}.", missing.join(", ")));
    }
}

fn after(_: &Context<'_>, r: &mut Ruling) {
    r.note("/wheel", "After altering: ring test, balance, speed test, balance again, label, box.");
}

fn run_in(c: &Context<'_>, r: &mut Ruling) {
    let [daily, changed] = [c.limits.run_in, c.limits.run_in_after_change].map(|minutes| trimmed(minutes, 1));
    r.note(
        "/machine",
        format!(
            "Run it guarded, nobody in line with it: {changed} min after mounting, {daily} min before each day's work."
        ),
    );
}

fn storage(c: &Context<'_>, r: &mut Ruling) {
    let kept = "Keep the wheel dry, at an even temperature, on edge";
    let Some(mark) = c.read_mark() else { return r.unknown("the order gives no specification mark that can be read") };
    if mark.bond.is_organic() {
        r.note(
            "/blank/marking",
            format!("{kept} (thin ones flat); its bond ages: after a year in store it is spin tested again."),
        );
    } else {
        r.note("/blank/marking", format!("{kept}; no frost while it is wet, no sudden heat."));
    }
}
