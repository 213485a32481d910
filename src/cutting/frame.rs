//! The parts a wheel is cut in, and what their drawings have in common.

use crate::drawing::{Drawing, Fill, Group, Item, LineRole, Pen};
use crate::geometry::{Bounds, Contour, Edge, Point};
use crate::quantity::trimmed;
use crate::wheel::{Job, SideName};
use std::fmt;

/// A machine file's part of the wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Part {
    /// The turned shape: sides, face, bore.
    Profile,
    /// The grooves of a side.
    Grooves(SideName),
    /// The grooves across the face.
    FaceGrooves,
}

impl Part {
    /// The parts that this wheel has, in the order they are cut.
    pub fn of(job: &Job) -> Vec<Part> {
        let grooved = |side: &SideName| job.wheel.side(*side).grooves.is_some();
        let sides = SideName::BOTH.into_iter().filter(grooved).map(Part::Grooves);
        let face = job.wheel.face.as_ref().map(|_| Part::FaceGrooves);
        std::iter::once(Part::Profile).chain(sides).chain(face).collect()
    }

    /// Its word in file names: `profile`, `grooves-side-a`, `grooves-side-b`, `grooves-face`.
    pub fn word(self) -> &'static str {
        match self {
            Part::Profile => "profile",
            Part::Grooves(SideName::A) => "grooves-side-a",
            Part::Grooves(SideName::B) => "grooves-side-b",
            Part::FaceGrooves => "grooves-face",
        }
    }

    /// What stands at the end of its layers' names: `SIDE_A`, `SIDE_B`, `FACE`; nothing for the profile.
    pub(super) fn layer_end(self) -> &'static str {
        match self {
            Part::Profile => "",
            Part::Grooves(SideName::A) => "SIDE_A",
            Part::Grooves(SideName::B) => "SIDE_B",
            Part::FaceGrooves => "FACE",
        }
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Part::Profile => "profile",
            Part::Grooves(SideName::A) => "grooves of side A",
            Part::Grooves(SideName::B) => "grooves of side B",
            Part::FaceGrooves => "grooves of the face",
        })
    }
}

/// A machine drawing of these groups; the comments stand one to a line in its description.
pub(super) fn drawing(job: &Job, part: Part, comments: &[String], groups: Vec<Group>) -> Drawing {
    let items: Vec<Item> = groups.into_iter().filter(|g| !g.items.is_empty()).map(Item::Group).collect();
    let bounds = items.iter().filter_map(Item::bounds).reduce(Bounds::union);
    Drawing {
        title: format!("Order {}, {part}", job.file_stem()),
        description: comments.join("\n"),
        width: bounds.map_or(0.0, Bounds::width),
        height: bounds.map_or(0.0, Bounds::height),
        pen: Pen::GROUP_05,
        items,
        about: job.about(format!("Machine file: {part}")),
    }
}

/// A group on a layer; its id is the layer in lower case.
pub(super) fn layer(name: impl Into<String>, items: Vec<Item>) -> Group {
    let layer = name.into();
    Group { id: layer.to_lowercase().replace('_', "-"), layer, items, ..Group::default() }
}

/// A closed path.
pub(super) fn closed(contour: Contour, role: LineRole) -> Item {
    Item::Contour { contour, role: Some(role), fill: Fill::None }
}

/// Edges one after the other.
pub(super) fn chain<'a>(edges: impl IntoIterator<Item = &'a Edge>, role: LineRole) -> Vec<Item> {
    edges.into_iter().map(|e| Item::edge(e, role)).collect()
}

/// A straight reference line.
pub(super) fn reference(from: Point, to: Point) -> Item {
    Item::Line { from, to, role: LineRole::Reference }
}

/// A reference circle about the origin.
pub(super) fn reference_circle(radius: f64) -> Item {
    Item::Circle { centre: Point::ORIGIN, radius, role: LineRole::Reference, fill: Fill::None }
}

/// A length in a comment or a file name: millimetres, at most four decimals.
pub(super) fn mm(length: f64) -> String {
    trimmed(length, 4)
}
