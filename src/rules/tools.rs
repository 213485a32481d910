//! The shop's tools: what they can cut, and what they leave.

use super::context::{Context, at_least, at_most, on_side};
use super::finding::{Addressee, Severity};
use super::grooves::patterns;
use super::rule::{Ground, Rule, Ruling};
#[cfg(feature = "pdf")]
use crate::geometry::offset::{self, Source};
use crate::groove::SideGroove;
use crate::groove::disc::{self, not_reached};
use crate::properties::planner::index_error;
use crate::quantity::trimmed;
use crate::section::{Feature, Section, sharp_corner};
use crate::tolerance::{LEAST_PATH, PITCH_FIT, SAME_LENGTH};
use crate::wheel::{Characteristic, InnerEnd, Pattern, SideName, Wheel};

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
               the difference stays within the tolerance of the pitch.",
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
    for (what, _, width, at) in sets {
        let field = format!("{at}/width");
        if at_most(cutter, width + over) {
            r.met(field).measured(cutter, width + over, "mm");
            continue;
        }
        let message = format!("The disc is {} wide, the {what} only {}.", c.len(cutter), c.len(width + over));
        r.stop(field, message).measured(cutter, width + over, "mm");
    }
}

fn cutter_reach(c: &Context<'_>, r: &mut Ruling) {
    let sets: Vec<_> =
        SideName::BOTH.into_iter().filter_map(|s| Some((s, c.wheel().side(s).grooves.as_ref()?))).collect();
    if sets.is_empty() {
        return r.absent("no side is grooved");
    }
    let Some(disc) = c.job.tooling.groove_cutter_diameter else {
        return r.unknown("the order does not give the groove cutter's diameter");
    };
    for (name, g) in sets {
        let at = on_side(name, "/grooves");
        let of = format!("grooves of side {}", name.letter());
        if !at_most(g.depth, disc / 2.0) {
            let message = format!("A disc of {} cannot cut the {of} {} deep.", c.len(disc), c.len(g.depth));
            r.stop(format!("{at}/depth"), message).measured(g.depth, disc / 2.0, "mm");
            continue;
        }
        if let InnerEnd::Runout { cutter_diameter } = g.inner_end {
            runout(c, r, &at, &of, disc, cutter_diameter);
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
            _ => {
                let left = full_depth_after(c, name, disc).unwrap_or(overrun);
                r.note(end, not_reached(&of, &c.len(disc), &c.len(left))).value(left, "mm");
            }
        }
    }
}

/// How far from the inner end a disc first reaches full depth, mm, as its passes run; `None` where they cannot be made.
fn full_depth_after(c: &Context<'_>, side: SideName, disc: f64) -> Option<f64> {
    let groove = SideGroove::of(c.wheel(), side)?;
    let section = Section::of(c.wheel()).ok()?;
    let width = c.job.tooling.groove_cutter_width.unwrap_or(2.0 * groove.half_width);
    disc::full_depth_after(&disc::Ground::new(groove, &section, c.wheel()), width, Some(disc / 2.0))
}

fn runout(c: &Context<'_>, r: &mut Ruling, at: &str, of: &str, disc: f64, ordered: f64) {
    let field = format!("{at}/cutter_diameter");
    if (disc - ordered).abs() <= SAME_LENGTH {
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
    if steps.is_empty() {
        return r.absent("the wheel has no inner corners");
    }
    let Some(nose) = c.job.tooling.profile_nose_radius else {
        return r.unknown("the order does not give the diamond's nose radius");
    };
    let Some(missed) = unreached(c.wheel(), nose) else {
        return r.unknown("a build of the numbers alone follows no tool along the contour");
    };
    for feature in missed {
        let message =
            format!("The diamond's nose radius of {} does not reach {} anywhere.", c.len(nose), feature.words());
        r.stop(feature.field(), message).value(nose, "mm").hint("Take a sharper diamond, or a recess that it fits into.");
    }
    for (name, i, fillet) in steps {
        let field = on_side(name, &format!("/recess/{i}/fillet_radius"));
        let of = format!("step {} of the recess on side {}", i + 1, name.letter());
        if fillet > 0.0 && at_least(fillet, nose) {
            r.met(field).measured(fillet, nose, "mm");
        } else if fillet > 0.0 {
            let message = format!(
                "The diamond's nose radius of {} cannot cut the fillet of {} at {of}.",
                c.len(nose),
                c.len(fillet)
            );
            r.stop(field, message).measured(fillet, nose, "mm");
        } else {
            r.note(field, sharp_corner(name, i, &c.len(nose))).measured(fillet, nose, "mm").hint("Give the fillet_radius that may stay.");
        }
    }
}

/// A build of the numbers alone has no curves beside a contour.
#[cfg(not(feature = "pdf"))]
fn unreached(_: &Wheel, _: f64) -> Option<Vec<Feature>> {
    None
}

/// Walls and floors of the recesses that a nose does not touch anywhere; fillets are judged by their radius.
#[cfg(feature = "pdf")]
fn unreached(wheel: &Wheel, nose: f64) -> Option<Vec<Feature>> {
    // a wheel without a curve for the nose's centre gets no program either: that is told there
    let Ok(section) = Section::of(wheel) else { return Some(Vec::new()) };
    let Ok(curves) = offset::parallel(section.contour(), -nose) else { return Some(Vec::new()) };
    let Some(curve) = curves.first() else { return Some(Vec::new()) };
    let touched = |i: usize| curve.sources.contains(&Source::Edge(i));
    let is_part = |f: &Feature| matches!(f, Feature::RecessWall(..) | Feature::RecessFloor(..));
    let edges = section.edges().enumerate().filter(|(i, (e, f))| is_part(f) && e.length() >= LEAST_PATH && !touched(*i));
    Some(edges.map(|(_, (_, feature))| feature).collect())
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
    for (what, pattern, _, at) in sets {
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
            None if error > 0.0 => {
                r.note(field, format!("{found}.")).value(error, "°");
            }
            _ => {
                r.met(field).measured(error, tolerance.unwrap_or(0.0), "°");
            }
        }
    }
}
