//! `approve`: the customer's approval of exactly this state of an order.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, files};
use crate::dossier::Dossier;
use crate::shop::approval::{Approval, ApprovalError};
use serde_json::json;
use std::path::{Path, PathBuf};

/// Arguments of `approve`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft approve 1042.json --by \"R. Adeyemi\" --date 2026-03-04\n\n\
    Writes 1042.approval.json beside the order. Any later change of the order makes the approval void; `cut` then says what has changed.\n\
    Exit 1: a rule stops the order; nothing is recorded.")]
pub struct Args {
    /// The order file; `-` reads standard input and needs -o.
    order: PathBuf,
    /// Who approved it.
    #[arg(long, value_name = "NAME")]
    by: String,
    /// The day it was approved.
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: String,
    /// The record to write, instead of ORDER.approval.json beside the order.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Writes the record.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let dossier = desk.dossier(&args.order, &rules)?;
    let job = &dossier.job;
    let record = Approval::of(job, &args.by, &args.date).map_err(|e| match e {
        ApprovalError::Nameless => Failure::new(e.to_string(), "give --by with a name"),
        _ => Failure::new(format!("--date: {e}"), ""),
    })?;
    let path = args.output.clone().or_else(|| record_path(&args.order)).ok_or_else(|| {
        Failure::new("an order from standard input has no place beside it", "name the record with -o FILE")
    })?;
    if is_stopped(&dossier, desk) {
        desk.remark("The rules stop this order: there is nothing to approve yet. `wheeldraft check` says why.");
        if desk.is_json() {
            desk.print_json(
                &json!({"format": 1, "fingerprint": job.fingerprint().full(), "verdict": "stop", "record": null}),
            )?;
        }
        return Ok(Outcome::Stopped);
    }
    files::write(&path, record.written().as_bytes())?;
    if desk.is_json() {
        desk.print_json(&json!({"format": 1, "fingerprint": record.fingerprint, "record": shown(&path)}))?;
    } else {
        desk.remark(&format!(
            "{} approved by {} on {}, fingerprint {}: {}",
            job.file_stem(),
            record.approved_by,
            record.date,
            job.fingerprint().short(),
            shown(&path)
        ));
    }
    Ok(Outcome::Made)
}

/// Whether a rule stops the order; what stops it is told.
pub(super) fn is_stopped(dossier: &Dossier, desk: &Desk) -> bool {
    dossier.stops().iter().for_each(|stop| desk.remark(&format!("stop: {stop}")));
    dossier.is_stopped()
}

/// Where the record of an order lies: `1042.json` has `1042.approval.json` beside it. `None` for standard input.
pub(super) fn record_path(order: &Path) -> Option<PathBuf> {
    if order.as_os_str() == "-" {
        return None;
    }
    let name = order.file_name()?;
    let stem = if order.extension().is_some_and(|e| e == "json") { order.file_stem()? } else { name };
    let mut record = stem.to_owned();
    record.push(".approval.json");
    Some(order.with_file_name(record))
}

/// The record at a path; `None` where there is none.
pub(super) fn record(path: &Path) -> Result<Option<Approval>, Failure> {
    if path.symlink_metadata().is_err_and(|e| e.kind() == std::io::ErrorKind::NotFound) {
        return Ok(None);
    }
    let bytes = files::read(path, files::LONGEST_TEXT)?;
    let read = Approval::read(&String::from_utf8_lossy(&bytes));
    let hint = "approve the order again with `wheeldraft approve`, or remove the file";
    read.map(Some).map_err(|e| Failure::new(format!("{}: {e}", shown(path)), hint))
}
