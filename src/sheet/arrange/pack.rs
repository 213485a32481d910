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

/// Captions whose heights differ by less than this are put on one line, mm.
const NEARLY_ALIGNED: f64 = 18.0;

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

/// The views to be placed.
pub struct Load<'a> {
    /// What must be on the first sheet: the views in projection.
    pub main: Row<'a>,
    /// The other views, the dearest first; of each the sizes it may have, the largest first.
    pub views: Vec<Vec<Row<'a>>>,
}

/// One paper size with every way of placing tables and notes on it.
pub struct Settings<'p> {
    /// The paper.
    pub format: Format,
    stack: Vec<Block>,
    parts: &'p [Prepared],
    words: Vec<Lettered>,
}

/// Tables and notes placed on a sheet.
struct Lettered {
    blocks: Vec<(Block, Point)>,
    boxes: Vec<Bounds>,
    space: Space,
}

impl<'p> Settings<'p> {
    /// Works out every way of placing the parts; the corner blocks stand on one another in the lower right corner.
    pub fn new(format: Format, stack: Vec<Block>, parts: &'p [Prepared]) -> Settings<'p> {
        let mut settings = Settings { format, stack, parts, words: Vec::new() };
        let n = parts.len();
        let all: Vec<usize> = (0..n).collect();
        // the first or the last parts above the corner blocks, the others beside them
        let mut splits: Vec<(&[usize], &[usize])> = (0..=n).map(|k| all.split_at(k)).collect();
        splits.extend((1..n).map(|k| all.split_at(k)).map(|(beside, above)| (above, beside)));
        settings.words = splits.into_iter().filter_map(|(above, beside)| settings.lettered(above, beside)).collect();
        settings
    }

    fn lettered(&self, above: &[usize], beside: &[usize]) -> Option<Lettered> {
        let mut fill = Fill::new(&self.format, &self.stack);
        let (left, foot) = (fill.corner.min.x.max(fill.area.min.x), fill.corner.max.y + BLOCK_GAP);
        if !above.is_empty() {
            let set = words::columns(self.parts, above, fill.area.max.x - left, fill.area.max.y - foot)?;
            fill.put(&set, self.parts, Point::new(left, foot));
        }
        if !beside.is_empty() {
            let room = fill.corner.min.x - BLOCK_GAP - fill.area.min.x;
            let set = words::columns(self.parts, beside, room, fill.area.height())?;
            fill.put(&set, self.parts, fill.area.min);
        }
        Some(Lettered { blocks: fill.sheet.blocks, boxes: fill.words, space: fill.space })
    }

    /// Whether views of this size could have room at all.
    pub fn has_room(&self, row: &Row) -> bool {
        let area = self.format.frame.grown(-INSET);
        row.width <= area.width() && row.height <= area.height()
    }
}

/// One sheet with everything on it; `None` where not everything fits. Details are as large as they can be together.
pub fn arrange<'a>(settings: &Settings, load: &Load<'a>) -> Option<Sheet<'a>> {
    let most = load.views.iter().map(Vec::len).max().unwrap_or(1).max(1);
    let passed = |smaller: usize| load.views.iter().map(|sizes| smaller.min(sizes.len() - 1)).collect::<Vec<usize>>();
    let all: Vec<usize> = (0..settings.words.len()).collect();
    let (mut chosen, mut best, mut sheet) = (0..most).find_map(|smaller| {
        let passed = passed(smaller);
        best_of(settings, load, &all, &passed).map(|(words, sheet)| (passed, words, sheet))
    })?;
    // one by one, the dearest first, views that had to be smaller may turn out to fit larger after all
    for i in 0..chosen.len() {
        while chosen[i] > 0 {
            let mut larger = chosen.clone();
            larger[i] -= 1;
            let Some((words, found)) = best_of(settings, load, &all, &larger) else { break };
            (chosen, best, sheet) = (larger, words, found);
        }
    }
    sheet.blocks = settings.words[best].blocks.clone();
    Some(sheet)
}

/// The best way to place the lettering where of each view so many larger sizes are passed over.
fn best_of<'a>(settings: &Settings, load: &Load<'a>, words: &[usize], passed: &[usize]) -> Option<(usize, Sheet<'a>)> {
    let tried = words.iter().filter_map(|&w| one_sheet(settings, load, &settings.words[w], passed).map(|s| (w, s)));
    tried.max_by(|a, b| a.1.merit.total_cmp(&b.1.merit))
}

fn one_sheet<'a>(settings: &Settings, load: &Load<'a>, lettered: &Lettered, passed: &[usize]) -> Option<Sheet<'a>> {
    let mut fill = Fill::new(&settings.format, &[]);
    fill.space = lettered.space.clone();
    fill.words = lettered.boxes.clone();
    fill.main(&load.main)?;
    for (sizes, &from) in load.views.iter().zip(passed) {
        fill.view(&sizes[from]).then_some(())?;
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

    fn put(&mut self, set: &Columns, parts: &[Prepared], at: Point) {
        for (block, at) in set.blocks(parts, at) {
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
        self.align();
        for (row, spot) in &self.rows {
            self.sheet.views.extend(row.views.iter().map(|&(view, origin)| (view, spot.min + origin)));
        }
    }

    /// Captions that are nearly on one line are put on one line, where there is room.
    fn align(&mut self) {
        for i in 1..self.rows.len() {
            let b = self.rows[i].1;
            let tops = self.rows[..i].iter().map(|(_, other)| other.max.y - b.max.y);
            let near = tops.filter(|dy| dy.abs() < NEARLY_ALIGNED).min_by(|a, b| a.abs().total_cmp(&b.abs()));
            let Some(dy) = near else { continue };
            let aligned = moved(b, Point::new(0.0, dy));
            if self.area.contains(aligned) && !self.others(i).iter().any(|o| o.overlaps(aligned)) {
                self.rows[i].1 = aligned;
            }
        }
    }

    /// What a view keeps clear of: the lettering and the other views, with the clear distance around them.
    fn others(&self, i: usize) -> Vec<Bounds> {
        let views = self.rows.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, (_, b))| *b);
        self.words.iter().copied().chain(views).map(|b| b.grown(VIEW_GAP)).collect()
    }

    /// A merit are large views, views to the left of the lettering and near the top; a fault is a large empty part.
    fn judge(&mut self) {
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
        self.sheet.merit = shown - 0.8 * largest - 0.25 * right - 0.15 * low;
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
pub fn spread<'a>(settings: &Settings, load: &Load<'a>, most: usize) -> Option<Vec<Sheet<'a>>> {
    let mut sheets = Vec::new();
    let mut views: Vec<&Vec<Row<'a>>> = load.views.iter().collect();
    let mut parts: Vec<(&Prepared, usize)> = settings.parts.iter().map(|p| (p, 0)).collect();
    let mut fill = Fill::new(&settings.format, &settings.stack);
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
        fill = Fill::new(&settings.format, &settings.stack);
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
        self.words.push(spot);
        self.sheet.blocks.push((block, spot.min));
        true
    }
}
