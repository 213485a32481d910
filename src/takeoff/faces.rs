//! The closed faces of a net: walking along its edges and always taking the sharpest turn to the left.

use super::net::Net;
use crate::geometry::{Edge, Moments, Point};

/// A closed face, counter-clockwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// Its edges in order, as drawn; their ends meet within the gap.
    pub edges: Vec<Edge>,
    /// Its area, above 0, mm².
    pub area: f64,
    /// Its centroid.
    pub centroid: Point,
}

/// All of them, the largest first.
pub fn faces(net: &Net) -> Vec<Face> {
    // half edges: link i forwards is 2i, backwards 2i + 1
    let half = |h: usize| {
        let link = &net.links[h / 2];
        if h.is_multiple_of(2) {
            (link.edge, link.knots[0], link.knots[1])
        } else {
            (link.edge.reversed(), link.knots[1], link.knots[0])
        }
    };
    let count = 2 * net.links.len();
    let mut leaving: Vec<Vec<(f64, usize)>> = vec![Vec::new(); net.knots.len()];
    for h in 0..count {
        let (edge, from, _) = half(h);
        leaving[from].push((heading(&edge), h));
    }
    leaving.iter_mut().for_each(|list| list.sort_by(|a, b| a.0.total_cmp(&b.0)));
    let next = |h: usize| {
        let (_, _, to) = half(h);
        let back = h ^ 1;
        let around = &leaving[to];
        let at = around.iter().position(|(_, other)| *other == back).unwrap_or(0);
        // the one before it counter-clockwise is the sharpest turn to the left
        around[(at + around.len() - 1) % around.len()].1
    };
    let mut walked = vec![false; count];
    let mut found = Vec::new();
    for start in 0..count {
        let mut edges = Vec::new();
        let mut h = start;
        while !walked[h] {
            walked[h] = true;
            edges.push(half(h).0);
            h = next(h);
        }
        found.extend(face(edges));
    }
    found.sort_by(|a, b| b.area.total_cmp(&a.area));
    found
}

fn heading(edge: &Edge) -> f64 {
    edge.direction(0.0).map_or(0.0, Point::angle)
}

fn face(edges: Vec<Edge>) -> Option<Face> {
    let first = edges.first()?.start();
    let near: Vec<Edge> = edges.iter().map(|e| e.translated(Point::ORIGIN - first)).collect();
    let moments = Moments::of(&near);
    (moments.area > 0.0).then(|| Face {
        area: moments.area,
        centroid: first + Point::new(moments.x / moments.area, moments.y / moments.area),
        edges,
    })
}
