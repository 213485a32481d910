//! The filled-in inspection sheet, read row by row: what is missing, too many or no number is reported by line.

use super::items::{Dimension, Extent, Item, items};
use super::record::{Field, Record, number};
use crate::list::{self, List, RowProblem};
use crate::quantity::{parse_length, quoted};
use crate::wheel::{Characteristic, Job};
use std::collections::HashMap;

/// The columns of the sheet, in its order. Reading needs `item`, `place` and `measured` only.
pub const COLUMNS: [&str; 9] =
    ["item", "place", "letter", "characteristic", "unit", "nominal", "low", "high", "measured"];

/// Rows of the sheet's own head: they tie it to one state of one order.
pub(super) const HEAD: [&str; 3] = ["order", "fingerprint", "groove_sample"];
/// The row of the head that a short sheet has besides, and what it says.
pub(super) const SHORT: [&str; 2] = ["sheet", "short"];

/// A sheet as filled in.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// What was to be measured.
    pub items: Vec<Item>,
    /// Grooves measured of each set.
    pub sample: u32,
    /// Whether it is the short sheet of a wheel after the first.
    pub is_short: bool,
    /// The values, in the order of the items: mm, degrees or a count; `None` is missing.
    pub values: Vec<Option<f64>>,
    /// What stands beside them.
    pub record: Record,
    /// Rows that are missing, too many or no number.
    pub problems: Vec<RowProblem>,
}

/// Why a file is no sheet of this order.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{message}")]
pub struct NoSheet {
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

fn no_sheet(message: impl Into<String>, hint: impl Into<String>) -> NoSheet {
    NoSheet { message: message.into(), hint: hint.into() }
}

/// Reads a filled-in sheet; `others` is what wheels after the first are measured for.
///
/// # Errors
/// Where it is no inspection sheet, or that of another order or of another state of this one.
pub fn read(bytes: &[u8], job: &Job, others: &[Characteristic]) -> Result<Measured, NoSheet> {
    let list = list::read(bytes).map_err(|p| no_sheet(format!("line {}: {}", p.line, p.message), p.hint))?;
    let rows = rows(&list)?;
    let mut problems = list.problems.clone();
    let sample = head(&rows, job)?;
    let is_short = rows.iter().any(|r| r.item == SHORT[0] && r.measured == SHORT[1]);
    let extent = if is_short { Extent::Short(others) } else { Extent::Whole(sample) };
    let items = items(job, extent);
    let places: HashMap<(String, String), usize> =
        items.iter().enumerate().map(|(i, item)| ((item.number.to_string(), item.place.clone()), i)).collect();
    let mut reader = Reader {
        list: &list,
        job,
        extent,
        items: &items,
        places,
        values: vec![None; items.len()],
        lines: vec![None; items.len()],
        record: Record::default(),
        seen: HashMap::new(),
        problems: Vec::new(),
    };
    for row in &rows {
        reader.row(row);
    }
    reader.missing();
    problems.append(&mut reader.problems);
    problems.sort_by_key(|p| p.line);
    let (values, record) = (reader.values, reader.record);
    Ok(Measured { items, sample, is_short, values, record, problems })
}

/// Whether a file is a sheet of any order into which somebody has written.
pub fn is_filled_in(bytes: &[u8]) -> bool {
    let Ok(list) = list::read(bytes) else { return false };
    let made = [&HEAD[..], &SHORT[..1], &[Field::Wheel.key(), Field::FirstWheel.key()]].concat();
    rows(&list).is_ok_and(|rows| rows.iter().any(|row| !row.measured.is_empty() && !made.contains(&row.item)))
}

/// One row: its line, and the three cells that count.
struct Row<'a> {
    line: u64,
    item: &'a str,
    place: &'a str,
    measured: &'a str,
}

fn rows(list: &List) -> Result<Vec<Row<'_>>, NoSheet> {
    let hint = "start from the sheet that `inspect` writes without measurements";
    let column = |name: &str| {
        let found = list.heading.iter().position(|h| list::key(h) == name);
        found.ok_or_else(|| no_sheet(format!("this is no inspection sheet: the column `{name}` is missing"), hint))
    };
    let columns = [column("item")?, column("place")?, column("measured")?];
    let rows = list.rows.iter().map(|row| {
        let [item, place, measured] = columns.map(|c| row.cells.get(c).map_or("", String::as_str));
        Row { line: row.line, item, place, measured }
    });
    Ok(rows.filter(|r| !(r.item.is_empty() && r.place.is_empty() && r.measured.is_empty())).collect())
}

/// Compares the sheet's head with the order; the size of the groove sample.
fn head(rows: &[Row<'_>], job: &Job) -> Result<u32, NoSheet> {
    let [order, fingerprint, sample] = HEAD.map(|key| rows.iter().find(|r| r.item == key).map(|r| r.measured));
    let hint = "write a new sheet with `inspect` and measure against that";
    let stem = job.file_stem();
    match order {
        Some(of) if of == stem => {}
        Some(of) => return Err(no_sheet(format!("this sheet is of order {}, not {stem}", quoted(of)), hint)),
        None => return Err(no_sheet("the sheet does not say of which order it is: the row `order` is missing", hint)),
    }
    let now = job.fingerprint();
    match fingerprint {
        Some(of) if of == now.full() => {}
        Some(of) => {
            let short: String = of.chars().take(8).collect();
            let message =
                format!("this sheet is of another state of order {stem}: {} then, {} now", quoted(&short), now.short());
            return Err(no_sheet(message, hint));
        }
        None => return Err(no_sheet("the row `fingerprint` is missing", hint)),
    }
    let sample = sample.and_then(|s| s.parse().ok()).filter(|n| *n > 0);
    sample.ok_or_else(|| no_sheet("the row `groove_sample` holds no number of grooves", "write a whole number above 0"))
}

struct Reader<'a> {
    list: &'a List,
    job: &'a Job,
    extent: Extent<'a>,
    items: &'a [Item],
    places: HashMap<(String, String), usize>,
    values: Vec<Option<f64>>,
    lines: Vec<Option<u64>>,
    record: Record,
    seen: HashMap<Field, u64>,
    problems: Vec<RowProblem>,
}

impl Reader<'_> {
    fn problem(&mut self, line: u64, field: &str, message: impl Into<String>, hint: impl Into<String>) {
        let field = field.to_owned();
        self.problems.push(RowProblem { line, field, message: message.into(), hint: hint.into() });
    }

    fn row(&mut self, row: &Row<'_>) {
        if HEAD.contains(&row.item) || row.item == SHORT[0] {
            return;
        }
        if let Some(field) = Field::of_key(row.item) {
            return self.field(row, field);
        }
        let key = (row.item.to_owned(), row.place.to_owned());
        let Some(&index) = self.places.get(&key) else {
            let (item, place) = (quoted(row.item), quoted(row.place));
            let what = if row.place.is_empty() { item } else { format!("{item} at {place}") };
            return self.problem(
                row.line,
                "item",
                format!("{what} is nothing to measure on this wheel"),
                "remove the row",
            );
        };
        if let Some(first) = self.lines[index] {
            let message = format!("{} stands in line {first} already", named(&self.items[index]));
            return self.problem(row.line, "item", message, "keep one of the two rows");
        }
        self.lines[index] = Some(row.line);
        if row.measured.is_empty() {
            let message = format!("{} is not filled in", named(&self.items[index]));
            return self.problem(row.line, "measured", message, "measure it and write the value");
        }
        match self.value(&self.items[index], row.measured) {
            Ok(value) => self.values[index] = Some(value),
            Err((message, hint)) => self.problem(row.line, "measured", message, hint),
        }
    }

    /// A measured value, mm, degrees or a count.
    fn value(&self, item: &Item, text: &str) -> Result<f64, (String, String)> {
        let unit = self.job.units;
        let text = &*self.list.number(text)?;
        let hint = format!("write a number with a point, in {}", super::unit_name(item.dimension, unit));
        let no_number = || (format!("{}: {} is no number", named(item), quoted(text)), hint.clone());
        if item.dimension == Dimension::Length {
            let typed = text.chars().any(|c| c.is_alphabetic() && !matches!(c, 'e' | 'E') || matches!(c, '"' | '/'));
            let value = if typed { parse_length(text, unit).ok() } else { number(text).map(|v| v * unit.mm()) };
            return value.filter(|v| v.is_finite()).ok_or_else(no_number);
        }
        let bare = text.trim_end_matches('°').trim_end();
        number(bare).ok_or_else(no_number)
    }

    fn field(&mut self, row: &Row<'_>, field: Field) {
        if let Some(first) = self.seen.insert(field, row.line) {
            let message = format!("`{}` stands in line {first} already", field.key());
            return self.problem(row.line, "item", message, "keep one of the two rows");
        }
        if row.measured.is_empty() {
            if !field.may_wait() {
                self.problem(row.line, "measured", format!("{} is not filled in", field.label()), "fill it in");
            }
            return;
        }
        let text = if field.is_number() { self.list.number(row.measured) } else { Ok(row.measured.into()) };
        let cannot = |hint: &str| (format!("{}: {} cannot be taken", field.label(), quoted(row.measured)), hint.to_owned());
        if let Err((message, hint)) = text.and_then(|text| self.record.fill(field, &text).map_err(cannot)) {
            self.problem(row.line, "measured", message, hint);
        }
    }

    /// Rows that are not in the file at all.
    fn missing(&mut self) {
        let lacking: Vec<String> =
            self.items.iter().zip(&self.lines).filter(|(_, l)| l.is_none()).map(|(i, _)| named(i)).collect();
        for name in lacking {
            self.problem(0, "item", format!("{name} is not in the file"), "put its row back");
        }
        for field in Field::of(self.extent).filter(|f| !f.may_wait() && !self.seen.contains_key(f)).collect::<Vec<_>>() {
            self.problem(0, "item", format!("the row `{}` is not in the file", field.key()), "put its row back");
        }
    }
}

/// An item in a message: `12 groove width, side A, groove 24`.
fn named(item: &Item) -> String {
    let place = if item.place.is_empty() { String::new() } else { format!(", {}", item.place) };
    format!("{} {}{place}", item.number, item.label)
}
