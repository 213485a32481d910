//! The profile on a two-axis dresser, by operation, and its simulation.

use super::{CLEAR, Motion, Program, ProgramError, Sense, head, read};
use crate::cutting::frame::mm;
use crate::cutting::nose::NosePath;
use crate::cutting::profile::{Operation, Profile};
use crate::cutting::{CuttingError, Part};
use crate::geometry::{Bounds, Contour, Edge, Point, Turn};
use crate::tolerance::PROGRAM_POINT;
use crate::wheel::Job;

/// The operations in the order in which the path goes on from one to the next.
const SEQUENCE: [Operation; 4] = [Operation::Bore, Operation::SideB, Operation::Face, Operation::SideA];

/// Where the nose comes from and leaves to, in the profile's frame: along the axis at the sides, outwards at the face, through the bore.
fn ways(of: Operation) -> (Point, Point) {
    let (left, right, up) = (Point::new(-1.0, 0.0), Point::new(1.0, 0.0), Point::new(0.0, 1.0));
    match of {
        Operation::SideA => (left, left),
        Operation::SideB => (right, right),
        Operation::Face => (up, up),
        Operation::Bore => (left, right),
    }
}

/// The program of a nose's path around the profile. X words are diameters, Z runs from side A's datum plane to side B's.
///
/// # Errors
/// Where the program, read back and simulated, comes nearer to the finished shape than the nose's radius, or leaves a part of the path out.
pub fn profile(job: &Job, shape: &Profile, nose: &NosePath) -> Result<String, CuttingError> {
    let mut program = Program::new(&head_of(job, nose));
    program.block("G71 G90 G18 G40");
    if let Some(lead) = job.tooling.side_dress_lead {
        program.block(&format!("G95 F{}", crate::quantity::trimmed(lead, 4)));
    }
    let around = shape.contour.bounds().grown(nose.radius + CLEAR);
    let mut at: Option<Point> = None;
    for of in SEQUENCE {
        for run in nose.runs(of) {
            if at.is_some() {
                program.block("M0");
            }
            program.comment(&format!("Operation: {}", of.layer_end().replace('_', " ")));
            at = operation(&mut program, of, &run, around, at).or(at);
        }
    }
    let text = program.ended();
    let refused = |why: String| CuttingError::Program { part: Part::Profile, why };
    let motions = read(&text).map_err(|e: ProgramError| refused(e.to_string()))?;
    let simulated = simulate(&motions, &shape.contour);
    if simulated.least < nose.radius - PROGRAM_POINT {
        return Err(refused(format!("it comes within {} mm of the finished shape", mm(simulated.least))));
    }
    // an end off by the rounding changes each edge's length by as much
    let slack = PROGRAM_POINT * 4.0 * nose.path.edges().len() as f64;
    if (simulated.fed - nose.path.length()).abs() > slack {
        return Err(refused(format!("it follows {} mm of {} mm", mm(simulated.fed), mm(nose.path.length()))));
    }
    Ok(text)
}

fn head_of(job: &Job, nose: &NosePath) -> Vec<String> {
    let mut lines = head::common(job, Part::Profile);
    lines.extend([
        String::from("Datum: Z0 in side A's datum plane, Z grows towards side B; X0 is the wheel's axis"),
        String::from("X words are diameters; I and K lead from an arc's start to its centre, I as a radius"),
        String::from("G2 is clockwise, G3 counter-clockwise, seen with Z to the right and X up"),
        format!("Tool: diamond with a nose radius of {} mm; programmed is the nose's centre, without the control's own compensation", mm(nose.radius)),
        job.tooling.side_dress_lead.map_or_else(
            || String::from("Feed: to be set, no F word is written"),
            |lead| format!("Feed: the order's side dressing lead, {} mm per revolution; to be set for face and bore", mm(lead)),
        ),
        String::from("One pass on the finished shape: take off the stock before, or come to it in steps by the tool's offset"),
        String::from("Start with the tool clear outside the wheel. M0 stands between the operations for setting the tool's direction"),
    ]);
    lines.extend(nose.leftovers.iter().map(|l| l.message(nose.radius)));
    lines
}

/// Rapid to the run's start from the side it is open to, along the run, and away; gives where it ends.
fn operation(program: &mut Program, of: Operation, run: &[Edge], around: Bounds, at: Option<Point>) -> Option<Point> {
    let (first, last) = (run.first()?, run.last()?);
    let (come, leave) = ways(of);
    let entry = on_border(first.start(), come, around);
    match at {
        // wherever the tool stands outside the wheel: first out, then along
        None => {
            program.rapid(&[('X', 2.0 * around.max.y)]);
            program.rapid(&[('Z', if come.x > 0.0 { around.max.x } else { around.min.x })]);
            program.rapid(&words(entry));
        }
        Some(at) => corners(at, entry, around).into_iter().for_each(|p| program.rapid(&words(p))),
    }
    program.rapid(&words(first.start() + come * CLEAR));
    program.feed(&words(first.start()));
    for edge in run {
        match edge {
            Edge::Line(l) => program.feed(&words(l.end)),
            Edge::Arc(arc) => {
                let centre = arc.centre() - arc.start();
                let end = words(arc.end());
                let function = if arc.turn() == Turn::Left { "G3" } else { "G2" };
                program.moved(function, &[end[0], end[1], ('I', centre.y), ('K', centre.x)]);
            }
        }
    }
    program.feed(&words(last.end() + leave * CLEAR));
    let exit = on_border(last.end(), leave, around);
    program.rapid(&words(exit));
    Some(exit)
}

/// X as a diameter, and Z.
fn words(p: Point) -> [(char, f64); 2] {
    [('X', 2.0 * p.y), ('Z', p.x)]
}

/// Where the way from `p` meets the border around the wheel.
fn on_border(p: Point, way: Point, around: Bounds) -> Point {
    if way.y > 0.0 {
        Point::new(p.x, around.max.y)
    } else {
        Point::new(if way.x > 0.0 { around.max.x } else { around.min.x }, p.y)
    }
}

/// The way along the border from one of its points to another, over the outside diameter; ends with the other.
fn corners(from: Point, to: Point, around: Bounds) -> Vec<Point> {
    let outside = |p: Point| Point::new(p.x, around.max.y);
    if from.x == to.x {
        return vec![to];
    }
    let way = [outside(from), outside(to), to];
    let mut kept: Vec<Point> = way.into_iter().filter(|p| *p != from).collect();
    kept.dedup();
    kept
}

/// What a simulated program does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Simulated {
    /// Least distance of the nose's centre from the shape, rapid moves included, mm.
    pub least: f64,
    /// Length of the path fed along at no more than [`PROGRAM_POINT`] from that least distance, mm.
    pub fed: f64,
}

/// Moves the nose's centre along the motions of a profile program and measures its distance from the finished shape at the ends and along.
pub fn simulate(motions: &[Motion], shape: &Contour) -> Simulated {
    const STEPS: u32 = 16;
    let place = |m: &[f64; 4]| Point::new(m[2], m[0] / 2.0);
    let mut simulated = Simulated { least: f64::INFINITY, fed: 0.0 };
    let mut touching = Vec::new();
    for motion in motions.iter().filter(|m| m.known) {
        let (from, to) = (place(&motion.from), place(&motion.to));
        let edge = match motion.sense {
            Sense::Rapid | Sense::Straight => Edge::line(from, to),
            Sense::Arc { turn, centre } => {
                let centre = from + Point::new(centre[2], centre[0]);
                rounded_arc(from, to, centre, turn)
            }
        };
        let along = (0..=STEPS).map(|i| shape.distance(edge.at(f64::from(i) / f64::from(STEPS))));
        let (least, greatest) = along.fold((f64::INFINITY, 0.0_f64), |(l, g), d| (l.min(d), g.max(d)));
        let inside = shape.contains(edge.at(0.5));
        simulated.least = simulated.least.min(if inside { -least } else { least });
        if motion.sense != Sense::Rapid {
            touching.push((greatest, edge.length()));
        }
    }
    let reach = simulated.least + 4.0 * PROGRAM_POINT;
    simulated.fed = touching.iter().filter(|(greatest, _)| *greatest <= reach).map(|(_, length)| length).sum();
    simulated
}

/// The arc of a program, whose rounded ends lie beside their circle: the mean radius, the ends moved onto it.
fn rounded_arc(from: Point, to: Point, centre: Point, turn: Turn) -> Edge {
    let radius = (from.distance(centre) + to.distance(centre)) / 2.0;
    let on = |p: Point| (p - centre).unit().map_or(p, |u| centre + u * radius);
    Edge::arc(on(from), on(to), centre, radius, turn).unwrap_or(Edge::line(from, to))
}
