//! A folder of orders: what lies in it, opening one, saving it in place. A file that was changed meanwhile is never written over.

use super::answer;
use super::lent::{Deed, Lent};
use super::reply::{self, Refusal};
use crate::book::{Kind, Known, Life, lives};
use crate::dossier::Dossier;
use crate::front::Shop;
use crate::pack::manifest::Manifest;
use crate::rules::{Severity, ShopRules};
use crate::shop::approval::Record;
use crate::wheel::Job;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::UNIX_EPOCH;

/// Most orders listed.
const MOST_LISTED: usize = 5000;
/// Longest name of a file.
const LONGEST_NAME: usize = 120;
const ENDING: &str = ".json";
/// Files beside the orders that are none.
const OTHERS: [&str; 4] = [".approval.json", ".schema.json", "shop.json", "manifest.json"];

/// The folder the page works in.
#[derive(Debug)]
pub struct Folder {
    orders: PathBuf,
    lent: Arc<dyn Lent>,
    /// What was worked out of a file, as long as it is the same.
    known: Mutex<HashMap<String, (String, Entry)>>,
    /// One save at a time.
    saving: Mutex<()>,
}

/// What the list says of a file, and of the order in it where it can be read.
#[derive(Debug, Clone)]
struct Entry {
    said: Value,
    order: Option<Known>,
}

/// What is asked to be saved.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    /// Name of the file in the folder.
    file: String,
    text: String,
    /// The file as it was opened; null for a new one.
    version: Option<String>,
}

impl Folder {
    /// The orders of a folder: those in its `orders`, where it has such, else its own.
    pub fn new(folder: &Path, lent: Arc<dyn Lent>) -> Folder {
        let inner = folder.join("orders");
        let orders = if inner.is_dir() { inner } else { folder.to_owned() };
        Folder { orders, lent, known: Mutex::default(), saving: Mutex::default() }
    }

    /// Where it is, for people.
    pub fn place(&self) -> String {
        self.orders.display().to_string()
    }

    /// `{"format", "folder", "orders": [{"file", "name", "customer", "item", "state", "next", "changed", "pack", "book"}], "remark"}`, the one changed
    /// last first. `pack` is `current`, `stale` or null; `book` says how far the order has come where the shop's book knows it.
    pub fn list(&self, shop: &Shop) -> Value {
        let mut entries: Vec<Entry> = self.names().iter().filter_map(|name| self.entry(name, shop)).collect();
        entries.sort_by_key(|e| std::cmp::Reverse(e.said["changed"].as_u64()));
        let (lives, remark) = self.lives(&entries);
        for Entry { said, order } in &mut entries {
            let Some(order) = order else { continue };
            said["pack"] = json!(self.pack(order));
            said["book"] = json!(lives.iter().find(|life| life.order == order.order && life.last.is_some()));
        }
        let orders: Vec<Value> = entries.into_iter().map(|e| e.said).collect();
        json!({ "format": 1, "folder": self.place(), "orders": orders, "remark": remark })
    }

    /// How far the orders have come by the shop's book; why that is not known.
    fn lives(&self, entries: &[Entry]) -> (Vec<Life>, Option<String>) {
        let known: Vec<Known> = entries.iter().filter_map(|e| e.order.clone()).collect();
        match (self.lent.book(), self.lent.days()) {
            (Ok(Some(lines)), Some((today, _))) => (lives(&lines, &known, today), None),
            (Err(why), _) => (Vec::new(), Some(why)),
            _ => (Vec::new(), None),
        }
    }

    /// Whether the order has a pack, and one of the order as it is now.
    fn pack(&self, order: &Known) -> Option<&'static str> {
        let list = Manifest::read(&self.lent.packed(&order.order)?).ok()?;
        Some(if list.fingerprint == order.fingerprint { "current" } else { "stale" })
    }

    /// Nobody else saves or approves as long as it is held.
    pub fn alone(&self) -> MutexGuard<'_, ()> {
        self.saving.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The path of an order that the folder holds exactly as given.
    ///
    /// # Errors
    /// Where it does not, in words.
    pub fn saved(&self, name: &str, text: &[u8]) -> Result<PathBuf, String> {
        let path = self.path(name).filter(|path| bytes_of(path).as_deref() == Some(text));
        path.ok_or_else(|| format!("{name} in the folder is not the order as it is here"))
    }

    /// The text of the approvals of an order of the folder; `None` where there are none.
    ///
    /// # Errors
    /// Where they cannot be read, in words.
    pub fn record(&self, name: &str) -> Result<Option<String>, String> {
        self.path(name).map_or(Ok(None), |path| Folder::record_at(&Folder::approval_beside(&path)))
    }

    /// The same of a file of approvals.
    ///
    /// # Errors
    /// As [`Folder::record`].
    pub fn record_at(path: &Path) -> Result<Option<String>, String> {
        if path.symlink_metadata().is_err() {
            return Ok(None);
        }
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let text = bytes_of(path).and_then(|bytes| String::from_utf8(bytes).ok());
        text.map(Some).ok_or_else(|| format!("{name} cannot be read as a record of approvals"))
    }

    /// The approvals of an order at a path lie beside it.
    pub fn approval_beside(path: &Path) -> PathBuf {
        path.with_extension("approval.json")
    }

    fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(&self.orders).into_iter().flatten().flatten();
        let names = entries.filter_map(|e| e.file_name().into_string().ok());
        names.filter(|name| is_name(name)).take(MOST_LISTED).collect()
    }

    fn entry(&self, name: &str, shop: &Shop) -> Option<Entry> {
        let path = self.path(name)?;
        let meta = fs::metadata(&path).ok()?;
        let changed = meta.modified().ok()?.duration_since(UNIX_EPOCH).ok()?.as_millis();
        let approval = fs::read_to_string(Folder::approval_beside(&path)).ok();
        let same = format!("{changed} {} {}", meta.len(), approval.as_deref().map(|a| version(a.as_bytes())).unwrap_or_default());
        let known = self.known.lock().unwrap_or_else(PoisonError::into_inner).get(name).cloned();
        let mut entry = match known {
            Some((of, entry)) if of == same => entry,
            _ => {
                let entry = summary(&bytes_of(&path)?, approval.as_deref(), shop);
                let mut all = self.known.lock().unwrap_or_else(PoisonError::into_inner);
                all.insert(name.to_owned(), (same, entry.clone()));
                entry
            }
        };
        entry.said["file"] = json!(name);
        entry.said["changed"] = json!(u64::try_from(changed).unwrap_or(u64::MAX));
        Some(entry)
    }

    /// `{"format", "file", "text", "version", "approval"}`.
    pub fn open(&self, name: &str) -> Response {
        let Some(path) = self.path(name) else { return Refusal::unknown().into_response() };
        let Some(bytes) = bytes_of(&path) else {
            return refused(StatusCode::NOT_FOUND, &format!("there is no order {name} in the folder that can be read"));
        };
        let approval = fs::read_to_string(Folder::approval_beside(&path)).ok();
        match String::from_utf8(bytes) {
            Ok(text) => {
                let version = version(text.as_bytes());
                reply::json(&json!({ "format": 1, "file": name, "text": text, "version": version, "approval": approval }))
            }
            Err(_) => refused(StatusCode::UNPROCESSABLE_ENTITY, &format!("{name} is not UTF-8 text: save it as UTF-8")),
        }
    }

    /// `{"format", "file", "version", "taken", "remark"}`: `taken` is the stock wheel that the shop's book now has as taken for the order, `remark` why
    /// it has not; `{"theirs": {"text", "version"}}` where the file is another one than was opened, and nothing is written.
    pub fn save(&self, body: &[u8]) -> Response {
        let asked: Asked = match serde_json::from_slice(body) {
            Ok(asked) => asked,
            Err(e) => return refused(StatusCode::BAD_REQUEST, &format!("this asks for nothing to be saved: {e}")),
        };
        let Some(path) = self.path(&asked.file) else {
            let said = "a name of letters, digits, blanks, `-`, `_` and `.`, ending in .json, is needed";
            return refused(StatusCode::BAD_REQUEST, said);
        };
        let _one = self.alone();
        let there = bytes_of(&path);
        if there.as_deref().map(version) != asked.version {
            let theirs = there.map(|bytes| json!({ "text": String::from_utf8_lossy(&bytes), "version": version(&bytes) }));
            return with_status(StatusCode::CONFLICT, &json!({ "format": 1, "file": asked.file, "theirs": theirs }));
        }
        match self.lent.write(&path, asked.text.as_bytes()) {
            Ok(()) => {
                let entered = if there.is_none() { self.enter_repeat(asked.text.as_bytes()) } else { Ok(()) };
                let unsaid = entered.err().map(|why| format!("It is saved, but the shop's book does not say that the order is taken: {why}"));
                let (taken, remark) = self.enter_stock(there.as_deref(), asked.text.as_bytes());
                let remark = remark.or(unsaid);
                reply::json(&json!({ "format": 1, "file": asked.file, "version": version(asked.text.as_bytes()), "taken": taken, "remark": remark }))
            }
            Err(why) => refused(StatusCode::INTERNAL_SERVER_ERROR, &format!("nothing was saved: {why}")),
        }
    }

    /// An order that repeats an earlier one is taken once it is first saved: the book gets the line that the command writes.
    fn enter_repeat(&self, text: &[u8]) -> Result<(), String> {
        let job = ShopRules::built_in().open(text).ok().filter(|job| job.head.based_on.is_some());
        let Some(job) = job else { return Ok(()) };
        let lines = self.lent.book()?.unwrap_or_default();
        if lines.iter().any(|line| line.event.order == job.file_stem()) {
            return Ok(());
        }
        self.lent.enter(&Deed { kind: Kind::Taken, job: &job, by: None, note: None, files: &[] })
    }

    /// A stock wheel that the order has as its blank only since this save is taken from the rack: the book gets the line that the command writes.
    fn enter_stock(&self, before: Option<&[u8]>, now: &[u8]) -> (Option<String>, Option<String>) {
        let stock_of = |text: &[u8]| ShopRules::built_in().open(text).ok().and_then(|job| Some((job.blank.as_ref()?.stock.clone()?, job)));
        let Some((stock, job)) = stock_of(now) else { return (None, None) };
        if before.and_then(stock_of).is_some_and(|(old, of)| old == stock && of.file_stem() == job.file_stem()) {
            return (None, None);
        }
        let note = format!("stock {stock}");
        let entered = self.lent.book().and_then(|book| {
            let lines = book.unwrap_or_default();
            let of_order = lines.iter().rev().map(|line| &line.event).find(|e| e.event == Kind::StockTaken && e.order == job.file_stem());
            if of_order.is_some_and(|e| e.note.as_deref() == Some(note.as_str())) {
                return Ok(None);
            }
            let deed = Deed { kind: Kind::StockTaken, job: &job, by: None, note: Some(&note), files: &[] };
            self.lent.enter(&deed)?;
            // where there is no shop there is no book after it either
            Ok(self.lent.book()?.map(|_| stock))
        });
        entered.map_or_else(|why| (None, Some(format!("It is saved, but the shop's book does not say that the blank is taken: {why}"))), |taken| (taken, None))
    }

    /// The path of a name in the folder; `None` where it is no name of an order, or leads out of the folder.
    fn path(&self, name: &str) -> Option<PathBuf> {
        let path = self.orders.join(name);
        let stays = match path.canonicalize() {
            Ok(real) => real.is_file() && real.parent() == self.orders.canonicalize().ok().as_deref(),
            Err(_) => path.symlink_metadata().is_err(),
        };
        (is_name(name) && stays).then_some(path)
    }
}

/// A file of an order, as a shop names it.
fn is_name(name: &str) -> bool {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | ' ');
    let stem = name.strip_suffix(ENDING).unwrap_or_default();
    !stem.is_empty()
        && name.len() <= LONGEST_NAME
        && !name.starts_with(['.', ' '])
        && name.chars().all(plain)
        && !OTHERS.iter().any(|other| name.ends_with(other))
}

/// The bytes of a file that is short enough for the page.
fn bytes_of(path: &Path) -> Option<Vec<u8>> {
    let most = super::guard::LONGEST_BODY as u64;
    fs::metadata(path).ok().filter(|m| m.is_file() && m.len() <= most)?;
    fs::read(path).ok()
}

/// What a file is, so that another one in its place is noticed: its SHA-256.
fn version(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What the list says of an order: `{"name", "customer", "item", "state", "next"}`.
fn summary(bytes: &[u8], approval: Option<&str>, shop: &Shop) -> Entry {
    let head: Value = serde_json::from_slice(bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes)).unwrap_or_default();
    let part = |key: &str| head["order"][key].as_str().unwrap_or_default().to_owned();
    let name: Vec<String> = ["number", "revision"].map(part).into_iter().filter(|p| !p.is_empty()).collect();
    let job = answer::opened(bytes, &shop.rules).ok();
    let order = job.as_ref().map(known);
    let (state, next) = standing(job, approval, shop);
    let said = json!({ "name": name.join("-"), "customer": part("customer"), "item": part("item"), "state": state, "next": next });
    Entry { said, order }
}

fn known(job: &Job) -> Known {
    Known {
        order: job.file_stem(),
        fingerprint: job.fingerprint().full().to_owned(),
        customer: job.head.customer.clone(),
        quantity: job.head.quantity,
        due: job.head.due.as_ref().and_then(|due| due.parse().ok()),
    }
}

/// The state of an order and what comes next.
fn standing(job: Option<Job>, approval: Option<&str>, shop: &Shop) -> (&'static str, String) {
    let Some(job) = job else { return ("unfinished", "finish the order".to_owned()) };
    let approved = approval.is_some_and(|record| is_approved(record, &job, shop));
    let Ok(dossier) = Dossier::of(job, &shop.rules) else { return ("unfinished", "finish the order".to_owned()) };
    let count = |of: Severity| dossier.outcome.findings.iter().filter(|f| f.severity == of).count();
    match (count(Severity::Stop), count(Severity::Ask)) {
        (0, 0) if approved => ("approved", "make the files".to_owned()),
        (0, 0) => ("clear", "send the drawing for approval".to_owned()),
        (0, _) if approved => ("approved", "make the files; open questions were waived".to_owned()),
        (0, asks) => ("ask", format!("questions to ask: {asks}")),
        (stops, _) => ("stop", format!("findings to put right: {stops}")),
    }
}

fn is_approved(record: &str, job: &Job, shop: &Shop) -> bool {
    Record::read(record).is_ok_and(|found| found.now(job, &shop.rules).is_given())
}

fn refused(status: StatusCode, message: &str) -> Response {
    Refusal::new(status, message).into_response()
}

fn with_status(status: StatusCode, value: &Value) -> Response {
    let mut response = reply::json(value);
    *response.status_mut() = status;
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_orders_have_names() {
        for good in ["1042.json", "1042-B.json", "Our usual wheel.json", "größe.json"] {
            assert!(is_name(good), "{good}");
        }
        for bad in ["", ".json", "..json", "a/b.json", "..\\a.json", "../1042.json", "1042.approval.json", "1042.txt", ".hidden.json", "shop.json", "a\0.json"]
        {
            assert!(!is_name(bad), "{bad}");
        }
    }
}
