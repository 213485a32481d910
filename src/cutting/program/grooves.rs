//! Indexed groove passes: the wheel turns to each groove, the disc runs along it.

use super::{Draft, MOST_BLOCKS, Program, Word, head};
use crate::cutting::control::Control;
use crate::cutting::face::Rolled;
use crate::cutting::grooves::{Grooved, order_zero_deg};
use crate::cutting::index::angles;
use crate::cutting::passes::{Cutter, Pass, Passes, Stock};
use crate::cutting::{CuttingError, Part};
use crate::geometry::Point;
use crate::groove::disc::Ground;
use crate::quantity::fixed;
use crate::section::Section;
use crate::wheel::{Job, Pattern, SideName};

/// One level of a pass: the places of the disc's lowest point, along the groove and how deep, from where it starts.
type Level = Vec<(f64, f64)>;

/// The program of a side's groove passes; `None` where the side has no grooves or this cutter cannot make them.
///
/// The groove to be cut lies along +X; C is where the dividing axis stands for it, as the index table has it: 0 for groove 1. Z0 is the side's datum
/// plane, Z falls into the wheel.
///
/// # Errors
/// Where a size of the disc is not given, no feed is, or the program would be longer than [`MOST_BLOCKS`].
pub fn side(
    job: &Job,
    side: SideName,
    (cutter, made): (&Cutter, &Passes),
    control: &Control,
    state: &[String],
) -> Result<Option<Draft>, CuttingError> {
    let Some(grooved) = Grooved::of(job, side).filter(|_| !made.passes.is_empty()) else { return Ok(None) };
    let g = grooved.grooves;
    ready(cutter, control, Part::Grooves(side))?;
    let section = Section::of(&job.wheel)?;
    let ground = Ground::new(grooved.one.at_least(cutter.width), &section, &job.wheel);
    bounded((cutter, made), &g.pattern, Part::Grooves(side), control.repeat.is_some())?;
    let stock = Stock::of(job);
    let clear = stock.thicker + cutter.over_run.max(super::super::passes::LEAST_CLEAR) + 0.5;
    let mut lines = head::common(job, &Part::Grooves(side).to_string(), control, state);
    lines.extend(datum(job, side, &g.pattern, g.skew_deg));
    lines.extend(head::cutter(cutter));
    lines.extend(made.remarks.iter().cloned());
    let axes = control.axes;
    let mirror = if side == SideName::B { -1.0 } else { 1.0 };
    let levels: Vec<(f64, Vec<Level>)> =
        made.passes.iter().map(|p| (p.from.y, side_levels(job, &ground, cutter, made, p))).collect();
    let mut program = Program::new(control, &lines);
    program.rapid(&[(axes.depth, clear)]);
    let cut = |program: &mut Program| {
        for (v, levels) in &levels {
            for (&(from, deep), rest) in levels.iter().filter_map(|level| level.split_first()) {
                program.rapid(&[(axes.along, from), (axes.across, mirror * v)]);
                // outside the stone the disc comes down quickly; where it plunges it is fed from above
                if made.open {
                    program.rapid(&[(axes.depth, -deep)])
                } else {
                    program.feed(&[(axes.depth, -deep)])
                }
                for &(to, deep) in rest {
                    program.feed(&[(axes.along, to), (axes.depth, -deep)]);
                }
                program.feed(&[(axes.depth, clear)]);
            }
        }
    };
    let first = levels.iter().find_map(|(v, levels)| Some((levels.first()?.first()?.0, mirror * v)));
    let start = first.map(|(along, across)| vec![(axes.along, along), (axes.across, across)]).unwrap_or_default();
    let places: Vec<(u32, f64)> =
        g.pattern.cut().map(|k| (k, set_deg(job, &g.pattern, k, side == SideName::B))).collect();
    each(&mut program, &places, &start, cut);
    Ok(Some(program.ended()))
}

/// Cuts the same at every place of the dividing axis: as one block that each place calls where the control has such, else written out.
fn each(program: &mut Program, places: &[(u32, f64)], start: &[Word], cut: impl Fn(&mut Program)) {
    let dividing = program.control.axes.dividing;
    let repeat = program.control.repeat.as_ref().filter(|_| places.len() > 1 && !start.is_empty());
    if repeat.is_some() {
        program.rapid(start);
        program.repeated(|program| {
            cut(program);
            program.rapid(start);
        });
    }
    for &(k, place) in places {
        program.groove(k);
        program.rapid(&[(dividing, place)]);
        match repeat {
            Some(repeat) => program.block(&repeat.call),
            None => cut(program),
        }
    }
}

/// What the setter needs of a side's frame.
fn datum(job: &Job, side: SideName, pattern: &Pattern, skew_deg: f64) -> Vec<String> {
    let letter = side.letter();
    let turned = if side == SideName::B { skew_deg } else { -skew_deg };
    let zero = (order_zero_deg(pattern, side) + turned).rem_euclid(360.0);
    let mut lines = vec![
        format!(
            "Seen from outside side {letter}. Datum: X0 Y0 bore's centre, Z0 side {letter}'s datum plane, Z falls into the wheel"
        ),
        String::from("C: as the index table sets it, 0 for groove 1; turn the wheel so that the groove lies along +X"),
        format!(
            "Groove 1 lies at {} deg of the order, which counts from outside side A; at C0 the order's direction 0 stands at {} deg from +X",
            fixed(pattern.start_deg, 6),
            fixed(zero, 6)
        ),
    ];
    let stock = Stock::of(job);
    if stock.larger > 0.0 || stock.thicker > 0.0 {
        lines.push(String::from("Rapid moves are clear of the blank too. Turn the wheel before it is grooved: depths count from the turned side"));
    }
    lines
}

/// The levels of one pass of a side, from the first cut to the floor.
fn side_levels(job: &Job, ground: &Ground, cutter: &Cutter, made: &Passes, pass: &Pass) -> Vec<Level> {
    let lane = pass.lane(cutter);
    let mut above = f64::INFINITY;
    let level = |height: f64| {
        let from = if made.open { cutter.starts(job, ground, &lane, height) } else { pass.from.x };
        let climb = ground.climb_between(&lane, &pass.climb, (height, above));
        above = height;
        let end = climb.first().map_or(pass.to.x, |p| p.x);
        // where the disc plunges, a level high in a floor that is no parallel of the side may end in the air
        let to = if made.open { end } else { ground.cuts_to(&lane, (pass.from.x, end), height) };
        let level = [Point::new(from, height), Point::new(to, height)];
        let climb = climb.into_iter().skip(1).take_while(|_| to == end);
        level.into_iter().chain(climb).map(|p| (p.x, ground.lowest(&lane, p.x) - p.y)).collect()
    };
    cutter.heights(pass.takes).into_iter().map(level).collect()
}

fn set_deg(job: &Job, pattern: &Pattern, k: u32, mirrored: bool) -> f64 {
    let a = angles(pattern, k, mirrored, job.tooling.index_step_deg.filter(|s| *s > 0.0));
    a.set.unwrap_or(a.head)
}

/// What a program cannot do without.
fn ready(cutter: &Cutter, control: &Control, what: Part) -> Result<(), CuttingError> {
    control.feed()?;
    if cutter.diameter.is_none() {
        return Err(CuttingError::Needs {
            message: format!(
                "a program for the {what} needs the diameter of the disc: without it no rapid move is known to be clear"
            ),
            hint: String::from("give the diameter of the groove cutter in the order"),
        });
    }
    Ok(())
}

/// Refuses a program of more blocks than a control is fed with, before any is made.
fn bounded(
    (cutter, made): (&Cutter, &Passes),
    pattern: &Pattern,
    what: Part,
    once: bool,
) -> Result<(), CuttingError> {
    let levels = f64::from(cutter.levels(made.takes()));
    let climbs = made.passes.iter().map(|p| p.climb.len()).sum::<usize>() as f64;
    let of_one = 4.0 * levels * made.passes.len() as f64 + climbs;
    let count = f64::from(pattern.count());
    let blocks = if once { of_one + 2.0 * count } else { of_one * count };
    if blocks <= MOST_BLOCKS {
        return Ok(());
    }
    Err(CuttingError::Needs {
        message: format!(
            "the program of the {what} would have {} blocks, with {} passes above each other; at most {} are written",
            fixed(blocks, 0),
            fixed(levels, 0),
            fixed(MOST_BLOCKS, 0)
        ),
        hint: String::from("give a greater --depth-per-pass, or a wider disc"),
    })
}

/// The program of the face's groove passes; `None` where there are none or this cutter cannot make them.
///
/// The disc stands outside the wheel on the X axis: X is the radius of its lowest point, Z runs from side A to side B, C turns the wheel.
/// Along a helix C turns with Z.
///
/// # Errors
/// As [`side`].
pub fn face(
    job: &Job,
    (cutter, made): (&Cutter, &Passes),
    control: &Control,
    state: &[String],
) -> Result<Option<Draft>, CuttingError> {
    let Some(rolled) = Rolled::of(job).filter(|_| !made.passes.is_empty()) else { return Ok(None) };
    let g = rolled.grooves;
    ready(cutter, control, Part::FaceGrooves)?;
    let straight = g.helix_deg == 0.0;
    bounded((cutter, made), &g.pattern, Part::FaceGrooves, straight && control.repeat.is_some())?;
    let mut lines = head::common(job, &Part::FaceGrooves.to_string(), control, state);
    lines.extend(face_datum(&g.pattern));
    lines.extend(head::cutter(cutter));
    lines.extend(made.remarks.iter().cloned());
    let stock = Stock::of(job);
    let clear = stock.radius + cutter.over_run.max(super::super::passes::LEAST_CLEAR) + 0.5;
    let mut program = Program::new(control, &lines);
    let axes = control.axes;
    program.rapid(&[(axes.along, clear)]);
    // how deep a level of a pass runs, and how far beside the wheel it begins
    let level = |pass: &Pass, height: f64| {
        let deep = g.depth - height - pass.raised;
        (deep, stock.thicker + stock.beside(cutter, stock.larger + deep))
    };
    let cut = |program: &mut Program, place: Option<f64>| {
        for pass in &made.passes {
            for (deep, beyond) in cutter.heights(pass.takes).into_iter().map(|height| level(pass, height)) {
                let far = rolled.thickness + beyond;
                let at = |along: f64| ends(&rolled, place.unwrap_or(0.0), pass, along);
                let ((c, y), (end, _)) = (at(-beyond), at(far));
                let turned = |c: f64| place.map(|_| (axes.dividing, c));
                let words = |c: f64, rest: &[Word]| turned(c).into_iter().chain(rest.iter().copied()).collect::<Vec<_>>();
                program.rapid(&words(c, &[(axes.across, y), (axes.depth, -beyond)]));
                program.rapid(&[(axes.along, rolled.outside_radius - deep)]);
                program.feed(&words(end, &[(axes.depth, far)]));
                program.rapid(&[(axes.along, clear)]);
            }
        }
    };
    let places: Vec<(u32, f64)> = g.pattern.cut().map(|k| (k, set_deg(job, &g.pattern, k, false))).collect();
    let first = made.passes.first().and_then(|p| Some((p, *cutter.heights(p.takes).first()?)));
    match first.filter(|_| straight && control.repeat.is_some()) {
        Some((pass, height)) => {
            let start = [(axes.across, pass.from.y), (axes.depth, -level(pass, height).1)];
            each(&mut program, &places, &start, |program| cut(program, None));
        }
        None => {
            for &(k, place) in &places {
                program.groove(k);
                cut(&mut program, Some(place));
            }
        }
    }
    Ok(Some(program.ended()))
}

/// What the setter needs of the frame of the face's grooves.
fn face_datum(pattern: &Pattern) -> [String; 3] {
    [
        String::from("Datum: X0 the wheel's axis, X is a radius; Z0 side A's datum plane, Z grows towards side B; Y0 through the axis"),
        String::from("C: as the index table sets it, 0 for groove 1, counter-clockwise as seen from outside side A; turn it under the disc"),
        format!("Groove 1 lies at {} deg of the order", fixed(pattern.start_deg, 6)),
    ]
}

/// C and Y at a place along a pass. A straight groove's passes beside each other are shifted along Y, so that its walls are parallel; along a helix
/// they are turned.
fn ends(rolled: &Rolled, place: f64, pass: &Pass, along: f64) -> (f64, f64) {
    if rolled.grooves.helix_deg == 0.0 {
        return (place, pass.from.y);
    }
    let slope = (pass.to.y - pass.from.y) / (pass.to.x - pass.from.x);
    let y = pass.from.y + slope * (along - pass.from.x);
    (place + (y / rolled.outside_radius).to_degrees(), 0.0)
}
