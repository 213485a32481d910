//! The lines of the book: an event between the hash of the line before and the line's own seal.
//!
//! `{"before":"…","time":…,"seal":"…"}`: `seal` is the SHA-256 of all bytes of the line before `,"seal"`, `before` is that of the line before, of the
//! first line that of nothing. A changed byte breaks the seal of its line; a changed byte with a mended seal breaks the line after it.

use super::{Event, Sealed};
use sha2::{Digest, Sha256};

const BEFORE: &[u8] = b"{\"before\":\"";
const SEAL: &[u8] = b",\"seal\":\"";
const END: &[u8] = b"\"}";
/// Hexadecimal digits of a hash.
const HASH: usize = 64;

/// One line that could be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Line of the file, from 1.
    pub line: usize,
    /// Its seal.
    pub seal: String,
    /// What was done.
    pub event: Event,
}

/// A line that is not as it was written.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Fault {
    /// Line of the file, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub what: String,
}

/// All of the book.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Book {
    /// The lines that could be read, also those with a fault.
    pub entries: Vec<Entry>,
    /// The lines that are not as they were written.
    pub faults: Vec<Fault>,
    /// Bytes after the last whole line: of one that was being written when the machine stopped.
    pub cut_off: usize,
}

impl Book {
    /// The line of this number, where it could be read.
    pub fn entry(&self, line: usize) -> Option<&Entry> {
        self.entries.binary_search_by_key(&line, |e| e.line).ok().map(|at| &self.entries[at])
    }

    /// Holds the book against its end as it was last written: what was changed there together with its seal, or taken away, is a fault.
    pub fn held_to(mut self, end: &Sealed) -> Book {
        let what = match self.entry(end.line) {
            Some(entry) if entry.seal == end.seal => return self,
            Some(_) => "the line is not the one that was written there: it was changed together with its seal",
            None => "the line that was written there is gone",
        };
        self.faults.push(Fault { line: end.line, what: what.to_owned() });
        self.faults.sort_by_key(|f| f.line);
        self
    }
}

/// How the file ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tail<'a> {
    /// The last whole line; `None` where there is none.
    last: Option<&'a [u8]>,
    /// How many whole lines there are.
    pub lines: usize,
    /// Bytes of the whole lines.
    pub whole: usize,
    /// Whether only the end of the last whole line is missing.
    pub lacks_end: bool,
}

/// Finds the end of the whole lines.
pub fn tail(bytes: &[u8]) -> Tail<'_> {
    let ended = bytes.iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
    let rest = &bytes[ended..];
    let lines = bytes.iter().filter(|b| **b == b'\n').count();
    if !rest.is_empty() && parse(rest).is_ok_and(|p| p.seal == hash(p.sealed)) {
        return Tail { last: Some(rest), lines: lines + 1, whole: bytes.len(), lacks_end: true };
    }
    let last = bytes[..ended].strip_suffix(b"\n").map(|all| all.rsplit(|b| *b == b'\n').next().unwrap_or(all));
    Tail { last, lines, whole: ended, lacks_end: false }
}

/// The lines that follow a tail, with the bytes that end its last line where they are missing, and the seal of each.
pub fn lines(tail: &Tail, events: &[Event]) -> (Vec<u8>, Vec<String>) {
    let mut out = if tail.lacks_end { b"\n".to_vec() } else { Vec::new() };
    let mut before = tail.last.map_or_else(|| hash(b""), hash_of);
    let mut seals = Vec::with_capacity(events.len());
    for event in events {
        let line = line(&before, event);
        before = hash_of(line.as_bytes());
        seals.push(before.clone());
        out.extend(line.bytes());
        out.push(b'\n');
    }
    (out, seals)
}

fn line(before: &str, event: &Event) -> String {
    // texts, days and whole numbers always serialise
    let event = serde_json::to_string(event).unwrap_or_default();
    let sealed = format!("{{\"before\":\"{before}\",{}", event.strip_prefix('{').and_then(|e| e.strip_suffix('}')).unwrap_or_default());
    let seal = hash(sealed.as_bytes());
    format!("{sealed},\"seal\":\"{seal}\"}}")
}

/// Reads the book and holds every line against its seal and the line before.
pub fn read(bytes: &[u8]) -> Book {
    let end = tail(bytes);
    let mut book = Book { cut_off: bytes.len() - end.whole, ..Book::default() };
    let mut before = hash(b"");
    let whole = &bytes[..end.whole];
    let lines = whole.strip_suffix(b"\n").unwrap_or(whole).split(|b| *b == b'\n');
    for (i, text) in lines.enumerate().take(end.lines) {
        let line = i + 1;
        let mut fault = |what: &str| book.faults.push(Fault { line, what: what.to_owned() });
        match parse(text) {
            Err(what) => {
                fault(&what);
                before = hash_of(text);
            }
            Ok(parsed) => {
                let own = hash(parsed.sealed);
                if own != parsed.seal {
                    fault("the line was changed after it was written: it does not bear its seal");
                } else if parsed.before != before {
                    fault("the line does not follow the one before it: that one was changed, or lines were added or taken out between them");
                }
                book.entries.push(Entry { line, seal: own.clone(), event: parsed.event });
                before = own;
            }
        }
    }
    book
}

/// The lines after one, where they can be read.
pub fn since(bytes: &[u8], line: usize) -> Vec<Entry> {
    let rows = bytes.split(|b| *b == b'\n').enumerate().skip(line);
    let read = |(i, text)| parse(text).ok().map(|p| Entry { line: i + 1, seal: hash(p.sealed), event: p.event });
    rows.filter_map(read).collect()
}

/// What the line after one must say of it; `None` where there is no such line.
pub fn seal_of(bytes: &[u8], line: usize) -> Option<String> {
    bytes.split(|b| *b == b'\n').nth(line.checked_sub(1)?).filter(|text| !text.is_empty()).map(hash_of)
}

/// One line in its parts.
struct Parsed<'a> {
    before: &'a str,
    seal: &'a str,
    /// The bytes the seal is of.
    sealed: &'a [u8],
    event: Event,
}

fn parse(line: &[u8]) -> Result<Parsed<'_>, String> {
    let none = || "this is no line of a book".to_owned();
    let (sealed, seal) = parted(line).ok_or_else(none)?;
    let rest = sealed.strip_prefix(BEFORE).ok_or_else(none)?;
    let (before, rest) = rest.split_at_checked(HASH).ok_or_else(none)?;
    let fields = rest.strip_prefix(b"\",").ok_or_else(none)?;
    let text = |bytes| std::str::from_utf8(bytes).map_err(|_| none());
    let event = [b"{", fields, b"}"].concat();
    let event = serde_json::from_slice(&event).map_err(|e| format!("the line cannot be read: {e}"))?;
    Ok(Parsed { before: text(before)?, seal: text(seal)?, sealed, event })
}

/// The bytes a line's seal is of, and the seal; `None` where it has none.
fn parted(line: &[u8]) -> Option<(&[u8], &[u8])> {
    let (rest, seal) = line.strip_suffix(END)?.split_last_chunk::<HASH>()?;
    Some((rest.strip_suffix(SEAL)?, seal))
}

/// What the next line must say of this one.
fn hash_of(line: &[u8]) -> String {
    hash(parted(line).map_or(line, |(sealed, _)| sealed))
}

pub(super) fn hash(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let mut out = String::with_capacity(HASH);
    for byte in Sha256::digest(bytes) {
        out.push(char::from(DIGITS[usize::from(byte >> 4)]));
        out.push(char::from(DIGITS[usize::from(byte & 15)]));
    }
    out
}
