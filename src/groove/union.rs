//! What grooves remove together where they may run into each other: neighbours of one side near the axis, opposite sides, sides and face,
//! or a groove that breaks through into the opposite side.
//!
//! Grooves that may share material form a cluster; what a cluster's grooves remove singly less what they remove together is taken off the sum of all
//! grooves. Clusters that differ only by a turn of the wheel are computed once.

use super::alone::{cut_angles, pieces, section_breaks, side_breaks};
use super::cluster::{self, Cluster, Member};
use super::side::Interval;
use super::{Grooves, Removed};
use crate::geometry::quadrature::{gauss, smooth_ends};
use crate::geometry::refined::integrate;
use crate::geometry::{Point, roots};
use crate::tolerance::{SAME_ANGLE, SAME_LENGTH};
use crate::wheel::SideName;
use std::collections::HashMap;

/// Nodes over each smooth interval of angle, and where no bottom is round: then nothing behaves as a square root at its ends.
const ANGULAR_NODES: usize = 16;
const STRAIGHT_NODES: usize = 8;
/// Steps of the scan for places where two curves meet.
const MEETING_STEPS: usize = 4;
/// Steps of width by which windows are told apart before they are compared, in angles that count as one.
const WIDTH_STEP: f64 = 16.0;

/// What one groove of each sort removes alone: of side A, side B and the face.
pub(super) type Ones = [Option<Removed>; 3];

/// By how much the grooves of all clusters, each taken alone, exceed what they remove together; exact to a share of what they remove alone.
pub(super) fn excess(grooves: &Grooves, ones: &Ones) -> Removed {
    let mut known: Vec<(Cluster, Removed)> = Vec::new();
    let mut sum = Removed::default();
    for found in cluster::all(grooves) {
        let same = known.iter().position(|(c, _)| c.is_turned(&found));
        let index = same.unwrap_or_else(|| {
            let removed = Sharing { grooves, cluster: &found }.excess(ones);
            known.push((found.clone(), removed));
            known.len() - 1
        });
        let (of, one) = &known[index];
        let turn = found.direction() - of.direction();
        sum = sum.plus(one.repeated(f64::from(found.repeats), found.first_of(one.first.rotated(turn))));
    }
    sum
}

/// What one groove of a side would remove beyond the opposite side's surface: nothing, unless it breaks through. At place 1.
pub(super) fn beyond(grooves: &Grooves, groove: &super::SideGroove, ones: &Ones) -> Removed {
    let cluster = cluster::alone(grooves, groove);
    cluster.map_or_else(Removed::default, |cluster| Sharing { grooves, cluster: &cluster }.excess(ones))
}

/// One cluster of grooves that may share material.
struct Sharing<'a> {
    grooves: &'a Grooves<'a>,
    cluster: &'a Cluster<'a>,
}

/// A curve that bounds a range of z over the angle.
#[derive(Clone, Copy)]
enum Curve<'a> {
    /// The floor of a side's groove laid at a direction.
    Floor(&'a super::SideGroove, Direction),
    /// The edge of a helical face groove: a straight line of z over the angle, 0 at this angle.
    Flank(f64),
    /// The surface of either side.
    Surface(f64),
}

/// An angle about the axis with its sine and cosine, which every depth on a circle asks for.
#[derive(Clone, Copy)]
struct Direction {
    angle: f64,
    sin: f64,
    cos: f64,
}

impl Direction {
    fn of(angle: f64) -> Direction {
        let (sin, cos) = angle.sin_cos();
        Direction { angle, sin, cos }
    }
}

/// One groove's range of z over an interval of angle.
struct Range<'a> {
    angles: Interval,
    low: Curve<'a>,
    high: Curve<'a>,
}

/// An interval of angle within which no range begins or ends, and the ranges there.
struct Window<'r, 'a> {
    active: Vec<&'r Range<'a>>,
    angles: Interval,
    excess: Removed,
}

impl<'r, 'a> Window<'r, 'a> {
    fn new(active: Vec<&'r Range<'a>>, angles: Interval) -> Self {
        Window { active, angles, excess: Removed::default() }
    }

    /// Whether the other is this one turned about the axis.
    fn is_turned(&self, other: &Window) -> bool {
        let turn = other.angles.0 - self.angles.0;
        let same = |p: &Curve, q: &Curve| p.is_turned(q, turn);
        (other.angles.1 - self.angles.1 - turn).abs() < SAME_ANGLE
            && self.active.len() == other.active.len()
            && self.active.iter().zip(&other.active).all(|(p, q)| same(&p.low, &q.low) && same(&p.high, &q.high))
    }
}

impl<'a> Sharing<'a> {
    fn excess(&self, ones: &Ones) -> Removed {
        let intervals = pieces(self.cluster.near, self.grooves.wheel.outside_radius(), self.breaks());
        let alone = self.cluster.members.iter().filter_map(|m| ones[m.sort()]).fold(Removed::default(), Removed::plus);
        integrate(&intervals, &alone, |_, r| self.slice(r))
    }

    fn breaks(&self) -> Vec<f64> {
        let mut breaks: Vec<f64> = section_breaks(self.grooves.section).collect();
        for groove in SideName::BOTH.into_iter().filter_map(|s| self.grooves.side(s)) {
            for span in self.grooves.section.profile(groove.side).spans() {
                breaks.extend(side_breaks(groove, span, span.inner, span.outer));
            }
        }
        breaks.extend(self.grooves.face().into_iter().flat_map(|f| f.plan_breaks()));
        breaks.extend(self.cluster.wall_crossings());
        breaks
    }

    /// The excess on the circle r, per mm of r.
    fn slice(&self, r: f64) -> Removed {
        let surfaces = self.surfaces(r);
        let mut ranges = self.ranges(r, surfaces);
        ranges.sort_by(|p, q| p.angles.0.total_cmp(&q.angles.0));
        let mut ends: Vec<f64> = ranges.iter().flat_map(|g| [g.angles.0, g.angles.1]).collect();
        if let Some(period) = self.cluster.period {
            ends.extend([0.0, period]);
            ends.retain(|a| (0.0..=period).contains(a));
        }
        ends.sort_by(f64::total_cmp);
        ends.dedup();
        let longest = ranges.iter().map(|g| g.angles.1 - g.angles.0).fold(0.0, f64::max);
        let mut sum = Removed::default();
        let mut known: HashMap<i64, Vec<Window>> = HashMap::new();
        let mut first = 0;
        for pair in ends.windows(2) {
            let middle = (pair[0] + pair[1]) / 2.0;
            // ranges are sorted by their beginning: those that began longer ago than the longest lasts are over
            while first < ranges.len() && ranges[first].angles.0 + longest < middle {
                first += 1;
            }
            let begun = ranges[first..].iter().take_while(|g| g.angles.0 <= middle);
            let active: Vec<&Range> = begun.filter(|g| g.angles.1 >= middle).collect();
            let shared = active.len() > 1 || active.first().is_some_and(|g| g.may_pierce(surfaces));
            if shared {
                sum = sum.plus(self.once(r, surfaces, Window::new(active, (pair[0], pair[1])), &mut known));
            }
        }
        sum
    }

    /// The excess of a window, computed once for all that differ only by a turn about the axis; `known` keeps them by their width.
    fn once<'r>(
        &self,
        r: f64,
        surfaces: Interval,
        window: Window<'r, 'a>,
        known: &mut HashMap<i64, Vec<Window<'r, 'a>>>,
    ) -> Removed {
        // two that are alike may fall to either side of a step: then one is worked out again
        let width = ((window.angles.1 - window.angles.0) / (WIDTH_STEP * SAME_ANGLE)).round() as i64;
        let alike = known.entry(width).or_default();
        if let Some(same) = alike.iter().find(|w| w.is_turned(&window)) {
            let first = same.excess.first.rotated(window.angles.0 - same.angles.0);
            return Removed { first, ..same.excess };
        }
        let excess = self.between(r, surfaces, &window.active, window.angles.0, window.angles.1);
        alike.push(Window { excess, ..window });
        excess
    }

    /// z of side A's and of side B's surface on the circle r.
    fn surfaces(&self, r: f64) -> Interval {
        let section = self.grooves.section;
        let high = self.grooves.wheel.thickness - section.profile(SideName::B).depth_at(r);
        (section.profile(SideName::A).depth_at(r), high)
    }

    /// Every member's range on the circle r; a periodic cluster's over the period from 0, with whatever reaches into it.
    fn ranges(&self, r: f64, surfaces: Interval) -> Vec<Range<'a>> {
        // from the frame of its centre line, all grooves of a side look alike
        let cuts = SideName::BOTH.map(|name| self.cuts(name, r, surfaces));
        let slab = self.slab(surfaces);
        let half = self.grooves.face().and_then(|f| f.half_angle(r)).filter(|_| slab.1 > slab.0);
        let mut out = Vec::new();
        for member in &self.cluster.members {
            match *member {
                Member::Side(groove, direction) => {
                    let floor = Curve::Floor(groove, Direction::of(direction));
                    let (low, high) = match groove.side {
                        SideName::A => (Curve::Surface(surfaces.0), floor),
                        SideName::B => (floor, Curve::Surface(surfaces.1)),
                    };
                    for (a, b) in &cuts[member.sort()] {
                        self.lay(&mut out, Range { angles: (a + direction, b + direction), low, high });
                    }
                }
                Member::Face(groove, direction) => {
                    if let Some(half) = half {
                        self.lay(&mut out, face_range(groove.twist, direction, half, slab));
                    }
                }
            }
        }
        out
    }

    /// Angles from its direction over which a groove of a side lies below its surface on the circle r.
    fn cuts(&self, name: SideName, r: f64, (near, far): Interval) -> Vec<Interval> {
        let Some(groove) = self.grooves.side(name) else { return Vec::new() };
        let surface = if name == SideName::A { near } else { self.grooves.wheel.thickness - far };
        groove.angles(r).into_iter().flatten().flat_map(|i| cut_angles(groove, r, surface, i)).collect()
    }

    /// Adds a range; in a periodic cluster once for every turn by which it reaches into the period from 0.
    fn lay(&self, out: &mut Vec<Range<'a>>, range: Range<'a>) {
        let Some(period) = self.cluster.period else { return out.push(range) };
        let (first, last) = ((range.angles.0 / period).floor(), (range.angles.1 / period).floor());
        let mut turn = first;
        while turn <= last {
            let by = -turn * period;
            let angles = (range.angles.0 + by, range.angles.1 + by);
            out.push(Range { angles, low: range.low.turned(by), high: range.high.turned(by) });
            turn += 1.0;
        }
    }

    /// The part of a circle's material in which the cluster's grooves may meet: only there the face's are looked at.
    fn slab(&self, surfaces: Interval) -> Interval {
        (surfaces.0.max(self.cluster.slab.0), surfaces.1.min(self.cluster.slab.1))
    }

    /// z of a curve, not confined to the wheel.
    fn z(&self, curve: &Curve, r: f64, at: Direction) -> f64 {
        match *curve {
            Curve::Surface(z) => z,
            Curve::Flank(at_zero) => (at.angle - at_zero) / self.grooves.face().map_or(1.0, |f| f.twist),
            Curve::Floor(groove, along) => {
                let (u, v) = (at.cos * along.cos + at.sin * along.sin, at.sin * along.cos - at.cos * along.sin);
                let depth = groove.depth(r * u, r * v);
                if groove.side == SideName::A { depth } else { self.grooves.wheel.thickness - depth }
            }
        }
    }

    /// The excess of these ranges between two angles within which none begins or ends.
    fn between(&self, r: f64, surfaces: Interval, active: &[&Range], a: f64, b: f64) -> Removed {
        let mut meetings = vec![a, b];
        let slab = self.slab(surfaces);
        let ends = [surfaces.0, surfaces.1, slab.0, slab.1].map(Curve::Surface);
        let curves: Vec<Curve> = active.iter().flat_map(|g| [g.low, g.high]).collect();
        for (i, p) in curves.iter().enumerate() {
            for q in curves[i + 1..].iter().chain(&ends) {
                self.meet(r, surfaces, (p, q), (a, b), &mut meetings);
            }
        }
        meetings.sort_by(f64::total_cmp);
        meetings.dedup();
        meetings
            .windows(2)
            .map(|w| self.smooth(r, surfaces, active, w[0], w[1]))
            .fold(Removed::default(), Removed::plus)
    }

    /// Adds the angles between two at which two curves meet.
    fn meet(&self, r: f64, surfaces: Interval, (p, q): (&Curve, &Curve), (a, b): Interval, out: &mut Vec<f64>) {
        let thickness = self.grooves.wheel.thickness;
        match (p, q) {
            // surfaces keep their z, and all flanks rise alike
            (Curve::Surface(_), Curve::Surface(_)) | (Curve::Flank(_), Curve::Flank(_)) => {}
            (Curve::Flank(at_zero), Curve::Surface(z)) | (Curve::Surface(z), Curve::Flank(at_zero)) => {
                let angle = at_zero + z * self.grooves.face().map_or(0.0, |f| f.twist);
                out.extend(Some(angle).filter(|x| *x > a && *x < b));
            }
            // a range ends where its floor comes to its own surface; the other one is met by a groove that breaks through
            (Curve::Floor(g, _), Curve::Surface(_)) | (Curve::Surface(_), Curve::Floor(g, _))
                if g.deepest() < surfaces.1 - surfaces.0 => {}
            (Curve::Floor(g, _), Curve::Floor(h, _))
                if g.side != h.side && g.deepest() + h.deepest() < thickness - SAME_LENGTH => {}
            _ => out.extend(roots::scan(a, b, MEETING_STEPS, |x| {
                let at = Direction::of(x);
                self.z(p, r, at) - self.z(q, r, at)
            })),
        }
    }

    /// The same where no two curves meet in between.
    fn smooth(&self, r: f64, surfaces: Interval, active: &[&Range], a: f64, b: f64) -> Removed {
        let mut sum = Removed::default();
        let slab = self.slab(surfaces);
        let mut spans: Vec<Interval> = Vec::with_capacity(active.len());
        let is_round = active.iter().any(|g| g.is_round());
        for &(t, weight) in gauss(if is_round { ANGULAR_NODES } else { STRAIGHT_NODES }).nodes() {
            let (angle, scale) = if is_round { smooth_ends(a, b, t) } else { (a + (b - a) * t, b - a) };
            let (at, weight) = (Direction::of(angle), weight * scale * r);
            spans.clear();
            for g in active {
                let (low, high) = (self.z(&g.low, r, at), self.z(&g.high, r, at));
                let (from, to) = if g.is_face() { slab } else { surfaces };
                let inside = (low.max(from), high.min(to));
                // a groove alone is counted as `alone` counts it: a side's down to its floor even beyond the opposite side,
                // the face's within the wheel
                let single = if g.is_face() { inside } else { (low, high) };
                if single.1 > single.0 {
                    sum.add_column(weight, r, at, single);
                }
                if inside.1 > inside.0 {
                    spans.push(inside);
                }
            }
            spans.sort_by(|p, q| p.0.total_cmp(&q.0));
            let mut reached = f64::MIN;
            for &(low, high) in &spans {
                if high > reached {
                    sum.add_column(-weight, r, at, (low.max(reached), high));
                    reached = high;
                }
            }
        }
        sum
    }
}

impl Removed {
    /// Adds a column over the range of z, of plan area `weight`, at r and an angle.
    fn add_column(&mut self, weight: f64, r: f64, at: Direction, (low, high): Interval) {
        let (w, column) = (weight, high - low);
        self.volume += w * column;
        self.first = self.first + Point::new(at.cos, at.sin) * (w * r * column);
        self.z += w * column * (high + low) / 2.0;
        self.zz += w * column * (high * high + high * low + low * low) / 3.0;
        self.polar += w * r * r * column;
    }
}

/// The range of a face groove laid at `direction`; half the angle it takes on the circle.
fn face_range<'a>(twist: f64, direction: f64, half: f64, surfaces: Interval) -> Range<'a> {
    let (near, far) = (Curve::Surface(surfaces.0), Curve::Surface(surfaces.1));
    if twist == 0.0 {
        return Range { angles: (direction - half, direction + half), low: near, high: far };
    }
    let ends = [surfaces.0, surfaces.1].map(|z| z * twist);
    let angles = (direction - half + ends[0].min(ends[1]), direction + half + ends[0].max(ends[1]));
    // z = (angle − its angle at z = 0) / twist: the flank that lies ahead bounds from below where the twist is positive
    let flanks = (Curve::Flank(direction - half), Curve::Flank(direction + half));
    let (low, high) = if twist > 0.0 { (flanks.1, flanks.0) } else { (flanks.0, flanks.1) };
    Range { angles, low, high }
}

impl Range<'_> {
    fn is_face(&self) -> bool {
        ![&self.low, &self.high].into_iter().any(|c| matches!(c, Curve::Floor(..)))
    }

    /// Whether its bottom is round across.
    fn is_round(&self) -> bool {
        [&self.low, &self.high].into_iter().any(|c| matches!(c, Curve::Floor(g, _) if g.is_round_across()))
    }

    /// Whether its floor may lie beyond the opposite surface somewhere.
    fn may_pierce(&self, surfaces: Interval) -> bool {
        [&self.low, &self.high].into_iter().any(|c| match c {
            Curve::Floor(g, _) => g.deepest() >= surfaces.1 - surfaces.0,
            _ => false,
        })
    }
}

impl Curve<'_> {
    /// Whether the other is this one turned about the axis by an angle.
    fn is_turned(&self, other: &Curve, turn: f64) -> bool {
        let apart = |p: f64, q: f64| (q - p - turn).abs() < SAME_ANGLE;
        match (self, other) {
            (Curve::Floor(g, p), Curve::Floor(h, q)) => g.side == h.side && apart(p.angle, q.angle),
            (Curve::Flank(p), Curve::Flank(q)) => apart(*p, *q),
            (Curve::Surface(p), Curve::Surface(q)) => p == q,
            _ => false,
        }
    }

    fn turned(self, by: f64) -> Self {
        match self {
            Curve::Floor(groove, along) => Curve::Floor(groove, Direction::of(along.angle + by)),
            Curve::Flank(at_zero) => Curve::Flank(at_zero + by),
            surface @ Curve::Surface(_) => surface,
        }
    }
}
