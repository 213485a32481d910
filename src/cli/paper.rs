//! Papers as files: the ending of the name picks the format.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, filed, files, outlet};
use crate::dossier::Dossier;
use crate::drawing::Drawing;
use crate::export::{dxf, pdf, png, svg};
use serde_json::json;
use std::path::{Path, PathBuf};

/// Formats of a paper, by the ending of its file.
const KINDS: &[&str] = &["svg", "pdf", "png"];

/// Dots per inch of pictures.
const DPI: f64 = 200.0;

/// Writes the sheets of a paper: a pdf holds all of them, of svg and png each sheet is a file, `name.svg`, `name-2.svg` … In a pack's folder the list
/// there knows them from now on.
///
/// # Errors
/// Where the ending names no format, or a file cannot be written.
pub fn write(file: &Path, sheets: &[Drawing], desk: &Desk) -> Result<Vec<PathBuf>, Failure> {
    let made = files_of(file, sheets, KINDS, DPI)?;
    files::write_all(&made)?;
    let names: Vec<PathBuf> = made.into_iter().map(|(path, _)| path).collect();
    desk.remark(&files::written(&names));
    filed::enter(&names, None)?;
    Ok(names)
}

/// How a command ends whose paper is made: stopped orders get theirs too, marked. As JSON it says which files were written.
///
/// # Errors
/// Where stdout cannot be written.
pub fn finish(dossier: &Dossier, files: &[PathBuf], desk: &Desk) -> Done {
    if desk.is_json() {
        let files: Vec<String> = files.iter().map(|f| shown(f)).collect();
        desk.print_json(&json!({
            "format": 1, "fingerprint": dossier.job.fingerprint().full(), "verdict": dossier.outcome.verdict.word(), "files": files,
        }))?;
    }
    if !dossier.is_stopped() {
        return Ok(Outcome::Made);
    }
    for stop in dossier.stops() {
        desk.remark(&format!("stop: {stop}"));
    }
    desk.remark("The rules stop this order: the paper says NOT RELEASED. `wheeldraft check` says more.");
    Ok(Outcome::Stopped)
}

/// The files of sheets with their bytes: a pdf holds all of them, of every other format each sheet is a file. `kinds` are the endings that may be
/// asked for, lower case; `dpi` is the resolution of a png.
///
/// # Errors
/// Where the ending is none of `kinds`, or a sheet cannot be written in that format.
pub fn files_of(file: &Path, sheets: &[Drawing], kinds: &[&str], dpi: f64) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
    let failed = |e: &dyn std::fmt::Display| Failure::new(format!("cannot make {}: {e}", shown(file)), "");
    let ending = ending(file, kinds);
    let kind = kinds.iter().copied().find(|&kind| kind == ending);
    if kind == Some("pdf") {
        return Ok(vec![(file.to_owned(), pdf::pdf(sheets).map_err(|e| failed(&e))?)]);
    }
    let one = |sheet: &Drawing| match kind {
        Some("svg") => svg::svg(sheet).map(String::into_bytes).map_err(|e| failed(&e)),
        Some("png") => png::png(sheet, dpi).map_err(|e| failed(&e)),
        Some("dxf") => dxf::sheet(sheet).map_err(|e| failed(&e)),
        _ => Err(no_format(file, kinds)),
    };
    sheets.iter().enumerate().map(|(i, sheet)| Ok((numbered(file, i), one(sheet)?))).collect()
}

/// The ending of a file's name, lower case; standard output has none and gets what holds all sheets, a pdf, or else the first kind.
pub(super) fn ending(file: &Path, kinds: &[&str]) -> String {
    if outlet::is_named(file) {
        let pdf = kinds.iter().find(|kind| **kind == "pdf");
        return pdf.or(kinds.first()).map(|kind| (*kind).to_owned()).unwrap_or_default();
    }
    file.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}

pub(super) fn no_format(file: &Path, kinds: &[&str]) -> Failure {
    let endings: Vec<String> = kinds.iter().map(|kind| format!(".{kind}")).collect();
    let hint = match endings.as_slice() {
        [only] => format!("let the file's name end in {only}"),
        [first @ .., last] => format!("let the file's name end in {} or {last}", first.join(", ")),
        [] => String::new(),
    };
    Failure::new(format!("{} names no format this is written in", shown(file)), hint)
}

/// `name.svg` for the first sheet, `name-2.svg` for the second.
fn numbered(file: &Path, index: usize) -> PathBuf {
    if index == 0 {
        return file.to_owned();
    }
    let text = |part: Option<&std::ffi::OsStr>| part.map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    file.with_file_name(format!("{}-{}.{}", text(file.file_stem()), index + 1, text(file.extension())))
}
