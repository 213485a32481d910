//! `ship`: the delivery note with its box list.

use super::label::own_shop;
use super::{Desk, Done, Failure, Outcome, journal, paper, premises};
use crate::book::{self, Event, Kind};
use crate::shop::delivery::{self, Absent};
use crate::shop::label::trace_code;
use crate::wheel::Job;
use serde_json::json;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Arguments of `ship`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft ship 1042.json -o 1042-delivery.pdf\n  wheeldraft ship 1042.json -o 1042-delivery-copy.pdf --again\n\n\
    Who sends what to whom: ship_to, customer_order and due of the order, a line for each wheel with its trace code and weight, what is enclosed, room \
    for boxes and signatures. In a shop's folder a wheel leaves once the journal has its passed inspection, speed test and balance, and then gets its line \
    there; the others are named on the note and stay. A wheel that has left before is not on the next note.\n\
    Exit 1: a rule stops the order, or the customer has not approved it, and the note then says NOT RELEASED; or a wheel stays."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The file to write: its ending picks pdf, svg or png.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Print a note of the wheels that have left before once more, as a copy.
    #[arg(long)]
    again: bool,
}

/// Makes the note.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let dossier = desk.decided(&args.order, &rules)?;
    let job = &dossier.job;
    let shop = own_shop(job, &args.order, desk)?;
    let absent = absent(args.again, job, desk)?;
    if !args.again && absent.len() == delivery::wheels(job) as usize && absent.values().all(|a| matches!(a, Absent::Left(_))) {
        let message = format!("all wheels of {} have left before, by the shop's book; nothing was written", job.file_stem());
        return Err(Failure::new(message, "--again prints their note once more"));
    }
    let files = paper::write(&args.output, &delivery::delivery(&dossier, &shop, &absent, args.again), desk)?;
    let held = delivery::held_back(&dossier);
    if held.is_none() && !args.again {
        let wheels = (1..=delivery::wheels(job)).filter(|n| !absent.contains_key(n));
        desk.enter(|| {
            let (files, head) = (premises::hashes(&files)?, &job.head);
            let found = json!({ "from": shop, "to": head.ship_to, "customer": head.customer, "customer_order": head.customer_order });
            let event = |n| Ok(Event { found: Some(found.clone()), files: files.clone(), ..premises::of_wheel(Kind::Shipped, job, n, None)? });
            wheels.map(event).collect()
        })?;
    }
    let done = paper::finish(&dossier, &files, desk)?;
    Ok(match held {
        Some(why) if !dossier.is_stopped() => {
            desk.remark(&format!("The note says NOT RELEASED: {why}."));
            Outcome::Stopped
        }
        None => {
            absent.iter().for_each(|(n, why)| desk.remark(&format!("Wheel {n}, {}: {why}.", trace_code(job, *n))));
            if absent.values().any(|a| matches!(a, Absent::Stays(_))) { Outcome::Stopped } else { done }
        }
        _ => done,
    })
}

/// The wheels that are not on the note and why, by the book of the shop's folder; none where no folder is in use. A copy is of those that have left.
fn absent(again: bool, job: &Job, desk: &Desk) -> Result<BTreeMap<u32, Absent>, Failure> {
    let Some(shop) = desk.premises()? else { return Ok(BTreeMap::new()) };
    let book = journal::read(&shop.folder.join(book::NAME))?;
    let why = |n| {
        let code = trace_code(job, n);
        match book::left(&book.entries, &code) {
            Some(_) if again => None,
            Some(day) => Some(Absent::Left(day)),
            None if again => Some(Absent::Stays("it has not left yet".to_owned())),
            None => book::stays(&book.entries, &code).map(Absent::Stays),
        }
    };
    Ok((1..=delivery::wheels(job)).filter_map(|n| Some((n, why(n)?))).collect())
}
