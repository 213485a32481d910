//! From the order as typed to the wheel in millimetres: every problem of an order is collected, none stops the others from being seen.

use super::draft::{self, Known};
use super::fit;
use super::{Job, OpenSize};
use super::model::{
    Bottom, Corner, FaceBottom, FaceGrooves, InnerEnd, Pattern, RecessStep, Side, SideGrooves, Taper, Wheel,
};
use super::resolve_parts;
use crate::json::Problem;
use crate::order::{self, BottomName, FaceBottomName, InnerEndName, Order};
use crate::quantity::{Count, Degrees, Length, LengthUnit, QuantityError, parse_length, quoted, trimmed};
use crate::size::SideName;
use crate::tolerance::{GREATEST_LENGTH, LEAST_ANGLE_DEG, LEAST_LENGTH, PITCH_FIT};
use std::collections::BTreeSet;

/// The most places a groove pattern may have; a wheel of ten metres with half-millimetre lands would have fewer than this.
pub const MOST_PLACES: u32 = 36_000;

/// Resolves an order.
///
/// # Errors
/// Every problem found: quantities that cannot be read, values that make no sense, features that cannot exist together.
#[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
pub fn resolve(order: &Order) -> Result<Job, Vec<Problem>> {
    resolve_sound(order, &[])
}

/// As [`resolve`], for an order some of whose fields are broken (JSON pointers) and hold stand-ins: only what does not touch them is checked,
/// and what comes out must not be used.
pub(super) fn resolve_sound(order: &Order, broken: &[String]) -> Result<Job, Vec<Problem>> {
    let units_known = !broken.iter().any(|b| b == "/units");
    let mut reader = Reader {
        unit: order.units,
        units_known,
        broken,
        problems: Vec::new(),
        open: Vec::new(),
        known: Known::of(order),
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

/// Reads quantities and keeps what was wrong with them.
pub(super) struct Reader<'a> {
    pub(super) unit: LengthUnit,
    /// Whether the file names its unit; if not, `unit` is a stand-in.
    units_known: bool,
    broken: &'a [String],
    pub(super) problems: Vec<Problem>,
    open: Vec<OpenSize>,
    /// What proposals for open sizes go by.
    known: Known,
}

impl Reader<'_> {
    /// Notes a problem, unless the field's value is a stand-in.
    pub(super) fn problem(&mut self, field: &str, message: impl Into<String>, hint: impl Into<String>) {
        if !self.broken.iter().any(|b| within(field, b)) {
            self.problems.push(Problem::new(field, message, hint));
        }
    }

    /// Whether anything below a field holds a stand-in.
    pub(super) fn is_broken_below(&self, field: &str) -> bool {
        self.broken.iter().any(|b| within(b, field))
    }

    /// Notes characters that no drawing and no file can show.
    pub(super) fn text(&mut self, field: &str, text: Option<&str>) {
        let unfit =
            |c: &char| c.is_control() && !matches!(c, '\n' | '\t' | '\r') || matches!(c, '\u{FFFE}' | '\u{FFFF}');
        if let Some(c) = text.and_then(|t| t.chars().find(unfit)) {
            let message =
                format!("{} holds the character U+{:04X}, which cannot be printed", name(field), u32::from(c));
            self.problem(field, message, "remove it");
        }
    }

    /// Notes that one of these fields is needed at `at`, unless one was given and is broken.
    fn lacking(&mut self, at: &str, keys: &[&str], field: &str, message: &str, hint: &str) {
        if !self.has_broken(at, keys) {
            self.problem(field, message, hint);
        }
    }

    /// Whether one of these fields at `at` was given and could not be read.
    fn has_broken(&self, at: &str, keys: &[&str]) -> bool {
        keys.iter().any(|key| self.broken.iter().any(|b| b.strip_prefix(at) == Some(&format!("/{key}"))))
    }

    /// The wheel without the features that could not be read: what is left can be checked for fit, since a feature less never makes another
    /// one impossible. `None` where even the wheel's own sizes are unknown.
    fn sound_part(&self, wheel: &Wheel) -> Option<Wheel> {
        let wrong = |field: &str| {
            let at = |f: &str| within(f, field) || within(field, f);
            self.broken.iter().any(|b| at(b)) || self.problems.iter().any(|p| at(&p.field))
        };
        if ["/units", "/wheel/outside_diameter", "/wheel/thickness", "/wheel/bore"].into_iter().any(wrong) {
            return None;
        }
        let mut sound = wheel.clone();
        for name in SideName::BOTH {
            let side = sound.side_mut(name);
            let wrong = |key: &str| wrong(&format!("/wheel/{}/{key}", name.key()));
            side.recess.retain(|_| !wrong("recess"));
            side.taper = side.taper.filter(|_| !wrong("taper"));
            side.corner = side.corner.filter(|_| !wrong("corner"));
            side.grooves = side.grooves.take().filter(|_| !wrong("grooves"));
        }
        sound.face = sound.face.filter(|_| !wrong("/wheel/face"));
        if wrong("/wheel/bore_chamfer") {
            sound.bore_chamfer = 0.0;
        }
        Some(sound)
    }

    /// The value of a quantity, or 0 with a problem noted.
    pub(super) fn value(&mut self, field: &str, read: Result<f64, QuantityError>) -> f64 {
        read.unwrap_or_else(|e| {
            self.problem(field, e.message, e.hint);
            0.0
        })
    }

    /// A length in mm that may be 0 or negative; finite and below ten metres. An open one counts as its proposal, else as what is usual.
    pub(super) fn length(&mut self, field: &str, length: &Length) -> f64 {
        let read = match draft::proposal(length) {
            Some("") => return self.usual(field),
            Some(text) => {
                let read = parse_length(text, self.unit);
                self.open.push(OpenSize { field: field.to_owned(), value: read.as_ref().ok().copied(), why: None });
                read
            }
            None => length.mm(self.unit),
        };
        let mm = self.value(field, read);
        if !mm.is_finite() {
            self.problem(field, format!("{} is not a finite number", name(field)), "give a length in in or mm");
            return 0.0;
        }
        if mm.abs() > GREATEST_LENGTH {
            if !self.units_known {
                return 1.0;
            }
            let message = format!("{} is {} m, more than any wheel", name(field), trimmed(mm / 1000.0, 3));
            self.problem(field, message, "no length may be over 10 m; check the number and its unit");
            return 0.0;
        }
        mm
    }

    /// The usual value of an open size of the wheel, mm; where there is none the question comes first.
    fn usual(&mut self, field: &str) -> f64 {
        let Some((value, why)) = self.known.usual(field) else {
            let what = name(field).replace('_', " ");
            let message = format!("what is {} to be? There is no wheel without it", what.trim_matches('`'));
            self.problem(field, message, "ask the customer, or give what you propose, such as \"? 26 in\"");
            return 0.0;
        };
        self.open.push(OpenSize { field: field.to_owned(), value: Some(value), why: Some(why) });
        value
    }

    /// The number proposed behind a question mark; nothing where none is. `None` with a problem noted where it is no number.
    fn proposed_number<T: std::str::FromStr>(&mut self, field: &str, text: &str) -> Option<Option<T>> {
        let typed = draft::behind_mark(text).unwrap_or(text);
        if typed.is_empty() {
            return Some(None);
        }
        let read = typed.trim_end_matches('°').trim().parse().ok();
        if read.is_none() {
            let message = format!("{} is no proposal for {}", quoted(text), name(field));
            self.problem(field, message, "write a question mark and a number, such as \"? 180\", or the question mark alone");
        }
        read.map(Some)
    }

    /// A size in mm above 0 that a feature must have: one it lacks is open.
    fn needed(&mut self, field: &str, length: Option<&Length>) -> f64 {
        match length {
            Some(length) => self.positive(field, length),
            // what could not be read is told already
            None if self.broken.iter().any(|b| within(field, b)) => 0.0,
            None => self.usual(field),
        }
    }

    /// A length in mm above 0.
    pub(super) fn positive(&mut self, field: &str, length: &Length) -> f64 {
        let before = self.problems.len();
        let mm = self.length(field, length);
        if self.problems.len() == before && mm <= 0.0 {
            let shown = self.show(mm);
            self.problem(field, format!("{} must be above 0, not {shown}", name(field)), "give a length above 0");
        }
        self.not_tiny(field, mm);
        mm
    }

    /// A length in mm of 0 or more; 0 where absent.
    pub(super) fn or_zero(&mut self, field: &str, length: Option<&Length>) -> f64 {
        let Some(length) = length else { return 0.0 };
        let mm = self.length(field, length);
        if mm < 0.0 {
            let message = format!("{} must not be negative, but is {}", name(field), self.show(mm));
            self.problem(field, message, "give 0 or more, or leave it out");
        }
        self.not_tiny(field, mm);
        mm
    }

    /// Notes a length that is there and yet smaller than anything a shop can cut.
    fn not_tiny(&mut self, field: &str, mm: f64) {
        if mm > 0.0 && mm < LEAST_LENGTH {
            let message = format!("{} is {} mm, less than any tool can cut", name(field), trimmed(mm, 12));
            let hint = format!("give {} mm or more; check the number and its unit", trimmed(LEAST_LENGTH, 3));
            self.problem(field, message, hint);
        }
    }

    /// An angle, degrees: 0, or one that can be cut, strictly between two limits.
    pub(super) fn angle(&mut self, field: &str, value: f64, low: f64, high: f64) -> f64 {
        if value != 0.0 && value.abs() < LEAST_ANGLE_DEG {
            let message = format!("{} is {}°, less than any machine can set", name(field), trimmed(value, 12));
            self.problem(field, message, format!("give {}° or more, or 0", trimmed(LEAST_ANGLE_DEG, 4)));
        }
        self.within(field, value, low, high, "°")
    }

    /// An optional length above 0; one that is open without a proposal is not known.
    pub(super) fn optional(&mut self, field: &str, length: Option<&Length>) -> Option<f64> {
        let length = length?;
        if draft::proposal(length) == Some("") && self.known.usual(field).is_none() {
            self.open.push(OpenSize { field: field.to_owned(), value: None, why: None });
            return None;
        }
        Some(self.positive(field, length))
    }

    /// A number strictly between two limits.
    pub(super) fn within(&mut self, field: &str, value: f64, low: f64, high: f64, unit: &str) -> f64 {
        if !(value > low && value < high) {
            let (v, l, h) = (trimmed(value, 6), trimmed(low, 6), trimmed(high, 6));
            let message = format!("{} cannot be {v}{unit}", name(field));
            self.problem(field, message, format!("give more than {l}{unit} and less than {h}{unit}"));
        }
        value
    }

    pub(super) fn show(&self, mm: f64) -> String {
        let text = fit::show(mm, self.unit);
        if self.units_known { text } else { text.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ').to_owned() }
    }
}

/// Whether a JSON pointer is another one or lies below it.
fn within(field: &str, outer: &str) -> bool {
    field.strip_prefix(outer).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}

/// The name of a field as messages give it: the last key of its pointer, with its place in a list.
pub(super) fn name(field: &str) -> String {
    let mut parts = field.rsplit('/');
    let last = parts.next().unwrap_or_default();
    match (last.parse::<usize>(), parts.next()) {
        (Ok(i), Some(list)) => format!("entry {} of `{list}`", i + 1),
        _ => format!("`{last}`"),
    }
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
