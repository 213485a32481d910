//! One groove of a side cut along its centre line by a plane through the axis.

use crate::geometry::{Edge, Point, Turn, roots};
use crate::groove::SideGroove;
use crate::section::{Profile, Section};
use crate::wheel::{InnerEnd, SideName, Wheel};

/// Steps of the scan for places where the floor meets the surface, per span of the profile.
const SCAN_STEPS: usize = 8;
/// Chords of a run-out that the skew of its groove makes no circle.
const CHORDS: i32 = 8;

/// One side's groove in the section, in (r, depth below the side's datum plane).
#[derive(Debug, Clone)]
pub(super) struct GrooveSection {
    groove: SideGroove,
    inner: f64,
    outer: f64,
    /// Intervals of r over which the groove is deeper than the surface.
    pub cut: Vec<(f64, f64)>,
    /// Its edges in (r, depth): walls and floor.
    pub edges: Vec<Edge>,
}

impl GrooveSection {
    pub fn of(wheel: &Wheel, section: &Section, side: SideName) -> Option<GrooveSection> {
        let groove = SideGroove::of(wheel, side)?;
        let inner = wheel.side(side).grooves.as_ref()?.inner_diameter / 2.0;
        let outer = groove.outer_u.map_or(wheel.outside_radius(), |u| u.hypot(groove.offset));
        let mut found = GrooveSection { groove, inner, outer, cut: Vec::new(), edges: Vec::new() };
        let profile = section.profile(side);
        found.cut = found.intervals(profile);
        found.edges = found.all_edges(profile);
        Some(found)
    }

    /// Depth of the floor at radius r on the centre line.
    fn floor(&self, r: f64) -> f64 {
        let v = self.groove.offset;
        self.groove.floor.depth(((r - v) * (r + v)).max(0.0).sqrt())
    }

    /// Whether a point (r, depth) lies in the groove or above it.
    pub fn is_void(&self, r: f64, depth: f64) -> bool {
        r > self.inner && r < self.outer && depth < self.floor(r)
    }

    fn intervals(&self, profile: &Profile) -> Vec<(f64, f64)> {
        let mut out: Vec<(f64, f64)> = Vec::new();
        for span in profile.spans() {
            let (a, b) = (span.inner.max(self.inner), span.outer.min(self.outer));
            if b <= a {
                continue;
            }
            let clear = |r: f64| self.floor(r) - span.depth(r);
            let mut cuts = vec![a];
            cuts.extend(roots::scan(a, b, SCAN_STEPS, clear));
            cuts.push(b);
            for pair in cuts.windows(2).filter(|p| p[1] > p[0] && clear((p[0] + p[1]) / 2.0) > 0.0) {
                match out.last_mut() {
                    Some(last) if last.1 == pair[0] => last.1 = pair[1],
                    _ => out.push((pair[0], pair[1])),
                }
            }
        }
        out
    }

    fn all_edges(&self, profile: &Profile) -> Vec<Edge> {
        let mut edges = Vec::new();
        for &(a, b) in &self.cut {
            let runout = matches!(self.groove.inner_end, InnerEnd::Runout { .. });
            if a == self.inner && !runout {
                edges.push(Edge::line(Point::new(a, profile.depth_at(a)), Point::new(a, self.floor(a))));
            }
            edges.extend(self.floor_edges(a, b));
            if b == self.outer && self.groove.outer_u.is_some() {
                edges.push(Edge::line(Point::new(b, self.floor(b)), Point::new(b, profile.depth_inside(b))));
            }
        }
        edges.retain(|e| e.start() != e.end());
        edges
    }

    fn floor_edges(&self, a: f64, b: f64) -> Vec<Edge> {
        let at = |r: f64| Point::new(r, self.floor(r));
        let Some(rise) = self.groove.floor.rise else { return vec![Edge::line(at(a), at(b))] };
        let tangent = rise.tangent_u.hypot(self.groove.offset);
        if tangent <= a {
            return vec![Edge::line(at(a), at(b))];
        }
        let end = tangent.min(b);
        let centre = Point::new(rise.centre_u, rise.centre_depth);
        let on_circle = |p: Point| (p - centre).unit().map_or(p, |d| centre + d * rise.radius);
        let arc = (self.groove.offset == 0.0)
            .then(|| Edge::arc(on_circle(at(a)), on_circle(at(end)), centre, rise.radius, Turn::Right).ok())
            .flatten();
        let mut edges = match arc {
            Some(arc) => vec![arc],
            None => {
                let r = |i: i32| a + (end - a) * f64::from(i) / f64::from(CHORDS);
                (0..CHORDS).map(|i| Edge::line(at(r(i)), at(r(i + 1)))).collect()
            }
        };
        if end < b {
            let from = edges.last().map_or(at(end), Edge::end);
            edges.push(Edge::line(from, at(b)));
        }
        edges
    }
}
