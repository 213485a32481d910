//! Tables and notes in columns: each column as wide as its widest block, every block of a column stretched to it.

use crate::geometry::{Bounds, Point};
use crate::sheet::block::Block;
use crate::sheet::notes::{LaidNotes, Notes};
use crate::sheet::table::{LaidTable, Table, WrappedTable};
use crate::tolerance::ABUTTING;
use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;
use std::ops::Range;
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

/// Shares of the usual greatest width of a column to which its texts are broken where a table has no room otherwise.
const NARROWER: [f64; 2] = [0.6, 0.45];

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
    part: Wrapped,
    /// The width below which it cannot go, mm.
    pub least: f64,
    /// The area below which it cannot go, mm².
    pub least_area: f64,
    /// Whether it is of the contract, which belongs on the first sheet.
    pub agreed: bool,
    /// By the width in half millimetres.
    laid: RefCell<HashMap<u32, Rc<Laid>>>,
    /// A table before it was wrapped, and wrapped narrower.
    table: Option<Table>,
    narrow: [OnceCell<Rc<Laid>>; 2],
}

/// What of a part does not depend on its width.
#[derive(Debug)]
enum Wrapped {
    Table(WrappedTable),
    Notes(Notes),
}

impl Prepared {
    /// Wraps the texts of a table, and works out the least width.
    pub fn new(part: Part) -> Prepared {
        let table = match &part {
            Part::Table(table) => Some(table.clone()),
            Part::Notes(_) => None,
        };
        let (part, least, least_area) = match part {
            Part::Table(table) => {
                let wrapped = table.wrapped();
                let least = wrapped.stretched(0.0).width();
                let area = wrapped.least_area();
                (Wrapped::Table(wrapped), least, area)
            }
            Part::Notes(notes) => {
                let area = notes.least_area();
                (Wrapped::Notes(notes), NARROWEST_NOTES, area)
            }
        };
        Prepared { part, least, least_area, agreed: false, laid: RefCell::default(), table, narrow: Default::default() }
    }

    /// The same as a part of the contract, which belongs on the first sheet.
    pub fn agreed(self) -> Prepared {
        Prepared { agreed: true, ..self }
    }

    /// Whether it takes all the width it gets: notes do.
    pub fn flows(&self) -> bool {
        matches!(self.part, Wrapped::Notes(_))
    }

    /// Widths are kept to half millimetres, downwards, so that each is worked out once.
    fn rounded(&self, width: f64) -> f64 {
        let half = (width * 2.0 + ABUTTING).floor() / 2.0;
        match self.part {
            Wrapped::Notes(_) => half.min(WIDEST_NOTES),
            Wrapped::Table(_) => half.max(self.least),
        }
    }

    /// Laid out at a width of at least `least`.
    pub fn at(&self, width: f64) -> Rc<Laid> {
        let width = self.rounded(width);
        let make = || {
            Rc::new(match &self.part {
                Wrapped::Table(table) => Laid::new(Lines::Table(table.stretched(width)), width),
                Wrapped::Notes(notes) => Laid::new(Lines::Notes(notes.laid(width)), width),
            })
        };
        self.laid.borrow_mut().entry((width * 2.0) as u32).or_insert_with(make).clone()
    }

    /// A table with its texts broken into narrower columns, the widest first; none of anything else.
    pub fn narrow(&self) -> impl Iterator<Item = &Rc<Laid>> {
        let made = |share: f64, table: &Table| Rc::new(Laid::new(Lines::Table(table.narrowed(share).laid(0.0)), 0.0));
        let cells = self.narrow.iter().zip(NARROWER);
        self.table.iter().flat_map(move |table| cells.clone().map(move |(cell, share)| cell.get_or_init(|| made(share, table))))
    }

    /// The least of the areas it takes with the clear distance around it, mm².
    pub fn smallest(&self) -> f64 {
        let area = |laid: &Rc<Laid>| (laid.width + BLOCK_GAP) * (laid.height + BLOCK_GAP);
        std::iter::once(&self.at(0.0)).chain(self.narrow()).map(area).fold(f64::INFINITY, f64::min)
    }

    /// The height at a width.
    fn height(&self, width: f64) -> f64 {
        self.at(width).height
    }
}

/// A part laid out at one width.
#[derive(Debug)]
pub struct Laid {
    lines: Lines,
    /// Its width, mm.
    pub width: f64,
    /// Height of all of it, mm.
    height: f64,
    whole: OnceCell<Rc<Block>>,
}

#[derive(Debug)]
enum Lines {
    Table(LaidTable),
    Notes(LaidNotes),
}

impl Laid {
    fn new(lines: Lines, width: f64) -> Laid {
        let (width, height) = match &lines {
            Lines::Table(table) => (table.width(), table.height(0..table.len())),
            Lines::Notes(notes) => (width, notes.height(0..notes.len())),
        };
        Laid { lines, width, height, whole: OnceCell::new() }
    }

    /// The block of all of it.
    pub fn whole(&self) -> &Rc<Block> {
        self.whole.get_or_init(|| Rc::new(self.block(0..self.len())))
    }

    /// How many rows or lines it has.
    pub fn len(&self) -> usize {
        match &self.lines {
            Lines::Table(table) => table.len(),
            Lines::Notes(notes) => notes.len(),
        }
    }

    /// The block of some rows or lines.
    pub fn block(&self, rows: Range<usize>) -> Block {
        match &self.lines {
            Lines::Table(table) => table.block(rows),
            Lines::Notes(notes) => notes.block(rows),
        }
    }

    /// How many of the first `n` rows or lines from `first` on can be parted from what follows without parting a sentence.
    pub fn whole_sentences(&self, first: usize, n: usize) -> usize {
        match &self.lines {
            Lines::Table(_) => n,
            Lines::Notes(notes) => notes.whole(first, n),
        }
    }

    /// How many rows or lines from `first` on fit into a height, mm.
    pub fn fitting(&self, first: usize, height: f64) -> usize {
        match &self.lines {
            Lines::Table(table) => table.fitting(first, height),
            Lines::Notes(notes) => notes.fitting(first, height),
        }
    }
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
        let tables = groups[c].iter().filter(|&&i| !all[i].flows()).map(|&i| all[i].least * STRETCH);
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
                let block = all[i].at(*width).whole().clone();
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
