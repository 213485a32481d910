//! Stock wheels: the shop's list, and which of them can make an order.

mod choice;
pub(crate) mod list;

pub use choice::{Asked, Candidate, Choice, Ranking, Rejected, choose, same_mark};
pub use list::{COLUMNS, RowProblem, StockList, StockWheel, read};
