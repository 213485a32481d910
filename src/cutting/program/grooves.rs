//! Indexed groove passes: the wheel turns to each groove, the disc runs along it.

use super::{CLEAR, Program, head};
use crate::cutting::Part;
use crate::cutting::face::Rolled;
use crate::cutting::grooves::{Grooved, place_deg};
use crate::cutting::passes::{Cutter, Pass, Passes};
use crate::quantity::fixed;
use crate::wheel::{Job, SideName};

/// The program of a side's groove passes; `None` where the side has no grooves or this cutter cannot make them.
///
/// The groove to be cut lies along +X; C is its direction on the wheel as the side's file shows it, rounded to the head's step where the order
/// names one. Z0 is the side's datum plane, Z falls into the wheel.
pub fn side(job: &Job, side: SideName, cutter: &Cutter, made: &Passes) -> Option<String> {
    let grooved = Grooved::of(job, side).filter(|_| !made.passes.is_empty())?;
    let g = grooved.grooves;
    let mut lines = head::common(job, Part::Grooves(side));
    let letter = side.letter();
    lines.extend([
        format!("Seen from outside side {letter}. Datum: X0 Y0 bore's centre, Z0 side {letter}'s datum plane, Z falls into the wheel"),
        String::from("C: direction of the groove on the wheel, counter-clockwise from groove 1; turn the wheel so that it lies along +X"),
        format!("Groove 1 lies at {} deg of the order, which counts from outside side A", fixed(g.pattern.start_deg, 6)),
    ]);
    lines.extend(head::cutter(cutter));
    lines.extend(made.remarks.iter().cloned());
    let mut program = Program::new(&lines);
    program.block("G71 G90 G17 G40");
    program.rapid(&[('Z', CLEAR)]);
    let mirror = if side == SideName::B { -1.0 } else { 1.0 };
    let floor = grooved.one.floor;
    let lift = cutter.slope_lift(floor.slope);
    let z = |u: f64, above: f64| above + lift - (floor.at_axis + floor.slope * u);
    for k in g.pattern.cut() {
        program.comment(&format!("Groove {k}"));
        let direction = mirror * (place_deg(&g.pattern, k) + g.skew_deg);
        program.rapid(&[('C', on_step(job, direction).rem_euclid(360.0))]);
        for pass in &made.passes {
            program.rapid(&[('X', pass.from.x), ('Y', mirror * pass.from.y)]);
            for height in cutter.heights(g.depth) {
                let above = height + pass.raised;
                down(&mut program, made.open, z(pass.from.x, above));
                program.feed(&[('X', pass.to.x), ('Z', z(pass.to.x, above))]);
                program.rapid(&[('Z', CLEAR)]);
                program.rapid(&[('X', pass.from.x)]);
            }
        }
    }
    Some(program.ended())
}

/// To the depth of a pass: rapidly outside the wheel, at feed into it.
fn down(program: &mut Program, open: bool, z: f64) {
    if open { program.rapid(&[('Z', z)]) } else { program.feed(&[('Z', z)]) }
}

fn on_step(job: &Job, degrees: f64) -> f64 {
    match job.tooling.index_step_deg {
        Some(step) if step > 0.0 => (degrees / step).round() * step,
        _ => degrees,
    }
}

/// The program of the face's groove passes; `None` where there are none or this cutter cannot make them.
///
/// The disc stands outside the wheel on the X axis: X is the radius of its lowest point, Z runs from side A to side B, C turns the wheel.
/// Along a helix C turns with Z.
pub fn face(job: &Job, cutter: &Cutter, made: &Passes) -> Option<String> {
    let rolled = Rolled::of(job).filter(|_| !made.passes.is_empty())?;
    let g = rolled.grooves;
    let mut lines = head::common(job, Part::FaceGrooves);
    lines.extend([
        String::from("Datum: X0 the wheel's axis, X is a radius; Z0 side A's datum plane, Z grows towards side B; Y0 through the axis"),
        String::from("C: angle of the groove on the wheel, counter-clockwise from groove 1 as seen from outside side A; turn it under the disc"),
        format!("Groove 1 lies at {} deg of the order", fixed(g.pattern.start_deg, 6)),
    ]);
    lines.extend(head::cutter(cutter));
    lines.extend(made.remarks.iter().cloned());
    let mut program = Program::new(&lines);
    program.block("G71 G90 G18 G40");
    let clear = rolled.outside_radius + CLEAR;
    program.rapid(&[('X', clear)]);
    for k in g.pattern.cut() {
        program.comment(&format!("Groove {k}"));
        for pass in &made.passes {
            let (from, to) = (ends(&rolled, job, k, pass, false), ends(&rolled, job, k, pass, true));
            program.rapid(&[('C', from.0), ('Y', from.1), ('Z', pass.from.x)]);
            for height in cutter.heights(g.depth) {
                program.rapid(&[('X', rolled.outside_radius - g.depth + height + pass.raised)]);
                if g.helix_deg == 0.0 {
                    program.feed(&[('Z', pass.to.x)]);
                } else {
                    program.feed(&[('C', to.0), ('Z', pass.to.x)]);
                }
                program.rapid(&[('X', clear)]);
                if g.helix_deg == 0.0 {
                    program.rapid(&[('Z', pass.from.x)]);
                } else {
                    program.rapid(&[('C', from.0), ('Z', pass.from.x)]);
                }
            }
        }
    }
    Some(program.ended())
}

/// C and Y at an end of a pass. A straight groove's passes beside each other are shifted along Y, so that its walls are parallel; along a helix
/// they are turned.
fn ends(rolled: &Rolled, job: &Job, k: u32, pass: &Pass, far: bool) -> (f64, f64) {
    let place = on_step(job, place_deg(&rolled.grooves.pattern, k));
    let end = if far { pass.to } else { pass.from };
    if rolled.grooves.helix_deg == 0.0 {
        return (place, end.y);
    }
    (place + (end.y / rolled.outside_radius).to_degrees(), 0.0)
}
