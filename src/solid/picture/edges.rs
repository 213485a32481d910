//! Edges of a boundary as chains of places, and what of a chain is seen.

use crate::solid::laid::arc_step;
use crate::solid::{Curve, Edge, Face, Solid, Vector, mesh};
use crate::tolerance::SAME_LENGTH;
use std::f64::consts::TAU;

/// Share of a dot by which a chain may lie off its curve.
const DEVIATION: f64 = 0.1;
/// Sine of the turn of the surface below which an edge is none to see.
const SMOOTH: f64 = 0.02;

/// Places that straight pieces join.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// The places.
    pub places: Vec<Vector>,
    /// Radius and z of one that runs about the wheel's axis.
    pub ring: Option<(f64, f64)>,
}

/// All edges to see of a boundary.
pub fn all(solid: &Solid, dot: f64) -> Vec<Chain> {
    chosen(solid, dot, |_| true)
}

/// Those at grooves.
pub fn of_grooves(solid: &Solid, dot: f64) -> Vec<Chain> {
    chosen(solid, dot, |face| face.name.contains("groove"))
}

/// The edges at a face for which it holds that turn the surface.
fn chosen(solid: &Solid, dot: f64, holds: impl Fn(&Face) -> bool) -> Vec<Chain> {
    let mut faces: Vec<Vec<usize>> = vec![Vec::new(); solid.edges.len()];
    for (f, face) in solid.faces.iter().enumerate() {
        face.loops.iter().flatten().for_each(|u| faces[u.edge].push(f));
    }
    let kept = solid.edges.iter().zip(&faces).filter(|(_, of)| of.iter().any(|&f| holds(&solid.faces[f])));
    let chains = kept.filter_map(|(edge, of)| {
        let &[a, b] = of.as_slice() else { return None };
        let chain = chain(edge, solid, dot);
        (a != b && turns([&solid.faces[a], &solid.faces[b]], chain.places[chain.places.len() / 2])).then_some(chain)
    });
    chains.collect()
}

/// Whether two faces meet at an angle.
fn turns(faces: [&Face; 2], at: Vector) -> bool {
    let [a, b] = faces.map(|face| face.surface.off(at).1.normalize() * if face.is_outward { 1.0 } else { -1.0 });
    a.cross(&b).norm() > SMOOTH || a.dot(&b) < 0.0
}

fn chain(edge: &Edge, solid: &Solid, dot: f64) -> Chain {
    let (start, end) = (solid.vertices[edge.start], solid.vertices[edge.end]);
    let places = [start].into_iter().chain(mesh::inner(edge, solid, dot * DEVIATION, 1)).chain([end]).collect();
    let is_about = |centre: &Vector| centre.x.hypot(centre.y) < SAME_LENGTH && [start, end].iter().all(|p| (p.z - centre.z).abs() < SAME_LENGTH);
    let ring = match &edge.curve {
        Curve::Circle { centre, radius, .. } if is_about(centre) => Some((*radius, centre.z)),
        _ => None,
    };
    Chain { places, ring }
}

/// A whole circle about the axis.
pub fn ring(radius: f64, z: f64, dot: f64) -> Chain {
    let pieces = (TAU / step(radius, dot)).ceil() as usize;
    let at = |i: usize| {
        let (sin, cos) = (TAU * i as f64 / pieces as f64).sin_cos();
        Vector::new(radius * cos, radius * sin, z)
    };
    Chain { places: (0..=pieces).map(at).collect(), ring: Some((radius, z)) }
}

/// Angle of a piece of a circle.
pub fn step(radius: f64, dot: f64) -> f64 {
    arc_step(radius, dot * DEVIATION)
}

impl Chain {
    /// The same turned about the wheel's axis, radians.
    pub fn turned(&self, by: f64) -> Chain {
        let (sin, cos) = by.sin_cos();
        let turned = |p: &Vector| Vector::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos, p.z);
        Chain { places: self.places.iter().map(turned).collect(), ring: self.ring }
    }

    /// The parts of it at whose places something holds, looked at so far apart, mm; their ends by so many halvings.
    pub fn parts(&self, apart: f64, halvings: usize, holds: &dyn Fn(Vector) -> bool) -> Vec<Vec<Vector>> {
        let mut at = vec![0.0];
        for pair in self.places.windows(2) {
            at.push(at[at.len() - 1] + (pair[1] - pair[0]).norm());
        }
        let length = at[at.len() - 1];
        let place = |s: f64| {
            let i = at.partition_point(|a| *a <= s).clamp(1, at.len() - 1);
            let share = if at[i] > at[i - 1] { (s - at[i - 1]) / (at[i] - at[i - 1]) } else { 0.0 };
            self.places[i - 1] + (self.places[i] - self.places[i - 1]) * share
        };
        let pieces = (length / apart).ceil().max(2.0) as usize;
        let middle = |i: usize| length * (i as f64 + 0.5) / pieces as f64;
        let (mut ends, mut before) = (Vec::new(), false);
        for i in 0..pieces {
            let now = holds(place(middle(i)));
            if now != before {
                ends.push(if i == 0 { 0.0 } else { change([middle(i - 1), middle(i)], before, halvings, |s| holds(place(s))) });
            }
            before = now;
        }
        if before {
            ends.push(length);
        }
        let part = |ends: &[f64]| {
            let within = at.iter().zip(&self.places).filter(|(s, _)| **s > ends[0] && **s < ends[1]).map(|(_, p)| *p);
            [place(ends[0])].into_iter().chain(within).chain([place(ends[1])]).collect()
        };
        ends.chunks(2).map(part).collect()
    }
}

/// Where between two ways along what held at the first no longer does, or the other way round.
fn change([mut from, mut to]: [f64; 2], held: bool, halvings: usize, holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..halvings {
        let middle = (from + to) / 2.0;
        if holds(middle) == held { from = middle } else { to = middle }
    }
    (from + to) / 2.0
}
