//! The inspection sheet to fill in by hand, and the certificate.

use super::items::{Dimension, Extent, Item, general_limits, items};
use super::record::Field;
use super::verdict::{Inspection, Judged, Verdict};
use crate::certainty::Certainty;
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::quantity::{Notation, trimmed};
use crate::report::cautions::cautions;
use crate::shop::label::trace_code;
use crate::shop::paper::{Align, Cell, Column, Flow, Format, Grid, Head};
use crate::shop::speed::{marked_rpm, marked_speed};
use crate::wheel::{Job, Requirement, Written, designation};

/// Height of a row to write in, mm.
const WRITE: f64 = 6.5;

/// A value of an item as paper writes it.
fn shown(value: f64, item: &Item, written: &Written) -> String {
    match item.dimension {
        Dimension::Length => written.length(value),
        Dimension::Angle => written.angle(value),
        Dimension::Count => trimmed(value, 0),
    }
}

/// `Ø26`, `2°`, `180`, with the deviation where there is one.
fn required(item: &Item, written: &Written) -> String {
    // each place is a row of its own: no `2×`
    let requirement = Requirement { places: 1, ..item.requirement.clone() };
    let nominal = written.nominal(&requirement, written.unit);
    match written.tolerance(&requirement, written.unit) {
        Some(tolerance) => format!("{nominal} {tolerance}"),
        None => nominal,
    }
}

/// Both limits with equal decimals; dashes without a tolerance.
fn limits(item: &Item, written: &Written) -> [String; 2] {
    let Some((low, high)) = item.limits() else { return ["–", "–"].map(str::to_owned) };
    let both = [low, high].map(|v| shown(v, item, written));
    let digits = |text: &String| text.trim_end_matches('°').split_once(['.', ',']).map_or(0, |(_, d)| d.len());
    let most = both.iter().map(digits).max().unwrap_or(0);
    let sign = if written.notation == Notation::Iso { "," } else { "." };
    both.map(|text| {
        let (number, degree) = text.strip_suffix('°').map_or((text.as_str(), ""), |n| (n, "°"));
        let zeros = "0".repeat(most - digits(&text));
        let point = if digits(&text) == 0 && most > 0 { sign } else { "" };
        format!("{number}{point}{zeros}{degree}")
    })
}

/// The column whose texts may break: the others are as wide as theirs.
pub(super) const CHARACTERISTIC: usize = 2;

pub(super) fn columns(last: &[(&str, f64)]) -> Vec<Column> {
    let mut columns = vec![
        Column::new("No.", 1.2, Align::Right),
        Column::new("Letter", 1.8, Align::Left),
        Column::new("Characteristic", 4.9, Align::Left),
        Column::new("Place", 2.7, Align::Left),
        Column::new("Required", 3.65, Align::Left),
        Column::new("Low", 1.65, Align::Right),
        Column::new("High", 1.65, Align::Right),
    ];
    columns.extend(last.iter().map(|(label, share)| Column::new(*label, *share, Align::Right)));
    columns
}

pub(super) fn first_cells(item: &Item, written: &Written) -> Vec<Cell> {
    let [low, high] = limits(item, written);
    vec![
        Cell::new(item.number.to_string()),
        Cell::new(&item.letter),
        Cell::new(&item.label),
        Cell::new(&item.place),
        Cell::new(required(item, written)),
        Cell::new(low),
        Cell::new(high),
    ]
}

pub(super) fn unit_note(job: &Job) -> String {
    let name = match job.units {
        crate::quantity::LengthUnit::Inch => "inches",
        crate::quantity::LengthUnit::Millimetre => "millimetres",
    };
    format!("Lengths in {name}, angles in degrees. Letters are those of the drawing, numbers those of the traveller.")
}

fn order_fields(job: &Job) -> Vec<(&'static str, String)> {
    let text = |t: &Option<String>| t.clone().unwrap_or_else(|| "–".to_owned());
    let blank = job.blank.clone().unwrap_or_default();
    vec![
        ("Order and revision", job.file_stem()),
        ("Customer", text(&job.head.customer)),
        ("Item", text(&job.head.item)),
        ("Wheel", designation(job).text),
        ("Specification mark", text(&blank.marking)),
        ("Lot of the blank", text(&blank.lot)),
    ]
}

/// The sheet to fill in by hand; of this wheel, where one is named by its trace code.
pub fn sheet(dossier: &Dossier, extent: Extent, wheel: Option<&str>) -> Vec<Drawing> {
    let job = &dossier.job;
    let written = Written::of(job);
    let title = match extent {
        Extent::Whole(_) => "Inspection sheet",
        Extent::Short(_) => "Short inspection sheet",
    };
    let head = Head { foot: cautions(job), ..Head::stated(dossier, title) };
    let mut flow = Flow::new(head, Format::lying(job));
    flow.fields(&order_fields(job), 3);
    flow.paragraph(&unit_note(job));
    flow.paragraph(&what_is_measured(extent));
    general_limits(job).iter().for_each(|sentence| flow.paragraph(sentence));
    let known = |f: Field| wheel.filter(|_| f == Field::Wheel).unwrap_or_default().to_owned();
    let fields: Vec<(String, String)> = Field::of(extent).map(|f| (label_with_unit(f), known(f))).collect();
    flow.fields(&fields.iter().map(|(label, text)| (label.as_str(), text.clone())).collect::<Vec<_>>(), 2);
    let mut grid = Grid { row_height: WRITE, ..Grid::new(columns(&[("Measured", 2.75), ("Verdict", 2.2)])) };
    grid.rows = items(job, extent)
        .iter()
        .map(|item| first_cells(item, &written).into_iter().chain([Cell::default(), Cell::default()]).collect())
        .collect();
    let width = flow.width();
    flow.grid(&grid.fitted(width, CHARACTERISTIC));
    flow.finish()
}

fn what_is_measured(extent: Extent) -> String {
    match extent {
        Extent::Whole(sample) => format!(
            "Of each set of grooves {sample} are measured, evenly spread, counted from groove 1 at the first angle of the index table; pitch: the \
             largest and the smallest angle between neighbours."
        ),
        Extent::Short(_) => "For a wheel after the first, which was measured whole: what the traveller asks of every wheel, of each set of \
            grooves groove 1 of the index table."
            .to_owned(),
    }
}

fn label_with_unit(field: Field) -> String {
    match field.unit() {
        "" => field.label().to_owned(),
        unit => format!("{} [{unit}]", field.label()),
    }
}

/// The certificate of a wheel that passed, with what else there is to say of it; `None` where it did not: then there is none.
pub fn certificate(dossier: &Dossier, inspection: &Inspection, more: impl FnOnce(&mut Flow)) -> Option<Vec<Drawing>> {
    if !inspection.is_passed() {
        return None;
    }
    let job = &dossier.job;
    let written = Written::of(job);
    let head = Head { foot: cautions(job), ..Head::stated(dossier, "Inspection certificate") };
    let mut flow = Flow::new(head, Format::upright(job));
    let record = &inspection.record;
    let text = |t: &Option<String>| t.clone().unwrap_or_default();
    let of = job.head.quantity.unwrap_or(1);
    let mut fields = vec![
        ("Certificate number", inspection.certificate.clone().unwrap_or_default()),
        ("Wheel", inspection.wheel.map_or(String::new(), |n| format!("{n} of {of}"))),
    ];
    fields.extend(order_fields(job));
    fields.push(("Maximum operating speed", speed(job, &written)));
    fields.push(("Fingerprint of the order", job.fingerprint().full().to_owned()));
    flow.fields(&fields, 3);
    flow.strong(&statement(job, inspection));
    flow.heading("Tests");
    flow.grid(&tests(inspection, &written));
    for off in &inspection.switched_off {
        flow.paragraph(&format!(
            "Rule switched off by the shop: {} ({}). The limits above hold all the same.",
            off.rule, off.why
        ));
    }
    flow.heading("Worst measurement of each characteristic with a tolerance");
    let width = flow.width();
    flow.grid(&worst(inspection, &written).fitted(width, CHARACTERISTIC));
    flow.heading("All measurements");
    flow.paragraph(&unit_note(job));
    general_limits(job).iter().for_each(|sentence| flow.paragraph(sentence));
    flow.grid(&all(inspection, &written).fitted(width, CHARACTERISTIC));
    more(&mut flow);
    flow.need(30.0);
    flow.fields(
        &[
            ("Altered by", or_line(record.shown(Field::AlteredBy))),
            ("Altered on", or_line(record.shown(Field::AlteredOn))),
            ("Speed-tested on", or_line(record.shown(Field::SpeedTestOn))),
            ("Inspected by", text(&record.inspected_by)),
            ("Inspected on", record.shown(Field::InspectedOn)),
            ("Signature", String::new()),
        ],
        3,
    );
    Some(flow.finish())
}

/// A line to write on where nothing stands.
fn or_line(text: String) -> String {
    if text.is_empty() { "____________".to_owned() } else { text }
}

fn speed(job: &Job, written: &Written) -> String {
    match (marked_speed(job), marked_rpm(job)) {
        (Some(v), Some(rpm)) => format!("{} = {rpm} 1/min", written.speed(v)),
        _ => "not known".to_owned(),
    }
}

fn statement(job: &Job, inspection: &Inspection) -> String {
    let count = |v: Verdict| inspection.judged.iter().filter(|j| j.verdict == v).count();
    let (passed, recorded) = (count(Verdict::Pass), count(Verdict::Recorded));
    let mut text = format!(
        "The wheel named above was measured against order {} in the state of this fingerprint: {passed} measurements are within their limits",
        job.file_stem()
    );
    if recorded > 0 {
        text += &format!("; {recorded} have no tolerance in the order and are written down without a verdict");
    }
    if let Some(first) = inspection.first_wheel.filter(|_| inspection.is_short) {
        let first = trace_code(job, first);
        text += &format!("; all other sizes were measured on the first wheel of the order, {first}");
    }
    text + ". It rang clear before and after altering and passed the speed test recorded below."
}

fn tests(inspection: &Inspection, written: &Written) -> Grid {
    let record = &inspection.record;
    let mut grid = Grid::new(vec![
        Column::new("Test", 2.7, Align::Left),
        Column::new("Required", 3.7, Align::Left),
        Column::new("Found", 4.0, Align::Left),
    ]);
    let mut row = |what: &str, required: String, found: String| {
        grid.rows.push(vec![Cell::new(what), Cell::new(required), Cell::new(found)]);
    };
    row("Ring test of the blank", "clear".to_owned(), record.shown(Field::RingTestBefore));
    row("Ring test after altering", "clear".to_owned(), record.shown(Field::RingTestAfter));
    let amount = |f: Field| written.sentence(&record.shown(f));
    let needed = inspection.test_rpm.map_or("–".to_owned(), |n| format!("at least {n} 1/min"));
    let run = format!(
        "{}: {} 1/min for {} min, run by {} on {}",
        record.shown(Field::SpeedTestResult),
        amount(Field::SpeedTestRpm),
        amount(Field::SpeedTestMinutes),
        record.shown(Field::SpeedTestTester),
        or_line(record.shown(Field::SpeedTestOn))
    );
    row("Speed test", needed, run);
    let most = match &inspection.permitted_unbalance {
        Certainty::Known(g) => format!("at most {} g at the periphery", written.plain(*g, 1)),
        Certainty::Unknown(why) => format!("not known: {why}"),
        Certainty::DoesNotApply(why) => format!("no limit: {why}"),
    };
    row("Balance", most, format!("{} g at the periphery", amount(Field::BalanceReading)));
    grid
}

fn worst(inspection: &Inspection, written: &Written) -> Grid {
    let mut grid = Grid::new(columns(&[("Measured", 2.8), ("Used", 1.6)]));
    grid.rows = inspection
        .worst()
        .into_iter()
        .map(|j| {
            let used = j.used.map_or("–".to_owned(), |u| format!("{} %", trimmed(100.0 * u, 0)));
            first_cells(&j.item, written).into_iter().chain([measured(j, written), Cell::new(used)]).collect()
        })
        .collect();
    grid
}

pub(super) fn measured(judged: &Judged, written: &Written) -> Cell {
    Cell::new(judged.measured.map_or("–".to_owned(), |v| shown(v, &judged.item, written)))
}

fn all(inspection: &Inspection, written: &Written) -> Grid {
    let mut grid = Grid::new(columns(&[("Measured", 2.8), ("Verdict", 2.4)]));
    let row = |j: &Judged| {
        let last = [measured(j, written), Cell::new(j.verdict.word())];
        // many rows, each on one line
        first_cells(&j.item, written).into_iter().chain(last).map(Cell::in_small_print).collect()
    };
    grid.rows = inspection.judged.iter().map(row).collect();
    grid
}
