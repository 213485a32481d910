//! What the numbers are called, what they are worth and where they come from: the rows that text, CSV, JSON and the papers print.

pub mod answer;
mod calculation;
pub mod cautions;
mod contours;
pub mod counts;
pub mod letter;
mod paper;
mod planner;
mod plot;
pub mod recess;
mod table;

pub use calculation::calculation;
pub use contours::Contours;
pub use paper::{Content, Paper, Part};
pub use planner::{Planned, planner};
pub use plot::{Axis, Mark, Plot, Series};
pub use table::{Column, Table};

use crate::quantity::fixed;

/// One quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is called, such as `Outside diameter`.
    pub label: String,
    /// Its letter or sign, such as `D`; empty where it has none.
    pub symbol: String,
    /// What it is worth.
    pub value: Value,
    /// Its unit, such as `mm`; empty for a plain number or a text.
    pub unit: String,
    /// Where it comes from: the order's field, a rule, a formula; empty where that goes without saying.
    pub source: String,
}

/// What a quantity is worth.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A number, and the decimals it is printed with.
    Number {
        /// As computed.
        value: f64,
        /// Digits after the point for people; programs get the whole number.
        decimals: usize,
    },
    /// Words.
    Text(String),
    /// Not known.
    Unknown,
}

impl Value {
    /// A number printed with so many decimals.
    pub fn number(value: f64, decimals: usize) -> Value {
        Value::Number { value, decimals }
    }

    /// A number that may not be known.
    pub fn optional(value: Option<f64>, decimals: usize) -> Value {
        value.map_or(Value::Unknown, |v| Value::number(v, decimals))
    }

    /// Words.
    pub fn text(text: impl Into<String>) -> Value {
        Value::Text(text.into())
    }

    /// As people read it; a dash where it is not known.
    pub fn printed(&self) -> String {
        match self {
            Value::Number { value, decimals } => fixed(*value, *decimals),
            Value::Text(text) => text.clone(),
            Value::Unknown => String::from("–"),
        }
    }
}

impl Row {
    /// A row without symbol and source.
    pub fn new(label: impl Into<String>, value: Value, unit: impl Into<String>) -> Row {
        Row { label: label.into(), symbol: String::new(), value, unit: unit.into(), source: String::new() }
    }

    /// The same with a symbol.
    pub fn symbol(self, symbol: impl Into<String>) -> Row {
        Row { symbol: symbol.into(), ..self }
    }

    /// The same with a source.
    pub fn source(self, source: impl Into<String>) -> Row {
        Row { source: source.into(), ..self }
    }
}
