//! The approval drawing: views, tables and notes arranged on sheets of paper, and the check that nothing on them touches anything else.

mod format;
mod number;
pub mod view;
