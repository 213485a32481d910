//! The turning profile: the half-section by operation.
//!
//! x runs along the wheel's axis, 0 in side A's datum plane and growing towards side B; y is the radius. The four operations follow each other
//! end to end and together close.

use super::frame::{chain, closed, drawing, layer, mm, reference};
use super::{CuttingError, Healed, Part, short};
use crate::drawing::{Drawing, LineRole};
use crate::geometry::{Contour, Edge, Point};
use crate::reach::Shape;
use crate::section::{Feature, Section};
use crate::wheel::{Job, SideName, Wheel};

/// A turning operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Operation {
    /// Side A from the bore to the outside diameter, its recess and corner included.
    SideA,
    /// The outside diameter.
    Face,
    /// Side B.
    SideB,
    /// The bore.
    Bore,
}

impl Operation {
    /// All, in the order they follow each other around the section.
    pub const ALL: [Operation; 4] = [Operation::SideA, Operation::Face, Operation::SideB, Operation::Bore];

    /// The operation that makes a feature: corners, chamfers and recesses belong to their side.
    pub fn of(feature: Feature) -> Operation {
        match feature {
            Feature::OutsideDiameter => Operation::Face,
            Feature::Bore => Operation::Bore,
            Feature::BoreChamfer(side)
            | Feature::Flat(side)
            | Feature::Taper(side)
            | Feature::TaperFlat(side)
            | Feature::Corner(side)
            | Feature::RecessWall(side, _)
            | Feature::RecessFloor(side, _)
            | Feature::RecessFillet(side, _) => match side {
                SideName::A => Operation::SideA,
                SideName::B => Operation::SideB,
            },
        }
    }

    /// The end of its layer's name: `SIDE_A`, `FACE`, `SIDE_B`, `BORE`.
    pub fn layer_end(self) -> &'static str {
        match self {
            Operation::SideA => "SIDE_A",
            Operation::Face => "FACE",
            Operation::SideB => "SIDE_B",
            Operation::Bore => "BORE",
        }
    }
}

/// The half-section in the machine's frame, by operation.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// The closed half-section, counter-clockwise.
    pub contour: Contour,
    /// The feature of each of its edges.
    pub features: Vec<Feature>,
    /// Edges too short for a machine that were left out.
    pub healed: Vec<Healed>,
}

impl Profile {
    /// Of a wheel: its half-section with x along the axis and y the radius. Edges shorter than
    /// [`LEAST_PATH`](crate::tolerance::LEAST_PATH) are left out and their neighbours joined.
    ///
    /// # Errors
    /// Where the wheel has no section, or a short edge cannot be left out.
    pub fn of(wheel: &Wheel) -> Result<Profile, CuttingError> {
        let section = Section::of(wheel)?;
        let edges: Vec<(Edge, Feature)> = section.edges().map(|(e, f)| (e.transposed().reversed(), f)).collect();
        let (edges, healed) = short::left_out(edges.into_iter().rev().collect())?;
        let (edges, features): (Vec<Edge>, Vec<Feature>) = edges.into_iter().unzip();
        let contour = Contour::new(edges).map_err(|why| CuttingError::Open { part: Part::Profile, why })?;
        Ok(Profile { contour, features, healed })
    }

    /// The section as a tool sees it.
    pub fn shape(&self) -> Shape<'_> {
        Shape { contour: &self.contour, features: &self.features }
    }

    /// The operation of each edge.
    pub fn operations(&self) -> impl Iterator<Item = Operation> + '_ {
        self.features.iter().map(|f| Operation::of(*f))
    }
}

/// The edges of one operation as runs that hang together; edges and operations are those of one closed contour.
pub(super) fn runs(edges: &[Edge], operations: &[Operation], of: Operation) -> Vec<Vec<Edge>> {
    let n = edges.len();
    // begin where another operation ends, so that no run is torn at the contour's start
    let first = (0..n).find(|&i| operations[i] == of && operations[(i + n - 1) % n] != of).unwrap_or(0);
    let mut runs: Vec<Vec<Edge>> = Vec::new();
    let mut open = false;
    for i in (0..n).map(|i| (first + i) % n) {
        if operations[i] != of {
            open = false;
            continue;
        }
        if !open {
            runs.push(Vec::new());
        }
        open = true;
        if let Some(run) = runs.last_mut() {
            run.push(edges[i]);
        }
    }
    runs
}

/// The nominal profile: one chain for each operation on `TURN_…`, the axis on `REF_AXIS`, and, where `outlined`, the closed half-section on
/// `REF_SECTION`. The chains close without it; it spares the receiver the joining.
pub fn nominal(job: &Job, profile: &Profile, outlined: bool) -> Drawing {
    let operations: Vec<Operation> = profile.operations().collect();
    let edges = profile.contour.edges();
    let mut groups: Vec<_> = Operation::ALL
        .into_iter()
        .map(|of| {
            let paths = runs(edges, &operations, of).concat();
            layer(format!("TURN_{}", of.layer_end()), chain(&paths, LineRole::Path))
        })
        .collect();
    if outlined {
        groups.push(layer("REF_SECTION", vec![closed(profile.contour.clone(), LineRole::Reference)]));
    }
    groups.push(axis(&job.wheel));
    let mut comments = frame_comments();
    comments.push(String::from(
        "Layers: TURN_SIDE_A, TURN_FACE, TURN_SIDE_B, TURN_BORE are the finished shape by operation, end to end; REF_ layers are not cut.",
    ));
    comments.push(String::from("Finished shape without tool compensation."));
    comments.extend(profile.healed.iter().map(Healed::comment));
    drawing(job, Part::Profile, &comments, groups)
}

pub(super) fn frame_comments() -> Vec<String> {
    vec![String::from(
        "Half-section of the altered wheel: x runs along the wheel's axis from side A's datum plane (x = 0) towards side B, y is the \
         radius, y = 0 the axis.",
    )]
}

/// The wheel's axis, 5 mm longer than the wheel at either end.
pub(super) fn axis(wheel: &Wheel) -> crate::drawing::Group {
    let (from, to) = (Point::new(-5.0, 0.0), Point::new(wheel.thickness + 5.0, 0.0));
    layer("REF_AXIS", vec![reference(from, to)])
}

impl Healed {
    /// A line for the file's head.
    pub fn comment(&self) -> String {
        format!(
            "An edge {} mm long at diameter {} mm is left out; its neighbours are joined.",
            mm(self.length),
            mm(2.0 * self.at.y)
        )
    }
}
