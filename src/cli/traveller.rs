//! `traveller`: the shop traveller.

use super::packing::traveller_template;
use super::{Desk, Done, Failure, paper};
use crate::dossier::Dossier;
use crate::pack::machine::{self, MachineFiles};
use crate::pack::{Approved, papers};
use std::path::PathBuf;

/// Arguments of `traveller`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft traveller 1042.json -o traveller.pdf\n  wheeldraft traveller 1042.json -o traveller.pdf --traveller shop/our-operations.json\n\n\
    Operations in order, each with the sizes to come to, the stock it takes off, its tool, its machine file with the start of the file's SHA-256, \
    and boxes to sign. Machine files are those that `cut` and `pack` write; an order without an approval has none unless --unapproved is given.\n\
    Exit 1: a rule stops the order; the traveller then says NOT RELEASED."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The file to write: its ending picks pdf, svg or png.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Operations and texts, in place of the built-in ones.
    #[arg(long, value_name = "FILE")]
    traveller: Option<PathBuf>,
    /// Name the machine files also without the customer's approval.
    #[arg(long)]
    unapproved: bool,
}

/// Makes the traveller.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let dossier = desk.dossier(&args.order, &rules)?;
    let template = traveller_template(args.traveller.as_ref(), desk)?;
    let machine = machine_files(args, &dossier)?;
    let files = machine.as_ref().map(MachineFiles::named).map_err(String::as_str);
    let sheets = papers::traveller(&dossier, &template, files)
        .map_err(|e| Failure::new(format!("the wheel has no section: {e}"), ""))?;
    let files = paper::write(&args.output, &sheets, desk)?;
    paper::finish(&dossier, &files, desk)
}

/// The machine files as `pack` writes them, or why there are none.
fn machine_files(args: &Args, dossier: &Dossier) -> Result<Result<MachineFiles, String>, Failure> {
    let job = &dossier.job;
    if let Some(why) = dossier.withheld() {
        return Ok(Err(format!("none, {why}")));
    }
    if let (Approved::Not(why), false) = (&dossier.approved, args.unapproved) {
        return Ok(Err(format!("none, {why}")));
    }
    let wishes = crate::pack::machine_wishes(dossier, dossier.approved.is_given());
    machine::files(job, &wishes)
        .map(Ok)
        .map_err(|e| Failure::new(format!("no machine files: {e}"), e.hint().to_owned()))
}
