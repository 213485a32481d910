//! Tables and notes in columns: each column as wide as its widest block, every block of a column stretched to it.

use crate::geometry::{Bounds, Point};
use crate::sheet::block::Block;
use crate::sheet::notes::Notes;
use crate::sheet::table::{LaidTable, Table};
use crate::tolerance::ABUTTING;
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

/// Clear distance between blocks of lettering, mm.
pub const BLOCK_GAP: f64 = 5.0;
/// Least width of a column of notes, mm.
const NARROWEST_NOTES: f64 = 85.0;
/// Greatest width of a column of notes, mm; longer lines are hard to follow.
const WIDEST_NOTES: f64 = 175.0;
/// Most columns side by side.
const MOST_COLUMNS: usize = 4;
/// A column is not stretched beyond this share of its narrowest table's own width.
const STRETCH: f64 = 1.6;

/// A table or a list of notes: what can be parted between sheets.
#[derive(Debug, Clone)]
pub enum Part {
    /// A table, and its rows from one to before another.
    Table(Table),
    /// Notes.
    Notes(Notes),
}

/// A part with what has been worked out about it.
#[derive(Debug)]
pub struct Prepared {
    /// The part.
    pub part: Part,
    /// The width below which it cannot go, mm.
    pub least: f64,
    blocks: RefCell<HashMap<u32, Rc<Block>>>,
}

impl Prepared {
    /// Works out the least width.
    pub fn new(part: Part) -> Prepared {
        let least = match &part {
            Part::Table(table) => table.laid(0.0).width(),
            Part::Notes(_) => NARROWEST_NOTES,
        };
        Prepared { part, least, blocks: RefCell::default() }
    }

    /// Whether it takes all the width it gets.
    fn flows(&self) -> bool {
        matches!(self.part, Part::Notes(_))
    }

    /// Widths are kept to half millimetres, downwards, so that each is worked out once.
    fn rounded(&self, width: f64) -> f64 {
        let half = (width * 2.0 + ABUTTING).floor() / 2.0;
        match self.part {
            Part::Notes(_) => half.min(WIDEST_NOTES),
            Part::Table(_) => half.max(self.least),
        }
    }

    /// The block at a width of at least `least`.
    pub fn block(&self, width: f64) -> Rc<Block> {
        let width = self.rounded(width);
        let make = || match &self.part {
            Part::Table(table) => whole(&table.laid(width)),
            Part::Notes(notes) => {
                let laid = notes.laid(width);
                laid.block(0..laid.len())
            }
        };
        self.blocks.borrow_mut().entry((width * 2.0) as u32).or_insert_with(|| Rc::new(make())).clone()
    }

    /// The height at a width.
    fn height(&self, width: f64) -> f64 {
        self.block(width).height
    }
}

fn whole(table: &LaidTable) -> Block {
    table.block(0..table.len())
}

/// Parts set in columns.
#[derive(Debug, Clone)]
pub struct Columns {
    columns: Vec<(Vec<usize>, f64, f64)>,
}

/// The lowest arrangement of some parts, in their order, in columns within a width and a height.
pub fn columns(all: &[Prepared], chosen: &[usize], room: f64, most_height: f64) -> Option<Columns> {
    let n = chosen.len();
    if n == 0 || room <= 0.0 {
        return None;
    }
    let mut best: Option<(f64, Columns)> = None;
    // every bit is a place where a new column may begin
    for cuts in 0..1_u32 << (n - 1) {
        if cuts.count_ones() as usize >= MOST_COLUMNS {
            continue;
        }
        let mut groups: Vec<Vec<usize>> = vec![vec![chosen[0]]];
        for (i, &part) in chosen.iter().enumerate().skip(1) {
            if cuts & (1 << (i - 1)) != 0 {
                groups.push(Vec::new());
            }
            if let Some(last) = groups.last_mut() {
                last.push(part);
            }
        }
        let Some((score, set)) = set(all, groups, room, most_height) else { continue };
        if best.as_ref().is_none_or(|(b, _)| score < *b) {
            best = Some((score, set));
        }
    }
    best.map(|(_, set)| set)
}

/// Widths and heights of these columns, and how well they look: low, even, narrow.
fn set(all: &[Prepared], groups: Vec<Vec<usize>>, room: f64, most_height: f64) -> Option<(f64, Columns)> {
    let gaps = BLOCK_GAP * (groups.len() - 1) as f64;
    let mut widths: Vec<f64> = groups.iter().map(|g| g.iter().map(|&i| all[i].least).fold(0.0, f64::max)).collect();
    let spare = room - gaps - widths.iter().sum::<f64>();
    if spare < -ABUTTING {
        return None;
    }
    let flowing: Vec<usize> = (0..groups.len()).filter(|&c| groups[c].iter().any(|&i| all[i].flows())).collect();
    for &c in &flowing {
        let tables =
            groups[c].iter().filter(|&&i| matches!(all[i].part, Part::Table(_))).map(|&i| all[i].least * STRETCH);
        let most = tables.fold(WIDEST_NOTES, f64::min).max(widths[c]);
        widths[c] = (widths[c] + spare / flowing.len() as f64).min(most);
    }
    let height =
        |g: &[usize], w: f64| g.iter().map(|&i| all[i].height(w)).sum::<f64>() + BLOCK_GAP * (g.len() - 1) as f64;
    let columns: Vec<(Vec<usize>, f64, f64)> =
        groups.into_iter().zip(widths).map(|(g, w)| (g.clone(), w, height(&g, w))).collect();
    let tallest = columns.iter().map(|c| c.2).fold(0.0, f64::max);
    if tallest > most_height {
        return None;
    }
    let width = columns.iter().map(|c| c.1).sum::<f64>() + gaps;
    let ragged: f64 = columns.iter().map(|c| tallest - c.2).sum();
    let score = tallest + 0.15 * ragged + 0.02 * width;
    Some((score, Columns { columns }))
}

impl Columns {
    /// The blocks with the places of their lower left corners, where the set's lower left corner is at `at`; columns are flush at their feet.
    pub fn blocks(&self, all: &[Prepared], at: Point) -> Vec<(Rc<Block>, Point)> {
        let mut x = at.x;
        let mut found = Vec::new();
        for (parts, width, height) in &self.columns {
            let mut top = at.y + height;
            for &i in parts {
                let block = all[i].block(*width);
                top -= block.height;
                let put = Point::new(x, top);
                top -= BLOCK_GAP;
                found.push((block, put));
            }
            x += width + BLOCK_GAP;
        }
        found
    }
}

/// The box of a placed block.
pub fn box_of(block: &Block, at: Point) -> Bounds {
    Bounds { min: at, max: at + Point::new(block.width, block.height) }
}
