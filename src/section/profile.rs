//! One side of the section: depth below the side's datum plane over the radius, from the bore outwards.

use super::{Feature, SectionError};
use crate::geometry::{Edge, Point, round_end, rounded};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Corner, Side, SideName, Wheel};

/// The edges of one side in (r, depth), from the bore to the outside diameter; the radius never falls along it.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    edges: Vec<(Edge, Feature)>,
    spans: Vec<Span>,
}

/// A part of a profile over which the depth is one smooth function of the radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Inner radius, mm.
    pub inner: f64,
    /// Outer radius, above `inner`.
    pub outer: f64,
    /// What makes it.
    pub feature: Feature,
    edge: Edge,
}

impl Span {
    /// Depth below the datum plane at radius r within the span, mm.
    pub fn depth(&self, r: f64) -> f64 {
        match &self.edge {
            Edge::Line(l) => {
                let t = ((r - l.start.x) / (l.end.x - l.start.x)).clamp(0.0, 1.0);
                l.start.y + (l.end.y - l.start.y) * t
            }
            Edge::Arc(a) => {
                let dr = r - a.centre().x;
                let half = ((a.radius() - dr) * (a.radius() + dr)).max(0.0).sqrt();
                // a fillet hangs below its centre (deeper), a convex corner stands above it
                let deeper = a.at(0.5).y > a.centre().y;
                if deeper { a.centre().y + half } else { a.centre().y - half }
            }
        }
    }
}

impl Profile {
    /// The profile of one side of a wheel.
    ///
    /// # Errors
    /// Where a corner or fillet does not fit.
    pub fn of(wheel: &Wheel, name: SideName) -> Result<Profile, SectionError> {
        let mut trace = Trace { wheel, side: wheel.side(name), name, edges: Vec::new(), at: Point::ORIGIN };
        trace.bore();
        trace.recess()?;
        trace.flank()?;
        let edges = trace.edges;
        let spans = edges.iter().filter_map(|&(edge, feature)| {
            let (inner, outer) = (edge.start().x, edge.end().x);
            (outer > inner).then_some(Span { inner, outer, feature, edge })
        });
        let spans = spans.collect();
        Ok(Profile { edges, spans })
    }

    /// Edges with their features in (r, depth), from the bore outwards.
    pub fn edges(&self) -> &[(Edge, Feature)] {
        &self.edges
    }

    /// The parts over which the depth is one smooth function of r, rising in r and without gaps; walls lie between them.
    pub fn spans(&self) -> &[Span] {
        &self.spans
    }

    /// Where the profile begins, at the bore.
    pub fn start(&self) -> Point {
        self.edges.first().map_or(Point::ORIGIN, |(e, _)| e.start())
    }

    /// Where it ends, at the outside diameter.
    pub fn end(&self) -> Point {
        self.edges.last().map_or(Point::ORIGIN, |(e, _)| e.end())
    }

    /// Depth below the datum plane at radius r, mm; where a wall stands at r, that just outside it.
    pub fn depth_at(&self, r: f64) -> f64 {
        let i = self.spans.partition_point(|s| s.outer <= r).min(self.spans.len() - 1);
        self.spans[i].depth(r)
    }

    /// Whether the other side's profile has the same shape.
    pub fn is_alike(&self, other: &Profile) -> bool {
        let alike = |(a, b): (&Span, &Span)| a.inner == b.inner && a.outer == b.outer && a.edge == b.edge;
        self.spans.len() == other.spans.len() && self.spans.iter().zip(&other.spans).all(alike)
    }

    /// Depth just inside radius r: the floor where a wall stands at r.
    pub fn depth_inside(&self, r: f64) -> f64 {
        let i = self.spans.partition_point(|s| s.outer < r).min(self.spans.len() - 1);
        self.spans[i].depth(r)
    }
}

/// Draws a profile from the bore outwards.
struct Trace<'a> {
    wheel: &'a Wheel,
    side: &'a Side,
    name: SideName,
    edges: Vec<(Edge, Feature)>,
    at: Point,
}

impl Trace<'_> {
    fn to(&mut self, p: Point, feature: Feature) {
        if p != self.at {
            self.edges.push((Edge::line(self.at, p), feature));
            self.at = p;
        }
    }

    fn bore(&mut self) {
        let (r, c) = (self.wheel.bore_radius(), self.wheel.bore_chamfer);
        self.at = Point::new(r, self.side.depth_at_bore(r) + c);
        let end = Point::new(r + c, self.side.depth_at_bore(r + c));
        self.to(end, Feature::BoreChamfer(self.name));
    }

    fn recess(&mut self) -> Result<(), SectionError> {
        for (i, step) in self.side.recess.iter().enumerate().rev() {
            let r = step.diameter / 2.0;
            let upper = if i == 0 { self.side.nominal_depth(r) } else { self.side.recess[i - 1].depth };
            let (foot, head) = (Point::new(r, step.depth), Point::new(r, upper));
            if step.fillet_radius > 0.0 {
                let feature = Feature::RecessFillet(self.name, i);
                let edges = rounded(self.at, foot, head, step.fillet_radius)
                    .map_err(|e| SectionError::DoesNotFit { feature, why: e.to_string() })?;
                for edge in edges {
                    let of = match edge {
                        Edge::Arc(_) => feature,
                        Edge::Line(l) if l.start.x == l.end.x => Feature::RecessWall(self.name, i),
                        Edge::Line(_) => Feature::RecessFloor(self.name, i),
                    };
                    self.edges.push((edge, of));
                }
                self.at = head;
            } else {
                self.to(foot, Feature::RecessFloor(self.name, i));
                self.to(head, Feature::RecessWall(self.name, i));
            }
        }
        Ok(())
    }

    /// From the outermost recess (or the bore) along the nominal side line and round the corner.
    fn flank(&mut self) -> Result<(), SectionError> {
        let outside = self.wheel.outside_radius();
        let taper = self.side.taper;
        let mut kinks: Vec<f64> = taper.iter().flat_map(|t| [t.from_diameter / 2.0, t.to_diameter / 2.0]).collect();
        kinks.retain(|&k| k > self.at.x + SAME_LENGTH && k < outside - SAME_LENGTH);
        kinks.sort_by(f64::total_cmp);
        let rim = Point::new(outside, self.side.nominal_depth(outside));
        let line = |r: f64| Point::new(r, self.side.nominal_depth(r));
        let feature = Feature::Corner(self.name);
        match self.side.corner {
            None => self.along(kinks.into_iter().map(line).chain([rim])),
            Some(Corner::Chamfer { run, angle_deg }) => {
                // a chamfer as wide as its side begins where the side does
                let start = if (outside - run - self.at.x).abs() <= SAME_LENGTH { self.at.x } else { outside - run };
                kinks.retain(|&k| k < start - SAME_LENGTH);
                self.along(kinks.into_iter().map(line).chain([line(start)]));
                self.to(Point::new(outside, rim.y + run * angle_deg.to_radians().tan()), feature);
            }
            Some(Corner::Radius(radius)) => {
                let chain: Vec<Point> = [self.at].into_iter().chain(kinks.into_iter().map(line)).chain([rim]).collect();
                let below = Point::new(outside, rim.y + 2.0 * self.wheel.thickness);
                let (touched, arc) = round_end(&chain, below, radius)
                    .map_err(|e| SectionError::DoesNotFit { feature, why: e.to_string() })?;
                self.along(chain[1..=touched].iter().copied().chain([arc.start()]));
                self.edges.push((Edge::Arc(arc), feature));
                self.at = arc.end();
            }
        }
        Ok(())
    }

    /// Along the nominal side line to each of these points.
    fn along(&mut self, points: impl Iterator<Item = Point>) {
        for p in points {
            self.to(p, self.flank_feature(p.x));
        }
    }

    /// What makes the nominal side line just inside radius r.
    fn flank_feature(&self, r: f64) -> Feature {
        let Some(taper) = self.side.taper else { return Feature::Flat(self.name) };
        let (inner, outer) = taper.sloped();
        if r > inner + SAME_LENGTH && r <= outer + SAME_LENGTH {
            Feature::Taper(self.name)
        } else if self.side.nominal_depth(r) > 0.0 {
            Feature::TaperFlat(self.name)
        } else {
            Feature::Flat(self.name)
        }
    }
}
