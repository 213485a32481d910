//! One sheet being filled: what is free on it, views and lettering put there, views moved into the middle of their room.

use super::row::Row;
use super::space::Space;
use super::words::{BLOCK_GAP, Columns, Prepared, box_of};
use crate::geometry::{Bounds, Point};
use crate::sheet::block::Block;
use crate::sheet::format::Format;
use crate::sheet::view::View;
use crate::tolerance::ABUTTING;
use std::cmp::Ordering;
use std::rc::Rc;

/// Clear distance of everything from the frame, mm: clear of the centring marks too.
pub const INSET: f64 = 6.5;
/// Clear distance of a view from anything else, mm.
pub const VIEW_GAP: f64 = 6.0;
/// Captions whose heights differ by less than this are put on one line, mm.
const NEARLY_ALIGNED: f64 = 18.0;
/// Notes that begin nearer under each other than this are lined up, mm.
const NEARLY_FLUSH: f64 = 4.0;
/// How ids of tables begin.
const TABLE: &str = "table-";
/// How often every view is moved into the middle of its room.
const SETTLING: usize = 3;

/// What is placed on one sheet.
#[derive(Debug, Clone)]
pub struct Sheet<'a> {
    /// Blocks with the places of their lower left corners.
    pub blocks: Vec<(Rc<Block>, Point)>,
    /// Views with the places of their origins.
    pub views: Vec<(&'a View, Point)>,
    /// How good it looks: what decides between arrangements; the greater the better.
    pub merit: f64,
}

/// What abuts on the frame: blocks on one another in the lower right corner, and a low one left of them, or on them where there is no room.
#[derive(Debug, Clone)]
pub struct Corner {
    stack: Vec<Rc<Block>>,
    low: Rc<Block>,
}

impl Corner {
    /// Blocks for the corner, from the lowest up, and the low one.
    pub fn new(stack: Vec<Block>, low: Block) -> Corner {
        Corner { stack: stack.into_iter().map(Rc::new).collect(), low: Rc::new(low) }
    }

    /// Each with the place of its lower left corner, the low one last.
    fn placed(&self, frame: Bounds) -> Vec<(Rc<Block>, Point)> {
        let mut foot = frame.min.y;
        let mut placed = Vec::new();
        for block in &self.stack {
            placed.push((block.clone(), Point::new(frame.max.x - block.width, foot)));
            foot += block.height;
        }
        let left = placed.iter().map(|(_, at)| at.x).fold(frame.max.x, f64::min);
        let at = match left - self.low.width >= frame.min.x {
            true => Point::new(left - self.low.width, frame.min.y),
            false => Point::new(frame.max.x - self.low.width, foot),
        };
        placed.push((self.low.clone(), at));
        placed
    }
}

/// How dear it is for lettering to stand away from the right edge of a sheet, and from its foot.
#[derive(Debug, Clone, Copy)]
pub struct Lean {
    pub right: f64,
    pub low: f64,
}

impl Default for Lean {
    fn default() -> Lean {
        Lean { right: 1.0, low: 1.0 }
    }
}

/// A sheet being filled.
#[derive(Debug, Clone)]
pub struct Fill<'a> {
    /// What may be drawn on.
    pub area: Bounds,
    /// The box around the blocks on one another in the corner.
    pub corner: Bounds,
    /// Lowest height at which lettering left of the corner may stand.
    pub foot: f64,
    /// What is free.
    pub space: Space,
    /// The views placed.
    pub rows: Vec<(Row<'a>, Bounds)>,
    /// The lettering placed, the blocks on the frame first.
    pub words: Vec<Bounds>,
    /// How many of these were there from the beginning.
    fixed: usize,
    /// The blocks placed, those in the corner first.
    pub blocks: Vec<(Rc<Block>, Point)>,
}

impl<'a> Fill<'a> {
    /// A sheet with nothing but what abuts on its frame.
    pub fn new(format: &Format, corner: &Corner) -> Fill<'a> {
        let frame = format.frame;
        let area = frame.grown(-INSET);
        let blocks = corner.placed(frame);
        let boxes: Vec<Bounds> = blocks.iter().map(|(block, at)| box_of(block, *at)).collect();
        let (low, stack) = (boxes[boxes.len() - 1], &boxes[..boxes.len() - 1]);
        let lower_right = Point::new(frame.max.x, frame.min.y);
        let corner = stack.iter().copied().fold(Bounds::of(lower_right, lower_right), Bounds::union);
        let beside = low.max.x <= corner.min.x + ABUTTING;
        let (corner, foot) = match beside {
            true => (corner, area.min.y.max(low.max.y + BLOCK_GAP)),
            false => (corner.union(low), area.min.y),
        };
        let words = if beside { vec![corner, low] } else { vec![corner] };
        let mut space = Space::new(area);
        words.iter().for_each(|&taken| space.occupy(taken, VIEW_GAP));
        Fill { area, corner, foot, space, rows: Vec::new(), fixed: words.len(), words, blocks }
    }

    /// Whether there is nothing on it but what abuts on the frame.
    pub fn is_fresh(&self) -> bool {
        self.rows.is_empty() && self.words.len() == self.fixed
    }

    /// Puts columns of lettering.
    pub fn put(&mut self, set: &Columns, parts: &[Prepared], at: Point) {
        for (block, at) in set.blocks(parts, at) {
            let taken = box_of(&block, at);
            self.space.occupy(taken, VIEW_GAP);
            self.words.push(taken);
            self.blocks.push((block, at));
        }
    }

    /// The views in projection, in the upper left of what is free.
    pub fn main(&mut self, row: &Row<'a>) -> Option<()> {
        let area = self.area;
        let cost = move |b: Bounds| (b.min.x - area.min.x) + (area.max.y - b.max.y);
        let spot = self.space.place(row.width, row.height, cost)?;
        self.take(row, spot);
        Some(())
    }

    fn take(&mut self, row: &Row<'a>, spot: Bounds) {
        for taken in row.boxes(spot.min) {
            self.space.occupy(taken, VIEW_GAP);
        }
        self.rows.push((row.clone(), spot));
    }

    /// Another view, wherever it lies nearest to the main views; whether it fits.
    pub fn view(&mut self, row: &Row<'a>) -> bool {
        let main = self.rows.first().map(|(_, b)| *b);
        let area = self.area;
        let cost = move |b: Bounds| match main {
            Some(m) => b.centre().distance(m.centre()) + 0.5 * (area.max.y - b.max.y),
            None => (b.min.x - area.min.x) + (area.max.y - b.max.y),
        };
        let spot = self.space.place(row.width, row.height, cost);
        spot.map(|spot| self.take(row, spot)).is_some()
    }

    /// For views, which keep further from lettering than lettering does from itself.
    pub fn begin_views(&mut self) {
        self.space = Space::new(self.area);
        let views = self.rows.iter().flat_map(|(row, spot)| row.boxes(spot.min));
        self.words.iter().copied().chain(views).for_each(|b| self.space.occupy(b, VIEW_GAP));
    }

    /// Whether blocks of these areas could have room, by their areas alone, each with the clear distance around it: where it says no, they have not.
    pub fn could_hold(&self, blocks: impl Iterator<Item = f64>) -> bool {
        let within = |b: &Bounds| {
            let along = |low: f64, high: f64, from: f64, to: f64| (high.min(to) - low.max(from)).max(0.0);
            let area = self.area;
            along(b.min.x, b.max.x, area.min.x, area.max.x) * along(b.min.y, b.max.y, area.min.y, area.max.y)
        };
        let views = self.rows.iter().flat_map(|(row, spot)| row.boxes(spot.min));
        let taken: f64 = self.words.iter().copied().chain(views).map(|b| within(&b)).sum();
        let whole = (self.area.width() + BLOCK_GAP) * (self.area.height() + BLOCK_GAP);
        blocks.sum::<f64>() <= whole - taken
    }

    /// After the views, lettering: it may stand nearer to other lettering than views do.
    pub fn begin_words(&mut self) {
        self.space = Space::new(self.area);
        for &taken in &self.words {
            self.space.occupy(taken, BLOCK_GAP);
        }
        for (row, spot) in &self.rows {
            row.boxes(spot.min).for_each(|b| self.space.occupy(b, VIEW_GAP));
        }
    }

    /// Puts a block of lettering as far to the right and as low as it fits; whether it does.
    pub fn block(&mut self, block: &Rc<Block>) -> bool {
        self.block_towards(block, Lean::default())
    }

    /// Puts a block of lettering towards the lower right corner; whether it fits.
    pub fn block_towards(&mut self, block: &Rc<Block>, lean: Lean) -> bool {
        let area = self.area;
        let cost = move |b: Bounds| lean.right * (area.max.x - b.max.x) + lean.low * (b.min.y - area.min.y);
        let spot = self.space.place(block.width, block.height, cost);
        spot.map(|spot| self.letter(block, spot)).is_some()
    }

    fn letter(&mut self, block: &Rc<Block>, spot: Bounds) {
        self.space.occupy(spot, BLOCK_GAP);
        self.words.push(spot);
        self.blocks.push((block.clone(), spot.min));
    }

    /// The empty rectangles in which lettering is read after what stands in a box: below it or further to the right.
    pub fn rooms(&self, after: Option<Bounds>) -> Vec<Bounds> {
        let free = self.space.free();
        let Some(after) = after else { return free.to_vec() };
        let right = free.iter().map(|f| Bounds { min: Point::new(f.min.x.max(after.max.x + BLOCK_GAP), f.min.y), ..*f });
        let below = free.iter().map(|f| Bounds {
            min: Point::new(f.min.x.max(after.min.x), f.min.y),
            max: Point::new(f.max.x, f.max.y.min(after.min.y - BLOCK_GAP)),
        });
        right.chain(below).filter(|f| f.min.x < f.max.x && f.min.y < f.max.y).collect()
    }

    /// Puts a block of lettering as far to the left as it fits where it is read after what stands in a box; its place.
    pub fn piece(&mut self, block: &Rc<Block>, after: Option<Bounds>) -> Option<Bounds> {
        let rooms = self.rooms(after);
        let fits = rooms.iter().filter(|f| f.width() + ABUTTING >= block.width && f.height() + ABUTTING >= block.height);
        let size = Point::new(block.width, block.height);
        let spots = fits.map(|f| Bounds { min: f.min, max: f.min + size });
        let spot = spots.min_by(|a, b| (a.min.x, a.min.y).partial_cmp(&(b.min.x, b.min.y)).unwrap_or(Ordering::Equal))?;
        self.letter(block, spot);
        Some(spot)
    }

    /// Moves every view into the middle of the room it has.
    pub fn settle(&mut self) {
        for _ in 0..SETTLING {
            for i in (0..self.rows.len()).rev() {
                let others: Vec<Bounds> = self.others(i);
                for along_x in [true, false] {
                    let by = slide(&self.boxes(i), self.area, &others, along_x);
                    let by = if along_x { Point::new(by, 0.0) } else { Point::new(0.0, by) };
                    self.rows[i].1 = moved(self.rows[i].1, by);
                }
            }
        }
        self.align();
        self.line_up();
    }

    /// Captions that are nearly on one line are put on one line, where there is room.
    fn align(&mut self) {
        for i in 1..self.rows.len() {
            let b = self.rows[i].1;
            let tops = self.rows[..i].iter().map(|(_, other)| other.max.y - b.max.y);
            let near = tops.filter(|dy| dy.abs() < NEARLY_ALIGNED).min_by(|a, b| a.abs().total_cmp(&b.abs()));
            let Some(dy) = near else { continue };
            let (aligned, others) = (moved(b, Point::new(0.0, dy)), self.others(i));
            let free = |own: Bounds| !others.iter().any(|o| o.overlaps(own));
            if self.area.contains(aligned) && self.rows[i].0.boxes(aligned.min).all(free) {
                self.rows[i].1 = aligned;
            }
        }
    }

    /// Notes that begin nearly under each other begin right under each other, where there is room.
    fn line_up(&mut self) {
        let corner = self.blocks.len() + self.fixed - self.words.len();
        let is_table = |fill: &Self, i: usize| fill.blocks[corner + i - self.fixed].0.group.id.starts_with(TABLE);
        let notes: Vec<usize> = (self.fixed..self.words.len()).filter(|&i| !is_table(self, i)).collect();
        for (k, &i) in notes.iter().enumerate() {
            let own = self.words[i];
            let off = notes[..k].iter().map(|&j| self.words[j].min.x - own.min.x).find(|dx| dx.abs() < NEARLY_FLUSH);
            let Some(by) = off.map(|dx| Point::new(dx, 0.0)) else { continue };
            let lined = moved(own, by);
            let words = self.words.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, b)| b.grown(BLOCK_GAP - ABUTTING));
            let views = (0..self.rows.len()).flat_map(|r| self.boxes(r)).map(|b| b.grown(VIEW_GAP - ABUTTING));
            if self.area.contains(lined) && !words.chain(views).any(|b| b.overlaps(lined)) {
                self.words[i] = lined;
                let at = &mut self.blocks[corner + i - self.fixed].1;
                *at = *at + by;
            }
        }
    }

    /// The boxes of the views of a row: beside the shorter ones another view may stand within the row's own box.
    fn boxes(&self, i: usize) -> Vec<Bounds> {
        let (row, spot) = &self.rows[i];
        row.boxes(spot.min).collect()
    }

    /// What a view keeps clear of: the lettering and the other views, with the clear distance around them.
    fn others(&self, i: usize) -> Vec<Bounds> {
        let views = (0..self.rows.len()).filter(|k| *k != i).flat_map(|k| self.boxes(k));
        self.words.iter().copied().chain(views).map(|b| b.grown(VIEW_GAP)).collect()
    }

    /// A merit are large views, views to the left of the lettering and near the top; a fault is a large empty part.
    fn merit(&self) -> f64 {
        let area = self.area;
        let share = |b: Bounds| b.width() * b.height() / (area.width() * area.height());
        let boxes: Vec<Bounds> = self.rows.iter().flat_map(|(row, spot)| row.boxes(spot.min)).collect();
        let mut empty = Space::new(area);
        self.words.iter().chain(&boxes).for_each(|&b| empty.occupy(b, 0.0));
        let largest = empty.free().iter().map(|&b| share(b)).fold(0.0, f64::max);
        let shown: f64 = boxes.iter().map(|&b| share(b)).sum();
        let centre = self.rows.first().map_or(area.centre(), |(_, b)| b.centre());
        let right = (centre.x - area.min.x) / area.width();
        let low = (area.max.y - centre.y) / area.height();
        shown - 0.8 * largest - 0.25 * right - 0.15 * low
    }

    /// The sheet as it is.
    pub fn sheet(self) -> Sheet<'a> {
        let merit = self.merit();
        let views = self.rows.iter();
        let views = views.flat_map(|(row, spot)| row.views.iter().map(|&(view, origin)| (view, spot.min + origin)));
        Sheet { views: views.collect(), blocks: self.blocks, merit }
    }
}

fn moved(b: Bounds, by: Point) -> Bounds {
    Bounds { min: b.min + by, max: b.max + by }
}

/// By how much boxes must move together along one axis to stand in the middle of the room they have there.
fn slide(own: &[Bounds], area: Bounds, others: &[Bounds], along_x: bool) -> f64 {
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for &b in own {
        let (least, most) = room(b, area, others, along_x);
        (low, high) = (low.max(least), high.min(most));
    }
    if low <= high { (low + high) / 2.0 } else { 0.0 }
}

/// Between which shifts along one axis a box meets nothing.
fn room(b: Bounds, area: Bounds, others: &[Bounds], along_x: bool) -> (f64, f64) {
    let (mut low, mut high) = if along_x { (area.min.x, area.max.x) } else { (area.min.y, area.max.y) };
    let own = if along_x { (b.min.x, b.max.x) } else { (b.min.y, b.max.y) };
    for o in others {
        let beside = if along_x {
            o.min.y < b.max.y - ABUTTING && b.min.y < o.max.y - ABUTTING
        } else {
            o.min.x < b.max.x - ABUTTING && b.min.x < o.max.x - ABUTTING
        };
        if !beside {
            continue;
        }
        let theirs = if along_x { (o.min.x, o.max.x) } else { (o.min.y, o.max.y) };
        if theirs.1 <= own.0 + ABUTTING {
            low = low.max(theirs.1);
        } else if theirs.0 >= own.1 - ABUTTING {
            high = high.min(theirs.0);
        }
    }
    (low - own.0, high - own.1)
}
