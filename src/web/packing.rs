//! The pack of an order for downloading: the same bytes as the command line's, singly or as one zip.

use super::answer;
use super::folder::Folder;
use super::lent::{Deed, Lent};
use super::reply::{self, Refusal};
use crate::book::Kind;
use crate::export::archive;
use crate::front::Shop;
use crate::pack::{self, NamedFile, Options, Pack};
use crate::wheel::Job;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::json;

/// What is asked for.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    /// The order file as typed.
    order: String,
    /// The record of the customer's approval, where there is one.
    #[serde(default)]
    approval: Option<String>,
    /// Machine files also without an approval; their names say so.
    #[serde(default)]
    unapproved: bool,
    /// The order's file in the folder: the approvals beside it count.
    #[serde(default)]
    file: Option<String>,
}

/// A pack and the order it is of.
struct Packed {
    job: Job,
    pack: Pack,
}

/// Why there is no pack: an answer that says so.
type Made = Result<Packed, Box<Response>>;

/// What a pack holds, what it does not and why.
pub fn list(body: &[u8], shop: &Shop, folder: Option<&Folder>) -> Response {
    answered(packed(body, shop, folder).map(|made| {
        reply::json(&json!({
            "format": 1,
            "name": made.job.file_stem(),
            "manifest": made.pack.manifest,
            "manifest_bytes": made.pack.files.last().map_or(0, |f| f.bytes.len()),
            "remarks": made.pack.remarks,
        }))
    }))
}

/// The whole pack.
pub fn zip(body: &[u8], shop: &Shop, folder: Option<&Folder>) -> Response {
    answered(packed(body, shop, folder).and_then(|made| match archive::zipped(made.pack.files.iter().map(|f| (f.name.as_str(), f.bytes.as_slice()))) {
        Ok(bytes) => Ok(reply::download("application/zip", &format!("{}.zip", made.job.file_stem()), bytes)),
        Err(why) => Err(Box::new(failed(&format!("the zip could not be made: {why}"), ""))),
    }))
}

/// One file of the pack.
pub fn file(body: &[u8], name: &str, shop: &Shop, folder: Option<&Folder>) -> Response {
    answered(packed(body, shop, folder).and_then(|made| {
        let found = made.pack.files.into_iter().find(|f| f.name == name);
        found.map(|f| reply::download(kind(name), name, f.bytes)).ok_or_else(|| Box::new(Refusal::unknown().into_response()))
    }))
}

/// Writes the pack of an order into the shop's folder, as `pack` does: `{"folder", "files"}`.
pub fn put(body: &[u8], shop: &Shop, folder: Option<&Folder>, lent: &dyn Lent) -> Response {
    answered(packed(body, shop, folder).and_then(|Packed { job, pack, .. }| {
        let nowhere = || Box::new(failed("there is no shop's folder to put it in", "download it"));
        let place = lent.pack(&job.file_stem(), &pack.files).map_err(|why| Box::new(failed(&why, "")))?.ok_or_else(nowhere)?;
        let lists: Vec<NamedFile> = pack.files.iter().filter(|f| f.name == pack::manifest::NAME).cloned().collect();
        let deed = Deed { kind: Kind::Packed, job: &job, by: None, note: None, files: &lists };
        let entered = if pack.manifest.is_stopped() { Ok(()) } else { lent.enter(&deed) };
        let remark = entered.err().map(|why| format!("The pack is written, but not entered in the shop's book: {why}"));
        Ok(reply::json(&json!({ "format": 1, "folder": place, "files": pack.files.len(), "remark": remark })))
    }))
}

fn answered(made: Result<Response, Box<Response>>) -> Response {
    made.unwrap_or_else(|refused| *refused)
}

fn packed(body: &[u8], shop: &Shop, folder: Option<&Folder>) -> Made {
    let wrong = |e: serde_json::Error| Refusal::new(StatusCode::BAD_REQUEST, format!("this asks for no pack: {e}"));
    let asked: Asked = serde_json::from_slice(body).map_err(|e| Box::new(wrong(e).into_response()))?;
    let job = answer::opened(asked.order.as_bytes(), &shop.rules).map_err(|problems| Box::new(reply::json(&problems)))?;
    if let Some(named) = answer::foreign_title_block(&job) {
        let message = format!("the page reads no files, and the order asks for the title block {named}");
        return Err(Box::new(failed(&message, "write `plain`, or make the pack with the command line")));
    }
    let wrong = |why: String| Box::new(failed(&why, "choose the record of this order"));
    let beside = asked.file.as_deref().zip(folder).map(|(file, folder)| folder.record(file)).transpose();
    let record = asked.approval.or(beside.map_err(wrong)?.flatten());
    let title_block = answer::title_block(&job, shop);
    let options = Options {
        order: asked.order.as_bytes(),
        shop: &shop.rules,
        title_block: &title_block,
        traveller: &shop.traveller,
        approved: answer::approved(record.as_deref(), &job, &shop.rules).map_err(wrong)?,
        unapproved: asked.unapproved,
        altered_by: shop.altered_by.clone(),
        groove_sample: shop.groove_sample,
        with: Vec::new(),
        programs: None,
    };
    let pack = pack::build(&job, &options).map_err(|e| Box::new(failed(&e.to_string(), e.hint())))?;
    Ok(Packed { job, pack })
}

fn failed(message: &str, hint: &str) -> Response {
    reply::json(&json!({ "format": 1, "failure": message, "hint": hint }))
}

fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("json") => "application/json",
        Some("svg") => "image/svg+xml",
        Some("pdf") => "application/pdf",
        Some("csv") => "text/csv; charset=utf-8",
        _ => "application/octet-stream",
    }
}
