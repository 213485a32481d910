//! Lines and arcs as a net: ends that meet are one knot, doubled lines are one, loose ends are taken away.

use crate::geometry::{Edge, Point};

/// An edge between two knots.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Link {
    /// Its geometry as drawn.
    pub edge: Edge,
    /// The knot of its start and of its end.
    pub knots: [usize; 2],
}

/// The net.
#[derive(Debug, Clone, PartialEq)]
pub struct Net {
    /// Where the knots are.
    pub knots: Vec<Point>,
    /// The edges that hang together on both ends.
    pub links: Vec<Link>,
    /// An end that met no other.
    loose: Option<Point>,
}

impl Net {
    /// Of edges whose ends meet within `gap`, mm.
    pub fn of(edges: &[Edge], gap: f64) -> Net {
        let mut net = Net { knots: Vec::new(), links: Vec::new(), loose: None };
        for &edge in edges {
            let knots = [net.knot(edge.start(), gap), net.knot(edge.end(), gap)];
            let link = Link { edge, knots };
            // a stroke shorter than the gap, or one drawn twice, says nothing
            if knots[0] != knots[1] && !net.links.iter().any(|l| is_same(l, &link, gap)) {
                net.links.push(link);
            }
        }
        net.split(gap);
        net.prune();
        net
    }

    /// An end that met no other.
    pub fn loose_end(&self) -> Option<Point> {
        self.loose
    }

    fn knot(&mut self, p: Point, gap: f64) -> usize {
        if let Some(known) = self.knots.iter().position(|k| k.distance(p) <= gap) {
            return known;
        }
        self.knots.push(p);
        self.knots.len() - 1
    }

    /// Lines that overlap along their length are parted at each other's ends, so that what is drawn over twice is there once.
    fn split(&mut self, gap: f64) {
        let mut at = 0;
        while at < self.links.len() {
            let link = self.links[at];
            let inside = self.links.iter().enumerate().filter(|(i, _)| *i != at).find_map(|(_, other)| {
                let along = is_along(&link.edge, &other.edge, gap);
                other.knots.into_iter().find(|&k| along && !link.knots.contains(&k) && self.is_inside(&link, k, gap))
            });
            match inside {
                Some(knot) => {
                    let middle = self.knots[knot];
                    self.links.swap_remove(at);
                    for (from, to, knots) in [
                        (link.edge.start(), middle, [link.knots[0], knot]),
                        (middle, link.edge.end(), [knot, link.knots[1]]),
                    ] {
                        let part = Link { edge: Edge::line(from, to), knots };
                        if !self.links.iter().any(|l| is_same(l, &part, gap)) {
                            self.links.push(part);
                        }
                    }
                }
                None => at += 1,
            }
        }
    }

    fn is_inside(&self, link: &Link, knot: usize, gap: f64) -> bool {
        let p = self.knots[knot];
        link.edge.distance(p) <= gap && p.distance(link.edge.start()) > gap && p.distance(link.edge.end()) > gap
    }

    /// Takes away what hangs on one end only: dimension lines, hatching, marks.
    fn prune(&mut self) {
        loop {
            let mut degree = vec![0_usize; self.knots.len()];
            self.links.iter().flat_map(|l| l.knots).for_each(|k| degree[k] += 1);
            if self.loose.is_none() {
                self.loose = degree.iter().position(|d| *d == 1).map(|k| self.knots[k]);
            }
            let before = self.links.len();
            self.links.retain(|l| l.knots.iter().all(|k| degree[*k] > 1));
            if self.links.len() == before {
                return;
            }
        }
    }
}

/// Whether two links are the same stroke, either way round.
fn is_same(a: &Link, b: &Link, gap: f64) -> bool {
    let ends = a.knots == b.knots || (a.knots[0] == b.knots[1] && a.knots[1] == b.knots[0]);
    ends && a.edge.at(0.5).distance(b.edge.at(0.5)) <= gap
}

/// Whether two lines lie on one straight line.
fn is_along(a: &Edge, b: &Edge, gap: f64) -> bool {
    let (Edge::Line(a), Edge::Line(b)) = (a, b) else { return false };
    let Some(along) = (a.end - a.start).unit() else { return false };
    let off = |p: Point| along.cross(p - a.start).abs();
    off(b.start) <= gap && off(b.end) <= gap
}
