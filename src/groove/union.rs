//! What grooves remove together where they may run into each other: neighbours of one side near the axis, opposite sides, sides and face,
//! or a groove that breaks through into the opposite side.
//!
//! On a circle about the axis each groove removes, over some angle, a range of z between two curves. Between the angles where a curve begins, ends or
//! meets another the union of the ranges is one smooth expression, integrated by Gauss's rule; the radius is integrated adaptively.

use super::alone::{cut_angles, integrate, pieces, section_breaks, side_breaks};
use super::side::Interval;
use super::{Grooves, Removed, SideGroove};
use crate::geometry::quadrature::{gauss, smooth_ends};
use crate::geometry::{Point, roots};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Pattern, SideName};
use std::f64::consts::TAU;

/// Nodes over each smooth interval of angle.
const ANGULAR_NODES: usize = 8;
/// Steps of the scan for places where two curves meet.
const MEETING_STEPS: usize = 3;

/// Whether any two grooves of the wheel could share material, or one could reach through to the other side: a bound on the safe side.
pub(super) fn may_overlap(grooves: &Grooves) -> bool {
    let sides = SideName::BOTH.map(|s| grooves.side(s));
    let thickness = grooves.wheel.thickness;
    let neighbours = sides.into_iter().flatten().any(|g| neighbours_may_meet(grooves, g));
    let opposite = match sides {
        [Some(a), Some(b)] => a.deepest() + b.deepest() > thickness - SAME_LENGTH,
        _ => false,
    };
    let through =
        sides.into_iter().flatten().any(|g| g.deepest() > thickness - greatest_depth(grooves, g.side.other()));
    let face = grooves.face().is_some_and(|f| sides.into_iter().flatten().any(|g| g.reach().1 > f.floor_u));
    neighbours || opposite || through || face
}

/// The greatest depth of a side's surface, corners included.
fn greatest_depth(grooves: &Grooves, side: SideName) -> f64 {
    let profile = grooves.section.profile(side);
    profile.edges().iter().map(|(e, _)| e.bounds().max.y).fold(0.0, f64::max)
}

fn neighbours_may_meet(grooves: &Grooves, groove: &SideGroove) -> bool {
    let Some(pattern) = pattern_of(grooves, groove.side) else { return false };
    let near = groove.reach().0.max(grooves.wheel.bore_radius());
    let (low, high) = groove.walls();
    if pattern.places == 1 {
        return false;
    }
    if low <= -near || high >= near {
        return true;
    }
    (high / near).asin() - (low / near).asin() > pattern.pitch_deg().to_radians() * (1.0 - SAME_LENGTH)
}

fn pattern_of<'a>(grooves: &Grooves<'a>, side: SideName) -> Option<&'a Pattern> {
    grooves.wheel.side(side).grooves.as_ref().map(|g| &g.pattern)
}

/// All grooves together, overlaps counted once.
pub(super) fn together(grooves: &Grooves) -> Removed {
    let cluster = Cluster::of(grooves);
    let near = cluster.sides.iter().map(|(g, _)| g.reach().0).chain(grooves.face().map(|f| f.floor_u));
    let near = near.fold(f64::MAX, f64::min).max(grooves.wheel.bore_radius());
    let mut sum = Removed::default();
    for (a, b) in pieces(near, grooves.wheel.outside_radius(), cluster.breaks()) {
        sum = sum.plus(integrate(a, b, |r| cluster.slice(r)));
    }
    let turns = f64::from(cluster.repeats);
    let first = if cluster.repeats > 1 { Point::ORIGIN } else { sum.first };
    sum.repeated(turns, first)
}

/// The grooves over one period of the whole pattern.
struct Cluster<'a> {
    grooves: &'a Grooves<'a>,
    /// Grooves of the sides with the direction of their frames, radians.
    sides: Vec<(&'a SideGroove, f64)>,
    /// Directions of the face grooves at z = 0, radians.
    faces: Vec<f64>,
    /// How many periods make the circle.
    repeats: u32,
    /// Angle of a period, radians.
    period: f64,
}

/// A curve that bounds a range of z over the angle.
#[derive(Clone, Copy)]
enum Curve<'a> {
    /// The floor of a side's groove laid at this direction.
    Floor(&'a SideGroove, f64),
    /// The edge of a face groove: a straight line of z over the angle, 0 at this angle.
    Flank(f64),
    /// The surface of either side.
    Surface(f64),
}

impl<'a> Cluster<'a> {
    fn of(grooves: &'a Grooves<'a>) -> Cluster<'a> {
        let patterns: Vec<&Pattern> = SideName::BOTH
            .into_iter()
            .filter_map(|s| pattern_of(grooves, s))
            .chain(grooves.wheel.face.as_ref().map(|f| &f.pattern))
            .collect();
        let whole = patterns.iter().all(|p| p.omit.is_empty());
        let repeats = if whole { patterns.iter().map(|p| p.places).fold(0, gcd).max(1) } else { 1 };
        let directions = |p: &Pattern| -> Vec<f64> {
            p.cut().filter(|k| k - 1 < p.places / repeats).map(|k| p.angle_deg(k).to_radians()).collect()
        };
        let mut sides = Vec::new();
        for side in SideName::BOTH {
            if let (Some(groove), Some(pattern)) = (grooves.side(side), pattern_of(grooves, side)) {
                sides.extend(directions(pattern).into_iter().map(|d| (groove, d + groove.turn)));
            }
        }
        let faces = grooves.wheel.face.as_ref().map_or_else(Vec::new, |f| directions(&f.pattern));
        Cluster { grooves, sides, faces, repeats, period: TAU / f64::from(repeats) }
    }

    fn breaks(&self) -> Vec<f64> {
        let mut breaks: Vec<f64> = section_breaks(self.grooves.section).collect();
        for groove in SideName::BOTH.into_iter().filter_map(|s| self.grooves.side(s)) {
            for span in self.grooves.section.profile(groove.side).spans() {
                breaks.extend(side_breaks(groove, span, span.inner, span.outer));
            }
            if let Some(pattern) = pattern_of(self.grooves, groove.side) {
                breaks.extend(merge_radius(groove, pattern.pitch_deg().to_radians()));
            }
        }
        breaks.extend(self.grooves.face().into_iter().flat_map(|f| f.plan_breaks()));
        breaks
    }

    /// What is removed on the circle r over one period, per mm of r.
    fn slice(&self, r: f64) -> Removed {
        let surfaces = self.surfaces(r);
        let mut ranges = self.ranges(r, surfaces);
        let mut ends: Vec<f64> = ranges.iter().flat_map(|g| [g.angles.0, g.angles.1]).collect();
        ends.extend([0.0, self.period]);
        ends.retain(|a| (0.0..=self.period).contains(a));
        ends.sort_by(f64::total_cmp);
        ends.dedup();
        ranges.sort_by(|p, q| p.angles.0.total_cmp(&q.angles.0));
        let longest = ranges.iter().map(|g| g.angles.1 - g.angles.0).fold(0.0, f64::max);
        let mut sum = Removed::default();
        let mut first = 0;
        for pair in ends.windows(2) {
            let middle = (pair[0] + pair[1]) / 2.0;
            // ranges are sorted by their beginning: those that began longer ago than the longest lasts are over
            while first < ranges.len() && ranges[first].angles.0 + longest < middle {
                first += 1;
            }
            let active: Vec<&Range> =
                ranges[first..].iter().take_while(|g| g.angles.0 <= middle).filter(|g| g.angles.1 >= middle).collect();
            if !active.is_empty() {
                sum = sum.plus(self.between(r, surfaces, &active, pair[0], pair[1]));
            }
        }
        sum
    }

    /// z of side A's and of side B's surface on the circle r.
    fn surfaces(&self, r: f64) -> Interval {
        let section = self.grooves.section;
        let high = self.grooves.wheel.thickness - section.profile(SideName::B).depth_at(r);
        (section.profile(SideName::A).depth_at(r), high)
    }

    /// Every groove's range on the circle r, over the period from 0 with whatever reaches into it from before and after.
    fn ranges(&self, r: f64, surfaces: Interval) -> Vec<Range<'a>> {
        let mut out = Vec::new();
        let mut lay = |angles: Interval, low: Curve<'a>, high: Curve<'a>| {
            let turns = ((angles.0 / self.period).floor(), (angles.1 / self.period).floor());
            let mut turn = turns.0;
            while turn <= turns.1 {
                let by = -turn * self.period;
                out.push(Range { angles: (angles.0 + by, angles.1 + by), low: low.turned(by), high: high.turned(by) });
                turn += 1.0;
            }
        };
        for &(groove, direction) in &self.sides {
            let surface = match groove.side {
                SideName::A => surfaces.0,
                SideName::B => self.grooves.wheel.thickness - surfaces.1,
            };
            for interval in groove.angles(r).into_iter().flatten() {
                for (a, b) in cut_angles(groove, r, surface, interval) {
                    let floor = Curve::Floor(groove, direction);
                    let (low, high) = match groove.side {
                        SideName::A => (Curve::Surface(surfaces.0), floor),
                        SideName::B => (floor, Curve::Surface(surfaces.1)),
                    };
                    lay((a + direction, b + direction), low, high);
                }
            }
        }
        let Some(face) = self.grooves.face() else { return out };
        let Some(half) = face.half_angle(r) else { return out };
        for &direction in &self.faces {
            if face.twist == 0.0 {
                let (low, high) = (Curve::Surface(surfaces.0), Curve::Surface(surfaces.1));
                lay((direction - half, direction + half), low, high);
            } else {
                let ends = [surfaces.0, surfaces.1].map(|z| z * face.twist);
                let angles = (direction - half + ends[0].min(ends[1]), direction + half + ends[0].max(ends[1]));
                let flanks = (Curve::Flank(direction - half), Curve::Flank(direction + half));
                // z = (angle − its angle at z = 0) / twist: the flank that lies ahead bounds from below where the twist is positive
                let (low, high) = if face.twist > 0.0 { (flanks.1, flanks.0) } else { (flanks.0, flanks.1) };
                lay(angles, low, high);
            }
        }
        out
    }

    fn z(&self, curve: &Curve, r: f64, angle: f64, surfaces: Interval) -> f64 {
        let z = match *curve {
            Curve::Surface(z) => z,
            Curve::Flank(at_zero) => (angle - at_zero) / self.grooves.face().map_or(1.0, |f| f.twist),
            Curve::Floor(groove, direction) => {
                let depth = groove.depth_at(r, angle - direction);
                if groove.side == SideName::A { depth } else { self.grooves.wheel.thickness - depth }
            }
        };
        z.clamp(surfaces.0, surfaces.1)
    }

    /// What these ranges remove together between two angles within which none begins or ends.
    fn between(&self, r: f64, surfaces: Interval, active: &[&Range], a: f64, b: f64) -> Removed {
        if active.len() == 1 && self.grooves.face().is_none_or(|f| f.twist == 0.0) && !active[0].may_pierce(surfaces) {
            return self.smooth(r, surfaces, active, a, b);
        }
        let mut meetings = vec![a, b];
        let curves: Vec<Curve> = active.iter().flat_map(|g| [g.low, g.high]).collect();
        let raw = |c: &Curve, angle: f64| self.z(c, r, angle, (f64::MIN, f64::MAX));
        for (i, p) in curves.iter().enumerate() {
            let (low, high) = (Curve::Surface(surfaces.0), Curve::Surface(surfaces.1));
            for q in curves[i + 1..].iter().chain([&low, &high]) {
                if matches!((p, q), (Curve::Surface(_), Curve::Surface(_))) {
                    continue;
                }
                meetings.extend(roots::scan(a, b, MEETING_STEPS, |x| raw(p, x) - raw(q, x)));
            }
        }
        meetings.retain(|x| (a..=b).contains(x));
        meetings.sort_by(f64::total_cmp);
        meetings.dedup();
        meetings
            .windows(2)
            .map(|w| self.smooth(r, surfaces, active, w[0], w[1]))
            .fold(Removed::default(), Removed::plus)
    }

    /// The same where no two curves meet in between.
    fn smooth(&self, r: f64, surfaces: Interval, active: &[&Range], a: f64, b: f64) -> Removed {
        let mut sum = Removed::default();
        let mut spans: Vec<Interval> = Vec::with_capacity(active.len());
        for &(t, weight) in gauss(ANGULAR_NODES + 8).nodes() {
            let (angle, scale) = smooth_ends(a, b, t);
            spans.clear();
            spans.extend(
                active.iter().map(|g| (self.z(&g.low, r, angle, surfaces), self.z(&g.high, r, angle, surfaces))),
            );
            spans.retain(|s| s.1 > s.0);
            spans.sort_by(|p, q| p.0.total_cmp(&q.0));
            let mut reached = f64::MIN;
            for &(low, high) in &spans {
                let (low, high) = (low.max(reached), high.max(reached));
                let (w, column) = (weight * scale * r, high - low);
                reached = high;
                sum.volume += w * column;
                sum.first = sum.first + Point::polar(w * r * column, angle);
                sum.z += w * column * (high + low) / 2.0;
                sum.zz += w * column * (high * high + high * low + low * low) / 3.0;
                sum.polar += w * r * r * column;
            }
        }
        sum
    }
}

/// One groove's range of z over an interval of angle.
struct Range<'a> {
    angles: Interval,
    low: Curve<'a>,
    high: Curve<'a>,
}

impl Range<'_> {
    /// Whether its floor may lie beyond the opposite surface somewhere.
    fn may_pierce(&self, surfaces: Interval) -> bool {
        [&self.low, &self.high].into_iter().any(|c| match c {
            Curve::Floor(g, _) => g.deepest() >= surfaces.1 - surfaces.0,
            _ => false,
        })
    }
}

impl Curve<'_> {
    fn turned(self, by: f64) -> Self {
        match self {
            Curve::Floor(groove, direction) => Curve::Floor(groove, direction + by),
            Curve::Flank(at_zero) => Curve::Flank(at_zero + by),
            surface @ Curve::Surface(_) => surface,
        }
    }
}

/// Radii where the facing walls of neighbouring grooves cross.
fn merge_radius(groove: &SideGroove, pitch: f64) -> Option<f64> {
    // the upper wall v = high of one groove and the lower wall v = low of the next, turned by the pitch
    let (low, high) = groove.walls();
    let sin = pitch.sin();
    (sin > 0.0).then(|| ((high * high - 2.0 * high * low * pitch.cos() + low * low).sqrt() / sin).abs())
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}
