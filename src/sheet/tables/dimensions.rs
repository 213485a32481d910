//! The dimension table: every required number of the section by its letter, and the sizes that follow from them in parentheses.

use super::SMALL;
use crate::drawing::measure;
use crate::quantity::LengthUnit;
use crate::sheet::table::{Column, Table};
use crate::sheet::view::Style;
use crate::size::{Measure, Size};
use crate::wheel::{Job, Requirement};

/// The table; numbers of grooves stand in the groove table. The first column numbers what is inspected, as the inspection sheet does.
pub fn dimensions(job: &Job, requirements: &[Requirement], style: &Style) -> Table {
    let unit = style.unit.symbol();
    let mut columns = vec![
        Column::centred(style.say("sheet.number"), 10.0),
        Column::centred("", 12.0).bold(),
        Column::left(style.say("sheet.dimension"), 62.0),
        Column::right(unit, 40.0),
        Column::right(style.say("sheet.tolerance"), 44.0),
    ];
    if style.dual_units {
        columns.insert(4, Column::right(&format!("[{}]", style.other_unit().symbol()), 40.0));
    }
    let own = requirements.iter().filter(|r| r.size.pattern().is_none());
    let mut rows: Vec<Vec<String>> = own.map(|r| row(job, r, style)).collect();
    for (size, mm) in following(job) {
        let [letter, value] = [size.letter(&job.wheel), style.length(mm)].map(|text| format!("({text})"));
        let mut row = vec!["–".to_owned(), letter, size.label_in(&job.wheel, style.language), value];
        if style.dual_units {
            row.push(format!("[({})]", style.other_length(mm)));
        }
        row.push(style.say("sheet.reference").to_owned());
        rows.push(row);
    }
    Table { id: super::DIMENSIONS.to_owned(), title: style.say("sheet.dimensions").to_owned(), columns, rows, size: SMALL }
}

fn row(job: &Job, r: &Requirement, style: &Style) -> Vec<String> {
    let label = r.size.label_in(&job.wheel, style.language);
    if r.measure() == Measure::Form {
        return row_of_form(r, label, style);
    }
    let degrees = r.measure() == Measure::Angle;
    let mut row = vec![r.number.to_string(), r.letter.clone(), label, style.nominal(r, style.unit)];
    if style.dual_units {
        let other = if degrees { String::new() } else { format!("[{}]", style.nominal(r, style.other_unit())) };
        row.push(other);
    }
    row.push(permitted(r, style).unwrap_or_else(|| "–".to_owned()));
    row
}

/// Run-outs and parallelism have no nominal value; what is permitted stands with the tolerances.
fn row_of_form(r: &Requirement, label: String, style: &Style) -> Vec<String> {
    let mut row = vec![r.number.to_string(), String::new(), label, String::new()];
    let mut words = style.nominal(r, style.unit);
    if style.dual_units {
        row.push(String::new());
        words.push_str(&format!(" [{}]", style.other_length(r.nominal)));
    }
    row.push(words);
    row
}

/// The tolerance of a requirement in the sheet's unit, and in the other one where both are printed.
fn permitted(r: &Requirement, style: &Style) -> Option<String> {
    let own = style.tolerance(r, style.unit)?;
    Some(match r.measure() {
        Measure::Angle => format!("{own}°"),
        _ if style.dual_units => format!("{} {}", unbroken(&own), unbroken(&format!("[{}]", style.tolerance(r, style.other_unit())?))),
        _ => own,
    })
}

/// A text that stays on one line of its cell.
fn unbroken(text: &str) -> String {
    text.replace(' ', measure::NO_BREAK)
}

/// A tolerance in the sheet's unit, and in the other one where both are printed.
pub fn tolerance(deviation: crate::wheel::Deviation, style: &Style, degrees: bool) -> String {
    let own = style.deviation(deviation, style.unit, degrees);
    if degrees {
        return format!("{own}°");
    }
    if style.dual_units {
        return format!("{own} [{}]", style.deviation(deviation, style.other_unit(), false));
    }
    own
}

/// Sizes that follow from the required ones, by their letters of ISO 525, where they are not the overall thickness.
fn following(job: &Job) -> Vec<(Size, f64)> {
    let sizes = [Size::HubThickness, Size::RimThickness].into_iter();
    sizes.filter_map(|s| Some((s, s.value(job).filter(|mm| *mm < job.wheel.thickness)?))).collect()
}

/// The unit's name for a note.
pub fn unit_name(unit: LengthUnit, style: &Style) -> &'static str {
    style.say(match unit {
        LengthUnit::Inch => "sheet.inches",
        LengthUnit::Millimetre => "sheet.millimetres",
    })
}
