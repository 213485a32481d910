//! What a slitting disc leaves of grooves.

use super::{Left, Place};
use crate::groove::SideGroove;
use crate::groove::disc::{self, Ground, Lane};
use crate::section::Section;
use crate::tolerance::{LEAST_CUT, SAME_LENGTH};
use crate::wheel::{Bottom, FaceBottom, FaceGrooves, InnerEnd, Job, SideName, Wheel};

/// A slitting disc, mm; what is not given is `None`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Disc {
    /// Width.
    pub width: Option<f64>,
    /// Diameter.
    pub diameter: Option<f64>,
}

impl Disc {
    /// That of an order.
    pub fn of(job: &Job) -> Disc {
        Disc { width: job.tooling.groove_cutter_width, diameter: job.tooling.groove_cutter_diameter }
    }
}

/// What a disc leaves of a side's grooves whose width may be up to `widest`, mm; nothing where the side has none.
pub fn of_side(wheel: &Wheel, section: &Section, side: SideName, (disc, widest): (Disc, f64)) -> Vec<Left> {
    let (Some(g), Some(one)) = (wheel.side(side).grooves.as_ref(), SideGroove::of(wheel, side)) else { return Vec::new() };
    let place = Place::Side(side);
    if let Some(left) = too_wide(place, disc, widest) {
        return vec![left];
    }
    let width = disc.width.unwrap_or(g.width).min(g.width);
    let Some(lanes) = disc::lanes(&one, width, disc.diameter.map(|d| d / 2.0)) else { return Vec::new() };
    let mut found = Vec::new();
    if g.bottom != Bottom::Flat && disc.width.is_some() {
        let form = Form { middle: one.offset, half: one.half_width, depth: g.depth, lift: |v: f64| one.lift(v) };
        let raised: Vec<(f64, f64)> = lanes.iter().map(|l| (l.v, l.raised)).collect();
        found.push(form.left((place, disc), &raised, width));
    }
    if found.iter().any(Left::refuses) {
        return found;
    }
    if let Some(diameter) = disc.diameter {
        if g.depth > diameter / 2.0 + SAME_LENGTH {
            return vec![Left::TooDeep(place, disc, g.depth)];
        }
        match ends(&Ground::new(one, section, wheel), &lanes, g.inner_end, (place, disc)) {
            Some(ends) => found.extend(ends),
            None => return vec![Left::NoRoom(place, disc)],
        }
    }
    found
}

fn too_wide(place: Place, disc: Disc, widest: f64) -> Option<Left> {
    disc.width.filter(|width| *width > widest + SAME_LENGTH).map(|_| Left::TooWide(place, disc, widest))
}

/// What is left at the ends of a side's grooves; `None` where the disc finds no place between them.
fn ends(ground: &Ground, lanes: &[Lane], end: InnerEnd, (place, disc): (Place, Disc)) -> Option<Vec<Left>> {
    let groove = &ground.groove;
    let (mut inner_end, mut outer_end, mut runout) = (0.0_f64, 0.0_f64, 0.0_f64);
    for lane in lanes {
        let (inner, outer) = ground.limits(lane)?;
        if ground.takes(lane, inner, outer.unwrap_or(groove.outside_radius)) <= LEAST_CUT {
            continue;
        }
        inner_end = inner_end.max(ground.full_after(lane, inner));
        outer_end = outer_end.max(outer.map_or(0.0, |outer| ground.full_before(lane, outer)));
        if groove.floor.rise.is_some() {
            runout = runout.max(ground.left_in_runout(lane, inner));
        }
    }
    let mut found = Vec::new();
    if let (InnerEnd::Runout { cutter_diameter }, Some(d)) = (end, disc.diameter) {
        inner_end = 0.0;
        if runout > LEAST_CUT && (d - cutter_diameter).abs() > SAME_LENGTH {
            found.push(Left::Runout(place, disc, cutter_diameter, runout));
        }
    }
    found.extend(match (inner_end > LEAST_CUT, outer_end > LEAST_CUT) {
        (true, true) => Some(Left::BothEnds(place, disc, inner_end, outer_end)),
        (true, false) => Some(Left::InnerEnd(place, disc, inner_end)),
        (false, true) => Some(Left::OuterEnd(place, disc, outer_end)),
        (false, false) => None,
    });
    Some(found)
}

/// Distances of a disc's passes from the middle of a face groove, and how much higher than its floor each runs, mm; `None` where the disc is wider.
pub fn face_lanes(g: &FaceGrooves, width: f64) -> Option<Vec<(f64, f64)>> {
    let across = if g.bottom == FaceBottom::Flat { disc::across } else { disc::across_shaped }(g.width, width)?;
    let as_formed = across.len() == 1 || g.bottom == FaceBottom::Flat;
    let half = g.width / 2.0;
    let raised = |v: f64| if as_formed { 0.0 } else { round(half, (v.abs() + width / 2.0).min(half)) };
    Some(across.into_iter().map(|v| (v, raised(v))).collect())
}

/// How much higher a half circle lies beside its middle.
fn round(half: f64, v: f64) -> f64 {
    half - ((half - v) * (half + v)).max(0.0).sqrt()
}

/// What a disc leaves of the face's grooves whose width may be up to `widest`, mm.
pub fn of_face(g: &FaceGrooves, (disc, widest): (Disc, f64)) -> Vec<Left> {
    if let Some(left) = too_wide(Place::Face, disc, widest) {
        return vec![left];
    }
    let width = disc.width.map(|w| w.min(g.width));
    let lanes = width.filter(|_| g.bottom != FaceBottom::Flat).and_then(|width| Some((width, face_lanes(g, width)?)));
    let Some((width, lanes)) = lanes else { return Vec::new() };
    let half = g.width / 2.0;
    let form = Form { middle: 0.0, half, depth: g.depth, lift: |v: f64| round(half, v) };
    vec![form.left((Place::Face, disc), &lanes, width)]
}

/// The form of a bottom across the groove: where its middle lies, half its width, its depth, and by how much it lies higher beside the middle, mm.
struct Form<F> {
    middle: f64,
    half: f64,
    depth: f64,
    lift: F,
}

/// Places across half a bottom that are looked at.
const LOOKS: u32 = 64;

impl<F: Fn(f64) -> f64> Form<F> {
    /// What passes of a disc leave in it, each with its middle and how high it runs, mm.
    fn left(&self, (place, disc): (Place, Disc), passes: &[(f64, f64)], width: f64) -> Left {
        if passes.len() == 1 {
            return Left::Formed(place);
        }
        if passes.iter().all(|p| self.depth - p.1 <= LEAST_CUT) {
            return Left::TooBroad(place, disc);
        }
        Left::Steps(place, self.steps(passes, width))
    }

    /// Most that passes of a flat disc leave anywhere in it, mm.
    fn steps(&self, passes: &[(f64, f64)], width: f64) -> f64 {
        let left = |v: f64| {
            let over = |p: &&(f64, f64)| (p.0 - self.middle - v).abs() <= width / 2.0 + SAME_LENGTH;
            let height = passes.iter().filter(over).map(|p| p.1).fold(self.depth, f64::min);
            height - (self.lift)(v.abs())
        };
        // a step is highest where a pass ends; between those it only falls or rises with the bottom
        let ends = passes.iter().flat_map(|p| [-1.0, 1.0].map(|side| p.0 - self.middle + side * width / 2.0));
        let beside = ends.flat_map(|end| [end - 3.0 * SAME_LENGTH, end + 3.0 * SAME_LENGTH]);
        let evenly = (0..=2 * LOOKS).map(|i| self.half * (f64::from(i) / f64::from(LOOKS) - 1.0));
        beside.filter(|v| v.abs() <= self.half).chain(evenly).map(left).fold(0.0, f64::max)
    }
}
