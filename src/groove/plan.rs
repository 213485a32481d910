//! The outline of a groove in plan: straight walls, true arcs at the outside diameter and at a round inner end.

use super::SideGroove;
use crate::geometry::{Contour, ContourError, Edge, Point, Turn};
use crate::wheel::{SideGrooves, SideName, Wheel};

/// The outline of one groove of a side, counter-clockwise, in the frame of its centre line (u along x outwards, v along y; the wheel's axis at the
/// origin). Turn it by [`direction`] to lay it at a place.
///
/// # Errors
/// Where the edges do not close, which a resolved wheel's do.
pub fn outline(groove: &SideGroove) -> Result<Contour, ContourError> {
    let (low, high) = groove.walls();
    let at_rim = |v: f64| Point::new(((groove.outside_radius - v) * (groove.outside_radius + v)).max(0.0).sqrt(), v);
    let outer = |v: f64| groove.outer_u.map_or_else(|| at_rim(v), |u| Point::new(u, v));
    let inner_u = groove.round_centre_u().unwrap_or(groove.inner_u);
    let (p, q, s, t) = (Point::new(inner_u, low), outer(low), outer(high), Point::new(inner_u, high));
    let mut edges = vec![Edge::line(p, q)];
    edges.push(match groove.outer_u {
        Some(_) => Edge::line(q, s),
        None => arc(q, s, Point::ORIGIN, groove.outside_radius)?,
    });
    edges.push(Edge::line(s, t));
    edges.push(match groove.round_centre_u() {
        Some(u) => arc(t, p, Point::new(u, groove.offset), groove.half_width)?,
        None => Edge::line(t, p),
    });
    Contour::new(edges)
}

fn arc(start: Point, end: Point, centre: Point, radius: f64) -> Result<Edge, ContourError> {
    Edge::arc(start, end, centre, radius, Turn::Left).map_err(|_| ContourError::NotFinite(0))
}

/// Direction of the frame of the groove at place k, radians counter-clockwise from +x, seen from outside side A.
pub fn direction(grooves: &SideGrooves, k: u32) -> f64 {
    (grooves.pattern.angle_deg(k) + grooves.skew_deg).to_radians()
}

/// The outline of the groove at place k of a side, in the wheel's x and y; `None` where the side has no grooves.
///
/// # Errors
/// As [`outline`].
#[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
pub fn placed(wheel: &Wheel, side: SideName, k: u32) -> Option<Result<Contour, ContourError>> {
    let grooves = wheel.side(side).grooves.as_ref()?;
    let groove = SideGroove::of(wheel, side)?;
    Some(outline(&groove).map(|c| c.rotated(direction(grooves, k))))
}
