//! Paper sizes, frames, zones and centring marks: ISO 5457 for A4 to A2, ASME Y14.1 (margins and zone counts from memory) for A to C.

use crate::drawing::{Group, Item, LineRole, Text};
use crate::geometry::{Bounds, Point};
use crate::order::{DrawingStyle, SheetSize};
use crate::quantity::MM_PER_INCH;

/// Width of the strip outside the frame that carries the zone marks, mm (ISO 5457).
const ZONE_STRIP: f64 = 5.0;
/// Length of an ISO zone field, counted from the centring marks, mm (ISO 5457).
const ISO_FIELD: f64 = 50.0;
/// How far a centring mark reaches inside the frame, mm.
const MARK_INSIDE: f64 = 5.0;
/// Capital height of the zone marks, mm.
const ZONE_TEXT: f64 = 2.5;
/// Letters of the zones; I and O could be read as numbers.
const LETTERS: &[u8] = b"ABCDEFGHJKLMNPQRSTUVWXYZ";

/// One paper size with its frame, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Format {
    /// Its name.
    pub size: SheetSize,
    /// Width of the trimmed sheet.
    pub width: f64,
    /// Height of the trimmed sheet.
    pub height: f64,
    /// The frame: what is drawn stays inside.
    pub frame: Bounds,
}

impl Format {
    /// Every paper size, by family, the smallest first.
    pub const ALL: [SheetSize; 6] =
        [SheetSize::A4, SheetSize::A3, SheetSize::A2, SheetSize::A, SheetSize::B, SheetSize::C];

    /// The format of a paper size.
    pub fn of(size: SheetSize) -> Format {
        let inch = |w: f64, h: f64| (w * MM_PER_INCH, h * MM_PER_INCH);
        let (width, height) = match size {
            SheetSize::A4 => (210.0, 297.0),
            SheetSize::A3 => (420.0, 297.0),
            SheetSize::A2 => (594.0, 420.0),
            SheetSize::A => inch(11.0, 8.5),
            SheetSize::B => inch(17.0, 11.0),
            SheetSize::C => inch(22.0, 17.0),
        };
        // left, right, and top and bottom; ISO keeps 20 mm for filing on the left
        let (left, right, across) = match size {
            SheetSize::A4 | SheetSize::A3 | SheetSize::A2 => (20.0, 10.0, 10.0),
            SheetSize::A => (0.38 * MM_PER_INCH, 0.38 * MM_PER_INCH, 0.25 * MM_PER_INCH + ZONE_STRIP),
            SheetSize::B => (0.62 * MM_PER_INCH, 0.62 * MM_PER_INCH, 0.38 * MM_PER_INCH),
            SheetSize::C => (0.50 * MM_PER_INCH, 0.50 * MM_PER_INCH, 0.75 * MM_PER_INCH),
        };
        let frame = Bounds::of(Point::new(left, across), Point::new(width - right, height - across));
        Format { size, width, height, frame }
    }

    /// The formats from this one up, of the same standard.
    pub fn at_least(size: SheetSize) -> Vec<Format> {
        const ISO: [SheetSize; 3] = [SheetSize::A4, SheetSize::A3, SheetSize::A2];
        const US: [SheetSize; 3] = [SheetSize::A, SheetSize::B, SheetSize::C];
        let family = if ISO.contains(&size) { ISO } else { US };
        family.into_iter().skip_while(|s| *s != size).map(Format::of).collect()
    }

    /// The formats to try where the order names none, the likeliest first.
    pub fn usual(style: DrawingStyle) -> [Format; 2] {
        match style {
            DrawingStyle::Iso => [Format::of(SheetSize::A3), Format::of(SheetSize::A2)],
            DrawingStyle::Us => [Format::of(SheetSize::B), Format::of(SheetSize::C)],
        }
    }

    /// Its name as printed.
    pub fn name(&self) -> &'static str {
        match self.size {
            SheetSize::A4 => "A4",
            SheetSize::A3 => "A3",
            SheetSize::A2 => "A2",
            SheetSize::A => "A",
            SheetSize::B => "B",
            SheetSize::C => "C",
        }
    }

    /// Whether it is of the A series, not of the inch sizes.
    pub fn is_iso(&self) -> bool {
        matches!(self.size, SheetSize::A4 | SheetSize::A3 | SheetSize::A2)
    }

    /// The border around the zone strips.
    fn border(&self) -> Bounds {
        self.frame.grown(ZONE_STRIP)
    }

    /// Frame, border, centring marks and zone marks, as the group `frame`. A centring mark that would reach into what is `taken` ends at the
    /// frame.
    pub fn draw(&self, taken: &[Bounds]) -> Group {
        let mut group = Group { title: "Frame with zones".to_owned(), ..Group::new("frame") };
        rectangle(&mut group.items, self.border(), LineRole::TableNarrow);
        rectangle(&mut group.items, self.frame, LineRole::Frame);
        self.centring_marks(&mut group.items, taken);
        let across = self.cuts(self.frame.min.x, self.frame.max.x, self.width / 2.0, true);
        let down = self.cuts(self.frame.min.y, self.frame.max.y, self.height / 2.0, false);
        self.zones(&mut group.items, &across, &down);
        group
    }

    fn centring_marks(&self, items: &mut Vec<Item>, taken: &[Bounds]) {
        let (x, y) = (self.width / 2.0, self.height / 2.0);
        let (border, frame) = (self.border(), self.frame);
        for (from, at_frame, inwards) in [
            (Point::new(x, border.max.y), Point::new(x, frame.max.y), Point::new(0.0, -1.0)),
            (Point::new(x, border.min.y), Point::new(x, frame.min.y), Point::new(0.0, 1.0)),
            (Point::new(border.min.x, y), Point::new(frame.min.x, y), Point::new(1.0, 0.0)),
            (Point::new(border.max.x, y), Point::new(frame.max.x, y), Point::new(-1.0, 0.0)),
        ] {
            let inside = at_frame + inwards * MARK_INSIDE;
            let hits = taken.iter().any(|t| t.overlaps(Bounds::of(at_frame, inside).grown(1.0)));
            items.push(Item::Line { from, to: if hits { at_frame } else { inside }, role: LineRole::Frame });
        }
    }

    /// Where the zone fields of one direction meet, ends included, rising.
    fn cuts(&self, low: f64, high: f64, centre: f64, across: bool) -> Vec<f64> {
        let mut cuts = vec![low];
        if self.is_iso() {
            let fields = |length: f64| (length / ISO_FIELD).ceil() as i32 - 1;
            let (before, after) = (fields(centre - low), fields(high - centre));
            cuts.extend((-before..=after).map(|k| centre + f64::from(k) * ISO_FIELD));
        } else {
            let n = match (self.size, across) {
                (SheetSize::A, _) | (SheetSize::B, false) => 2,
                _ => 4,
            };
            cuts.extend((1..n).map(|k| low + (high - low) * f64::from(k) / f64::from(n)));
        }
        cuts.push(high);
        cuts
    }

    /// The zone of a point of the sheet: letter and number.
    pub fn zone(&self, at: Point) -> String {
        let across = self.cuts(self.frame.min.x, self.frame.max.x, self.width / 2.0, true);
        let down = self.cuts(self.frame.min.y, self.frame.max.y, self.height / 2.0, false);
        let field = |cuts: &[f64], v: f64| cuts[1..cuts.len() - 1].iter().filter(|cut| v > **cut).count();
        let (i, k) = (field(&across, at.x), field(&down, at.y));
        let (columns, rows) = (across.len() - 1, down.len() - 1);
        let number = if self.is_iso() { i + 1 } else { columns - i };
        let index = if self.is_iso() { rows - 1 - k } else { k };
        format!("{}{number}", char::from(LETTERS[index.min(LETTERS.len() - 1)]))
    }

    /// ISO counts from the upper left and marks all four sides (A4 the upper and the right one only); ASME counts from the lower right.
    fn zones(&self, items: &mut Vec<Item>, across: &[f64], down: &[f64]) {
        let (border, frame) = (self.border(), self.frame);
        let sides: &[bool] = if self.size == SheetSize::A4 { &[true] } else { &[true, false] };
        let centred = [self.width / 2.0, self.height / 2.0];
        let baseline = (ZONE_STRIP - ZONE_TEXT) / 2.0;
        for &upper in sides {
            let (edge, inner) = if upper { (border.max.y, frame.max.y) } else { (border.min.y, frame.min.y) };
            let foot = edge.min(inner) + baseline;
            for (i, pair) in across.windows(2).enumerate() {
                let count = across.len() - 1;
                let number = if self.is_iso() { i + 1 } else { count - i };
                let at = Point::new((pair[0] + pair[1]) / 2.0, foot);
                items.push(Item::Text(Text::new(number.to_string(), at, ZONE_TEXT).centred()));
                if i > 0 && pair[0] != centred[0] {
                    let (from, to) = (Point::new(pair[0], edge), Point::new(pair[0], inner));
                    items.push(Item::Line { from, to, role: LineRole::TableNarrow });
                }
            }
            let (edge, inner) = if upper { (border.max.x, frame.max.x) } else { (border.min.x, frame.min.x) };
            let middle = (edge + inner) / 2.0;
            for (i, pair) in down.windows(2).enumerate() {
                let count = down.len() - 1;
                let index = if self.is_iso() { count - 1 - i } else { i };
                let letter = char::from(LETTERS[index.min(LETTERS.len() - 1)]);
                let at = Point::new(middle, (pair[0] + pair[1] - ZONE_TEXT) / 2.0);
                items.push(Item::Text(Text::new(letter.to_string(), at, ZONE_TEXT).centred()));
                if i > 0 && pair[0] != centred[1] {
                    let (from, to) = (Point::new(edge, pair[0]), Point::new(inner, pair[0]));
                    items.push(Item::Line { from, to, role: LineRole::TableNarrow });
                }
            }
        }
    }
}

/// The four sides of an upright rectangle.
pub fn rectangle(items: &mut Vec<Item>, b: Bounds, role: LineRole) {
    let corners = [b.min, Point::new(b.max.x, b.min.y), b.max, Point::new(b.min.x, b.max.y)];
    for (i, &from) in corners.iter().enumerate() {
        items.push(Item::Line { from, to: corners[(i + 1) % 4], role });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_of_iso_sheets_are_counted_from_the_centring_marks() {
        // numbers of fields from ISO 5457, table 2 (from memory): A4 4 × 6, A3 8 × 6, A2 12 × 8
        for (size, across, down) in [(SheetSize::A4, 4, 6), (SheetSize::A3, 8, 6), (SheetSize::A2, 12, 8)] {
            let f = Format::of(size);
            let xs = f.cuts(f.frame.min.x, f.frame.max.x, f.width / 2.0, true);
            let ys = f.cuts(f.frame.min.y, f.frame.max.y, f.height / 2.0, false);
            assert_eq!((xs.len() - 1, ys.len() - 1), (across, down), "{size:?}");
            assert!(xs.contains(&(f.width / 2.0)) && ys.contains(&(f.height / 2.0)));
            assert!(xs.windows(2).all(|w| w[1] > w[0] && w[1] - w[0] <= ISO_FIELD + 1e-9), "{xs:?}");
        }
    }
}
