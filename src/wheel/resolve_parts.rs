//! The parts of an order besides the geometry, resolved.

use super::general::Deviation;
use super::job::{Blank, Characteristic, Machine, Mount, Sheets, Tolerances, Tooling};
use super::reader::{Reader, name};
use crate::order::{self, Answer, DrawingStyle, DrawingWishes, Head, Projection, Tolerance};
use crate::tolerance::SAME_SHARE;
use crate::quantity::{Date, KG_PER_MM3, Length, LengthUnit, QuantityError, parse_length, quoted, trimmed};

/// Longest order number or revision; file names and title blocks carry both.
const LONGEST_MARK: usize = 40;

pub(super) fn head(reader: &mut Reader, head: &Head) -> Head {
    for (field, text) in [("/order/number", &head.number), ("/order/revision", &head.revision)] {
        mark(reader, field, text);
    }
    for (field, text) in [("/order/date", &head.date), ("/order/due", &head.due)] {
        day(reader, field, text.as_deref());
    }
    if head.quantity == Some(0) {
        reader.problem("/order/quantity", "no wheel is ordered", "give 1 or more");
    }
    for (key, text) in [
        ("customer", &head.customer),
        ("contact", &head.contact),
        ("item", &head.item),
        ("prepared_by", &head.prepared_by),
        ("customer_order", &head.customer_order),
        ("ship_to", &head.ship_to),
        ("based_on", &head.based_on),
    ] {
        reader.text(&format!("/order/{key}"), text.as_deref());
    }
    for (i, note) in head.notes.iter().enumerate() {
        reader.text(&format!("/order/notes/{i}"), Some(note));
    }
    head.clone()
}

/// A day of the calendar; `None` where absent or wrong.
fn day(reader: &mut Reader, field: &str, text: Option<&str>) -> Option<Date> {
    let read = text?.parse::<Date>();
    read.map_err(|wrong| reader.problem(field, wrong.message, wrong.hint)).ok()
}

pub(super) fn answers(reader: &mut Reader, answers: &[Answer]) -> Vec<Answer> {
    for (i, answer) in answers.iter().enumerate() {
        let Answer { question, answer, by, date, .. } = answer;
        day(reader, &format!("/answers/{i}/date"), Some(date));
        for (key, text) in [("question", question), ("answer", answer), ("by", by)] {
            let field = format!("/answers/{i}/{key}");
            reader.text(&field, Some(text));
            if text.trim().is_empty() {
                let message = format!("the {key} of answer {} is empty", i + 1);
                reader.problem(&field, message, "give what was asked, what was agreed, and who said so");
            }
        }
    }
    answers.to_vec()
}

/// Numbers and revisions stand in file names: short and plain.
fn mark(reader: &mut Reader, field: &str, text: &str) {
    let allowed = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    let what = if field.ends_with("number") { "order number" } else { "revision" };
    if text.is_empty() {
        reader.problem(field, format!("the {what} is empty"), "give letters, digits, -, _ or . such as 1042");
    } else if text.len() > LONGEST_MARK {
        let message = format!("the {what} has {} characters", text.chars().count());
        reader.problem(field, message, format!("use at most {LONGEST_MARK}"));
    } else if let Some(bad) = text.chars().find(|&c| !allowed(c)) {
        let bad = if bad == ' ' { "a blank".to_owned() } else { quoted(&bad.to_string()) };
        let message = format!("the {what} has {bad}, which is not safe in a file name");
        reader.problem(field, message, "use the letters A to Z, digits, -, _ and . only");
    } else if text.starts_with('.') || text.starts_with('-') {
        reader.problem(field, format!("the {what} begins with `{}`", &text[..1]), "begin with a letter or a digit");
    }
}

pub(super) fn blank(reader: &mut Reader, blank: &order::Blank) -> Blank {
    let density = blank.density.as_ref().map(|d| amount(reader, "/blank/density", d.kg_per_m3(), DENSITIES));
    let weight = blank.weight.as_ref().map(|w| amount(reader, "/blank/weight", w.kilograms(), WEIGHTS));
    let speed = blank.max_operating_speed.as_ref();
    let speed = speed.map(|s| amount(reader, "/blank/max_operating_speed", s.metres_per_second(), SPEEDS));
    reader.text("/blank/marking", blank.marking.as_deref());
    for (key, text) in [
        ("stock", &blank.stock),
        ("place", &blank.place),
        ("lot", &blank.lot),
        ("maker", &blank.maker),
        ("maker_agreement", &blank.maker_agreement),
    ] {
        reader.text(&format!("/blank/{key}"), text.as_deref());
    }
    blank.restrictions.0.iter().for_each(|r| reader.text("/blank/restrictions", Some(r)));
    let expires = day(reader, "/blank/expires", blank.expires.as_deref());
    let before = reader.problems.len();
    let resolved = Blank {
        outside_diameter: reader.optional("/blank/outside_diameter", blank.outside_diameter.as_ref()),
        thickness: reader.optional("/blank/thickness", blank.thickness.as_ref()),
        bore: reader.optional("/blank/bore", blank.bore.as_ref()),
        marking: blank.marking.clone(),
        density,
        weight,
        max_operating_speed: speed,
        stock: blank.stock.clone(),
        place: blank.place.clone(),
        lot: blank.lot.clone(),
        maker: blank.maker.clone(),
        expires,
        restrictions: blank.restrictions.0.clone(),
        maker_agreement: blank.maker_agreement.clone(),
    };
    if reader.problems.len() == before {
        blank_sizes(reader, &resolved);
    }
    resolved
}

/// The speed the altered wheel is marked with where that is not the blank's: never a higher one.
pub(super) fn lower_speed(reader: &mut Reader, order: &order::Order) -> Option<f64> {
    let field = "/wheel/max_operating_speed";
    let before = reader.problems.len();
    let lower = amount(reader, field, order.wheel.max_operating_speed.as_ref()?.metres_per_second(), SPEEDS);
    let marked = order.blank.as_ref().and_then(|b| b.max_operating_speed.as_ref());
    let marked = marked.and_then(|s| s.metres_per_second().ok());
    if reader.problems.len() == before && marked.is_some_and(|m| lower > m * (1.0 + SAME_SHARE)) {
        let shown = |v: f64| format!("{} m/s", trimmed(v, 3));
        let message = format!(
            "the wheel would be marked for {}, more than the {} its blank is marked for",
            shown(lower),
            shown(marked.unwrap_or_default())
        );
        reader.problem(field, message, "give a lower speed than the blank's, or leave it out: an altered wheel never gets a higher one");
    }
    Some(lower)
}

/// The least and greatest value that can be meant, with its unit and the factor to it: a slip of the unit is far outside.
type Plausible = (f64, f64, &'static str, f64);

/// Bonded abrasives lie between 1.5 and 4 g/cm³ (common practice); metal-filled ones above, porous ones below.
const DENSITIES: Plausible = (200.0, 8000.0, "g/cm3", 0.001);
const WEIGHTS: Plausible = (0.0, 10_000.0, "kg", 1.0);
/// The preferred speeds of ISO 525 end at 160 m/s.
const SPEEDS: Plausible = (0.0, 250.0, "m/s", 1.0);

/// A quantity above 0 and within what can be meant.
fn amount(reader: &mut Reader, field: &str, read: Result<f64, QuantityError>, plausible: Plausible) -> f64 {
    let (low, high, unit, factor) = plausible;
    let before = reader.problems.len();
    let value = reader.value(field, read);
    if reader.problems.len() > before || value > low && value < high {
        return value;
    }
    let name = name(field);
    let shown = format!("{} {unit}", trimmed(value * factor, 3));
    if value <= 0.0 {
        reader.problem(
            field,
            format!("{name} must be above 0, not {shown}"),
            format!("give a number above 0 in {unit}"),
        );
    } else {
        let limits = format!("{} to {} {unit}", trimmed(low * factor, 3), trimmed(high * factor, 3));
        let message = format!("{name} is {shown}, which no bonded wheel has");
        reader.problem(field, message, format!("check the number and its unit; {limits} is accepted"));
    }
    value
}

/// Problems between the blank's own sizes and its weight.
fn blank_sizes(reader: &mut Reader, blank: &Blank) {
    if let (Some(h), Some(d)) = (blank.bore, blank.outside_diameter)
        && h >= d
    {
        let message =
            format!("the blank's bore {} is not smaller than its outside diameter {}", reader.show(h), reader.show(d));
        reader.problem("/blank/bore", message, "give a bore below the outside diameter");
        return;
    }
    let Some(density) = blank.weight.zip(blank.volume()).map(|(kg, mm3)| kg / (mm3 * KG_PER_MM3)) else { return };
    if blank.weight.is_some_and(|w| w > 0.0) && !(DENSITIES.0..=DENSITIES.1).contains(&density) {
        let message = format!(
            "the blank's weight over its volume makes {} g/cm3, which no bonded wheel has",
            trimmed(density / 1000.0, 3)
        );
        reader.problem("/blank/weight", message, "check the weight, the blank's sizes and their units");
    }
}

pub(super) fn machine(reader: &mut Reader, machine: Option<&order::Machine>) -> Machine {
    let Some(m) = machine else { return Machine::default() };
    for (i, &hz) in m.natural_frequencies_hz.iter().enumerate() {
        reader.within(&format!("/machine/natural_frequencies_hz/{i}"), hz, 0.0, 1e6, " Hz");
    }
    reader.text("/machine/name", m.name.as_deref());
    Machine {
        name: m.name.clone(),
        spindle_rpm: m.spindle_rpm.map(|n| reader.within("/machine/spindle_rpm", n, 0.0, 200_000.0, " rpm")),
        usable_travel: reader.optional("/machine/usable_travel", m.usable_travel.as_ref()),
        travel_on: m.travel_on,
        natural_frequencies_hz: m.natural_frequencies_hz.clone(),
    }
}

pub(super) fn mount(reader: &mut Reader, mount: Option<&order::Mount>) -> Mount {
    let Some(m) = mount else { return Mount::default() };
    Mount {
        flange_diameter: reader.optional("/mount/flange_diameter", m.flange_diameter.as_ref()),
        flange_bearing_width: reader.optional("/mount/flange_bearing_width", m.flange_bearing_width.as_ref()),
        fixed_flange_side: m.fixed_flange_side,
        bolt_length: reader.optional("/mount/bolt_length", m.bolt_length.as_ref()),
        bolt_stack: reader.optional("/mount/bolt_stack", m.bolt_stack.as_ref()),
    }
}

pub(super) fn work(reader: &mut Reader, work: Option<&order::Work>) -> order::Work {
    let Some(work) = work else { return order::Work::default() };
    reader.text("/work/material", work.material.as_deref());
    if let Some(hrc) = work.hardness_hrc {
        reader.within("/work/hardness_hrc", hrc, 0.0, 75.0, " HRC");
    }
    work.clone()
}

pub(super) fn tooling(reader: &mut Reader, tooling: Option<&order::Tooling>) -> Tooling {
    let Some(t) = tooling else { return Tooling::default() };
    Tooling {
        groove_cutter_diameter: reader.optional("/tooling/groove_cutter_diameter", t.groove_cutter_diameter.as_ref()),
        groove_cutter_width: reader.optional("/tooling/groove_cutter_width", t.groove_cutter_width.as_ref()),
        profile_nose_radius: reader.optional("/tooling/profile_nose_radius", t.profile_nose_radius.as_ref()),
        profile_allowance: reader.optional("/tooling/profile_allowance", t.profile_allowance.as_ref()),
        index_step_deg: t.index_step_deg.map(|s| reader.angle("/tooling/index_step_deg", s, 0.0, 360.0)),
        side_dress_lead: reader.optional("/tooling/side_dress_lead", t.side_dress_lead.as_ref()),
    }
}

pub(super) fn tolerances(reader: &mut Reader, tolerances: Option<&order::Tolerances>) -> Tolerances {
    let Some(t) = tolerances else { return Tolerances::default() };
    let given = |what: Characteristic| match what {
        Characteristic::OutsideDiameter => &t.outside_diameter,
        Characteristic::Thickness => &t.thickness,
        Characteristic::Bore => &t.bore,
        Characteristic::RecessDiameter => &t.recess_diameter,
        Characteristic::RecessDepth => &t.recess_depth,
        Characteristic::GrooveWidth => &t.groove_width,
        Characteristic::GrooveDepth => &t.groove_depth,
        Characteristic::GroovePitchDeg => &t.groove_pitch_deg,
        Characteristic::RunoutFace => &t.runout_face,
        Characteristic::RunoutSide => &t.runout_side,
        Characteristic::Parallelism => &t.parallelism,
    };
    let entries = Characteristic::ALL
        .into_iter()
        .filter_map(|what| {
            let degrees = what == Characteristic::GroovePitchDeg;
            given(what).as_ref().map(|t| (what, deviation(reader, what.key(), degrees, t)))
        })
        .collect();
    let general = t.general.as_ref().map(|t| deviation(reader, "general", false, t));
    let mut resolved = Tolerances::new(entries);
    resolved.general = general;
    resolved
}

/// Upper and lower deviation of one tolerance.
fn deviation(reader: &mut Reader, key: &str, degrees: bool, tolerance: &Tolerance) -> Deviation {
    let field = format!("/tolerances/{key}");
    let scale = Scale { degrees, unit: reader.unit };
    let before = reader.problems.len();
    let (upper, lower) = match tolerance {
        Tolerance::Both(value) => {
            if *value < 0.0 {
                let message = format!("the ± tolerance {} is negative", trimmed(*value, 6));
                reader.problem(&field, message, format!("write {} for ±{0}", trimmed(-value, 6)));
            }
            (scale.bare(*value), -scale.bare(*value))
        }
        Tolerance::Deviations(order::Deviations { upper, lower }) => {
            let mut read = |l: &Length, key: &str| {
                let value = scale.value(l);
                reader.value(&format!("{field}/{key}"), value)
            };
            (read(upper, "upper"), read(lower, "lower"))
        }
        Tolerance::Typed(text) => scale.typed(text).unwrap_or_else(|| {
            let message = format!("{} is no tolerance", quoted(text));
            reader.problem(&field, message, "write a number for ±, or +a/-b such as \"+0.005/-0\"");
            (0.0, 0.0)
        }),
    };
    if reader.problems.len() == before && !reader.is_broken_below(&field) {
        limits(reader, &field, upper, lower, scale);
    }
    Deviation { upper, lower }
}

fn limits(reader: &mut Reader, field: &str, upper: f64, lower: f64, scale: Scale) {
    if upper < lower {
        let (u, l) = (scale.show(upper), scale.show(lower));
        let message = format!("the upper deviation {u} is below the lower one {l}");
        reader.problem(field, message, "give the upper deviation first, such as \"+0.005/-0.002\"");
    } else if upper.abs().max(lower.abs()) > GREATEST_DEVIATION {
        let message = format!("a deviation of {} is no tolerance", scale.show(upper.abs().max(lower.abs())));
        reader.problem(field, message, "check the number and its unit");
    }
}

/// Greatest deviation that can be meant, mm or degrees.
const GREATEST_DEVIATION: f64 = 100.0;

/// In what a tolerance is counted: the file's unit, or degrees for the groove pitch.
#[derive(Clone, Copy)]
struct Scale {
    degrees: bool,
    unit: LengthUnit,
}

impl Scale {
    fn bare(self, value: f64) -> f64 {
        if self.degrees { value } else { self.unit.to_mm(value) }
    }

    fn show(self, value: f64) -> String {
        if self.degrees { format!("{}°", trimmed(value, 6)) } else { super::fit::show(value, self.unit) }
    }

    fn value(self, length: &Length) -> Result<f64, QuantityError> {
        match length {
            Length::Bare(value) => Ok(self.bare(*value)),
            Length::Typed(text) if self.degrees => self.amount(text).ok_or_else(|| {
                QuantityError::new(format!("{} is no angle", quoted(text)), "write degrees, such as 0.1")
            }),
            Length::Typed(text) => parse_length(text, self.unit),
        }
    }

    fn amount(self, text: &str) -> Option<f64> {
        if self.degrees {
            let text = text.trim();
            let number = text.strip_suffix('°').or_else(|| text.strip_suffix("deg")).unwrap_or(text);
            return number.trim().parse().ok().filter(|v: &f64| v.is_finite());
        }
        parse_length(text, self.unit).ok()
    }

    /// `+0.005/-0`, `±0.01 mm`, `0.01`: upper and lower deviation.
    fn typed(self, text: &str) -> Option<(f64, f64)> {
        let text = text.trim();
        let both = text.strip_prefix('±').or_else(|| text.strip_prefix("+/-"));
        if let Some(value) = both {
            return self.amount(value).filter(|v| *v >= 0.0).map(|v| (v, -v));
        }
        // the slash between the deviations is the one before a sign or a plain 0; others belong to fractions
        let split = text.match_indices('/').map(|(i, _)| i).find(|&i| {
            let after = text[i + 1..].trim_start();
            after.starts_with(['+', '-', '−']) || self.amount(after) == Some(0.0)
        });
        match split {
            Some(i) => Some((self.signed(&text[..i])?, self.signed(&text[i + 1..])?)),
            None if text.starts_with(['+', '-', '−']) => None,
            None => self.amount(text).map(|v| (v, -v)),
        }
    }

    fn signed(self, part: &str) -> Option<f64> {
        let part = part.trim();
        let negative = part.starts_with(['-', '−']);
        let value = self.amount(part.trim_start_matches(['+', '-', '−']))?;
        Some(if negative { -value } else { value })
    }
}

/// How the sheets are to look; what is not said follows the file's unit.
pub(super) fn sheets(wishes: Option<&DrawingWishes>, unit: LengthUnit) -> Sheets {
    let default = DrawingWishes::default();
    let w = wishes.unwrap_or(&default);
    let style = w.style.unwrap_or(match unit {
        LengthUnit::Inch => DrawingStyle::Us,
        LengthUnit::Millimetre => DrawingStyle::Iso,
    });
    let usual = if style == DrawingStyle::Us { Projection::Third } else { Projection::First };
    Sheets {
        size: w.sheet,
        projection: w.projection.unwrap_or(usual),
        style,
        dual_units: w.dual_units.unwrap_or(false),
        title_block: w.title_block.clone(),
        language: w.language.unwrap_or_default(),
        solid: w.solid.clone(),
    }
}
