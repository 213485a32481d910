//! Curves over one axis, as numbers; the sheet draws them.

/// One axis of a plot.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What it measures.
    pub label: String,
    /// In what unit.
    pub unit: String,
}

/// One curve; x never falls along it, and repeats where the quantity jumps.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// What it shows.
    pub label: String,
    /// Points (x, y).
    pub points: Vec<(f64, f64)>,
}

/// A value worth a line of its own across the plot.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// What it is.
    pub label: String,
    /// On the y axis where true, on the x axis where false.
    pub on_y: bool,
    /// Where.
    pub at: f64,
}

/// Curves with their axes and marks.
#[derive(Debug, Clone, PartialEq)]
pub struct Plot {
    /// The axis to the right.
    pub x: Axis,
    /// The axis upwards.
    pub y: Axis,
    /// The curves.
    pub series: Vec<Series>,
    /// Limits and places named across the plot.
    pub marks: Vec<Mark>,
    /// Where the numbers come from.
    pub source: String,
}

impl Axis {
    /// An axis of this label and unit.
    pub fn new(label: impl Into<String>, unit: impl Into<String>) -> Axis {
        Axis { label: label.into(), unit: unit.into() }
    }
}
