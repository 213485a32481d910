//! The body of a paper, filled from the top, page by page.

use super::grid::{Band, Grid};
use super::{Format, HEADING, Head, PITCH, SMALL, TEXT, body_bottom, body_top, pages};
use crate::drawing::Lettering::{self, Bold, Plain};
use crate::drawing::{Drawing, Item, LineRole, Text, measure};
use crate::geometry::Point;

/// Room above a heading, mm.
const ABOVE_HEADING: f64 = 4.0;
/// Room between blocks, mm.
const BETWEEN: f64 = 2.5;

/// A paper being filled.
#[derive(Debug)]
pub struct Flow {
    head: Head,
    format: Format,
    bodies: Vec<Vec<Item>>,
    y: f64,
}

impl Flow {
    /// An empty paper.
    pub fn new(head: Head, format: Format) -> Flow {
        let y = body_top(format);
        Flow { head, format, bodies: vec![Vec::new()], y }
    }

    /// The finished pages.
    pub fn finish(self) -> Vec<Drawing> {
        pages(&self.head, self.format, self.bodies)
    }

    /// Width of the body, mm.
    pub fn width(&self) -> f64 {
        self.format.inner_width()
    }

    fn bottom(&self) -> f64 {
        body_bottom(&self.head, self.format)
    }

    /// Height left on the page below what is there, and that of an empty page, mm.
    pub fn room(&self) -> (f64, f64) {
        (self.y - self.bottom(), body_top(self.format) - self.bottom())
    }

    /// Begins a new page unless so much room is left.
    pub fn need(&mut self, height: f64) {
        if self.y - height < self.bottom() && !self.bodies.last().is_none_or(Vec::is_empty) {
            self.bodies.push(Vec::new());
            self.y = body_top(self.format);
        }
    }

    fn put(&mut self, items: Vec<Item>) {
        if let Some(body) = self.bodies.last_mut() {
            body.extend(items);
        }
    }

    /// A heading, kept together with the 20 mm after it.
    pub fn heading(&mut self, text: &str) {
        self.heading_of(text, 20.0);
    }

    /// Height that a heading takes, mm.
    pub fn heading_height() -> f64 {
        ABOVE_HEADING + HEADING * PITCH + 1.0
    }

    /// A heading, kept together with what stands below it, so high, mm.
    pub fn heading_of(&mut self, text: &str, below: f64) {
        self.need(ABOVE_HEADING + HEADING + below);
        if self.bodies.last().is_some_and(|b| !b.is_empty()) {
            self.y -= ABOVE_HEADING;
        }
        self.lines(text, HEADING, Bold);
        self.y -= 1.0;
    }

    /// A paragraph.
    pub fn paragraph(&mut self, text: &str) {
        self.lines(text, TEXT, Plain);
        self.y -= BETWEEN - 1.0;
    }

    /// A paragraph that must be noticed.
    pub fn strong(&mut self, text: &str) {
        self.lines(text, TEXT, Bold);
        self.y -= BETWEEN - 1.0;
    }

    fn lines(&mut self, text: &str, height: f64, lettering: Lettering) {
        for line in measure::wrapped(text, height, lettering, self.width()) {
            self.need(height * PITCH);
            let at = Point::new(self.format.left, self.y - height);
            self.put(vec![Item::Text(Text { lettering, ..Text::new(line, at, height) })]);
            self.y -= height * PITCH;
        }
    }

    /// Fields side by side, so many in a row: a small label, its text below; what is empty gets a line to write on.
    pub fn fields(&mut self, fields: &[(&str, String)], columns: usize) {
        let gap = 4.0;
        let width = (self.width() - gap * (columns as f64 - 1.0)) / columns as f64;
        for row in fields.chunks(columns) {
            let wrapped: Vec<Vec<String>> =
                row.iter().map(|(_, text)| broken(text, width)).collect();
            let most = wrapped.iter().map(Vec::len).max().unwrap_or(1) as f64;
            let height = SMALL * PITCH + most * TEXT * PITCH + 2.1;
            self.need(height);
            for (i, ((label, _), lines)) in row.iter().zip(&wrapped).enumerate() {
                let x = self.format.left + (width + gap) * i as f64;
                let items = field(label, lines, Point::new(x, self.y), width);
                self.put(items);
            }
            self.y -= height;
        }
        self.y -= BETWEEN - 2.1;
    }

    /// A table.
    pub fn grid(&mut self, grid: &Grid) {
        let spans = grid.spans(self.format.left, self.width());
        let heading = grid.heading(&spans);
        let most = body_top(self.format) - self.bottom() - heading.height;
        let mut is_open = false;
        for row in &grid.rows {
            for band in grid.bands(row, &spans, most) {
                let page = self.bodies.len();
                self.need(band.height + if is_open { 0.0 } else { heading.height });
                if !is_open || page != self.bodies.len() {
                    self.open(&heading);
                    is_open = true;
                }
                self.band(&band);
            }
        }
        self.y -= BETWEEN;
    }

    /// The heading of a table with the rule above it.
    fn open(&mut self, heading: &Band) {
        let (from, to) = (Point::new(self.format.left, self.y), Point::new(self.format.right(), self.y));
        self.put(vec![Item::Line { from, to, role: LineRole::TableWide }]);
        self.band(heading);
    }

    fn band(&mut self, band: &Band) {
        self.put(band.items(self.y));
        self.y -= band.height;
    }

    /// Items of the caller's own, drawn with their origin at the lower left corner of a box this high.
    pub fn picture(&mut self, height: f64, draw: impl FnOnce(Point, f64) -> Vec<Item>) {
        self.need(height);
        let items = draw(Point::new(self.format.left, self.y - height), self.width());
        self.put(items);
        self.y -= height + BETWEEN;
    }
}

/// The lines of a field's text: an address keeps its own.
fn broken(text: &str, width: f64) -> Vec<String> {
    let own = text.split('\n').map(str::trim).filter(|line| !line.is_empty());
    let lines: Vec<String> = own.flat_map(|line| measure::wrapped(line, TEXT, Plain, width)).collect();
    if lines.is_empty() { measure::wrapped("", TEXT, Plain, width) } else { lines }
}

fn field(label: &str, lines: &[String], at: Point, width: f64) -> Vec<Item> {
    let mut y = at.y - SMALL;
    let mut items = vec![Item::Text(Text::new(label, Point::new(at.x, y), SMALL))];
    y -= SMALL * (PITCH - 1.0) + 0.6;
    for line in lines {
        y -= TEXT;
        if line.is_empty() {
            let (from, to) = (Point::new(at.x, y - 1.0), Point::new(at.x + width, y - 1.0));
            items.push(Item::Line { from, to, role: LineRole::TableNarrow });
        } else {
            items.push(Item::Text(Text::new(line, Point::new(at.x, y), TEXT)));
        }
        y -= TEXT * (PITCH - 1.0);
    }
    items
}
