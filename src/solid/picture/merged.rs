//! Lines that run alongside each other nearer than a pen can part are one.

use crate::geometry::Point;
use std::collections::HashMap;

/// Sine of the angle up to which lines run alike.
const ALIKE: f64 = 0.3;
/// Share of a line that must lie alongside others for it to go.
const ALONGSIDE: f64 = 0.75;
/// Places of a line for each pen.
const PLACES: f64 = 2.0;

/// A line of the picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its places in the plane of the picture, mm of the wheel, x to the right and y up, the axis' place on the side's datum plane at (0, 0).
    pub places: Vec<Point>,
    /// Whether it stands for a groove too narrow for lines of its own.
    pub is_fine: bool,
}

/// The lines so far.
pub struct Merged {
    /// Those that stay.
    pub lines: Vec<Line>,
    pen: f64,
    least: f64,
    /// Places of lines with their directions, by square of a pen's width.
    cells: HashMap<(i64, i64), Vec<(Point, Point)>>,
}

impl Merged {
    /// None yet; lines nearer than `pen` are one, shorter than `least` none, mm.
    pub fn new(pen: f64, least: f64) -> Merged {
        Merged { lines: Vec::new(), pen, least, cells: HashMap::new() }
    }

    /// Adds lines that all stay.
    pub fn all(&mut self, lines: Vec<Vec<Point>>) {
        lines.into_iter().for_each(|places| self.keep(places, false));
    }

    /// Adds lines that stand for narrow grooves.
    pub fn fine(&mut self, lines: Vec<Vec<Point>>) {
        lines.into_iter().for_each(|places| self.keep(places, true));
    }

    /// Adds what does not lie alongside others, the longest first.
    pub fn longest_first(&mut self, mut lines: Vec<Vec<Point>>) {
        lines.sort_by(|a, b| length(b).total_cmp(&length(a)));
        for places in lines {
            let all = self.along(&places);
            let near = all.iter().filter(|(p, way)| self.is_beside(*p, *way)).count();
            if (near as f64) < ALONGSIDE * all.len() as f64 {
                self.keep(places, false);
            }
        }
    }

    fn keep(&mut self, places: Vec<Point>, is_fine: bool) {
        if length(&places) < self.least {
            return;
        }
        for (p, way) in self.along(&places) {
            self.cells.entry(self.cell(p)).or_default().push((p, way));
        }
        self.lines.push(Line { places, is_fine });
    }

    fn cell(&self, p: Point) -> (i64, i64) {
        ((p.x / self.pen).floor() as i64, (p.y / self.pen).floor() as i64)
    }

    fn is_beside(&self, p: Point, way: Point) -> bool {
        let (x, y) = self.cell(p);
        let around = (-1..=1).flat_map(|i| (-1..=1).map(move |j| (x + i, y + j)));
        let here = around.filter_map(|cell| self.cells.get(&cell)).flatten();
        here.into_iter().any(|(q, other)| (*q - p).length() < self.pen && (way.x * other.y - way.y * other.x).abs() < ALIKE)
    }

    /// Places along a line with its direction there, its ends left out.
    fn along(&self, places: &[Point]) -> Vec<(Point, Point)> {
        let mut out = Vec::new();
        for pair in places.windows(2) {
            let chord = pair[1] - pair[0];
            let Some(way) = chord.unit() else { continue };
            let count = (chord.length() / self.pen * PLACES).ceil() as usize;
            out.extend((0..count).map(|i| (pair[0] + chord * ((i as f64 + 0.5) / count as f64), way)));
        }
        out
    }
}

fn length(places: &[Point]) -> f64 {
    places.windows(2).map(|pair| (pair[1] - pair[0]).length()).sum()
}
