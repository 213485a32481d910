//! Drives a nose along a compensated path, as read back from its file, against the finished half-section.

use super::stone::{Stone, Swept, crossings};
use super::turning::{LEFT, chords, reach};
use super::Objection;
use crate::cutting::profile::Profile;
use crate::geometry::{Edge, Point};
use crate::quantity::fixed;
use crate::tolerance::{LEAST_LEFT, WRITTEN_POINT};
use crate::wheel::Job;

/// Stone around the wheel in the plane of the section, mm.
const AROUND: f64 = 1.0;

/// Passes a path on where it does what it should; x of its edges runs along the wheel's axis, y is the radius.
///
/// # Errors
/// Where the nose goes below the finished shape, or leaves stone on a side that it could have cut.
pub fn path(job: &Job, edges: &[Edge], nose: f64) -> Result<(), Objection> {
    let (bore, rim, thick) = (job.wheel.bore_radius(), job.wheel.outside_radius(), job.wheel.thickness);
    let shape = Profile::of(&job.wheel)?.contour;
    let finished = Stone::new(bore, rim, |r| crossings(&shape, r));
    let mut stone = Stone::new(bore, rim, |_| vec![(-AROUND, thick + AROUND)]);
    let off = WRITTEN_POINT + LEAST_LEFT;
    for edge in edges {
        for pair in chords(edge).windows(2) {
            if let Some(at) = finished.meets(&Swept::new(pair[0], pair[1], nose - off)) {
                return Err(Objection::Leaves(format!("cuts below the finished surface at {}", place(at))));
            }
            stone.cut(&Swept::new(pair[0], pair[1], nose));
        }
    }
    left(&stone, &finished, (nose, 1.0))?;
    left(&stone.turned(thick), &finished.turned(thick), (nose, -1.0))
}

fn place(at: Point) -> String {
    format!("diameter {} mm, {} mm from side A", fixed(2.0 * at.y, 3), fixed(at.x, 3))
}

/// Whether the nose could have cut more of the side that faces the smaller depths.
fn left(stone: &Stone, finished: &Stone, (nose, sense): (f64, f64)) -> Result<(), Objection> {
    let reach = reach(finished, nose);
    for i in 2..stone.len().saturating_sub(2) {
        let Some(shape) = finished.column(i).first() else { continue };
        let middle = (shape.0 + shape.1) / 2.0;
        let there = stone.column(i).iter().find(|s| s.0 <= middle && s.1 >= middle);
        let could = reach[i - 2..=i + 2].iter().copied().fold(shape.0, f64::min);
        if let Some(there) = there.filter(|there| there.0 < could - LEFT) {
            let side = if sense > 0.0 { 'A' } else { 'B' };
            return Err(Objection::Leaves(format!(
                "leaves {} mm of stone on side {side} at diameter {} mm that the nose could have cut",
                fixed(could - there.0, 3),
                fixed(2.0 * stone.radius(i), 3)
            )));
        }
    }
    Ok(())
}
