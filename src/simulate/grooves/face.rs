//! Grooves of the face: the disc outside the rim, in the plane through the wheel's axis.

use super::super::read::{Motion, Sense};
use super::super::{Objection, Proved, slack};
use super::{CLEAR, Places, by_groove, does, radius, within};
use crate::cutting::control::Control;
use crate::cutting::passes::Cutter;
use crate::cutting::program::Draft;
use crate::quantity::fixed;
use crate::tolerance::SAME_WORD;
use crate::wheel::{FaceBottom, FaceGrooves, Job};

/// Places along a path that are looked at.
const LOOKS: u32 = 32;

/// Passes the program of the face's grooves on where it does what it should.
///
/// # Errors
/// As for a side's grooves.
pub fn face(job: &Job, draft: Draft, control: &Control, cutter: &Cutter) -> Result<Proved, Objection> {
    let Some(grooves) = job.wheel.face.as_ref() else {
        return Err(Objection::Leaves(String::from("cuts grooves that are not ordered")));
    };
    let wide = FaceGrooves { width: within(job, grooves.width, cutter), ..grooves.clone() };
    let bench = Bench { job, grooves: &wide, cutter, off: slack(control.decimals) };
    let places = if grooves.helix_deg == 0.0 { Places::Straight } else { Places::Turning };
    for group in by_groove(draft.text(), control, job, (&grooves.pattern, places))? {
        bench.drive(&group)?;
    }
    Ok(Proved::of(draft))
}

struct Bench<'a> {
    job: &'a Job,
    grooves: &'a FaceGrooves,
    cutter: &'a Cutter,
    off: f64,
}

/// A cut along the whole face: how far from the groove's middle, and how deep.
struct Lane {
    aside: f64,
    depth: f64,
}

impl Bench<'_> {
    fn drive(&self, group: &[Motion]) -> Result<(), Objection> {
        let mut lanes: Vec<Lane> = Vec::new();
        let limit = self.cutter.depth_per_pass.map_or(f64::INFINITY, |d| d + self.off);
        for motion in group.iter().filter(|m| m.known) {
            if motion.sense == Sense::Rapid {
                self.clear(motion)?;
                continue;
            }
            let lane = self.lane(motion)?;
            let half = self.cutter.width / 2.0;
            let shallowest = |l: &Lane| {
                lanes.iter().filter(|o| (o.aside - l.aside).abs() < half / 2.0).map(|o| o.depth).fold(0.0, f64::max)
            };
            let taken = lane.depth - shallowest(&lane);
            if taken <= self.off {
                return Err(does(motion, String::from("runs in the air")));
            }
            if taken > limit {
                return Err(does(motion, format!("takes {} mm at once", fixed(taken, 3))));
            }
            lanes.push(lane);
        }
        self.left(group, &lanes)
    }

    /// The lane of a cut; refused where it goes beyond the groove or does not run over the whole face along its direction.
    fn lane(&self, motion: &Motion) -> Result<Lane, Objection> {
        let (g, wheel) = (self.grooves, &self.job.wheel);
        let rim = wheel.outside_radius();
        let depth = rim - motion.to[0].min(motion.from[0]);
        let place = f64::from(motion.groove - 1) * 360.0 / f64::from(g.pattern.places);
        // around the wheel at side A, from the groove's place, as an arc at the outside diameter
        let turn = motion.to[3] - motion.from[3];
        let run = motion.to[2] - motion.from[2];
        let start = motion.from[3] - motion.from[2] * turn / run - place;
        let start = (start + 180.0).rem_euclid(360.0) - 180.0;
        let around = (motion.from[1] + start.to_radians() * rim) * g.helix_deg.to_radians().cos();
        let lead = (turn.to_radians() * rim / run).atan().to_degrees();
        let step = self.job.tooling.index_step_deg.filter(|s| *s > 0.0).unwrap_or(0.0);
        let rounding = (step / 2.0).to_radians() * rim;
        if (lead - g.helix_deg).abs() > 0.01 {
            return Err(does(motion, format!("runs at {} degrees to the axis", fixed(lead, 3))));
        }
        let reach = around.abs() + self.cutter.width / 2.0;
        if reach > g.width / 2.0 + rounding + 2.0 * self.off {
            return Err(does(motion, String::from("cuts beside the groove's wall")));
        }
        if depth > self.deepest((reach - rounding).max(0.0)) + self.off {
            return Err(does(motion, String::from("cuts below the finished surface")));
        }
        let whole = motion.from[2].min(motion.to[2]) <= 0.0 && motion.from[2].max(motion.to[2]) >= wheel.thickness;
        if !whole {
            return Err(does(motion, String::from("does not run over the whole face")));
        }
        Ok(Lane { aside: around, depth })
    }

    /// Greatest depth whose edge may lie so far from the groove's middle.
    fn deepest(&self, reach: f64) -> f64 {
        let g = self.grooves;
        let half = g.width / 2.0;
        let formed = self.cutter.width >= g.width - SAME_WORD;
        match g.bottom {
            FaceBottom::Flat => g.depth,
            FaceBottom::Round if formed => g.depth,
            FaceBottom::Round => g.depth - half + (half * half - reach * reach).max(0.0).sqrt(),
        }
    }

    fn clear(&self, motion: &Motion) -> Result<(), Objection> {
        let disc = radius(self.cutter);
        let blank = self.job.blank.as_ref();
        let more = |have: Option<f64>, want: f64| have.map_or(0.0, |have| (have - want).max(0.0));
        let wheel = &self.job.wheel;
        let thicker = more(blank.and_then(|b| b.thickness), wheel.thickness);
        let rim = wheel.outside_radius() + more(blank.and_then(|b| b.outside_diameter), wheel.outside_diameter) / 2.0;
        for i in 0..=LOOKS {
            let t = f64::from(i) / f64::from(LOOKS);
            let at = |axis: usize| motion.from[axis] + (motion.to[axis] - motion.from[axis]) * t;
            let (x, z) = (at(0) + disc, at(2));
            let beside = (-thicker - z).max(z - wheel.thickness - thicker).max(0.0);
            if beside.hypot((x - rim).max(0.0)) < disc + CLEAR - self.off {
                return Err(does(motion, format!("moves rapidly within {CLEAR} mm of stone")));
            }
        }
        Ok(())
    }

    fn left(&self, group: &[Motion], lanes: &[Lane]) -> Result<(), Objection> {
        let g = self.grooves;
        let half = self.cutter.width / 2.0;
        let step = self.job.tooling.index_step_deg.filter(|s| *s > 0.0).unwrap_or(0.0);
        let spare = (step / 2.0).to_radians() * self.job.wheel.outside_radius() + 2.0 * self.off;
        for i in 0..=8 {
            let across = (g.width / 2.0 - spare) * (f64::from(i) / 4.0 - 1.0);
            let deepest =
                lanes.iter().filter(|l| (l.aside - across).abs() <= half + spare).map(|l| l.depth).fold(0.0, f64::max);
            let reach = (across.abs() + if half < g.width / 2.0 - self.off { self.cutter.width } else { 0.0 })
                .min(g.width / 2.0);
            if deepest < self.deepest(reach).max(0.0) - 2.0 * self.off {
                return Err(Objection::Leaves(format!("leaves stone in groove {} of the face", group[0].groove)));
            }
        }
        Ok(())
    }
}
