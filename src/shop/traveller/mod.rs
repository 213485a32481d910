//! The shop traveller: the operations in order, each with what it must come to, what it takes off, its tool, machine file and sign-off.

mod template;

pub use template::{BUILT_IN, Entry, NAMES, Template};

use crate::certainty::Certainty;
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::quantity::{KG_PER_MM3, LengthUnit};
use crate::rules::Addressee;
use crate::section::SectionError;
use crate::report::cautions::cautions;
use crate::shop::inspection::RuleLimits;
use crate::shop::label::trace_code;
use crate::shop::operation::Operation;
use crate::shop::paper::{Align, Cell, Column, Flow, Format, Grid, Head};
use crate::shop::removal::{BlankSize, Removal, removed};
use crate::shop::speed::{marked_rpm, marked_speed, test_rpm};
use crate::shop::written::volume;
use crate::size::{Measure, Size};
use crate::wheel::{Blank, Job, Requirement, Written, designation};

/// A machine file that goes with the traveller.
#[derive(Debug, Clone, PartialEq)]
pub struct MachineFile {
    /// Its name.
    pub name: String,
    /// SHA-256 of its bytes, 64 hexadecimal digits.
    pub sha256: String,
    /// The operations it is for.
    pub operations: Vec<Operation>,
}

/// What a traveller is made from.
#[derive(Debug)]
pub struct Inputs<'a> {
    /// The order; what must not be worked to says so.
    pub dossier: &'a Dossier<'a>,
    /// The shop's operations and texts.
    pub template: &'a Template,
    /// The machine files.
    pub files: &'a [MachineFile],
    /// Why there are no machine files; empty where there are.
    pub no_files: &'a str,
}

/// One row of the traveller.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The operation; `None` for one of the shop's own.
    pub operation: Option<Operation>,
    /// Its heading.
    pub title: String,
    /// Sentences.
    pub text: Vec<String>,
    /// Sizes to come to, with their tolerances and the numbers of the drawing.
    pub targets: Vec<String>,
    /// What is taken off, mm³.
    pub removed: Option<f64>,
    /// The tool.
    pub tool: String,
    /// The machine files.
    pub files: Vec<MachineFile>,
}

/// The steps of an order, in the template's order; what the wheel does not need is left out.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn steps(inputs: &Inputs) -> Result<Vec<Step>, SectionError> {
    let job = &inputs.dossier.job;
    let requirements = job.requirements();
    let taken = taken(job)?;
    let words = Words::of(inputs);
    let needed = inputs.template.entries.iter().filter(|e| e.operation.is_none_or(|o| o.is_needed(job)));
    let step = |entry: &Entry| Step {
        operation: entry.operation,
        title: entry.title.clone(),
        text: entry.text.iter().map(|t| words.put(t)).collect(),
        targets: entry.operation.map_or(Vec::new(), |o| targets(job, &requirements, o)),
        removed: taken.iter().find(|r| Some(r.operation) == entry.operation).map(|r| r.volume),
        tool: words.put(&entry.tool),
        files: inputs
            .files
            .iter()
            .filter(|f| f.operations.iter().any(|o| Some(*o) == entry.operation))
            .cloned()
            .collect(),
    };
    Ok(needed.map(step).collect())
}

/// What every wheel after the first is measured for, in words, as far as this wheel has it.
fn others(inputs: &Inputs) -> String {
    let sizes: Vec<_> = inputs.dossier.job.requirements().iter().filter_map(|r| r.size.characteristic()).collect();
    let asked = inputs.template.other_wheels.iter().filter(|c| sizes.contains(c));
    asked.map(|c| c.key().replace('_', " ")).collect::<Vec<_>>().join(", ")
}

fn blank_size(job: &Job) -> Option<BlankSize> {
    let b = job.blank.as_ref()?;
    Some(BlankSize { outside_diameter: b.outside_diameter?, thickness: b.thickness?, bore: b.bore? })
}

fn taken(job: &Job) -> Result<Vec<Removal>, SectionError> {
    blank_size(job).map_or(Ok(Vec::new()), |size| removed(&job.wheel, size))
}

/// Sizes an operation must come to: `3 H Ø203,2 +0,13 / +0,03`; a general tolerance says that it is one: `1 D Ø660,4 (general ±0,5)`.
fn targets(job: &Job, requirements: &[Requirement], operation: Operation) -> Vec<String> {
    let written = Written::of(job);
    let one = |r: &Requirement| {
        let degrees = r.measure() == Measure::Angle;
        let general = r.general.map(|(deviation, _)| written.deviation(deviation, written.unit, degrees));
        let general = general.map_or_else(String::new, |t| format!(" (general {t})"));
        let tolerance = written.tolerance(r, written.unit).map_or(general, |t| format!(" {t}"));
        match r.size {
            Size::Parallelism => format!("parallel within {}", written.length(r.nominal)),
            Size::RunoutSide => format!("run-out of the sides {}", written.nominal(r, written.unit)),
            Size::RunoutFace => format!("run-out of the face {}", written.nominal(r, written.unit)),
            _ => format!("{} {}  {}{tolerance}", r.number, r.letter, written.nominal(r, written.unit)),
        }
    };
    requirements.iter().filter(|r| r.size.operation() == operation).map(one).collect()
}

/// What the names in a template's texts stand for.
struct Words(Vec<(&'static str, String)>);

impl Words {
    fn of(inputs: &Inputs) -> Words {
        let job = &inputs.dossier.job;
        let limits = RuleLimits::of(inputs.dossier);
        let blank = job.blank.clone().unwrap_or_default();
        let written = Written::of(job);
        let length = |mm: f64| written.measured(mm);
        let unknown = || "not stated".to_owned();
        let size = blank_size(job).map_or_else(unknown, |s| {
            let [d, t, h] = [s.outside_diameter, s.thickness, s.bore].map(|mm| written.length(mm));
            format!("{d} × {t} × {h} {}", job.units.symbol())
        });
        let rpm = |n: Option<u32>| n.map_or_else(unknown, |n| format!("{n} 1/min"));
        let tool = &job.tooling;
        let of_size =
            |parts: Vec<String>| if parts.is_empty() { String::new() } else { format!(" {}", parts.join(" × ")) };
        let cutter =
            [tool.groove_cutter_diameter.map(|d| format!("Ø{}", length(d))), tool.groove_cutter_width.map(length)];
        let unbalance = match &limits.permitted_unbalance {
            Certainty::Known(g) => format!("At most {} g at the periphery.", written.plain(*g, 1)),
            Certainty::Unknown(why) => format!("The limit is not known, since {why}: ask."),
            Certainty::DoesNotApply(why) => format!("No limit: {why}."),
        };
        Words(vec![
            ("blank_size", size),
            ("marking", blank.marking.unwrap_or_else(unknown)),
            ("lot", blank.lot.unwrap_or_else(|| "____________".to_owned())),
            ("marked_speed", marked_speed(job).map_or_else(unknown, |v| written.speed(v))),
            ("marked_rpm", rpm(marked_rpm(job))),
            ("test_rpm", rpm(test_rpm(job, limits.test_factor))),
            ("test_minutes", written.plain(limits.test_minutes, 2)),
            ("quantity", job.head.quantity.unwrap_or(1).to_string()),
            ("groove_cutter", of_size(cutter.into_iter().flatten().collect())),
            ("nose_radius", tool.profile_nose_radius.map_or(String::new(), |r| format!(", nose radius {}", length(r)))),
            ("permitted_unbalance", unbalance),
            ("other_wheels", others(inputs)),
            ("label_code", format!("{}-n-{}", job.file_stem(), job.fingerprint().short())),
        ])
    }

    fn put(&self, text: &str) -> String {
        // the blank's own texts may hold braces: each name is replaced once, from left to right
        let mut out = String::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('{') {
            let (name, behind) = after.split_once('}').unwrap_or((after, ""));
            out.push_str(before);
            out.push_str(self.0.iter().find(|(n, _)| *n == name).map_or("", |(_, words)| words));
            rest = behind;
        }
        out + rest
    }
}

/// The pages of the traveller.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn traveller(inputs: &Inputs) -> Result<Vec<Drawing>, SectionError> {
    let job = &inputs.dossier.job;
    let head = Head { foot: cautions(job), ..Head::stated(inputs.dossier, "Shop traveller") };
    let mut flow = Flow::new(head, Format::lying(job));
    flow.fields(&fields(job), 5);
    for note in &job.head.notes {
        flow.strong(&format!("Note: {note}"));
    }
    to_settle(inputs.dossier, &mut flow);
    if !inputs.no_files.is_empty() {
        flow.strong(&format!("Machine files: {}.", inputs.no_files));
    }
    let listed_below = if inputs.files.is_empty() { "" } else { " F1, F2 … are the machine files, listed at the end." };
    flow.paragraph(&format!(
        "Sizes to come to have the number of the inspection sheet and the letter of the drawing before them.{listed_below}"
    ));
    let steps = steps(inputs)?;
    flow.grid(&operations(job, inputs.files, &steps));
    listed(inputs.files, &mut flow);
    total(job, &steps, &mut flow);
    each_wheel(job, &mut flow);
    Ok(flow.finish())
}

/// The table of the operations.
fn operations(job: &Job, files: &[MachineFile], steps: &[Step]) -> Grid {
    let mut grid = Grid::new(vec![
        Column::new("No.", 1.0, Align::Right),
        Column::new("Operation", 6.4, Align::Left),
        Column::new("To come to", 5.8, Align::Left),
        Column::new("Stock removed", 2.3, Align::Right),
        Column::new("Tool and machine files", 4.6, Align::Left),
        Column::new("Done by", 2.1, Align::Left),
        Column::new("Date", 1.9, Align::Left),
        Column::new("Good", 1.3, Align::Left),
        Column::new("Scrap", 1.4, Align::Left),
    ]);
    grid.row_height = 9.0;
    grid.rows = steps.iter().enumerate().map(|(i, step)| row(job, files, i + 1, step)).collect();
    grid
}

/// The machine files by the short names they have beside their operations.
fn listed(files: &[MachineFile], flow: &mut Flow) {
    if files.is_empty() {
        return;
    }
    let mut grid = Grid::new(vec![
        Column::new("File", 1.0, Align::Left),
        Column::new("Name", 9.0, Align::Left),
        Column::new("SHA-256, first 16 digits", 4.0, Align::Left),
    ]);
    let row = |(i, file): (usize, &MachineFile)| {
        let digits = file.sha256.get(..16).unwrap_or(&file.sha256);
        vec![Cell::new(short(i)), Cell::new(&file.name), Cell::new(digits)]
    };
    grid.rows = files.iter().enumerate().map(row).collect();
    flow.heading("Machine files");
    flow.grid(&grid);
}

/// The short name of the file at this place in the list.
fn short(i: usize) -> String {
    format!("F{}", i + 1)
}

/// The questions to the shop, to be settled before the first cut.
fn to_settle(dossier: &Dossier, flow: &mut Flow) {
    let written = Written::of(&dossier.job);
    let mut asked = dossier.outcome.questions(Addressee::Shop).peekable();
    if asked.peek().is_some() {
        flow.strong("To settle before the first cut:");
    }
    asked.for_each(|f| flow.paragraph(&format!("[   ]  {}", written.sentence(&f.message))));
}

/// Most wheels that have a line of their own; more are a second traveller.
const MOST_LINES: u32 = 48;

/// A line for each wheel: its code, its own lot, and what is done to it alone.
fn each_wheel(job: &Job, flow: &mut Flow) {
    let quantity = job.head.quantity.unwrap_or(1);
    let of_lines = ["Ring test before", "Ring test after", "Speed test", "Balance, g", "Label", "Good", "Scrap", "Done by"];
    let mut columns = vec![Column::new("Wheel", 3.2, Align::Left), Column::new("Lot of its blank", 2.8, Align::Left)];
    columns.extend(of_lines.map(|head| Column::new(head, 2.0, Align::Left)));
    let mut grid = Grid::new(columns);
    grid.row_height = 7.0;
    let lot = job.blank.as_ref().and_then(|b| b.lot.clone());
    // several lots in one order: which wheel is of which is written down at the rack
    let lot = lot.filter(|lot| !lot.contains(','));
    grid.rows = (1..=quantity.min(MOST_LINES))
        .map(|n| {
            let code = trace_code(job, n);
            let mut row = vec![Cell::new(code), Cell::new(lot.clone().unwrap_or_default())];
            row.resize(2 + of_lines.len(), Cell::default());
            row
        })
        .collect();
    flow.heading("Each wheel");
    if quantity > MOST_LINES {
        flow.paragraph(&format!("The first {MOST_LINES} of {quantity} wheels."));
    }
    flow.grid(&grid);
}

fn fields(job: &Job) -> Vec<(&'static str, String)> {
    let text = |t: &Option<String>| t.clone().unwrap_or_else(|| "–".to_owned());
    let head = &job.head;
    let blank = job.blank.clone().unwrap_or_default();
    vec![
        ("Customer", text(&head.customer)),
        ("Item", text(&head.item)),
        ("Wheel", designation(job).text),
        ("Quantity", head.quantity.map_or("–".to_owned(), |n| n.to_string())),
        ("Blank", blank_words(&blank)),
        ("Lot", text(&blank.lot)),
        ("Due", text(&head.due)),
        ("Customer's order", text(&head.customer_order)),
        ("Date of the revision", text(&head.date)),
        ("Prepared by", text(&head.prepared_by)),
    ]
}

/// What the blank is and where it lies: `A 54 K 6 V · S-104, rack 2`.
fn blank_words(blank: &Blank) -> String {
    let from: Vec<&str> = [&blank.stock, &blank.place].into_iter().flatten().map(String::as_str).collect();
    let from = Some(from.join(", ")).filter(|from| !from.is_empty());
    let words: Vec<String> = [blank.marking.clone(), from].into_iter().flatten().collect();
    if words.is_empty() { "–".to_owned() } else { words.join(" · ") }
}

fn row(job: &Job, files: &[MachineFile], number: usize, step: &Step) -> Vec<Cell> {
    let mut operation = Cell::bold(&step.title);
    for sentence in &step.text {
        operation = operation.and(sentence);
    }
    let targets = step.targets.iter().fold(Cell::default(), |cell, t| cell.and(t));
    let its: Vec<String> =
        files.iter().enumerate().filter(|(_, file)| step.files.contains(file)).map(|(i, _)| short(i)).collect();
    let tool = Cell::new(&step.tool).and(its.join(", "));
    let is_cutting = step.operation.is_some_and(Operation::is_cutting);
    let taken = step.removed.map(|mm3| Written::of(job).sentence(&volume(mm3, job.units)));
    let stock = taken.unwrap_or_else(|| match (is_cutting, blank_size(job)) {
        (false, _) => String::new(),
        (true, None) => "blank not stated".to_owned(),
        (true, Some(_)) => "only what truing takes".to_owned(),
    });
    let mut row = vec![Cell::new(number.to_string()), operation, targets, Cell::new(stock), tool];
    row.resize(9, Cell::default());
    row
}

fn total(job: &Job, steps: &[Step], flow: &mut Flow) {
    let Some(size) = blank_size(job) else { return };
    let taken: f64 = steps.iter().filter_map(|s| s.removed).sum();
    let written = Written::of(job);
    let share = written.exact(100.0 * taken / size.volume(), 1);
    let mass = job.density().map_or(String::new(), |d| format!(", {} kg", written.exact(taken * d * KG_PER_MM3, 2)));
    let unit = match job.units {
        LengthUnit::Inch => "inches",
        LengthUnit::Millimetre => "millimetres",
    };
    flow.paragraph(&format!(
        "Stock removed from one wheel in all: {}{mass}, {share} % of the blank. Sizes in {unit}; the drawing decides.",
        written.sentence(&volume(taken, job.units))
    ));
}
