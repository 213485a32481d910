//! Drives a slitting disc along a groove program, in the plane of the groove.

mod face;
mod side;

pub use face::face;
pub use side::side;

use super::read::Motion;
use super::{Objection, read};
use crate::cutting::control::Control;
use crate::cutting::passes::Cutter;
use crate::quantity::fixed;
use crate::tolerance::SAME_WORD;
use crate::wheel::{Characteristic, Job, Pattern};

/// Least clearance of a rapid move from the stone, mm.
const CLEAR: f64 = 0.5;

/// The axes of a slotting machine, in the order of a motion's places.
pub fn axes(control: &Control) -> [char; 4] {
    let a = control.axes;
    [a.along, a.across, a.depth, a.dividing]
}

/// How the places of a set of grooves run on the dividing axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Places {
    /// As the order counts them.
    Straight,
    /// Side B's: the other way round.
    Mirrored,
    /// Those of a helix, which begins beside its place; its lanes are held to it one by one.
    Turning,
}

/// A program's motions by groove, each groove once and in its place.
fn by_groove(
    text: &str,
    control: &Control,
    job: &Job,
    (pattern, places): (&Pattern, Places),
) -> Result<Vec<Vec<Motion>>, Objection> {
    let motions = read(text, control, &axes(control))?;
    let mut groups: Vec<Vec<Motion>> = Vec::new();
    for motion in motions.into_iter().filter(|m| m.groove > 0) {
        match groups.last_mut().filter(|g| g[0].groove == motion.groove) {
            Some(group) => group.push(motion),
            None => groups.push(vec![motion]),
        }
    }
    let cut: Vec<u32> = groups.iter().map(|g| g[0].groove).collect();
    let ordered: Vec<u32> = pattern.cut().collect();
    if let Some(missing) = ordered.iter().find(|k| !cut.contains(k)) {
        return Err(Objection::Leaves(format!("never cuts groove {missing}")));
    }
    if cut != ordered {
        return Err(Objection::Leaves(String::from("cuts a groove twice, or one that is not ordered")));
    }
    let step = job.tooling.index_step_deg.filter(|s| *s > 0.0).unwrap_or(0.0);
    let mut stands: Vec<f64> = Vec::new();
    for group in &groups {
        let (k, at) = (group[0].groove, group[group.len() - 1]);
        let place = f64::from(k - 1) * 360.0 / f64::from(pattern.places);
        let want = if places == Places::Mirrored { -place } else { place };
        // the first place of the dividing axis in the groove; a helix turns on from there
        let stand = group.first().map_or(at.to[3], |m| m.to[3]);
        let off = apart(stand, want);
        if places != Places::Turning && off > step / 2.0 + 2.0 * SAME_WORD {
            let what = format!("cuts groove {k} {} degrees from where the order has it", fixed(off, 6));
            return Err(Objection::Does { line: group[0].line, what });
        }
        stands.push(stand.rem_euclid(360.0));
    }
    stands.sort_by(f64::total_cmp);
    if stands.windows(2).any(|p| p[1] - p[0] < SAME_WORD) {
        return Err(Objection::Leaves(String::from("cuts two grooves in one place")));
    }
    Ok(groups)
}

/// Difference of two angles, degrees, in [0, 180].
fn apart(a: f64, b: f64) -> f64 {
    let off = (a - b).rem_euclid(360.0);
    off.min(360.0 - off)
}

/// Whether two grooves are cut by the same moves, the first move and the dividing axis aside.
pub fn alike(a: &[Motion], b: &[Motion]) -> bool {
    let same = |(x, y): (&Motion, &Motion)| x.to[..3] == y.to[..3] && x.sense == y.sense;
    a.len() == b.len() && a.iter().zip(b).skip(1).all(same)
}

/// Width of the grooves as a disc leaves them, mm: its own where it is wider than ordered, as far as their tolerance goes.
fn within(job: &Job, ordered: f64, cutter: &Cutter) -> f64 {
    let over = job.tolerances.get(Characteristic::GrooveWidth).map_or(0.0, |d| d.upper.max(0.0));
    cutter.width.clamp(ordered, ordered + over)
}

fn does(motion: &Motion, what: String) -> Objection {
    Objection::Does { line: motion.line, what }
}

/// The disc's radius; programs are not made without one.
fn radius(cutter: &Cutter) -> f64 {
    cutter.diameter.map_or(0.0, |d| d / 2.0)
}
