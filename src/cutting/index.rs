//! The index table: where the indexing head stands for each groove, and what is cut there.
//!
//! Every angle is computed from the groove's place, never from a sum of steps. Where the order names the head's smallest step, the angle to set is the
//! nearest multiple of it and the error is stated.

use super::face::Rolled;
use super::grooves::{Grooved, place_deg};
use crate::quantity::fixed;
use crate::wheel::{Job, Pattern, SideName};

/// A table of numbers as text, ready for a writer.
#[derive(Debug, Clone, PartialEq)]
pub struct IndexTable {
    /// Column names, with units.
    pub head: Vec<&'static str>,
    /// What the table is for: unit, sense, the head and how well it holds the places; a line each.
    pub about: Vec<String>,
    /// One row for each groove cut.
    pub rows: Vec<Vec<String>>,
    /// Greatest difference between an angle to set and the exact one, degrees; `None` where the head's step is not given.
    pub worst_error_deg: Option<f64>,
}

/// The angles of one groove, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angles {
    /// As the order counts: from outside side A.
    pub order: f64,
    /// On the head, from groove 1, counter-clockwise as seen from outside the side that is cut; in [0, 360).
    pub head: f64,
    /// `head` rounded to the head's step; `None` where that is not given.
    pub set: Option<f64>,
}

/// The angles of place k; `mirrored` for side B.
pub fn angles(pattern: &Pattern, k: u32, mirrored: bool, step: Option<f64>) -> Angles {
    let place = place_deg(pattern, k);
    let head = if mirrored { (360.0 - place) % 360.0 } else { place };
    let set = step.map(|step| (head / step).round() * step);
    Angles { order: pattern.angle_deg(k), head, set }
}

/// Columns that every table begins with.
const ANGLES: [&str; 5] = ["groove", "angle_deg", "head_deg", "head_set_deg", "rounding_error_deg"];

/// The table of a side's grooves; `None` where it has none. Depths are those of the floor below the side's datum plane at the two ends of the
/// centre line; a run-out begins at the side itself and has its full depth from `full_depth_from_mm` outwards.
pub fn side(job: &Job, side: SideName) -> Option<IndexTable> {
    let grooved = Grooved::of(job, side)?;
    let g = grooved.grooves;
    let floor = &grooved.one.floor;
    let (inner, outer) = grooved.centre_line();
    let end = |x: f64| fixed(x, 6);
    let tail = [
        end(g.inner_diameter / 2.0),
        end(outer.length()),
        end(floor.depth(inner.x)),
        end(floor.depth(outer.x)),
        side.letter().to_owned(),
        end(floor.rise.map_or(g.inner_diameter / 2.0, |rise| rise.tangent_u.hypot(inner.y))),
    ];
    let names = ["radial_start_mm", "radial_end_mm", "depth_start_mm", "depth_end_mm", "side", "full_depth_from_mm"];
    Some(table(job, &g.pattern, side == SideName::B, (&names, &tail)))
}

/// The table of the face's grooves; `None` where it has none. The angles are those at side A; a helix carries the groove on by `twist_deg` to side B.
pub fn face(job: &Job) -> Option<IndexTable> {
    let rolled = Rolled::of(job)?;
    let g = rolled.grooves;
    let radius = fixed(rolled.outside_radius, 6);
    let tail = [
        radius.clone(),
        radius,
        fixed(g.depth, 6),
        fixed(g.depth, 6),
        String::from("face"),
        fixed(0.0, 6),
        fixed(rolled.thickness, 6),
        fixed((rolled.rise() / rolled.outside_radius).to_degrees(), 6),
    ];
    let names = [
        "radial_start_mm",
        "radial_end_mm",
        "depth_start_mm",
        "depth_end_mm",
        "side",
        "axial_start_mm",
        "axial_end_mm",
        "twist_deg",
    ];
    Some(table(job, &g.pattern, false, (&names, &tail)))
}

fn table(job: &Job, pattern: &Pattern, mirrored: bool, tail: (&[&'static str], &[String])) -> IndexTable {
    let step = job.tooling.index_step_deg.filter(|s| *s > 0.0);
    let all: Vec<(u32, Angles)> = pattern.cut().map(|k| (k, angles(pattern, k, mirrored, step))).collect();
    let error = |a: &Angles| a.set.map(|set| set - a.head);
    let worst_error_deg = all.iter().filter_map(|(_, a)| error(a)).map(f64::abs).reduce(f64::max);
    let optional = |value: Option<f64>| value.map_or_else(String::new, |v| fixed(v, 6));
    let row = |(k, a): &(u32, Angles)| {
        let mut row = vec![k.to_string(), fixed(a.order, 6), fixed(a.head, 6), optional(a.set), optional(error(a))];
        row.extend_from_slice(tail.1);
        row.push(dms(a.set.unwrap_or(a.head)));
        row.push(error(a).map_or_else(String::new, |e| fixed(e.to_radians() * job.wheel.outside_radius(), 6)));
        row.push(optional(worst_error_deg));
        row
    };
    let mut head = ANGLES.to_vec();
    head.extend_from_slice(tail.0);
    head.extend(["set_dms", "rim_error_mm", "worst_rounding_error_deg"]);
    IndexTable { about: about(job, pattern, mirrored), head, rows: all.iter().map(row).collect(), worst_error_deg }
}

/// An angle in degrees, minutes and seconds to a tenth, as dividing heads are read.
fn dms(degrees: f64) -> String {
    const TENTHS: u64 = 36_000;
    let tenths = (degrees * TENTHS as f64).round() as u64;
    let (d, rest) = (tenths / TENTHS, tenths % TENTHS);
    format!("{d}d {:02}m {:02}.{}s", rest / 600, rest % 600 / 10, rest % 10)
}

fn about(job: &Job, pattern: &Pattern, mirrored: bool) -> Vec<String> {
    let side = if mirrored { "side B" } else { "side A" };
    let mut lines = vec![
        String::from("Unit: millimetres and degrees; set_dms in degrees, minutes and seconds"),
        format!("Sense: head angles count counter-clockwise as seen from outside {side}, 0 for groove 1; angle_deg as the order counts, from outside side A"),
    ];
    if let Some(step) = job.tooling.index_step_deg.filter(|s| *s > 0.0) {
        lines.push(format!("Head: steps of {} deg", fixed(step, 6)));
    }
    lines.extend(plates(pattern));
    lines
}

/// Worm ratio and hole circles of a common dividing head: common practice. The shop's own head may have others.
const RATIO: u32 = 40;
const CIRCLES: [u32; 18] = [15, 16, 17, 18, 19, 20, 21, 23, 27, 29, 31, 33, 37, 39, 41, 43, 47, 49];

/// How a dividing head of the common ratio steps from place to place: exact on a circle, or the nearest with its error.
fn plates(pattern: &Pattern) -> Vec<String> {
    let places = pattern.places;
    let turns = RATIO / places;
    let rest = f64::from(RATIO) / f64::from(places) - f64::from(turns);
    let holes = |circle: u32| (rest * f64::from(circle)).round();
    let off = |circle: u32| (holes(circle) / f64::from(circle) - rest).abs();
    let Some(best) = CIRCLES.into_iter().min_by(|a, b| off(*a).total_cmp(&off(*b))) else { return Vec::new() };
    let each = off(best) * 360.0 / f64::from(RATIO);
    let how = if u64::from(RATIO) * u64::from(best) % u64::from(places) == 0 {
        String::from("exact")
    } else {
        format!("not exact: {} deg off from place to place, {} deg after all", fixed(each, 6), fixed(each * f64::from(places), 6))
    };
    vec![format!(
        "Dividing head {RATIO}:1, common hole circles: {turns} turns and {} holes on the {best} circle from place to place, {how}",
        fixed(holes(best), 0)
    )]
}
