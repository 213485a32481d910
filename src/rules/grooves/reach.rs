//! Where grooves reach: not under the flange, in to the worn-out wheel.

use super::super::context::{Context, at_least, at_most};
use super::super::rule::Ruling;
use super::side_sets;
use crate::properties::wear::end_diameter;
use crate::wheel::{InnerEnd, SideGrooves, Wheel};

/// The least diameter that any point of a groove reaches, mm: a square end across a skewed line has one corner nearer to the axis.
fn least_diameter(g: &SideGrooves, wheel: &Wheel) -> f64 {
    let inner = g.inner_diameter / 2.0;
    if g.inner_end != InnerEnd::Square {
        return g.inner_diameter;
    }
    let offset = (wheel.outside_radius() * g.skew_deg.to_radians().sin()).abs();
    let along = ((inner - offset) * (inner + offset)).max(0.0).sqrt();
    // the end is the line u = along from v = offset − w/2 to offset + w/2; its point nearest to the axis
    2.0 * along.hypot((offset - g.width / 2.0).max(0.0))
}

pub(super) fn under_flange(c: &Context<'_>, r: &mut Ruling) {
    let (sides, face) = (side_sets(c), &c.wheel().face);
    if sides.is_empty() && face.is_none() {
        return r.absent("the wheel has no grooves");
    }
    let Some(flange) = c.job.mount.flange_diameter else { return r.unknown("the order gives no flange diameter") };
    let mut compare = |least: f64, what: String, field: String| {
        if at_least(least, flange) {
            r.met(field).measured(least, flange, "mm");
            return;
        }
        let message = format!("{what} reach in to diameter {}, under the flange of {}.", c.len(least), c.len(flange));
        r.stop(field, message).measured(least, flange, "mm");
    };
    for (name, g, at) in sides {
        let what = format!("The grooves of side {}", name.letter());
        compare(least_diameter(g, c.wheel()), what, format!("{at}/inner_diameter"));
    }
    if let Some(face) = face {
        let least = c.wheel().outside_diameter - 2.0 * face.depth;
        compare(least, "The face grooves".into(), "/wheel/face/grooves/depth".into());
    }
}

pub(super) fn worn_out(c: &Context<'_>, r: &mut Ruling) {
    let sides = side_sets(c);
    if sides.is_empty() {
        return r.absent("no side is grooved");
    }
    let Some(worn) = c.worn_out_diameter().and_then(|_| end_diameter(c.job)) else {
        return r.unknown("the order does not say how far the machine uses the wheel");
    };
    for (name, g, at) in sides {
        let field = format!("{at}/inner_diameter");
        if at_most(g.inner_diameter, worn) {
            r.met(field).measured(g.inner_diameter, worn, "mm");
            continue;
        }
        let message = format!(
            "The grooves of side {} end at diameter {}; from there to {} the wheel runs without them.",
            name.letter(),
            c.len(g.inner_diameter),
            c.len(worn)
        );
        r.note(field, message).measured(g.inner_diameter, worn, "mm");
    }
}

pub(super) fn in_recess(c: &Context<'_>, r: &mut Ruling) {
    let mut compared = false;
    for (name, g, at) in side_sets(c) {
        let side = c.wheel().side(name);
        // the outermost step that the groove does not cut deeper
        let Some(step) = side.recess.iter().find(|s| at_least(s.depth, side.nominal_depth(s.diameter / 2.0) + g.depth))
        else {
            continue;
        };
        compared = true;
        let field = format!("{at}/inner_diameter");
        if at_least(g.inner_diameter, step.diameter) {
            r.met(field).measured(g.inner_diameter, step.diameter, "mm");
            continue;
        }
        let message = format!(
            "The grooves of side {} begin at diameter {}, but cut nothing inside the recess of {}.",
            name.letter(),
            c.len(g.inner_diameter),
            c.len(step.diameter)
        );
        r.note(field, message).measured(g.inner_diameter, step.diameter, "mm");
    }
    if !compared {
        r.absent("no groove meets a recess that is as deep");
    }
}
