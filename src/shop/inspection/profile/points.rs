//! The file of points: a row each, with r and z in any order, whatever unit the heading names.

use crate::geometry::Point;
use crate::quantity::{LengthUnit, quoted};
use crate::shop::inspection::record::number;
use crate::shop::stock::RowProblem;
use crate::shop::stock::list::{delimiter, line_of, unreadable};

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
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let sign = delimiter(bytes);
    let mut reader =
        csv::ReaderBuilder::new().delimiter(sign).trim(csv::Trim::All).flexible(true).comment(Some(b'#')).from_reader(bytes);
    let head = reader.headers().map_err(|e| vec![unreadable(bytes, &e)])?.clone();
    let columns: Vec<Option<(Column, f64)>> = head.iter().map(|h| column(h, unit)).collect();
    let at = |wanted: &[Column]| columns.iter().position(|c| c.is_some_and(|(c, _)| wanted.contains(&c)));
    let (Some(radial), Some(axial)) = (at(&[Column::Radius, Column::Diameter]), at(&[Column::Axial])) else {
        let hint = "the first line names the columns: r (or diameter) and z, and section where there are several round the wheel";
        return Err(vec![problem(1, "", "this is no list of points: r and z are not both among the headings", hint)]);
    };
    let section = at(&[Column::Section]);
    let (mut points, mut problems, mut sections) = (Vec::new(), Vec::new(), Vec::<String>::new());
    for record in reader.records() {
        let record = match record {
            Ok(record) if record.iter().all(str::is_empty) => continue,
            Ok(record) => record,
            Err(error) => {
                problems.push(unreadable(bytes, &error));
                continue;
            }
        };
        let line = line_of(bytes, record.position());
        let mut value = |c: usize| {
            let cell = record.get(c).unwrap_or_default();
            let plain = if sign == b',' { cell.to_owned() } else { cell.replace(',', ".") };
            let read = number(&plain).zip(columns[c]).map(|(v, (_, mm))| v * mm);
            if read.is_none() {
                problems.push(problem(line, &head[c], &format!("{} is no number", quoted(cell)), "write a plain number"));
            }
            read
        };
        let (r, z) = (value(radial), value(axial));
        let name = section.and_then(|c| record.get(c)).unwrap_or_default();
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
