//! Numbers as the shop's papers and messages write them.

use crate::quantity::{LengthUnit, fixed, trimmed};

/// A length with its unit, in the order's unit, with the digits that matter: `26 in`, `660.4 mm`.
pub fn length(mm: f64, unit: LengthUnit) -> String {
    format!("{} {}", bare_length(mm, unit), unit.symbol())
}

/// A length in the order's unit, without the unit's name.
pub fn bare_length(mm: f64, unit: LengthUnit) -> String {
    trimmed(mm / unit.mm(), if unit == LengthUnit::Inch { 4 } else { 3 })
}

/// A surface speed: `33.02 m/s`.
pub fn speed(metres_per_second: f64) -> String {
    format!("{} m/s", trimmed(metres_per_second, 2))
}

/// A volume, mm³, in the unit that goes with the order's: cm³ or in³, with its name.
pub fn volume(mm3: f64, unit: LengthUnit) -> String {
    let value = volume_value(mm3, unit);
    // about three digits that count
    let decimals = match value.abs() {
        v if v >= 10.0 => 1,
        v if v >= 1.0 => 2,
        _ => 3,
    };
    format!("{} {}", fixed(value, decimals), volume_unit(unit))
}

/// The number of [`volume`].
pub fn volume_value(mm3: f64, unit: LengthUnit) -> f64 {
    match unit {
        LengthUnit::Inch => mm3 / unit.mm().powi(3),
        LengthUnit::Millimetre => mm3 / 1000.0,
    }
}

/// `cm³` or `in³`.
pub fn volume_unit(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Inch => "in³",
        LengthUnit::Millimetre => "cm³",
    }
}
