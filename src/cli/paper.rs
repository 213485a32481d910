//! Papers as files: the ending of the name picks the format.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, files};
use crate::drawing::Drawing;
use crate::export::{pdf, png, svg};
use crate::pack::standing::Standing;
use crate::wheel::Job;
use serde_json::json;
use std::path::{Path, PathBuf};

/// Dots per inch of pictures.
const DPI: f64 = 200.0;

/// Writes the sheets of a paper: a pdf holds all of them, of svg and png each sheet is a file, `name.svg`, `name-2.svg` …
///
/// # Errors
/// Where the ending names no format, or a file cannot be written.
pub fn write(file: &Path, sheets: &[Drawing], desk: &Desk) -> Result<Vec<PathBuf>, Failure> {
    let made = bytes(file, sheets)?;
    files::write_all(&made)?;
    let names: Vec<PathBuf> = made.into_iter().map(|(path, _)| path).collect();
    desk.remark(&files::written(&names));
    Ok(names)
}

/// How a command ends whose paper is made: stopped orders get theirs too, marked. As JSON it says which files were written.
///
/// # Errors
/// Where stdout cannot be written.
pub fn finish(job: &Job, standing: &Standing, files: &[PathBuf], desk: &Desk) -> Done {
    if desk.is_json() {
        let files: Vec<String> = files.iter().map(|f| shown(f)).collect();
        desk.print_json(&json!({
            "format": 1, "fingerprint": job.fingerprint().full(), "verdict": standing.outcome.verdict.word(), "files": files,
        }))?;
    }
    if !standing.is_stopped() {
        return Ok(Outcome::Made);
    }
    for stop in standing.stops() {
        desk.remark(&format!("stop: {stop}"));
    }
    desk.remark("The rules stop this order: the paper says NOT RELEASED. `wheeldraft check` says more.");
    Ok(Outcome::Stopped)
}

/// The files of a paper with their bytes.
fn bytes(file: &Path, sheets: &[Drawing]) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
    let failed = |e: &dyn std::fmt::Display| Failure::new(format!("cannot make {}: {e}", shown(file)), "");
    let ending = file.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    let one = |sheet: &Drawing| match ending.as_str() {
        "svg" => svg::svg(sheet).map(String::into_bytes).map_err(|e| failed(&e)),
        "png" => png::png(sheet, DPI).map_err(|e| failed(&e)),
        _ => {
            let message = format!("{} names no format this paper is written in", shown(file));
            Err(Failure::new(message, "let the file's name end in .svg, .pdf or .png"))
        }
    };
    if ending == "pdf" {
        return Ok(vec![(file.to_owned(), pdf::pdf(sheets).map_err(|e| failed(&e))?)]);
    }
    sheets.iter().enumerate().map(|(i, sheet)| Ok((numbered(file, i), one(sheet)?))).collect()
}

fn numbered(file: &Path, index: usize) -> PathBuf {
    if index == 0 {
        return file.to_owned();
    }
    let text = |part: Option<&std::ffi::OsStr>| part.map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    file.with_file_name(format!("{}-{}.{}", text(file.file_stem()), index + 1, text(file.extension())))
}
