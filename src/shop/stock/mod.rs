//! Stock wheels: the shop's list, which of them can make an order, and which goes to which of many.

mod assign;
mod buy;
mod choice;
pub(crate) mod list;
mod plan;
mod take;

pub use assign::{AssignError, Best, Plan, Share, Unserved, assign};
pub use buy::{Purchase, purchases};
pub use choice::{Asked, Candidate, Choice, Ranking, Rejected, choose, same_mark};
pub use crate::list::RowProblem;
pub use list::{COLUMNS, StockList, StockWheel, read};
pub use plan::Planned;
pub use take::{differences, take};
