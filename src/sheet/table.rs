//! Ruled tables whose rows are as high as their lettering needs.

use super::block::{Block, PAD, Paragraph};
use crate::drawing::{Anchor, Lettering, LineRole, measure};
use crate::geometry::{Bounds, Point};
use crate::tolerance::ABUTTING;
use std::ops::Range;
use std::rc::Rc;

/// Clear distance between a cell's text and the rules left and right of it, mm.
const SIDE_PAD: f64 = 1.5;

/// Columns broken to less than this carry numbers and letters, mm: they are not made narrower.
const NUMBERS: f64 = 30.0;

/// A table before it is laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// The id of its group, `table-…`.
    pub id: String,
    /// Its heading; empty for none.
    pub title: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows: a text for each column.
    pub rows: Vec<Vec<String>>,
    /// Capital height, mm.
    pub size: f64,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// What stands at its head.
    pub head: String,
    /// Where its texts stand.
    pub anchor: Anchor,
    /// Greatest width of its texts before they are wrapped, mm.
    pub most: f64,
    /// Least width it has, mm.
    pub least: f64,
    /// Whether its texts are bold.
    pub bold: bool,
}

impl Column {
    /// A column of texts that start at its left.
    pub fn left(head: &str, most: f64) -> Column {
        Column { head: head.to_owned(), anchor: Anchor::Start, most, least: 0.0, bold: false }
    }

    /// A column of texts that end at its right.
    pub fn right(head: &str, most: f64) -> Column {
        Column { anchor: Anchor::End, ..Column::left(head, most) }
    }

    /// A column of texts in its middle.
    pub fn centred(head: &str, most: f64) -> Column {
        Column { anchor: Anchor::Middle, ..Column::left(head, most) }
    }

    /// The same at least so wide, mm: room to write in.
    pub fn at_least(self, least: f64) -> Column {
        Column { least, ..self }
    }

    /// The same in bold.
    pub fn bold(self) -> Column {
        Column { bold: true, ..self }
    }
}

/// A table whose texts are wrapped: all that does not depend on the width it is stretched to.
#[derive(Debug, Clone)]
pub struct WrappedTable {
    cells: Rc<Cells>,
    id: String,
    title: String,
    size: f64,
    /// Widths of the columns where nothing stretches them, mm.
    widths: Vec<f64>,
    /// Width of the title on one line, mm.
    title_width: f64,
}

/// The wrapped texts.
#[derive(Debug)]
struct Cells {
    anchors: Vec<Anchor>,
    head: Option<LaidRow>,
    rows: Vec<LaidRow>,
}

/// A table with its widths and heights.
#[derive(Debug, Clone)]
pub struct LaidTable {
    cells: Rc<Cells>,
    id: String,
    title: Paragraph,
    widths: Vec<f64>,
}

#[derive(Debug, Clone)]
struct LaidRow {
    cells: Vec<Paragraph>,
    height: f64,
}

impl LaidRow {
    fn new(cells: Vec<Paragraph>) -> LaidRow {
        let tallest = cells.iter().map(|c| c.height).fold(0.0, f64::max);
        LaidRow { cells, height: tallest + 2.0 * PAD }
    }
}

impl Table {
    /// The same with its texts broken to a share of the width they are usually broken to, but between words.
    pub fn narrowed(&self, share: f64) -> Table {
        let narrow = |(i, c): (usize, &Column)| {
            let texts = self.rows.iter().filter_map(|row| row.get(i)).chain([&c.head]);
            let word = texts.map(|text| measure::widest_word(text, self.size, Lettering::Bold)).fold(0.0, f64::max);
            Column { most: if c.most < NUMBERS { c.most } else { (c.most * share).max(word).min(c.most) }, ..c.clone() }
        };
        Table { columns: self.columns.iter().enumerate().map(narrow).collect(), ..self.clone() }
    }

    /// Wraps its texts.
    pub fn wrapped(&self) -> WrappedTable {
        let weight = |bold: bool| if bold { Lettering::Bold } else { Lettering::Plain };
        let row = |texts: &[String], head: bool| {
            let cells = texts
                .iter()
                .zip(&self.columns)
                .map(|(text, c)| Paragraph::wrapped(text, self.size, weight(head || c.bold), c.most))
                .collect();
            LaidRow::new(cells)
        };
        let heads: Vec<String> = self.columns.iter().map(|c| c.head.clone()).collect();
        let head = heads.iter().any(|h| !h.is_empty()).then(|| row(&heads, true));
        let rows: Vec<LaidRow> = self.rows.iter().map(|r| row(r, false)).collect();
        let widths: Vec<f64> = (0..self.columns.len())
            .map(|i| {
                let all = head.iter().chain(&rows);
                (all.map(|r| r.cells[i].width).fold(0.0, f64::max) + 2.0 * SIDE_PAD).max(self.columns[i].least)
            })
            .collect();
        let title_width = measure::width(&self.title, self.size, Lettering::Bold) + 2.0 * SIDE_PAD;
        let anchors = self.columns.iter().map(|c| c.anchor).collect();
        let cells = Rc::new(Cells { anchors, head, rows });
        WrappedTable { cells, id: self.id.clone(), title: self.title.clone(), size: self.size, widths, title_width }
    }

    /// Works out widths and heights. `least` is the width it is stretched to where it is narrower, mm.
    pub fn laid(&self, least: f64) -> LaidTable {
        self.wrapped().stretched(least)
    }
}

impl WrappedTable {
    /// No width gives a block of less than this area, mm²; the title, which takes fewer lines where it is wide, is not counted.
    pub fn least_area(&self) -> f64 {
        let rows = self.cells.head.iter().chain(&self.cells.rows);
        self.widths.iter().sum::<f64>() * rows.map(|row| row.height).sum::<f64>()
    }

    /// The table at least so wide, mm.
    pub fn stretched(&self, least: f64) -> LaidTable {
        let mut widths = self.widths.clone();
        let natural: f64 = widths.iter().sum();
        let missing = least.max(self.title_width.min(160.0)) - natural;
        if missing > 0.0 {
            let share = missing / widths.len() as f64;
            widths.iter_mut().for_each(|w| *w += share);
        }
        let inside = widths.iter().sum::<f64>() - 2.0 * SIDE_PAD;
        let title = Paragraph::wrapped(&self.title, self.size, Lettering::Bold, inside);
        LaidTable { cells: Rc::clone(&self.cells), id: self.id.clone(), title, widths }
    }
}

impl LaidTable {
    /// Its width, mm.
    pub fn width(&self) -> f64 {
        self.widths.iter().sum()
    }

    /// How many rows it has.
    pub fn len(&self) -> usize {
        self.cells.rows.len()
    }

    fn caption_height(&self) -> f64 {
        if self.title.width > 0.0 { self.title.height + 2.0 * PAD } else { 0.0 }
    }

    /// Height of a part with these rows, heading included, mm.
    pub fn height(&self, rows: Range<usize>) -> f64 {
        let body: f64 = self.cells.rows[rows].iter().map(|r| r.height).sum();
        self.caption_height() + self.cells.head.as_ref().map_or(0.0, |h| h.height) + body
    }

    /// How many rows from `first` on fit into a height, mm.
    pub fn fitting(&self, first: usize, height: f64) -> usize {
        let mut left = height - self.height(first..first);
        self.cells.rows[first..]
            .iter()
            .take_while(|r| {
                left -= r.height;
                left >= -ABUTTING
            })
            .count()
    }

    /// The block of some rows.
    pub fn block(&self, rows: Range<usize>) -> Block {
        let (width, height) = (self.width(), self.height(rows.clone()));
        let id = if rows.start == 0 { self.id.clone() } else { format!("{}-from-{}", self.id, rows.start + 1) };
        let mut block = Block::new(&id, width, height);
        block.group.title = self.title.lines.join(" ");
        let mut top = height - self.caption_height();
        let band = self.cells.head.as_ref().map_or(0.0, |h| h.height) + self.caption_height();
        block.tint(Bounds::of(Point::new(0.0, height - band), Point::new(width, height)));
        block.frame(block.bounds(), LineRole::TableWide);
        self.title.put(&mut block, SIDE_PAD, height - PAD, Anchor::Start);
        let columns_top = top;
        for (i, row) in self.cells.head.iter().chain(&self.cells.rows[rows]).enumerate() {
            let wide = i == usize::from(self.cells.head.is_some());
            block.rule(top, if wide { LineRole::TableWide } else { LineRole::TableNarrow });
            self.row(&mut block, row, top);
            top -= row.height;
        }
        let mut x = 0.0;
        for w in &self.widths[..self.widths.len() - 1] {
            x += w;
            block.line(Point::new(x, 0.0), Point::new(x, columns_top), LineRole::TableNarrow);
        }
        block
    }

    fn row(&self, block: &mut Block, row: &LaidRow, top: f64) {
        let mut x = 0.0;
        for ((cell, w), anchor) in row.cells.iter().zip(&self.widths).zip(&self.cells.anchors) {
            let at = match anchor {
                Anchor::Start => x + SIDE_PAD,
                Anchor::Middle => x + w / 2.0,
                Anchor::End => x + w - SIDE_PAD,
            };
            let slack = row.height - 2.0 * PAD - cell.height;
            cell.put(block, at, top - PAD - slack / 2.0, *anchor);
            x += w;
        }
    }
}
