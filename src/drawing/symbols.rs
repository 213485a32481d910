//! Signs of drawings the font lacks, as lines and arcs: geometrical tolerances (ISO 1101), holes (ISO 129-1), surface texture (ISO 21920-1).
//!
//! Proportions from memory of ISO 7083 and ISO 81714-1. Diameter Ø ⌀, square □, degree, plus-minus and depth ↧ are in the font. A sign stands on the
//! baseline at its lower left corner and is drawn narrow.

use super::{Fill, Item, LineRole, Text, measure};
use crate::geometry::{Arc, Bounds, Contour, Point, Turn};

/// A sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sign {
    /// ↗ circular run-out.
    CircularRunout,
    /// ⌰ total run-out.
    TotalRunout,
    /// ∥ parallelism.
    Parallelism,
    /// ⟂ perpendicularity.
    Perpendicularity,
    /// ⏥ flatness.
    Flatness,
    /// ○ roundness.
    Roundness,
    /// ⌭ cylindricity.
    Cylindricity,
    /// ◎ concentricity and coaxiality.
    Concentricity,
    /// ⌖ position.
    Position,
    /// ⌒ profile of a line.
    LineProfile,
    /// ⌴ counterbore.
    Counterbore,
    /// ⌵ countersink.
    Countersink,
    /// ⌳ slope.
    Slope,
    /// ⌲ conical taper.
    Taper,
    /// Surface texture, material removed; its point stands on the surface.
    Machined,
}

impl Sign {
    /// Every sign.
    pub const ALL: [Sign; 15] = [
        Sign::CircularRunout,
        Sign::TotalRunout,
        Sign::Parallelism,
        Sign::Perpendicularity,
        Sign::Flatness,
        Sign::Roundness,
        Sign::Cylindricity,
        Sign::Concentricity,
        Sign::Position,
        Sign::LineProfile,
        Sign::Counterbore,
        Sign::Countersink,
        Sign::Slope,
        Sign::Taper,
        Sign::Machined,
    ];

    /// Width where capitals are `height` high, same unit.
    pub fn width(self, height: f64) -> f64 {
        let share = match self {
            Sign::TotalRunout | Sign::Flatness | Sign::Counterbore | Sign::Countersink | Sign::Taper => 1.6,
            Sign::LineProfile | Sign::Slope => 1.5,
            Sign::Machined => 2.43,
            Sign::CircularRunout
            | Sign::Parallelism
            | Sign::Perpendicularity
            | Sign::Roundness
            | Sign::Concentricity => 1.0,
            Sign::Cylindricity => 1.41,
            Sign::Position => 1.2,
        };
        share * height
    }

    /// Its lines; `at` is its lower left corner, capitals beside it are `height` high.
    pub fn items(self, at: Point, height: f64) -> Vec<Item> {
        let pen = Outline { at, height };
        match self {
            Sign::CircularRunout => pen.arrow((0.0, 0.0), (1.0, 1.0)),
            Sign::TotalRunout => {
                let arrows = [pen.arrow((0.0, 0.0), (1.0, 1.0)), pen.arrow((0.6, 0.0), (1.6, 1.0))];
                arrows.into_iter().flatten().chain([pen.line((0.0, 0.0), (0.6, 0.0))]).collect()
            }
            Sign::Parallelism => vec![pen.line((0.0, 0.0), (0.58, 1.0)), pen.line((0.42, 0.0), (1.0, 1.0))],
            Sign::Perpendicularity => vec![pen.line((0.0, 0.0), (1.0, 0.0)), pen.line((0.5, 0.0), (0.5, 1.0))],
            Sign::Flatness => pen.closed(&[(0.0, 0.1), (1.15, 0.1), (1.6, 0.9), (0.45, 0.9)]),
            Sign::Roundness => vec![pen.circle((0.5, 0.5), 0.5)],
            Sign::Cylindricity => pen.cylindricity(),
            Sign::Concentricity => vec![pen.circle((0.5, 0.5), 0.5), pen.circle((0.5, 0.5), 0.25)],
            Sign::Position => {
                vec![pen.circle((0.6, 0.5), 0.35), pen.line((0.0, 0.5), (1.2, 0.5)), pen.line((0.6, -0.1), (0.6, 1.1))]
            }
            Sign::LineProfile => pen.half_circle((0.75, 0.15), 0.75),
            Sign::Counterbore => pen.chain(&[(0.0, 0.8), (0.0, 0.0), (1.6, 0.0), (1.6, 0.8)]),
            Sign::Countersink => pen.chain(&[(0.0, 0.8), (0.8, 0.0), (1.6, 0.8)]),
            Sign::Slope => pen.closed(&[(0.0, 0.0), (1.5, 0.0), (0.0, 0.6)]),
            Sign::Taper => {
                let mut items = pen.closed(&[(0.1, 0.1), (1.5, 0.5), (0.1, 0.9)]);
                items.push(pen.line((0.0, 0.5), (1.6, 0.5)));
                items
            }
            Sign::Machined => pen.machined(),
        }
    }

    /// The box around its lines.
    pub fn bounds(self, at: Point, height: f64) -> Bounds {
        let items = self.items(at, height);
        items.iter().filter_map(Item::bounds).reduce(Bounds::union).unwrap_or(Bounds::of(at, at))
    }
}

/// Draws in shares of the height from the sign's corner.
struct Outline {
    at: Point,
    height: f64,
}

/// A place, in shares of the height.
type Share = (f64, f64);

impl Outline {
    fn point(&self, (x, y): Share) -> Point {
        self.at + Point::new(x, y) * self.height
    }

    fn line(&self, from: Share, to: Share) -> Item {
        Item::Line { from: self.point(from), to: self.point(to), role: LineRole::Dimension }
    }

    fn chain(&self, points: &[Share]) -> Vec<Item> {
        points.windows(2).map(|pair| self.line(pair[0], pair[1])).collect()
    }

    fn closed(&self, points: &[Share]) -> Vec<Item> {
        let ends = points.iter().cycle().skip(1);
        points.iter().zip(ends).map(|(&a, &b)| self.line(a, b)).collect()
    }

    fn circle(&self, centre: Share, radius: f64) -> Item {
        let (centre, radius) = (self.point(centre), radius * self.height);
        Item::Circle { centre, radius, role: LineRole::Dimension, fill: Fill::None }
    }

    /// The upper half of a circle.
    fn half_circle(&self, (x, y): Share, radius: f64) -> Vec<Item> {
        let (centre, radius) = (self.point((x, y)), radius * self.height);
        let end = |side: f64| centre + Point::new(side * radius, 0.0);
        let arc = Arc::new(end(1.0), end(-1.0), centre, radius, Turn::Left);
        arc.into_iter().map(|arc| Item::Arc { arc, role: LineRole::Dimension }).collect()
    }

    /// A line with a filled head at its end; the head is 0.4 long and 0.2 wide.
    fn arrow(&self, from: Share, to: Share) -> Vec<Item> {
        let (start, tip) = (self.point(from), self.point(to));
        let Some(along) = (tip - start).unit() else { return Vec::new() };
        let foot = tip - along * (0.4 * self.height);
        let side = along.left() * (0.1 * self.height);
        let head = Contour::polygon(&[tip, foot + side, foot - side]);
        let head = head.into_iter().map(|contour| Item::Contour { contour, role: None, fill: Fill::Solid });
        let shaft = Item::Line { from: start, to: foot, role: LineRole::Dimension };
        [shaft].into_iter().chain(head).collect()
    }

    /// A circle between two lines at 60° that touch it.
    fn cylindricity(&self) -> Vec<Item> {
        let (centre, radius) = ((0.705, 0.5), 0.36);
        let (sin, cos) = (60.0_f64.to_radians().sin(), 60.0_f64.to_radians().cos());
        let touching = |side: f64| {
            let foot = (centre.0 - side * radius * sin, centre.1 + side * radius * cos);
            // as far down and up as the capitals reach
            let at = |y: f64| (foot.0 + (y - foot.1) * cos / sin, y);
            self.line(at(0.0), at(1.0))
        };
        vec![self.circle(centre, radius), touching(1.0), touching(-1.0)]
    }

    /// Legs at 60°, the left one 1.4 high and closed by a bar, the right one 2.8 high.
    fn machined(&self) -> Vec<Item> {
        let slope = 60.0_f64.to_radians().tan();
        let foot = 1.4 / slope;
        let right = |height: f64| (foot + height / slope, height);
        let mut items = self.chain(&[(0.0, 1.4), (foot, 0.0), right(2.8)]);
        items.push(self.line((0.0, 1.4), right(1.4)));
        items
    }
}

/// A cell of a tolerance frame.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// A sign.
    Sign(Sign),
    /// The value, or a datum letter.
    Text(String),
}

/// A tolerance frame (ISO 1101), 2 heights high, and its width; `at` is its lower left corner.
pub fn frame(at: Point, height: f64, cells: &[Cell]) -> (Vec<Item>, f64) {
    let mut items = Vec::new();
    let mut left = at.x;
    let (bottom, top) = (at.y, at.y + 2.0 * height);
    let bar = |x: f64| Item::Line { from: Point::new(x, bottom), to: Point::new(x, top), role: LineRole::Dimension };
    items.push(bar(left));
    for cell in cells {
        let inner = match cell {
            Cell::Sign(sign) => sign.width(height),
            Cell::Text(text) => measure::width(text, height, super::Lettering::Plain),
        };
        // never narrower than high, half a height beside what it holds
        let width = (inner + height).max(2.0 * height);
        let start = Point::new(left + (width - inner) / 2.0, bottom + height / 2.0);
        match cell {
            Cell::Sign(sign) => items.extend(sign.items(start, height)),
            Cell::Text(text) => items.push(Item::Text(Text::new(text.clone(), start, height))),
        }
        left += width;
        items.push(bar(left));
    }
    for y in [bottom, top] {
        items.push(Item::Line { from: Point::new(at.x, y), to: Point::new(left, y), role: LineRole::Dimension });
    }
    (items, left - at.x)
}

/// A datum (ISO 5459): a filled triangle on the edge at `at`, a stem of `stem` away from it along `outward`, and the letter in a box, 2 heights
/// square, behind it. Empty where `outward` has no direction.
pub fn datum(at: Point, outward: Point, stem: f64, height: f64, letter: &str) -> Vec<Item> {
    let Some(outward) = outward.unit() else { return Vec::new() };
    let half_base = outward.left() * (0.5 * height);
    let tip = at + outward * (0.866 * height);
    let end = at + outward * stem;
    // the stem meets the box where a line to its middle would
    let reach = height / outward.x.abs().max(outward.y.abs());
    let middle = end + outward * reach;
    let corner = |x: f64, y: f64| middle + Point::new(x * height, y * height);
    let box_corners = [corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)];
    let triangle = Contour::polygon(&[at - half_base, tip, at + half_base]);
    let square = Contour::polygon(&box_corners);
    let solid = triangle.into_iter().map(|contour| Item::Contour { contour, role: None, fill: Fill::Solid });
    let framed = square.into_iter().map(|contour| {
        let role = Some(LineRole::Dimension);
        Item::Contour { contour, role, fill: Fill::None }
    });
    let letter = Text::new(letter, middle - Point::new(0.0, height / 2.0), height).centred();
    let stem = Item::Line { from: tip, to: end, role: LineRole::Dimension };
    solid.chain([stem]).chain(framed).chain([Item::Text(letter)]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_keep_to_their_width() {
        let at = Point::new(10.0, -3.0);
        for sign in Sign::ALL {
            let bounds = sign.bounds(at, 3.5);
            let slack = 0.02 * 3.5;
            assert!(bounds.min.x > at.x - slack, "{sign:?} begins at {}", bounds.min.x);
            assert!((bounds.max.x - at.x - sign.width(3.5)).abs() < slack, "{sign:?} ends at {}", bounds.max.x);
            assert!(bounds.min.y >= at.y - 0.11 * 3.5 && bounds.max.y <= at.y + 2.81 * 3.5, "{sign:?} {bounds:?}");
        }
    }

    #[test]
    fn a_frame_has_a_cell_for_each_part() {
        let cells = [Cell::Sign(Sign::Parallelism), Cell::Text("0,05".into()), Cell::Text("A".into())];
        let (items, width) = frame(Point::ORIGIN, 3.5, &cells);
        let bounds = items.iter().filter_map(measure::bounds).reduce(Bounds::union).unwrap();
        assert_eq!(bounds, Bounds::of(Point::ORIGIN, Point::new(width, 7.0)));
        let bars = items.iter().filter(|item| matches!(item, Item::Line { from, to, .. } if from.x == to.x));
        assert_eq!(bars.count(), 4);
    }

    #[test]
    fn a_datum_stands_on_its_edge() {
        for outward in [Point::new(0.0, 1.0), Point::new(-3.0, 0.0), Point::new(1.0, -1.0)] {
            let items = datum(Point::ORIGIN, outward, 8.0, 3.5, "A");
            let towards = outward.unit().unwrap();
            for item in &items {
                let Some(b) = item.bounds() else { continue };
                let centre = b.centre();
                assert!(centre.dot(towards) > 0.0, "{item:?}");
            }
            assert_eq!(items.len(), 4);
        }
        assert!(datum(Point::ORIGIN, Point::ORIGIN, 8.0, 3.5, "A").is_empty());
    }
}
