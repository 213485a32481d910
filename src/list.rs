//! Lists that people write in a spreadsheet: one reader for every csv file, whatever sign, encoding and line ends a spreadsheet gave it.

use crate::quantity::quoted;
use serde::Serialize;
use std::borrow::Cow;

/// Something wrong with one row, or with the heading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RowProblem {
    /// Line of the file, from 1.
    pub line: u64,
    /// The column; empty for the row as a whole.
    pub field: String,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

/// One row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListRow {
    /// Line of the file, from 1.
    pub line: u64,
    /// Its cells, without blanks around them; longer than the heading only where a cell beyond it is filled.
    pub cells: Vec<String>,
}

/// A list as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct List {
    /// Line of the heading, from 1.
    pub line: u64,
    /// The names of the columns as written, without empty ones at the end.
    pub heading: Vec<String>,
    /// The rows that hold anything.
    pub rows: Vec<ListRow>,
    /// The rows that could not be read.
    pub problems: Vec<RowProblem>,
    /// What parts the cells.
    pub sign: u8,
}

/// Reads a list: comma, semicolon or tab, or what a first line `sep=` names; UTF-8, or UTF-16 with its mark. Lines that begin with `#` are remarks.
///
/// # Errors
/// Where it is no text, or the heading cannot be read: then no row means anything.
pub fn read(bytes: &[u8]) -> Result<List, RowProblem> {
    let mut text = as_utf8(bytes)?;
    let named = named_sign(&text);
    if named.is_some() {
        // a remark, so that lines keep their count
        text.to_mut()[0] = b'#';
    }
    let sign = named.unwrap_or_else(|| sign_of(heading_of(&text)));
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(sign)
        .trim(csv::Trim::All)
        .flexible(true)
        .has_headers(false)
        .comment(Some(b'#'))
        .from_reader(&*text);
    let mut lines = Lines { bytes: &text, at: 0, line: 1 };
    let mut list = List { line: 1, heading: Vec::new(), rows: Vec::new(), problems: Vec::new(), sign };
    let mut has_heading = false;
    for record in reader.records() {
        let read = match record {
            Ok(record) => row(&record, lines.of(record.position())),
            Err(error) => Err(unreadable(lines.of(error.position()), &error)),
        };
        match read {
            Err(problem) if !has_heading => return Err(problem),
            Err(problem) => list.problems.push(problem),
            Ok(row) if row.cells.iter().all(String::is_empty) => {}
            Ok(row) if !has_heading => {
                has_heading = true;
                (list.line, list.heading) = (row.line, trimmed_to(row.cells, 0));
            }
            Ok(row) => list.rows.push(ListRow { line: row.line, cells: trimmed_to(row.cells, list.heading.len()) }),
        }
    }
    Ok(list)
}

/// A column's name as it is looked for: capitals, blanks and hyphens make no difference.
pub fn key(heading: &str) -> String {
    heading.trim().to_lowercase().replace([' ', '-'], "_")
}

impl List {
    /// The text of a number, with a point. In a list parted by semicolons a comma is the decimal sign, as spreadsheets write both together; elsewhere
    /// it is one where it cannot be the sign of thousands.
    ///
    /// # Errors
    /// Where it can be read in two ways: what is wrong and what would be right.
    pub fn number<'a>(&self, cell: &'a str) -> Result<Cow<'a, str>, (String, String)> {
        decimal(cell, self.sign == b';')
    }
}

fn decimal(cell: &str, is_by_comma: bool) -> Result<Cow<'_, str>, (String, String)> {
    let Some((before, after)) = cell.split_once(',') else { return Ok(Cow::Borrowed(cell)) };
    let whole = before.rsplit(|c: char| !c.is_ascii_digit()).next().unwrap_or_default();
    let part = after.chars().take_while(char::is_ascii_digit).count();
    let is_thousands = part == 3 && whole.len() <= 3 && !whole.trim_start_matches('0').is_empty();
    if before.contains('.') || after.contains(['.', ',']) || (is_thousands && !is_by_comma) {
        let hint = "write the decimal sign as a point and no sign of thousands, such as 1234.5";
        return Err((format!("{} can be read in two ways", quoted(cell)), hint.to_owned()));
    }
    Ok(Cow::Owned(cell.replacen(',', ".", 1)))
}

/// The text in UTF-8, without its mark.
fn as_utf8(bytes: &[u8]) -> Result<Cow<'_, [u8]>, RowProblem> {
    let (big, units) = match bytes {
        [0xEF, 0xBB, 0xBF, text @ ..] => return Ok(Cow::Borrowed(text)),
        [0xFF, 0xFE, units @ ..] => (false, units),
        [0xFE, 0xFF, units @ ..] => (true, units),
        _ => return Ok(Cow::Borrowed(bytes)),
    };
    let (pairs, rest) = units.as_chunks::<2>();
    let unit = |pair: &[u8; 2]| if big { u16::from_be_bytes(*pair) } else { u16::from_le_bytes(*pair) };
    let text: Result<String, _> = char::decode_utf16(pairs.iter().map(unit)).collect();
    match text {
        Ok(text) if rest.is_empty() => Ok(Cow::Owned(text.into_bytes())),
        _ => {
            let message = "the file begins as UTF-16 text and is none".to_owned();
            Err(RowProblem { line: 1, field: String::new(), message, hint: "save the file as csv in UTF-8".to_owned() })
        }
    }
}

/// The sign a first line `sep=;` names.
fn named_sign(text: &[u8]) -> Option<u8> {
    let first = text.split(|b| *b == b'\n').next()?;
    let first = first.strip_suffix(b"\r").unwrap_or(first);
    let bare = first.strip_prefix(b"\"").and_then(|f| f.strip_suffix(b"\"")).unwrap_or(first);
    match bare.split_at_checked(4)? {
        (word, [sign]) if word.eq_ignore_ascii_case(b"sep=") => Some(*sign),
        _ => None,
    }
}

fn heading_of(text: &[u8]) -> &[u8] {
    let mut lines = text.split(|b| *b == b'\n');
    lines.find(|line| !line.starts_with(b"#") && !line.trim_ascii().is_empty()).unwrap_or_default()
}

/// The sign that stands most often in the heading outside of quotes; the comma of several.
fn sign_of(heading: &[u8]) -> u8 {
    let (mut counts, mut is_quoted) = ([(b',', 0), (b';', 0), (b'\t', 0)], false);
    for byte in heading {
        is_quoted ^= *byte == b'"';
        counts.iter_mut().filter(|(sign, _)| !is_quoted && sign == byte).for_each(|(_, n)| *n += 1);
    }
    let most = counts.iter().map(|(_, n)| *n).max();
    counts.iter().find(|(_, n)| Some(*n) == most).map_or(b',', |(sign, _)| *sign)
}

/// A row whose cells a terminal can show.
fn row(record: &csv::StringRecord, line: u64) -> Result<ListRow, RowProblem> {
    let is_odd = |cell: &&str| cell.chars().any(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t'));
    if let Some(cell) = record.iter().find(is_odd) {
        let message = format!("the cell {} holds a control character", quoted(cell));
        return Err(RowProblem { line, field: String::new(), message, hint: "type the cell anew".to_owned() });
    }
    let cells = record.iter().map(|cell| cell.replace(['\n', '\r', '\t'], " ")).collect();
    Ok(ListRow { line, cells })
}

/// Without empty cells at the end beyond so many.
fn trimmed_to(mut cells: Vec<String>, least: usize) -> Vec<String> {
    let filled = cells.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1);
    cells.truncate(filled.max(least));
    cells
}

/// The row of a csv error in words.
fn unreadable(line: u64, error: &csv::Error) -> RowProblem {
    let message = match error.kind() {
        csv::ErrorKind::Utf8 { .. } => "the row is not UTF-8 text",
        _ => "the row cannot be read",
    };
    RowProblem { line, field: String::new(), message: message.to_owned(), hint: "save the file as csv in UTF-8".to_owned() }
}

/// Lines of rows, counted on from the last one. The csv reader's own count stands before line ends and empty lines that it skips.
struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u64,
}

impl Lines<'_> {
    fn of(&mut self, position: Option<&csv::Position>) -> u64 {
        let Some(byte) = position.and_then(|p| usize::try_from(p.byte()).ok()) else { return self.line };
        let to = self.past_remarks(byte.min(self.bytes.len()));
        if let Some(passed) = self.bytes.get(self.at..to) {
            self.line += passed.iter().filter(|b| **b == b'\n').count() as u64;
            self.at = to;
        }
        self.line
    }

    /// Where the row begins whose place the csv reader names: it stands before line ends, empty lines and remarks.
    fn past_remarks(&self, mut at: usize) -> usize {
        loop {
            at += self.bytes.iter().skip(at).take_while(|b| b.is_ascii_whitespace()).count();
            if self.bytes.get(at) != Some(&b'#') {
                return at;
            }
            at += self.bytes.iter().skip(at).take_while(|b| **b != b'\n').count();
        }
    }
}
