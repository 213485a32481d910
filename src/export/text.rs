//! A report for people: a table whose columns are aligned, numbers by their points.

use crate::report::{Report, Value};

/// Blanks between two columns.
const GAP: &str = "  ";

/// The title, a rule, and a line for each row; columns that are empty throughout are left out.
pub fn text(report: &Report) -> String {
    let mut columns = vec![
        column(report, |row| row.label.clone()),
        column(report, |row| row.symbol.clone()),
        values(report),
        column(report, |row| row.unit.clone()),
        column(report, |row| row.source.clone()),
    ];
    columns.retain(|column| column.iter().any(|cell| !cell.trim().is_empty()));
    let widths: Vec<usize> = columns.iter().map(|column| column.iter().map(|c| width(c)).max().unwrap_or(0)).collect();
    let mut out = String::new();
    if !report.title.is_empty() {
        out += &format!("{}\n{}\n", report.title, "─".repeat(width(&report.title)));
    }
    for i in 0..report.rows.len() {
        let cells = columns.iter().zip(&widths).map(|(column, &width)| padded(&column[i], width));
        out += cells.collect::<Vec<_>>().join(GAP).trim_end();
        out.push('\n');
    }
    out
}

fn width(cell: &str) -> usize {
    cell.chars().count()
}

fn padded(cell: &str, width: usize) -> String {
    format!("{cell:<width$}")
}

fn column(report: &Report, cell: impl Fn(&crate::report::Row) -> String) -> Vec<String> {
    // a line break would tear the table apart
    report.rows.iter().map(|row| cell(row).replace(['\n', '\r', '\t'], " ")).collect()
}

/// The values: numbers with their points below each other, words from the left.
fn values(report: &Report) -> Vec<String> {
    let whole = |text: &str| text.find('.').unwrap_or(text.len());
    let is_number = |value: &Value| matches!(value, Value::Number { .. });
    let numbers = report.rows.iter().filter(|row| is_number(&row.value));
    let before = numbers.map(|row| whole(&row.value.printed())).max().unwrap_or(0);
    let aligned = |value: &Value| {
        let text = value.printed().replace(['\n', '\r', '\t'], " ");
        let lead = if is_number(value) { before.saturating_sub(whole(&text)) } else { 0 };
        format!("{}{text}", " ".repeat(lead))
    };
    report.rows.iter().map(|row| aligned(&row.value)).collect()
}
