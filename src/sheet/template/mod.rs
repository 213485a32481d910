//! Title-block definitions: which cells a title block has, and the shop whose name, address and logo it carries.
//!
//! A definition is JSON; the built-in ones are those of `templates/title-blocks`. Cells are rectangles in mm from the block's lower left corner.

use crate::language::Language;
use crate::tolerance::{ABUTTING, SAME_PLACE};
mod logo;

pub use logo::{Logo, LogoError};

use serde::Deserialize;
use std::fmt;

/// The built-in definition, of no shop.
pub const PLAIN: &str = include_str!("../../../templates/title-blocks/plain.json");
/// The same of an invented shop, for examples.
const EXAMPLE: &str = include_str!("../../../templates/title-blocks/example.json");

/// What a pack without the shop's own name says of itself.
pub const NO_SHOP: &str = "no title block of the shop's own";

/// Greatest width of a title block, mm (ISO 7200; it is also what A4 leaves inside its frame).
const GREATEST_WIDTH: f64 = 180.0;
/// Greatest height, mm.
const GREATEST_HEIGHT: f64 = 100.0;
/// Least width and height of a cell, mm: room for one line of the smallest lettering.
const LEAST_CELL: f64 = 5.0;

/// A title-block definition, read and checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// Its name.
    pub name: String,
    /// The shop that issues the drawing.
    pub shop: Firm,
    /// Type of document, as ISO 7200 asks for it.
    pub document_type: String,
    /// Notes of the shop printed on every sheet's list of notes.
    pub notes: Vec<String>,
    /// Width, mm.
    pub width: f64,
    /// Height, mm: that of the highest cell's top.
    pub height: f64,
    /// The cells of the first sheet's block.
    pub cells: Vec<Cell>,
    /// The cells of the strip on every further sheet; as wide as the block.
    pub continuation: Vec<Cell>,
    /// The definition as read: a pack carries a copy.
    pub text: String,
    /// The file of the shop's sign, as read.
    pub logo_text: Option<String>,
}

/// The firm that issues the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Firm {
    /// Its name.
    pub name: String,
    /// Lines of its address.
    pub address: Vec<String>,
    /// Its sign; `None` leaves the cell empty.
    pub logo: Option<Logo>,
}

impl Firm {
    /// Whether a shop is named: words in brackets say that one is missing.
    pub fn is_named(&self) -> bool {
        !(self.name.starts_with('(') && self.name.ends_with(')'))
    }
}

/// One cell.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cell {
    /// What it shows.
    pub field: Field,
    /// Left edge, mm.
    pub x: f64,
    /// Lower edge, mm.
    pub y: f64,
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// What stands above the value; may be empty.
    #[serde(default)]
    pub label: String,
    /// Capital height of the value, mm.
    #[serde(default = "usual_size")]
    pub size: f64,
    /// Whether the value is bold.
    #[serde(default)]
    pub bold: bool,
    /// The words of a `text` cell.
    #[serde(default)]
    pub text: String,
}

fn usual_size() -> f64 {
    3.5
}

/// What a cell shows. The first eight are those ISO 7200 wants on every sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Field {
    /// The shop's name and address: the legal owner.
    Owner,
    /// Identification number: the order's number.
    Number,
    /// Date of issue.
    Date,
    /// Sheet n of m.
    Sheet,
    /// Title: what the wheel is for; below it the document type, unless that has a cell of its own.
    Title,
    /// Who approved it: left for the signature.
    ApprovedBy,
    /// Who created it.
    CreatedBy,
    /// Document type.
    DocumentType,
    /// The shop's sign.
    Logo,
    /// Revision.
    Revision,
    /// The customer.
    Customer,
    /// Whom to ask at the customer's.
    Contact,
    /// How many wheels.
    Quantity,
    /// For approval, or not released.
    Status,
    /// The main scale.
    Scale,
    /// Unit of the lengths.
    Units,
    /// Paper size.
    Paper,
    /// The sign of first or third angle projection.
    Projection,
    /// The order's fingerprint, shortened.
    Fingerprint,
    /// Fixed words of the shop's own.
    Text,
}

/// The fields ISO 7200 wants on every sheet; the document type may share the title's cell.
const MANDATORY: [(Field, &str); 8] = [
    (Field::Owner, "owner"),
    (Field::Number, "number"),
    (Field::Date, "date"),
    (Field::Sheet, "sheet"),
    (Field::Title, "title"),
    (Field::ApprovedBy, "approved_by"),
    (Field::CreatedBy, "created_by"),
    (Field::Revision, "revision"),
];

/// The fields that tell any sheet from any other; the rest of the mandatory ones stands on the first sheet.
const ON_EVERY_SHEET: [(Field, &str); 7] = [
    (Field::Owner, "owner"),
    (Field::Number, "number"),
    (Field::Revision, "revision"),
    (Field::Title, "title"),
    (Field::Sheet, "sheet"),
    (Field::Fingerprint, "fingerprint"),
    (Field::Units, "units"),
];

/// The keys of the usual labels.
const LABELS: [(Field, &str); 15] = [
    (Field::Title, "title.title"),
    (Field::Customer, "title.customer"),
    (Field::Contact, "title.contact"),
    (Field::Quantity, "title.quantity"),
    (Field::Status, "title.status"),
    (Field::CreatedBy, "title.created_by"),
    (Field::ApprovedBy, "title.approved_by"),
    (Field::Scale, "title.scale"),
    (Field::Units, "title.units"),
    (Field::Paper, "title.paper"),
    (Field::Number, "title.number"),
    (Field::Revision, "title.revision"),
    (Field::Date, "title.date"),
    (Field::Sheet, "title.sheet"),
    (Field::Fingerprint, "title.fingerprint"),
];

/// The title block with its usual labels in a language; labels of the shop's own stay as they are.
pub fn in_language(template: &Template, language: Language) -> Template {
    let mut made = template.clone();
    let theirs = |text: &mut String, key: &str| {
        if text == Language::default().text(key) {
            language.text(key).clone_into(text);
        }
    };
    theirs(&mut made.document_type, "title.document_type");
    theirs(&mut made.shop.name, "title.no_shop");
    for cell in made.cells.iter_mut().chain(&mut made.continuation) {
        if let Some((_, key)) = LABELS.iter().find(|(field, _)| *field == cell.field) {
            theirs(&mut cell.label, key);
        }
    }
    made
}

/// What is wrong with a definition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateError {
    /// Where: `line 12, column 5` or a JSON pointer such as `/cells/3`.
    pub place: String,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

impl TemplateError {
    fn new(place: impl Into<String>, message: impl Into<String>, hint: impl Into<String>) -> TemplateError {
        TemplateError { place: place.into(), message: message.into(), hint: hint.into() }
    }
}

impl fmt::Display for TemplateError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "title block, {}: {}; {}", self.place, self.message, self.hint)
    }
}

impl std::error::Error for TemplateError {}

/// The definition as typed.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Typed {
    format: u32,
    name: String,
    shop: TypedShop,
    document_type: String,
    #[serde(default)]
    notes: Vec<String>,
    width: f64,
    cells: Vec<Cell>,
    #[serde(default)]
    continuation: Vec<Cell>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TypedShop {
    name: String,
    #[serde(default)]
    address: Vec<String>,
    #[serde(default)]
    logo: String,
    #[serde(default)]
    logo_file: String,
}

/// The path of the logo's SVG file that a definition names, as typed and seen from the definition's own folder; `None` where it names none or
/// cannot be read at all ([`Template::parse`] then says why).
pub fn logo_file(text: &str) -> Option<String> {
    let typed: Typed = serde_json::from_str(text).ok()?;
    (!typed.shop.logo_file.is_empty()).then_some(typed.shop.logo_file)
}

impl Template {
    /// The built-in definition.
    ///
    /// # Errors
    /// Never with the definition shipped; a test reads it.
    pub fn plain() -> Result<Template, TemplateError> {
        Template::parse(PLAIN, None)
    }

    /// The built-in definition of this name: `plain`, or `example`, that of an invented shop; `None` where there is none.
    pub fn built_in(name: &str) -> Option<Result<Template, TemplateError>> {
        match name {
            "plain" => Some(Template::plain()),
            "example" => Some(Template::parse(EXAMPLE, None)),
            _ => None,
        }
    }

    /// Reads a definition. `logo` is the text of the SVG file that [`logo_file`] names.
    ///
    /// # Errors
    /// Where it is no JSON, has unknown or missing parts, cells that overlap or stick out, lacks a field every sheet must have, or a logo that
    /// cannot be drawn.
    pub fn parse(text: &str, logo: Option<&str>) -> Result<Template, TemplateError> {
        let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
        let typed: Typed = serde_json::from_str(text).map_err(|e| {
            let message = e.to_string();
            let what = message.split(" at line ").next().unwrap_or_default().to_owned();
            let hint = "compare it with the built-in definition title-blocks/plain.json";
            TemplateError::new(format!("line {}, column {}", e.line(), e.column()), what, hint)
        })?;
        if typed.format != 1 {
            let message = format!("format {} is not known", typed.format);
            return Err(TemplateError::new("/format", message, "this program reads format 1"));
        }
        check_width(typed.width)?;
        check_cells("/cells", &typed.cells, typed.width, &MANDATORY)?;
        let continuation = match typed.continuation.is_empty() {
            true => usual_continuation(typed.width)?,
            false => typed.continuation,
        };
        check_cells("/continuation", &continuation, typed.width, &ON_EVERY_SHEET)?;
        let height = height_of(&typed.cells);
        let shop = shop(typed.shop, logo)?;
        Ok(Template {
            name: typed.name,
            shop,
            document_type: typed.document_type,
            notes: typed.notes,
            width: typed.width,
            height,
            cells: typed.cells,
            continuation,
            text: text.to_owned(),
            logo_text: logo.map(str::to_owned),
        })
    }

    /// Whether a cell of its own shows a field.
    pub fn has(&self, field: Field) -> bool {
        self.cells.iter().any(|c| c.field == field)
    }
}

fn shop(typed: TypedShop, file: Option<&str>) -> Result<Firm, TemplateError> {
    if typed.name.trim().is_empty() {
        return Err(TemplateError::new("/shop/name", "the shop has no name", "give the name of the shop"));
    }
    let (place, svg) = match (typed.logo.is_empty(), typed.logo_file.is_empty()) {
        (false, false) => {
            let hint = "keep one of `logo` and `logo_file`";
            return Err(TemplateError::new("/shop", "the logo is given twice", hint));
        }
        (false, true) => ("/shop/logo".to_owned(), Some(typed.logo.as_str())),
        (true, false) => {
            let name = format!("/shop/logo_file ({})", typed.logo_file);
            if file.is_none() {
                return Err(TemplateError::new(
                    name,
                    "the logo's file is not there",
                    "give its path from this file's folder",
                ));
            }
            (name, file)
        }
        (true, true) => (String::new(), None),
    };
    let logo = svg.map(Logo::parse).transpose().map_err(|e| {
        let hint = "use svg with viewBox, g, path, rect, circle, ellipse, line, polyline and polygon only";
        TemplateError::new(place, e.to_string(), hint)
    })?;
    Ok(Firm { name: typed.name, address: typed.address, logo })
}

/// Height of a block of cells: that of the highest cell's top, mm.
pub fn height_of(cells: &[Cell]) -> f64 {
    cells.iter().map(|c| c.y + c.height).fold(0.0, f64::max)
}

/// The built-in strip of further sheets, its cells drawn together or apart to a block's width.
fn usual_continuation(width: f64) -> Result<Vec<Cell>, TemplateError> {
    let plain: Typed = serde_json::from_str(PLAIN).map_err(|e| {
        TemplateError::new("/continuation", e.to_string(), "the built-in definition is broken; give cells here")
    })?;
    let share = width / plain.width;
    let fitted = plain.continuation.into_iter().map(|c| Cell { x: c.x * share, width: c.width * share, ..c });
    Ok(fitted.collect())
}

fn check_width(width: f64) -> Result<(), TemplateError> {
    if width > 0.0 && width <= GREATEST_WIDTH {
        return Ok(());
    }
    let message = format!("a width of {width} mm does not fit");
    Err(TemplateError::new("/width", message, format!("give more than 0 and at most {GREATEST_WIDTH}")))
}

fn check_cells(place: &str, cells: &[Cell], width: f64, wanted: &[(Field, &str)]) -> Result<(), TemplateError> {
    for (i, cell) in cells.iter().enumerate() {
        check_cell(cell, &format!("{place}/{i}"), width)?;
        for (k, other) in cells[..i].iter().enumerate() {
            if overlap(cell, other) {
                let message = format!("the cell overlaps cell {k}");
                let hint = "move it, or make one of the two smaller";
                return Err(TemplateError::new(format!("{place}/{i}"), message, hint));
            }
        }
    }
    for (field, name) in wanted {
        if !cells.iter().any(|c| c.field == *field) {
            let message = format!("no cell shows `{name}`, which every sheet must carry");
            return Err(TemplateError::new(place, message, format!("add a cell with \"field\": \"{name}\"")));
        }
    }
    Ok(())
}

fn check_cell(cell: &Cell, place: &str, width: f64) -> Result<(), TemplateError> {
    let numbers = [cell.x, cell.y, cell.width, cell.height, cell.size];
    if numbers.iter().any(|n| !n.is_finite() || n.abs() > 1000.0) {
        return Err(TemplateError::new(place, "a measure of the cell is out of range", "give millimetres on paper"));
    }
    if cell.width < LEAST_CELL || cell.height < LEAST_CELL {
        let message = format!("a cell of {} × {} mm has no room for lettering", cell.width, cell.height);
        return Err(TemplateError::new(place, message, format!("give at least {LEAST_CELL} mm each way")));
    }
    if cell.x < 0.0 || cell.y < 0.0 || cell.x + cell.width > width + ABUTTING || cell.y + cell.height > GREATEST_HEIGHT
    {
        let message = "the cell sticks out of the title block";
        let hint = format!("keep x from 0 to {width} and y from 0 to {GREATEST_HEIGHT}");
        return Err(TemplateError::new(place, message, hint));
    }
    if !(2.5..=10.0).contains(&cell.size) {
        let message = format!("lettering of {} mm is out of range", cell.size);
        return Err(TemplateError::new(format!("{place}/size"), message, "give 2.5 to 10"));
    }
    Ok(())
}

/// Whether two cells share more than a border.
fn overlap(a: &Cell, b: &Cell) -> bool {
    let slack = SAME_PLACE;
    a.x + a.width > b.x + slack
        && b.x + b.width > a.x + slack
        && a.y + a.height > b.y + slack
        && b.y + b.height > a.y + slack
}
