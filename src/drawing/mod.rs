//! The display list: what a sheet or a machine file shows, before any file format.
//!
//! Coordinates are millimetres with y up; the origin of a sheet is its lower left corner, that of a machine drawing the datum it names.
//! Arcs, circles, line roles and text strings are kept as such, so that no writer has to guess and none flattens. Only the SVG writer flips y.

pub mod dash;
pub mod font;
pub mod measure;
mod moved;
mod role;
mod text;

pub use role::{DashStyle, Lettering, LineRole, Pen};
pub use text::{Anchor, Text};

use crate::geometry::{Arc, Bounds, Contour, Edge, Point};
use crate::size::Subject;

/// One sheet of paper, or one machine file.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Short name: the SVG `<title>`, the PDF's title.
    pub title: String,
    /// One or two sentences for a reader who cannot see the picture.
    pub description: String,
    /// Width of the paper, mm.
    pub width: f64,
    /// Height of the paper, mm.
    pub height: f64,
    /// Line widths and lettering of this paper size.
    pub pen: Pen,
    /// What is on it, drawn in this order.
    pub items: Vec<Item>,
    /// Facts about the document that formats with metadata carry.
    pub about: About,
}

/// Document metadata, all from the order; nothing here comes from a clock.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct About {
    /// Who prepared it; empty where the order does not say.
    pub author: String,
    /// What it is, for example `Approval drawing`.
    pub subject: String,
    /// Document date as `YYYY-MM-DD`; empty where the order gives none.
    pub date: String,
    /// The order's whole fingerprint, 64 hexadecimal digits.
    pub fingerprint: String,
    /// The state it was made in, a line each: for comments where the format has no ink.
    pub state: Vec<String>,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A straight line.
    Line {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
        /// What the line means.
        role: LineRole,
    },
    /// A circular arc.
    Arc {
        /// Its geometry.
        arc: Arc,
        /// What the line means.
        role: LineRole,
    },
    /// A full circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius, above 0.
        radius: f64,
        /// What the line means.
        role: LineRole,
        /// What is inside.
        fill: Fill,
    },
    /// A closed contour.
    Contour {
        /// Its geometry.
        contour: Contour,
        /// What the line means; `None` draws no line, only the fill.
        role: Option<LineRole>,
        /// What is inside.
        fill: Fill,
    },
    /// An area with holes, or of several parts; no line is drawn.
    Area {
        /// Its outlines.
        outlines: Vec<Contour>,
        /// What of the plane belongs to it.
        inside: Inside,
        /// What it is filled with.
        fill: Fill,
    },
    /// Hatching, already clipped to its area: each pair is one line.
    Hatch {
        /// The lines' ends.
        lines: Vec<(Point, Point)>,
    },
    /// Lettering.
    Text(Text),
    /// Things that belong together.
    Group(Group),
}

/// Which places several outlines enclose together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Inside {
    /// Those the outlines turn about at all, counted with their sense.
    NonZero,
    /// Those with an odd number of outlines between them and the far distance.
    EvenOdd,
}

/// What is inside a closed shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    /// Nothing.
    None,
    /// The line's own black: arrowheads, dots.
    Solid,
    /// The paper's white, hiding what was drawn before.
    Paper,
    /// A pale grey tint, for bands of a plot or table heads; never the only carrier of a meaning.
    Tint,
}

/// Things that belong together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// Meaningful, lower case, unique within the drawing, for example `view-side-a`.
    pub id: String,
    /// What a reader who cannot see it is told; empty says nothing.
    pub title: String,
    /// The size or mark it shows; `None` belongs to the group around it.
    pub subject: Option<Subject>,
    /// Layer of a machine file, ASCII capitals; empty inherits that of the group around it.
    pub layer: String,
    /// What it holds, drawn in this order.
    pub items: Vec<Item>,
}

impl Group {
    /// An empty group of this id.
    pub fn new(id: impl Into<String>) -> Group {
        Group { id: id.into(), ..Group::default() }
    }
}

impl Item {
    /// A line from an edge of a contour.
    pub fn edge(edge: &Edge, role: LineRole) -> Item {
        match *edge {
            Edge::Line(l) => Item::Line { from: l.start, to: l.end, role },
            Edge::Arc(arc) => Item::Arc { arc, role },
        }
    }

    /// The smallest upright box around it, lettering excepted (its width needs a font); `None` where it holds nothing.
    pub fn bounds(&self) -> Option<Bounds> {
        match self {
            Item::Line { from, to, .. } => Some(Bounds::of(*from, *to)),
            Item::Arc { arc, .. } => Some(Edge::Arc(*arc).bounds()),
            Item::Circle { centre, radius, .. } => {
                let r = Point::new(*radius, *radius);
                Some(Bounds::of(*centre - r, *centre + r))
            }
            Item::Contour { contour, .. } => Some(contour.bounds()),
            Item::Area { outlines, .. } => outlines.iter().map(Contour::bounds).reduce(Bounds::union),
            Item::Hatch { lines } => lines.iter().map(|&(a, b)| Bounds::of(a, b)).reduce(Bounds::union),
            Item::Text(_) => None,
            Item::Group(group) => group.items.iter().filter_map(Item::bounds).reduce(Bounds::union),
        }
    }
}
