//! The turned wheel: every edge of the half-section goes once round the axis.

use super::{Curve, Edge, Face, Solid, Surface, Use, Vector, name};
use crate::geometry::{self, Turn};
use crate::section::{Feature, Section};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::Job;

/// The wheel without grooves.
pub(super) fn solid(job: &Job, section: &Section) -> Solid {
    // corners that meet on the rim leave an edge of rounding between them
    let kept = section.edges().filter(|(edge, _)| edge.length() > SAME_LENGTH);
    let kept: Vec<(&geometry::Edge, Feature)> = kept.collect();
    let ends: Vec<geometry::Point> = kept.iter().map(|(edge, _)| edge.start()).collect();
    let vertices = ends.iter().map(|p| Vector::new(p.x, 0.0, p.y)).collect();
    let circle = |(i, p): (usize, &geometry::Point)| Edge { start: i, end: i, curve: ring(p.x, p.y) };
    let mut edges: Vec<Edge> = ends.iter().enumerate().map(circle).collect();
    let mut faces = Vec::with_capacity(ends.len());
    for (i, &(edge, feature)) in kept.iter().enumerate() {
        let next = (i + 1) % ends.len();
        let (surface, is_outward) = revolved(edge);
        let along = |edge: usize| Use { edge, is_forward: true };
        let back = |edge: usize| Use { edge, is_forward: false };
        let loops = if matches!(surface, Surface::Plane { .. }) {
            let mut loops = vec![vec![along(i)], vec![back(next)]];
            // the larger circle bounds it from outside
            if ends[next].x > ends[i].x {
                loops.reverse();
            }
            loops
        } else {
            edges.push(Edge { start: i, end: next, curve: seam(edge) });
            vec![vec![along(i), along(edges.len() - 1), back(next), back(edges.len() - 1)]]
        };
        faces.push(Face {
            name: name::of(feature),
            is_cut: name::is_cut(feature, job),
            surface,
            is_outward,
            loops,
        });
    }
    Solid { vertices, edges, faces, sectors: 1 }
}

/// The circle about the axis, counter-clockwise.
pub(super) fn ring(radius: f64, z: f64) -> Curve {
    Curve::Circle { centre: Vector::new(0.0, 0.0, z), axis: Vector::z(), radius }
}

/// The edge of the section itself, in the plane y = 0.
fn seam(edge: &geometry::Edge) -> Curve {
    let geometry::Edge::Arc(arc) = edge else { return Curve::Line };
    let centre = Vector::new(arc.centre().x, 0.0, arc.centre().y);
    // counter-clockwise in (r, z) is clockwise about +y
    Curve::Circle { centre, axis: Vector::y() * -arc.turn().sign(), radius: arc.radius() }
}

/// What an edge of the section makes when turned about the axis, and whether that surface's own normal points out of the wheel, which lies to the
/// right of the edge.
pub(super) fn revolved(edge: &geometry::Edge) -> (Surface, bool) {
    let (start, end) = (edge.start(), edge.end());
    if let geometry::Edge::Arc(arc) = edge {
        let centre = Vector::new(0.0, 0.0, arc.centre().y);
        let torus = Surface::Torus { centre, major: arc.centre().x, minor: arc.radius() };
        return (torus, arc.turn() == Turn::Left);
    }
    let (across, up) = (end.x - start.x, end.y - start.y);
    let origin = Vector::new(0.0, 0.0, start.y);
    if up == 0.0 {
        return (Surface::Plane { origin, axis: Vector::z() * -across.signum() }, true);
    }
    if across == 0.0 {
        return (Surface::Cylinder { origin, axis: Vector::z(), radius: start.x }, up > 0.0);
    }
    let axis = Vector::z() * (up * across).signum();
    (Surface::Cone { origin, axis, radius: start.x, half_angle: (across / up).abs().atan() }, up > 0.0)
}
