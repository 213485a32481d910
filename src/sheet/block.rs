//! Blocks: the rectangles of lettering a sheet is filled with besides the views, and the lettering inside them.

use super::format::rectangle;
use crate::drawing::{Anchor, Fill, Group, Item, Lettering, LineRole, Text, measure};
use crate::geometry::{Bounds, Contour, Point};

/// Least clear distance between two texts, mm.
pub const TEXT_GAP: f64 = 1.0;
/// Least clear distance between a text and a line, mm.
pub const LINE_GAP: f64 = 0.7;
/// Clear distance kept between a text and the middle of the wide rule beside it, mm: the least one, half the rule's width and a little more.
pub const PAD: f64 = 1.0;

/// A rectangle of lettering, its lower left corner at the origin.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// Extent along x, mm.
    pub width: f64,
    /// Extent along y, mm.
    pub height: f64,
    /// What it shows.
    pub group: Group,
}

impl Block {
    /// An empty block.
    pub fn new(id: &str, width: f64, height: f64) -> Block {
        Block { width, height, group: Group::new(id) }
    }

    /// Adds a straight line.
    pub fn line(&mut self, from: Point, to: Point, role: LineRole) {
        self.group.items.push(Item::Line { from, to, role });
    }

    /// Adds a horizontal line over the whole width.
    pub fn rule(&mut self, y: f64, role: LineRole) {
        self.line(Point::new(0.0, y), Point::new(self.width, y), role);
    }

    /// Adds the four sides of a rectangle.
    pub fn frame(&mut self, bounds: Bounds, role: LineRole) {
        rectangle(&mut self.group.items, bounds, role);
    }

    /// Adds a pale band.
    pub fn tint(&mut self, b: Bounds) {
        let corners = [b.min, Point::new(b.max.x, b.min.y), b.max, Point::new(b.min.x, b.max.y)];
        if let Ok(contour) = Contour::polygon(&corners) {
            self.group.items.push(Item::Contour { contour, role: None, fill: Fill::Tint });
        }
    }

    /// Adds a text.
    pub fn text(&mut self, text: Text) {
        if !text.content.is_empty() {
            self.group.items.push(Item::Text(text));
        }
    }

    /// Its own extent.
    pub fn bounds(&self) -> Bounds {
        Bounds::of(Point::ORIGIN, Point::new(self.width, self.height))
    }
}

/// Lines of lettering one above the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Paragraph {
    /// The lines from the top.
    pub lines: Vec<String>,
    /// Capital height, mm.
    pub size: f64,
    /// Weight.
    pub lettering: Lettering,
    /// Baseline of each line below the paragraph's top, mm.
    pub baselines: Vec<f64>,
    /// From the top of the first line's ink (at least a capital) to the bottom of the last one's (at least a descender), mm.
    pub height: f64,
    /// Width of the widest line, mm.
    pub width: f64,
}

/// Depth of the ordinary descenders below the baseline, in capital heights (g, p, q, y of the font shipped).
const DESCENT: f64 = 0.33;
/// Distance of baselines in capital heights where no ink asks for more.
pub const PITCH: f64 = 1.72;

/// How far a line's ink reaches above and below its baseline, mm, at least as far as capitals and descenders do.
fn reach(line: &str, size: f64, lettering: Lettering) -> (f64, f64) {
    let ink = measure::ink(&Text { lettering, ..Text::new(line, Point::ORIGIN, size) });
    let (top, bottom) = ink.map_or((0.0, 0.0), |b| (b.max.y, -b.min.y));
    (top.max(size), bottom.max(DESCENT * size))
}

impl Paragraph {
    /// A text broken into lines no wider than `limit`, mm.
    pub fn wrapped(content: &str, size: f64, lettering: Lettering, limit: f64) -> Paragraph {
        Paragraph::of(measure::wrapped(content, size, lettering, limit), size, lettering)
    }

    /// These lines.
    pub fn of(lines: Vec<String>, size: f64, lettering: Lettering) -> Paragraph {
        let mut baselines: Vec<f64> = Vec::with_capacity(lines.len());
        let mut below = 0.0;
        for line in &lines {
            let (up, down) = reach(line, size, lettering);
            let y = baselines.last().map_or(up, |last| last + (below + up + TEXT_GAP + 0.01_f64).max(PITCH * size));
            baselines.push(y);
            below = down;
        }
        let height = baselines.last().map_or(0.0, |y| y + below);
        let width = lines.iter().map(|l| measure::width(l, size, lettering)).fold(0.0, f64::max);
        Paragraph { lines, size, lettering, baselines, height, width }
    }

    /// Puts it into a block, its top at `top`, its lines anchored at `x`.
    pub fn put(&self, block: &mut Block, x: f64, top: f64, anchor: Anchor) {
        for (line, baseline) in self.lines.iter().zip(&self.baselines) {
            let at = Point::new(x, top - baseline);
            let text = Text { anchor, lettering: self.lettering, ..Text::new(line.clone(), at, self.size) };
            block.text(text);
        }
    }
}

/// A text fitted into a box: the largest of the sizes at which it fits when wrapped; where none does, as much as fits at the smallest, ended by `…`.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// What is drawn.
    pub paragraph: Paragraph,
    /// Whether something had to be left out.
    pub cut: bool,
}

/// Fits a text into a box, mm; `sizes` from the largest to the smallest.
pub fn fitted(content: &str, sizes: &[f64], lettering: Lettering, width: f64, height: f64) -> Fitted {
    let mut last = Paragraph::of(Vec::new(), 0.0, lettering);
    for &size in sizes {
        last = Paragraph::wrapped(content, size, lettering, width);
        let broken_word = content.split_whitespace().any(|w| measure::width(w, size, lettering) > width);
        if last.height <= height && (!broken_word || size == sizes[sizes.len() - 1]) {
            return Fitted { paragraph: last, cut: false };
        }
    }
    let size = last.size;
    let mut lines = last.lines;
    while lines.len() > 1 && Paragraph::of(lines.clone(), size, lettering).height > height {
        // a text of thousands of lines is cut near the right length first
        let keep = (((height / (PITCH * size)) as usize) + 1).min(lines.len() - 1).max(1);
        lines.truncate(keep);
    }
    if let Some(end) = lines.last_mut() {
        while !end.is_empty() && measure::width(&format!("{end}…"), size, lettering) > width {
            end.pop();
        }
        let kept = end.trim_end().len();
        end.truncate(kept);
        end.push('…');
    }
    Fitted { paragraph: Paragraph::of(lines, size, lettering), cut: true }
}
