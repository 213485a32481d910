//! The dimension table: every required number of the section by its letter, and the sizes that follow from them in parentheses.

use super::SMALL;
use crate::quantity::LengthUnit;
use crate::section::Section;
use crate::sheet::table::{Column, Table};
use crate::sheet::view::Style;
use crate::wheel::{Characteristic, Job, Measure, Requirement, SideName};

/// The table; numbers of grooves stand in the groove table. The first column numbers what is inspected, as the inspection sheet does.
pub fn dimensions(job: &Job, section: &Section, requirements: &[Requirement], style: &Style) -> Table {
    let unit = style.unit.symbol();
    let mut columns = vec![
        Column::centred("No.", 10.0),
        Column::centred("", 12.0).bold(),
        Column::left("Dimension", 62.0),
        Column::right(unit, 40.0),
        Column::right("Tolerance", 44.0),
    ];
    if style.dual_units {
        columns.insert(4, Column::right(&format!("[{}]", style.other_unit().symbol()), 40.0));
    }
    let own = requirements.iter().filter(|r| !r.id.contains(".grooves."));
    let mut rows: Vec<Vec<String>> = own.map(|r| row(r, style)).collect();
    rows.extend(of_form(job, requirements.len(), style));
    for (letter, label, mm) in following(job, section) {
        let mut row = vec!["–".to_owned(), format!("({letter})"), label, format!("({})", style.length(mm))];
        if style.dual_units {
            row.push(format!("[({})]", style.other_length(mm)));
        }
        row.push("reference".to_owned());
        rows.push(row);
    }
    Table { id: "table-dimensions".to_owned(), title: "Dimensions".to_owned(), columns, rows, size: SMALL }
}

fn row(r: &Requirement, style: &Style) -> Vec<String> {
    let degrees = r.measure == Measure::Angle;
    let mut row = vec![r.number.to_string(), r.letter.clone(), r.label.clone(), style.nominal(r, style.unit)];
    if style.dual_units {
        let other = if degrees { String::new() } else { format!("[{}]", style.nominal(r, style.other_unit())) };
        row.push(other);
    }
    row.push(r.deviation.map_or("–".to_owned(), |d| tolerance(d, style, degrees)));
    row
}

/// Run-outs and parallelism, numbered after the sizes.
fn of_form(job: &Job, sizes: usize, style: &Style) -> Vec<Vec<String>> {
    let wanted = [
        (Characteristic::RunoutFace, "Run-out of the face"),
        (Characteristic::RunoutSide, "Run-out of both sides"),
        (Characteristic::Parallelism, "Parallelism of the sides"),
    ];
    let given = wanted.into_iter().filter_map(|(what, label)| Some((label, job.tolerances.get(what)?)));
    let row = |(i, (label, deviation)): (usize, (&str, crate::wheel::Deviation))| {
        let most = deviation.upper.abs().max(deviation.lower.abs());
        let mut row = vec![(sizes + i + 1).to_string(), String::new(), label.to_owned(), String::new()];
        let mut words = format!("≤ {}", style.length(most));
        if style.dual_units {
            row.push(String::new());
            words.push_str(&format!(" [{}]", style.other_length(most)));
        }
        row.push(words);
        row
    };
    given.enumerate().map(row).collect()
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

/// Sizes that follow from the required ones, by their letters of ISO 525: thickness at the bore E, at the rim U.
pub fn following(job: &Job, section: &Section) -> Vec<(&'static str, String, f64)> {
    let wheel = &job.wheel;
    let depth = |side: SideName, inner: bool| {
        let s = wheel.side(side);
        match s.recess.last() {
            Some(step) if inner => step.depth,
            _ => s.nominal_depth(if inner { wheel.bore_radius() } else { wheel.outside_radius() }),
        }
    };
    let left = |inner: bool| wheel.thickness - depth(SideName::A, inner) - depth(SideName::B, inner);
    let _ = section;
    let mut found = Vec::new();
    if left(true) < wheel.thickness {
        found.push(("E", "Thickness at the bore".to_owned(), left(true)));
    }
    if left(false) < wheel.thickness {
        found.push(("U", "Thickness at the rim".to_owned(), left(false)));
    }
    found
}

/// The unit's name for a note.
pub fn unit_name(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Inch => "inches",
        LengthUnit::Millimetre => "millimetres",
    }
}
