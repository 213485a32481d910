//! Details show what lies inside a circle: edges clipped to a disc.

use crate::geometry::{Contour, Edge, Point, Turn};

/// The inside of a circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Disc {
    pub centre: Point,
    pub radius: f64,
}

impl Disc {
    /// Its rim as a contour of two arcs; `None` where the radius is no radius.
    pub fn contour(&self) -> Option<Contour> {
        let across = Point::new(self.radius, 0.0);
        let (right, left) = (self.centre + across, self.centre - across);
        let half = |a: Point, b: Point| Edge::arc(a, b, self.centre, self.radius, Turn::Left).ok();
        Contour::new(vec![half(right, left)?, half(left, right)?]).ok()
    }

    pub fn contains(&self, p: Point) -> bool {
        p.distance(self.centre) < self.radius
    }

    /// The parts of an edge inside.
    pub fn clip(&self, edge: &Edge) -> Vec<Edge> {
        let mut cuts = vec![0.0, 1.0];
        match edge {
            Edge::Line(l) => {
                let (d, m) = (l.end - l.start, l.start - self.centre);
                let (a, b, c) = (d.dot(d), m.dot(d), m.dot(m) - self.radius * self.radius);
                if b * b > a * c && a > 0.0 {
                    let root = (b * b - a * c).sqrt();
                    cuts.extend([(-b - root) / a, (-b + root) / a]);
                }
            }
            Edge::Arc(arc) => {
                let to = arc.centre() - self.centre;
                let d = to.length();
                // where the two circles meet, as directions from the arc's own centre
                let cos = (self.radius * self.radius - arc.radius() * arc.radius() - d * d) / (2.0 * arc.radius() * d);
                if d > 0.0 && cos.abs() < 1.0 {
                    for angle in [to.angle() + cos.acos(), to.angle() - cos.acos()] {
                        if arc.sweeps(angle) {
                            let turned = (angle - arc.start_angle()) * arc.turn().sign();
                            cuts.push(turned.rem_euclid(std::f64::consts::TAU) / arc.sweep().abs());
                        }
                    }
                }
            }
        }
        cuts.retain(|t| (0.0..=1.0).contains(t));
        cuts.sort_by(f64::total_cmp);
        let inside = |p: &&[f64]| p[1] > p[0] && self.contains(edge.at((p[0] + p[1]) / 2.0));
        cuts.windows(2).filter(inside).filter_map(|p| edge.part(p[0], p[1])).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_arcs_end_on_the_circle() {
        let disc = Disc { centre: Point::new(1.0, 2.0), radius: 5.0 };
        let line = Edge::line(Point::new(-20.0, 3.0), Point::new(20.0, 3.0));
        let parts = disc.clip(&line);
        assert_eq!(parts.len(), 1);
        let arc = Edge::arc(Point::new(8.0, 2.0), Point::new(2.0, 2.0), Point::new(5.0, 2.0), 3.0, Turn::Left).unwrap();
        let arcs = disc.clip(&arc);
        assert_eq!(arcs.len(), 1);
        assert_eq!(arcs[0].end(), arc.end());
        for p in [parts[0].start(), parts[0].end(), arcs[0].start()] {
            assert!((p.distance(disc.centre) - 5.0).abs() < 1e-12, "{p:?}");
        }
        assert!(disc.clip(&Edge::line(Point::new(30.0, 0.0), Point::new(40.0, 1.0))).is_empty());
    }
}
