//! `inspect`: the numbered sheet to fill in; what the measurements say; the certificate.

use super::clock::latest_day;
use super::failure::shown;
pub use super::inspect_asked::Args;
use super::judged::{HEAD, as_csv, is_csv, row};
use super::palette::Palette;
use super::packing::traveller_template;
use super::table::aligned_after;
use super::{Desk, Done, Failure, Outcome, filed, files, journal, paper, premises, probe};
use crate::book::{self, Event, FileHash, Kind};
use crate::certainty::Certainty;
use crate::dossier::Dossier;
use crate::quantity::trimmed;
use crate::shop::inspection::{self, COLUMNS, Extent, Field, Inspection, Judged, TestResult, VERDICT_COLUMNS, Verdict};
use crate::shop::inspection::profile::{Profile, part};
use crate::shop::label::trace_code;
use crate::shop::paper::Flow;
use crate::shop::traveller::Template;
use crate::wheel::Job;
use serde_json::{Map, Value, json};
use std::path::{Path, PathBuf};

/// Writes the sheet, or judges the measurements.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let dossier = desk.dossier(&args.order, &rules)?;
    let template = traveller_template(args.traveller.as_ref(), desk)?;
    match &args.measured {
        None if args.profile.is_some() => probe::run(args, &dossier, desk),
        None => sheet(args, &dossier, &template, desk),
        Some(measured) => judge(args, &dossier, &template, measured, desk),
    }
}

fn sheet(args: &Args, dossier: &Dossier, template: &Template, desk: &Desk) -> Done {
    let job = &dossier.job;
    let ordered = job.head.quantity.unwrap_or(1);
    if let Some(n) = args.wheel.filter(|n| *n > ordered) {
        return Err(Failure::new(format!("--wheel {n}: the order is for {ordered}"), format!("give 1 to {ordered}")));
    }
    let extent = match args.wheel {
        Some(2..) if !args.whole => Extent::Short(&template.other_wheels),
        _ => Extent::Whole(args.sample),
    };
    let wheel = args.wheel.map(|n| trace_code(job, n));
    let rows = inspection::sheet_rows(job, extent, wheel.as_deref());
    if let Some(file) = args.output.as_deref().filter(|file| is_filled_in(file)) {
        let message = format!("{} is a sheet that somebody has filled in; nothing was written", shown(file));
        return Err(Failure::new(message, "name another file with -o, or move the sheet away"));
    }
    let made = match &args.output {
        None if desk.is_json() => {
            let print = job.fingerprint().full().to_owned();
            desk.print_json(&json!({ "format": 1, "fingerprint": print, "columns": COLUMNS, "rows": rows }))?;
            return Ok(if dossier.is_stopped() { Outcome::Stopped } else { Outcome::Made });
        }
        None => {
            desk.print(&String::from_utf8_lossy(&as_csv(dossier, &COLUMNS, rows)?))?;
            Vec::new()
        }
        Some(file) if is_csv(file) => {
            files::write(file, &as_csv(dossier, &COLUMNS, rows)?)?;
            desk.remark(&files::written([file]));
            let made = vec![file.clone()];
            filed::enter(&made, None)?;
            made
        }
        Some(file) => paper::write(file, &inspection::sheet(dossier, extent, wheel.as_deref()), desk)?,
    };
    paper::finish(dossier, &made, desk)
}

/// Whether a file is a sheet with measurements in it.
fn is_filled_in(file: &Path) -> bool {
    is_csv(file) && files::read(file, files::LONGEST_TEXT).is_ok_and(|bytes| inspection::is_filled_in(&bytes))
}

fn judge(args: &Args, dossier: &Dossier, template: &Template, file: &Path, desk: &Desk) -> Done {
    let job = &dossier.job;
    let read = inspection::read(&desk.bytes(file)?, job, &template.other_wheels);
    let measured = read.map_err(|e| Failure::new(format!("{}: {}", shown(file), e.message), e.hint))?;
    let mut inspection = inspection::judge(dossier, measured, latest_day());
    let profile = args.profile.as_ref().map(|points| probe::profile(args, points, dossier, desk)).transpose()?;
    profile.iter().flat_map(|p| p.refusals()).for_each(|why| inspection.refuse(why));
    if let Some(why) = unproved_first(job, &inspection, desk)? {
        inspection.refuse(why);
    }
    let mut files: Vec<PathBuf> = [Some(file), args.profile.as_deref()].into_iter().flatten().map(Path::to_owned).collect();
    if let Some(output) = &args.output {
        files.extend(write(output, dossier, &inspection, profile.as_ref(), desk)?);
    }
    filed::enter(&files, Some("inspection"))?;
    desk.enter(|| entries(job, &inspection, premises::hashes(&files)?))?;
    if desk.is_json() {
        let mut told = json(job, &inspection);
        if let Some(profile) = &profile {
            told["profile"] = probe::as_json(profile);
        }
        desk.print_json(&told)?;
    } else {
        let section = profile.as_ref().map_or_else(String::new, |p| probe::text(job, p, desk.palette()) + "\n");
        desk.print(&(section + &text(job, &inspection, &shown(file), desk.palette())))?;
    }
    Ok(if inspection.is_passed() { Outcome::Made } else { Outcome::Stopped })
}

/// What the book says of a measurement by a short sheet: no other wheel can lean on it.
const SHORT: &str = "short sheet";

/// In a shop's folder: what speaks against the wheel that a short sheet leans on, by the book.
fn unproved_first(job: &Job, inspection: &Inspection, desk: &Desk) -> Result<Option<String>, Failure> {
    let (Some(shop), Some(first)) = (desk.premises()?, inspection.first_wheel.filter(|_| inspection.is_short)) else {
        return Ok(None);
    };
    let book = journal::read(&shop.folder.join(book::NAME))?;
    let code = trace_code(job, first);
    let measured = |e: &&book::Entry| {
        let event = &e.event;
        event.event == Kind::Measured && event.wheel.as_ref() == Some(&code) && event.note.as_deref() != Some(SHORT)
    };
    let last = book.entries.iter().rev().find(measured).and_then(|e| e.event.passed);
    Ok(match last {
        Some(true) => None,
        Some(false) => Some(format!("the first wheel, {code}, did not pass its own inspection, says the book")),
        None => Some(format!("the book knows no inspection of the first wheel, {code}: measure it whole first")),
    })
}

/// What the sheet says was done to the wheel; nothing where it names none of the order's.
fn entries(job: &Job, inspection: &Inspection, files: Vec<FileHash>) -> Result<Vec<Event>, Failure> {
    let (Some(wheel), record) = (inspection.wheel, &inspection.record) else { return Ok(Vec::new()) };
    let is_good = |j: &Judged| matches!(j.verdict, Verdict::Pass | Verdict::Recorded);
    let tested = record.speed_test_result.map(|result| {
        let fast = inspection.test_rpm.zip(record.speed_test_rpm).is_some_and(|(n, ran)| ran >= f64::from(n));
        let long = record.speed_test_minutes.is_some_and(|ran| ran >= inspection.test_minutes);
        result == TestResult::Passed && fast && long
    });
    let balanced = record.balance_reading.map(|g| matches!(inspection.permitted_unbalance, Certainty::Known(most) if g <= most));
    let done = [
        (Kind::Measured, Some(inspection.judged.iter().all(is_good)), record.inspected_by.as_deref()),
        (Kind::Tested, tested, record.speed_test_tester.as_deref()),
        (Kind::Balanced, balanced, record.inspected_by.as_deref()),
    ];
    let said = done.into_iter().filter(|(_, passed, _)| passed.is_some());
    let note = |kind| (kind == Kind::Measured && inspection.is_short).then(|| SHORT.to_owned());
    let event = |(kind, passed, by)| {
        let (files, found) = (if kind == Kind::Measured { files.clone() } else { Vec::new() }, Some(found(kind, job, inspection)));
        Ok(Event { passed, note: note(kind), files, found, ..premises::of_wheel(kind, job, wheel, by)? })
    };
    said.map(event).collect()
}

/// What the wheel's record holds of an event, all of it texts: every row of the sheet with its verdict, or the test with what it had to reach.
fn found(kind: Kind, job: &Job, inspection: &Inspection) -> Value {
    let mut out = Map::new();
    let mut say = |fields: &[Field]| out.extend(fields.iter().map(|f| (f.key().to_owned(), Value::from(inspection.record.shown(*f)))));
    let asked = match kind {
        Kind::Tested => {
            say(&[Field::SpeedTestRpm, Field::SpeedTestMinutes, Field::SpeedTestTester, Field::SpeedTestOn, Field::SpeedTestResult]);
            json!({ "least_rpm": inspection.test_rpm.map(|n| n.to_string()), "least_minutes": trimmed(inspection.test_minutes, 2) })
        }
        Kind::Balanced => {
            say(&[Field::BalanceReading]);
            json!({ "most": inspection.permitted_unbalance.known().map(|g| trimmed(*g, 3)) })
        }
        _ => {
            say(&[Field::InspectedBy, Field::InspectedOn, Field::RingTestBefore, Field::RingTestAfter]);
            let blank = job.blank.clone().unwrap_or_default();
            json!({
                "blank": blank.marking, "lot": blank.lot, "stock": blank.stock, "maker": blank.maker,
                "certificate": inspection.certificate, "refusals": inspection.refusals,
                "columns": VERDICT_COLUMNS, "rows": inspection::verdict_rows(job, inspection),
            })
        }
    };
    if let Value::Object(asked) = asked {
        out.extend(asked);
    }
    Value::Object(out)
}

/// The verdicts as csv, or the certificate, which a wheel that has not passed does not get; the files that were made.
fn write(output: &Path, dossier: &Dossier, inspection: &Inspection, profile: Option<&Profile>, desk: &Desk) -> Result<Vec<PathBuf>, Failure> {
    if is_csv(output) {
        files::write(output, &as_csv(dossier, &VERDICT_COLUMNS, inspection::verdict_rows(&dossier.job, inspection))?)?;
        desk.remark(&files::written([&output.to_owned()]));
        return Ok(vec![output.to_owned()]);
    }
    let section = |flow: &mut Flow| profile.into_iter().for_each(|p| part(&dossier.job, p, flow));
    match inspection::certificate(dossier, inspection, section) {
        Some(sheets) => paper::write(output, &sheets, desk),
        None => {
            desk.remark(&format!(
                "No certificate: {} was not written. A .csv takes the verdicts as they are.",
                shown(output)
            ));
            Ok(Vec::new())
        }
    }
}

fn json(job: &Job, inspection: &Inspection) -> Value {
    let mut out = Map::new();
    out.insert("format".into(), Value::from(1));
    out.insert("fingerprint".into(), Value::from(job.fingerprint().full()));
    out.insert("passed".into(), Value::from(inspection.is_passed()));
    // an Inspection holds texts and finite numbers, which always serialise
    if let Ok(Value::Object(members)) = serde_json::to_value(inspection) {
        out.extend(members);
    }
    Value::Object(out)
}

fn text(job: &Job, inspection: &Inspection, file: &str, palette: Palette) -> String {
    let mut out = format!("Order {} · fingerprint {}\n\n", job.file_stem(), job.fingerprint().short());
    let mut rows = vec![HEAD.map(str::to_owned).to_vec()];
    rows.extend(inspection.judged.iter().map(|j| row(job, j)));
    out += &aligned_after(&rows, |c| matches!(c, 1 | 2 | 7 | 8));
    if !inspection.problems.is_empty() {
        out += &palette.strong("\nRows not in order\n");
        for p in &inspection.problems {
            let place = if p.line == 0 { file.to_owned() } else { format!("{file}:{}", p.line) };
            out += &format!("  {place}: {} → {}\n", p.message, p.hint);
        }
    }
    let worst: Vec<Vec<String>> = inspection.worst().into_iter().map(worst_row).collect();
    if !worst.is_empty() {
        out += &palette
            .strong("\nWorst of each characteristic, share of its tolerance used (from the middle; run-outs from 0)\n");
        out += &aligned_after(&worst, |c| c == 1 || c == 2);
    }
    out.push('\n');
    for off in &inspection.switched_off {
        out += &format!(
            "Rule switched off by the shop: {} ({}); the limits of the certificate hold all the same.\n",
            off.rule, off.why
        );
    }
    if inspection.is_passed() {
        out += &palette.good("PASSED: the wheel may have its certificate.\n");
    } else {
        out += &palette.bad("NO CERTIFICATE\n");
        out.extend(inspection.refusals.iter().map(|why| format!("  {why}\n")));
    }
    out
}

fn worst_row(j: &Judged) -> Vec<String> {
    let used = j.used.map_or("–".to_owned(), |u| format!("{} %", trimmed(100.0 * u, 0)));
    let mark = if j.verdict == Verdict::Fail { "outside" } else { "" };
    vec![j.item.number.to_string(), j.item.label.clone(), j.item.place.clone(), used, mark.to_owned()]
}
