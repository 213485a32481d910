//! `draw`: the approval drawing.

use super::failure::shown;
use super::{Desk, Done, Failure, files, paper};
use crate::drawing::Drawing;
use crate::export::{dxf, pdf, png, svg};
use crate::pack::papers;
use crate::pack::standing::Standing;
use crate::sheet::template::{Template, logo_file};
use crate::sheet::{self, SheetError};
use crate::wheel::Job;
use std::path::{Path, PathBuf};

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
    /// The file to write, its ending (svg, pdf, png or dxf) decides the format; or a folder, which gets svg and pdf.
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
    let job = desk.job(&args.order)?;
    let template = template(&job, &args.order)?;
    let rules = desk.rules()?;
    let standing = Standing::of(&job, &rules);
    let drawings = if args.calculation {
        papers::calculation(&job, &standing, &rules, &template)
    } else {
        papers::approval(&job, &standing, &template)
    };
    let drawings = drawings.map_err(failed)?;
    sheet::remarks(&drawings).iter().for_each(|remark| desk.remark(remark));
    let files = written(args, &job, &drawings)?;
    files::write_all(&files)?;
    let names: Vec<PathBuf> = files.into_iter().map(|(file, _)| file).collect();
    desk.remark(&files::written(&names));
    paper::finish(&job, &standing, &names, desk)
}

fn failed(error: SheetError) -> Failure {
    let hint = "name a larger sheet in `drawing.sheet`, or leave it out";
    Failure::new(format!("the drawing cannot be made: {error}"), hint)
}

/// The title block the order names: the built-in one, or a file seen from the order's own folder.
pub(super) fn template(job: &Job, order: &Path) -> Result<Template, Failure> {
    let named = job.sheets.title_block.as_deref().unwrap_or("plain");
    let wrong =
        |e: sheet::template::TemplateError| Failure::new(format!("{named}: {}: {}", e.place, e.message), e.hint);
    if named == "plain" {
        return Template::plain().map_err(wrong);
    }
    let file = beside(order, named);
    let text = read(&file)?;
    let logo = logo_file(&text).map(|name| read(&beside(&file, &name))).transpose()?;
    Template::parse(&text, logo.as_deref()).map_err(wrong)
}

/// A path as seen from the folder of another file.
fn beside(file: &Path, name: &str) -> PathBuf {
    file.parent().map_or_else(|| PathBuf::from(name), |folder| folder.join(name))
}

fn read(file: &Path) -> Result<String, Failure> {
    let bytes = std::fs::read(file).map_err(|e| Failure::io("read", file, &e))?;
    String::from_utf8(bytes).map_err(|_| Failure::new(format!("{} is not UTF-8 text", shown(file)), "save it as UTF-8"))
}

/// The files with their bytes.
fn written(args: &Args, job: &Job, sheets: &[Drawing]) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
    let ending = args.output.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
    let is_folder = args.output.is_dir() || ending.is_none();
    if is_folder {
        let what = if args.calculation { "calculation" } else { "approval" };
        let stem = format!("{}-{what}", job.file_stem());
        let mut files = Vec::new();
        for kind in ["svg", "pdf"] {
            files.extend(each(&args.output.join(format!("{stem}.{kind}")), kind, sheets, args.dpi)?);
        }
        return Ok(files);
    }
    each(&args.output, ending.as_deref().unwrap_or_default(), sheets, args.dpi)
}

/// The files of one format: a PDF holds all sheets, the others have one file for each.
fn each(path: &Path, kind: &str, sheets: &[Drawing], dpi: f64) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
    let failed = |e: &dyn std::fmt::Display| Failure::new(format!("cannot write {}: {e}", shown(path)), "");
    if kind == "pdf" {
        return Ok(vec![(path.to_owned(), pdf::pdf(sheets).map_err(|e| failed(&e))?)]);
    }
    let one = |sheet: &Drawing| match kind {
        "svg" => svg::svg(sheet).map(String::into_bytes).map_err(|e| failed(&e)),
        "png" => png::png(sheet, dpi).map_err(|e| failed(&e)),
        "dxf" => dxf::sheet(sheet).map_err(|e| failed(&e)),
        other => {
            Err(Failure::new(format!("`{other}` is no format of a drawing"), "end the name in svg, pdf, png or dxf"))
        }
    };
    sheets.iter().enumerate().map(|(i, sheet)| Ok((numbered(path, i), one(sheet)?))).collect()
}

/// `name.svg` for the first sheet, `name-2.svg` for the second.
fn numbered(path: &Path, index: usize) -> PathBuf {
    if index == 0 {
        return path.to_owned();
    }
    let stem = path.file_stem().and_then(|s| s.to_str()).unwrap_or("drawing");
    let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
    path.with_file_name(format!("{stem}-{}.{ending}", index + 1))
}
