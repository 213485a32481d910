//! `book --trace CODE -o FILE`: the complaint sheet, from the book, the order's file and the wheel's record, or its sheet among the records.

use super::clock::latest_day;
use super::judged::as_csv;
use super::{Desk, Failure, files, journal, paper};
use crate::book::{Complaint, Traced, complaint};
use crate::dossier::Dossier;
use crate::quantity::quoted;
use crate::shop::inspection::{self, Inspection, VERDICT_COLUMNS};
use crate::shop::label::trace_code;
use crate::shop::traveller::Template;
use std::fs;
use std::path::{Path, PathBuf};

/// Writes the sheet.
///
/// # Errors
/// Where no order's file is there for the wheel, or the sheet cannot be written.
pub fn write(output: &Path, folder: &Path, code: &str, traced: &Traced, desk: &Desk) -> Result<(), Failure> {
    let rules = desk.rules()?;
    let order = order_of(&folder.join("orders"), traced, desk)?;
    let dossier = desk.dossier(&order, &rules)?;
    let template = super::packing::traveller_template(None, desk)?;
    let mut sheets = Vec::new();
    inside(&folder.join("records"), DEEPEST, &mut sheets);
    let found = recorded(folder, code, &dossier, &template)
        .or_else(|| sheets.iter().find_map(|sheet| inspected(sheet, code, &dossier, &template)));
    let made = complaint(&Complaint { dossier: &dossier, asked: code, traced, inspection: found.as_ref() });
    paper::write(output, &made, desk).map(drop)
}

/// The file of the last order that the book names for it.
fn order_of(orders: &Path, traced: &Traced, desk: &Desk) -> Result<PathBuf, Failure> {
    let Some(stem) = traced.orders.last() else {
        return Err(Failure::new("the book names no order for it", "add a line with --order"));
    };
    let mut files = Vec::new();
    inside(orders, 1, &mut files);
    let is_it = |file: &PathBuf| {
        file.extension().is_some_and(|e| e == "json") && desk.job(file).is_ok_and(|job| job.file_stem() == *stem)
    };
    files.into_iter().find(is_it).ok_or_else(|| {
        let hint = "put the order's file back into orders/, or trace without -o";
        Failure::new(format!("there is no file of the order {}", quoted(stem)), hint)
    })
}

/// Folders in folders that are looked into.
const DEEPEST: u32 = 3;

/// The files of a folder and of those in it, in the order of their names.
fn inside(folder: &Path, deep: u32, into: &mut Vec<PathBuf>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    let mut paths: Vec<PathBuf> = entries.filter_map(|e| Some(e.ok()?.path())).collect();
    paths.sort();
    for path in paths {
        match path.is_dir() {
            true if deep > 1 => inside(&path, deep - 1, into),
            true => {}
            false => into.push(path),
        }
    }
}

/// The last inspection that the wheel's record holds.
fn recorded(folder: &Path, code: &str, dossier: &Dossier, template: &Template) -> Option<Inspection> {
    let record = journal::record_of(folder, code).ok()?;
    let rows = record.entries.iter().rev().find_map(|e| e.event.found.as_ref()?.get("rows").cloned())?;
    let rows: Vec<Vec<String>> = serde_json::from_value(rows).ok()?;
    judged(&as_csv(dossier, &VERDICT_COLUMNS, rows).ok()?, code, dossier, template)
}

/// The inspection of the wheel, where the file is its filled-in sheet.
fn inspected(file: &Path, code: &str, dossier: &Dossier, template: &Template) -> Option<Inspection> {
    file.extension().filter(|e| e.eq_ignore_ascii_case("csv"))?;
    judged(&files::read(file, files::LONGEST_TEXT).ok()?, code, dossier, template)
}

fn judged(bytes: &[u8], code: &str, dossier: &Dossier, template: &Template) -> Option<Inspection> {
    let measured = inspection::read(bytes, &dossier.job, &template.other_wheels).ok()?;
    let inspection = inspection::judge(dossier, measured, latest_day());
    let wheel = inspection.wheel?;
    (trace_code(&dossier.job, wheel) == code).then_some(inspection)
}
