//! Title-block definitions: which cells a title block has, and the shop whose name, address and logo it carries.
//!
//! A definition is JSON; the built-in ones are those of `templates/title-blocks`. Cells are rectangles in mm from the block's lower left corner.

mod logo;
mod written;

pub use logo::{Logo, LogoError};
pub use written::schema;

use crate::json::{self, Problem, Problems};
use crate::language::Language;
use crate::quantity::quoted;
use crate::tolerance::{ABUTTING, SAME_PLACE};
use schemars::JsonSchema;
use serde::Deserialize;
use written::{Typed, TypedShop, form};

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
#[derive(Debug, Clone, PartialEq, Deserialize, JsonSchema)]
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize, JsonSchema)]
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

/// The path of the logo's SVG file that a definition names, as typed and seen from the definition's own folder; `None` where it names none or
/// cannot be read at all ([`Template::parse`] then says why).
pub fn logo_file(text: &str) -> Option<String> {
    let typed = json::read::<Typed>(text.as_bytes(), form()).content?;
    (!typed.shop.logo_file.is_empty()).then_some(typed.shop.logo_file)
}

impl Template {
    /// The built-in definition.
    ///
    /// # Errors
    /// Never with the definition shipped; a test reads it.
    pub fn plain() -> Result<Template, Problems> {
        Template::parse(PLAIN, None)
    }

    /// The built-in definition of this name: `plain`, or `example`, that of an invented shop; `None` where there is none.
    pub fn built_in(name: &str) -> Option<Result<Template, Problems>> {
        match name {
            "plain" => Some(Template::plain()),
            "example" => Some(Template::parse(EXAMPLE, None)),
            _ => None,
        }
    }

    /// Reads a definition. `logo` is the text of the SVG file that [`logo_file`] names.
    ///
    /// # Errors
    /// Everything wrong with it, with its place: unknown or missing parts, cells that overlap or stick out, a field lacking that every sheet must
    /// have, a logo that cannot be drawn.
    pub fn parse(text: &str, logo: Option<&str>) -> Result<Template, Problems> {
        let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
        let read = json::read::<Typed>(text.as_bytes(), form());
        let mut problems = read.problems;
        let Some(typed) = read.content else { return Err(Problems::of(problems)) };
        let mut checker = Checker { broken: &read.broken, problems: Vec::new() };
        let template = checker.template(typed, text, logo);
        problems.extend(read.places.locate_all(checker.problems));
        template.filter(|_| problems.is_empty()).ok_or_else(|| Problems::of(problems))
    }

    /// Whether a cell of its own shows a field.
    pub fn has(&self, field: Field) -> bool {
        self.cells.iter().any(|c| c.field == field)
    }
}

/// Keeps what is wrong with a definition, fields that hold stand-ins apart: what is wrong with them is told already.
struct Checker<'a> {
    broken: &'a [String],
    problems: Vec<Problem>,
}

impl Checker<'_> {
    fn problem(&mut self, field: &str, message: impl Into<String>, hint: impl Into<String>) {
        if !json::is_touched(field, self.broken) {
            self.problems.push(Problem::new(field, message, hint));
        }
    }

    fn template(&mut self, typed: Typed, text: &str, logo: Option<&str>) -> Option<Template> {
        if typed.format != 1 {
            self.problem("/format", format!("format {} is not known", typed.format), "this program reads format 1");
        }
        let continuation = match typed.continuation.is_empty() {
            true => usual_continuation(typed.width)?,
            false => typed.continuation,
        };
        // in a width that is none no cell fits
        if self.width(typed.width) {
            self.cells("/cells", &typed.cells, typed.width, &MANDATORY);
            self.cells("/continuation", &continuation, typed.width, &ON_EVERY_SHEET);
        }
        Some(Template {
            name: typed.name,
            shop: self.shop(typed.shop, logo),
            document_type: typed.document_type,
            notes: typed.notes,
            width: typed.width,
            height: height_of(&typed.cells),
            cells: typed.cells,
            continuation,
            text: text.to_owned(),
            logo_text: logo.map(str::to_owned),
        })
    }

    fn shop(&mut self, typed: TypedShop, file: Option<&str>) -> Firm {
        if typed.name.trim().is_empty() {
            self.problem("/shop/name", "the shop has no name", "give the name of the shop");
        }
        let (place, svg) = match (typed.logo.is_empty(), typed.logo_file.is_empty()) {
            (false, false) => {
                self.problem("/shop", "the logo is given twice", "keep one of `logo` and `logo_file`");
                ("/shop", None)
            }
            (false, true) => ("/shop/logo", Some(typed.logo.as_str())),
            (true, false) => {
                if file.is_none() {
                    let message = format!("the logo's file {} is not there", quoted(&typed.logo_file));
                    self.problem("/shop/logo_file", message, "give its path from this file's folder");
                }
                ("/shop/logo_file", file)
            }
            (true, true) => ("/shop", None),
        };
        let read = svg.map(Logo::parse).transpose().unwrap_or_else(|e| {
            let hint = "use svg with viewBox, g, path, rect, circle, ellipse, line, polyline and polygon only";
            self.problem(place, e.to_string(), hint);
            None
        });
        Firm { name: typed.name, address: typed.address, logo: read }
    }

    fn width(&mut self, width: f64) -> bool {
        let fits = width > 0.0 && width <= GREATEST_WIDTH;
        if !fits {
            let message = format!("a width of {width} mm does not fit");
            self.problem("/width", message, format!("give more than 0 and at most {GREATEST_WIDTH}"));
        }
        fits
    }

    fn cells(&mut self, place: &str, cells: &[Cell], width: f64, wanted: &[(Field, &str)]) {
        for (i, cell) in cells.iter().enumerate() {
            let at = format!("{place}/{i}");
            self.cell(cell, &at, width);
            for k in cells[..i].iter().enumerate().filter(|(_, other)| overlap(cell, other)).map(|(k, _)| k) {
                self.problem(&at, format!("the cell overlaps cell {k}"), "move it, or make one of the two smaller");
            }
        }
        for (field, name) in wanted {
            if !cells.iter().any(|c| c.field == *field) {
                let message = format!("no cell shows `{name}`, which every sheet must carry");
                self.problem(place, message, format!("add a cell with \"field\": \"{name}\""));
            }
        }
    }

    fn cell(&mut self, cell: &Cell, place: &str, width: f64) {
        let numbers = [cell.x, cell.y, cell.width, cell.height, cell.size];
        if numbers.iter().any(|n| !n.is_finite() || n.abs() > 1000.0) {
            self.problem(place, "a measure of the cell is out of range", "give millimetres on paper");
            return;
        }
        if cell.width < LEAST_CELL || cell.height < LEAST_CELL {
            let message = format!("a cell of {} × {} mm has no room for lettering", cell.width, cell.height);
            self.problem(place, message, format!("give at least {LEAST_CELL} mm each way"));
        }
        let (right, top) = (cell.x + cell.width, cell.y + cell.height);
        if cell.x < 0.0 || cell.y < 0.0 || right > width + ABUTTING || top > GREATEST_HEIGHT {
            let hint = format!("keep x from 0 to {width} and y from 0 to {GREATEST_HEIGHT}");
            self.problem(place, "the cell sticks out of the title block", hint);
        }
        if !(2.5..=10.0).contains(&cell.size) {
            let message = format!("lettering of {} mm is out of range", cell.size);
            self.problem(&format!("{place}/size"), message, "give 2.5 to 10");
        }
    }
}

/// Height of a block of cells: that of the highest cell's top, mm.
pub fn height_of(cells: &[Cell]) -> f64 {
    cells.iter().map(|c| c.y + c.height).fold(0.0, f64::max)
}

/// The built-in strip of further sheets, its cells drawn together or apart to a block's width; `None` never with the definition shipped.
fn usual_continuation(width: f64) -> Option<Vec<Cell>> {
    let plain: Typed = serde_json::from_str(PLAIN).ok()?;
    let share = width / plain.width;
    let fitted = plain.continuation.into_iter().map(|c| Cell { x: c.x * share, width: c.width * share, ..c });
    Some(fitted.collect())
}

/// Whether two cells share more than a border.
fn overlap(a: &Cell, b: &Cell) -> bool {
    let slack = SAME_PLACE;
    a.x + a.width > b.x + slack
        && b.x + b.width > a.x + slack
        && a.y + a.height > b.y + slack
        && b.y + b.height > a.y + slack
}
