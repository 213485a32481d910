//! The acceptance check of finished sheets: nothing touches what it must not, every size is drawn once, and says what is drawn.
//!
//! It reads the display list that the writers get, not the plan it was made from, so it would notice a fault of the layout as well as one of the
//! views. A sheet with a violation is not written.

mod collect;
mod distance;
mod held;
mod projection;
mod values;
mod written;

use crate::drawing::{Drawing, LineRole};
use crate::geometry::{Bounds, Point};
use crate::sheet::format::Format;
use crate::sheet::view::{Style, View};
use crate::size::Size;
use crate::wheel::{Job, Requirement};
use collect::{Lettered, Parts, Piece};
use crate::tolerance::SAME_PLACE;
use std::fmt;
use std::ops::Range;

/// Least distance between two texts, mm.
pub const TEXT_TO_TEXT: f64 = 1.0;
/// Least distance between a text and a line it does not own, to the line's edge, mm.
pub const TEXT_TO_LINE: f64 = 0.7;
/// Least distance of everything drawn from the frame, mm; title block and what stands on it abut on the frame.
pub const FRAME_DISTANCE: f64 = 5.0;
/// Least distance between parallel dimension lines, mm.
pub const LANE_PITCH: f64 = 7.0;
/// Least distance between two dimension lines on one lane, mm.
pub const LANE_GAP: f64 = 1.5;
/// Least distance between a dimension line outside the part and the part, mm.
pub const FIRST_OFFSET: f64 = 10.0;
/// By how much lines may pass one another without crossing, mm: less than a tenth of the narrow line's width.
const CROSS_SLACK: f64 = 0.02;
/// Boxes around views end at the edges of lines and are the only link between a view and its place, mm.
const OFFSET_ROUNDING: f64 = 0.3;
/// Side of a cell of the search grid, mm.
const CELL: f64 = 7.0;

/// Which row of the acceptance table is not kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Rule {
    /// Two texts too near to each other.
    TextToText,
    /// A text too near to a line it does not own.
    TextToLine,
    /// Dimension, extension or leader lines cross.
    Crossing,
    /// Parallel dimension lines, or a dimension line and the part, too near to each other.
    Lane,
    /// Something outside the frame.
    OutsideFrame,
    /// Something over the title block, a table or another view.
    Overlap,
    /// Side views and section neither in projection nor named by a view arrow.
    Projection,
    /// A required number not drawn, or drawn more than once.
    NotOnce,
    /// What is printed is not what is drawn.
    WrongValue,
}

/// One violation.
#[derive(Debug, Clone, PartialEq)]
pub struct Violation {
    /// The rule.
    pub rule: Rule,
    /// The sheet, from 1; 0 where it concerns them all.
    pub sheet: usize,
    /// Where, mm from the sheet's lower left corner.
    pub at: Point,
    /// What collides, in words.
    pub what: String,
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.sheet == 0 {
            return f.write_str(&self.what);
        }
        write!(f, "sheet {}, at ({:.0}, {:.0}): {}", self.sheet, self.at.x, self.at.y, self.what)
    }
}

/// What the sheets are checked against.
#[derive(Debug, Clone, Copy)]
pub struct Expected<'a> {
    /// The paper.
    pub format: &'a Format,
    /// How numbers are written.
    pub style: &'a Style,
    /// The order, which says what a reference is worth.
    pub job: &'a Job,
    /// Every number that must be drawn.
    pub requirements: &'a [Requirement],
    /// Those that no view could show: the sheets must say so in words.
    pub unplaced: &'a [Size],
    /// The views on the sheets.
    pub views: &'a [&'a View],
}

/// All violations on the sheets of one drawing; an empty list accepts them.
pub fn check(sheets: &[Drawing], expected: &Expected) -> Vec<Violation> {
    let taken: Vec<Parts> = sheets.iter().map(Parts::of).collect();
    let mut found = Vec::new();
    for (i, parts) in taken.iter().enumerate() {
        let mut sheet = SheetCheck { parts, views: expected.views, sheet: i + 1, found: &mut found };
        sheet.texts();
        sheet.crossings();
        sheet.lanes();
        sheet.frame(expected);
        sheet.overlaps();
    }
    found.extend(projection::check(&taken, expected.style.projection));
    found.extend(values::check(&taken, expected));
    found
}

/// What a view collides with in itself, before it is placed anywhere; places are its own coordinates. Saves attempts that cannot succeed.
pub fn check_view(view: &View, style: &Style) -> Vec<Violation> {
    let parts = Parts::of_group(&view.group, &style.pen);
    let mut found = Vec::new();
    let mut alone = SheetCheck { parts: &parts, views: &[view], sheet: 0, found: &mut found };
    alone.texts();
    alone.crossings();
    alone.lanes();
    found
}

struct SheetCheck<'a> {
    parts: &'a Parts,
    views: &'a [&'a View],
    sheet: usize,
    found: &'a mut Vec<Violation>,
}

/// Texts by the cells of a grid.
struct Grid {
    origin: Point,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<u32>>,
}

impl Grid {
    fn new(texts: &[Lettered], margin: f64) -> Grid {
        let all =
            texts.iter().map(|t| t.bounds).reduce(Bounds::union).unwrap_or(Bounds::of(Point::ORIGIN, Point::ORIGIN));
        let (columns, rows) = ((all.width() / CELL) as usize + 1, (all.height() / CELL) as usize + 1);
        let mut grid = Grid { origin: all.min, columns, rows, cells: vec![Vec::new(); columns * rows] };
        for (i, text) in texts.iter().enumerate() {
            for row in grid.around(text.bounds.grown(margin)) {
                grid.cells[row].iter_mut().for_each(|cell| cell.push(i as u32));
            }
        }
        grid
    }

    /// The cells a box touches, row by row.
    fn around(&self, b: Bounds) -> impl Iterator<Item = Range<usize>> + use<> {
        let clamp = |v: f64, n: usize| ((v / CELL).max(0.0) as usize).min(n - 1);
        let (low, high) = (b.min - self.origin, b.max - self.origin);
        let (x0, x1) = (clamp(low.x, self.columns), clamp(high.x, self.columns));
        let (y0, y1) = (clamp(low.y, self.rows), clamp(high.y, self.rows));
        let columns = self.columns;
        (y0..=y1).map(move |y| y * columns + x0..y * columns + x1 + 1)
    }
}

impl SheetCheck<'_> {
    fn add(&mut self, rule: Rule, at: Point, what: String) {
        self.found.push(Violation { rule, sheet: self.sheet, at, what });
    }

    fn texts(&mut self) {
        let parts = self.parts;
        let grid = Grid::new(&parts.texts, TEXT_TO_TEXT);
        let mut seen = vec![u32::MAX; parts.texts.len()];
        for (i, text) in parts.texts.iter().enumerate() {
            for row in grid.around(text.bounds) {
                for &k in grid.cells[row].iter().flatten() {
                    let k = k as usize;
                    if k >= i || seen[k] == i as u32 {
                        continue;
                    }
                    seen[k] = i as u32;
                    self.text_pair(text, &parts.texts[k]);
                }
            }
        }
        let reaches: Vec<Bounds> = parts.texts.iter().map(|t| t.bounds.grown(TEXT_TO_LINE)).collect();
        for piece in &parts.pieces {
            let near = Bounds::of(piece.from, piece.to).grown(piece.half);
            // a text in several cells is met several times; the same finding twice does no harm
            for cell in grid.around(near).flat_map(|row| &grid.cells[row]) {
                for &k in cell {
                    if reaches[k as usize].overlaps(near) {
                        self.text_and_line(&parts.texts[k as usize], piece);
                    }
                }
            }
        }
    }

    fn text_pair(&mut self, a: &Lettered, b: &Lettered) {
        if !a.bounds.grown(TEXT_TO_TEXT).overlaps(b.bounds) {
            return;
        }
        // the parts of one dimension's text keep their own, smaller distances; they must only not touch
        let own = a.owner.is_some() && a.owner == b.owner;
        let limit = if own { 0.1 } else { TEXT_TO_TEXT };
        let distance = distance::between_boxes(&a.corners, &b.corners);
        if distance < limit - SAME_PLACE {
            let what = format!("`{}` is {distance:.2} mm from `{}`, less than {limit} mm", a.content, b.content);
            self.add(Rule::TextToText, a.bounds.centre(), what);
        }
    }

    fn text_and_line(&mut self, text: &Lettered, piece: &Piece) {
        if text.owner.is_some() && text.owner == piece.owner {
            return;
        }
        let distance = distance::box_to_piece(&text.corners, (piece.from, piece.to)) - piece.half;
        if distance < TEXT_TO_LINE - SAME_PLACE {
            let line = self.line_name(piece);
            let what = format!("`{}` is {distance:.2} mm from {line}, less than {TEXT_TO_LINE} mm", text.content);
            self.add(Rule::TextToLine, text.bounds.centre(), what);
        }
    }

    fn line_name(&self, piece: &Piece) -> String {
        let of = match piece.owner {
            Some(owner) => self.parts.owners[owner].id.clone(),
            None => self.parts.tops[piece.top].id.clone(),
        };
        let kind = match piece.role {
            None => "a black shape".to_owned(),
            Some(role) => format!("a line ({role:?})"),
        };
        format!("{kind} of `{of}`")
    }

    fn crossings(&mut self) {
        let lines = &self.parts.dimension_lines;
        for (i, a) in lines.iter().enumerate() {
            let box_a = Bounds::of(a.from, a.to).grown(CROSS_SLACK);
            for b in &lines[..i] {
                let apart = a.owner == b.owner && a.owner.is_some();
                if apart || !box_a.overlaps(Bounds::of(b.from, b.to).grown(CROSS_SLACK)) {
                    continue;
                }
                if distance::cross((a.from, a.to), (b.from, b.to), CROSS_SLACK) {
                    let what = format!("{} crosses {}", self.line_name(a), self.line_name(b));
                    self.add(Rule::Crossing, a.from.lerp(a.to, 0.5), what);
                }
            }
        }
    }

    /// Dimension lines that end in two arrow tips: their distance from one another, and from the part where they lie outside of it.
    fn lanes(&mut self) {
        let lines: Vec<(&Piece, bool)> = self.parts.dimension_lines.iter().filter_map(|l| self.upright(l)).collect();
        for (i, &(a, vertical)) in lines.iter().enumerate() {
            self.first_offset(a, vertical);
            for &(b, _) in lines[..i].iter().filter(|(b, v)| *v == vertical && b.top == a.top && b.owner != a.owner) {
                let split = |p: Point| if vertical { (p.x, p.y) } else { (p.y, p.x) };
                let (pitch, overlap) = side_by_side([split(a.from), split(a.to)], [split(b.from), split(b.to)]);
                let (near, limit) = match pitch < SAME_PLACE {
                    true => (-overlap, LANE_GAP),
                    false => (pitch, LANE_PITCH),
                };
                if (overlap > SAME_PLACE || pitch < SAME_PLACE) && near < limit - SAME_PLACE {
                    let what = format!(
                        "{} is {near:.2} mm from {}, less than {limit} mm",
                        self.line_name(a),
                        self.line_name(b)
                    );
                    self.add(Rule::Lane, a.from.lerp(a.to, 0.5), what);
                }
            }
        }
    }

    /// A dimension line beside the part keeps the first offset from it.
    fn first_offset(&mut self, line: &Piece, vertical: bool) {
        let top = &self.parts.tops[line.top];
        let view = self.views.iter().find(|v| v.id == top.id);
        let (Some(view), Some(on_sheet)) = (view, top.bounds) else { return };
        let by = on_sheet.min - view.bounds.min;
        let part = Bounds { min: view.outline.min + by, max: view.outline.max + by };
        let (low, high, along) = match vertical {
            true => (part.min.x - line.from.x, line.from.x - part.max.x, [part.min.y, part.max.y]),
            false => (part.min.y - line.from.y, line.from.y - part.max.y, [part.min.x, part.max.x]),
        };
        let ends = if vertical { [line.from.y, line.to.y] } else { [line.from.x, line.to.x] };
        let beside = ends[0].min(ends[1]) < along[1] && ends[0].max(ends[1]) > along[0];
        let offset = low.max(high);
        if beside && offset > SAME_PLACE && offset < FIRST_OFFSET - OFFSET_ROUNDING {
            let what = format!("{} is {offset:.2} mm from the part, less than {FIRST_OFFSET} mm", self.line_name(line));
            self.add(Rule::Lane, line.from.lerp(line.to, 0.5), what);
        }
    }

    /// The line, if it is horizontal or vertical and joins two arrow tips of its own dimension; and whether it is vertical.
    fn upright<'p>(&self, line: &'p Piece) -> Option<(&'p Piece, bool)> {
        let owner = &self.parts.owners[line.owner?];
        let at_tip = |p: Point| owner.tips.iter().any(|t| t.distance(p) < SAME_PLACE);
        let (dx, dy) = ((line.to.x - line.from.x).abs(), (line.to.y - line.from.y).abs());
        let straight = (dx < SAME_PLACE) != (dy < SAME_PLACE);
        (straight && at_tip(line.from) && at_tip(line.to)).then_some((line, dx < SAME_PLACE))
    }

    fn frame(&mut self, expected: &Expected) {
        let frame = expected.format.frame;
        let paper = Bounds::of(Point::ORIGIN, Point::new(expected.format.width, expected.format.height));
        for top in &self.parts.tops {
            let Some(bounds) = top.bounds else { continue };
            let half = expected.style.pen.width(LineRole::TableWide) / 2.0;
            let limit = match place_of(&top.id) {
                PlaceOf::Frame => paper,
                PlaceOf::Corner => frame.grown(half),
                PlaceOf::Field => frame.grown(-FRAME_DISTANCE),
            };
            if !limit.grown(SAME_PLACE).contains(bounds) {
                let what = format!("`{}` reaches outside its part of the sheet", top.id);
                self.add(Rule::OutsideFrame, bounds.centre(), what);
            }
        }
    }

    fn overlaps(&mut self) {
        let boxes: Vec<(&str, Bounds)> = self
            .parts
            .tops
            .iter()
            .filter(|t| place_of(&t.id) != PlaceOf::Frame)
            .filter_map(|t| t.bounds.map(|b| (t.id.as_str(), b)))
            .collect();
        for (i, (id, a)) in boxes.iter().enumerate() {
            for (other, b) in &boxes[..i] {
                // blocks that stand on one another share their border
                let shared =
                    if place_of(id) == PlaceOf::Corner && place_of(other) == PlaceOf::Corner { 0.75 } else { 0.0 };
                if a.grown(-shared).overlaps(*b) {
                    self.add(Rule::Overlap, a.centre(), format!("`{id}` lies over `{other}`"));
                }
            }
        }
    }
}

/// Distance of two parallel lines, and the length over which they run side by side; ends as (across, along).
fn side_by_side(a: [(f64, f64); 2], b: [(f64, f64); 2]) -> (f64, f64) {
    let range = |l: [(f64, f64); 2]| (l[0].1.min(l[1].1), l[0].1.max(l[1].1));
    let ((a0, a1), (b0, b1)) = (range(a), range(b));
    ((a[0].0 - b[0].0).abs(), a1.min(b1) - a0.max(b0))
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum PlaceOf {
    /// The frame itself.
    Frame,
    /// Blocks that abut on the frame in its corner.
    Corner,
    /// Everything else.
    Field,
}

fn place_of(id: &str) -> PlaceOf {
    match id {
        "frame" => PlaceOf::Frame,
        "title-block" | "approval" | "not-released" | "draft" | "table-revisions" | "print-check" => PlaceOf::Corner,
        _ => PlaceOf::Field,
    }
}
