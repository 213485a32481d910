//! The tables of the sheets: dimensions by letter, grooves, properties, revisions, and the approval to sign.

mod approval;
mod dimensions;
mod grooves;
mod properties;
mod questions;

pub use approval::{PRINT_CHECK, approval, draft, not_released, print_check, revisions};
pub use dimensions::{dimensions, tolerance, unit_name};
pub use grooves::grooves;
pub use properties::{Agreed, properties};
pub use questions::questions;

/// Ids of tables of the contract.
pub const DIMENSIONS: &str = "table-dimensions";
pub const GROOVES: &str = "table-grooves";
pub const PROPERTIES: &str = "table-properties";
pub const QUESTIONS: &str = "table-questions";

/// Capital height of tables and notes, mm.
pub const SMALL: f64 = 2.5;
