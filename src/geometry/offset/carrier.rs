//! The endless lines and whole circles that edges of a parallel curve lie on.

use crate::geometry::{Edge, Point, Turn};
use crate::tolerance::ARC_FIT;

/// An endless line or a whole circle, with the sense of travel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Carrier {
    /// Through a point, in a direction of length 1.
    Line(Point, Point),
    /// Centre, radius, sense.
    Circle(Point, f64, Turn),
}

impl Carrier {
    /// That of an edge moved `to_left`; `None` where an arc shrinks to nothing.
    pub(super) fn beside(edge: &Edge, to_left: f64) -> Option<Carrier> {
        match edge {
            Edge::Line(l) => {
                let direction = (l.end - l.start).unit()?;
                Some(Carrier::Line(l.start + direction.left() * to_left, direction))
            }
            Edge::Arc(a) => {
                let radius = a.radius() - to_left * a.turn().sign();
                (radius > 0.0).then_some(Carrier::Circle(a.centre(), radius, a.turn()))
            }
        }
    }

    /// The circle about a corner; the curve turns about it away from the side it lies on.
    pub(super) fn about(corner: Point, to_left: f64) -> Carrier {
        Carrier::Circle(corner, to_left.abs(), if to_left > 0.0 { Turn::Right } else { Turn::Left })
    }

    /// How far a point is off it.
    pub(super) fn off(&self, p: Point) -> f64 {
        match *self {
            Carrier::Line(through, direction) => direction.cross(p - through).abs(),
            Carrier::Circle(centre, radius, _) => (p.distance(centre) - radius).abs(),
        }
    }

    /// Whether a point lies on it, as exactly as an arc asks of its ends.
    pub(super) fn holds(&self, p: Point) -> bool {
        let size = match *self {
            Carrier::Line(through, _) => through.length() + p.length(),
            Carrier::Circle(centre, radius, _) => centre.length() + radius,
        };
        self.off(p) <= ARC_FIT * size
    }

    /// Where two meet, nearest to `about`; `None` where they don't.
    pub(super) fn meet(&self, other: &Carrier, about: Point) -> Option<Point> {
        match (*self, *other) {
            (Carrier::Line(p, d), Carrier::Line(q, e)) => {
                let t = (q - p).cross(e) / d.cross(e);
                let at = p + d * t;
                at.is_finite().then_some(at)
            }
            (Carrier::Line(p, d), Carrier::Circle(c, r, _)) | (Carrier::Circle(c, r, _), Carrier::Line(p, d)) => {
                let foot = p + d * (c - p).dot(d);
                along(foot, d, r * r - (foot - c).dot(foot - c), about)
            }
            (Carrier::Circle(c, r, _), Carrier::Circle(k, s, _)) => {
                let between = k - c;
                let apart = between.length();
                let d = between.unit()?;
                // distance of the common chord from the first centre
                let a = (apart * apart + (r - s) * (r + s)) / (2.0 * apart);
                along(c + d * a, d.left(), (r - a) * (r + a), about)
            }
        }
    }
}

/// `foot` ± √`square` along `d`, the one nearer to `about`. A square a little below 0 is a touch.
fn along(foot: Point, d: Point, square: f64, about: Point) -> Option<Point> {
    let half = square.max(0.0).sqrt();
    let (a, b) = (foot + d * half, foot + d * -half);
    let nearer = if a.distance(about) <= b.distance(about) { a } else { b };
    nearer.is_finite().then_some(nearer)
}
