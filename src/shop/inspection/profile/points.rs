//! The file of points: a row each, with r and z in any order, whatever unit the heading names.

use crate::geometry::Point;
use crate::list::{self, RowProblem};
use crate::quantity::{LengthUnit, quoted};
use crate::shop::inspection::record::number;

/// A measured point, as the file has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// r and z from the file's own datum, mm.
    pub at: Point,
    /// Which of several sections round the wheel it belongs to, from 0 in the order of the file.
    pub section: usize,
}

/// What a column is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Radius,
    Diameter,
    Axial,
    Section,
}

/// Reads the points; bare numbers are in the unit of the heading (`r [mm]`, `z in`), else in `unit`.
///
/// # Errors
/// Everything wrong with the file, by line.
pub fn read(bytes: &[u8], unit: LengthUnit) -> Result<Vec<Touch>, Vec<RowProblem>> {
    let list = list::read(bytes).map_err(|problem| vec![problem])?;
    let columns: Vec<Option<(Column, f64)>> = list.heading.iter().map(|h| column(h, unit)).collect();
    let at = |wanted: &[Column]| columns.iter().position(|c| c.is_some_and(|(c, _)| wanted.contains(&c)));
    let (Some(radial), Some(axial)) = (at(&[Column::Radius, Column::Diameter]), at(&[Column::Axial])) else {
        let hint = "the first line names the columns: r (or diameter) and z, and section where there are several round the wheel";
        return Err(vec![problem(list.line, "", "this is no list of points: r and z are not both among the headings", hint)]);
    };
    let section = at(&[Column::Section]);
    let (mut points, mut problems, mut sections) = (Vec::new(), list.problems.clone(), Vec::<String>::new());
    for row in &list.rows {
        let mut value = |c: usize| {
            let cell = row.cells.get(c).map_or("", String::as_str);
            let no_number = || (format!("{} is no number", quoted(cell)), "write a plain number".to_owned());
            let read = list.number(cell).and_then(|plain| number(&plain).ok_or_else(no_number));
            let read = read.map_err(|(message, hint)| problems.push(problem(row.line, &list.heading[c], &message, &hint)));
            read.ok().zip(columns[c]).map(|(v, (_, mm))| v * mm)
        };
        let (r, z) = (value(radial), value(axial));
        let name = section.and_then(|c| row.cells.get(c)).map_or("", String::as_str);
        let of = sections.iter().position(|s| s == name).unwrap_or_else(|| {
            sections.push(name.to_owned());
            sections.len() - 1
        });
        points.extend(r.zip(z).map(|(r, z)| Touch { at: Point::new(r, z), section: of }));
    }
    if points.len() < super::LEAST_POINTS && problems.is_empty() {
        let hint = format!("at least {} are needed", super::LEAST_POINTS);
        problems.push(problem(0, "", &format!("the file holds {} points", points.len()), &hint));
    }
    problems.sort_by_key(|p| p.line);
    if problems.is_empty() { Ok(points) } else { Err(problems) }
}

fn problem(line: u64, field: &str, message: &str, hint: &str) -> RowProblem {
    RowProblem { line, field: field.to_owned(), message: message.to_owned(), hint: hint.to_owned() }
}

/// What a heading names, and mm for one of its unit; `None` for a column that says nothing here.
fn column(heading: &str, unit: LengthUnit) -> Option<(Column, f64)> {
    let small = heading.to_lowercase();
    let words: Vec<&str> = small.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let named = match words.get(1) {
        Some(&"mm") => LengthUnit::Millimetre,
        Some(&("in" | "inch" | "inches")) => LengthUnit::Inch,
        _ => unit,
    };
    let found = match *words.first()? {
        "r" | "radius" => (Column::Radius, named.mm()),
        "d" | "diameter" => (Column::Diameter, named.mm() / 2.0),
        "z" | "axial" => (Column::Axial, named.mm()),
        "section" | "angle" => (Column::Section, 1.0),
        _ => return None,
    };
    Some(found)
}
