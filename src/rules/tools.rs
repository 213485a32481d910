//! The shop's tools: what they can cut, and what they leave.

use super::context::{Context, at_least, on_side};
use super::finding::{Addressee, Severity};
use super::grooves::{patterns, side_sets};
use super::rule::{Ground, Rule, Ruling};
use crate::properties::planner::index_error;
use crate::quantity::trimmed;
use crate::reach::{Left, Place};
use crate::tolerance::{LEAST_PATH, PITCH_FIT, SAME_LENGTH};
use crate::wheel::{Characteristic, InnerEnd, Pattern, SideName};

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "cutter-width",
        title: "A groove cutter no wider than its groove",
        text: "A slitting disc cuts no groove narrower than itself: its width is at most that of the groove with its tolerance. A groove \
               narrower than 0.01 mm has no machine file: two walls so near are taken for one.",
        hint: "Take a narrower disc, or widen the grooves.",
        ground: Ground::Geometry,
        heaviest: Severity::Stop,
        judge: cutter_width,
    },
    Rule {
        id: "cutter-reach",
        title: "What a disc leaves at the inner end of a groove",
        text: "A disc cuts no deeper than its radius, and leaves the floor rising along its arc. A square end at full depth is only possible \
               where the disc may overrun it; the overrun must stay outside the flange seat. A run-out is only as drawn with the disc it is \
               drawn for.",
        hint: "Order the inner end as `runout` with the shop's disc, or begin the grooves farther out.",
        ground: Ground::Geometry,
        heaviest: Severity::Stop,
        judge: cutter_reach,
    },
    Rule {
        id: "nose-radius",
        title: "Inner corners the diamond can cut",
        text: "The profiling diamond leaves at least its own nose radius in every inner corner: a smaller fillet cannot be cut, and a sharp \
               corner keeps that radius.",
        hint: "Take a sharper diamond, or order a fillet of at least its nose radius.",
        ground: Ground::Geometry,
        heaviest: Severity::Stop,
        judge: nose,
    },
    Rule {
        id: "index-step",
        title: "Places the indexing head can hold",
        text: "The head turns in whole steps. Where the pitch is no multiple of its step, places are rounded and neighbouring pitches differ; \
               the difference stays within the tolerance of the pitch, or, where none is agreed, within half a groove at the rim.",
        hint: "Choose a count whose pitch is a multiple of the step (`wheeldraft grooves ORDER --sweep`), or widen the tolerance.",
        ground: Ground::Geometry,
        heaviest: Severity::Stop,
        judge: index,
    },
];

fn cutter_width(c: &Context<'_>, r: &mut Ruling) {
    let sets = patterns(c);
    if sets.is_empty() {
        return r.absent("the wheel has no grooves");
    }
    for (what, _, width, at) in sets.iter().filter(|(_, _, width, _)| !at_least(*width, LEAST_PATH)) {
        let message = format!("The {what} are {} wide; no machine file holds any narrower than {}.", c.len(*width), c.len(LEAST_PATH));
        r.stop(format!("{at}/width"), message).measured(*width, LEAST_PATH, "mm").hint("Check the number and its unit.");
    }
    let Some(cutter) = c.job.tooling.groove_cutter_width else {
        return r.unknown("the order does not give the groove cutter's width");
    };
    let over = c.job.tolerances.get(Characteristic::GrooveWidth).map_or(0.0, |d| d.upper.max(0.0));
    for (_, _, width, at) in sets {
        let field = format!("{at}/width");
        let draft = match c.left.iter().find(|l| l.field() == field) {
            Some(left) => r.stop(field, c.said(left)),
            None => r.met(field),
        };
        draft.measured(cutter, width + over, "mm");
    }
}

fn cutter_reach(c: &Context<'_>, r: &mut Ruling) {
    let sets = side_sets(c);
    if patterns(c).is_empty() {
        return r.absent("the wheel has no grooves");
    }
    for left in &c.left {
        match left {
            Left::Steps(..) | Left::Formed(_) => note(c, r, left),
            Left::TooBroad(_, disc) => {
                let width = disc.width.unwrap_or_default();
                r.stop(left.field(), c.said(left)).value(width, "mm").hint("Take a narrower disc, or one as wide as the groove, ground to its form.");
            }
            _ => {}
        }
    }
    if sets.is_empty() {
        return r.absent("no side is grooved");
    }
    let Some(disc) = c.job.tooling.groove_cutter_diameter else {
        return r.unknown("the order does not give the groove cutter's diameter");
    };
    for (name, g, at) in sets {
        let of = format!("grooves of side {}", name.letter());
        let ends: Vec<&Left> = c.left.iter().filter(|l| l.is_end_of(Place::Side(name))).collect();
        if let Some(left) = ends.iter().find(|l| l.refuses()) {
            let stop = r.stop(left.field(), c.said(left));
            match left {
                Left::TooDeep(..) => stop.measured(g.depth, disc / 2.0, "mm"),
                _ => stop.value(disc, "mm").hint("Take a smaller disc, or order longer grooves."),
            };
            continue;
        }
        ends.iter().for_each(|left| note(c, r, left));
        if let InnerEnd::Runout { cutter_diameter } = g.inner_end {
            let is_left = ends.iter().any(|left| matches!(left, Left::Runout(..)));
            runout(c, r, (&at, &of), (disc, cutter_diameter), is_left);
            continue;
        }
        let overrun = (g.depth * (disc - g.depth)).max(0.0).sqrt();
        let reached = g.inner_diameter - 2.0 * overrun;
        let end = format!("{at}/inner_end");
        match c.job.mount.flange_diameter {
            Some(flange) if !at_least(reached, flange) => {
                let question = format!(
                    "May the {of} run out as the disc leaves them? At full depth to the end, a disc of {} would cut in to diameter {}, under \
                     the flange.",
                    c.len(disc),
                    c.len(reached.max(0.0))
                );
                r.ask(end, question).measured(reached, flange, "mm");
            }
            _ if ends.is_empty() => {
                r.met(end);
            }
            _ => {}
        }
    }
}

/// What a tool leaves, as a note.
fn note(c: &Context<'_>, r: &mut Ruling, left: &Left) {
    let note = r.note(left.field(), c.said(left));
    if let Some(amount) = left.amount() {
        note.value(amount, "mm");
    }
}

/// A run-out ordered for a disc of its own: one of the same size makes it, a smaller one rises along it where nothing is in its way.
fn runout(c: &Context<'_>, r: &mut Ruling, (at, of): (&str, &str), (disc, ordered): (f64, f64), is_left: bool) {
    let field = format!("{at}/cutter_diameter");
    if (disc - ordered).abs() <= SAME_LENGTH || disc < ordered && !is_left {
        r.met(field).measured(ordered, disc, "mm");
        return;
    }
    let question = format!(
        "May the {of} run out as the shop's disc of {} leaves them? They are ordered as a disc of {} would.",
        c.len(disc),
        c.len(ordered)
    );
    r.ask(field, question).measured(ordered, disc, "mm").to(Addressee::Shop);
}

fn nose(c: &Context<'_>, r: &mut Ruling) {
    let steps: Vec<_> = SideName::BOTH
        .into_iter()
        .flat_map(|s| c.wheel().side(s).recess.iter().enumerate().map(move |(i, step)| (s, i, step.fillet_radius)))
        .collect();
    if steps.is_empty() && c.job.tooling.profile_nose_radius.is_none() {
        return r.absent("the wheel has no inner corners");
    }
    let Some(nose) = c.job.tooling.profile_nose_radius else {
        return r.unknown("the order does not give the diamond's nose radius");
    };
    if cfg!(not(feature = "pdf")) {
        return r.unknown("a build of the numbers alone follows no tool along the contour");
    }
    let left: Vec<&Left> = c.left.iter().filter(|l| matches!(l, Left::Nose(..) | Left::NoPath(_))).collect();
    for left in &left {
        let (field, said) = (left.field(), c.said(left));
        let fillet = steps.iter().find(|(s, i, _)| field == fillet_field(*s, *i)).map(|(_, _, fillet)| *fillet);
        let draft = if left.refuses() { r.stop(field, said) } else { r.note(field, said) };
        match fillet {
            Some(0.0) if !left.refuses() => draft.measured(0.0, nose, "mm").hint("Give the fillet_radius that may stay."),
            Some(fillet) => draft.measured(fillet, nose, "mm"),
            None => draft.value(nose, "mm"),
        };
    }
    for (name, i, fillet) in steps {
        let field = fillet_field(name, i);
        if fillet > 0.0 && !left.iter().any(|l| l.field() == field) {
            r.met(field).measured(fillet, nose, "mm");
        }
    }
    if !r.has_spoken() {
        r.absent("the diamond leaves nothing in the section");
    }
}

fn fillet_field(side: SideName, step: usize) -> String {
    on_side(side, &format!("/recess/{step}/fillet_radius"))
}

/// What is wrong with a step coarser than the pitch, on which two grooves would be cut in one place, and what would fit.
fn too_coarse(pattern: &Pattern, step: f64, what: &str) -> Option<String> {
    if pattern.places < 2 || step <= pattern.pitch_deg() * (1.0 + PITCH_FIT) {
        return None;
    }
    let most = (360.0 / step * (1.0 + PITCH_FIT)).floor();
    Some(format!(
        "The head's step of {}° is coarser than the pitch of the {what}, {}°: grooves would be cut twice in one place. A step of {}° or a \
         whole part of it fits, or at most {} grooves.",
        trimmed(step, 6),
        trimmed(pattern.pitch_deg(), 6),
        trimmed(pattern.pitch_deg(), 6),
        trimmed(most, 0)
    ))
}

fn index(c: &Context<'_>, r: &mut Ruling) {
    let sets = patterns(c);
    if sets.is_empty() {
        return r.absent("the wheel has no grooves");
    }
    let Some(step) = c.job.tooling.index_step_deg else {
        return r.unknown("the order does not give the indexing head's step");
    };
    let tolerance = c.job.tolerances.get(Characteristic::GroovePitchDeg).map(|d| d.upper.min(-d.lower).max(0.0));
    for (what, pattern, width, at) in sets {
        let (error, field) = (index_error(pattern.places, step), format!("{at}/pitch_deg"));
        if let Some(said) = too_coarse(pattern, step, &what) {
            r.stop(field, said).measured(step, pattern.pitch_deg(), "°");
            continue;
        }
        let found =
            format!("In steps of {}° the pitch of the {what} is off by up to {}°", trimmed(step, 6), trimmed(error, 4));
        match tolerance {
            Some(t) if !super::context::no_more(error, t) => {
                r.stop(field, format!("{found}; {}° is permitted.", trimmed(t, 4))).measured(error, t, "°");
            }
            None if error.to_radians() * c.job.wheel.outside_radius() > width / 2.0 => {
                let pitch = trimmed(pattern.pitch_deg(), 6);
                let said = format!("{found}, more than half a groove at the rim: they would not lie where they are ordered. A step of {pitch}° or a whole part of it fits.");
                r.stop(field, said).value(error, "°");
            }
            None if error > 0.0 => {
                r.note(field, format!("{found}.")).value(error, "°");
            }
            _ => {
                r.met(field).measured(error, tolerance.unwrap_or(0.0), "°");
            }
        }
    }
}
