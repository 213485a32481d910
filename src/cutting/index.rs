//! The index table: where the indexing head stands for each groove, and what is cut there.
//!
//! Every angle is computed from the groove's place, never from a sum of steps. Where the order names the head's smallest step, the angle to set is the
//! nearest multiple of it and the error is stated.

use super::control::{DividingHead, Plate};
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
pub fn side(job: &Job, side: SideName, head: &DividingHead) -> Option<IndexTable> {
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
    Some(table(job, (&g.pattern, side == SideName::B), head, (&names, &tail)))
}

/// The table of the face's grooves; `None` where it has none. The angles are those at side A; a helix carries the groove on by `twist_deg` to side B.
pub fn face(job: &Job, head: &DividingHead) -> Option<IndexTable> {
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
    Some(table(job, (&g.pattern, false), head, (&names, &tail)))
}

fn table(
    job: &Job,
    (pattern, mirrored): (&Pattern, bool),
    dividing: &DividingHead,
    tail: (&[&'static str], &[String]),
) -> IndexTable {
    let holes = Holes::best(dividing, pattern);
    let rim = job.wheel.outside_radius();
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
        // side B's places run the other way round
        let m = if mirrored { (pattern.places - (k - 1)) % pattern.places } else { k - 1 };
        row.extend(holes.map_or_else(|| vec![String::new(); HOLES.len()], |h| h.cells(m, rim)));
        row
    };
    let mut head = ANGLES.to_vec();
    head.extend_from_slice(tail.0);
    head.extend(["set_dms", "rim_error_mm", "worst_rounding_error_deg"]);
    head.extend(HOLES);
    let mut about = about(job, mirrored);
    about.extend(holes.map(|h| h.said(pattern, rim)));
    IndexTable { about, head, rows: all.iter().map(row).collect(), worst_error_deg }
}

/// An angle in degrees, minutes and seconds to a tenth, as dividing heads are read.
fn dms(degrees: f64) -> String {
    const TENTHS: u64 = 36_000;
    let tenths = (degrees * TENTHS as f64).round() as u64;
    let (d, rest) = (tenths / TENTHS, tenths % TENTHS);
    format!("{d}d {:02}m {:02}.{}s", rest / 600, rest % 600 / 10, rest % 10)
}

fn about(job: &Job, mirrored: bool) -> Vec<String> {
    let side = if mirrored { "side B" } else { "side A" };
    let mut lines = vec![
        String::from("Unit: millimetres and degrees; set_dms in degrees, minutes and seconds"),
        format!("Sense: head angles count counter-clockwise as seen from outside {side}, 0 for groove 1; angle_deg as the order counts, from outside side A"),
    ];
    if let Some(step) = job.tooling.index_step_deg.filter(|s| *s > 0.0) {
        lines.push(format!("Head: steps of {} deg", fixed(step, 6)));
    }
    lines
}

/// How a dividing head comes to the places: on one circle of holes, each place from its number.
#[derive(Debug, Clone, Copy)]
struct Holes<'a> {
    head: &'a DividingHead,
    plate: &'a str,
    circle: u32,
    places: u32,
}

impl<'a> Holes<'a> {
    /// The circle with the smallest error at the worst place; of several the first.
    fn best(head: &'a DividingHead, pattern: &Pattern) -> Option<Holes<'a>> {
        let of = |plate: &'a Plate| {
            plate.circles.iter().map(|&circle| Holes { head, plate: &plate.name, circle, places: pattern.places })
        };
        let all = head.plates.iter().flat_map(of);
        all.min_by_key(|h| h.worst_share(pattern))
    }

    /// Holes of a whole turn of the wheel.
    fn whole(&self) -> u64 {
        u64::from(self.head.ratio) * u64::from(self.circle)
    }

    /// Of place m, counted from 0: whole holes from groove 1, and how far they lie beyond the place, in parts of 1/places of a hole.
    fn at(&self, m: u32) -> (u64, i64) {
        let places = u64::from(self.places);
        let exact = u64::from(m) * self.whole();
        let holes = (2 * exact + places) / (2 * places);
        (holes, (holes * places) as i64 - exact as i64)
    }

    /// Error at the worst place, as a rank: parts of a turn, so that circles compare.
    fn worst_share(&self, pattern: &Pattern) -> u128 {
        const SCALE: u128 = 1 << 80;
        let worst = pattern.cut().map(|k| self.at(k - 1).1.unsigned_abs()).max().unwrap_or(0);
        u128::from(worst) * SCALE / (u128::from(self.places) * u128::from(self.whole()))
    }

    /// Error of place m, degrees.
    fn error_deg(&self, m: u32) -> f64 {
        self.at(m).1 as f64 * 360.0 / (f64::from(self.places) * self.whole() as f64)
    }

    /// What stands in the table for place m: plate, circle, turns, holes, error.
    fn cells(&self, m: u32, rim: f64) -> Vec<String> {
        let (holes, circle) = (self.at(m).0, u64::from(self.circle));
        let error = self.error_deg(m);
        let mut cells = vec![self.plate.to_owned(), self.circle.to_string()];
        cells.extend([(holes / circle).to_string(), (holes % circle).to_string()]);
        cells.extend([fixed(error, 6), fixed(error.to_radians() * rim, 6)]);
        cells
    }

    /// The same in words, for all places.
    fn said(&self, pattern: &Pattern, rim: f64) -> String {
        let (ratio, circle) = (self.head.ratio, self.circle);
        let whole = self.whole();
        let place = format!("Dividing head {ratio}:1, plate {}, circle of {circle} holes", self.plate);
        if u64::from(self.places) > whole {
            return format!("{place}: too coarse, two grooves would be cut in one place; at most {whole} places fit");
        }
        if whole.is_multiple_of(u64::from(self.places)) {
            let step = whole / u64::from(self.places);
            let (turns, holes) = (step / u64::from(circle), step % u64::from(circle));
            return format!("{place}: {turns} turns and {holes} holes from place to place, exact");
        }
        let worst = pattern.cut().map(|k| self.error_deg(k - 1).abs()).fold(0.0, f64::max);
        if worst == 0.0 {
            return format!("{place}: turns and holes of each groove in the table, exact");
        }
        format!(
            "{place}: turns and holes of each groove in the table, not exact: at most {} deg off, {} mm at the rim",
            fixed(worst, 6),
            fixed(worst.to_radians() * rim, 4)
        )
    }
}

/// Columns of a dividing head.
const HOLES: [&str; 6] = ["plate", "circle", "turns", "holes", "hole_error_deg", "hole_error_rim_mm"];
