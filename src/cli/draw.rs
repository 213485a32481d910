//! `draw`: the approval drawing.

use super::failure::shown;
use super::{Desk, Done, Failure, files, outlet, paper};
use crate::drawing::Drawing;
use crate::pack::papers;
use crate::json::Problems;
use crate::sheet::template::{Template, logo_file};
use crate::sheet::{self, SheetError};
use crate::wheel::Job;
use std::path::{Path, PathBuf};

/// Formats of a drawing, by the ending of its file.
const KINDS: &[&str] = &["svg", "pdf", "png", "dxf"];

/// What a folder gets.
const IN_A_FOLDER: &[&str] = &["svg", "pdf"];

/// Arguments of `draw`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft draw 1042.json -o 1042.pdf\n  wheeldraft draw 1042.json -o drawings/\n  \
    wheeldraft draw 1042.json -o 1042.png --dpi 200\n  \
    wheeldraft draw 1042.json -o 1042-calculation.pdf --calculation\n\n\
    Exit 1: a rule stops the order; its sheets are made and say NOT RELEASED."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The file to write, its ending (svg, pdf, png or dxf) decides the format; or a folder, which gets svg and pdf; `-` writes a pdf to stdout.
    #[arg(short, long, value_name = "FILE|DIR")]
    output: PathBuf,
    /// Dots per inch of a png.
    #[arg(long, default_value_t = 150.0, value_name = "N")]
    dpi: f64,
    /// The calculation sheets instead: speeds, stress, balance, wear and dressing with plots, findings with their sources.
    #[arg(long)]
    calculation: bool,
}

/// Draws and writes.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let dossier = desk.dossier(&args.order, &rules)?;
    let template = template(&dossier.job, &args.order, desk)?;
    let named = dossier.job.sheets.size;
    let drawings =
        if args.calculation { papers::calculation(&dossier, &template) } else { papers::approval(&dossier, &template) };
    let drawings = drawings.map_err(failed)?;
    let (remarks, layout) = (sheet::remarks(&drawings, named), sheet::layout(&drawings, named));
    let files = written(args, &dossier.job, &drawings)?;
    files::write_all(&files)?;
    for remark in &remarks {
        // what the order names and did not get is an answer, not an aside
        match layout.contains(remark) && !desk.is_json() {
            true => desk.print(&format!("{remark}\n"))?,
            false => desk.remark(remark),
        }
    }
    let names: Vec<PathBuf> = files.into_iter().map(|(file, _)| file).collect();
    desk.remark(&files::written(&names));
    paper::finish(&dossier, &names, desk)
}

fn failed(error: SheetError) -> Failure {
    let hint = "name a larger sheet in `drawing.sheet`, or leave it out";
    Failure::new(format!("the drawing cannot be made: {error}"), hint)
}

/// The title block the order names: a built-in one, or a file seen from the order's own folder. Where it names none, or the example, that of the shop's folder.
pub(super) fn template(job: &Job, order: &Path, desk: &Desk) -> Result<Template, Failure> {
    let shop = desk.premises()?.filter(|_| matches!(job.sheets.title_block.as_deref(), None | Some("example")));
    let of_shop = shop.and_then(|shop| shop.file(shop.profile.title_block.as_ref()));
    let named = job.sheets.title_block.as_deref().unwrap_or("plain");
    match (of_shop, Template::built_in(named)) {
        (Some(file), _) => title_block(&file),
        (None, Some(built_in)) => built_in.map_err(|e| wrong(named, e)),
        (None, None) => title_block(&beside(order, named)),
    }
}

/// The title block of a file, with the logo it names.
///
/// # Errors
/// Where a file cannot be read, or is no title block.
pub(super) fn title_block(file: &Path) -> Result<Template, Failure> {
    let text = read(file)?;
    let logo = logo_file(&text).map(|name| read(&beside(file, &name))).transpose()?;
    Template::parse(&text, logo.as_deref()).map_err(|e| wrong(&shown(file), e))
}

pub(super) fn wrong(name: &str, problems: Problems) -> Failure {
    Failure::Order { file: name.to_owned(), problems }
}

/// A path as seen from the folder of another file.
fn beside(file: &Path, name: &str) -> PathBuf {
    file.parent().map_or_else(|| PathBuf::from(name), |folder| folder.join(name))
}

fn read(file: &Path) -> Result<String, Failure> {
    let bytes = files::read(file, files::LONGEST_TEXT)?;
    String::from_utf8(bytes).map_err(|_| Failure::new(format!("{} is not UTF-8 text", shown(file)), "save it as UTF-8"))
}

/// The files with their bytes.
fn written(args: &Args, job: &Job, sheets: &[Drawing]) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
    let made = |file: &Path| paper::files_of(file, sheets, KINDS, args.dpi);
    if outlet::is_named(&args.output) || (!args.output.is_dir() && args.output.extension().is_some()) {
        return made(&args.output);
    }
    let what = if args.calculation { "calculation" } else { "approval" };
    let name = |kind: &str| format!("{}-{what}.{kind}", job.file_stem());
    let mut files = Vec::new();
    for kind in IN_A_FOLDER {
        files.extend(made(&args.output.join(name(kind)))?);
    }
    Ok(files)
}
