//! Grooves of a side: the disc in the plane across its axis, against the turned side with the groove as ordered.

use super::super::read::{Motion, Sense};
use super::super::{Objection, Proved, slack};
use super::{CLEAR, Places, alike, by_groove, does, radius, within};
use crate::cutting::control::Control;
use crate::cutting::passes::Cutter;
use crate::cutting::program::Draft;
use crate::geometry::{Edge, Point};
use crate::groove::SideGroove;
use crate::quantity::fixed;
use crate::section::{Profile, Section};
use crate::tolerance::{LEAST_CUT, RUN_OUT_CHORD, SAME_WORD};
use crate::wheel::{Bottom, InnerEnd, Job, SideName};

/// Places along the groove and across it that are looked at.
const ALONG: usize = 320;
const ACROSS: usize = 9;

/// Stone that counts as left, and how much farther in a disc is tried that leaves some, mm.
const LEFT: f64 = 2.0 * LEAST_CUT;
const NUDGE: f64 = 0.1;

/// Places along the arc of a run-out that are looked at.
const ARC: usize = 400;

/// Stone on that arc that counts as left, mm: what the chords of three levels leave, one beside the other.
const ON_ARC: f64 = 6.0 * RUN_OUT_CHORD;

/// How far beyond an end a cut is none, mm: slivers between a straight end and a round wall are thinner.
const SLIVER: f64 = LEAST_CUT;

/// Passes the program of a side's grooves on where it does what it should.
///
/// # Errors
/// Where a rapid move comes near stone, a cut goes beyond the groove or deeper than a pass may, a pass cuts nothing, stone is left that the disc
/// could have cut, or a groove is not cut once at its angle.
pub fn side(
    job: &Job,
    draft: Draft,
    control: &Control,
    (side, cutter): (SideName, &Cutter),
) -> Result<Proved, Objection> {
    let Some(grooves) = job.wheel.side(side).grooves.as_ref() else {
        return Err(Objection::Leaves(String::from("cuts grooves that are not ordered")));
    };
    let places = if side == SideName::B { Places::Mirrored } else { Places::Straight };
    let groups = by_groove(draft.text(), control, job, (&grooves.pattern, places))?;
    let section = Section::of(&job.wheel)?;
    let Some(ordered) = SideGroove::of(&job.wheel, side) else {
        return Err(Objection::Leaves(String::from("cuts grooves that are not ordered")));
    };
    let groove = ordered.at_least(within(job, grooves.width, cutter));
    let bench = Bench::new(job, groove, section.profile(side), cutter, slack(control.decimals));
    let mut proved: Vec<&Vec<Motion>> = Vec::new();
    for group in &groups {
        if !proved.iter().any(|p| alike(p, group)) {
            bench.drive(group)?;
            proved.push(group);
        }
    }
    Ok(Proved::of(draft))
}

/// One groove on the bench.
struct Bench<'a> {
    groove: SideGroove,
    profile: &'a Profile,
    cutter: &'a Cutter,
    disc: f64,
    bore: f64,
    /// Blank beyond the wheel: its radius and its height above the datum plane.
    blank: (f64, f64),
    mirror: f64,
    off: f64,
}

/// A line along the groove at one v: for each place u the side's depth, what may be cut, what is cut.
struct Slice {
    v: f64,
    places: Vec<Place>,
}

/// The deepest path of the disc at one v.
struct Lane {
    v: f64,
    low: f64,
    middle: f64,
    inwards: bool,
    outwards: bool,
}

#[derive(Clone, Copy)]
struct Place {
    u: f64,
    may: f64,
    cut: f64,
}

impl<'a> Bench<'a> {
    fn new(job: &Job, groove: SideGroove, profile: &'a Profile, cutter: &'a Cutter, off: f64) -> Bench<'a> {
        let blank = job.blank.as_ref();
        let blank_radius = blank.and_then(|b| b.outside_diameter).unwrap_or(0.0) / 2.0;
        let above = blank.and_then(|b| b.thickness).map_or(0.0, |t| (t - job.wheel.thickness).max(0.0));
        Bench {
            groove,
            profile,
            cutter,
            disc: radius(cutter),
            bore: job.wheel.bore_radius(),
            blank: (blank_radius.max(job.wheel.outside_radius()), above),
            mirror: if groove.side == SideName::B { -1.0 } else { 1.0 },
            off,
        }
    }

    /// Depth of the turned side; infinite where there is no stone.
    fn side(&self, u: f64, v: f64) -> f64 {
        let r = u.hypot(v);
        if u <= 0.0 || r > self.groove.outside_radius || r < self.bore {
            f64::INFINITY
        } else {
            self.profile.depth_at(r)
        }
    }

    /// Greatest depth that may be cut at a place, slivers beyond the ends let pass.
    fn may(&self, u: f64, v: f64, sliver: f64) -> f64 {
        let g = &self.groove;
        let across = v - g.offset;
        let begins = self.begins(v);
        let within =
            across.abs() <= g.half_width + SAME_WORD && u >= begins - sliver && g.outer_u.is_none_or(|o| u <= o + sliver);
        let side = self.side(u, v);
        if within { side.max(g.depth(u, v)) } else { side }
    }

    /// u at which the groove's plan begins at v.
    fn begins(&self, v: f64) -> f64 {
        let (g, across) = (&self.groove, v - self.groove.offset);
        match g.inner_end {
            InnerEnd::Round => g.inner_u + g.half_width - (g.half_width.powi(2) - across.powi(2)).max(0.0).sqrt(),
            _ => g.inner_u,
        }
    }

    /// Depth that the disc reaches at u on a straight path of its lowest point.
    fn reached(&self, (from, to): ((f64, f64), (f64, f64)), u: f64, disc: f64) -> f64 {
        let at = |x: f64, low: f64| {
            let away = u - x;
            if away.abs() >= disc { f64::NEG_INFINITY } else { low - disc + ((disc - away) * (disc + away)).sqrt() }
        };
        let mut deepest = at(from.0, from.1).max(at(to.0, to.1));
        if from.0 != to.0 {
            let slope = (to.1 - from.1) / (to.0 - from.0);
            // where the disc's edge runs as the path does
            let x = u + slope * disc / (1.0 + slope * slope).sqrt();
            if x > from.0.min(to.0) && x < from.0.max(to.0) {
                deepest = deepest.max(at(x, from.1 + slope * (x - from.0)));
            }
        }
        deepest
    }

    fn path(&self, motion: &Motion) -> ((f64, f64), (f64, f64)) {
        ((motion.from[0], -motion.from[2]), (motion.to[0], -motion.to[2]))
    }

    fn slices(&self, group: &[Motion]) -> Vec<Slice> {
        let g = &self.groove;
        let inset = g.half_width / 1000.0;
        let mut vs: Vec<f64> = (0..ACROSS)
            .map(|i| g.offset + (g.half_width - inset) * (2.0 * i as f64 / (ACROSS - 1) as f64 - 1.0))
            .collect();
        let half = self.cutter.width / 2.0;
        for motion in group.iter().filter(|m| m.sense != Sense::Rapid) {
            let v = self.mirror * motion.to[1];
            // where rounded words lead the disc a little into the wall is no place of its own: how far it may is held for each cut
            let within = |v: f64| v.clamp(g.offset - g.half_width + inset, g.offset + g.half_width - inset);
            vs.extend([v - half + inset.min(half), v + half - inset.min(half)].map(within));
        }
        vs.sort_by(f64::total_cmp);
        vs.dedup_by(|a, b| (*a - *b).abs() < inset / 4.0);
        let (low, high) = ((g.inner_u - self.disc).max(0.0), g.outside_radius);
        let slice = |v: f64| {
            let mut us: Vec<f64> = (0..=ALONG).map(|i| low + (high - low) * i as f64 / ALONG as f64).collect();
            us.extend([-2.0, 2.0].map(|k| self.begins(v) + k * SLIVER));
            us.extend(g.outer_u.into_iter().flat_map(|o| [o - 2.0 * SLIVER, o + 2.0 * SLIVER]));
            us.push(((high - v.abs()) * (high + v.abs())).max(0.0).sqrt() - SAME_WORD);
            us.sort_by(f64::total_cmp);
            let places = us.into_iter().filter(|&u| self.side(u, v).is_finite());
            let places = places.map(|u| Place { u, may: self.may(u, v, SLIVER), cut: self.side(u, v) }).collect();
            Slice { v, places }
        };
        vs.into_iter().map(slice).collect()
    }

    fn formed(&self) -> bool {
        self.cutter.width >= 2.0 * self.groove.half_width - SAME_WORD
    }

    fn drive(&self, group: &[Motion]) -> Result<(), Objection> {
        let mut slices = self.slices(group);
        let limit = self.cutter.depth_per_pass.map_or(f64::INFINITY, |d| d + 2.0 * RUN_OUT_CHORD + self.off);
        let mut run: Option<(&Motion, f64)> = None;
        for motion in group.iter().filter(|m| m.known) {
            let cuts = motion.sense != Sense::Rapid;
            if !cuts || motion.from[0] == motion.to[0] {
                idle(run.take(), self.off)?;
            }
            if !cuts {
                self.clear(motion)?;
                continue;
            }
            let lane = self.mirror * motion.to[1];
            if (lane - self.groove.offset).abs() + self.cutter.width / 2.0 > self.groove.half_width + 2.0 * self.off {
                return Err(does(motion, String::from("cuts beside the groove's wall")));
            }
            let taken = self.cut(motion, lane, &mut slices)?;
            if motion.from[0] != motion.to[0] {
                run = Some(run.map_or((motion, taken), |(first, before)| (first, before.max(taken))));
            }
            if taken > limit {
                return Err(does(motion, format!("takes {} mm at once", fixed(taken, 3))));
            }
        }
        idle(run, self.off)?;
        self.left(group, &slices)?;
        self.left_on_arc(group)
    }

    /// Cuts along a motion; gives the greatest depth taken off.
    fn cut(&self, motion: &Motion, lane: f64, slices: &mut [Slice]) -> Result<f64, Objection> {
        let path = self.path(motion);
        let (low, high) = (path.0.0.min(path.1.0) - self.disc, path.0.0.max(path.1.0) + self.disc);
        let mut taken: f64 = 0.0;
        for slice in slices.iter_mut().filter(|s| (s.v - lane).abs() <= self.cutter.width / 2.0) {
            let formed = if self.formed() { self.groove.lift(slice.v - self.groove.offset) } else { 0.0 };
            for place in slice.places.iter_mut().filter(|p| p.u >= low && p.u <= high) {
                let depth = self.reached(path, place.u, self.disc) - formed;
                // a last decimal along a steep run-out is more than that down
                let is_steep = self.groove.floor.rise.is_some_and(|rise| place.u < rise.tangent_u);
                if depth > place.may + if is_steep { self.off.max(LEAST_CUT) } else { self.off } {
                    let r = place.u.hypot(slice.v);
                    let what = format!(
                        "cuts {} mm below the finished surface at diameter {} mm",
                        fixed(depth - place.may, 4),
                        fixed(2.0 * r, 3)
                    );
                    return Err(does(motion, what));
                }
                taken = taken.max(depth - place.cut);
                place.cut = place.cut.max(depth);
            }
        }
        Ok(taken)
    }

    /// Whether a rapid move stays clear of the turned wheel and of the blank.
    fn clear(&self, motion: &Motion) -> Result<(), Objection> {
        let room = CLEAR - self.off;
        let (from, to) = self.path(motion);
        let path = ((from.0, from.1 + room), (to.0, to.1 + room));
        let (low, high) = (from.0.min(to.0) - self.disc - room, from.0.max(to.0) + self.disc + room);
        let reach = self.cutter.width / 2.0 + room;
        for lane in [self.mirror * motion.from[1], self.mirror * motion.to[1]] {
            for v in [lane - reach, lane, lane + reach, 0.0_f64.clamp(lane - reach, lane + reach)] {
                for i in 0..=ALONG {
                    let u = low + (high - low) * i as f64 / ALONG as f64;
                    let r = u.hypot(v);
                    let stone = if r > self.blank.0 || r < self.bore { f64::INFINITY } else { -self.blank.1 };
                    if self.reached(path, u, self.disc + room) > stone.min(self.side(u, v)) {
                        let at = fixed(2.0 * r, 3);
                        return Err(does(
                            motion,
                            format!("moves rapidly within {CLEAR} mm of stone at diameter {at} mm"),
                        ));
                    }
                }
            }
        }
        Ok(())
    }

    /// Whether stone is left in the groove that the disc could have cut.
    fn left(&self, group: &[Motion], slices: &[Slice]) -> Result<(), Objection> {
        let g = &self.groove;
        let lanes = self.lanes(group);
        for slice in slices.iter().filter(|s| (s.v - g.offset).abs() < g.half_width) {
            let across = (slice.v - g.offset).abs();
            let ridge = match g.bottom {
                Bottom::Flat => 0.0,
                _ if self.formed() => 0.0,
                _ => g.lift((across + self.cutter.width).min(g.half_width)) - g.lift(across),
            };
            let short = |p: &&Place| p.may - p.cut > ridge + LEFT + self.off;
            for place in slice.places.iter().filter(short) {
                if self.could_reach(&lanes, slice.v, place.u) {
                    return Err(Objection::Leaves(format!(
                        "leaves {} mm of groove {} at diameter {} mm that the disc could have cut",
                        fixed(place.may - place.cut, 3),
                        group[0].groove,
                        fixed(2.0 * place.u.hypot(slice.v), 3)
                    )));
                }
            }
        }
        Ok(())
    }

    /// The deepest path of each lane, and whether the disc could have gone farther on it.
    fn lanes(&self, group: &[Motion]) -> Vec<Lane> {
        let mut lanes: Vec<(f64, &Motion)> = Vec::new();
        for motion in group.iter().filter(|m| m.sense != Sense::Rapid && m.from[0] != m.to[0]) {
            let v = self.mirror * motion.to[1];
            match lanes.iter_mut().find(|l| l.0 == v) {
                Some(lane) if motion.to[2] < lane.1.to[2] => lane.1 = motion,
                Some(_) => {}
                None => lanes.push((v, motion)),
            }
        }
        let lane = |(v, motion): (f64, &Motion)| {
            let (a, b) = self.path(motion);
            let (inner, outer) = if a.0 < b.0 { (a, b) } else { (b, a) };
            let slope = (outer.1 - inner.1) / (outer.0 - inner.0);
            let farther = |u: f64| !self.goes_beyond((u, inner.1 + slope * (u - inner.0)), v);
            // a run-out's arc leaves the floor so flatly that a last decimal hides the first of it
            let flat = self.groove.floor.rise.map_or(0.0, |rise| 2.0 * (rise.radius * self.off).sqrt());
            let (inwards, outwards) = (farther(inner.0 - NUDGE - flat), farther(outer.0 + NUDGE));
            Lane { v, low: inner.1, middle: (inner.0 + outer.0) / 2.0, inwards, outwards }
        };
        lanes.into_iter().map(lane).collect()
    }

    /// Whether the deepest disc over (u, v), moved on from where it turned back, would have gone farther without going beyond the groove.
    fn could_reach(&self, lanes: &[Lane], v: f64, u: f64) -> bool {
        let half = self.cutter.width / 2.0 + SAME_WORD;
        let over: Vec<&Lane> = lanes.iter().filter(|l| (l.v - v).abs() <= half).collect();
        let Some(low) = over.iter().map(|l| l.low).reduce(f64::max) else { return true };
        let deepest = over.into_iter().filter(|l| l.low >= low - self.off);
        deepest.into_iter().any(|l| if u < l.middle { l.inwards } else { l.outwards })
    }

    /// Whether a disc smaller than the one a run-out is ordered for leaves stone on its arc: wherever it could touch the arc, how far its edge stays off.
    fn left_on_arc(&self, group: &[Motion]) -> Result<(), Objection> {
        let g = &self.groove;
        let Some(rise) = g.floor.rise.filter(|r| r.radius > self.disc + LEAST_CUT) else { return Ok(()) };
        let half = self.cutter.width / 2.0;
        let angle = |u: f64| ((u - rise.centre_u) / rise.radius).clamp(-1.0, 1.0).asin();
        let (from, to) = (angle(g.inner_u), angle(rise.tangent_u));
        let mut worst: Option<(f64, f64)> = None;
        for lane in self.lanes(group) {
            let across = ((lane.v - g.offset).abs() + half).min(g.half_width);
            let raised = if self.formed() { 0.0 } else { g.lift(across) };
            let mine = group.iter().filter(|m| m.known && m.sense != Sense::Rapid && self.mirror * m.to[1] == lane.v);
            let paths: Vec<Edge> = mine.map(|m| self.middle(m)).collect();
            for i in 0..=ARC {
                let turn = Point::polar(1.0, from + (to - from) * i as f64 / ARC as f64);
                let on = |radius: f64| Point::new(rise.centre_u + radius * turn.y, rise.centre_depth + radius * turn.x - raised);
                let arc = on(rise.radius);
                let off = paths.iter().map(|path| path.distance(arc)).fold(f64::INFINITY, f64::min) - self.disc;
                let stone = || [-half, 0.0, half].iter().any(|v| self.side(arc.x, lane.v + v) < arc.y - ON_ARC);
                let middle = on(rise.radius - self.disc - ON_ARC);
                let is_more = off > worst.map_or(ON_ARC + self.off, |w| w.0);
                if is_more && stone() && !self.goes_beyond((middle.x, middle.y + self.disc), lane.v) {
                    worst = Some((off, 2.0 * arc.x.hypot(lane.v)));
                }
            }
        }
        let Some((off, diameter)) = worst else { return Ok(()) };
        Err(Objection::Leaves(format!(
            "leaves {} mm on the run-out's arc of groove {} at diameter {} mm that the disc could have cut",
            fixed(off, 3),
            group[0].groove,
            fixed(diameter, 3)
        )))
    }

    /// The path of the disc's middle, (u, depth).
    fn middle(&self, motion: &Motion) -> Edge {
        let (from, to) = self.path(motion);
        Edge::line(Point::new(from.0, from.1 - self.disc), Point::new(to.0, to.1 - self.disc))
    }

    /// Whether a disc standing there cuts anything it must not.
    fn goes_beyond(&self, at: (f64, f64), lane: f64) -> bool {
        let half = self.cutter.width / 2.0;
        let (low, high) = (self.groove.offset - self.groove.half_width, self.groove.offset + self.groove.half_width);
        [lane - half, lane, lane + half].into_iter().map(|v| snapped(v, (low, high), self.off)).any(|v| {
            let formed = if self.formed() { self.groove.lift(v - self.groove.offset) } else { 0.0 };
            let inner = [2.0 * SLIVER, NUDGE / 2.0].map(|back| self.begins(v) - back);
            let outer = self.groove.outer_u.into_iter().flat_map(|o| [o + 2.0 * SLIVER, o + NUDGE]);
            let beside = self.profile.spans().iter().flat_map(|s| {
                let wall = ((s.inner - v.abs()) * (s.inner + v.abs())).max(0.0).sqrt();
                [wall - SAME_WORD, wall + SAME_WORD]
            });
            let fine = 8 * ALONG;
            let along = (0..=fine).map(|i| at.0 + self.disc * (2.0 * i as f64 / fine as f64 - 1.0));
            along
                .chain(inner)
                .chain(outer)
                .chain(beside)
                .any(|u| self.reached((at, at), u, self.disc) - formed > self.may(u, v, SLIVER / 4.0) + SAME_WORD)
        })
    }
}

/// Refuses a run of cuts, by its first motion and the most it takes, that takes nothing: each of its pieces need not.
fn idle(run: Option<(&Motion, f64)>, off: f64) -> Result<(), Objection> {
    match run {
        Some((first, taken)) if taken <= off => Err(does(first, String::from("runs in the air"))),
        _ => Ok(()),
    }
}

/// A place across the groove, on a wall where it lies on it but for the rounding of the words: a round bottom is steep there.
fn snapped(v: f64, (low, high): (f64, f64), off: f64) -> f64 {
    if v < low + off {
        low
    } else if v > high - off {
        high
    } else {
        v
    }
}
