//! Arranging views, tables and notes on as few sheets as they need, at the largest scale that fits.

mod fill;
mod pack;
mod row;
mod space;
mod spread;
mod words;

pub use fill::{Corner, Fill, Sheet};
pub use pack::{Corners, Load, Settings, arrange};
pub use row::Row;
pub use spread::{Care, Spread, spread};
pub use words::{Part, Prepared};
