//! The wheel as resolved from an order: millimetres, degrees, kilograms, every default filled in, nothing left to interpret.
//!
//! z runs along the axis from side A (z = 0) to side B (z = thickness); r is the distance from the axis; angles are counter-clockwise from +x as
//! seen from outside side A, for both sides. [`open`] goes all the way from a file's bytes; [`resolve`] is the only way from an
//! [`Order`](crate::order::Order) to a [`Job`].

mod designation;
mod draft;
mod fingerprint;
mod fit;
mod general;
mod job;
mod model;
mod open;
mod reader;
mod requirement;
mod resolve;
mod resolve_parts;

pub use crate::quantity::Written;
pub use crate::size::SideName;
pub use draft::{OpenSize, Usual, UsualSizes};
pub use general::{Deviation, GeneralKind, GeneralTolerances, LimitsBy};
pub use designation::{Designation, designation};
pub use fingerprint::Fingerprint;
pub use job::{Blank, Characteristic, Job, Machine, Mount, Sheets, Tolerances, Tooling};
pub use model::{
    Bottom, Corner, FaceBottom, FaceGrooves, InnerEnd, Pattern, RecessStep, Side, SideGrooves, Taper, Wheel,
};
pub use open::open;
pub use requirement::Requirement;
pub(crate) use requirement::land;
pub use resolve::{MOST_PLACES, count_of_pitch, nearest_counts, resolve};
