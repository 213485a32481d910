//! Tables of a paper.

use super::{PITCH, SMALL, TEXT};
use crate::drawing::Lettering::{self, Bold, Plain};
use crate::drawing::{Anchor, Item, LineRole, Text, measure};
use crate::geometry::Point;

/// Room between a rule and the text beside it, mm.
const INSET: f64 = 1.2;

/// Least width of a column whose texts may break, mm.
const LEAST_BREAKING: f64 = 25.0;

/// A column is widened for its longest word by this factor at most.
const MOST_WIDENED: f64 = 1.5;

/// Where a cell's text stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// At the left.
    Left,
    /// At the right: numbers.
    Right,
}

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its heading.
    pub label: String,
    /// Its share of the width, any positive number.
    pub share: f64,
    /// Where its texts stand.
    pub align: Align,
}

impl Column {
    /// A column.
    pub fn new(label: impl Into<String>, share: f64, align: Align) -> Column {
        Column { label: label.into(), share, align }
    }
}

/// One cell: paragraphs, each wrapped to the column's width.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cell {
    paragraphs: Vec<(String, Option<Lettering>)>,
}

impl Cell {
    /// A cell of one plain paragraph; an empty text leaves it empty.
    pub fn new(text: impl Into<String>) -> Cell {
        Cell::default().and(text)
    }

    /// A cell of one bold paragraph.
    pub fn bold(text: impl Into<String>) -> Cell {
        Cell { paragraphs: vec![(text.into(), Some(Bold))] }
    }

    /// One plain paragraph more.
    pub fn and(mut self, text: impl Into<String>) -> Cell {
        let text = text.into();
        if !text.is_empty() {
            self.paragraphs.push((text, Some(Plain)));
        }
        self
    }

    /// All of it in small print.
    pub fn in_small_print(mut self) -> Cell {
        self.paragraphs.iter_mut().for_each(|(_, lettering)| *lettering = None);
        self
    }

    /// Width of its longest paragraph, unbroken, with the room beside it, mm.
    fn width(&self) -> f64 {
        let of = |(text, lettering): &(String, Option<Lettering>)| {
            let (height, lettering) = lettering.map_or((SMALL, Plain), |l| (TEXT, l));
            measure::width(text, height, lettering)
        };
        self.paragraphs.iter().map(of).fold(0.0, f64::max) + 2.0 * INSET
    }

    fn lines(&self, width: f64) -> Vec<Line> {
        let room = width - 2.0 * INSET;
        let of = |(text, lettering): &(String, Option<Lettering>)| {
            let (height, lettering) = lettering.map_or((SMALL, Plain), |l| (TEXT, l));
            let lines = measure::wrapped(text, height, lettering, room);
            lines.into_iter().map(move |text| Line { text, height, lettering }).collect::<Vec<_>>()
        };
        self.paragraphs.iter().flat_map(of).collect()
    }
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Cell {
        Cell::new(text)
    }
}

#[derive(Debug, Clone)]
struct Line {
    text: String,
    height: f64,
    lettering: Lettering,
}

impl Line {
    fn step(&self) -> f64 {
        self.height * PITCH
    }
}

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Grid {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows; a row has a cell for each column.
    pub rows: Vec<Vec<Cell>>,
    /// Least height of a row, mm: room to write in.
    pub row_height: f64,
}

/// Part of a table that must stay together: its height and, once placed, its items.
pub(super) struct Band {
    pub(super) height: f64,
    cells: Vec<(f64, f64, Align, Vec<Line>)>,
    rule: LineRole,
}

impl Band {
    /// Its items, its top at y.
    pub(super) fn items(&self, y: f64) -> Vec<Item> {
        let mut items = Vec::new();
        let bottom = y - self.height;
        for (left, width, align, lines) in &self.cells {
            let (x, anchor) = match align {
                Align::Left => (left + INSET, Anchor::Start),
                Align::Right => (left + width - INSET, Anchor::End),
            };
            let mut base = y - INSET;
            for line in lines {
                let at = Point::new(x, base - line.height);
                let text = Text::new(&line.text, at, line.height);
                items.push(Item::Text(Text { anchor, lettering: line.lettering, ..text }));
                base -= line.step();
            }
            for x in [*left, left + width] {
                let (from, to) = (Point::new(x, y), Point::new(x, bottom));
                items.push(Item::Line { from, to, role: LineRole::TableNarrow });
            }
        }
        if let (Some(first), Some(last)) = (self.cells.first(), self.cells.last()) {
            let (from, to) = (Point::new(first.0, bottom), Point::new(last.0 + last.1, bottom));
            items.push(Item::Line { from, to, role: self.rule });
        }
        // neighbouring cells share their rule
        dedup_lines(&mut items);
        items
    }
}

fn dedup_lines(items: &mut Vec<Item>) {
    let mut kept: Vec<Item> = Vec::with_capacity(items.len());
    for item in items.drain(..) {
        if !matches!(item, Item::Line { .. }) || !kept.contains(&item) {
            kept.push(item);
        }
    }
    *items = kept;
}

impl Grid {
    /// A table of these columns.
    pub fn new(columns: Vec<Column>) -> Grid {
        Grid { columns, ..Grid::default() }
    }

    /// Gives every column what its longest text needs unbroken, and one, whose texts may break, the rest of a table this wide, mm; what it does not
    /// need itself goes to the columns that are written in by hand.
    pub fn fitted(mut self, width: f64, breaking: usize) -> Grid {
        let needed = |i: usize| {
            let heading = measure::width(&self.columns[i].label, TEXT, Bold) + 2.0 * INSET;
            // a hundredth more, so that rounding breaks nothing
            self.rows.iter().filter_map(|r| r.get(i)).map(Cell::width).fold(heading, f64::max) + 0.01
        };
        let mut widths: Vec<f64> = (0..self.columns.len()).map(needed).collect();
        let others: f64 = widths.iter().sum::<f64>() - widths[breaking];
        let rest = (width - others).max(LEAST_BREAKING);
        let is_empty = |i: &usize| self.rows.iter().all(|r| r.get(*i).is_none_or(|cell| cell.paragraphs.is_empty()));
        let by_hand: Vec<usize> = (0..widths.len()).filter(is_empty).collect();
        let surplus = (rest - widths[breaking]).max(0.0);
        let share = if by_hand.is_empty() { 0.0 } else { surplus / by_hand.len() as f64 };
        by_hand.iter().for_each(|&i| widths[i] += share);
        widths[breaking] = rest - share * by_hand.len() as f64;
        for (column, width) in self.columns.iter_mut().zip(widths) {
            column.share = width;
        }
        self
    }

    /// Left ends and widths of the columns of a table this wide, mm: by their shares, but no word is broken that another column has the room for.
    pub(super) fn spans(&self, left: f64, width: f64) -> Vec<(f64, f64)> {
        let mut x = left;
        let placed = |w: f64| {
            x += w;
            (x - w, w)
        };
        self.widths(width).into_iter().map(placed).collect()
    }

    fn widths(&self, width: f64) -> Vec<f64> {
        let whole: f64 = self.columns.iter().map(|c| c.share).sum();
        let mut widths: Vec<f64> = self.columns.iter().map(|c| width * c.share / whole).collect();
        let needed: Vec<f64> = widths.iter().enumerate().map(|(i, w)| self.longest_word(i).min(w * MOST_WIDENED)).collect();
        let over = |w: &f64, need: &f64| (w - need).max(0.0);
        let lacking: f64 = needed.iter().zip(&widths).map(|(need, w)| over(need, w)).sum();
        let spare: f64 = widths.iter().zip(&needed).map(|(w, need)| over(w, need)).sum();
        if lacking <= spare && spare > 0.0 {
            for (w, need) in widths.iter_mut().zip(&needed) {
                *w = need.max(*w - over(w, need) * lacking / spare);
            }
        }
        widths
    }

    /// Width of a column in which no word is broken, mm.
    fn longest_word(&self, column: usize) -> f64 {
        let words = |text: &str, height, lettering| {
            text.split_whitespace().map(|word| measure::width(word, height, lettering)).fold(0.0, f64::max)
        };
        let heading = words(&self.columns[column].label, TEXT, Bold);
        let cells = self.rows.iter().filter_map(|row| row.get(column)).flat_map(|cell| &cell.paragraphs);
        let longest = cells.map(|(text, lettering)| {
            let (height, lettering) = lettering.map_or((SMALL, Plain), |l| (TEXT, l));
            words(text, height, lettering)
        });
        // a hundredth more, so that rounding breaks nothing
        longest.fold(heading, f64::max) + 2.0 * INSET + 0.01
    }

    /// The heading as a band, and the rule above it.
    pub(super) fn heading(&self, spans: &[(f64, f64)]) -> Band {
        let cells: Vec<Cell> = self.columns.iter().map(|c| Cell::bold(c.label.clone())).collect();
        let mut band = self.band(&cells, spans, 0.0);
        band.rule = LineRole::TableWide;
        band
    }

    /// The bands of one row: one, or several where the row is higher than `most`.
    pub(super) fn bands(&self, row: &[Cell], spans: &[(f64, f64)], most: f64) -> Vec<Band> {
        let whole = self.band(row, spans, self.row_height);
        if whole.height <= most {
            return vec![whole];
        }
        let mut rest = whole.cells;
        let mut bands = Vec::new();
        while rest.iter().any(|(.., lines)| !lines.is_empty()) {
            let mut cells = Vec::new();
            for (x, w, align, lines) in &mut rest {
                let mut used = 2.0 * INSET;
                let fits = |line: &&Line| {
                    used += line.step();
                    used <= most
                };
                // one line at least, or it would never end
                let n = lines.iter().take_while(fits).count().max(1).min(lines.len());
                cells.push((*x, *w, *align, lines.drain(..n).collect()));
            }
            bands.push(Band { height: height(&cells, 0.0), cells, rule: LineRole::TableNarrow });
        }
        bands
    }

    fn band(&self, row: &[Cell], spans: &[(f64, f64)], least: f64) -> Band {
        let cells: Vec<_> = spans
            .iter()
            .zip(&self.columns)
            .zip(row)
            .map(|((&(x, w), column), cell)| (x, w, column.align, cell.lines(w)))
            .collect();
        Band { height: height(&cells, least), cells, rule: LineRole::TableNarrow }
    }
}

fn height(cells: &[(f64, f64, Align, Vec<Line>)], least: f64) -> f64 {
    let of = |lines: &Vec<Line>| {
        let steps: f64 = lines.iter().map(Line::step).sum();
        // the last line needs no gap below it beyond the descent, about a third of the capitals
        lines.last().map_or(0.0, |last| steps - last.step() + last.height * 1.35 + 2.0 * INSET)
    };
    cells.iter().map(|(.., lines)| of(lines)).fold(least, f64::max)
}
