//! Groove passes: where a slitting disc runs, beside each other where it is narrower than the groove, above each other where the depth takes
//! several, with approach and over-run beyond the outside diameter.
//!
//! A disc is programmed by its lowest point. It never cuts beyond the ordered outline: at an inner end it stops where its rim touches the side at
//! the inner radius, so a square end keeps material that its run-out leaves; that is reported.

use super::face::Rolled;
use super::frame::{closed, drawing, layer, mm};
use super::grooves::Grooved;
use super::{CuttingError, Part, face, grooves};
use crate::drawing::{Drawing, Item, LineRole};
use crate::geometry::Point;
use crate::groove::disc::{self, Ground, Lane};
use crate::quantity::fixed;
use crate::reach::{self, Disc, Left, Place};
use crate::section::Section;
use crate::tolerance::{LEAST_CUT, PITCH_FIT};
use crate::wheel::{Job, SideName};

/// Clearance beyond the wheel at which passes begin and end unless asked otherwise, mm: a choice made here.
pub const OVER_RUN: f64 = 2.0;

/// Most passes of one set of grooves: more is a slip of the pen, not a way to cut.
pub const MOST_PASSES: f64 = 100_000.0;

/// Least clearance of a rapid move from the wheel in grooving, mm.
pub const LEAST_CLEAR: f64 = 0.5;

/// Room kept beyond the least clearance, mm, for what rounding takes.
const SPARE: f64 = LEAST_CUT;

/// The stone that rapid moves stay clear of: the wheel, and around it the blank, in case it is not turned down yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stock {
    /// Outside radius, mm.
    pub radius: f64,
    /// By how much the blank's radius exceeds the wheel's, mm.
    pub larger: f64,
    /// By how much the blank is thicker than the wheel, mm: all of it may lie on either side.
    pub thicker: f64,
}

impl Stock {
    /// Of an order.
    pub fn of(job: &Job) -> Stock {
        let blank = job.blank.as_ref();
        let more = |have: Option<f64>, want: f64| have.map_or(0.0, |have| (have - want).max(0.0));
        let larger = more(blank.and_then(|b| b.outside_diameter), job.wheel.outside_diameter) / 2.0;
        let thicker = more(blank.and_then(|b| b.thickness), job.wheel.thickness);
        Stock { radius: job.wheel.outside_radius() + larger, larger, thicker }
    }

    /// How far beside an edge of the stone a disc must stand that reaches `below` its top, so that it is clear of it, mm.
    pub fn beside(&self, cutter: &Cutter, below: f64) -> f64 {
        let clear = cutter.over_run.max(LEAST_CLEAR) + SPARE;
        let radius = cutter.diameter.map_or(0.0, |d| d / 2.0);
        let above = (radius - below).max(0.0);
        let reach = radius + clear;
        ((reach - above) * (reach + above)).max(0.0).sqrt()
    }
}

impl Cutter {
    /// u at which a pass at a height above the floor begins, clear of the stone outside the rim.
    pub fn starts(&self, job: &Job, ground: &Ground, lane: &Lane, height: f64) -> f64 {
        let stock = Stock::of(job);
        let half = lane.width / 2.0 + self.over_run.max(LEAST_CLEAR);
        let aside = (lane.v.abs() - half).max(0.0);
        let rim = ((stock.radius - aside) * (stock.radius + aside)).max(0.0).sqrt();
        let mut at = rim;
        // a floor that slopes outwards is deeper the farther out the disc begins
        for _ in 0..APPROACHES {
            at = rim + stock.beside(self, stock.thicker + ground.lowest(lane, at) - height);
        }
        at
    }
}

/// Rounds in which the start of a pass on a sloping floor settles.
const APPROACHES: u32 = 30;

/// The disc and how it is to be led.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutter {
    /// Width, mm.
    pub width: f64,
    /// Diameter; `None` where it is not known, then run-outs are left aside.
    pub diameter: Option<f64>,
    /// Clearance beyond the wheel at which passes begin and end, mm.
    pub over_run: f64,
    /// Greatest depth of one pass, mm; `None` cuts to depth at once.
    pub depth_per_pass: Option<f64>,
}

impl Cutter {
    /// That of an order; `None` where the order names no width.
    pub fn of(job: &Job, over_run: Option<f64>, depth_per_pass: Option<f64>) -> Option<Cutter> {
        let width = job.tooling.groove_cutter_width?;
        let over_run = over_run.unwrap_or(OVER_RUN);
        Some(Cutter { width, diameter: job.tooling.groove_cutter_diameter, over_run, depth_per_pass })
    }

    /// The disc itself.
    pub fn disc(&self) -> Disc {
        Disc { width: Some(self.width), diameter: self.diameter }
    }

    /// Heights above the floor of the passes above each other, from the first cut to 0, where `depth` is taken off in all, counted from the turned side.
    pub fn heights(&self, depth: f64) -> Vec<f64> {
        let n = self.levels(depth);
        (1..=n).map(|i| depth * f64::from(n - i) / f64::from(n)).collect()
    }

    /// How many passes above each other take off `depth`.
    pub fn levels(&self, depth: f64) -> u32 {
        self.depth_per_pass.map_or(1.0, |p| (depth / p - PITCH_FIT).ceil().max(1.0)) as u32
    }
}

/// One pass of the lowest point, in the frame of the groove's centre line.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// Where it begins, outside the wheel where the groove is open there.
    pub from: Point,
    /// Where it ends, inside.
    pub to: Point,
    /// Height above the floor that the bottom's form asks of it, mm.
    pub raised: f64,
    /// Greatest depth below the turned wheel that it takes off, mm.
    pub takes: f64,
    /// Whether the cutter is ground to the bottom's form.
    pub formed: bool,
    /// From `to` on, u of the lowest point and its height above the floor as the disc climbs a run-out ordered for a larger one; mostly empty.
    pub climb: Vec<Point>,
}

impl Pass {
    /// The pass as the path of a disc.
    pub fn lane(&self, cutter: &Cutter) -> Lane {
        let radius = cutter.diameter.map(|d| d / 2.0);
        Lane { v: self.from.y, width: cutter.width, radius, raised: self.raised, formed: self.formed }
    }
}

/// How the grooves of a part are cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Passes {
    /// The passes of one groove beside each other.
    pub passes: Vec<Pass>,
    /// Whether they begin outside the wheel; else the cutter plunges.
    pub open: bool,
    /// What is left, and what the setter must know.
    pub remarks: Vec<String>,
}

impl Passes {
    /// Greatest depth below the turned wheel that any of them takes off, mm.
    pub fn takes(&self) -> f64 {
        self.passes.iter().map(|p| p.takes).fold(0.0, f64::max)
    }
}

/// The passes of a side's grooves; the remarks alone where this cutter cannot make them.
///
/// # Errors
/// Where there would be more passes than [`MOST_PASSES`], or the wheel has no section.
pub fn side(job: &Job, side: SideName, cutter: &Cutter) -> Result<Option<Passes>, CuttingError> {
    let Some(grooved) = Grooved::of(job, side) else { return Ok(None) };
    let (g, one) = (grooved.grooves, &grooved.one);
    let what = Part::Grooves(side);
    bounded(cutter, what, g.width, g.pattern.count())?;
    let section = Section::of(&job.wheel)?;
    let open = one.outer_u.is_none();
    let left = reach::of_side(&job.wheel, &section, side, (cutter.disc(), reach::widest(job, Place::Side(side))));
    let mut remarks = reach::said(&left, job.units);
    let one = one.at_least(cutter.width);
    let lanes = disc::lanes(&one, cutter.width, cutter.diameter.map(|d| d / 2.0));
    let Some(lanes) = lanes.filter(|_| !left.iter().any(Left::refuses)) else {
        return Ok(Some(Passes { passes: Vec::new(), open, remarks }));
    };
    let ground = Ground::new(one, &section, &job.wheel);
    let mut passes = Vec::new();
    for lane in lanes {
        let Some((inner, outer)) = ground.limits(&lane) else {
            return Ok(Some(Passes { passes: Vec::new(), open, remarks }));
        };
        let takes = ground.takes(&lane, inner, outer.unwrap_or(one.outside_radius));
        // a pass that takes nothing runs in the air
        if takes <= LEAST_CUT {
            continue;
        }
        let from = outer.unwrap_or_else(|| cutter.starts(job, &ground, &lane, 0.0));
        let at = |u: f64| Point::new(u, lane.v);
        let climb = ground.climb(&lane, inner);
        let takes = takes.max(ground.takes_beneath(&lane, &climb));
        passes.push(Pass { from: at(from), to: at(inner), raised: lane.raised, takes, formed: lane.formed, climb });
    }
    if passes.iter().any(|p| !p.climb.is_empty()) {
        remarks.push(format!("The run-out of the {what} is that of a larger disc: in a program this one rises along it from the end of its floor."));
    }
    if cutter.diameter.is_none() {
        remarks.push(format!(
            "No diameter of the disc is given: the passes of the {what} end at the inner end, without room for a disc's run-out."
        ));
    } else if !open {
        remarks.push(format!("The {what} end inside the wheel: the disc plunges."));
    }
    Ok(Some(Passes { passes, open, remarks }))
}

/// Refuses a count of passes that no machine is fed with, before any is made.
fn bounded(cutter: &Cutter, what: Part, width: f64, grooves: u32) -> Result<(), CuttingError> {
    let count = (disc::steps_across(width, cutter.width) + 1.0) * f64::from(grooves);
    if count <= MOST_PASSES {
        return Ok(());
    }
    Err(CuttingError::Needs {
        message: format!(
            "a cutter {} mm wide would take {} passes for the {what}; at most {} are written",
            fixed(cutter.width, 6),
            fixed(count, 0),
            fixed(MOST_PASSES, 0)
        ),
        hint: String::from("give the width of the disc that is used"),
    })
}

/// The passes of the face's grooves, in the frame of a groove that starts at the origin and runs along x; both ends lie outside the wheel.
///
/// # Errors
/// Where there would be more passes than [`MOST_PASSES`].
pub fn face(job: &Job, cutter: &Cutter) -> Result<Option<Passes>, CuttingError> {
    let Some(rolled) = Rolled::of(job) else { return Ok(None) };
    let g = rolled.grooves;
    bounded(cutter, Part::FaceGrooves, g.width, g.pattern.count())?;
    let left = reach::of_face(g, (cutter.disc(), reach::widest(job, Place::Face)));
    let mut remarks = reach::said(&left, job.units);
    let g = &g.at_least(cutter.width);
    let lanes = reach::face_lanes(g, cutter.width).filter(|_| !left.iter().any(Left::refuses));
    let Some(lanes) = lanes else { return Ok(Some(Passes { passes: Vec::new(), open: true, remarks })) };
    let stock = Stock::of(job);
    let beyond = stock.thicker + stock.beside(cutter, stock.larger + g.depth);
    let slope = g.helix_deg.to_radians().tan();
    let formed = lanes.len() == 1;
    let pass = |&(v, raised): &(f64, f64)| {
        let aside = v * (1.0 + slope * slope).sqrt();
        let at = |x: f64| Point::new(x, aside + slope * x);
        Pass { from: at(-beyond), to: at(rolled.thickness + beyond), raised, takes: g.depth - raised, formed, climb: Vec::new() }
    };
    let passes: Vec<Pass> = lanes.iter().map(pass).filter(|p| p.takes > LEAST_CUT).collect();
    if g.helix_deg != 0.0 {
        remarks.push(String::from("The face grooves are helical: the cutter's head is turned to the helix angle."));
    }
    Ok(Some(Passes { passes, open: true, remarks }))
}

/// The passes of a side's grooves as a drawing: `GROOVE_PASS_SIDE_…`, the ordered edges on `REF_GROOVE_EDGE_SIDE_…`; `None` where there are no
/// grooves or this cutter cannot make them.
///
/// # Errors
/// Where an outline does not close, which a resolved wheel's do.
pub fn side_drawing(
    job: &Job,
    side: SideName,
    cutter: &Cutter,
    made: &Passes,
) -> Result<Option<Drawing>, CuttingError> {
    let Some(grooved) = Grooved::of(job, side).filter(|_| !made.passes.is_empty()) else { return Ok(None) };
    let part = Part::Grooves(side);
    let places: Vec<u32> = grooved.grooves.pattern.cut().collect();
    let lines = places.iter().flat_map(|&k| {
        let line = |p: &Pass| (grooved.laid(p.from, k), grooved.laid(p.to, k));
        made.passes.iter().map(line).collect::<Vec<_>>()
    });
    let lines = lines.map(|(from, to)| Item::Line { from, to, role: LineRole::Path });
    let edges = places.iter().map(|&k| Ok(closed(grooved.outline(k)?, LineRole::Reference)));
    let mut groups = vec![
        layer(format!("GROOVE_PASS_{}", part.layer_end()), lines.collect()),
        layer(format!("REF_GROOVE_EDGE_{}", part.layer_end()), edges.collect::<Result<_, CuttingError>>()?),
    ];
    groups.extend(grooves::references(job, side));
    let mut comments = grooves::comments(&grooved, side);
    comments.push(cutter_comment(cutter, made));
    comments.extend(made.remarks.clone());
    Ok(Some(drawing(job, part, &comments, groups)))
}

/// The passes of the face's grooves as a drawing: `GROOVE_PASS_FACE`, the ordered edges on `REF_GROOVE_EDGE_FACE`.
///
/// # Errors
/// Where an outline does not close, which a resolved wheel's do.
pub fn face_drawing(job: &Job, cutter: &Cutter, made: &Passes) -> Result<Option<Drawing>, CuttingError> {
    let Some(rolled) = Rolled::of(job).filter(|_| !made.passes.is_empty()) else { return Ok(None) };
    let places: Vec<u32> = rolled.grooves.pattern.cut().collect();
    let lines = places.iter().flat_map(|&k| {
        let start = rolled.centre_line(k).0;
        made.passes.iter().map(move |p| Item::Line { from: p.from + start, to: p.to + start, role: LineRole::Path })
    });
    let edges = places.iter().map(|&k| Ok(closed(rolled.outline(k)?, LineRole::Reference)));
    let mut groups = vec![
        layer("GROOVE_PASS_FACE", lines.collect()),
        layer("REF_GROOVE_EDGE_FACE", edges.collect::<Result<_, CuttingError>>()?),
    ];
    groups.extend(face::references(&rolled));
    let mut comments = face::comments(&rolled);
    comments.push(cutter_comment(cutter, made));
    comments.extend(made.remarks.clone());
    Ok(Some(drawing(job, Part::FaceGrooves, &comments, groups)))
}

fn cutter_comment(cutter: &Cutter, made: &Passes) -> String {
    let diameter = cutter.diameter.map_or_else(|| String::from("not given"), |d| format!("{} mm", mm(d)));
    let depth = cutter.depth_per_pass.map_or_else(|| String::from("to be set"), |d| format!("at most {} mm", mm(d)));
    format!(
        "Compensated: {} pass(es) beside each other for a cutter {} mm wide, diameter {diameter}; lines are those of its lowest point, with {} mm \
         beyond the wheel; depth per pass {depth}.",
        made.passes.len(),
        mm(cutter.width),
        mm(cutter.over_run)
    )
}
