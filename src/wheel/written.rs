//! How numbers are written on every sheet and paper: decimal comma or point, millimetres or inches, tolerances with equal decimals.
//!
//! ISO style (ISO 129-1): decimal comma, zeros at the end left out. US style (ASME Y14.5): decimal point; inches without a zero before the point.

use super::{Deviation, Job, Requirement};
use crate::order::DrawingStyle;
use crate::quantity::{LengthUnit, fixed, trimmed};
use crate::size::Measure;

/// Most decimals of a length in millimetres.
const MM_DECIMALS: usize = 3;
/// Most decimals of a length in inches.
const INCH_DECIMALS: usize = 4;
/// Most decimals of an angle.
const DEGREE_DECIMALS: usize = 4;

/// A way of writing numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Written {
    /// Decimal comma (ISO) or point, inches without a zero before it (US).
    pub dimensioning: DrawingStyle,
    /// The unit lengths are printed in.
    pub unit: LengthUnit,
}

impl Written {
    /// As the order asks.
    pub fn of(job: &Job) -> Written {
        Written { dimensioning: job.sheets.style, unit: job.units }
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

    /// The nominal value of a requirement with its sign: `Ø660,4`, `R3`, `1,5×45°`, `2°`, `180`, `≤ 0,05`. `unit` is that of lengths.
    pub fn nominal(&self, of: &Requirement, unit: LengthUnit) -> String {
        let length = || self.length_in(of.nominal, unit);
        let value = match of.measure() {
            Measure::Diameter => format!("Ø{}", length()),
            Measure::Length => length(),
            Measure::Radius => format!("R{}", length()),
            Measure::Chamfer if of.plain_chamfer() => format!("{}×45°", length()),
            Measure::Chamfer => length(),
            Measure::Angle => self.angle(of.nominal),
            Measure::Count => trimmed(of.nominal, 0),
            // both sides have it, and its words say so
            Measure::Form => return format!("≤ {}", length()),
        };
        if of.places > 1 { format!("{}× {value}", of.places) } else { value }
    }

    /// A tolerance on one line: `±0,1`, `+0,13 / 0`, `0 / −1,52`; upper and lower with equal decimals, a plain 0 for none. `degrees` for angles.
    pub fn deviation(&self, deviation: Deviation, unit: LengthUnit, degrees: bool) -> String {
        let [upper, lower] = self.deviations(deviation, unit, degrees);
        match upper.strip_prefix('+') {
            Some(size) if lower.strip_prefix('−') == Some(size) => format!("±{size}"),
            _ => format!("{upper} / {lower}"),
        }
    }

    /// Upper and lower deviation with their signs, equal decimals, a plain `0` for none.
    pub fn deviations(&self, deviation: Deviation, unit: LengthUnit, degrees: bool) -> [String; 2] {
        let (scale, most) = if degrees { (1.0, DEGREE_DECIMALS) } else { (unit.mm(), most_decimals(unit)) };
        let values = [deviation.upper / scale, deviation.lower / scale];
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

    /// A length in the sheet's unit with the unit's name: `660,4 mm`, `.125 in`.
    pub fn measured(&self, mm: f64) -> String {
        format!("{} {}", self.length(mm), self.unit.symbol())
    }

    /// A surface speed: `33,02 m/s`.
    pub fn speed(&self, metres_per_second: f64) -> String {
        format!("{} m/s", self.plain(metres_per_second, 2))
    }

    /// A sentence made with decimal points, such as a finding, with the decimal sign of the style. A point counts as a decimal sign where it is the
    /// only one of a run of digits; `1.2.3` and the full stop stay.
    pub fn sentence(&self, text: &str) -> String {
        if self.dimensioning == DrawingStyle::Us {
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
        let digits = digits.replace('-', "−");
        match self.dimensioning {
            DrawingStyle::Iso => digits.replace('.', ","),
            DrawingStyle::Us => digits,
        }
    }

    /// Digits of a length with the style's decimal sign; inches of US style without the zero before the point.
    fn written(&self, digits: String, unit: LengthUnit) -> String {
        let bare = self.dimensioning == DrawingStyle::Us && unit == LengthUnit::Inch;
        match digits.strip_prefix("0.") {
            Some(fraction) if bare => format!(".{fraction}"),
            _ => self.marked(digits),
        }
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

    fn style(dimensioning: DrawingStyle, unit: LengthUnit) -> Written {
        Written { dimensioning, unit }
    }

    #[test]
    fn comma_or_point_and_no_zero_before_an_inch_point() {
        let iso = style(DrawingStyle::Iso, LengthUnit::Millimetre);
        assert_eq!(
            (iso.length(660.4), iso.length(0.5), iso.other_length(3.175)),
            ("660,4".into(), "0,5".into(), "0,125".into())
        );
        let us = style(DrawingStyle::Us, LengthUnit::Inch);
        assert_eq!(
            (us.length(3.175), us.length(660.4), us.other_length(3.175)),
            (".125".into(), "26".into(), "3.175".into())
        );
    }

    #[test]
    fn sentences_get_the_style_s_decimal_sign() {
        let iso = style(DrawingStyle::Iso, LengthUnit::Millimetre);
        for (made, written) in [
            ("runs at 40.12 m/s, faster than 33.", "runs at 40,12 m/s, faster than 33."),
            ("At 0.5° and 1.25. Then 3 mm.", "At 0,5° and 1,25. Then 3 mm."),
            ("edition 1.2.3 of 2024", "edition 1.2.3 of 2024"),
            ("…ends.", "…ends."),
            (".5 Ø12.7", ".5 Ø12,7"),
        ] {
            assert_eq!(iso.sentence(made), written);
        }
        assert_eq!(style(DrawingStyle::Us, LengthUnit::Inch).sentence("40.12 m/s"), "40.12 m/s");
        assert_eq!((iso.measured(63.5), iso.speed(33.019_6)), ("63,5 mm".into(), "33,02 m/s".into()));
    }

    #[test]
    fn tolerances_have_equal_decimals_and_a_plain_zero() {
        let iso = style(DrawingStyle::Iso, LengthUnit::Millimetre);
        let dev = |upper, lower| iso.deviation(Deviation { upper, lower }, LengthUnit::Millimetre, false);
        assert_eq!(dev(0.1, -0.1), "±0,1");
        assert_eq!(dev(0.0, -1.5), "0 / −1,5");
        assert_eq!(dev(0.125, 0.02), "+0,125 / +0,020");
        let us = style(DrawingStyle::Us, LengthUnit::Inch);
        assert_eq!(us.deviation(Deviation { upper: 0.127, lower: 0.0254 }, LengthUnit::Inch, false), "+.005 / +.001");
        assert_eq!(us.deviation(Deviation { upper: 0.5, lower: -0.5 }, LengthUnit::Inch, true), "±0.5");
    }
}
