//! Arranging views, tables and notes on as few sheets as they need, at the largest scale that fits.

mod pack;
mod row;
mod space;

pub use pack::{Load, Manner, Part, Sheet, arrange};
pub use row::Row;
