//! The wheel's axis: named by the person, a centre line, the line two halves mirror in, or an axis of the drawing itself.

use super::faces::Face;
use super::{Drawn, Role, Wishes};
use crate::geometry::{Edge, Moments, Point};
use crate::tolerance::{DRAWN_ANGLE, DRAWN_EXACT};

/// How the axis was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AxisKind {
    /// The person named it.
    Named,
    /// A centre line beside the section.
    CentreLine,
    /// The section's two halves mirror in it.
    Mirror,
    /// x = 0 or y = 0 of the drawing, as nothing else says.
    Origin,
}

/// A line of the drawing about which the section turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// A point of it, mm.
    pub at: Point,
    /// Its direction, of length 1, to the right or upwards: from side A to side B.
    pub along: Point,
    /// How it was found.
    pub kind: AxisKind,
}

impl Axis {
    /// Through a point, in a direction of length 1.
    pub fn new(at: Point, along: Point, kind: AxisKind) -> Axis {
        let forwards = along.x > DRAWN_ANGLE || (along.x.abs() <= DRAWN_ANGLE && along.y > 0.0);
        Axis { at, along: if forwards { along } else { Point::ORIGIN - along }, kind }
    }

    /// An edge with x along the axis and y square to it.
    pub fn framed(&self, edge: &Edge) -> Edge {
        edge.translated(Point::ORIGIN - self.at).rotated(-self.along.angle())
    }

    /// The edges in (r, z), counter-clockwise; `None` where they lie on both sides. With `flip` the side drawn last is side A.
    pub fn laid(&self, edges: &[Edge], flip: bool) -> Option<Vec<Edge>> {
        let framed: Vec<Edge> = edges.iter().map(|e| self.framed(e)).collect();
        let (low, high) = framed
            .iter()
            .map(Edge::bounds)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), b| (l.min(b.min.y), h.max(b.max.y)));
        if low < -DRAWN_EXACT && high > DRAWN_EXACT {
            return None;
        }
        let above: Vec<Edge> = framed.iter().map(|e| if high <= DRAWN_EXACT { e.mirrored_y() } else { *e }).collect();
        let turned = above.iter().map(|e| if flip { e.mirrored_x() } else { *e });
        let laid: Vec<Edge> = turned.map(|e| e.transposed()).collect();
        let is_left = Moments::of(&laid).area > 0.0;
        Some(if is_left { laid } else { laid.iter().rev().map(Edge::reversed).collect() })
    }

    /// What is to be minded about it.
    pub fn remark(&self) -> Option<String> {
        match self.kind {
            AxisKind::Origin => {
                let name = if self.along.x.abs() > self.along.y.abs() { "y = 0" } else { "x = 0" };
                Some(format!("no centre line is drawn: {name} of the drawing was taken for the axis"))
            }
            _ => None,
        }
    }

    /// How far a face lies from it at least and at most, and between which places along it.
    fn extents(&self, face: &Face) -> ([f64; 2], [f64; 2]) {
        let bounds = face.edges.iter().map(|e| self.framed(e).bounds()).reduce(|a, b| a.union(b));
        bounds.map_or(([0.0; 2], [0.0; 2]), |b| ([b.min.y, b.max.y], [b.min.x, b.max.x]))
    }
}

/// Faces with an axis each that may be a section, the likeliest first.
pub fn candidates<'a>(faces: &'a [Face], drawn: &[Drawn], wishes: &Wishes) -> Vec<(&'a Face, Axis)> {
    if let Some(axis) = wishes.axis {
        return faces.iter().map(|f| (f, axis)).collect();
    }
    let mut found = beside_centre_lines(faces, drawn, wishes.gap);
    found.extend(mirrored(faces, wishes.gap));
    let axes =
        [Point::new(1.0, 0.0), Point::new(0.0, 1.0)].map(|along| Axis::new(Point::ORIGIN, along, AxisKind::Origin));
    found.extend(axes.into_iter().flat_map(|axis| faces.iter().map(move |f| (f, axis))));
    found
}

/// Faces that a centre line runs beside over their whole length, those nearest to it first.
fn beside_centre_lines<'a>(faces: &'a [Face], drawn: &[Drawn], gap: f64) -> Vec<(&'a Face, Axis)> {
    let mut runs: Vec<(Axis, f64, f64)> = Vec::new();
    for line in drawn.iter().filter(|d| d.role == Role::Axis) {
        let Edge::Line(l) = line.edge else { continue };
        let Some(along) = (l.end - l.start).unit() else { continue };
        // the dashes of a broken centre line are one run
        let same = runs.iter_mut().find(|(axis, ..)| {
            axis.along.cross(along).abs() <= DRAWN_ANGLE && axis.along.cross(l.start - axis.at).abs() <= gap
        });
        match same {
            Some((axis, from, to)) => {
                for p in [l.start, l.end] {
                    let at = axis.along.dot(p - axis.at);
                    (*from, *to) = (from.min(at), to.max(at));
                }
            }
            None => {
                let axis = Axis::new(l.start, along, AxisKind::CentreLine);
                let end = axis.along.dot(l.end - l.start);
                runs.push((axis, end.min(0.0), end.max(0.0)));
            }
        }
    }
    let mut found: Vec<(f64, &Face, Axis)> = Vec::new();
    for (axis, from, to) in runs {
        for face in faces {
            let (across, along) = axis.extents(face);
            let covers = from <= along[0] + gap && to >= along[1] - gap;
            if covers && across[0] * across[1] > 0.0 {
                found.push((across[0].abs().min(across[1].abs()), face, axis));
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.area.total_cmp(&a.1.area)));
    found.into_iter().map(|(_, face, axis)| (face, axis)).collect()
}

/// Faces that are each other's mirror image, with the line they mirror in.
fn mirrored(faces: &[Face], gap: f64) -> Vec<(&Face, Axis)> {
    let mut found = Vec::new();
    for (i, face) in faces.iter().enumerate() {
        for other in &faces[i + 1..] {
            let across = other.centroid - face.centroid;
            let Some(square) = across.unit() else { continue };
            let axis = Axis::new(face.centroid.lerp(other.centroid, 0.5), square.left(), AxisKind::Mirror);
            if is_mirrored(face, other, &axis, gap) {
                found.push((face, axis));
            }
        }
    }
    found
}

fn is_mirrored(face: &Face, other: &Face, axis: &Axis, gap: f64) -> bool {
    if face.edges.len() != other.edges.len() {
        return false;
    }
    let ends = |f: &Face| f.edges.iter().map(|e| axis.framed(e).start()).collect::<Vec<_>>();
    let others = ends(other);
    ends(face).iter().all(|p| others.iter().any(|q| Point::new(p.x, -p.y).distance(*q) <= 2.0 * gap))
}
