//! A slitting disc in a groove of a side: how far it may go without cutting beyond what is ordered, how much it takes off, what it leaves.
//!
//! A disc stands with its lowest point above (u, v) of the groove's frame; its axis runs along v. What it may cut at a place is the groove as ordered
//! where that lies within the plan, and nothing but air elsewhere.

use super::SideGroove;
use crate::geometry::Point;
use crate::section::{Profile, Section};
use crate::tolerance::{LEAST_CUT, RUN_OUT_CHORD, SAME_LENGTH};
use crate::wheel::{Bottom, InnerEnd, Wheel};

/// Places across the disc and along its chord that are looked at, rounds of looking closer, each at half the distance, and halvings that find an end.
const ACROSS: u32 = 8;
const LOOKS: usize = 32;
const ROUNDS: u32 = 14;
const STEPS: u32 = 16;
const HALVINGS: u32 = 28;

/// Places along a run-out at which what is left is measured.
const RUNOUT_LOOKS: u32 = 256;

/// One groove in the turned side it is cut into.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// The groove.
    pub groove: SideGroove,
    profile: &'a Profile,
    bore_radius: f64,
}

/// A disc on its way along a groove.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lane {
    /// v of the disc's middle, mm.
    pub v: f64,
    /// Width of the disc, mm.
    pub width: f64,
    /// Radius of the disc; `None` where it is not known, and taken as nothing.
    pub radius: Option<f64>,
    /// Height above the floor at which it runs, mm.
    pub raised: f64,
    /// Whether the disc is ground to the groove's bottom: one as wide as the groove is.
    pub formed: bool,
}

impl Lane {
    /// The v that are looked at across the disc: evenly from edge to edge, and the one nearest to the axis.
    fn across(&self) -> impl Iterator<Item = f64> + use<> {
        let half = self.width / 2.0;
        let (low, high) = (self.v - half, self.v + half);
        let even = (0..=ACROSS).map(move |i| low + (high - low) * f64::from(i) / f64::from(ACROSS));
        even.chain([0.0_f64.clamp(low, high)])
    }
}

impl<'a> Ground<'a> {
    /// Of a groove in a wheel.
    pub fn new(groove: SideGroove, section: &'a Section, wheel: &Wheel) -> Ground<'a> {
        Ground { groove, profile: section.profile(groove.side), bore_radius: wheel.bore_radius() }
    }

    /// Depth of the turned side below its datum plane at (u, v), mm; `None` where there is no stone.
    pub fn surface(&self, u: f64, v: f64) -> Option<f64> {
        let r = u.hypot(v);
        let stone = u > 0.0 && r <= self.groove.outside_radius && r >= self.bore_radius;
        stone.then(|| self.profile.depth_at(r))
    }

    /// Radii at which the turned side changes form.
    fn breaks(&self) -> impl Iterator<Item = f64> + use<'_> {
        self.profile.spans().iter().map(|s| s.inner)
    }

    /// u at which the plan begins at a distance v from the axis.
    pub fn begins(&self, v: f64) -> f64 {
        let g = &self.groove;
        let across = (v - g.offset).abs().min(g.half_width);
        match g.inner_end {
            InnerEnd::Round => {
                g.inner_u + g.half_width - ((g.half_width - across) * (g.half_width + across)).max(0.0).sqrt()
            }
            _ => g.inner_u,
        }
    }

    /// Greatest depth to which a tool may cut at (u, v), mm.
    pub fn allowed(&self, u: f64, v: f64) -> f64 {
        let g = &self.groove;
        let Some(surface) = self.surface(u, v) else { return f64::INFINITY };
        let within = (v - g.offset).abs() <= g.half_width + SAME_LENGTH
            && u >= self.begins(v) - LEAST_CUT
            && g.outer_u.is_none_or(|outer| u <= outer + LEAST_CUT);
        if within { surface.max(g.depth(u, v)) } else { surface }
    }

    /// Depth of the disc's lowest point where it stands at u on its way, mm.
    pub fn lowest(&self, lane: &Lane, u: f64) -> f64 {
        let floor = &self.groove.floor;
        floor.at_axis + floor.slope * u - lane.raised - self.lift(lane)
    }

    /// How much higher the lowest point runs than a sloping floor it touches, mm.
    fn lift(&self, lane: &Lane) -> f64 {
        let slope = self.groove.floor.slope;
        lane.radius.map_or(0.0, |radius| radius * ((1.0 + slope * slope).sqrt() - 1.0))
    }

    /// How far outwards of the place it touches a sloping floor the lowest point stands, mm.
    fn lead(&self, lane: &Lane) -> f64 {
        let slope = self.groove.floor.slope;
        lane.radius.map_or(0.0, |radius| radius * slope / (1.0 + slope * slope).sqrt())
    }

    /// Whether a disc that stands at u cuts beyond what is allowed on its inner (`inwards`) or outer half.
    fn cuts_beyond(&self, lane: &Lane, u: f64, inwards: bool) -> bool {
        let Some(radius) = lane.radius else { return false };
        let lowest = self.lowest(lane, u);
        let chord = (lowest.min(radius).max(0.0) * (2.0 * radius - lowest.min(radius).max(0.0))).sqrt();
        let sign = if inwards { -1.0 } else { 1.0 };
        lane.across().any(|v| {
            let formed = if lane.formed { self.groove.lift(v - self.groove.offset) } else { 0.0 };
            let reached = |away: f64| lowest - radius + ((radius - away) * (radius + away)).max(0.0).sqrt() - formed;
            let beyond = |away: f64| reached(away) - self.allowed(u + sign * away, v);
            // a wall or a kink of the turned side is looked at from either side
            let beside = |r: f64| {
                let at = ((r - v.abs()) * (r + v.abs())).max(0.0).sqrt();
                [at - SAME_LENGTH, at + SAME_LENGTH].map(|at| (at - u) * sign)
            };
            let at_break = self.breaks().flat_map(beside).filter(|away| (0.0..=chord).contains(away));
            let end = if inwards { Some(self.begins(v)) } else { self.groove.outer_u };
            // just beyond the end the side itself stands, unless it is a sliver before a wall
            let away = end.map(|end| (end - u) * sign + 2.0 * SAME_LENGTH).filter(|away| (0.0..=chord).contains(away));
            let stone = |away: f64| self.surface(u + sign * away, v);
            let behind = away.and_then(|away| Some((away, stone(away)?, stone(away + 2.0 * LEAST_CUT)?)));
            behind.is_some_and(|(away, near, far)| reached(away) - near.max(far) > SAME_LENGTH)
                || at_break.map(beyond).any(|over| over > SAME_LENGTH)
                || exceeds(beyond, chord, SAME_LENGTH)
        })
    }

    /// From where to where the lowest point may stand: inwards, and outwards where the groove ends within the wheel. `None` where a disc finds no
    /// place between both ends.
    pub fn limits(&self, lane: &Lane) -> Option<(f64, Option<f64>)> {
        let g = &self.groove;
        let begins = lane.across().map(|v| self.begins(v)).fold(f64::MIN, f64::max);
        let Some(radius) = lane.radius else { return Some((begins, g.outer_u)) };
        let reach = radius + self.lead(lane).abs();
        // a run-out that is ordered for a larger disc ends farther out than this one's
        let clear = g.floor.rise.map_or(begins, |rise| begins.max(rise.tangent_u)) + reach;
        let inner = self.end(lane, begins + self.lead(lane), clear, true);
        let outer = g.outer_u.map(|outer| self.end(lane, outer + self.lead(lane), outer - reach, false));
        outer.is_none_or(|outer| outer >= inner).then_some((inner, outer))
    }

    /// The place nearest to `from` on the way to `towards` at which the disc cuts nothing it must not.
    fn end(&self, lane: &Lane, from: f64, towards: f64, inwards: bool) -> f64 {
        let wrong = |u: f64| self.cuts_beyond(lane, u, inwards);
        // on its way in the disc may meet stone that it would be clear of farther on: the first it meets counts
        let places = self.places_on_the_way(lane, from, towards);
        let Some(first) = places.iter().position(|&u| wrong(u)) else { return from };
        last_free(|u| !wrong(u), (first.checked_sub(1).map_or(towards, |before| places[before]), places[first]))
    }

    /// Places on the way to an end at which a disc is looked at, the first after `towards` first: evenly, and on either side of every wall and kink
    /// of the turned side, beside which the groove may be narrow.
    fn places_on_the_way(&self, lane: &Lane, from: f64, towards: f64) -> Vec<f64> {
        let even = (1..=STEPS).map(|i| towards + (from - towards) * f64::from(i) / f64::from(STEPS));
        let lead = self.lead(lane);
        let beside = self.breaks().flat_map(|r| {
            lane.across().flat_map(move |v| {
                let at = ((r - v.abs()) * (r + v.abs())).max(0.0).sqrt() + lead;
                [at - 2.0 * SAME_LENGTH, at + 2.0 * SAME_LENGTH]
            })
        });
        let (low, high) = (from.min(towards), from.max(towards));
        let mut places: Vec<f64> = beside.filter(|u| (low..=high).contains(u)).chain(even).collect();
        places.sort_by(|a, b| (a - towards).abs().total_cmp(&(b - towards).abs()));
        places
    }

    /// How far from the groove's inner end the floor is at full depth, where the disc stops at `inner`, mm; not below 0.
    pub fn full_after(&self, lane: &Lane, inner: f64) -> f64 {
        (inner - self.lead(lane) - self.groove.inner_u).max(0.0)
    }

    /// How far from the groove's outer end the floor is at full depth, where the disc stops at `outer`, mm; not below 0.
    pub fn full_before(&self, lane: &Lane, outer: f64) -> f64 {
        self.groove.outer_u.map_or(0.0, |end| (end - outer + self.lead(lane)).max(0.0))
    }

    /// How a disc smaller than the one a run-out is ordered for rises along it, so that its edge follows the ordered arc in chords: u of its lowest point
    /// and how high above its floor that stands, mm, from `inner` to where it meets the inner end or anything it must not cut. Empty where it cannot.
    pub fn climb(&self, lane: &Lane, inner: f64) -> Vec<Point> {
        let (Some(rise), Some(radius)) = (self.groove.floor.rise, lane.radius) else { return Vec::new() };
        let room = rise.radius - radius;
        let (from, to) = ((inner - rise.centre_u) / room, (self.groove.inner_u - rise.centre_u) / rise.radius);
        if room <= LEAST_CUT || from.abs() >= 1.0 || to.abs() >= 1.0 || from <= to {
            return Vec::new();
        }
        let (from, to) = (from.asin(), to.asin());
        let place = |angle: f64| {
            let (u, depth) = (rise.centre_u + room * angle.sin(), rise.centre_depth + room * angle.cos() + radius - lane.raised);
            Point::new(u, (self.lowest(lane, u) - depth).max(0.0))
        };
        // something else stopped it before the arc did
        if place(from).y > LEAST_CUT {
            return Vec::new();
        }
        let n = ((from - to) * (room / (8.0 * RUN_OUT_CHORD)).sqrt()).ceil();
        let angle = |share: f64| from + (to - from) * share / n;
        let free = |share: f64| {
            let p = place(angle(share));
            !self.cuts_beyond(&Lane { raised: lane.raised + p.y, ..*lane }, p.x, true)
        };
        let steps = (1..=n as u32).map(f64::from).take_while(|&step| free(step)).count() as f64;
        let mut climb: Vec<Point> = std::iter::once(Point::new(inner, 0.0)).collect();
        climb.extend((1..=steps as u32).map(|step| place(angle(f64::from(step)))));
        if steps < n {
            climb.push(place(angle(last_free(free, (steps, steps + 1.0)))));
        }
        let rises = climb.last().is_some_and(|last| last.distance(climb[0]) > LEAST_CUT);
        if rises { climb } else { Vec::new() }
    }

    /// The part of a climb that a level at a height above the floor cuts below the level before it, which climbed from `above`; its first place is where the
    /// level's floor ends. That place alone where what stands between the two is too little to be cut.
    pub fn climb_between(&self, lane: &Lane, climb: &[Point], (height, above): (f64, f64)) -> Vec<Point> {
        let Some(last) = climb.last() else { return Vec::new() };
        let at = |high: f64| {
            let beyond = climb.windows(2).find(|p| p[1].y >= high && p[1].y > p[0].y);
            beyond.map_or(Point::new(last.x, high), |p| p[0].lerp(p[1], (high - p[0].y) / (p[1].y - p[0].y)))
        };
        let (low, high) = (at(height), at(above.min(last.y.max(height))));
        let (Some(rise), Some(radius)) = (self.groove.floor.rise, lane.radius) else { return vec![low] };
        // two discs that touch the arc leave a ridge between them
        let apart = low.distance(high) * rise.radius / (rise.radius - radius);
        if apart * apart * (1.0 / radius - 1.0 / rise.radius) / 8.0 <= RUN_OUT_CHORD {
            return vec![low];
        }
        let between = climb.iter().copied().filter(|p| p.y > height && p.y < high.y && p.x < low.x && p.x > high.x);
        std::iter::once(low).chain(between).chain([high]).collect()
    }

    /// Most that a disc which stops at `inner`, and climbs from there where it can, leaves above an ordered run-out, mm; not below 0.
    pub fn left_in_runout(&self, lane: &Lane, inner: f64) -> f64 {
        let g = &self.groove;
        let last = self.climb(lane, inner).last().copied().unwrap_or(Point::new(inner, 0.0));
        let done = match (g.floor.rise, lane.radius) {
            (Some(rise), Some(radius)) if last.y > 0.0 => {
                rise.centre_u + (last.x - rise.centre_u) * rise.radius / (rise.radius - radius)
            }
            _ => f64::INFINITY,
        };
        let left = |away: f64| {
            let u = g.inner_u + away;
            let reached = if u < done { self.swept(lane, last.x, u) - last.y } else { g.floor.depth(u) - lane.raised } + lane.raised;
            g.floor.depth(u) - self.surface(u, lane.v).map_or(f64::INFINITY, |surface| reached.max(surface))
        };
        let end = (inner - g.inner_u).max(SAME_LENGTH);
        (0..=RUNOUT_LOOKS).map(|i| left(end * f64::from(i) / f64::from(RUNOUT_LOOKS))).fold(0.0, f64::max)
    }

    /// Greatest depth below the turned side that the disc takes off between two places of its lowest point, mm; not above 0 where it runs in the air.
    pub fn takes(&self, lane: &Lane, inner: f64, outer: f64) -> f64 {
        let radius = lane.radius.unwrap_or(0.0);
        let breaks: Vec<f64> = self.breaks().collect();
        let mut most = f64::NEG_INFINITY;
        for v in lane.across() {
            let formed = if lane.formed { self.groove.lift(v - self.groove.offset) } else { 0.0 };
            // the floor may lie deepest below the side at the very rim
            let rim = self.groove.outside_radius - SAME_LENGTH;
            let at_break = breaks.iter().chain([&rim]).map(|r| ((r - v.abs()) * (r + v.abs())).max(0.0).sqrt());
            let along =
                |from: f64, to: f64| (0..=LOOKS).map(move |i| from + (to - from) * i as f64 / LOOKS as f64);
            for u in along(inner, outer).chain(along(inner - radius, inner)).chain(at_break).filter(|u| *u <= outer) {
                let Some(surface) = self.surface(u, v) else { continue };
                most = most.max(self.swept(lane, inner, u) - formed - surface);
            }
        }
        most
    }

    /// Greatest depth below the turned side of the floor carried on beneath a climb, as far as the climb is in stone: levels above the floor run there.
    pub fn takes_beneath(&self, lane: &Lane, climb: &[Point]) -> f64 {
        let (lead, lift) = (self.lead(lane), self.lift(lane));
        let mut most: f64 = 0.0;
        for v in lane.across() {
            let formed = if lane.formed { self.groove.lift(v - self.groove.offset) } else { 0.0 };
            let at_break: Vec<f64> = self.breaks().map(|r| ((r - v.abs()) * (r + v.abs())).max(0.0).sqrt() + lead).collect();
            for pair in climb.windows(2) {
                let within = at_break.iter().map(|u| (u - pair[0].x) / (pair[1].x - pair[0].x)).filter(|share| (0.0..1.0).contains(share));
                for p in within.chain([0.0, 1.0]).map(|share| pair[0].lerp(pair[1], share)) {
                    let u = p.x - lead;
                    let floor = self.lowest(lane, u) + lift - formed;
                    let below = self.surface(u, v).map_or(0.0, |surface| floor - surface);
                    most = if below > p.y { most.max(below) } else { most };
                }
            }
        }
        most
    }

    /// How far in, on its way between two places, a disc that runs so high above the floor takes anything off; the first place where it takes nothing.
    pub fn cuts_to(&self, lane: &Lane, (from, to): (f64, f64), height: f64) -> f64 {
        let cuts = |u: f64| {
            let deep = self.swept(lane, to, u) - height - LEAST_CUT;
            lane.across().any(|v| {
                let formed = if lane.formed { self.groove.lift(v - self.groove.offset) } else { 0.0 };
                self.surface(u, v).is_some_and(|surface| deep - formed > surface)
            })
        };
        let place = |i: usize| from + (to - from) * i as f64 / LOOKS as f64;
        match (0..=LOOKS).rev().find(|&i| cuts(place(i))) {
            Some(LOOKS) => to,
            Some(last) => place(last + 1),
            None => from,
        }
    }

    /// Depth reached at u by a disc that has come in to `inner`: the floor it ran along, and inwards of there its own edge.
    fn swept(&self, lane: &Lane, inner: f64, u: f64) -> f64 {
        let Some(radius) = lane.radius.filter(|_| u < inner) else { return self.lowest(lane, u) + self.lift(lane) };
        let away = inner - u;
        self.lowest(lane, inner) - radius + ((radius - away) * (radius + away)).max(0.0).sqrt()
    }
}

/// The last share at which something is free between one where it is and one where it is not.
fn last_free(free: impl Fn(f64) -> bool, (mut good, mut bad): (f64, f64)) -> f64 {
    for _ in 0..HALVINGS {
        let middle = (good + bad) / 2.0;
        if free(middle) { good = middle } else { bad = middle }
    }
    good
}

/// Greatest share of a disc's width from one pass to the next, so that no ridge stays between them: a choice made here.
const OVERLAP: f64 = 0.9;

/// Distances of a disc's middle from a groove's centre line at which its passes sweep the groove's width; `None` where the disc is wider.
pub fn across(groove_width: f64, width: f64) -> Option<Vec<f64>> {
    let spare = groove_width - width;
    if spare < -SAME_LENGTH {
        return None;
    }
    if spare <= SAME_LENGTH {
        return Some(vec![0.0]);
    }
    let steps = steps_across(groove_width, width) as u32;
    Some((0..=steps).map(|i| spare * (f64::from(i) / f64::from(steps) - 0.5)).collect())
}

/// The same for a shaped bottom: one of them runs along the middle, where the bottom is deepest.
pub fn across_shaped(groove_width: f64, width: f64) -> Option<Vec<f64>> {
    let even = across(groove_width, width)?;
    if even.len() % 2 == 1 {
        return Some(even);
    }
    let (spare, steps) = (groove_width - width, even.len() as u32);
    Some((0..=steps).map(|i| spare * (f64::from(i) / f64::from(steps) - 0.5)).collect())
}

/// How many steps lie between the outermost passes, without making them.
pub fn steps_across(groove_width: f64, width: f64) -> f64 {
    ((groove_width - width) / (OVERLAP * width)).ceil().max(if groove_width - width > SAME_LENGTH { 1.0 } else { 0.0 })
}

/// The paths of a disc of this width and radius that sweep a groove; `None` where it is wider than the groove.
pub fn lanes(groove: &SideGroove, width: f64, radius: Option<f64>) -> Option<Vec<Lane>> {
    let across = if groove.bottom == Bottom::Flat { across } else { across_shaped }(2.0 * groove.half_width, width)?;
    // a cutter as wide as the groove is ground to the bottom's form
    let formed = across.len() == 1;
    let lane = |v: f64| {
        let reach = v.abs() + width / 2.0;
        let raised = if formed { 0.0 } else { groove.lift(reach.min(groove.half_width)) };
        Lane { v: groove.offset + v, width, radius, raised, formed }
    };
    Some(across.into_iter().map(lane).collect())
}

/// Whether a function rises above a limit between 0 and `end`, looked for closer and closer around each of its crests.
fn exceeds(of: impl Fn(f64) -> f64, end: f64, limit: f64) -> bool {
    let step = end / LOOKS as f64;
    let values: [f64; LOOKS + 1] = std::array::from_fn(|i| of(step * i as f64));
    if values.iter().any(|value| *value > limit) {
        return true;
    }
    (0..values.len()).any(|i| {
        let [before, here, after] = [values[i.saturating_sub(1)], values[i], values[(i + 1).min(LOOKS)]];
        // between its neighbours a crest rises by no more than it has risen from them, as long as it bends one way; twice that is allowed for
        let rise = 2.0 * (here - before).max(here - after);
        let is_end = i == 0 || i == LOOKS;
        let is_crest = here >= before && here >= after && (is_end || here + rise > limit);
        let (low, high) = (step * i.saturating_sub(1) as f64, step * (i + 1).min(LOOKS) as f64);
        is_crest && rises_above(&of, (low, step * i as f64, high), here, limit)
    })
}

/// Whether a crest between two places rises above a limit, from a place between them and the value there.
fn rises_above(of: &impl Fn(f64) -> f64, (mut low, mut top, mut high): (f64, f64, f64), mut value: f64, limit: f64) -> bool {
    for _ in 0..ROUNDS {
        let [near, far] = [(low + top) / 2.0, (top + high) / 2.0];
        let (at_near, at_far) = (of(near), of(far));
        if at_near > value {
            (high, top, value) = (top, near, at_near);
        } else if at_far > value {
            (low, top, value) = (top, far, at_far);
        } else {
            (low, high) = (near, far);
        }
        if value > limit {
            return true;
        }
    }
    false
}
