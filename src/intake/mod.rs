//! A customer's list becomes orders: one row a wheel, headings in any of the usual words, units by cell, by heading, by row or for the whole list.

mod columns;

pub use columns::{COLUMNS, Column, Kind};

use crate::json::Problem;
use crate::list::{self, List, RowProblem};
use crate::quantity::{LengthUnit, Speed, parse_length, quoted};
use crate::rules::ShopRules;
use columns::{plain, unit};
use serde_json::{Map, Value, json};
use std::collections::HashMap;

/// One order of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Line of the list, from 1.
    pub line: u64,
    /// Number and revision: the name of its file.
    pub stem: String,
    /// The order as written.
    pub order: Value,
}

/// What a list gives.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Intake {
    /// Orders of the rows that are good.
    pub orders: Vec<Taken>,
    /// Everything wrong with the others, by line and heading.
    pub problems: Vec<RowProblem>,
}

/// What holds for the whole list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Given {
    /// Unit of lengths that name none anywhere.
    pub unit: Option<LengthUnit>,
    /// What order numbers begin with where the list has none: the line follows.
    pub prefix: String,
    /// The customer, where the list names none.
    pub customer: Option<String>,
}

/// A heading line and one row to show how cells are filled in; all invented.
pub fn template() -> [Vec<String>; 2] {
    let example = |c: &Column| match c.field {
        "/order/number" => "2001",
        "/order/revision" => "A",
        "/order/quantity" => "4",
        "/order/customer" => "Kestrel Bay Journal Works",
        "/order/item" => "Main-journal wheel",
        "" => "in",
        "/wheel/outside_diameter" => "26",
        "/wheel/thickness" => "2-1/2",
        "/wheel/bore" => "203.2 mm",
        "/wheel/side_a/recess/0/diameter" => "13",
        "/wheel/side_a/recess/0/depth" => "1/2",
        "/wheel/side_a/recess/0/fillet_radius" => "1/8",
        "/blank/marking" => "A 54 K 6 V",
        "/blank/max_operating_speed" => "33 m/s",
        "/machine/spindle_rpm" => "950",
        _ => "",
    };
    [COLUMNS.iter().map(|c| c.heading.to_owned()).collect(), COLUMNS.iter().map(|c| example(c).to_owned()).collect()]
}

/// Reads a list.
///
/// # Errors
/// Where the heading is not that of a list: then no row means anything.
pub fn read(bytes: &[u8], given: &Given) -> Result<Intake, Vec<RowProblem>> {
    let list = list::read(bytes).map_err(|problem| vec![problem])?;
    let head = heading(&list)?;
    let mut intake = Intake { orders: Vec::new(), problems: list.problems.clone() };
    let mut seen: HashMap<String, u64> = HashMap::new();
    for of in &list.rows {
        let line = of.line;
        let mut row = Row { head: &head, list: &list, cells: &of.cells, line, problems: Vec::new() };
        if let Some(taken) = row.order(given) {
            match seen.insert(taken.stem.clone(), line) {
                Some(first) => {
                    let message = format!("{} stands in line {first} already", quoted(&taken.stem));
                    row.problem("number", message, "give every row its own number or revision");
                }
                None => intake.orders.push(taken),
            }
        }
        intake.problems.append(&mut row.problems);
    }
    intake.problems.sort_by_key(|p| p.line);
    Ok(intake)
}

/// A column of the list: its heading as written, what it is, its unit.
struct Heading {
    written: String,
    column: &'static Column,
    unit: Option<&'static str>,
}

fn heading(list: &List) -> Result<Vec<Option<Heading>>, Vec<RowProblem>> {
    let at = |field: &str, message: String, hint: &str| RowProblem { line: list.line, field: field.to_owned(), message, hint: hint.to_owned() };
    let mut found: Vec<Option<Heading>> = Vec::new();
    let mut problems = Vec::new();
    for written in &list.heading {
        let (name, unit) = plain(written);
        let known = COLUMNS.iter().find(|c| c.heading == name || c.words.contains(&name.as_str()));
        match known {
            _ if written.is_empty() => found.push(None),
            None => problems.push(at(written, format!("{} is no heading that is known", quoted(written)), "`wheeldraft intake --headings` prints all; leave the column out, or name it `note`")),
            Some(column) if found.iter().flatten().any(|h| h.column == column) => {
                problems.push(at(written, format!("{} says the same as a column before it", quoted(written)), "keep one of them"));
            }
            Some(column) => found.push(Some(Heading { written: written.to_owned(), column, unit })),
        }
    }
    for needed in ["/wheel/outside_diameter", "/wheel/thickness", "/wheel/bore"] {
        if !found.iter().flatten().any(|h| h.column.field == needed) {
            let name = COLUMNS.iter().find(|c| c.field == needed).map_or("", |c| c.heading);
            problems.push(at(name, format!("no column is the {name}"), "outside diameter, thickness and bore are needed"));
        }
    }
    if problems.is_empty() { Ok(found) } else { Err(problems) }
}

/// One row being read.
struct Row<'a> {
    head: &'a [Option<Heading>],
    list: &'a List,
    cells: &'a [String],
    line: u64,
    problems: Vec<RowProblem>,
}

impl Row<'_> {
    fn problem(&mut self, field: &str, message: impl Into<String>, hint: impl Into<String>) {
        let (line, field) = (self.line, field.to_owned());
        self.problems.push(RowProblem { line, field, message: message.into(), hint: hint.into() });
    }

    fn order(&mut self, given: &Given) -> Option<Taken> {
        if self.cells.len() > self.head.len() {
            let message = format!("the row has {} cells, the heading {}", self.cells.len(), self.head.len());
            self.problem("", message, "put texts that hold the separator in double quotes");
            return None;
        }
        let own = self.row_unit(given);
        let mut order = json!({ "order": { "number": "", "revision": "A" }, "units": own.or(self.first_unit()).unwrap_or(LengthUnit::Millimetre).symbol(), "wheel": {} });
        let head = self.head;
        for (heading, cell) in head.iter().zip(self.cells).filter_map(|(h, cell)| Some((h.as_ref()?, cell))) {
            if cell.is_empty() || heading.column.kind == Kind::Unit {
                continue;
            }
            if let Some(value) = self.cell(heading, cell, own) {
                put(&mut order, heading.column.field, value);
            }
        }
        if order["order"]["number"] == "" {
            order["order"]["number"] = Value::from(format!("{}{}", given.prefix, self.line));
        }
        if let (Some(customer), None) = (&given.customer, order["order"].get("customer")) {
            order["order"]["customer"] = Value::from(customer.clone());
        }
        if !self.problems.is_empty() {
            return None;
        }
        self.checked(order)
    }

    /// The order as the program itself reads it; what it finds is told by row and heading.
    fn checked(&mut self, order: Value) -> Option<Taken> {
        match ShopRules::built_in().open(order.to_string().as_bytes()) {
            Ok(job) => Some(Taken { line: self.line, stem: job.file_stem(), order }),
            Err(problems) => {
                let head = self.head;
                for Problem { field, message, hint } in problems.into_iter().map(|l| l.problem) {
                    let of = head.iter().flatten().filter(|h| !h.column.field.is_empty());
                    let near = of.filter(|h| field == h.column.field || field.starts_with(h.column.field) || h.column.field.starts_with(&field));
                    let name = near.map(|h| h.written.clone()).next().unwrap_or(field);
                    self.problem(&name, message, hint);
                }
                None
            }
        }
    }

    /// The unit the customer writes: that of the first length of the row that names one.
    fn first_unit(&self) -> Option<LengthUnit> {
        let named = |(heading, cell): (&Option<Heading>, &str)| {
            let heading = heading.as_ref().filter(|h| h.column.kind == Kind::Length && !cell.is_empty())?;
            let of_cell = unit(cell.trim_start_matches(|c: char| !c.is_alphabetic() && c != '"'));
            match of_cell.or(heading.unit)? {
                "in" => Some(LengthUnit::Inch),
                "mm" => Some(LengthUnit::Millimetre),
                _ => None,
            }
        };
        self.head.iter().zip(self.cells.iter().map(String::as_str)).find_map(named)
    }

    fn row_unit(&mut self, given: &Given) -> Option<LengthUnit> {
        let at = self.head.iter().position(|h| h.as_ref().is_some_and(|h| h.column.kind == Kind::Unit));
        let cell = at.and_then(|i| self.cells.get(i)).filter(|c| !c.is_empty());
        match cell.map(|c| (c, unit(c))) {
            None => given.unit,
            Some((_, Some("in"))) => Some(LengthUnit::Inch),
            Some((_, Some("mm"))) => Some(LengthUnit::Millimetre),
            Some((cell, _)) => {
                self.problem("unit", format!("{} is no unit of length", quoted(cell)), "write in or mm");
                given.unit
            }
        }
    }

    fn cell(&mut self, heading: &Heading, cell: &str, own: Option<LengthUnit>) -> Option<Value> {
        let read = match heading.column.kind {
            Kind::Text | Kind::Unit => Ok(cell.to_owned()),
            _ => self.list.number(cell).map(std::borrow::Cow::into_owned),
        };
        let point = read.map_err(|(message, hint)| self.problem(&heading.written, message, hint)).ok()?;
        match heading.column.kind {
            Kind::Text | Kind::Unit => Some(Value::from(cell)),
            Kind::Count if cell.starts_with('?') && heading.column.field.ends_with("/count") => Some(Value::from(cell)),
            Kind::Count => match cell.parse::<u32>() {
                Ok(count) => Some(Value::from(count)),
                Err(_) => {
                    self.problem(&heading.written, format!("{} is no whole number", quoted(cell)), "write a whole number, such as 4");
                    None
                }
            },
            Kind::Number => match point.parse::<f64>() {
                Ok(number) if number.is_finite() => Some(Value::from(number)),
                _ => {
                    self.problem(&heading.written, format!("{} is no number", quoted(cell)), "write a plain number, such as 950");
                    None
                }
            },
            Kind::Length => self.length(heading, &point, own),
            Kind::Speed => {
                let text = if bare(&point) { format!("{point} {}", heading.unit.unwrap_or_default()) } else { point };
                match Speed(text.trim().to_owned()).metres_per_second() {
                    Ok(_) => Some(Value::from(text.trim())),
                    Err(e) => {
                        self.problem(&heading.written, e.message, e.hint);
                        None
                    }
                }
            }
        }
    }

    /// A length: its own unit, or that of its heading, or of its row, in this order.
    fn length(&mut self, heading: &Heading, cell: &str, own: Option<LengthUnit>) -> Option<Value> {
        // a size that the list leaves open stays so, with what it proposes
        match cell.strip_prefix('?').map(str::trim) {
            Some("") => return Some(Value::from("?")),
            Some(proposed) => {
                let proposed = self.length(heading, proposed, own)?;
                return proposed.as_str().map(|text| Value::from(format!("? {text}")));
            }
            None => {}
        }
        let unit = heading.unit.or(own.map(LengthUnit::symbol));
        let text = match (bare(cell), unit) {
            (false, _) => cell.to_owned(),
            (true, Some(unit)) => format!("{cell} {unit}"),
            (true, None) => {
                let hint = format!("write {cell} in or {cell} mm, give the list a column `unit`, or add --units");
                self.problem(&heading.written, format!("{} has no unit", quoted(cell)), hint);
                return None;
            }
        };
        match parse_length(&text, LengthUnit::Millimetre) {
            Ok(mm) if mm > 0.0 => Some(Value::from(text)),
            Ok(_) => {
                self.problem(&heading.written, format!("{} is no size", quoted(cell)), "give a length above 0");
                None
            }
            Err(e) => {
                self.problem(&heading.written, e.message, e.hint);
                None
            }
        }
    }
}

/// Whether a cell ends in a digit, so that it names no unit of its own.
fn bare(cell: &str) -> bool {
    cell.ends_with(|c: char| c.is_ascii_digit() || c == '.' || matches!(c, '½' | '¼' | '¾'))
}

/// Puts a value at a pointer, making objects and lists on the way.
fn put(order: &mut Value, field: &str, value: Value) {
    let mut at = order;
    for name in field.split('/').skip(1) {
        at = if name == "0" {
            if !at.is_array() {
                *at = Value::Array(vec![Value::Null]);
            }
            &mut at[0]
        } else {
            if !at.is_object() {
                *at = Value::Object(Map::new());
            }
            &mut at[name]
        };
    }
    *at = value;
}
