//! `solid`: the wheel as a solid.

use super::approve::is_same;
use super::failure::shown;
use super::{Desk, Done, Failure, files, paper};
use crate::pack::solid;
use crate::solid::SolidError;
use std::path::PathBuf;

/// Formats of a solid, by the ending of its file.
const KINDS: &[&str] = &["step"];

/// Arguments of `solid`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft solid 1042.json -o 1042.step\n\n\
    A step file (ISO 10303-21, AP242) holds exact surfaces in millimetres, z from side A to side B, x along angle 0; as z points into side A,\n\
    angles of the order, counter-clockwise as seen from outside side A, count clockwise about z. What cannot be made exactly is refused.\n\
    Exit 1: a rule stops the order; the file is made and says NOT RELEASED.")]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The file to write: its ending (step) decides the format.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
}

/// Makes the solid and writes it.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let ending = paper::ending(&args.output, KINDS);
    if !KINDS.contains(&ending.as_str()) {
        return Err(paper::no_format(&args.output, KINDS));
    }
    if is_same(&args.output, &args.order) {
        return Err(Failure::new(format!("{} is the order itself", shown(&args.output)), "name another file with -o"));
    }
    let rules = desk.rules()?;
    let dossier = desk.dossier(&args.order, &rules)?;
    let bytes = solid::step(&dossier).map_err(failed)?;
    files::write(&args.output, &bytes)?;
    let names = [args.output.clone()];
    desk.remark(&files::written(&names));
    paper::finish(&dossier, &names, desk)
}

fn failed(error: SolidError) -> Failure {
    Failure::new(error.to_string(), "draw the wheel with `wheeldraft draw`, or take the feature out of the order for a model without it")
}
