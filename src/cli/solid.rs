//! `solid`: the wheel as a solid.

use super::grooves_asked::length;
use super::{Desk, Done, Failure, files, paper};
use crate::order::SolidFormat;
use crate::pack::solid;
use crate::quantity::trimmed;
use crate::solid::SolidError;
use crate::tolerance::{MESH_DEVIATION, MESH_DEVIATIONS};
use std::path::PathBuf;

/// Formats of a solid, by the ending of its file.
const KINDS: &[&str] = &["step", "3mf", "stl", "glb"];

/// Arguments of `solid`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft solid 1042.json -o 1042.step\n  wheeldraft solid 1042.json -o 1042.stl --deviation \"0.05 mm\"\n\n\
    A step file (ISO 10303-21, AP242) holds exact surfaces in millimetres, z from side A to side B, x along angle 0; as z points into side A,\n\
    angles of the order, counter-clockwise as seen from outside side A, count clockwise about z. What cannot be made exactly is refused.\n\
    3mf, stl and glb files hold the same boundary as a closed mesh of triangles, glb its edges as lines too.\n\
    Exit 1: a rule stops the order; the file is made and says NOT RELEASED.")]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The file to write: its ending (step, 3mf, stl, glb) decides the format.
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// How far the triangles of a mesh may lie from the true surfaces; 0.02 mm if absent.
    #[arg(long, value_name = "LENGTH", value_parser = deviation)]
    deviation: Option<f64>,
}

fn deviation(text: &str) -> Result<f64, String> {
    let mm = length(text)?;
    let (least, most) = (MESH_DEVIATIONS.start(), MESH_DEVIATIONS.end());
    MESH_DEVIATIONS.contains(&mm).then_some(mm).ok_or_else(|| format!("give {} to {} mm", trimmed(*least, 3), trimmed(*most, 3)))
}

/// Makes the solid and writes it.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let ending = paper::ending(&args.output, KINDS);
    let Some(format) = SolidFormat::ALL.into_iter().find(|format| format.ending() == ending) else {
        return Err(paper::no_format(&args.output, KINDS));
    };
    if format == SolidFormat::Step && args.deviation.is_some() {
        return Err(Failure::new("a step file holds exact surfaces: --deviation is for 3mf, stl and glb", "leave --deviation out"));
    }
    let rules = desk.rules()?;
    let dossier = desk.dossier(&args.order, &rules)?;
    let bytes = solid::file(&dossier, format, args.deviation.unwrap_or(MESH_DEVIATION)).map_err(failed)?;
    files::write(&args.output, &bytes)?;
    let names = [args.output.clone()];
    desk.remark(&files::written(&names));
    paper::finish(&dossier, &names, desk)
}

fn failed(error: SolidError) -> Failure {
    Failure::new(error.to_string(), "draw the wheel with `wheeldraft draw`, or take the feature out of the order for a model without it")
}
