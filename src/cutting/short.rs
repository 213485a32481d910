//! Leaves out edges shorter than a machine takes.

use super::CuttingError;
use crate::geometry::{Edge, Point, Turn};
use crate::section::Feature;
use crate::tolerance::LEAST_PATH;

/// An edge that was left out because it is shorter than a machine takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Healed {
    /// Its length, mm.
    pub length: f64,
    /// Where it was, in the profile's frame.
    pub at: Point,
    /// What it was part of.
    pub feature: Feature,
    /// How far the path lies off the nominal shape at most, mm.
    pub off: f64,
}

type Tagged = (Edge, Feature);

/// The closed chain without edges shorter than [`LEAST_PATH`], and what was left out.
pub(super) fn left_out(mut edges: Vec<Tagged>) -> Result<(Vec<Tagged>, Vec<Healed>), CuttingError> {
    let mut healed = Vec::new();
    while let Some(i) = edges.iter().position(|(e, _)| e.length() < LEAST_PATH) {
        let n = edges.len();
        let (edge, feature) = edges[i];
        let (before, after) = ((i + n - 1) % n, (i + 1) % n);
        let refused = CuttingError::Short { length: edge.length(), diameter: 2.0 * edge.start().y };
        if n < 4 {
            return Err(refused);
        }
        let Some((b, a)) = joined(&edges[before].0, &edges[after].0) else { return Err(refused) };
        healed.push(Healed { length: edge.length(), at: edge.start(), feature, off: LEAST_PATH });
        (edges[before].0, edges[after].0) = (b, a);
        edges.remove(i);
    }
    Ok((edges, healed))
}

/// Two neighbours of a short edge, joined: lines run on to where they meet; else the longer line, or the larger arc, ends at the other's end.
fn joined(before: &Edge, after: &Edge) -> Option<(Edge, Edge)> {
    let (p, q) = (before.end(), after.start());
    if let (Edge::Line(b), Edge::Line(a)) = (before, after) {
        let (d, e) = (b.end - b.start, a.end - a.start);
        let meet = b.start + d * ((a.start - b.start).cross(e) / d.cross(e));
        if meet.is_finite() && meet.distance(p) < 2.0 * LEAST_PATH && meet.distance(q) < 2.0 * LEAST_PATH {
            return Some((Edge::line(b.start, meet), Edge::line(meet, a.end)));
        }
    }
    let ended = moved(before, before.start(), q).map(|b| (b, *after));
    let begun = moved(after, p, after.end()).map(|a| (*before, a));
    if stiffness(before) <= stiffness(after) { ended.or(begun) } else { begun.or(ended) }
}

/// Lines give way before arcs, long before short.
fn stiffness(edge: &Edge) -> f64 {
    match edge {
        Edge::Line(_) => -edge.length(),
        Edge::Arc(a) => 1.0 / a.radius(),
    }
}

/// The edge between two new ends; an arc keeps its radius and turn, and its centre moves.
fn moved(edge: &Edge, start: Point, end: Point) -> Option<Edge> {
    let Edge::Arc(arc) = edge else { return Some(Edge::line(start, end)) };
    let half = (end - start) * 0.5;
    let height = (arc.radius() - half.length()) * (arc.radius() + half.length());
    let aside = half.left().unit()? * height.max(0.0).sqrt();
    // the centre lies left of the chord of an arc that turns left by less than half a circle
    let left = (arc.turn() == Turn::Left) == (arc.sweep().abs() <= std::f64::consts::PI);
    let centre = start + half + if left { aside } else { -aside };
    Edge::arc(start, end, centre, arc.radius(), arc.turn()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wheel::SideName;

    fn tagged(edges: Vec<Edge>) -> Vec<Tagged> {
        edges.into_iter().map(|e| (e, Feature::Corner(SideName::A))).collect()
    }

    #[test]
    fn a_tiny_chamfer_becomes_a_sharp_corner() {
        let points =
            [(0.0, 10.0), (20.0, 10.0), (20.0, 29.996), (19.996, 30.0), (0.0, 30.0)].map(|(x, y)| Point::new(x, y));
        let next = points.iter().cycle().skip(1);
        let edges: Vec<Edge> = points.iter().zip(next).map(|(a, b)| Edge::line(*a, *b)).collect();
        for first in 0..5 {
            let turned: Vec<Edge> = (0..5).map(|i| edges[(first + i) % 5]).collect();
            let (kept, healed) = left_out(tagged(turned)).unwrap();
            assert_eq!((kept.len(), healed.len()), (4, 1));
            // the corner is where the neighbours' lines cross, which rounds differently from start to start
            assert!(kept.iter().any(|(e, _)| e.end().distance(Point::new(20.0, 30.0)) < 1e-9));
        }
    }

    #[test]
    fn an_arc_keeps_its_radius() {
        let arc = Edge::arc(Point::new(10.0, 0.0), Point::new(0.0, 10.0), Point::ORIGIN, 10.0, Turn::Left).unwrap();
        let Some(Edge::Arc(moved)) = moved(&arc, Point::new(10.0, 0.0), Point::new(0.005, 10.0)) else { panic!() };
        assert_eq!((moved.radius(), moved.end()), (10.0, Point::new(0.005, 10.0)));
        assert!(moved.centre().length() < 0.02);
    }
}
