//! Machine files: paths at 1:1 in millimetres, tool compensation, index tables and control programs.
//!
//! | part | frame of its drawing |
//! | --- | --- |
//! | [`profile`] | the half-section: x runs along the wheel's axis from side A's datum plane to side B's, y is the radius |
//! | [`grooves`] of a side | seen from outside that side; the origin is the bore's centre, +x runs through groove 1, counter-clockwise positive |
//! | [`face`] grooves | the periphery rolled out at the outside diameter, seen from outside: x along the axis from side A, y around the wheel, counter-clockwise as seen from outside side A; the origin is groove 1 at side A |
//!
//! Side B is seen from its own outside, so its angles run against those of the order, which counts both sides from outside side A.
//!
//! Every drawing names the operation of each path by its group's layer: ASCII capitals, `REF_…` for what is not cut. Angles come from the place's
//! number, never from a sum. [`check`] compares a written file with the model.

pub mod check;
pub mod control;
pub mod face;
mod frame;
pub mod grooves;
pub mod index;
mod levels;
pub mod nose;
pub mod passes;
pub mod profile;
pub mod program;
mod short;

pub use frame::Part;
pub use short::Healed;

/// Why an order has no machine file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CuttingError {
    /// The wheel has no section.
    #[error(transparent)]
    Section(#[from] crate::section::SectionError),
    /// A path does not close.
    #[error("a path of the {part} does not close: {why}")]
    Open {
        /// The part.
        part: Part,
        /// The geometric reason.
        why: crate::geometry::ContourError,
    },
    /// An edge shorter than a machine takes cannot be left out.
    #[error(
        "the profile has an edge of {length} mm at diameter {diameter} mm, too short for a machine file, and it cannot be left out"
    )]
    Short {
        /// Length of the edge, mm.
        length: f64,
        /// Where, mm.
        diameter: f64,
    },
    /// The path of a round tool could not be trusted.
    #[error("no path for a nose radius of {nose} mm: {why}")]
    Offset {
        /// The nose radius, mm.
        nose: f64,
        /// The geometric reason.
        why: crate::geometry::offset::OffsetError,
    },
    /// The nose leaves stone in something that was ordered.
    #[error("{message} The largest nose that fits: {largest}")]
    Nose {
        /// What is left, where, how much.
        message: String,
        /// The largest nose that fits, with its unit.
        largest: String,
    },
    /// A program, read back and simulated, does not cut the shape.
    #[error("the program of the {part} would not cut the ordered shape: {why}")]
    Program {
        /// The part.
        part: Part,
        /// What it does.
        why: String,
    },
    /// Something needed is not in the order.
    #[error("{message}")]
    Needs {
        /// What is missing.
        message: String,
        /// What would be right.
        hint: String,
    },
}
