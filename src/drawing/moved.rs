//! Moving what is drawn.

use super::{Group, Item};
use crate::geometry::{Edge, Point};

impl Item {
    /// The same moved by a vector, mm.
    pub fn moved(self, by: Point) -> Item {
        match self {
            Item::Line { from, to, role } => Item::Line { from: from + by, to: to + by, role },
            Item::Arc { arc, role } => Item::edge(&Edge::Arc(arc).translated(by), role),
            Item::Circle { centre, radius, role, fill } => Item::Circle { centre: centre + by, radius, role, fill },
            Item::Contour { contour, role, fill } => Item::Contour { contour: contour.translated(by), role, fill },
            Item::Area { outlines, inside, fill } => {
                Item::Area { outlines: outlines.iter().map(|c| c.translated(by)).collect(), inside, fill }
            }
            Item::Hatch { lines } => Item::Hatch { lines: lines.into_iter().map(|(a, b)| (a + by, b + by)).collect() },
            Item::Text(mut text) => {
                text.at = text.at + by;
                Item::Text(text)
            }
            Item::Group(group) => Item::Group(group.moved(by)),
        }
    }
}

impl Group {
    /// The same moved by a vector, mm.
    pub fn moved(mut self, by: Point) -> Group {
        self.items = self.items.into_iter().map(|item| item.moved(by)).collect();
        self
    }
}
