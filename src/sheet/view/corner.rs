//! The corner at the outside diameter: how large it is, the circle of its detail, and how it is called out.

use super::Context;
use super::canvas::Canvas;
use super::clip::Disc;
use crate::geometry::{Edge, Point};
use crate::section::Feature;
use crate::sheet::dimension::Called;
use crate::size::{SideName, Size};
use crate::wheel::Corner;

/// Diameter of the detail's circle, in sizes of the corner.
const CIRCLE: f64 = 4.4;

/// Size of a corner along the radius, mm.
pub(super) fn corner_size(corner: &Corner) -> f64 {
    match *corner {
        Corner::Radius(radius) => radius,
        Corner::Chamfer { run, angle_deg } => run.max(run * angle_deg.to_radians().tan()),
    }
}

/// Diameter of the detail's circle on the part, mm.
pub(super) fn size(corner: &Corner) -> f64 {
    CIRCLE * corner_size(corner)
}

/// The circle in (r, z) on the part.
pub(super) fn disc(context: &Context, side: SideName) -> Option<Disc> {
    let corner = context.job.wheel.side(side).corner?;
    let edge = context.section.edges().find(|(_, f)| *f == Feature::Corner(side)).map(|(e, _)| *e)?;
    Some(Disc { centre: edge.at(0.5), radius: size(&corner) / 2.0 })
}

/// The corner of a side called out at the middle of its edge: a radius, or a chamfer with its angle. `origin` is where the view's origin lies in the
/// half-section on paper.
pub(super) fn corner(canvas: &mut Canvas, side: SideName, edge: &Edge, origin: Point) -> Option<Called> {
    let style = canvas.context.style;
    let s = canvas.factor;
    match canvas.context.job.wheel.side(side).corner? {
        Corner::Radius(_) => {
            let requirement = canvas.requirement(Size::CornerRadius(side))?;
            let Edge::Arc(arc) = edge else { return None };
            Some(canvas.called(requirement, edge.at(0.5), arc.radius() / s, canvas.label(requirement)))
        }
        Corner::Chamfer { .. } => {
            let requirement = canvas.requirement(Size::CornerChamfer(side))?;
            let run = (edge.end().y - edge.start().y).abs();
            // the angle is counted from the side's own plane, where the nominal side line meets the outside diameter
            let wheel = &canvas.context.job.wheel;
            let depth = wheel.side(side).nominal_depth(wheel.outside_radius());
            let rim = if side == SideName::A { depth } else { wheel.thickness - depth } * s;
            let axial =
                [edge.start(), edge.end()].map(|p| (p.x + origin.x - rim).abs()).into_iter().fold(0.0, f64::max);
            let angle = canvas.requirement(Size::CornerAngle(side));
            let mut label = canvas.label(requirement);
            if angle.is_some() {
                label = label.followed_by(style.say("view.radial"), style);
            }
            let mut called = canvas.called(requirement, edge.at(0.5), run / s, label);
            if let Some(angle) = angle {
                let from = match canvas.both {
                    true => style.say("view.from_the_side").to_owned(),
                    false => style.of_side("view.from_side", side),
                };
                let label = canvas.label(angle).followed_by(from, style);
                let group = canvas.note(angle, axial.atan2(run).to_degrees(), &label);
                called.second = Some((group, canvas.subject(angle), label));
            }
            Some(called)
        }
    }
}
