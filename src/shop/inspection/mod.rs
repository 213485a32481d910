//! Inspection: the numbered sheet to fill in, whole for the first wheel and short for the others, what the measurements say, the certificate.

mod items;
mod measured;
mod paper;
pub mod profile;
mod record;
mod rows;
mod verdict;

pub use items::{Dimension, Extent, Item, USUAL_SAMPLE, items, sampled};
pub use measured::{COLUMNS, Measured, NoSheet, is_filled_in, read};
pub use paper::{certificate, sheet};
pub use record::{Field, Record, TestResult};
pub use rows::{VERDICT_COLUMNS, said, sheet_rows, verdict_rows};
pub use verdict::{Inspection, Judged, RuleLimits, Verdict, judge};

use crate::quantity::LengthUnit;

/// The unit something is measured in, on paper and in the csv file.
pub fn unit_name(dimension: Dimension, unit: LengthUnit) -> &'static str {
    match dimension {
        Dimension::Length => unit.symbol(),
        Dimension::Angle => "°",
        Dimension::Count => "",
    }
}

/// A value, mm or degrees or a count, in the unit of [`unit_name`].
pub fn in_unit(value: f64, dimension: Dimension, unit: LengthUnit) -> f64 {
    match dimension {
        Dimension::Length => value / unit.mm(),
        Dimension::Angle | Dimension::Count => value,
    }
}
