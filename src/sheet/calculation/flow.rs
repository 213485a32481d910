//! Parts set one below the other in columns, on as many sheets as they need.

use crate::geometry::{Bounds, Point};
use crate::sheet::block::Block;
use crate::sheet::format::Format;
use crate::sheet::notes::LaidNotes;
use crate::sheet::table::LaidTable;

/// Clear distance of everything from the frame, mm: clear of the centring marks too.
const INSET: f64 = 6.5;
/// Clear distance between columns and between the parts of a column, mm.
const GAP: f64 = 6.0;
/// Least width of a column, mm: a table of findings can be read in it.
const LEAST_COLUMN: f64 = 165.0;
/// Rows or lines that are kept together at the break of a table or of notes.
const LEAST_ROWS: usize = 3;

/// What is set.
pub enum Part {
    /// A table that may be parted between rows.
    Table(LaidTable),
    /// Sentences that may be parted between lines.
    Notes(LaidNotes),
    /// A block that stays whole.
    Whole(Block),
}

/// The columns of one paper size.
pub struct Columns {
    /// Width of each, mm.
    pub width: f64,
    /// Left edge, top and bottom of each; the corner blocks stand below the last ones.
    places: Vec<Bounds>,
}

impl Columns {
    /// The columns beside and above the corner blocks.
    pub fn of(format: &Format, corner: &[Block]) -> Columns {
        let area = format.frame.grown(-INSET);
        let count = (((area.width() + GAP) / (LEAST_COLUMN + GAP)) as usize).max(1);
        let width = (area.width() - GAP * (count - 1) as f64) / count as f64;
        let left_of_corner = format.frame.max.x - corner.iter().map(|b| b.width).fold(0.0, f64::max) - GAP;
        let above_corner = format.frame.min.y + corner.iter().map(|b| b.height).sum::<f64>() + GAP;
        let place = |i: usize| {
            let left = area.min.x + (width + GAP) * i as f64;
            let foot = if left + width > left_of_corner { above_corner.max(area.min.y) } else { area.min.y };
            Bounds::of(Point::new(left, foot), Point::new(left + width, area.max.y.max(foot)))
        };
        Columns { width, places: (0..count).map(place).collect() }
    }
}

/// Sets the parts; `None` where one of them does not fit into an empty column, or too many sheets would be needed.
pub fn fill(columns: &Columns, parts: Vec<Part>, most: usize) -> Option<Vec<Vec<(Block, Point)>>> {
    let mut setter = Setter { columns, sheets: vec![Vec::new()], column: 0, used: 0.0 };
    for part in parts {
        let mut first = 0;
        // the highest column is the first of a sheet: what does not fit there fits nowhere
        let mut empty_tried = 0;
        while let Some(next) = setter.set(&part, first) {
            empty_tried = if next > first { 0 } else { empty_tried + 1 };
            if empty_tried > 2 * columns.places.len() || setter.sheets.len() > most {
                return None;
            }
            first = next;
            setter.next_column();
        }
    }
    Some(setter.sheets)
}

struct Setter<'a> {
    columns: &'a Columns,
    sheets: Vec<Vec<(Block, Point)>>,
    column: usize,
    /// Height used of the column, mm.
    used: f64,
}

impl Setter<'_> {
    fn place(&self) -> Bounds {
        self.columns.places[self.column]
    }

    fn room(&self) -> f64 {
        self.place().height() - self.used
    }

    fn next_column(&mut self) {
        self.column += 1;
        self.used = 0.0;
        if self.column == self.columns.places.len() {
            self.column = 0;
            self.sheets.push(Vec::new());
        }
    }

    fn put(&mut self, block: Block) {
        let place = self.place();
        let at = Point::new(place.min.x, place.max.y - self.used - block.height);
        self.used += block.height + GAP;
        if let Some(sheet) = self.sheets.last_mut() {
            sheet.push((block, at));
        }
    }

    /// Sets a part from a row or line on; the first that is still to be set, `None` where it is done.
    fn set(&mut self, part: &Part, first: usize) -> Option<usize> {
        let room = self.room();
        let (len, fitting) = match part {
            Part::Whole(block) if block.height <= room => {
                self.put(block.clone());
                return None;
            }
            Part::Whole(_) => return Some(0),
            Part::Table(table) => (table.len(), table.fitting(first, room)),
            Part::Notes(notes) => (notes.len(), notes.fitting(first, room)),
        };
        let left = len - first;
        let taken = match fitting.min(left) {
            all if all == left => all,
            // neither a few rows alone at the foot nor a few alone on top of the next column
            some if left - some < LEAST_ROWS => some.saturating_sub(LEAST_ROWS - (left - some)),
            some => some,
        };
        if taken < LEAST_ROWS.min(left) {
            return Some(first);
        }
        self.put(match part {
            Part::Table(table) => table.block(first..first + taken),
            Part::Notes(notes) => notes.block(first..first + taken),
            Part::Whole(block) => block.clone(),
        });
        (first + taken < len).then_some(first + taken)
    }
}
