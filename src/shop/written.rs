//! Numbers in the order's unit as messages write them.

use crate::quantity::{LengthUnit, Written, volume_of};

pub use crate::quantity::volume_unit;

/// A length with its unit: `26 in`, `660.4 mm`.
pub fn length(mm: f64, unit: LengthUnit) -> String {
    Written::plain_in(unit).measured(mm)
}

/// A length without the unit's name.
pub fn bare_length(mm: f64, unit: LengthUnit) -> String {
    Written::plain_in(unit).length(mm)
}

/// A surface speed: `33.02 m/s`.
pub fn speed(metres_per_second: f64) -> String {
    Written::plain_in(LengthUnit::Millimetre).speed(metres_per_second)
}

/// A volume, mm³, in cm³ or in³, with its name.
pub fn volume(mm3: f64, unit: LengthUnit) -> String {
    Written::plain_in(unit).volume(mm3)
}

/// The number of [`volume`].
pub fn volume_value(mm3: f64, unit: LengthUnit) -> f64 {
    mm3 / volume_of(unit)
}
