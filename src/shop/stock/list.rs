//! The shop's stock list, a csv file: read row by row, so that a bad row is reported and the others still count.
//!
//! Columns, in any order: `id`, `outside_diameter`, `thickness` and `bore` are needed; `count`, `marking`, `max_operating_speed`, `density`,
//! `weight`, `cost`, `lot`, `place`, `maker`, `expires` and `restrictions` may be left out. Sizes, speeds, densities and weights carry their unit, as in an order: `26 in`, `33 m/s`.

use crate::json::nearest;
use crate::list::{self, List, ListRow, RowProblem};
use crate::money::Money;
use crate::quantity::{Date, Density, KG_PER_MM3, LengthUnit, Mass, QuantityError, Speed, parse_length, quoted};
use crate::shop::removal::BlankSize;
use crate::tolerance::GREATEST_LENGTH;
use serde::Serialize;
use std::collections::HashMap;

/// The columns a list may have; the first four are needed.
pub const COLUMNS: [&str; 15] = [
    "id",
    "outside_diameter",
    "thickness",
    "bore",
    "count",
    "marking",
    "max_operating_speed",
    "density",
    "weight",
    "cost",
    "lot",
    "place",
    "maker",
    "expires",
    "restrictions",
];
const NEEDED: usize = 4;

/// One sort of stock wheel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StockWheel {
    /// Line of the list, from 1.
    pub line: u64,
    /// The shop's own number for it.
    pub id: String,
    /// Its sizes, mm.
    #[serde(flatten)]
    pub size: BlankSize,
    /// How many there are; `None` where the list does not say.
    pub count: Option<u32>,
    /// Specification mark.
    pub marking: Option<String>,
    /// Maximum operating speed marked on it, m/s.
    pub max_operating_speed: Option<f64>,
    /// Density, kg/m³: as listed, or the weight over the volume.
    pub density: Option<f64>,
    /// Weight of one as listed, kg.
    pub weight: Option<f64>,
    /// What one costs, in the shop's own currency.
    pub cost: Option<Money>,
    /// Lot or serial mark.
    pub lot: Option<String>,
    /// Where it lies.
    pub place: Option<String>,
    /// Who made it.
    pub maker: Option<String>,
    /// Day until which it may be used.
    pub expires: Option<Date>,
    /// Restrictions of use marked on it.
    pub restrictions: Option<String>,
}

/// A stock list: the rows that could be read, and what was wrong with the others.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StockList {
    /// The rows that could be read, in the order of the file.
    pub wheels: Vec<StockWheel>,
    /// What was wrong with the others.
    pub problems: Vec<RowProblem>,
}

/// Reads a stock list.
///
/// # Errors
/// Where the heading is not that of a stock list: then no row means anything.
pub fn read(bytes: &[u8]) -> Result<StockList, Vec<RowProblem>> {
    let written = list::read(bytes).map_err(|problem| vec![problem])?;
    let heading = heading(&written)?;
    let mut list = StockList { wheels: Vec::new(), problems: written.problems.clone() };
    let mut seen: HashMap<String, u64> = HashMap::new();
    for of in &written.rows {
        let mut row = Row { list: &written, heading: &heading, row: of, problems: Vec::new() };
        let wheel = row.wheel();
        if let Some(wheel) = wheel.filter(|_| row.problems.is_empty()) {
            if let Some(first) = seen.insert(wheel.id.clone(), wheel.line) {
                let message = format!("{} stands in line {first} already", quoted(&wheel.id));
                row.problem("id", message, "give every sort of stock wheel its own number");
                seen.insert(wheel.id, first);
            } else {
                list.wheels.push(wheel);
            }
        }
        list.problems.append(&mut row.problems);
    }
    list.problems.sort_by_key(|p| p.line);
    Ok(list)
}

/// The columns of the heading, by position.
fn heading(list: &List) -> Result<Vec<Option<&'static str>>, Vec<RowProblem>> {
    let at = |field: &str, message: String, hint: String| RowProblem { line: list.line, field: field.to_owned(), message, hint };
    let mut columns: Vec<Option<&'static str>> = Vec::new();
    let mut problems = Vec::new();
    for name in &list.heading {
        let column = COLUMNS.into_iter().find(|c| *c == list::key(name));
        match column {
            Some(_) if columns.contains(&column) => {
                problems.push(at(name, format!("the column {} stands twice", quoted(name)), "keep one of them".into()));
            }
            None if !name.is_empty() => {
                let hint = match nearest(name, &COLUMNS) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("a stock list has the columns {}", COLUMNS.join(", ")),
                };
                problems.push(at(name, format!("there is no column {}", quoted(name)), hint));
            }
            _ => columns.push(column),
        }
    }
    for needed in COLUMNS[..NEEDED].iter().filter(|c| !columns.contains(&Some(**c))) {
        let hint = format!("the first line names the columns; {} are needed", COLUMNS[..NEEDED].join(", "));
        problems.push(at(needed, format!("the column `{needed}` is missing"), hint));
    }
    if problems.is_empty() { Ok(columns) } else { Err(problems) }
}

/// One row being read.
struct Row<'a> {
    list: &'a List,
    heading: &'a [Option<&'static str>],
    row: &'a ListRow,
    problems: Vec<RowProblem>,
}

impl Row<'_> {
    fn problem(&mut self, field: &str, message: impl Into<String>, hint: impl Into<String>) {
        let (line, field) = (self.row.line, field.to_owned());
        self.problems.push(RowProblem { line, field, message: message.into(), hint: hint.into() });
    }

    /// What a column holds; `None` where it is empty or absent.
    fn cell(&self, column: &str) -> Option<&str> {
        let i = self.heading.iter().position(|c| *c == Some(column))?;
        self.row.cells.get(i).map(String::as_str).filter(|text| !text.is_empty())
    }

    fn text(&self, column: &str) -> Option<String> {
        self.cell(column).map(str::to_owned)
    }

    /// What a column of numbers holds, with a point as decimal sign.
    fn number(&mut self, column: &str) -> Option<String> {
        let read = self.list.number(self.cell(column)?).map(std::borrow::Cow::into_owned);
        read.map_err(|(message, hint)| self.problem(column, message, hint)).ok()
    }

    fn wheel(&mut self) -> Option<StockWheel> {
        if self.row.cells.len() != self.heading.len() {
            let message = format!("the row has {} fields, the heading {}", self.row.cells.len(), self.heading.len());
            self.problem("", message, "put texts that hold a comma in double quotes");
            return None;
        }
        let id = self.text("id");
        if id.is_none() {
            self.problem("id", "the stock wheel has no number", "give every sort of stock wheel its own number");
        }
        let [outside_diameter, thickness, bore] = ["outside_diameter", "thickness", "bore"].map(|c| self.size(c));
        let size = BlankSize { outside_diameter: outside_diameter?, thickness: thickness?, bore: bore? };
        if size.bore >= size.outside_diameter {
            self.problem("bore", "the bore is not smaller than the outside diameter", "check the two sizes");
        }
        let weight = self.amount("weight", |t| Mass(t.to_owned()).kilograms());
        let density = self.amount("density", |t| Density(t.to_owned()).kg_per_m3());
        Some(StockWheel {
            line: self.row.line,
            id: id?,
            size,
            count: self.count(),
            marking: self.text("marking"),
            max_operating_speed: self.amount("max_operating_speed", |t| Speed(t.to_owned()).metres_per_second()),
            density: density.or_else(|| Some(weight? / (size.volume() * KG_PER_MM3))),
            weight,
            cost: self.cost(),
            lot: self.text("lot"),
            place: self.text("place"),
            maker: self.text("maker"),
            expires: self.day("expires"),
            restrictions: self.text("restrictions"),
        })
    }

    /// A size that must be given, mm.
    fn size(&mut self, column: &str) -> Option<f64> {
        if self.cell(column).is_none() {
            self.problem(column, format!("`{column}` is empty"), "give it with its unit, such as 26 in or 660 mm");
        }
        let text = self.number(column)?;
        // a stock list has no unit of its own: 26 alone could be inches or millimetres
        if text.ends_with(|c: char| c.is_ascii_digit() || c == '.') {
            self.problem(column, format!("{} has no unit", quoted(&text)), format!("write {text} in or {text} mm"));
            return None;
        }
        match parse_length(&text, LengthUnit::Millimetre) {
            Ok(mm) if mm > 0.0 && mm <= GREATEST_LENGTH => Some(mm),
            Ok(_) => {
                self.problem(
                    column,
                    format!("{} is no size of a wheel", quoted(&text)),
                    "give a length above 0, at most 10 m",
                );
                None
            }
            Err(e) => {
                self.problem(column, e.message, e.hint);
                None
            }
        }
    }

    /// A quantity that may be left out, above 0.
    fn amount(&mut self, column: &str, read: impl Fn(&str) -> Result<f64, QuantityError>) -> Option<f64> {
        let text = self.number(column)?;
        match read(&text) {
            Ok(value) if value > 0.0 && value.is_finite() => return Some(value),
            Ok(_) => self.problem(
                column,
                format!("{} is not above 0", quoted(&text)),
                "give a number above 0, or leave it empty",
            ),
            Err(e) => self.problem(column, e.message, e.hint),
        }
        None
    }

    fn count(&mut self) -> Option<u32> {
        let text = self.text("count")?;
        let count = text.parse().ok();
        if count.is_none() {
            self.problem(
                "count",
                format!("{} is no number of wheels", quoted(&text)),
                "give a whole number of 0 or more",
            );
        }
        count
    }

    fn day(&mut self, column: &str) -> Option<Date> {
        let read = self.cell(column)?.parse::<Date>();
        read.map_err(|e| self.problem(column, e.message, e.hint)).ok()
    }

    fn cost(&mut self) -> Option<Money> {
        let text = self.number("cost")?;
        match Money::parse(&text) {
            Ok(cost) => Some(cost),
            Err(e) => {
                self.problem("cost", e.message, e.hint);
                None
            }
        }
    }
}
