//! Reports for people: tables whose columns are aligned, numbers by their points.

use crate::report::{Content, Paper, Part, Report, Row, Table, Value};

/// Blanks between two columns.
const GAP: &str = "  ";

/// The title, a rule below it, and a line for each row; columns that are empty throughout are left out.
pub fn text(report: &Report) -> String {
    headed(&report.title, '─') + &rows(&report.rows)
}

/// A longer paper: each part under its heading. Of a plot only its curves' names and its marks are told.
pub fn paper(paper: &Paper) -> String {
    let parts: Vec<String> = paper.parts.iter().map(part).collect();
    headed(&paper.title, '═') + "\n" + &parts.join("\n")
}

fn part(part: &Part) -> String {
    let body = match &part.content {
        Content::Rows(content) => rows(content),
        Content::Table(content) => table(content),
        Content::Notes(notes) => notes.iter().map(|note| format!("- {}\n", one_line(note))).collect(),
        Content::Contours(lines) => {
            let (at, most) = lines.greatest;
            let [r, z, most] = [at.x, at.y, most].map(|x| crate::quantity::trimmed(x, 3));
            format!(
                "{}\ngreatest {most} {} at radius {r} mm, {z} mm from side A\n",
                one_line(&lines.legend),
                lines.unit
            )
        }
        Content::Plot(plot) => {
            let curves = plot.series.iter().map(|s| {
                format!("{}: {} [{}] over {} [{}]\n", s.label, plot.y.label, plot.y.unit, plot.x.label, plot.x.unit)
            });
            let marks = plot.marks.iter().map(|mark| {
                let axis = if mark.on_y { &plot.y } else { &plot.x };
                format!("{}: {} {}\n", mark.label, crate::quantity::trimmed(mark.at, 3), axis.unit)
            });
            curves.chain(marks).collect()
        }
    };
    headed(&part.title, '─') + &body
}

/// A table with its headings; nothing but the headings where it has no line.
pub fn table(table: &Table) -> String {
    let columns = table.columns.iter().enumerate().map(|(i, column)| {
        let values: Vec<&Value> = table.lines.iter().filter_map(|line| line.get(i)).collect();
        let mut cells = aligned(&values);
        cells.insert(0, one_line(&column.heading()));
        cells
    });
    joined(&columns.collect::<Vec<_>>())
}

fn headed(title: &str, rule: char) -> String {
    if title.is_empty() {
        return String::new();
    }
    let title = one_line(title);
    format!("{title}\n{}\n", rule.to_string().repeat(width(&title)))
}

fn rows(rows: &[Row]) -> String {
    let column = |cell: fn(&Row) -> &String| rows.iter().map(|row| one_line(cell(row))).collect::<Vec<_>>();
    let mut columns = vec![
        column(|row| &row.label),
        column(|row| &row.symbol),
        aligned(&rows.iter().map(|row| &row.value).collect::<Vec<_>>()),
        column(|row| &row.unit),
        column(|row| &row.source),
    ];
    columns.retain(|column| column.iter().any(|cell| !cell.trim().is_empty()));
    joined(&columns)
}

/// Columns side by side, each as wide as its widest cell.
fn joined(columns: &[Vec<String>]) -> String {
    let widths: Vec<usize> = columns.iter().map(|cells| cells.iter().map(|c| width(c)).max().unwrap_or(0)).collect();
    let lines = columns.iter().map(Vec::len).min().unwrap_or(0);
    let line = |i: usize| {
        let cells = columns.iter().zip(&widths).map(|(cells, &width)| format!("{:<width$}", cells[i]));
        format!("{}\n", cells.collect::<Vec<_>>().join(GAP).trim_end())
    };
    (0..lines).map(line).collect()
}

fn width(cell: &str) -> usize {
    cell.chars().count()
}

/// A line break would tear a table apart.
fn one_line(text: &str) -> String {
    text.replace(['\n', '\r', '\t'], " ")
}

/// Values as cells: numbers with their points below each other, words from the left.
fn aligned(values: &[&Value]) -> Vec<String> {
    let whole = |text: &str| text.find('.').unwrap_or(text.len());
    let is_number = |value: &Value| matches!(value, Value::Number { .. });
    let numbers = values.iter().filter(|value| is_number(value));
    let before = numbers.map(|value| whole(&value.printed())).max().unwrap_or(0);
    let cell = |value: &&Value| {
        let text = one_line(&value.printed());
        let lead = if is_number(value) { before.saturating_sub(whole(&text)) } else { 0 };
        format!("{}{text}", " ".repeat(lead))
    };
    values.iter().map(cell).collect()
}
