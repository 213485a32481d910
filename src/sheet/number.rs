//! How numbers are written on the sheets: as on every paper of the order, see [`Written`](crate::quantity::Written).

use super::view::Style;
use crate::quantity::LengthUnit;
use crate::report::Value;
use crate::size::SideName;
use crate::wheel::{Deviation, Requirement, Written};

impl Style {
    /// The text of a key in the sheet's language.
    pub fn say(&self, key: &str) -> &'static str {
        self.language.text(key)
    }

    /// The same with `{name}` replaced, each name by its words.
    pub fn put(&self, key: &str, names: &[(&str, &str)]) -> String {
        self.language.put(key, names)
    }

    /// The same with `{side}` replaced.
    pub fn of_side(&self, key: &str, side: SideName) -> String {
        self.put(key, &[("side", side.letter())])
    }

    /// The way of writing.
    pub fn written(&self) -> Written {
        Written { notation: self.dimensioning.into(), unit: self.unit }
    }

    /// A value of a report with the decimal sign of this way of writing.
    pub fn value(&self, value: &Value) -> String {
        match value {
            Value::Number { value, decimals } => self.exact(*value, *decimals),
            other => other.printed(),
        }
    }

    /// A length in the sheet's unit, zeros at the end left out, without the unit's name: `660,4`, `.125`.
    pub fn length(&self, mm: f64) -> String {
        self.written().length(mm)
    }

    /// A length in the other unit, for dual units: `[26]` is written around it by the caller.
    pub fn other_length(&self, mm: f64) -> String {
        self.written().other_length(mm)
    }

    /// The unit that follows in brackets where both are printed.
    pub fn other_unit(&self) -> LengthUnit {
        self.written().other_unit()
    }

    /// An angle in degrees, with its sign: `2°`.
    pub fn angle(&self, deg: f64) -> String {
        self.written().angle(deg)
    }

    /// A number without a unit, so many decimals at most, zeros at the end left out.
    pub fn plain(&self, value: f64, decimals: usize) -> String {
        self.written().plain(value, decimals)
    }

    /// A number without a unit, exactly so many decimals.
    pub fn exact(&self, value: f64, decimals: usize) -> String {
        self.written().exact(value, decimals)
    }

    /// The nominal value of a requirement with its sign: `Ø660,4`, `R3`, `1,5×45°`, `2°`, `180`. `unit` is that of lengths.
    pub fn nominal(&self, of: &Requirement, unit: LengthUnit) -> String {
        self.written().nominal(of, unit)
    }

    /// A tolerance on one line: `±0,1`, `+0,13 / 0`, `0 / −1,52`; upper and lower with equal decimals, a plain 0 for none. `degrees` for angles.
    pub fn deviation(&self, deviation: Deviation, unit: LengthUnit, degrees: bool) -> String {
        self.written().deviation(deviation, unit, degrees)
    }

    /// The tolerance of a requirement on one line, see [`Written::tolerance`].
    pub fn tolerance(&self, of: &Requirement, unit: LengthUnit) -> Option<String> {
        self.written().tolerance(of, unit)
    }
}
