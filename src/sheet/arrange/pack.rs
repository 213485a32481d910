//! Filling sheets: fixed blocks along the lower right corner, then the views, then tables and notes where they cost least.

use super::row::Row;
use super::space::Space;
use crate::geometry::{Bounds, Point};
use crate::sheet::block::Block;
use crate::sheet::format::Format;
use crate::sheet::notes::LaidNotes;
use crate::sheet::table::LaidTable;
use crate::sheet::view::View;

/// Clear distance of everything from the frame, mm.
const INSET: f64 = 5.0;
/// Clear distance between views, mm.
const VIEW_GAP: f64 = 8.0;
/// Clear distance between blocks of lettering, mm.
const BLOCK_GAP: f64 = 5.0;

/// What is placed on one sheet.
#[derive(Debug, Clone)]
pub struct Sheet<'a> {
    /// Blocks with the places of their lower left corners.
    pub blocks: Vec<(Block, Point)>,
    /// Views with the places of their origins.
    pub views: Vec<(&'a View, Point)>,
}

/// A table or a list of notes: what can be parted between sheets.
pub enum Part {
    /// A table.
    Table(LaidTable),
    /// Notes, laid out for several widths, the dearest first.
    Notes(Vec<LaidNotes>),
    /// A block that stays whole.
    Whole(Block),
}

/// How a sheet is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Manner {
    /// Lettering in a column above the title block, views to its left.
    Column,
    /// Lettering in a band left of the title block, views above it.
    Band,
}

/// Everything to be placed.
pub struct Load<'a> {
    /// Blocks that stand on one another in the lower right corner, the title block first.
    pub stack: Vec<Block>,
    /// What must be on the first sheet: the views in projection.
    pub main: Row<'a>,
    /// The other views, the dearest first.
    pub views: Vec<Row<'a>>,
    /// Tables and notes, the dearest first.
    pub parts: Vec<Part>,
    /// Blocks of the later sheets' lower right corner.
    pub later: Vec<Block>,
}

/// Fills sheets of a format; `None` where the main views do not fit on the first, or more than `most` sheets would be needed.
pub fn arrange<'a>(format: &Format, load: &Load<'a>, manner: Manner, most: usize) -> Option<Vec<Sheet<'a>>> {
    let mut sheets = Vec::new();
    let mut fill = Fill::new(format, &load.stack, manner);
    fill.row(&load.main, |b, area| (b.min.x - area.min.x) + (area.max.y - b.max.y))?;
    let mut parts: Vec<(&Part, usize)> = load.parts.iter().map(|p| (p, 0)).collect();
    let mut rows: Vec<&Row<'a>> = load.views.iter().collect();
    loop {
        parts = fill.parts(parts, most == 1)?;
        rows.retain(|row| !fill.view(row));
        sheets.push(fill.sheet);
        if parts.is_empty() && rows.is_empty() {
            return Some(sheets);
        }
        if sheets.len() >= most {
            return None;
        }
        fill = Fill::new(format, &load.later, Manner::Band);
    }
}

struct Fill<'a> {
    area: Bounds,
    space: Space,
    manner: Manner,
    main: Option<Bounds>,
    sheet: Sheet<'a>,
}

impl<'a> Fill<'a> {
    fn new(format: &Format, stack: &[Block], manner: Manner) -> Fill<'a> {
        let frame = format.frame;
        let area = frame.grown(-INSET);
        let mut space = Space::new(area);
        let mut sheet = Sheet { blocks: Vec::new(), views: Vec::new() };
        let mut foot = frame.min.y;
        for block in stack {
            let at = Point::new(frame.max.x - block.width, foot);
            let taken = Bounds { min: at, max: at + Point::new(block.width, block.height) };
            space.occupy(taken, BLOCK_GAP);
            sheet.blocks.push((block.clone(), at));
            foot += block.height;
        }
        Fill { area, space, manner, main: None, sheet }
    }

    fn row(&mut self, row: &Row<'a>, cost: impl Fn(Bounds, Bounds) -> f64) -> Option<()> {
        let area = self.area;
        let spot = self.space.place(row.width, row.height, |b| cost(b, area))?;
        for taken in row.boxes(spot.min) {
            self.space.occupy(taken, VIEW_GAP);
        }
        for &(view, origin) in &row.views {
            self.sheet.views.push((view, spot.min + origin));
        }
        self.main.get_or_insert(spot);
        Some(())
    }

    /// A view wherever it lies nearest to the main views; whether it fits.
    fn view(&mut self, row: &Row<'a>) -> bool {
        let main = self.main;
        let near = move |b: Bounds, area: Bounds| match main {
            Some(m) => b.centre().distance(m.centre()),
            None => (b.min.x - area.min.x) + (area.max.y - b.max.y),
        };
        self.row(row, near).is_some()
    }

    /// Places what fits and returns what is left, each with its first row or line not yet placed. `None` where `whole` and something is left.
    fn parts<'p>(&mut self, parts: Vec<(&'p Part, usize)>, whole: bool) -> Option<Vec<(&'p Part, usize)>> {
        let mut left = Vec::new();
        for (part, first) in parts {
            if let Some(next) = self.part(part, first, whole) {
                left.push((part, next));
            }
        }
        if whole && !left.is_empty() { None } else { Some(left) }
    }

    /// Places a part from `first` on; the first row or line that is still to be placed, `None` where it is done.
    fn part(&mut self, part: &Part, first: usize, whole: bool) -> Option<usize> {
        match part {
            Part::Whole(block) => {
                if self.block(block.clone()) {
                    None
                } else {
                    Some(0)
                }
            }
            Part::Table(table) => {
                if self.block(table.block(first..table.len())) {
                    return None;
                }
                if whole {
                    return Some(first);
                }
                let (height, n) = self.tallest(table.width(), |h| table.fitting(first, h))?;
                let _ = height;
                if n >= 4 && self.block(table.block(first..first + n)) { Some(first + n) } else { Some(first) }
            }
            Part::Notes(widths) => {
                for notes in widths {
                    if first == 0 && self.block(notes.block(0..notes.len())) {
                        return None;
                    }
                }
                if whole {
                    return Some(first);
                }
                let notes = widths.first()?;
                if first > 0 && self.block(notes.block(first..notes.len())) {
                    return None;
                }
                let (_, n) = self.tallest(notes.block(0..0).width, |h| notes.fitting(first, h)).unwrap_or((0.0, 0));
                if n >= 4 && self.block(notes.block(first..first + n)) { Some(first + n) } else { Some(first) }
            }
        }
    }

    /// The most that fits into a free rectangle of at least this width.
    fn tallest(&self, width: f64, fits: impl Fn(f64) -> usize) -> Option<(f64, usize)> {
        let wide = self.space.free().iter().filter(|f| f.width() >= width);
        let best = wide.map(|f| (f.height(), fits(f.height()))).max_by_key(|(_, n)| *n);
        Some(best.unwrap_or((0.0, 0)))
    }

    fn block(&mut self, block: Block) -> bool {
        let (area, manner) = (self.area, self.manner);
        let cost = move |b: Bounds| match manner {
            Manner::Column => (area.max.x - b.max.x) * 4.0 + (b.min.y - area.min.y),
            Manner::Band => (b.min.y - area.min.y) * 2.0 + (b.min.x - area.min.x),
        };
        let Some(spot) = self.space.place(block.width, block.height, cost) else { return false };
        self.space.occupy(spot, BLOCK_GAP);
        self.sheet.blocks.push((block, spot.min));
        true
    }
}
