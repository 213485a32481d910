//! Plane geometry: points, lines, circular arcs, closed contours and their exact integrals.
//!
//! Lengths have one unit throughout (the callers use millimetres), angles are radians unless a name ends in `_deg`.
//! x grows to the right, y upwards; counter-clockwise is positive. This module knows nothing of wheels.

#[cfg(feature = "pdf")]
mod clip;
mod contour;
mod distance;
mod edge;
mod fillet;
mod integrals;
#[cfg(feature = "pdf")]
pub mod offset;
mod point;
pub mod quadrature;
pub(crate) mod refined;
pub mod roots;

#[cfg(feature = "pdf")]
pub use clip::clipped;
pub use contour::{Contour, ContourError};
pub use edge::{Arc, ArcError, Edge, Line, Turn};
pub use fillet::{FilletError, round_corner, round_end, rounded};
pub use integrals::Moments;
pub use point::{Bounds, Point};
