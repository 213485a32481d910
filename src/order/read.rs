//! From the bytes of a file to an order, with the place of everything that is wrong.

use super::place::sorted;
use super::scan::{Fault, scan};
use super::walk::walk;
use super::{Located, Order, Place, Places, Problem, schema};

/// Longest order file, bytes; a long one has a few thousand.
pub const LONGEST_FILE: usize = 4 << 20;

/// What a file holds.
#[derive(Debug, Clone)]
pub struct Reading {
    /// The order: whole where `problems` is empty; else with stand-ins at the `broken` fields, for further checks only, or `None` where
    /// nothing can be made of the file.
    pub order: Option<Order>,
    /// What is wrong with the writing, in the order of the file.
    pub problems: Vec<Located>,
    /// JSON pointers of fields whose value is a stand-in or was left out.
    pub broken: Vec<String>,
    /// Where every field stands.
    pub places: Places,
}

/// Reads an order file. A byte order mark is skipped; lines may end in LF or CRLF.
///
/// Quantities stay as typed; `wheel::open` reads and resolves in one step and is what most callers want.
pub fn read(bytes: &[u8]) -> Reading {
    if bytes.len() > LONGEST_FILE {
        let message = format!("the file has {} MB; no order is that long", bytes.len() >> 20);
        return unreadable(message, "give an order file");
    }
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => read_text(text),
        Err(e) => not_utf8(bytes, e.valid_up_to()),
    }
}

fn read_text(text: &str) -> Reading {
    let (root, mut faults) = scan(text);
    let places = Places::new(text, root.as_ref());
    let located = |faults: Vec<Fault>, places: &Places| sorted(faults.into_iter().map(|f| places.fault(f)).collect());
    let Some(root) = root else {
        return Reading { order: None, problems: located(faults, &places), broken: Vec::new(), places };
    };
    let walked = walk(text, &root, schema());
    faults.extend(walked.faults);
    let mut problems = located(faults, &places);
    let order = serde_json::from_value(walked.value);
    if let Err(e) = &order {
        // the schema is made from the structs; should they ever disagree, the file is refused rather than misread
        problems.push(places.locate(Problem::new("", format!("the order cannot be read: {e}"), "")));
    }
    Reading { order: order.ok(), problems, broken: walked.broken, places }
}

fn not_utf8(bytes: &[u8], valid: usize) -> Reading {
    if bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF") {
        return unreadable("the file is UTF-16 text".to_owned(), "save it as UTF-8");
    }
    let text = String::from_utf8_lossy(bytes);
    let places = Places::new(&text, None);
    let message = format!("byte {} of the file (hexadecimal {:02X}) is not UTF-8 text", valid + 1, bytes[valid]);
    let width = '\u{FFFD}'.len_utf8();
    let fault =
        Fault { field: String::new(), span: valid..valid + width, message, hint: "save the file as UTF-8".into() };
    Reading { order: None, problems: vec![places.fault(fault)], broken: Vec::new(), places }
}

fn unreadable(message: String, hint: &str) -> Reading {
    let place = Place { line: 1, column: 1, excerpt: String::new(), indent: 0, width: 1 };
    let problems = vec![Located { problem: Problem::new("", message, hint), place }];
    Reading { order: None, problems, broken: Vec::new(), places: Places::default() }
}
