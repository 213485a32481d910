//! Drives a nose along a turning program against the stone of its set-up.

use super::read::{Motion, Sense, read};
use super::stone::{Stone, Swept, crossings};
use super::{Objection, Proved, slack};
use crate::cutting::control::{Axial, Control};
use crate::cutting::profile::Profile;
use crate::cutting::program::{Begun, Draft, Roughing, SetUp};
use crate::geometry::{Contour, Edge, Point, Turn};
use crate::quantity::fixed;
use crate::wheel::{Job, SideName};

/// Least clearance of a rapid move from the stone, mm.
const CLEAR: f64 = 1.0;

/// How far a chord may lie off the arc it stands for, mm.
const CHORD: f64 = crate::tolerance::LEAST_LEFT;

/// Stone that counts as left where the nose could have cut it, mm: what columns beside a wall cannot tell apart.
pub(super) const LEFT: f64 = 0.03;

/// Passes a turning program on where it does what it should.
///
/// # Errors
/// Where a rapid move comes within a millimetre of the blank, a cut goes below the finished shape, roughing leaves less than the allowance for the last
/// pass, or stone is left that the nose could have cut.
pub fn turning(job: &Job, draft: Draft, control: &Control, (set_up, nose, roughing): (SetUp, f64, Roughing)) -> Result<Proved, Objection> {
    let axes = [control.axes.radial, control.axes.axial];
    let motions = read(draft.text(), control, &axes)?;
    let frame = Frame::of(job, control, set_up);
    let shape = frame.shape(&Profile::of(&job.wheel)?.contour);
    let begun = Begun::of(job, set_up);
    let outer = begun.radius.max(job.wheel.outside_radius());
    let inner = begun.bore;
    let fill = |r: f64| if r > begun.bore && r < begun.radius { vec![(begun.top, begun.back)] } else { Vec::new() };
    let blank = Stone::new(inner, outer, fill);
    let finished = Stone::new(inner, outer, |r| crossings(&shape, r));
    let mut stone = blank.clone();
    let off = slack(control.decimals) + CHORD;
    let (sides, finishes) = (line_of(&draft, ", ROUGHING"), line_of(&draft, ", FINISHED"));
    for motion in motions.iter().filter(|m| m.known) {
        let path = frame.path(motion);
        if let Some(at) = path.iter().find(|p| p.y - nose < begun.flange + CLEAR - off && begun.flange > 0.0) {
            return Err(does(motion, "comes within a millimetre of the flange", *at));
        }
        for pair in path.windows(2) {
            if motion.sense == Sense::Rapid {
                if let Some(at) = blank.meets(&Swept::new(pair[0], pair[1], nose + CLEAR - off)) {
                    return Err(does(motion, "moves rapidly within a millimetre of the blank", at));
                }
                continue;
            }
            if let Some(at) = finished.meets(&Swept::new(pair[0], pair[1], nose - off)) {
                return Err(does(motion, "cuts below the finished surface", at));
            }
            let roughs = motion.line < finishes && motion.line > sides;
            if roughs && let Some(at) = finished.meets(&Swept::new(pair[0], pair[1], nose + roughing.allowance - off)) {
                return Err(does(motion, "leaves less than the allowance for the last pass", at));
            }
            stone.cut(&Swept::new(pair[0], pair[1], nose));
        }
    }
    left(job, &stone, &finished, (set_up, nose, begun.innermost()))?;
    Ok(Proved::of(draft))
}

/// The line of the comment that begins an operation of a side, by its end; 0 where there is none.
fn line_of(draft: &Draft, operation: &str) -> usize {
    let begins = |line: &str| line.contains("OPERATION: SIDE ") && line.contains(operation);
    draft.text().lines().position(begins).map_or(0, |at| at + 1)
}

fn does(motion: &Motion, what: &str, at: Point) -> Objection {
    let what = format!("{what} at diameter {} mm, {} mm below the datum plane", fixed(2.0 * at.y, 3), fixed(at.x, 3));
    Objection::Does { line: motion.line, what }
}

/// The set-up's frame: x is the depth below the side's datum plane, y the radius.
#[derive(Debug, Clone, Copy)]
pub struct Frame<'a> {
    control: &'a Control,
    set_up: SetUp,
    thickness: f64,
}

impl<'a> Frame<'a> {
    /// That of a set-up on a machine with this control.
    pub fn of(job: &Job, control: &'a Control, set_up: SetUp) -> Frame<'a> {
        Frame { control, set_up, thickness: job.wheel.thickness }
    }

    /// A half-section as it lies in the set-up.
    pub fn shape(&self, contour: &Contour) -> Contour {
        match self.set_up.side {
            SideName::A => contour.clone(),
            SideName::B => contour.mirrored_x().translated(Point::new(self.thickness, 0.0)),
        }
    }

    /// What an axial word means as a depth, and whether it grows out of the wheel.
    fn depth(&self, axial: f64) -> (f64, bool) {
        let out = self.control.axial == Axial::OutOfWheel;
        let from_datum = if out { -axial } else { axial };
        match self.set_up.side {
            SideName::B if self.set_up.stays => (self.thickness - from_datum, !out),
            _ => (from_datum, out),
        }
    }

    /// A place as the machine's words have it: x the axial word, y the radius.
    pub fn on_machine(&self, p: Point) -> Point {
        let grows_out = self.depth(0.0).1;
        let zero = self.depth(0.0).0;
        Point::new(if grows_out { zero - p.x } else { p.x - zero }, p.y)
    }

    fn place(&self, at: [f64; 4]) -> Point {
        let r = if self.control.radial_is_diameter { at[0] / 2.0 } else { at[0] };
        Point::new(self.depth(at[1]).0, r)
    }

    /// The path of the nose's centre, arcs in short chords.
    pub fn path(&self, motion: &Motion) -> Vec<Point> {
        let (from, to) = (self.place(motion.from), self.place(motion.to));
        let Sense::Arc { turn, centre } = motion.sense else { return vec![from, to] };
        let flips = self.depth(0.0).1;
        let centre = from + Point::new(if flips { -centre[1] } else { centre[1] }, centre[0]);
        let left = (turn == Turn::Left) != flips;
        let (a, b) = (from - centre, to - centre);
        let mut sweep = b.angle() - a.angle();
        let tau = std::f64::consts::TAU;
        sweep = if left { sweep.rem_euclid(tau) } else { -(-sweep).rem_euclid(tau) };
        let n = chords_of(sweep, a.length().max(b.length()));
        let at = |i: u32| {
            let t = f64::from(i) / f64::from(n);
            centre + Point::polar(a.length() + (b.length() - a.length()) * t, a.angle() + sweep * t)
        };
        (0..=n).map(at).collect()
    }
}

/// How many chords an arc takes so that none lies off it by more than [`CHORD`].
fn chords_of(sweep: f64, radius: f64) -> u32 {
    (sweep.abs() * (radius / (8.0 * CHORD)).sqrt()).ceil().clamp(1.0, 4000.0) as u32
}

/// Points along an edge, an arc in short chords.
pub(super) fn chords(edge: &Edge) -> Vec<Point> {
    let n = match edge {
        Edge::Line(_) => 1,
        Edge::Arc(a) => chords_of(a.sweep(), a.radius()),
    };
    (0..=n).map(|i| edge.at(f64::from(i) / f64::from(n))).collect()
}

/// Whether stone is left that the nose could have cut.
fn left(job: &Job, stone: &Stone, finished: &Stone, (set_up, nose, innermost): (SetUp, f64, f64)) -> Result<(), Objection> {
    let wheel = &job.wheel;
    let (bore, rim) = (wheel.bore_radius(), wheel.outside_radius());
    for i in 0..stone.len() {
        let r = stone.radius(i);
        let outside = set_up.bore && r < bore - stone.apart() || set_up.face && r > rim + stone.apart();
        if outside && !stone.column(i).is_empty() {
            return Err(Objection::Leaves(format!(
                "leaves stone at diameter {} mm, where there is none on the wheel",
                fixed(2.0 * r, 3)
            )));
        }
    }
    let reach = reach(finished, nose);
    // beside a flange the nose's own roundness stays
    let from = if innermost > 0.0 { bore.max(innermost + nose) } else { bore };
    for i in stone.between(from + stone.apart(), rim - stone.apart()) {
        let (Some(there), Some(shape)) = (stone.column(i).first(), finished.column(i).first()) else { continue };
        let near = i.saturating_sub(2)..(i + 3).min(stone.len());
        let could = reach[near].iter().copied().fold(shape.0, f64::min);
        if there.0 < could - LEFT {
            return Err(Objection::Leaves(format!(
                "leaves {} mm of stone at diameter {} mm that the nose could have cut",
                fixed(could - there.0, 3),
                fixed(2.0 * stone.radius(i), 3)
            )));
        }
    }
    Ok(())
}

/// How deep a nose reaches in each column of the finished shape, coming from the front.
pub(super) fn reach(finished: &Stone, nose: f64) -> Vec<f64> {
    let n = finished.len();
    let wide = (nose / finished.apart()).floor() as usize;
    let sag: Vec<f64> = (0..=wide)
        .map(|k| {
            let away = k as f64 * finished.apart();
            ((nose - away) * (nose + away)).max(0.0).sqrt()
        })
        .collect();
    let top = |i: usize| finished.column(i).first().map_or(f64::INFINITY, |s| s.0);
    let tops: Vec<f64> = (0..n).map(top).collect();
    let around = |i: usize| i.saturating_sub(wide)..(i + wide + 1).min(n);
    let rests: Vec<f64> =
        (0..n).map(|i| around(i).map(|j| tops[j] - sag[i.abs_diff(j)]).fold(f64::INFINITY, f64::min)).collect();
    (0..n)
        .map(|i| {
            around(i).filter(|&j| rests[j].is_finite()).map(|j| rests[j] + sag[i.abs_diff(j)]).fold(f64::MIN, f64::max)
        })
        .collect()
}
