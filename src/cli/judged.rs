//! Judged measurements in rows, on the screen and as csv.

use super::Failure;
use crate::dossier::Dossier;
use crate::export::csv;
use crate::quantity::trimmed;
use crate::shop::inspection::{self, Judged, in_unit, unit_name};
use crate::wheel::Job;
use std::path::Path;

pub(super) fn is_csv(file: &Path) -> bool {
    file.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv"))
}

pub(super) fn as_csv(dossier: &Dossier, headings: &[&str], rows: Vec<Vec<String>>) -> Result<Vec<u8>, Failure> {
    csv::stated(&inspection::said(dossier), headings, rows).map_err(|e| Failure::new(e.to_string(), ""))
}

/// Headings of [`row`].
pub(super) const HEAD: [&str; 9] = ["No.", "characteristic", "place", "low", "high", "measured", "off", "", "verdict"];

pub(super) fn row(job: &Job, j: &Judged) -> Vec<String> {
    let value = |v: Option<f64>| v.map_or("–".to_owned(), |v| trimmed(in_unit(v, j.item.dimension, job.units), 4));
    let limits = j.item.limits();
    vec![
        j.item.number.to_string(),
        j.item.label.clone(),
        j.item.place.clone(),
        value(limits.map(|l| l.0)),
        value(limits.map(|l| l.1)),
        value(j.measured),
        value(j.off),
        unit_name(j.item.dimension, job.units).to_owned(),
        j.verdict.word().to_owned(),
    ]
}
