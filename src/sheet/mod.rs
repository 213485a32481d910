//! The approval drawing: views, tables and notes arranged on sheets of paper, and the check that nothing on them touches anything else.

pub mod acceptance;
mod alone;
mod approval;
mod arrange;
mod block;
mod calculation;
mod contents;
pub mod dimension;
mod format;
mod grips;
mod notes;
mod questions;
mod number;
mod remarks;
mod rings;
mod table;
mod tables;
pub mod template;
mod title_block;
pub mod view;

pub use alone::{Look, alone, alone_with_grips};
pub use approval::{Approval, SheetError, approval};
pub use contents::Inputs;
pub use calculation::{Figures, calculation, sheets_of};
pub use grips::Grip;
pub use questions::question;
pub use remarks::{layout, remarks};
