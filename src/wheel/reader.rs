//! Reads the quantities of an order and keeps what was wrong with them.

use super::OpenSize;
use super::draft::{self, Known};
use super::model::Wheel;
use super::fit;
use crate::json::Problem;
use crate::quantity::{Length, LengthUnit, QuantityError, parse_length, quoted, trimmed};
use crate::size::SideName;
use crate::tolerance::{GREATEST_LENGTH, LEAST_ANGLE_DEG, LEAST_LENGTH};

/// Reads quantities and keeps what was wrong with them.
pub(super) struct Reader<'a> {
    pub(super) unit: LengthUnit,
    /// Whether the file names its unit; if not, `unit` is a stand-in.
    pub(super) units_known: bool,
    pub(super) broken: &'a [String],
    pub(super) problems: Vec<Problem>,
    pub(super) open: Vec<OpenSize>,
    /// What proposals for open sizes go by.
    pub(super) known: Known<'a>,
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
    pub(super) fn lacking(&mut self, at: &str, keys: &[&str], field: &str, message: &str, hint: &str) {
        if !self.has_broken(at, keys) {
            self.problem(field, message, hint);
        }
    }

    /// Whether one of these fields at `at` was given and could not be read.
    pub(super) fn has_broken(&self, at: &str, keys: &[&str]) -> bool {
        keys.iter().any(|key| self.broken.iter().any(|b| b.strip_prefix(at) == Some(&format!("/{key}"))))
    }

    /// The wheel without the features that could not be read: what is left can be checked for fit, since a feature less never makes another
    /// one impossible. `None` where even the wheel's own sizes are unknown.
    pub(super) fn sound_part(&self, wheel: &Wheel) -> Option<Wheel> {
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
    pub(super) fn usual(&mut self, field: &str) -> f64 {
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
    pub(super) fn proposed_number<T: std::str::FromStr>(&mut self, field: &str, text: &str) -> Option<Option<T>> {
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
    pub(super) fn needed(&mut self, field: &str, length: Option<&Length>) -> f64 {
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
    pub(super) fn not_tiny(&mut self, field: &str, mm: f64) {
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
