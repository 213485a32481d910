//! `pack`: everything an order allows, in one folder, with the list of it.

use super::failure::shown;
use super::packing::{Bench, Wishes};
use super::{Desk, Done, Failure, Outcome, files, folder, premises};
use crate::book::{Event, Kind};
use crate::pack::{self, Pack, PackError, manifest};
use serde_json::json;
use std::path::PathBuf;

/// Arguments of `pack`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft pack 1042.json -o packs/1042-B\n  wheeldraft pack 1042.json -o packs/1042-B --unapproved\n\n\
    Order, findings, numbers, approval drawing (svg, pdf), calculation sheets, machine files, traveller, inspection sheet (csv, pdf), labels, and manifest.json with \
    the SHA-256 of each and the one fingerprint of all. Machine files need the customer's approval (`approve`), or --unapproved.\n\
    Exit 1: a rule stops the order, or it is approved and no title block names the shop: the papers say NOT RELEASED, and there are neither machine files nor labels."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The folder of the pack; an earlier pack in it is replaced as a whole.
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,
    #[command(flatten)]
    wishes: Wishes,
}

/// Makes the pack.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let bench = Bench::of(&args.wishes, desk)?;
    let (job, bytes) = desk.job_and_bytes(&args.order)?;
    let laid = bench.lay_out(&job, &args.order, desk)?;
    let pack = pack::build(&job, &bench.options(&bytes, &laid)).map_err(|e| failure(&e))?;
    folder::sweep(&files::parent_of(&args.output));
    folder::write_pack(&args.output, &pack.files)?.iter().for_each(|kept| desk.remark(kept));
    pack.remarks.iter().for_each(|remark| desk.remark(remark));
    let stopped = pack.manifest.is_stopped();
    if !stopped {
        // its hash covers every file of the pack
        let list = pack.files.iter().filter(|f| f.name == manifest::NAME).map(premises::of_file).collect();
        desk.enter(|| Ok(vec![Event { files: list, ..premises::event(Kind::Packed, &job, None)? }]))?;
    }
    if let Some(why) = pack.manifest.held() {
        desk.remark(&format!("NOT RELEASED: {why}. Name its file in `drawing.title_block`, or keep the order in a shop's folder (`new --shop`)."));
    } else if stopped {
        desk.remark("The rules stop this order: its papers say NOT RELEASED. `wheeldraft check` says why.");
    }
    if desk.is_json() {
        desk.print_json(&json!({ "format": 1, "folder": shown(&args.output), "manifest": pack.manifest }))?;
    } else {
        desk.remark(&format!(
            "wrote {} files to {}, fingerprint {}",
            pack.files.len(),
            shown(&args.output),
            short(&pack)
        ));
    }
    Ok(if stopped { Outcome::Stopped } else { Outcome::Made })
}

fn short(pack: &Pack) -> &str {
    pack.manifest.fingerprint.get(..8).unwrap_or_default()
}

/// A pack that cannot be made, in words.
pub(super) fn failure(error: &PackError) -> Failure {
    Failure::new(error.to_string(), error.hint())
}
