//! Many quantities of the same kind, a line each.

use super::Value;
/// One column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// What it holds.
    pub label: String,
    /// In what unit; empty for plain numbers and words.
    pub unit: String,
}

impl Column {
    /// A column of this label and unit.
    pub fn new(label: impl Into<String>, unit: impl Into<String>) -> Column {
        Column { label: label.into(), unit: unit.into() }
    }

    /// Label with the unit in brackets, as a heading.
    pub fn heading(&self) -> String {
        if self.unit.is_empty() { self.label.clone() } else { format!("{} [{}]", self.label, self.unit) }
    }
}

/// Columns and lines; every line has a value for each column.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The lines.
    pub lines: Vec<Vec<Value>>,
    /// Where the numbers come from.
    pub source: String,
}
