//! The sheet and the verdicts as rows of a csv file; numbers with a point, in the order's unit.

use super::items::{Extent, Item, general_limits, items};
use super::measured::{HEAD, SHORT};
use super::record::Field;
use super::verdict::{Inspection, Judged};
use super::{in_unit, unit_name};
use crate::dossier::Dossier;
use crate::quantity::{LengthUnit, trimmed};
use crate::wheel::Job;

/// Columns of the verdicts.
pub const VERDICT_COLUMNS: [&str; 11] =
    ["item", "place", "letter", "characteristic", "unit", "nominal", "low", "high", "measured", "off", "verdict"];

/// Digits after the point: a hundredth of what anyone measures, so that limits are not moved by rounding.
const DECIMALS: usize = 6;

fn number(value: f64, item: &Item, unit: LengthUnit) -> String {
    trimmed(in_unit(value, item.dimension, unit), DECIMALS)
}

/// `item` to `high`: what the sheet and the verdicts have in common.
fn common(item: &Item, unit: LengthUnit) -> Vec<String> {
    let limits = item.limits();
    let limit = |value: Option<f64>| value.map_or(String::new(), |v| number(v, item, unit));
    vec![
        item.number.to_string(),
        item.place.clone(),
        item.letter.clone(),
        item.label.clone(),
        unit_name(item.dimension, unit).to_owned(),
        number(item.nominal, item, unit),
        limit(limits.map(|l| l.0)),
        limit(limits.map(|l| l.1)),
    ]
}

/// A row of the head or the record: everything in the last column but its name, words and unit.
fn other(key: &str, label: &str, unit: &str, text: String) -> Vec<String> {
    let mut row = vec![key.to_owned(), String::new(), String::new(), label.to_owned(), unit.to_owned()];
    row.extend([String::new(), String::new(), String::new(), text]);
    row
}

fn head(job: &Job, sample: u32, is_short: bool) -> Vec<Vec<String>> {
    let [order, fingerprint, groove_sample] = HEAD;
    let [sheet, short] = SHORT;
    let mut rows = vec![
        other(order, "Order and revision", "", job.file_stem()),
        other(fingerprint, "Fingerprint of the order", "", job.fingerprint().full().to_owned()),
        other(groove_sample, "Grooves measured of each set", "", sample.to_string()),
    ];
    rows.extend(is_short.then(|| other(sheet, "Sheet", "", short.to_owned())));
    rows
}

/// What the head of a csv file says: the state of the order, and which limits come from a general tolerance.
pub fn said(dossier: &Dossier) -> Vec<String> {
    let mut lines = dossier.state().lines();
    lines.extend(general_limits(&dossier.job));
    lines
}

/// The sheet to fill in, under [`super::COLUMNS`]; of this wheel, where one is named by its trace code.
pub fn sheet_rows(job: &Job, extent: Extent, wheel: Option<&str>) -> Vec<Vec<String>> {
    let mut rows = head(job, extent.sample(), matches!(extent, Extent::Short(_)));
    let known = |f: Field| wheel.filter(|_| f == Field::Wheel).unwrap_or_default().to_owned();
    rows.extend(Field::of(extent).map(|f| other(f.key(), f.label(), f.unit(), known(f))));
    rows.extend(items(job, extent).iter().map(|item| {
        let mut row = common(item, job.units);
        row.push(String::new());
        row
    }));
    rows
}

/// The verdicts, under [`VERDICT_COLUMNS`].
pub fn verdict_rows(job: &Job, inspection: &Inspection) -> Vec<Vec<String>> {
    let mut rows = head(job, inspection.groove_sample, inspection.is_short);
    let first = inspection.is_short.then_some(Field::FirstWheel);
    rows.extend(Field::ALL.into_iter().chain(first).map(|f| other(f.key(), f.label(), f.unit(), inspection.record.shown(f))));
    for row in &mut rows {
        row.extend([String::new(), String::new()]);
    }
    rows.extend(inspection.judged.iter().map(|j| verdict_row(j, job.units)));
    let last = if inspection.is_passed() { "certificate" } else { "no certificate" };
    let mut row = other("result", "All together", "", inspection.refusals.join("; "));
    row.extend([String::new(), last.to_owned()]);
    rows.push(row);
    rows
}

fn verdict_row(judged: &Judged, unit: LengthUnit) -> Vec<String> {
    let value = |v: Option<f64>| v.map_or(String::new(), |v| number(v, &judged.item, unit));
    let mut row = common(&judged.item, unit);
    row.extend([value(judged.measured), value(judged.off), judged.verdict.word().to_owned()]);
    row
}
