//! From the bytes of a file to what it holds, with the place of everything that is wrong.

use super::place::sorted;
use super::scan::{Fault, scan};
use super::walk::walk;
use super::{Form, Located, Place, Places, Problem};
use serde::de::DeserializeOwned;

/// Longest file, bytes; a long order has a few thousand.
pub const LONGEST_FILE: usize = 4 << 20;

/// What a file holds.
#[derive(Debug, Clone)]
pub struct Reading<T> {
    /// What it holds: whole where `problems` is empty; else with stand-ins at the `broken` fields, for further checks only, or `None` where
    /// nothing can be made of the file.
    pub content: Option<T>,
    /// What is wrong with the writing, in the order of the file.
    pub problems: Vec<Located>,
    /// JSON pointers of fields whose value is a stand-in or was left out.
    pub broken: Vec<String>,
    /// Where every field stands.
    pub places: Places,
}

/// Whether a field, something in it or what it lies in is among those that hold stand-ins.
pub fn is_touched(field: &str, broken: &[String]) -> bool {
    let within = |inner: &str, outer: &str| inner.strip_prefix(outer).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    broken.iter().any(|b| within(b, field) || within(field, b))
}

/// Reads a file. A byte order mark is skipped; lines may end in LF or CRLF. The structs of `T` must be those the form's schema was made from.
pub fn read<T: DeserializeOwned>(bytes: &[u8], form: &Form) -> Reading<T> {
    if bytes.len() > LONGEST_FILE {
        let message = format!("the file has {} MB; no {} is that long", bytes.len() >> 20, form.name());
        return unreadable(message, &format!("give {} file", form.thing));
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => read_text(text, form),
        Err(e) => not_utf8(bytes, e.valid_up_to()),
    }
}

fn read_text<T: DeserializeOwned>(text: &str, form: &Form) -> Reading<T> {
    let (root, mut faults) = scan(text, form);
    let places = Places::new(text, root);
    let located = |faults: Vec<Fault>, places: &Places| sorted(faults.into_iter().map(|f| places.fault(f)).collect());
    let Some(root) = places.root() else {
        return Reading { content: None, problems: located(faults, &places), broken: Vec::new(), places };
    };
    let walked = walk(text, root, form);
    faults.extend(walked.faults);
    let mut problems = located(faults, &places);
    let content = serde_json::from_value(walked.value);
    if let Err(e) = &content {
        // the schema is made from the structs; should they ever disagree, the file is refused rather than misread
        problems.push(places.locate(Problem::new("", format!("the {} cannot be read: {e}", form.name()), "")));
    }
    Reading { content: content.ok(), problems, broken: walked.broken, places }
}

fn not_utf8<T>(bytes: &[u8], valid: usize) -> Reading<T> {
    if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
        return unreadable("the file is UTF-16 text".to_owned(), "save it as UTF-8");
    }
    let text = String::from_utf8_lossy(bytes);
    let places = Places::new(&text, None);
    let message = format!("byte {} of the file (hexadecimal {:02X}) is not UTF-8 text", valid + 1, bytes[valid]);
    let width = '\u{FFFD}'.len_utf8();
    let fault =
        Fault { field: String::new(), span: valid..valid + width, message, hint: "save the file as UTF-8".into() };
    Reading { content: None, problems: vec![places.fault(fault)], broken: Vec::new(), places }
}

fn unreadable<T>(message: String, hint: &str) -> Reading<T> {
    let place = Place { line: 1, column: 1, excerpt: String::new(), indent: 0, width: 1 };
    let problems = vec![Located { problem: Problem::new("", message, hint), place }];
    Reading { content: None, problems, broken: Vec::new(), places: Places::default() }
}
