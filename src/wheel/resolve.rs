//! From the order as typed to the wheel in millimetres: every problem of an order is collected, none stops the others from being seen.

use super::draft::{Known, UsualSizes};
use super::fit;
use super::{Job, OpenSize};
use super::model::{
    Bottom, Corner, FaceBottom, FaceGrooves, InnerEnd, Pattern, RecessStep, Side, SideGrooves, Taper, Wheel,
};
use super::reader::Reader;
use super::resolve_parts;
use crate::json::Problem;
use crate::order::{self, BottomName, FaceBottomName, InnerEndName, Order};
use crate::quantity::{Count, Degrees, trimmed};
use crate::size::SideName;
use crate::tolerance::{LEAST_ANGLE_DEG, PITCH_FIT};
use std::collections::BTreeSet;

/// The most places a groove pattern may have; a wheel of ten metres with half-millimetre lands would have fewer than this.
pub const MOST_PLACES: u32 = 36_000;

/// Resolves an order.
///
/// # Errors
/// Every problem found: quantities that cannot be read, values that make no sense, features that cannot exist together.
#[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
pub fn resolve(order: &Order, usual: &UsualSizes) -> Result<Job, Vec<Problem>> {
    resolve_sound(order, &[], usual)
}

/// As [`resolve`], for an order some of whose fields are broken (JSON pointers) and hold stand-ins: only what does not touch them is checked,
/// and what comes out must not be used.
pub(super) fn resolve_sound(order: &Order, broken: &[String], usual: &UsualSizes) -> Result<Job, Vec<Problem>> {
    let units_known = !broken.iter().any(|b| b == "/units");
    let mut reader = Reader {
        unit: order.units,
        units_known,
        broken,
        problems: Vec::new(),
        open: Vec::new(),
        known: Known::of(order, usual),
    };
    let wheel = wheel(&mut reader, &order.wheel);
    let mut job = Job {
        head: resolve_parts::head(&mut reader, &order.order),
        units: order.units,
        max_operating_speed: resolve_parts::lower_speed(&mut reader, order),
        blank: order.blank.as_ref().map(|b| resolve_parts::blank(&mut reader, b)),
        machine: resolve_parts::machine(&mut reader, order.machine.as_ref()),
        mount: resolve_parts::mount(&mut reader, order.mount.as_ref()),
        work: resolve_parts::work(&mut reader, order.work.as_ref()),
        tooling: resolve_parts::tooling(&mut reader, order.tooling.as_ref()),
        tolerances: resolve_parts::tolerances(&mut reader, order.tolerances.as_ref()),
        answers: resolve_parts::answers(&mut reader, &order.answers),
        sheets: resolve_parts::sheets(order.drawing.as_ref(), order.units),
        wheel,
        open: Vec::new(),
    };
    job.open = std::mem::take(&mut reader.open);
    if let Some(sound) = reader.sound_part(&job.wheel) {
        let misfits = fit::problems(&sound, order.units);
        reader.problems.extend(misfits);
    }
    if reader.problems.is_empty() { Ok(job) } else { Err(reader.problems) }
}

fn wheel(reader: &mut Reader, shape: &order::Shape) -> Wheel {
    let outside_diameter = reader.positive("/wheel/outside_diameter", &shape.outside_diameter);
    let thickness = reader.positive("/wheel/thickness", &shape.thickness);
    let bore = reader.positive("/wheel/bore", &shape.bore);
    reader.known.body = [outside_diameter, thickness, bore];
    Wheel {
        outside_diameter,
        thickness,
        bore,
        bore_chamfer: reader.or_zero("/wheel/bore_chamfer", shape.bore_chamfer.as_ref()),
        side_a: side(reader, shape.side_a.as_ref(), SideName::A),
        side_b: side(reader, shape.side_b.as_ref(), SideName::B),
        face: shape.face.as_ref().and_then(|f| f.grooves.as_ref()).and_then(|g| face_grooves(reader, g)),
    }
}

fn side(reader: &mut Reader, side: Option<&order::Side>, name: SideName) -> Side {
    let Some(side) = side else { return Side::default() };
    let at = format!("/wheel/{}", name.key());
    (reader.known.step, reader.known.recess) = (None, None);
    Side {
        recess: side
            .recess
            .iter()
            .enumerate()
            .map(|(i, step)| recess_step(reader, step, &format!("{at}/recess/{i}")))
            .collect(),
        taper: side.taper.as_ref().and_then(|t| taper(reader, t, &format!("{at}/taper"))),
        corner: side.corner.as_ref().and_then(|c| corner(reader, c, &format!("{at}/corner"))),
        grooves: side.grooves.as_ref().and_then(|g| side_grooves(reader, g, &format!("{at}/grooves"))),
    }
}

fn recess_step(reader: &mut Reader, step: &order::RecessStep, at: &str) -> RecessStep {
    let diameter = reader.needed(&format!("{at}/diameter"), step.diameter.as_ref());
    let depth = reader.needed(&format!("{at}/depth"), step.depth.as_ref());
    reader.known.step = Some([diameter, depth]);
    reader.known.recess.get_or_insert(diameter);
    let fillet_radius = reader.or_zero(&format!("{at}/fillet_radius"), step.fillet_radius.as_ref());
    RecessStep { diameter, depth, fillet_radius }
}

fn taper(reader: &mut Reader, taper: &order::Taper, at: &str) -> Option<Taper> {
    let from_diameter = reader.needed(&format!("{at}/from_diameter"), taper.from_diameter.as_ref());
    let to_diameter = reader.needed(&format!("{at}/to_diameter"), taper.to_diameter.as_ref());
    if from_diameter == to_diameter && from_diameter > 0.0 {
        let d = reader.show(from_diameter);
        reader.problem(
            &format!("{at}/to_diameter"),
            format!("the taper begins and ends at the same diameter, {d}"),
            "give two different diameters",
        );
        return None;
    }
    let depth = match (&taper.depth, taper.angle_deg) {
        (Some(depth), None) => reader.or_zero(&format!("{at}/depth"), Some(depth)),
        (None, Some(angle)) => {
            let angle = reader.angle(&format!("{at}/angle_deg"), angle, 0.0, 80.0);
            angle.to_radians().tan() * (from_diameter - to_diameter).abs() / 2.0
        }
        (Some(_), Some(_)) => {
            reader.problem(at, "the taper has a depth and an angle", "keep one of `depth` and `angle_deg`");
            0.0
        }
        (None, None) if reader.has_broken(at, &["depth", "angle_deg"]) => 0.0,
        (None, None) => reader.needed(&format!("{at}/depth"), None),
    };
    // a taper of depth 0 is no taper
    (depth > 0.0).then_some(Taper { from_diameter, to_diameter, depth, ordered_angle_deg: taper.angle_deg })
}

fn corner(reader: &mut Reader, corner: &order::Corner, at: &str) -> Option<Corner> {
    match (&corner.radius, &corner.chamfer) {
        (Some(radius), None) => {
            if corner.angle_deg.is_some() {
                let field = format!("{at}/angle_deg");
                reader.problem(&field, "a corner radius has no angle", "remove `angle_deg`, or give a `chamfer`");
            }
            let radius = reader.or_zero(&format!("{at}/radius"), Some(radius));
            (radius > 0.0).then_some(Corner::Radius(radius))
        }
        (None, Some(chamfer)) => {
            let run = reader.or_zero(&format!("{at}/chamfer"), Some(chamfer));
            let angle = corner.angle_deg.unwrap_or(45.0);
            let angle_deg = reader.angle(&format!("{at}/angle_deg"), angle, 0.0, 90.0);
            (run > 0.0).then_some(Corner::Chamfer { run, angle_deg })
        }
        (Some(_), Some(_)) => {
            reader.problem(at, "the corner has a radius and a chamfer", "keep one of `radius` and `chamfer`");
            None
        }
        (None, None) => {
            let message = "the corner has neither a radius nor a chamfer";
            reader.lacking(at, &["radius", "chamfer"], at, message, "give `radius` or `chamfer`");
            None
        }
    }
}

fn side_grooves(reader: &mut Reader, g: &order::SideGrooves, at: &str) -> Option<SideGrooves> {
    let width = reader.needed(&format!("{at}/width"), g.width.as_ref());
    let inner_diameter = reader.needed(&format!("{at}/inner_diameter"), g.inner_diameter.as_ref());
    let given = Places { count: g.count.as_ref(), pitch_deg: g.pitch_deg.as_ref(), usual: reader.known.pitch(inner_diameter, width) };
    let pattern = pattern(reader, at, given, g.start_deg, &g.omit);
    let bottom = match (g.bottom.unwrap_or(BottomName::Flat), g.vee_angle_deg) {
        (BottomName::Vee, Some(angle)) => {
            Bottom::Vee { angle_deg: reader.angle(&format!("{at}/vee_angle_deg"), angle, 0.0, 180.0) }
        }
        (BottomName::Vee, None) => {
            let (field, hint) = (format!("{at}/bottom"), "give `vee_angle_deg`, such as 60");
            reader.lacking(at, &["vee_angle_deg"], &field, "a vee bottom needs its angle", hint);
            Bottom::Flat
        }
        (name, angle) => {
            if angle.is_some() {
                let field = format!("{at}/vee_angle_deg");
                reader.problem(&field, "only a vee bottom has a vee angle", "remove it, or set `bottom` to `vee`");
            }
            if name == BottomName::Round { Bottom::Round } else { Bottom::Flat }
        }
    };
    let grooves = SideGrooves {
        width,
        depth: reader.needed(&format!("{at}/depth"), g.depth.as_ref()),
        bottom,
        inner_diameter,
        inner_end: inner_end(reader, g, at),
        outer_diameter: reader.optional(&format!("{at}/outer_diameter"), g.outer_diameter.as_ref()),
        skew_deg: g.skew_deg.map_or(0.0, |s| reader.angle(&format!("{at}/skew_deg"), s, -89.0, 89.0)),
        pattern: pattern?,
    };
    Some(grooves)
}

fn inner_end(reader: &mut Reader, g: &order::SideGrooves, at: &str) -> InnerEnd {
    match (g.inner_end.unwrap_or(InnerEndName::Square), &g.cutter_diameter) {
        (InnerEndName::Runout, Some(cutter)) => {
            InnerEnd::Runout { cutter_diameter: reader.positive(&format!("{at}/cutter_diameter"), cutter) }
        }
        (InnerEndName::Runout, None) => {
            let hint = "give `cutter_diameter`, the disc that cuts the groove";
            let field = format!("{at}/inner_end");
            reader.lacking(at, &["cutter_diameter"], &field, "a runout end needs the cutter's diameter", hint);
            InnerEnd::Square
        }
        (name, cutter) => {
            if cutter.is_some() {
                let field = format!("{at}/cutter_diameter");
                let hint = "remove it, or set `inner_end` to `runout`";
                reader.problem(&field, "only a runout end has a cutter diameter", hint);
            }
            if name == InnerEndName::Round { InnerEnd::Round } else { InnerEnd::Square }
        }
    }
}

fn face_grooves(reader: &mut Reader, g: &order::FaceGrooves) -> Option<FaceGrooves> {
    let at = "/wheel/face/grooves";
    let width = reader.needed(&format!("{at}/width"), g.width.as_ref());
    let usual = reader.known.pitch(reader.known.body[0], width);
    let given = Places { count: g.count.as_ref(), pitch_deg: g.pitch_deg.as_ref(), usual };
    let pattern = pattern(reader, at, given, g.start_deg, &g.omit);
    let grooves = FaceGrooves {
        width,
        depth: reader.needed(&format!("{at}/depth"), g.depth.as_ref()),
        bottom: match g.bottom {
            Some(FaceBottomName::Round) => FaceBottom::Round,
            Some(FaceBottomName::Flat) | None => FaceBottom::Flat,
        },
        helix_deg: g.helix_deg.map_or(0.0, |h| reader.angle(&format!("{at}/helix_deg"), h, -80.0, 80.0)),
        pattern: pattern?,
    };
    Some(grooves)
}

/// How many places a pattern has, as ordered, and what is usual where the order does not say.
struct Places<'a> {
    count: Option<&'a Count>,
    pitch_deg: Option<&'a Degrees>,
    usual: (f64, String),
}

/// Count, pitch, start and omissions of a groove pattern.
fn pattern(reader: &mut Reader, at: &str, given: Places, start_deg: Option<f64>, omit: &[u32]) -> Option<Pattern> {
    let places = places(reader, at, given)?;
    let start_deg = start_deg.unwrap_or(0.0);
    if start_deg != 0.0 && start_deg.abs() < LEAST_ANGLE_DEG {
        reader.angle(&format!("{at}/start_deg"), start_deg, -360.0, 360.0);
    }
    if !(-360.0..=360.0).contains(&start_deg) {
        let message = format!("`start_deg` cannot be {}°", trimmed(start_deg, 6));
        reader.problem(&format!("{at}/start_deg"), message, "give -360 to 360");
    }
    let mut rising: BTreeSet<u32> = BTreeSet::new();
    for (i, &k) in omit.iter().enumerate() {
        let field = format!("{at}/omit/{i}");
        if k == 0 || k > places {
            reader.problem(&field, format!("there is no groove {k}"), format!("grooves are numbered 1 to {places}"));
        } else if !rising.insert(k) {
            reader.problem(&field, format!("groove {k} is omitted twice"), "name each omitted groove once");
        }
    }
    if rising.len() as u32 >= places {
        let hint = "remove `grooves`, or omit fewer";
        reader.problem(&format!("{at}/omit"), format!("all {places} grooves are omitted"), hint);
        return None;
    }
    Some(Pattern { places, start_deg, omit: rising.into_iter().collect() })
}

fn places(reader: &mut Reader, at: &str, given: Places) -> Option<u32> {
    let (count_field, pitch_field) = (format!("{at}/count"), format!("{at}/pitch_deg"));
    let (count, open_count) = match given.count {
        None => (None, false),
        Some(Count::Decided(n)) => (Some(*n), false),
        Some(Count::Open(text)) => (reader.proposed_number(&count_field, text)?, true),
    };
    let (pitch, open_pitch) = match given.pitch_deg {
        None => (None, false),
        Some(Degrees::Decided(pitch)) => (Some(*pitch), false),
        Some(Degrees::Open(text)) => (reader.proposed_number(&pitch_field, text)?, true),
    };
    if count.is_none() && pitch.is_none() {
        if reader.has_broken(at, &["count", "pitch_deg"]) {
            return None;
        }
        let (pitch, why) = given.usual;
        let n = count_of_pitch(pitch)?;
        let (field, value) = if open_count { (count_field, f64::from(n)) } else { (pitch_field, pitch) };
        reader.open.push(OpenSize { field, value: Some(value), why: Some(why) });
        return Some(n);
    }
    let n = agreed_places(reader, at, count, pitch)?;
    for (field, is_open, value) in [(count_field, open_count, f64::from(n)), (pitch_field, open_pitch, 360.0 / f64::from(n))] {
        if is_open {
            reader.open.push(OpenSize { field, value: Some(value), why: None });
        }
    }
    Some(n)
}

/// The places that a count and a pitch make, at least one of which is given.
fn agreed_places(reader: &mut Reader, at: &str, count: Option<u32>, pitch_deg: Option<f64>) -> Option<u32> {
    let count_field = format!("{at}/count");
    if let Some(n) = count.filter(|&n| n == 0 || n > MOST_PLACES) {
        reader.problem(&count_field, format!("{n} grooves cannot be cut"), format!("give 1 to {MOST_PLACES}"));
        return None;
    }
    let Some(pitch) = pitch_deg else { return count };
    let pitch_field = format!("{at}/pitch_deg");
    let smallest = 360.0 / f64::from(MOST_PLACES);
    if !(smallest..=360.0).contains(&pitch) {
        let hint = format!("give {} to 360", trimmed(smallest, 3));
        reader.problem(&pitch_field, format!("a pitch of {}° cannot be cut", trimmed(pitch, 6)), hint);
        return None;
    }
    let Some(from_pitch) = count_of_pitch(pitch) else {
        let offers: Vec<String> = nearest_counts(pitch)
            .iter()
            .map(|&n| format!("{n} grooves at {}°", trimmed(360.0 / f64::from(n), 6)))
            .collect();
        let message = format!("a pitch of {}° does not divide the circle", trimmed(pitch, 6));
        reader.problem(&pitch_field, message, format!("nearest are {}", offers.join(" and ")));
        return None;
    };
    if count.is_some_and(|n| n != from_pitch) {
        let message = format!("{} grooves and a pitch of {}° disagree", count.unwrap_or(0), trimmed(pitch, 6));
        reader.problem(&count_field, message, format!("the pitch makes {from_pitch} grooves; keep one of the two"));
        return None;
    }
    Some(from_pitch)
}

/// The count of grooves that a pitch makes, degrees; `None` where it does not divide the circle.
pub fn count_of_pitch(pitch_deg: f64) -> Option<u32> {
    let count = (360.0 / pitch_deg).round();
    let divides = (count * pitch_deg - 360.0).abs() <= 360.0 * PITCH_FIT;
    (divides && (1.0..=f64::from(MOST_PLACES)).contains(&count)).then_some(count as u32)
}

/// The whole counts of grooves below and above 360 / `pitch_deg`, at least 1.
pub fn nearest_counts(pitch_deg: f64) -> Vec<u32> {
    let turns = 360.0 / pitch_deg;
    let mut counts = vec![turns.floor().max(1.0) as u32, turns.ceil().max(1.0) as u32];
    counts.dedup();
    counts
}
