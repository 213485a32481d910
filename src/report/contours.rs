//! Lines of equal value over a half-section, as numbers; the sheet draws them.

use crate::geometry::{Contour, Point};

/// Lines of equal value over a half-section, (r, z) in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Contours {
    /// The outline.
    pub outline: Contour,
    /// Each level with its line, in straight pieces, rising.
    pub levels: Vec<(f64, Vec<(Point, Point)>)>,
    /// Every so many levels stands out, counted from 0.
    pub stands_out: usize,
    /// Where the value is greatest, and how much it is there.
    pub greatest: (Point, f64),
    /// Unit of the values.
    pub unit: String,
    /// What the lines say, in a sentence.
    pub legend: String,
    /// Where the numbers come from.
    pub source: String,
}
