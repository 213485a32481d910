//! `approve`: the customer's approval of exactly this state of an order.

use super::clock::{latest_day, today};
use super::record::{record, record_path};
use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, cut, files, outlet, premises};
use crate::book::{Event, Kind};
use crate::dossier::Dossier;
use crate::shop::approval::{Approval, ApprovalError, Given, Record};
use serde_json::json;
use std::path::{Path, PathBuf};

/// Arguments of `approve`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft approve 1042.json --by \"R. Adeyemi\" --date 2026-03-04\n  \
    wheeldraft approve 1042.json --by \"R. Adeyemi\" --date 2026-03-04 --open-questions \"bolts are measured at mounting\"\n  \
    wheeldraft approve 1047.json --by \"R. Adeyemi\" --date 2026-03-04 --open-questions bolts-reach=\"measured at mounting\" \\\n    --open-questions \"agreed by telephone\"\n  wheeldraft approve 1042.json --withdraw \"the customer changed the machine\"\n\n\
    Adds to 1042.approval.json beside the order, under a seal. Any later change of what is signed, or of the shop's rules, makes the approval void; \
    `cut` then says what has changed. An approval never replaces another one.\n\
    Exit 1: a rule stops the order; nothing is recorded.")]
pub struct Args {
    /// The order file; `-` reads standard input and needs -o.
    order: PathBuf,
    /// Who approved it.
    #[arg(long, value_name = "NAME", required_unless_present = "withdraw")]
    by: Option<String>,
    /// The day it was approved, or withdrawn (today if absent).
    #[arg(long, value_name = "YYYY-MM-DD", required_unless_present = "withdraw")]
    date: Option<String>,
    /// Approve although questions are open: why, for all of them or as QUESTION=REASON for each. The reasons stand on every paper.
    #[arg(long, value_name = "REASON")]
    open_questions: Vec<String>,
    /// The day lies ahead of this machine's clock, and is right.
    #[arg(long)]
    future: bool,
    /// End the approval in force: why.
    #[arg(long, value_name = "WHY", conflicts_with_all = ["by", "open_questions"])]
    withdraw: Option<String>,
    /// The record, instead of ORDER.approval.json beside the order.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Adds to the record.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let path = args.output.clone().or_else(|| record_path(&args.order)).ok_or_else(|| {
        Failure::new("an order from standard input has no place beside it", "name the record with -o FILE")
    })?;
    if outlet::is_same(&path, &args.order) {
        return Err(Failure::new(format!("{} is the order itself", shown(&path)), "name another file with -o"));
    }
    let mut record = record(&path)?.unwrap_or_default();
    if let Some(why) = &args.withdraw {
        return withdraw(args, why, &path, record, desk);
    }
    // what stands beside the order does not matter here
    let dossier = desk.dossier_by(&args.order, args.output.as_deref().filter(|file| file.exists()), &rules)?;
    let job = &dossier.job;
    if is_stopped(&dossier, desk) {
        desk.remark("The rules stop this order: there is nothing to approve yet. `wheeldraft check` says why.");
        if desk.is_json() {
            desk.print_json(
                &json!({"format": 1, "fingerprint": job.fingerprint().full(), "verdict": "stop", "record": null}),
            )?;
        }
        return Ok(Outcome::Stopped);
    }
    if job.is_draft() {
        return Err(cut::draft(&dossier));
    }
    let given = Given {
        by: args.by.as_deref().unwrap_or_default(),
        date: args.date.as_deref().unwrap_or_default(),
        latest: latest_day().filter(|_| !args.future),
        waived: &args.open_questions,
    };
    let approval = Approval::of(&dossier, given).map_err(refused)?;
    let others = record.approvals.len();
    record.add(approval.clone()).map_err(refused)?;
    files::write(&path, record.written().as_bytes())?;
    let note = approval.waived.as_ref().map(|why| format!("open questions waived: {why}"));
    desk.enter(|| {
        let files = premises::hashes(std::slice::from_ref(&path))?;
        Ok(vec![Event { note, files, ..premises::event(Kind::Approved, job, Some(&approval.approved_by))? }])
    })?;
    if desk.is_json() {
        desk.print_json(&json!({"format": 1, "fingerprint": approval.fingerprint, "record": shown(&path)}))?;
    } else {
        let beside = if others == 0 { String::new() } else { format!(", beside {others} earlier") };
        desk.remark(&format!(
            "{} approved by {} on {}, fingerprint {}: {}{beside}",
            job.file_stem(),
            approval.approved_by,
            approval.date,
            job.fingerprint().short(),
            shown(&path)
        ));
    }
    Ok(Outcome::Made)
}

fn withdraw(args: &Args, why: &str, path: &Path, mut record: Record, desk: &Desk) -> Done {
    if why.trim().is_empty() {
        return Err(Failure::new("a withdrawal names its reason", "give --withdraw WHY"));
    }
    let on = match &args.date {
        Some(date) => date.parse().map_err(|e| refused(ApprovalError::NoDate(e)))?,
        None => today().ok_or_else(|| Failure::new("the clock of this machine shows no day", "give --date"))?,
    };
    let ended = record.withdraw(why, on).map_err(refused)?;
    let told = format!("the approval by {} on {} is withdrawn: {}", ended.approved_by, ended.date, shown(path));
    let order = format!("{}-{}", ended.number, ended.revision);
    files::write(path, record.written().as_bytes())?;
    let note = Some(why.trim().to_owned());
    desk.enter(|| Ok(vec![Event { note, ..premises::of_order(Kind::Withdrawn, &order, None)? }]))?;
    if desk.is_json() {
        desk.print_json(&json!({"format": 1, "withdrawn": true, "record": shown(path)}))?;
    } else {
        desk.remark(&told);
    }
    Ok(Outcome::Made)
}

fn refused(error: ApprovalError) -> Failure {
    let hint = match &error {
        ApprovalError::Nameless => "give --by with a name",
        ApprovalError::Future(..) => "check --date; --future takes a day that lies ahead",
        ApprovalError::Early(..) => "check --date and the order's own date",
        ApprovalError::Open(_) => {
            "let them be answered in `answers`, or give --open-questions REASON, or QUESTION=REASON for each; the reasons stand on every paper"
        }
        ApprovalError::NoReason(_) => "write QUESTION=REASON; the reason stands on every paper",
        ApprovalError::Already(..) => "end it with --withdraw WHY before another one is recorded",
        _ => "",
    };
    match error {
        ApprovalError::NoDate(_) => Failure::new(format!("--date: {error}"), ""),
        _ => Failure::new(error.to_string(), hint),
    }
}

/// Whether a rule stops the order; what stops it is told.
pub(super) fn is_stopped(dossier: &Dossier, desk: &Desk) -> bool {
    dossier.stops().iter().for_each(|stop| desk.remark(&format!("stop: {stop}")));
    dossier.is_stopped()
}

