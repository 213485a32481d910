//! The parts of a paper as tables, notes and plots of one width.

use super::contours;
use super::flow::Part;
use super::plot;
use crate::drawing::{Anchor, Lettering, measure};
use crate::report::{self, Content, Paper, Row, Value};
use crate::sheet::notes::Notes;
use crate::sheet::table::{Column, Table};
use crate::sheet::tables::SMALL;
use crate::sheet::view::Style;

/// Clear distance between a cell's text and the rules left and right of it together, mm.
const CELL_PAD: f64 = 3.0;

/// The parts of a paper in columns of this width, mm.
pub fn parts(paper: &Paper, style: &Style, width: f64) -> Vec<Part> {
    let one = |(i, part): (usize, &report::Part)| {
        let id = format!("calculation-{}", i + 1);
        match &part.content {
            Content::Rows(rows) => Part::Table(of_rows(&id, &part.title, rows, style).laid_to(width)),
            Content::Table(table) => Part::Table(of_table(&id, &part.title, table, style).laid_to(width)),
            Content::Plot(curves) => Part::Whole(plot::block(&id, &part.title, curves, style, width)),
            Content::Contours(lines) => Part::Whole(contours::block(&id, &part.title, lines, width)),
            Content::Notes(items) => {
                let notes = Notes { id, title: part.title.clone(), items: items.clone(), numbered: false };
                Part::Notes(notes.laid(width))
            }
        }
    };
    paper.parts.iter().enumerate().map(one).collect()
}

fn of_rows(id: &str, title: &str, rows: &[Row], style: &Style) -> Sized {
    let has_symbols = rows.iter().any(|r| !r.symbol.is_empty());
    let mut heads = vec![("", Anchor::Start)];
    if has_symbols {
        heads.push(("", Anchor::Start));
    }
    heads.extend([("", Anchor::End), ("", Anchor::Start), ("", Anchor::Start)]);
    let lines = rows.iter().map(|row| {
        let mut line = vec![row.label.clone()];
        if has_symbols {
            line.push(row.symbol.clone());
        }
        line.extend([style.value(&row.value), row.unit.clone(), row.source.clone()]);
        line
    });
    Sized::new(id, title, heads.into_iter().map(|(h, a)| (h.to_owned(), a)).collect(), lines.collect())
}

fn of_table(id: &str, title: &str, table: &report::Table, style: &Style) -> Sized {
    let is_number = |i: usize| table.lines.iter().any(|l| matches!(l.get(i), Some(Value::Number { .. })));
    let heading = |(i, c): (usize, &report::Column)| {
        let head = if c.unit.is_empty() { c.label.clone() } else { format!("{} {}", c.label, c.unit) };
        (head, if is_number(i) { Anchor::End } else { Anchor::Start })
    };
    let lines = table.lines.iter().map(|l| l.iter().map(|v| style.value(v)).collect()).collect();
    Sized::new(id, title, table.columns.iter().enumerate().map(heading).collect(), lines)
}

/// A table whose columns are still to be given their widths.
struct Sized {
    id: String,
    title: String,
    heads: Vec<(String, Anchor)>,
    rows: Vec<Vec<String>>,
}

impl Sized {
    fn new(id: &str, title: &str, heads: Vec<(String, Anchor)>, rows: Vec<Vec<String>>) -> Sized {
        let filled = |i: usize| !heads[i].0.is_empty() || rows.iter().any(|r| !r[i].is_empty());
        let kept: Vec<usize> = (0..heads.len()).filter(|&i| filled(i)).collect();
        let rows = rows.iter().map(|r| kept.iter().map(|&i| r[i].clone()).collect()).collect();
        let heads = kept.iter().map(|&i| heads[i].clone()).collect();
        Sized { id: format!("table-{id}"), title: title.to_owned(), heads, rows }
    }

    /// Width of a column's longest text (`whole`) or longest word, mm.
    fn widest(&self, i: usize, whole: bool) -> f64 {
        let width = |text: &str, lettering| {
            if whole {
                return measure::width(text, SMALL, lettering);
            }
            text.split_whitespace().map(|w| measure::width(w, SMALL, lettering)).fold(0.0, f64::max)
        };
        let cells = self.rows.iter().map(|r| width(&r[i], Lettering::Plain));
        cells.fold(width(&self.heads[i].0, Lettering::Bold), f64::max)
    }

    /// Laid out to this width: every column gets what its longest word needs, and the rest goes to the texts that would otherwise break.
    fn laid_to(self, width: f64) -> crate::sheet::table::LaidTable {
        let n = self.heads.len();
        let room = width - CELL_PAD * n as f64;
        let least: Vec<f64> = (0..n).map(|i| self.widest(i, false)).collect();
        let whole: Vec<f64> = (0..n).map(|i| self.widest(i, true)).collect();
        let spare = (room - least.iter().sum::<f64>()).max(0.0);
        let wanted: f64 = whole.iter().zip(&least).map(|(w, l)| w - l).sum();
        let share = if wanted > spare { spare / wanted } else { 1.0 };
        // longest words that do not fit together are broken in proportion
        let squeeze = (room / least.iter().sum::<f64>()).min(1.0);
        let columns = (0..n).map(|i| {
            let most = (least[i] + (whole[i] - least[i]) * share) * squeeze;
            Column { head: self.heads[i].0.clone(), anchor: self.heads[i].1, most: most + 0.01, least: 0.0, bold: false }
        });
        Table {
            id: self.id.clone(),
            title: self.title.clone(),
            columns: columns.collect(),
            rows: self.rows.clone(),
            size: SMALL,
        }
        .laid(width - 0.1 * n as f64)
    }
}
