//! How numbers are written, wherever they are: millimetres or inches, decimal comma or point, tolerances with equal decimals.

use super::{LengthUnit, fixed, trimmed};

/// Most decimals of a length in millimetres.
const MM_DECIMALS: usize = 3;
/// Most decimals of a length in inches.
const INCH_DECIMALS: usize = 4;
/// Most decimals of an angle.
const DEGREE_DECIMALS: usize = 4;

/// Decimal sign, and whether a zero stands before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Notation {
    /// Messages: decimal point, a plain minus.
    Plain,
    /// ISO style (ISO 129-1): decimal comma.
    Iso,
    /// US style (ASME Y14.5): decimal point; inches without a zero before it.
    Us,
}

/// A way of writing numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Written {
    /// Decimal sign, and whether a zero stands before it.
    pub notation: Notation,
    /// The unit lengths are printed in.
    pub unit: LengthUnit,
}

impl Written {
    /// As messages say numbers in a unit.
    ///
    /// ```
    /// use wheeldraft::{LengthUnit, Written};
    ///
    /// let inches = Written::plain_in(LengthUnit::Inch);
    /// assert_eq!(inches.measured(63.5), "2.5 in");
    /// assert_eq!(inches.both(63.5), "63.5 mm (2.5 in)");
    /// ```
    pub fn plain_in(unit: LengthUnit) -> Written {
        Written { notation: Notation::Plain, unit }
    }

    /// A length in the sheet's unit, zeros at the end left out, without the unit's name: `660,4`, `.125`.
    pub fn length(&self, mm: f64) -> String {
        self.length_in(mm, self.unit)
    }

    /// A length in the other unit, for dual units: `[26]` is written around it by the caller.
    pub fn other_length(&self, mm: f64) -> String {
        self.length_in(mm, self.other_unit())
    }

    /// The unit that follows in brackets where both are printed.
    pub fn other_unit(&self) -> LengthUnit {
        match self.unit {
            LengthUnit::Inch => LengthUnit::Millimetre,
            LengthUnit::Millimetre => LengthUnit::Inch,
        }
    }

    /// A length in a unit, zeros at the end left out.
    pub fn length_in(&self, mm: f64, unit: LengthUnit) -> String {
        self.written(trimmed(mm / unit.mm(), most_decimals(unit)), unit)
    }

    /// An angle in degrees, with its sign: `2°`.
    ///
    /// ```
    /// # use wheeldraft::{LengthUnit, Written};
    /// assert_eq!(Written::plain_in(LengthUnit::Millimetre).angle(22.5), "22.5°");
    /// ```
    pub fn angle(&self, deg: f64) -> String {
        format!("{}°", self.marked(trimmed(deg, DEGREE_DECIMALS)))
    }

    /// A number without a unit, so many decimals at most, zeros at the end left out.
    pub fn plain(&self, value: f64, decimals: usize) -> String {
        self.marked(trimmed(value, decimals))
    }

    /// A number without a unit, exactly so many decimals.
    pub fn exact(&self, value: f64, decimals: usize) -> String {
        self.marked(fixed(value, decimals))
    }

    /// An upper and a lower deviation with their signs, equal decimals, a plain `0` for none.
    pub(crate) fn signed(&self, [upper, lower]: [f64; 2], unit: LengthUnit, degrees: bool) -> [String; 2] {
        let (scale, most) = if degrees { (1.0, DEGREE_DECIMALS) } else { (unit.mm(), most_decimals(unit)) };
        let values = [upper / scale, lower / scale];
        let used = |v: f64| trimmed(v, most).split_once('.').map_or(0, |(_, fraction)| fraction.len());
        let decimals = values.iter().map(|&v| used(v)).max().unwrap_or(0);
        values.map(|value| {
            let digits = fixed(value.abs(), decimals);
            if digits.bytes().all(|b| matches!(b, b'0' | b'.')) {
                return "0".to_owned();
            }
            let size = if degrees { self.marked(digits) } else { self.written(digits, unit) };
            format!("{}{size}", if value < 0.0 { '−' } else { '+' })
        })
    }

    /// Decimals that a length needs in a unit, no more than are ever printed.
    pub(crate) fn decimals(&self, mm: f64, unit: LengthUnit) -> usize {
        trimmed(mm / unit.mm(), most_decimals(unit)).split_once('.').map_or(0, |(_, fraction)| fraction.len())
    }

    /// A length in a unit with exactly so many decimals.
    pub(crate) fn padded(&self, mm: f64, unit: LengthUnit, decimals: usize) -> String {
        self.written(fixed(mm / unit.mm(), decimals), unit)
    }

    /// A length in the sheet's unit with the unit's name: `660,4 mm`, `.125 in`.
    ///
    /// ```
    /// use wheeldraft::{LengthUnit, Notation, Written};
    ///
    /// let us = Written { notation: Notation::Us, unit: LengthUnit::Inch };
    /// assert_eq!(us.measured(3.175), ".125 in");
    /// ```
    pub fn measured(&self, mm: f64) -> String {
        format!("{} {}", self.length(mm), self.unit.symbol())
    }

    /// A length in both units: `63.5 mm (2.5 in)`.
    pub fn both(&self, mm: f64) -> String {
        format!("{} mm ({} in)", self.length_in(mm, LengthUnit::Millimetre), self.length_in(mm, LengthUnit::Inch))
    }

    /// A volume, mm³, in the unit that goes with the lengths', with about three digits that count: `123,4 cm³`, `7.53 in³`.
    ///
    /// ```
    /// # use wheeldraft::{LengthUnit, Written};
    /// assert_eq!(Written::plain_in(LengthUnit::Millimetre).volume(123_400.0), "123.4 cm³");
    /// ```
    pub fn volume(&self, mm3: f64) -> String {
        let value = mm3 / volume_of(self.unit);
        let decimals = match value.abs() {
            v if v >= 10.0 => 1,
            v if v >= 1.0 => 2,
            _ => 3,
        };
        format!("{} {}", self.exact(value, decimals), volume_unit(self.unit))
    }

    /// A surface speed: `33,02 m/s`.
    ///
    /// ```
    /// use wheeldraft::{LengthUnit, Notation, Written};
    ///
    /// let iso = Written { notation: Notation::Iso, unit: LengthUnit::Millimetre };
    /// assert_eq!(iso.speed(33.02), "33,02 m/s");
    /// ```
    pub fn speed(&self, metres_per_second: f64) -> String {
        format!("{} m/s", self.plain(metres_per_second, 2))
    }

    /// A sentence made with decimal points, such as a finding, with the decimal sign of the style. A point counts as a decimal sign where it is the
    /// only one of a run of digits; `1.2.3` and the full stop stay.
    pub fn sentence(&self, text: &str) -> String {
        if self.notation != Notation::Iso {
            return text.to_owned();
        }
        let is_part = |c: char| c.is_ascii_digit() || c == '.';
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some(start) = rest.find(is_part) {
            let (before, from) = rest.split_at(start);
            let (run, after) = from.split_at(from.find(|c| !is_part(c)).unwrap_or(from.len()));
            let number = run.trim_end_matches('.');
            let is_decimal = number.split_once('.').is_some_and(|(a, b)| !a.is_empty() && !b.contains('.'));
            out.push_str(before);
            out.push_str(&if is_decimal { run.replacen('.', ",", 1) } else { run.to_owned() });
            rest = after;
        }
        out + rest
    }

    /// Digits with the style's decimal sign and a true minus.
    fn marked(&self, digits: String) -> String {
        match self.notation {
            Notation::Plain => digits,
            Notation::Iso => digits.replace('-', "−").replace('.', ","),
            Notation::Us => digits.replace('-', "−"),
        }
    }

    /// Digits of a length with the style's decimal sign; inches of US style without the zero before the point.
    fn written(&self, digits: String, unit: LengthUnit) -> String {
        let bare = self.notation == Notation::Us && unit == LengthUnit::Inch;
        match digits.strip_prefix("0.") {
            Some(fraction) if bare => format!(".{fraction}"),
            _ => self.marked(digits),
        }
    }
}

/// One of the unit of [`Written::volume`], mm³.
pub fn volume_of(unit: LengthUnit) -> f64 {
    match unit {
        LengthUnit::Inch => unit.mm().powi(3),
        LengthUnit::Millimetre => 1000.0,
    }
}

/// `cm³` or `in³`.
pub fn volume_unit(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Inch => "in³",
        LengthUnit::Millimetre => "cm³",
    }
}

fn most_decimals(unit: LengthUnit) -> usize {
    match unit {
        LengthUnit::Inch => INCH_DECIMALS,
        LengthUnit::Millimetre => MM_DECIMALS,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn style(notation: Notation, unit: LengthUnit) -> Written {
        Written { notation, unit }
    }

    #[test]
    fn comma_or_point_and_no_zero_before_an_inch_point() {
        let iso = style(Notation::Iso, LengthUnit::Millimetre);
        assert_eq!(
            (iso.length(660.4), iso.length(0.5), iso.other_length(3.175)),
            ("660,4".into(), "0,5".into(), "0,125".into())
        );
        let us = style(Notation::Us, LengthUnit::Inch);
        assert_eq!(
            (us.length(3.175), us.length(660.4), us.other_length(3.175)),
            (".125".into(), "26".into(), "3.175".into())
        );
    }

    #[test]
    fn sentences_get_the_style_s_decimal_sign() {
        let iso = style(Notation::Iso, LengthUnit::Millimetre);
        for (made, written) in [
            ("runs at 40.12 m/s, faster than 33.", "runs at 40,12 m/s, faster than 33."),
            ("At 0.5° and 1.25. Then 3 mm.", "At 0,5° and 1,25. Then 3 mm."),
            ("edition 1.2.3 of 2024", "edition 1.2.3 of 2024"),
            ("…ends.", "…ends."),
            (".5 Ø12.7", ".5 Ø12,7"),
        ] {
            assert_eq!(iso.sentence(made), written);
        }
        assert_eq!(style(Notation::Us, LengthUnit::Inch).sentence("40.12 m/s"), "40.12 m/s");
        assert_eq!((iso.measured(63.5), iso.speed(33.019_6)), ("63,5 mm".into(), "33,02 m/s".into()));
    }

    #[test]
    fn messages_have_a_plain_point_and_minus() {
        let plain = Written::plain_in(LengthUnit::Inch);
        assert_eq!((plain.measured(-3.175), plain.volume(16_387.064)), ("-0.125 in".into(), "1.00 in³".into()));
        assert_eq!(style(Notation::Iso, LengthUnit::Millimetre).volume(123_456.0), "123,5 cm³");
    }
}
