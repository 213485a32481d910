//! The complaint sheet: what a wheel was to be, what was measured on it, what it does on the customer's machine, and what the book says of it and its lot.

use super::Traced;
use crate::certainty::Certainty;
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::quantity::Written;
use crate::report::cautions::cautions;
use crate::shop::inspection::{Inspection, RuleLimits};
use crate::shop::paper::{Align, Cell, Column, Flow, Format, Grid, Head};
use crate::shop::speed::{marked_rpm, marked_speed};
use crate::size::{GrooveSet, Size};
use crate::wheel::{Characteristic, Job, designation};
use std::f64::consts::TAU;

/// What a complaint is answered from.
#[derive(Debug)]
pub struct Complaint<'a> {
    /// The order as its file is now.
    pub dossier: &'a Dossier<'a>,
    /// Trace code or lot that was asked for.
    pub asked: &'a str,
    /// What the book knows.
    pub traced: &'a Traced<'a>,
    /// The wheel's inspection, where its sheet is among the records.
    pub inspection: Option<&'a Inspection>,
}

/// One line of the sheet: what, what was ordered or permitted, what was found.
type Line = [String; 3];

/// The pages.
pub fn complaint(c: &Complaint) -> Vec<Drawing> {
    let job = &c.dossier.job;
    let head = Head { foot: cautions(job), ..Head::stated(c.dossier, "Complaint sheet") };
    let mut flow = Flow::new(head, Format::upright(job));
    flow.fields(&fields(c), 3);
    if let Some(print) = other_print(c) {
        flow.strong(&format!("The book's lines are of another state of the order, fingerprint {print}: compare it before you answer."));
    }
    flow.heading("What may be behind it");
    flow.grid(&table(&lines(c)));
    flow.heading("What the book says");
    flow.grid(&events(c.traced));
    flow.heading("Found");
    flow.fields(&["Complaint of the customer", "Seen by us", "Answered by", "Date"].map(|label| (label, String::new())), 2);
    flow.finish()
}

fn fields(c: &Complaint) -> Vec<(&'static str, String)> {
    let job = &c.dossier.job;
    let text = |t: &Option<String>| t.clone().unwrap_or_else(|| "–".to_owned());
    let blank = job.blank.clone().unwrap_or_default();
    let speed = match (marked_speed(job), marked_rpm(job)) {
        (Some(v), Some(rpm)) => format!("{} = {rpm} 1/min", Written::of(job).speed(v)),
        _ => "not known".to_owned(),
    };
    vec![
        ("Asked for", c.asked.to_owned()),
        ("Order and revision", job.file_stem()),
        ("Customer", text(&job.head.customer)),
        ("Wheel", designation(job).text),
        ("Specification mark", text(&blank.marking)),
        ("Lot of the blank", text(&blank.lot)),
        ("Maximum operating speed", speed),
        ("Machine", text(&job.machine.name)),
        ("Wheels of the same lot or order", c.traced.wheels.join(", ")),
    ]
}

/// The fingerprint the book knows, where the order's file is another by now.
fn other_print(c: &Complaint) -> Option<String> {
    let now = c.dossier.job.fingerprint();
    let last = c.traced.entries.iter().rev().find_map(|e| e.event.fingerprint.clone())?;
    (last != now.full()).then(|| last.chars().take(8).collect())
}

fn lines(c: &Complaint) -> Vec<Line> {
    let job = &c.dossier.job;
    let mut lines = vec![clearance(c)];
    lines.extend(unbalance(c));
    lines.extend(GrooveSet::ALL.into_iter().filter_map(|set| frequency(job, set)));
    lines.extend(job.machine.natural_frequencies_hz.iter().map(|hz| {
        ["Natural frequency of the machine".to_owned(), String::new(), format!("{} Hz", Written::of(job).plain(*hz, 1))]
    }));
    lines
}

/// Clearance of the bore on the largest spindle that the shop's rules know.
fn clearance(c: &Complaint) -> Line {
    let job = &c.dossier.job;
    let written = Written::of(job);
    let spindle = job.wheel.bore + c.dossier.shop.limits().spindle_upper_deviation;
    let show = |mm: f64| written.measured(mm);
    let ordered = match job.tolerances.get(Characteristic::Bore) {
        Some(d) => {
            let [least, most] = [d.lower, d.upper].map(|off| show(job.wheel.bore + off - spindle));
            format!("{least} to {most} over a spindle of {}", show(spindle))
        }
        None => "no tolerance of the bore was agreed".to_owned(),
    };
    let bore = c.inspection.and_then(|i| i.judged.iter().find(|j| j.item.requirement.size == Size::Bore)?.measured);
    let found = bore.map_or_else(not_recorded, |mm| format!("bore {}, clearance {}", show(mm), show(mm - spindle)));
    ["Clearance of the bore".to_owned(), ordered, found]
}

fn not_recorded() -> String {
    "no sheet among the records".to_owned()
}

/// Static unbalance, and the force it makes at the machine's speed: m·r·ω².
fn unbalance(c: &Complaint) -> Vec<Line> {
    let job = &c.dossier.job;
    let written = Written::of(job);
    let grams = |g: f64| format!("{} g at the periphery", written.plain(g, 1));
    let permitted = RuleLimits::of(c.dossier).permitted_unbalance;
    let most = permitted.known().copied();
    let words = match &permitted {
        Certainty::Known(g) => format!("at most {}", grams(*g)),
        Certainty::Unknown(why) | Certainty::DoesNotApply(why) => why.to_string(),
    };
    let reading = c.inspection.and_then(|i| i.record.balance_reading);
    let mut lines = vec![["Unbalance".to_owned(), words, reading.map_or_else(not_recorded, grams)]];
    if let Some(rpm) = job.machine.spindle_rpm {
        let force = |g: f64| {
            let newton = g / 1000.0 * (job.wheel.outside_radius() / 1000.0) * (TAU * rpm / 60.0).powi(2);
            format!("{} N", written.plain(newton, 1))
        };
        let at = format!("Its force at {} 1/min", written.plain(rpm, 1));
        lines.push([at, most.map_or_else(|| "–".to_owned(), force), reading.map_or_else(|| "–".to_owned(), force)]);
    }
    lines
}

/// How often the grooves of a set pass the work at the machine's speed.
fn frequency(job: &Job, set: GrooveSet) -> Option<Line> {
    let pattern = job.wheel.pattern(set)?;
    let hertz = job.machine.spindle_rpm.map(|rpm| f64::from(pattern.places) * rpm / 60.0);
    let found = hertz.map_or_else(|| "the spindle's rpm is not known".to_owned(), |hz| format!("{} Hz", Written::of(job).plain(hz, 1)));
    Some([format!("Grooves of {}: how often they pass the work", set.words()), format!("{} places", pattern.places), found])
}

fn table(lines: &[Line]) -> Grid {
    let mut grid = Grid::new(vec![
        Column::new("", 4.0, Align::Left),
        Column::new("Ordered or permitted", 4.5, Align::Left),
        Column::new("Found", 4.5, Align::Left),
    ]);
    grid.rows = lines.iter().map(|line| line.iter().map(Cell::new).collect()).collect();
    grid
}

fn events(traced: &Traced) -> Grid {
    let mut grid = Grid::new(vec![
        Column::new("Line", 1.0, Align::Right),
        Column::new("When", 3.2, Align::Left),
        Column::new("What", 2.0, Align::Left),
        Column::new("Wheel", 3.6, Align::Left),
        Column::new("By", 2.2, Align::Left),
        Column::new("Lot", 2.0, Align::Left),
        Column::new("Result, note", 3.0, Align::Left),
    ]);
    let row = |entry: &&super::Entry| {
        let event = &entry.event;
        let text = |t: &Option<String>| t.clone().unwrap_or_default();
        let result = event.passed.map(|passed| if passed { "passed" } else { "FAILED" }.to_owned());
        let more: Vec<String> = result.into_iter().chain(event.note.clone()).collect();
        let cells = [
            entry.line.to_string(),
            event.time.to_string(),
            event.event.word().to_owned(),
            text(&event.wheel),
            event.by.clone(),
            text(&event.lot),
            more.join("; "),
        ];
        cells.into_iter().map(Cell::new).collect()
    };
    grid.rows = traced.entries.iter().map(row).collect();
    grid
}
