//! One sheet for everything: fixed blocks in the lower right corner, tables and notes in columns beside or above them, the views in what is left.

use super::fill::{Corner, Fill, INSET, Sheet, VIEW_GAP};
use super::row::Row;
use super::words::{self, BLOCK_GAP, Prepared};
use crate::geometry::{Bounds, Point};
use crate::sheet::format::Format;
use std::cell::OnceCell;

/// The views to be placed.
pub struct Load<'a> {
    /// What must be on the first sheet: the views in projection.
    pub main: Row<'a>,
    /// Side views in line with a section of their own, which must not stand on a sheet with the main views.
    pub apart: Vec<Row<'a>>,
    /// The other views, the dearest first; of each the sizes it may have, the largest first.
    pub views: Vec<Vec<Row<'a>>>,
}

/// What abuts on the frame of each kind of sheet.
pub struct Corners {
    /// Of the first sheet.
    pub first: Corner,
    /// Of a first sheet that says on which other one parts of the contract stand.
    pub naming: Corner,
    /// Of every further one.
    pub further: Corner,
}

/// One paper size with every way of placing tables and notes on it.
pub struct Settings<'p> {
    /// The paper.
    pub format: Format,
    /// What abuts on the frame of each kind of sheet.
    pub corners: Corners,
    /// What is lettered.
    pub parts: &'p [Prepared],
    words: OnceCell<Vec<Fill<'static>>>,
    /// What is left of the area for views, mm², once all lettering has the least it can do with.
    left: f64,
}

impl<'p> Settings<'p> {
    /// A paper size, with what abuts on the frame of its sheets.
    pub fn new(format: Format, corners: Corners, parts: &'p [Prepared]) -> Settings<'p> {
        let fill = Fill::new(&format, &corners.first);
        let corner = fill.corner.width().min(fill.area.width()) - INSET;
        let blocks: f64 = parts.iter().map(|part| part.least_area).sum();
        let left = grown_area(fill.area) - corner.max(0.0) * (fill.corner.height() - INSET).max(0.0) - blocks;
        Settings { format, corners, parts, words: OnceCell::new(), left }
    }

    /// Every way of placing the lettering on one sheet.
    fn words(&self) -> &[Fill<'static>] {
        self.words.get_or_init(|| {
            let n = self.parts.len();
            let all: Vec<usize> = (0..n).collect();
            // the first or the last parts above the corner blocks, the others beside them
            let mut splits: Vec<(&[usize], &[usize])> = (0..=n).map(|k| all.split_at(k)).collect();
            splits.extend((1..n).map(|k| all.split_at(k)).map(|(beside, above)| (above, beside)));
            splits.into_iter().filter_map(|(above, beside)| self.lettered(above, beside)).collect()
        })
    }

    fn lettered(&self, above: &[usize], beside: &[usize]) -> Option<Fill<'static>> {
        let mut fill = Fill::new(&self.format, &self.corners.first);
        let (left, foot) = (fill.corner.min.x.max(fill.area.min.x), fill.corner.max.y + BLOCK_GAP);
        if !above.is_empty() {
            let set = words::columns(self.parts, above, fill.area.max.x - left, fill.area.max.y - foot)?;
            fill.put(&set, self.parts, Point::new(left, foot));
        }
        if !beside.is_empty() {
            let room = fill.corner.min.x - BLOCK_GAP - fill.area.min.x;
            let at = Point::new(fill.area.min.x, fill.foot);
            let set = words::columns(self.parts, beside, room, fill.area.max.y - at.y)?;
            fill.put(&set, self.parts, at);
        }
        Some(fill)
    }

    /// Whether views of these boxes and all lettering could have room on one sheet, by their areas alone: where it says no, no arrangement exists.
    pub fn could_hold(&self, views: impl IntoIterator<Item = Bounds>) -> bool {
        views.into_iter().map(grown_area).sum::<f64>() <= self.left
    }

    /// Whether views of this size could have room at all.
    pub fn has_room(&self, row: &Row) -> bool {
        let area = self.format.frame.grown(-INSET);
        row.width <= area.width() && row.height <= area.height()
    }
}

/// Area of a box with half of what views keep clear of each other all around, mm²: boxes that keep it do not overlap when they are so grown.
fn grown_area(b: Bounds) -> f64 {
    (b.width() + VIEW_GAP) * (b.height() + VIEW_GAP)
}

/// The boxes of all views of a load, each as small as it may be.
fn smallest_boxes(load: &Load) -> Vec<Bounds> {
    let smallest = load.views.iter().filter_map(|sizes| sizes.iter().min_by(|a, b| a.area().total_cmp(&b.area())));
    std::iter::once(&load.main).chain(smallest).flat_map(|row| row.boxes(Point::ORIGIN)).collect()
}

/// One sheet with everything on it; `None` where not everything fits. Details are as large as they can be together.
pub fn arrange<'a>(settings: &Settings, load: &Load<'a>) -> Option<Sheet<'a>> {
    if !settings.could_hold(smallest_boxes(load)) {
        return None;
    }
    let most = load.views.iter().map(Vec::len).max().unwrap_or(1).max(1);
    let passed = |smaller: usize| load.views.iter().map(|sizes| smaller.min(sizes.len() - 1)).collect::<Vec<usize>>();
    // lettering that leaves no room for the main views needs no further look
    let with_main = |words: &Fill<'static>| {
        let mut fill: Fill<'a> = words.clone();
        fill.main(&load.main).map(|()| fill)
    };
    let begun: Vec<Fill<'a>> = settings.words().iter().filter_map(with_main).collect();
    let smallest = passed(most - 1);
    let begun: Vec<Fill<'a>> = begun.into_iter().filter(|f| filled(f, load, &smallest).is_some()).collect();
    if begun.is_empty() {
        return None;
    }
    let (mut chosen, mut best) = (0..most).find_map(|smaller| {
        let passed = passed(smaller);
        best_of(&begun, load, &passed).map(|sheet| (passed, sheet))
    })?;
    // one by one, the dearest first, views that had to be smaller may turn out to fit larger after all
    for i in 0..chosen.len() {
        while chosen[i] > 0 {
            let mut larger = chosen.clone();
            larger[i] -= 1;
            let Some(found) = best_of(&begun, load, &larger) else { break };
            (chosen, best) = (larger, found);
        }
    }
    Some(best)
}

/// The best sheet where of each view so many larger sizes are passed over.
fn best_of<'a>(begun: &[Fill<'a>], load: &Load<'a>, passed: &[usize]) -> Option<Sheet<'a>> {
    let tried = begun.iter().filter_map(|fill| filled(fill, load, passed));
    let finished = tried.map(|mut fill| {
        fill.settle();
        fill.sheet()
    });
    finished.max_by(|a, b| a.merit.total_cmp(&b.merit))
}

fn filled<'a>(begun: &Fill<'a>, load: &Load<'a>, passed: &[usize]) -> Option<Fill<'a>> {
    let mut fill = begun.clone();
    let all = load.views.iter().zip(passed).all(|(sizes, &from)| fill.view(&sizes[from]));
    all.then_some(fill)
}
