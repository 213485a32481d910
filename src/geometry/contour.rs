//! Closed contours of edges.

use super::{Bounds, Edge, Moments, Point};

/// A closed chain of edges; each begins exactly where the one before ended, and the last ends where the first began.
///
/// Counter-clockwise contours bound what lies inside and have a positive area; clockwise ones bound holes.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Contour {
    edges: Vec<Edge>,
}

/// Why a chain of edges is not a contour.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ContourError {
    /// Fewer than two edges cannot enclose anything.
    #[error("a contour needs at least two edges, not {0}")]
    TooFew(usize),
    /// An edge does not begin where the one before ended.
    #[error("edge {index} begins {gap} away from where the edge before it ends")]
    Gap {
        /// Index of the edge that begins elsewhere.
        index: usize,
        /// The distance.
        gap: f64,
    },
    /// A coordinate is not a finite number.
    #[error("edge {0} has a coordinate that is not a finite number")]
    NotFinite(usize),
    /// An edge has no length.
    #[error("edge {0} has no length")]
    NoLength(usize),
}

impl Contour {
    /// The contour of these edges.
    ///
    /// # Errors
    /// Where an edge has no length or is not finite, or does not begin exactly where the one before ended.
    pub fn new(edges: Vec<Edge>) -> Result<Contour, ContourError> {
        if edges.len() < 2 {
            return Err(ContourError::TooFew(edges.len()));
        }
        for (index, edge) in edges.iter().enumerate() {
            let before = edges[(index + edges.len() - 1) % edges.len()];
            if !(edge.start().is_finite() && edge.end().is_finite()) {
                return Err(ContourError::NotFinite(index));
            }
            if edge.start() == edge.end() {
                return Err(ContourError::NoLength(index));
            }
            if before.end() != edge.start() {
                return Err(ContourError::Gap { index, gap: before.end().distance(edge.start()) });
            }
        }
        Ok(Contour { edges })
    }

    /// The straight-sided contour through these points.
    ///
    /// # Errors
    /// As [`Contour::new`].
    pub fn polygon(points: &[Point]) -> Result<Contour, ContourError> {
        let next = points.iter().cycle().skip(1);
        Contour::new(points.iter().zip(next).map(|(&a, &b)| Edge::line(a, b)).collect())
    }

    /// The edges in order.
    pub fn edges(&self) -> &[Edge] {
        &self.edges
    }

    /// The integrals over the enclosed area (negative where clockwise).
    pub fn moments(&self) -> Moments {
        Moments::of(&self.edges)
    }

    /// Enclosed area, positive counter-clockwise.
    pub fn area(&self) -> f64 {
        self.moments().area
    }

    /// The same contour travelled the other way.
    pub fn reversed(&self) -> Contour {
        self.with(self.edges.iter().rev().map(Edge::reversed))
    }

    /// The same contour begun at edge `first`.
    #[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
    pub fn started_at(&self, first: usize) -> Contour {
        let n = self.edges.len();
        self.with((0..n).map(|i| self.edges[(first + i) % n]))
    }

    /// Moved by a vector.
    pub fn translated(&self, by: Point) -> Contour {
        self.with(self.edges.iter().map(|e| e.translated(by)))
    }

    /// Turned counter-clockwise about the origin, radians.
    pub fn rotated(&self, angle: f64) -> Contour {
        self.with(self.edges.iter().map(|e| e.rotated(angle)))
    }

    /// Scaled about the origin by a factor above 0.
    pub fn scaled(&self, factor: f64) -> Contour {
        self.with(self.edges.iter().map(|e| e.scaled(factor)))
    }

    /// Mirrored in the y axis; the order of travel is turned so that the sign of the area stays.
    #[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
    pub fn mirrored_x(&self) -> Contour {
        self.with(self.edges.iter().rev().map(|e| e.reversed().mirrored_x()))
    }

    /// Mirrored in the x axis; the order of travel is turned so that the sign of the area stays.
    pub fn mirrored_y(&self) -> Contour {
        self.with(self.edges.iter().rev().map(|e| e.reversed().mirrored_y()))
    }

    /// Length of the whole contour.
    pub fn length(&self) -> f64 {
        self.edges.iter().map(Edge::length).sum()
    }

    /// The smallest upright box around it.
    pub fn bounds(&self) -> Bounds {
        let first = self.edges[0].bounds();
        self.edges[1..].iter().fold(first, |b, e| b.union(e.bounds()))
    }

    /// Whether a point lies strictly inside (points on the contour may fall either way).
    pub fn contains(&self, p: Point) -> bool {
        let turns: f64 = self.edges.iter().map(|e| winding(e, p)).sum();
        turns.abs() > std::f64::consts::PI
    }

    fn with(&self, edges: impl Iterator<Item = Edge>) -> Contour {
        Contour { edges: edges.collect() }
    }
}

/// Angle under which an edge is seen from `p`, radians, positive counter-clockwise.
fn winding(edge: &Edge, p: Point) -> f64 {
    let from = edge.start() - p;
    let to = edge.end() - p;
    let chord = from.cross(to).atan2(from.dot(to));
    let Edge::Arc(arc) = edge else { return chord };
    // Between chord and arc lies a segment; a point inside it sees the arc from its other side.
    let inside_circle = p.distance(arc.centre()) < arc.radius();
    let side = (edge.end() - edge.start()).cross(p - edge.start()) * arc.turn().sign();
    let in_segment = inside_circle && side < 0.0;
    if in_segment { chord + arc.turn().sign() * std::f64::consts::TAU } else { chord }
}
