//! How far a point is from an edge or a contour.

use super::{Contour, Edge, Point};

impl Edge {
    /// The point of the edge nearest to `p`; one of them where several are equally near.
    pub fn nearest(&self, p: Point) -> Point {
        match self {
            Edge::Line(l) => {
                let along = l.end - l.start;
                let t = (p - l.start).dot(along) / along.dot(along);
                if t > 0.0 && t < 1.0 { l.start + along * t } else { nearer(p, l.start, l.end) }
            }
            Edge::Arc(a) => {
                let out = p - a.centre();
                match out.unit() {
                    Some(unit) if a.sweeps(out.angle()) => a.centre() + unit * a.radius(),
                    _ => nearer(p, a.start(), a.end()),
                }
            }
        }
    }

    /// Distance of `p` from the edge.
    pub fn distance(&self, p: Point) -> f64 {
        p.distance(self.nearest(p))
    }
}

fn nearer(p: Point, a: Point, b: Point) -> Point {
    if p.distance(a) <= p.distance(b) { a } else { b }
}

impl Contour {
    /// Distance of `p` from the contour, whether inside or outside.
    pub fn distance(&self, p: Point) -> f64 {
        self.edges().iter().map(|e| e.distance(p)).fold(f64::INFINITY, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Turn;

    #[test]
    fn distances_by_hand() {
        let line = Edge::line(Point::new(1.0, 1.0), Point::new(5.0, 4.0));
        // 3-4-5 triangle: the foot of (2, 8) is (5, 4), that of (0, 5.5) is (3, 2.5)… at 5·0.6 from the start
        assert!((line.distance(Point::new(2.0, 8.0)) - 5.0).abs() < 1e-14);
        assert!((line.distance(Point::new(1.0 + 3.2 - 3.0, 1.0 + 2.4 + 4.0)) - 5.0).abs() < 1e-14);
        assert!((line.distance(Point::new(-2.0, -3.0)) - 5.0).abs() < 1e-14);
        let centre = Point::new(2.0, -1.0);
        let quarter = Edge::arc(Point::new(5.0, -1.0), Point::new(2.0, 2.0), centre, 3.0, Turn::Left).unwrap();
        assert_eq!(quarter.distance(Point::new(2.0, 4.0)), 2.0);
        assert!((quarter.distance(Point::new(2.0 + 0.6, -1.0 + 0.8)) - 2.0).abs() < 1e-14);
        // outside the sweep the nearer end counts
        assert_eq!(quarter.distance(Point::new(5.0, -5.0)), 4.0);
        assert_eq!(quarter.distance(centre), 3.0);
        let rest = Edge::arc(Point::new(5.0, -1.0), Point::new(2.0, 2.0), centre, 3.0, Turn::Right).unwrap();
        assert_eq!(rest.distance(Point::new(2.0, -5.0)), 1.0);
        assert_eq!(rest.nearest(Point::new(2.0, -5.0)), Point::new(2.0, -4.0));
    }
}
