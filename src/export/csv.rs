//! Tables for other programs: comma-separated values (RFC 4180), UTF-8, a heading line, decimal points.

use crate::report::{Table, Value};

/// Why a table cannot be written.
#[derive(Debug, thiserror::Error)]
#[error("the table could not be written: {0}")]
pub struct CsvError(String);

/// A table as CSV, its columns headed by label and unit.
///
/// # Errors
/// Where a line has more or fewer values than there are columns.
pub fn table(table: &Table) -> Result<Vec<u8>, CsvError> {
    let headings: Vec<String> = table.columns.iter().map(|column| column.heading()).collect();
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    lines(&headings, table.lines.iter().map(|line| line.iter().map(cell).collect()))
}

/// Any lines as CSV below what the file says of itself: lines that begin with `#`.
///
/// # Errors
/// As [`lines`].
pub fn stated(
    state: &[String],
    headings: &[&str],
    rows: impl IntoIterator<Item = Vec<String>>,
) -> Result<Vec<u8>, CsvError> {
    // a break of a line would end the comment
    let plain = |line: &String| line.replace(['\r', '\n'], " ");
    let mut bytes: Vec<u8> = state.iter().flat_map(|line| format!("# {}\r\n", plain(line)).into_bytes()).collect();
    bytes.extend(lines(headings, rows)?);
    Ok(bytes)
}

/// Any lines as CSV: the headings, then each line, as long as the headings.
///
/// # Errors
/// Where a line has another length.
pub fn lines(headings: &[&str], lines: impl IntoIterator<Item = Vec<String>>) -> Result<Vec<u8>, CsvError> {
    let refused = |error: ::csv::Error| CsvError(error.to_string());
    let mut writer = ::csv::WriterBuilder::new().terminator(::csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(headings).map_err(refused)?;
    for line in lines {
        writer.write_record(line.into_iter().map(harmless)).map_err(refused)?;
    }
    writer.into_inner().map_err(|error| CsvError(error.to_string()))
}

fn cell(value: &Value) -> String {
    match value {
        Value::Unknown => String::new(),
        known => known.printed(),
    }
}

/// A spreadsheet takes a cell that begins with `=`, `@` or a sign and a name for a formula and runs it: an apostrophe makes it a text.
fn harmless(cell: String) -> String {
    let mut chars = cell.chars();
    let is_formula = match chars.next() {
        Some('=' | '@' | '\t' | '\r') => true,
        Some('+' | '-') => chars.next().is_some_and(|c| !(c.is_ascii_digit() || matches!(c, '.' | ','))),
        _ => false,
    };
    if is_formula { format!("'{cell}") } else { cell }
}
