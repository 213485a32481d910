//! A slitting disc in a groove of a side: how far it may go without cutting beyond what is ordered, how much it takes off, what it leaves.
//!
//! A disc stands with its lowest point above (u, v) of the groove's frame; its axis runs along v. What it may cut at a place is the groove as ordered
//! where that lies within the plan, and nothing but air elsewhere.

use super::SideGroove;
use crate::section::{Profile, Section};
use crate::tolerance::{LEAST_CUT, SAME_LENGTH};
use crate::wheel::{InnerEnd, Wheel};

/// Places across the disc and along its chord that are looked at, rounds of looking closer, and halvings that find an end.
const ACROSS: u32 = 8;
const LOOKS: u32 = 32;
const CLOSER: u32 = 6;
const ROUNDS: u32 = 9;
const STEPS: u32 = 16;
const HALVINGS: u32 = 28;

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

    /// By how much a disc that stands at u cuts beyond what is allowed on its inner (`inwards`) or outer half, mm; not above 0 where it does not.
    pub fn over(&self, lane: &Lane, u: f64, inwards: bool) -> f64 {
        let Some(radius) = lane.radius else { return f64::NEG_INFINITY };
        let lowest = self.lowest(lane, u);
        let chord = (lowest.min(radius).max(0.0) * (2.0 * radius - lowest.min(radius).max(0.0))).sqrt();
        let sign = if inwards { -1.0 } else { 1.0 };
        let mut worst = f64::NEG_INFINITY;
        for v in lane.across() {
            let formed = if lane.formed { self.groove.lift(v - self.groove.offset) } else { 0.0 };
            let reached = |away: f64| lowest - radius + ((radius - away) * (radius + away)).max(0.0).sqrt();
            let beyond = |away: f64| reached(away) - formed - self.allowed(u + sign * away, v);
            worst = worst.max(greatest(beyond, chord));
            // a wall or a kink of the turned side is looked at from either side
            for r in self.breaks() {
                let at = ((r - v.abs()) * (r + v.abs())).max(0.0).sqrt();
                let aways = [at - SAME_LENGTH, at + SAME_LENGTH].map(|at| (at - u) * sign);
                worst = aways.into_iter().filter(|a| (0.0..=chord).contains(a)).map(beyond).fold(worst, f64::max);
            }
            let end = if inwards { Some(self.begins(v)) } else { self.groove.outer_u };
            // just beyond the end the side itself stands, unless it is a sliver before a wall
            let away = end.map(|end| (end - u) * sign + 2.0 * SAME_LENGTH).filter(|away| (0.0..=chord).contains(away));
            let stone = |away: f64| self.surface(u + sign * away, v);
            if let Some((away, near, far)) = away.and_then(|away| Some((away, stone(away)?, stone(away + 2.0 * LEAST_CUT)?))) {
                worst = worst.max(reached(away) - formed - near.max(far));
            }
        }
        worst
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
        let wrong = |u: f64| self.over(lane, u, inwards) > SAME_LENGTH;
        // on its way in the disc may meet stone that it would be clear of farther on: the first it meets counts
        let places = self.places_on_the_way(lane, from, towards);
        let Some(first) = places.iter().position(|&u| wrong(u)) else { return from };
        let (mut good, mut bad) = (first.checked_sub(1).map_or(towards, |before| places[before]), places[first]);
        for _ in 0..HALVINGS {
            let middle = (bad + good) / 2.0;
            if wrong(middle) { bad = middle } else { good = middle }
        }
        good
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
                |from: f64, to: f64| (0..=LOOKS).map(move |i| from + (to - from) * f64::from(i) / f64::from(LOOKS));
            for u in along(inner, outer).chain(along(inner - radius, inner)).chain(at_break).filter(|u| *u <= outer) {
                let Some(surface) = self.surface(u, v) else { continue };
                most = most.max(self.swept(lane, inner, u) - formed - surface);
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
        let place = |i: u32| from + (to - from) * f64::from(i) / f64::from(LOOKS);
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

/// How many steps lie between the outermost passes, without making them.
pub fn steps_across(groove_width: f64, width: f64) -> f64 {
    ((groove_width - width) / (OVERLAP * width)).ceil().max(if groove_width - width > SAME_LENGTH { 1.0 } else { 0.0 })
}

/// The ways of a disc of this width and radius that sweep a groove; `None` where it is wider than the groove.
pub fn lanes(groove: &SideGroove, width: f64, radius: Option<f64>) -> Option<Vec<Lane>> {
    let across = across(2.0 * groove.half_width, width)?;
    // a cutter as wide as the groove is ground to the bottom's form
    let formed = across.len() == 1;
    let lane = |v: f64| {
        let reach = v.abs() + width / 2.0;
        let raised = if formed { 0.0 } else { groove.lift(reach.min(groove.half_width)) };
        Lane { v: groove.offset + v, width, radius, raised, formed }
    };
    Some(across.into_iter().map(lane).collect())
}

/// How far from the inner end of a groove the passes of such a disc reach full depth, mm; `None` where they cannot be made.
pub fn full_depth_after(ground: &Ground, width: f64, radius: Option<f64>) -> Option<f64> {
    let mut full: f64 = 0.0;
    for lane in lanes(&ground.groove, width, radius)? {
        let (inner, outer) = ground.limits(&lane)?;
        if ground.takes(&lane, inner, outer.unwrap_or(ground.groove.outside_radius)) > LEAST_CUT {
            full = full.max(ground.full_after(&lane, inner));
        }
    }
    Some(full)
}

/// What a disc leaves at the inner end of grooves: one sentence for whoever says it, lengths with their unit.
pub fn not_reached(grooves: &str, disc: &str, full: &str) -> String {
    format!(
        "A disc of {disc} does not reach the inner end of the {grooves}: full depth begins {full} farther out; what is left must be cut by another \
         tool."
    )
}

/// The greatest value of a function between 0 and `end`, looked for closer and closer around each of its crests.
fn greatest(of: impl Fn(f64) -> f64, end: f64) -> f64 {
    let step = end / f64::from(LOOKS);
    let values: Vec<f64> = (0..=LOOKS).map(|i| of(step * f64::from(i))).collect();
    let is_crest =
        |i: usize| values[i] >= values[i.saturating_sub(1)] && values[i] >= values[(i + 1).min(values.len() - 1)];
    let near = |i: usize| ((i as f64 - 1.0) * step, (i as f64 + 1.0) * step);
    let crests = (0..values.len()).filter(|&i| is_crest(i)).map(near);
    crests.map(|(low, high)| crest(&of, low.max(0.0), high.min(end))).fold(f64::NEG_INFINITY, f64::max)
}

/// The greatest value between two places with one crest between them.
fn crest(of: &impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let mut worst = f64::NEG_INFINITY;
    for _ in 0..ROUNDS {
        let step = (high - low) / f64::from(CLOSER);
        let values = (0..=CLOSER).map(|i| low + step * f64::from(i)).map(|x| (of(x), x));
        let Some((value, x)) = values.max_by(|a, b| a.0.total_cmp(&b.0)) else { return worst };
        worst = worst.max(value);
        (low, high) = ((x - step).max(low), (x + step).min(high));
    }
    worst
}
