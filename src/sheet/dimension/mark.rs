//! Arrowheads and the other small signs of dimensioning.

use crate::drawing::{Fill, Item, LineRole};
use crate::geometry::{Contour, Point};

/// Length of an arrowhead, mm.
pub const ARROW: f64 = 3.5;
/// Width of an arrowhead, mm.
pub const ARROW_WIDTH: f64 = 1.17;

/// A filled arrowhead with its tip at `tip`, pointing in the direction `towards` (of length 1).
pub fn arrow(tip: Point, towards: Point) -> Option<Item> {
    sized_arrow(tip, towards, ARROW, ARROW_WIDTH)
}

/// A filled arrowhead of another size.
pub fn sized_arrow(tip: Point, towards: Point, length: f64, width: f64) -> Option<Item> {
    let foot = tip - towards * length;
    let half = towards.left() * (width / 2.0);
    let contour = Contour::polygon(&[tip, foot + half, foot - half]).ok()?;
    Some(Item::Contour { contour, role: None, fill: Fill::Solid })
}

/// A filled dot.
pub fn dot(centre: Point, radius: f64) -> Item {
    Item::Circle { centre, radius, role: LineRole::Dimension, fill: Fill::Solid }
}

/// A thin line of a dimension.
pub fn line(from: Point, to: Point) -> Item {
    Item::Line { from, to, role: LineRole::Dimension }
}

/// The lines of a chain of points.
pub fn chain(points: &[Point]) -> Vec<Item> {
    points.windows(2).filter(|w| w[0] != w[1]).map(|w| line(w[0], w[1])).collect()
}
