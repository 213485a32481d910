//! Dimensions: how values are written, and where their lines go so that nothing crosses anything.
//!
//! A band lies along one side of a view and belongs to its dimensions alone. Inside it placing is one-dimensional ([`lanes`]): each dimension
//! is an interval on a lane, and an extension line crosses a dimension line exactly if its place lies inside that interval on a nearer lane.

pub mod band;
pub mod foot;
pub mod label;
pub mod lanes;
pub mod leader;
pub mod mark;

pub use band::{Band, BandSide, End, Filled, Linear};
pub use foot::Foot;
pub use label::Label;
pub use leader::{Called, Column, SPARE};
