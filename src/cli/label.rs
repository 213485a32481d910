//! `label`: the wheel's label.

use super::{Desk, Done, Failure, draw, journal, paper, premises};
use crate::book::{self, Event, Kind};
use crate::sheet::template::Template;
use crate::shop::label::{self, MOST, Options, trace_code};
use crate::shop::speed::marked_speed;
use crate::wheel::{Job, Written};
use serde_json::json;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

/// Arguments of `label`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft label 1042.json -o labels.pdf\n  wheeldraft label 1042.json --wheel 2 -o label.svg --altered-by \"Tern & Anvil Wheel Works\"\n\n\
    One label of 120 × 105 mm for each wheel ordered: a pdf holds all, of svg and png each is a file. The speed is the one marked on the blank \
    (blank.max_operating_speed), or the lower one of wheel.max_operating_speed; without the blank's the label forbids running the wheel. The code holds order, revision, wheel and fingerprint.\n\
    Exit 1: a rule stops the order; the label then says NOT RELEASED."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The file to write: its ending picks svg, pdf or png.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Only the label of this wheel, counted from 1.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST)))]
    wheel: Option<u32>,
    /// Who altered the wheel; the shop of the order's own title block, or a line to write on, if absent.
    #[arg(long, value_name = "NAME")]
    altered_by: Option<String>,
}

/// Makes the labels.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let dossier = desk.decided(&args.order, &rules)?;
    let job = &dossier.job;
    let altered_by = match &args.altered_by {
        Some(name) => name.clone(),
        None => own_shop(job, &args.order, desk)?,
    };
    let options = Options { altered_by, bar: dossier.bar().to_owned() };
    let quantity = job.head.quantity.unwrap_or(1);
    let labels = match args.wheel {
        Some(n) if n > quantity => {
            let message = format!("there is no wheel {n}: the order is for {quantity}");
            return Err(Failure::new(message, format!("give --wheel 1 to {quantity}")));
        }
        Some(n) => vec![label::label(&dossier, n, &options)],
        None => label::labels(&dossier, &options),
    };
    let files = paper::write(&args.output, &labels, desk)?;
    if args.wheel.is_none() && quantity > MOST {
        desk.remark(&format!("{MOST} labels are made at once, {quantity} are ordered; --wheel N makes a single one"));
    }
    if !dossier.is_stopped() {
        let wheels = args.wheel.map_or(1..=quantity.min(MOST), |n| n..=n);
        desk.enter(|| {
            let (files, written) = (premises::hashes(&files)?, Written::of(job));
            let found = json!({ "altered_by": options.altered_by, "maximum_operating_speed": marked_speed(job).map(|v| written.speed(v)) });
            let event = |n| Ok(Event { found: Some(found.clone()), files: files.clone(), ..premises::of_wheel(Kind::Labelled, job, n, None)? });
            wheels.clone().map(event).collect()
        })?;
        untested(wheels, job, desk)?;
    }
    paper::finish(&dossier, &files, desk)
}

/// Says which of the wheels the shop's book does not know to be ready for their labels.
fn untested(wheels: RangeInclusive<u32>, job: &Job, desk: &Desk) -> Result<(), Failure> {
    let Some(shop) = desk.premises()? else { return Ok(()) };
    let book = journal::read(&shop.folder.join(book::NAME))?;
    for n in wheels {
        if let Some(why) = book::stays(&book.entries, &trace_code(job, n)) {
            desk.remark(&format!("Wheel {n}: {why}; keep its label until that is done"));
        }
    }
    Ok(())
}

/// The shop of the order's own title block, else that of the shop's folder; empty where it names none: the built-in ones are of no shop, or of an invented one.
pub(super) fn own_shop(job: &Job, order: &Path, desk: &Desk) -> Result<String, Failure> {
    if job.sheets.title_block.as_deref().is_none_or(|name| Template::built_in(name).is_some()) {
        return Ok(desk.premises()?.map_or_else(String::new, |shop| shop.profile.name.clone()));
    }
    let shop = draw::template(job, order, desk)?.shop;
    Ok(if shop.is_named() { shop.name } else { String::new() })
}
