//! Arranging views, tables and notes on as few sheets as they need, at the largest scale that fits.

mod pack;
mod row;
mod space;
mod words;

pub use pack::{Load, Settings, Sheet, arrange, spread};
pub use row::Row;
pub use words::{Part, Prepared};
