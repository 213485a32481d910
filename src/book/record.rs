//! The record of a wheel: a chained file of its own, named by the trace code, that holds what was found beside what the book says; and the book's end as
//! it was last written, which a last line with a mended seal does not match.

use super::chain::hash;
use super::{Book, Entry, Event, Fault};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The folder of the records in the shop's folder.
pub const RECORDS: &str = "records";
/// The file in the shop's folder that holds the end of the book.
pub const END: &str = "book.end";
/// How the name of a record ends.
const ENDING: &str = ".jsonl";
/// Most bytes of a trace code that names a file.
const LONGEST_CODE: usize = 120;

/// A line of the book as it is held elsewhere.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sealed {
    /// Line of the book, from 1.
    pub line: usize,
    /// Its seal.
    pub seal: String,
}

impl Sealed {
    /// As the file of the book's end.
    pub fn file(&self) -> String {
        format!("{{\"line\":{},\"seal\":\"{}\"}}\n", self.line, self.seal)
    }
}

/// The end of the book from its file.
///
/// # Errors
/// Where the file holds none: why.
pub fn end(bytes: &[u8]) -> Result<Sealed, String> {
    serde_json::from_slice(bytes).map_err(|e| format!("it holds no line and seal: {e}"))
}

/// The name of the file of a wheel's record; `None` where its code is no plain name.
pub fn record_name(code: &str) -> Option<String> {
    let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    let is_name = !code.is_empty() && code.len() <= LONGEST_CODE && !code.starts_with('.') && code.chars().all(is_plain);
    is_name.then(|| format!("{code}{ENDING}"))
}

impl Event {
    /// As the book holds it: of what was found, the hash.
    pub fn for_book(&self) -> Event {
        let found_sha256 = self.found.as_ref().map(|found| hash(found.to_string().as_bytes()));
        Event { found: None, found_sha256: found_sha256.or_else(|| self.found_sha256.clone()), in_book: None, ..self.clone() }
    }

    /// As the wheel's record holds it: with the line of the book.
    pub fn for_record(&self, of: Sealed) -> Event {
        Event { in_book: Some(of), ..self.clone() }
    }
}

/// A fault of one of the files beside the book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Beside {
    /// The file, as seen from the folder of the book.
    pub file: String,
    /// What is wrong with it.
    pub what: String,
}

/// What does not fit between the book and the records, which come by their names. Lines of the book after its end are not missed in a record: a run that
/// was ended there left them for the next one.
pub fn against(book: &Book, end: usize, records: &BTreeMap<String, Book>) -> Vec<Beside> {
    let mut due: BTreeMap<String, Vec<&Entry>> = records.keys().map(|name| (name.clone(), Vec::new())).collect();
    for entry in book.entries.iter().filter(|e| e.line <= end) {
        if let Some(name) = entry.event.wheel.as_deref().and_then(record_name) {
            due.entry(name).or_default().push(entry);
        }
    }
    let faults = |(name, due): (&String, &Vec<&Entry>)| {
        let faults = records.get(name).map_or_else(|| vec!["the record is missing".to_owned()], |record| faults(book, name, due, record));
        faults.into_iter().map(|what| Beside { file: format!("{RECORDS}/{name}"), what }).collect::<Vec<_>>()
    };
    due.iter().flat_map(faults).collect()
}

fn faults(book: &Book, name: &str, due: &[&Entry], record: &Book) -> Vec<String> {
    let mut out: Vec<String> = record.faults.iter().map(|Fault { line, what }| format!("line {line}: {what}")).collect();
    let mut there = BTreeMap::new();
    for entry in &record.entries {
        if let Some(what) = unlike(book, name, entry) {
            out.push(format!("line {}: {what}", entry.line));
        }
        let Some(of) = &entry.event.in_book else { continue };
        if let Some(first) = there.insert(of.line, entry.line) {
            out.push(format!("line {}: it is of the same line of the book as line {first}", entry.line));
        }
    }
    if record.cut_off > 0 {
        out.push(format!("its last line was cut off after {} bytes; the next command that writes into the book mends it", record.cut_off));
    }
    let missing = due.iter().filter(|e| !there.contains_key(&e.line));
    out.extend(missing.map(|e| format!("line {} of the book is not in it: it was taken out", e.line)));
    out
}

/// How a line of a record differs from that of the book.
fn unlike(book: &Book, name: &str, entry: &Entry) -> Option<String> {
    let Some(of) = &entry.event.in_book else { return Some("it names no line of the book".to_owned()) };
    let Some(said) = book.entry(of.line) else { return Some(format!("the book has no line {}", of.line)) };
    let told = entry.event.for_book();
    let lost = Event { found_sha256: told.found_sha256.clone(), ..said.event.clone() };
    match () {
        () if said.seal != of.seal => Some(format!("line {} of the book is not the one it was written with", of.line)),
        () if told.wheel.as_deref().and_then(record_name).as_deref() != Some(name) => Some("it is of another wheel".to_owned()),
        () if entry.event.found.is_none() && said.event.found_sha256.is_some() => Some("what was found is not there".to_owned()),
        () if told == said.event => None,
        () if told == lost => Some(format!("what was found is not what line {} of the book has the hash of", of.line)),
        () => Some(format!("it says something else than line {} of the book", of.line)),
    }
}
