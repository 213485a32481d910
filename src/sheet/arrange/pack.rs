//! Filling sheets: fixed blocks in the lower right corner, tables and notes in columns beside or above them, the views in what is left.

use super::row::Row;
use super::space::Space;
use super::words::{self, BLOCK_GAP, Columns, Part, Prepared, box_of};
use crate::geometry::{Bounds, Point};
use crate::sheet::block::Block;
use crate::sheet::format::Format;
use crate::sheet::view::View;

/// Clear distance of everything from the frame, mm: clear of the centring marks too.
const INSET: f64 = 6.5;
/// Clear distance of a view from anything else, mm.
const VIEW_GAP: f64 = 8.0;

/// What is placed on one sheet.
#[derive(Debug, Clone)]
pub struct Sheet<'a> {
    /// Blocks with the places of their lower left corners.
    pub blocks: Vec<(Block, Point)>,
    /// Views with the places of their origins.
    pub views: Vec<(&'a View, Point)>,
    /// How good it looks: what decides between arrangements; the greater the better.
    pub merit: f64,
}

/// Everything to be placed.
pub struct Load<'a> {
    /// Blocks that stand on one another in the lower right corner, the title block first.
    pub stack: &'a [Block],
    /// What must be on the first sheet: the views in projection.
    pub main: Row<'a>,
    /// The other views, the dearest first; of each the sizes it may have, the largest first.
    pub views: Vec<Vec<Row<'a>>>,
    /// Tables and notes, the dearest first.
    pub parts: &'a [Prepared],
}

/// Where tables and notes go on the first sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Manner {
    /// How many of the parts stand above the corner blocks; the rest stand left of them.
    above: usize,
    /// Whether those are the first ones or the last.
    first: bool,
}

/// One sheet with everything on it; `None` where not everything fits.
pub fn arrange<'a>(format: &Format, load: &Load<'a>) -> Option<Sheet<'a>> {
    let n = load.parts.len();
    let manners = (0..=n).flat_map(|above| [true, false].map(|first| Manner { above, first }));
    let tried = manners.filter(|m| m.first || (m.above > 0 && m.above < n)).filter_map(|m| one_sheet(format, load, m));
    tried.max_by(|a, b| a.merit.total_cmp(&b.merit))
}

fn one_sheet<'a>(format: &Format, load: &Load<'a>, manner: Manner) -> Option<Sheet<'a>> {
    let mut fill = Fill::new(format, load.stack);
    fill.words(load.parts, manner)?;
    fill.main(&load.main)?;
    for sizes in &load.views {
        sizes.iter().any(|row| fill.view(row)).then_some(())?;
    }
    fill.settle();
    fill.judge();
    Some(fill.sheet)
}

struct Fill<'a> {
    area: Bounds,
    corner: Bounds,
    space: Space,
    rows: Vec<(Row<'a>, Bounds)>,
    words: Vec<Bounds>,
    sheet: Sheet<'a>,
}

impl<'a> Fill<'a> {
    fn new(format: &Format, stack: &[Block]) -> Fill<'a> {
        let frame = format.frame;
        let area = frame.grown(-INSET);
        let mut sheet = Sheet { blocks: Vec::new(), views: Vec::new(), merit: 0.0 };
        let mut foot = frame.min.y;
        let mut corner = Bounds::of(Point::new(frame.max.x, foot), Point::new(frame.max.x, foot));
        for block in stack {
            let at = Point::new(frame.max.x - block.width, foot);
            corner = corner.union(box_of(block, at));
            sheet.blocks.push((block.clone(), at));
            foot += block.height;
        }
        let mut space = Space::new(area);
        space.occupy(corner, VIEW_GAP);
        Fill { area, corner, space, rows: Vec::new(), words: vec![corner], sheet }
    }

    /// Tables and notes above and left of the corner blocks.
    fn words(&mut self, parts: &[Prepared], manner: Manner) -> Option<()> {
        let all: Vec<usize> = (0..parts.len()).collect();
        let (above, beside) = if manner.first {
            all.split_at(manner.above)
        } else {
            let (beside, above) = all.split_at(parts.len() - manner.above);
            (above, beside)
        };
        let (left, foot) = (self.corner.min.x.max(self.area.min.x), self.corner.max.y + BLOCK_GAP);
        if !above.is_empty() {
            let set = words::columns(parts, above, self.area.max.x - left, self.area.max.y - foot)?;
            self.put(&set, parts, Point::new(left, foot), true);
        }
        if !beside.is_empty() {
            let room = self.corner.min.x - BLOCK_GAP - self.area.min.x;
            let set = words::columns(parts, beside, room, self.area.height())?;
            self.put(&set, parts, self.area.min, true);
        }
        Some(())
    }

    fn put(&mut self, set: &Columns, parts: &[Prepared], at: Point, low: bool) {
        for (block, at) in set.blocks(parts, at, low) {
            let taken = box_of(&block, at);
            self.space.occupy(taken, VIEW_GAP);
            self.words.push(taken);
            self.sheet.blocks.push((block, at));
        }
    }

    /// The views in projection, in the upper left of what is free.
    fn main(&mut self, row: &Row<'a>) -> Option<()> {
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
    fn view(&mut self, row: &Row<'a>) -> bool {
        let main = self.rows.first().map(|(_, b)| *b);
        let area = self.area;
        let cost = move |b: Bounds| match main {
            Some(m) => b.centre().distance(m.centre()) + 0.5 * (area.max.y - b.max.y),
            None => (b.min.x - area.min.x) + (area.max.y - b.max.y),
        };
        let spot = self.space.place(row.width, row.height, cost);
        spot.map(|spot| self.take(row, spot)).is_some()
    }

    /// Moves every view into the middle of the room it has.
    fn settle(&mut self) {
        for _ in 0..3 {
            for i in (0..self.rows.len()).rev() {
                let others: Vec<Bounds> = self.others(i);
                let b = self.rows[i].1;
                let x = slide(b, self.area, &others, true);
                let b = moved(b, Point::new(x, 0.0));
                let y = slide(b, self.area, &others, false);
                self.rows[i].1 = moved(b, Point::new(0.0, y));
            }
        }
        for (row, spot) in &self.rows {
            self.sheet.views.extend(row.views.iter().map(|&(view, origin)| (view, spot.min + origin)));
        }
    }

    /// What a view keeps clear of: the lettering and the other views, with the clear distance around them.
    fn others(&self, i: usize) -> Vec<Bounds> {
        let views = self.rows.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, (_, b))| *b);
        self.words.iter().copied().chain(views).map(|b| b.grown(VIEW_GAP)).collect()
    }

    /// Views close to each other in size and room on all sides are a merit; so is paper that shows the part.
    fn judge(&mut self) {
        let shown: f64 = self
            .rows
            .iter()
            .map(|(r, _)| r.views.iter().map(|(v, _)| v.bounds.width() * v.bounds.height()).sum::<f64>())
            .sum();
        let free = self.space.free().iter().map(|b| b.width() * b.height()).fold(0.0, f64::max);
        let area = self.area.width() * self.area.height();
        self.sheet.merit = shown / area - 0.5 * free / area;
    }
}

fn moved(b: Bounds, by: Point) -> Bounds {
    Bounds { min: b.min + by, max: b.max + by }
}

/// By how much a box must move along one axis to stand in the middle of the room it has there.
fn slide(b: Bounds, area: Bounds, others: &[Bounds], along_x: bool) -> f64 {
    let (mut low, mut high) = if along_x { (area.min.x, area.max.x) } else { (area.min.y, area.max.y) };
    let own = if along_x { (b.min.x, b.max.x) } else { (b.min.y, b.max.y) };
    for o in others {
        let beside = if along_x {
            o.min.y < b.max.y - 1e-9 && b.min.y < o.max.y - 1e-9
        } else {
            o.min.x < b.max.x - 1e-9 && b.min.x < o.max.x - 1e-9
        };
        if !beside {
            continue;
        }
        let theirs = if along_x { (o.min.x, o.max.x) } else { (o.min.y, o.max.y) };
        if theirs.1 <= own.0 + 1e-9 {
            low = low.max(theirs.1);
        } else if theirs.0 >= own.1 - 1e-9 {
            high = high.min(theirs.0);
        }
    }
    ((low + high) - (own.0 + own.1)) / 2.0
}

/// Several sheets: the main views with what fits on the first, the rest on the following ones; `None` where the main views do not fit.
pub fn spread<'a>(format: &Format, load: &Load<'a>, most: usize) -> Option<Vec<Sheet<'a>>> {
    let mut sheets = Vec::new();
    let mut views: Vec<&Vec<Row<'a>>> = load.views.iter().collect();
    let mut parts: Vec<(&Prepared, usize)> = load.parts.iter().map(|p| (p, 0)).collect();
    let mut fill = Fill::new(format, load.stack);
    fill.main(&load.main)?;
    loop {
        views.retain(|sizes| !sizes.iter().any(|row| fill.view(row)));
        if sheets.is_empty() {
            fill.settle();
        }
        let before = parts.iter().map(|(_, first)| first).sum::<usize>() + 1000 * parts.len();
        parts = fill.parts(&parts);
        let stuck = before == parts.iter().map(|(_, first)| first).sum::<usize>() + 1000 * parts.len();
        if !sheets.is_empty() {
            fill.settle();
        }
        let nothing = stuck && fill.sheet.views.is_empty();
        sheets.push(fill.sheet);
        if parts.is_empty() && views.is_empty() {
            return Some(sheets);
        }
        if nothing || sheets.len() >= most {
            return None;
        }
        fill = Fill::new(format, load.stack);
    }
}

impl<'a> Fill<'a> {
    /// Places what fits; returns what is left, each with its first row or line not yet placed.
    fn parts<'p>(&mut self, parts: &[(&'p Prepared, usize)]) -> Vec<(&'p Prepared, usize)> {
        // settling has moved the views
        self.space = Space::new(self.area);
        for &taken in &self.words {
            self.space.occupy(taken, BLOCK_GAP);
        }
        for (row, spot) in &self.rows {
            row.boxes(spot.min).for_each(|b| self.space.occupy(b, VIEW_GAP));
        }
        parts.iter().filter_map(|&(part, first)| self.part(part, first).map(|next| (part, next))).collect()
    }

    /// Places a part from `first` on; the first row or line that is still to be placed, `None` where it is done.
    fn part(&mut self, part: &Prepared, first: usize) -> Option<usize> {
        let fit =
            |fill: &mut Fill, width: f64, len: usize, block: &dyn Fn(usize) -> Block, fits: &dyn Fn(f64) -> usize| {
                if fill.block(block(len)) {
                    return None;
                }
                let wide = fill.space.free().iter().filter(|f| f.width() >= width);
                let most = wide.map(|f| fits(f.height())).max().unwrap_or(0);
                let enough = most >= 4 && fill.block(block(first + most));
                Some(if enough { first + most } else { first })
            };
        match &part.part {
            Part::Whole(block) => (!self.block(block.clone())).then_some(0),
            Part::Table(table) => {
                let laid = table.laid(0.0);
                fit(self, laid.width(), laid.len(), &|end| laid.block(first..end), &|h| laid.fitting(first, h))
            }
            Part::Notes(notes) => {
                let laid = notes.laid(120.0);
                fit(self, 120.0, laid.len(), &|end| laid.block(first..end), &|h| laid.fitting(first, h))
            }
        }
    }

    fn block(&mut self, block: Block) -> bool {
        let area = self.area;
        let cost = move |b: Bounds| (b.min.x - area.min.x) + (area.max.y - b.max.y);
        let Some(spot) = self.space.place(block.width, block.height, cost) else { return false };
        self.space.occupy(spot, BLOCK_GAP);
        self.sheet.blocks.push((block, spot.min));
        true
    }
}
