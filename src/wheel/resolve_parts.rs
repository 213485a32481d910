//! The parts of an order besides the geometry, resolved.

use super::job::{Blank, Characteristic, Deviation, Machine, Mount, Sheets, Tolerances, Tooling};
use super::resolve::Reader;
use crate::order::{self, DrawingStyle, DrawingWishes, Head, Projection, Tolerance};
use crate::quantity::{Length, LengthUnit, QuantityError, trimmed};

/// Longest order number or revision; file names and title blocks carry both.
const LONGEST_MARK: usize = 40;

pub(super) fn head(reader: &mut Reader, head: &Head) -> Head {
    for (field, text) in [("/order/number", &head.number), ("/order/revision", &head.revision)] {
        mark(reader, field, text);
    }
    if let Some(date) = head.date.as_ref().filter(|d| !is_date(d)) {
        reader.problem("/order/date", format!("`{date}` is no date"), "write YYYY-MM-DD, such as 2026-03-02");
    }
    if head.quantity == Some(0) {
        reader.problem("/order/quantity", "no wheel is ordered", "give 1 or more");
    }
    head.clone()
}

/// Numbers and revisions stand in file names: short and plain.
fn mark(reader: &mut Reader, field: &str, text: &str) {
    let allowed = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    let what = field.rsplit('/').next().unwrap_or(field);
    if text.is_empty() {
        reader.problem(field, format!("the {what} is empty"), "give letters, digits, -, _ or .");
    } else if text.len() > LONGEST_MARK {
        let message = format!("the {what} has {} characters", text.chars().count());
        reader.problem(field, message, format!("use at most {LONGEST_MARK}"));
    } else if let Some(bad) = text.chars().find(|&c| !allowed(c)) {
        let message = format!("the {what} has `{}`, which is not safe in a file name", bad.escape_debug());
        reader.problem(field, message, "use letters, digits, -, _ and . only");
    } else if text.starts_with('.') || text.starts_with('-') {
        reader.problem(field, format!("the {what} begins with `{}`", &text[..1]), "begin with a letter or a digit");
    }
}

/// Whether a text is a day of the calendar, `YYYY-MM-DD`.
pub fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let shape = [4, 2, 2];
    let plain =
        parts.len() == 3 && parts.iter().zip(shape).all(|(p, n)| p.len() == n && p.bytes().all(|b| b.is_ascii_digit()));
    if !plain {
        return false;
    }
    let numbers: Vec<u32> = parts.iter().filter_map(|p| p.parse().ok()).collect();
    let (year, month, day) = (numbers[0], numbers[1], numbers[2]);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        1..=12 => 31,
        _ => return false,
    };
    (1..=days).contains(&day)
}

pub(super) fn blank(reader: &mut Reader, blank: &order::Blank) -> Blank {
    let mut amount = |field: &str, read: Option<Result<f64, QuantityError>>| {
        let before = reader.problems.len();
        let value = read.map(|r| reader.value(field, r));
        if reader.problems.len() == before && value.is_some_and(|v| v <= 0.0 || !v.is_finite()) {
            reader.problem(field, "the value must be above 0", "give a number above 0 with its unit");
        }
        value
    };
    let density = amount("/blank/density", blank.density.as_ref().map(|d| d.kg_per_m3()));
    let weight = amount("/blank/weight", blank.weight.as_ref().map(|w| w.kilograms()));
    let speed = amount("/blank/max_operating_speed", blank.max_operating_speed.as_ref().map(|s| s.metres_per_second()));
    if let (Some(d), None) = (density.filter(|&d| d > 0.0 && !(200.0..=8000.0).contains(&d)), weight) {
        let message = format!("a density of {} g/cm³ is no abrasive's", trimmed(d / 1000.0, 3));
        reader.problem("/blank/density", message, "bonded abrasives lie near 2 g/cm3; check the unit");
    }
    Blank {
        outside_diameter: reader.optional("/blank/outside_diameter", blank.outside_diameter.as_ref()),
        thickness: reader.optional("/blank/thickness", blank.thickness.as_ref()),
        bore: reader.optional("/blank/bore", blank.bore.as_ref()),
        marking: blank.marking.clone(),
        density,
        weight,
        max_operating_speed: speed,
        lot: blank.lot.clone(),
    }
}

pub(super) fn machine(reader: &mut Reader, machine: Option<&order::Machine>) -> Machine {
    let Some(m) = machine else { return Machine::default() };
    for (i, &hz) in m.natural_frequencies_hz.iter().enumerate() {
        reader.within(&format!("/machine/natural_frequencies_hz/{i}"), hz, 0.0, 1e6, " Hz");
    }
    Machine {
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
        bolt_length: reader.optional("/mount/bolt_length", m.bolt_length.as_ref()),
        bolt_stack: reader.optional("/mount/bolt_stack", m.bolt_stack.as_ref()),
    }
}

pub(super) fn work(reader: &mut Reader, work: Option<&order::Work>) -> order::Work {
    let Some(work) = work else { return order::Work::default() };
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
        index_step_deg: t.index_step_deg.map(|s| reader.within("/tooling/index_step_deg", s, 0.0, 360.0, "°")),
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
        .filter_map(|what| given(what).as_ref().map(|t| (what, deviation(reader, what, t))))
        .collect();
    Tolerances::new(entries)
}

/// Upper and lower deviation of one tolerance; bare numbers of the groove pitch are degrees.
fn deviation(reader: &mut Reader, what: Characteristic, tolerance: &Tolerance) -> Deviation {
    let field = format!("/tolerances/{}", what.key());
    let unit = if what == Characteristic::GroovePitchDeg { LengthUnit::Millimetre } else { reader.unit };
    let (upper, lower) = match tolerance {
        Tolerance::Both(value) => (value * unit.mm(), -value * unit.mm()),
        Tolerance::Deviations(order::Deviations { upper, lower }) => {
            let mut read = |l: &Length, key: &str| {
                let value = l.mm(unit);
                reader.value(&format!("{field}/{key}"), value)
            };
            (read(upper, "upper"), read(lower, "lower"))
        }
        Tolerance::Typed(text) => typed(text, unit).unwrap_or_else(|| {
            let message = format!("`{text}` is no tolerance");
            reader.problem(&field, message, "write a number for ±, or +a/-b such as +0.005/-0");
            (0.0, 0.0)
        }),
    };
    if !(upper.is_finite() && lower.is_finite()) || upper < lower {
        let message = format!("the upper deviation {} is below the lower {}", trimmed(upper, 6), trimmed(lower, 6));
        reader.problem(&field, message, "give the upper deviation first, such as +0.005/-0.002");
    }
    Deviation { upper, lower }
}

/// `+0.005/-0`, `±0.01 mm`, `0.01`: upper and lower deviation in mm.
fn typed(text: &str, unit: LengthUnit) -> Option<(f64, f64)> {
    let text = text.trim();
    if let Some(both) = text.strip_prefix('±') {
        let value = Length::Typed(both.to_owned()).mm(unit).ok()?;
        return Some((value, -value));
    }
    let signed = |part: &str| {
        let part = part.trim();
        let (sign, rest) = match part.chars().next()? {
            '+' => (1.0, &part[1..]),
            '-' => (-1.0, &part[1..]),
            '−' => (-1.0, &part['−'.len_utf8()..]),
            _ => (1.0, part),
        };
        Some(sign * Length::Typed(rest.trim().to_owned()).mm(unit).ok()?)
    };
    // the slash between the deviations is the one before a sign; others belong to fractions
    let split = text.match_indices('/').map(|(i, _)| i).find(|&i| {
        let after = text[i + 1..].trim_start();
        after.starts_with(['+', '-', '−']) || after == "0"
    });
    match split {
        Some(i) => Some((signed(&text[..i])?, signed(&text[i + 1..])?)),
        None => {
            let value = signed(text)?;
            Some((value.abs(), -value.abs()))
        }
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
    }
}
