//! What sizes may differ by where the order gives them no tolerance: the order's general one, else the shop's tables by size.

use crate::size::{GrooveSize, Measure, Size};
use serde::Serialize;
use std::collections::BTreeMap;

/// Upper and lower deviation from the nominal value, with their signs; mm (degrees for the groove pitch).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Deviation {
    /// Upper.
    pub upper: f64,
    /// Lower, not above the upper.
    pub lower: f64,
}

/// What a table of general tolerances is for; the bore has none, since its fit is always asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GeneralKind {
    /// The outside diameter.
    OutsideDiameter,
    /// The overall thickness.
    Thickness,
    /// Recess diameters.
    RecessDiameter,
    /// Recess depths.
    RecessDepth,
    /// Groove widths.
    GrooveWidth,
    /// Groove depths.
    GrooveDepth,
    /// Every other length.
    Other,
}

impl GeneralKind {
    /// Its key in the shop's file.
    pub fn key(self) -> &'static str {
        match self {
            GeneralKind::OutsideDiameter => "outside_diameter",
            GeneralKind::Thickness => "thickness",
            GeneralKind::RecessDiameter => "recess_diameter",
            GeneralKind::RecessDepth => "recess_depth",
            GeneralKind::GrooveWidth => "groove_width",
            GeneralKind::GrooveDepth => "groove_depth",
            GeneralKind::Other => "other",
        }
    }

    /// Of a size; `None` for the bore, angles, counts and tolerances of form.
    pub(super) fn of(size: Size) -> Option<GeneralKind> {
        match (size, size.measure()) {
            (Size::Bore, _) | (_, Measure::Angle | Measure::Count | Measure::Form) => None,
            (Size::OutsideDiameter, _) => Some(GeneralKind::OutsideDiameter),
            (Size::Thickness, _) => Some(GeneralKind::Thickness),
            (Size::RecessDiameter(..), _) => Some(GeneralKind::RecessDiameter),
            (Size::RecessDepth(..), _) => Some(GeneralKind::RecessDepth),
            (Size::Groove(_, GrooveSize::Width), _) => Some(GeneralKind::GrooveWidth),
            (Size::Groove(_, GrooveSize::Depth), _) => Some(GeneralKind::GrooveDepth),
            _ => Some(GeneralKind::Other),
        }
    }
}

/// The shop's general tolerances, lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct GeneralTolerances {
    source: String,
    /// Of each kind, up to which size which deviation holds, rising.
    tables: BTreeMap<GeneralKind, Vec<(f64, Deviation)>>,
}

impl GeneralTolerances {
    /// Tables whose sizes rise, and who says so.
    pub fn new(source: String, tables: BTreeMap<GeneralKind, Vec<(f64, Deviation)>>) -> GeneralTolerances {
        GeneralTolerances { source, tables }
    }

    /// Who says so, with edition and basis.
    pub fn source(&self) -> &str {
        &self.source
    }

    /// Of a size; `None` where the tables do not reach so far.
    pub(super) fn get(&self, kind: GeneralKind, nominal: f64) -> Option<Deviation> {
        let rows = self.tables.get(&kind)?;
        rows.iter().find(|(up_to, _)| nominal <= up_to + crate::tolerance::SAME_LENGTH).map(|&(_, d)| d)
    }
}

/// Who gives the limits of a size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LimitsBy {
    /// The order, for this size; also where the size itself is its limit.
    Order,
    /// The order's general tolerance.
    General,
    /// The shop's general tolerances.
    Shop,
}
