//! Lengths, speeds, densities and masses: how they are typed, what they are worth, and how numbers are printed.
//!
//! 1 in = 25.4 mm exactly. Everything is computed in millimetres, metres per second, kilograms per cubic metre and kilograms.

mod date;
mod number;
mod written;

pub use date::Date;
pub use written::{Notation, Written, volume_of, volume_unit};

use number::Number;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Millimetres in an inch, exactly (ISO 80000-3).
pub const MM_PER_INCH: f64 = 25.4;

/// Kilograms in a cubic millimetre at 1 kg/m³.
pub const KG_PER_MM3: f64 = 1e-9;

/// Grams in a cubic millimetre at 1 kg/m³.
pub const G_PER_MM3: f64 = 1e-6;

/// kg·m² in a mm⁵ at 1 kg/m³.
pub const KG_M2_PER_MM5: f64 = 1e-15;

/// Newtons in a cubic millimetre at 1 kg/m³ and 1 mm/s².
pub const N_PER_MM3: f64 = 1e-12;

/// Unit of a bare length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum LengthUnit {
    /// Inches.
    #[serde(rename = "in")]
    Inch,
    /// Millimetres.
    #[serde(rename = "mm")]
    Millimetre,
}

impl LengthUnit {
    /// Millimetres in one of it.
    ///
    /// ```
    /// assert_eq!(wheeldraft::LengthUnit::Inch.mm(), 25.4);
    /// ```
    pub fn mm(self) -> f64 {
        match self {
            LengthUnit::Inch => MM_PER_INCH,
            LengthUnit::Millimetre => 1.0,
        }
    }

    /// Millimetres in one of it, as a fraction.
    fn ratio(self) -> (u64, u64) {
        match self {
            LengthUnit::Inch => (254, 10),
            LengthUnit::Millimetre => (1, 1),
        }
    }

    /// `value` of it in millimetres, rounded once.
    pub fn to_mm(self, value: f64) -> f64 {
        Number::of(value).times(self.ratio())
    }

    /// A calculated length in it, and the decimals that matter: what is worked out needs fewer than what is ordered.
    pub fn calculated(self, mm: f64) -> (f64, usize) {
        (mm / self.mm(), if self == LengthUnit::Inch { 3 } else { 2 })
    }

    /// Its symbol: `in` or `mm`.
    ///
    /// ```
    /// assert_eq!(wheeldraft::LengthUnit::Inch.symbol(), "in");
    /// ```
    pub fn symbol(self) -> &'static str {
        match self {
            LengthUnit::Inch => "in",
            LengthUnit::Millimetre => "mm",
        }
    }
}

/// A length as typed: a bare number in the file's unit, or text with a unit of its own such as `2-1/2 in`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Length {
    /// In the file's unit.
    Bare(f64),
    /// With a unit of its own; may be a fraction.
    Typed(String),
}

/// A length for orders in inches and the round one near it for orders in mm, both in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Twin {
    /// For orders in inches, mm.
    pub inch: f64,
    /// For orders in mm.
    pub mm: f64,
}

impl Twin {
    /// The one for orders in this unit, mm.
    pub fn of(self, unit: LengthUnit) -> f64 {
        match unit {
            LengthUnit::Inch => self.inch,
            LengthUnit::Millimetre => self.mm,
        }
    }
}

/// An angle as typed, degrees; text leaves it open: `?`, or `? 2` with a proposal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Degrees {
    /// Decided.
    Decided(f64),
    /// Open.
    Open(String),
}

/// A whole number as typed; text leaves it open: `?`, or `? 180` with a proposal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Count {
    /// Decided.
    Decided(u32),
    /// Open.
    Open(String),
}

/// A speed as typed, with its unit: `33 m/s`, `6500 ft/min`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Speed(pub String);

/// A density as typed, with its unit: `2.15 g/cm3`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Density(pub String);

/// A mass as typed, with its unit: `12.4 kg`, `27 lb`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Mass(pub String);

/// Why a quantity cannot be read, in words for the person who typed it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct QuantityError {
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

impl QuantityError {
    /// An error with its hint.
    pub fn new(message: impl Into<String>, hint: impl Into<String>) -> QuantityError {
        QuantityError { message: message.into(), hint: hint.into() }
    }
}

impl Length {
    /// In millimetres; a bare number and a bare fraction are in `unit`, other text has to name its own. Any value is returned, negative ones too: the field decides what
    /// makes sense.
    ///
    /// # Errors
    /// Where the text is no number with a known unit.
    pub fn mm(&self, unit: LengthUnit) -> Result<f64, QuantityError> {
        match self {
            Length::Bare(value) => Ok(unit.to_mm(*value)),
            Length::Typed(text) if Number::parse(text).is_some() && !is_fraction(text) => {
                let text = if text.len() > LONGEST_QUOTE { "26" } else { text.trim() };
                let own = format!("write \"{text} in\" or \"{text} mm\"");
                let hint = if text.parse::<f64>().is_ok() { format!("{own}, or {text} without quotes") } else { own };
                Err(QuantityError::new(format!("the length {} has no unit", quoted(text)), hint))
            }
            Length::Typed(text) => parse_length(text, unit),
        }
    }
}

/// Whether a number is typed as a fraction, which JSON cannot write without quotes: `1-1/4`, `2½`.
fn is_fraction(text: &str) -> bool {
    text.contains('/') || text.chars().any(|c| c.is_numeric() && !c.is_ascii_digit())
}

/// Longest typed text repeated in a message, characters.
const LONGEST_QUOTE: usize = 60;

/// A typed text as a message repeats it: in backquotes, clipped, control characters made visible so that no file can drive a terminal.
pub fn quoted(text: &str) -> String {
    let mut out = String::from("`");
    for c in text.chars().take(LONGEST_QUOTE) {
        if c.is_control() { out.extend(c.escape_default()) } else { out.push(c) }
    }
    if text.chars().nth(LONGEST_QUOTE).is_some() {
        out.push('…');
    }
    out.push('`');
    out
}

/// Reads a length such as `2-1/2 in`, `63.5 mm`, `3/16"`; in millimetres. Text without a unit is in `unit`.
///
/// ```
/// use wheeldraft::{LengthUnit, parse_length};
///
/// assert_eq!(parse_length("2-1/2 in", LengthUnit::Millimetre)?, 63.5);
/// assert_eq!(parse_length("63.5", LengthUnit::Millimetre)?, 63.5);
/// # Ok::<(), wheeldraft::QuantityError>(())
/// ```
///
/// # Errors
/// Where the text is no number with a known unit, or too large for a double.
pub fn parse_length(text: &str, unit: LengthUnit) -> Result<f64, QuantityError> {
    let units = |symbol: &str| match symbol {
        "" => Some(unit.ratio()),
        "in" | "in." | "inch" | "inches" | "\"" | "″" | "''" => Some((254, 10)),
        "mm" => Some((1, 1)),
        "cm" => Some((10, 1)),
        "m" => Some((1000, 1)),
        _ => None,
    };
    scaled(text, "length", "2-1/2 in or 63.5 mm", units)
}

impl Speed {
    /// In metres per second.
    ///
    /// # Errors
    /// Where the text is no number with a known unit.
    pub fn metres_per_second(&self) -> Result<f64, QuantityError> {
        scaled(&self.0, "speed", "33 m/s or 6500 ft/min", |unit| match unit {
            "m/s" => Some((1, 1)),
            "m/min" => Some((1, 60)),
            // 1 ft = 0.3048 m exactly
            "ft/min" | "fpm" | "sfpm" => Some((3048, 600_000)),
            "ft/s" => Some((3048, 10_000)),
            _ => None,
        })
    }
}

impl Density {
    /// In kilograms per cubic metre.
    ///
    /// # Errors
    /// Where the text is no number with a known unit.
    pub fn kg_per_m3(&self) -> Result<f64, QuantityError> {
        scaled(&self.0, "density", "2.15 g/cm3 or 2150 kg/m3", |unit| match unit {
            "g/cm3" | "g/cm³" | "g/cc" => Some((1000, 1)),
            "kg/m3" | "kg/m³" => Some((1, 1)),
            // 1 lb = 0.45359237 kg, 1 in³ = 16387.064 mm³, both exactly
            "lb/in3" | "lb/in³" => Some((453_592_370_000, 16_387_064)),
            _ => None,
        })
    }
}

impl Mass {
    /// In kilograms.
    ///
    /// # Errors
    /// Where the text is no number with a known unit.
    pub fn kilograms(&self) -> Result<f64, QuantityError> {
        scaled(&self.0, "weight", "12.4 kg or 27 lb", |unit| match unit {
            "kg" => Some((1, 1)),
            "g" => Some((1, 1000)),
            "lb" | "lbs" => Some((45_359_237, 100_000_000)),
            _ => None,
        })
    }
}

/// Reads a number and a unit; `units` gives what one of a unit is worth as a fraction.
fn scaled(
    text: &str,
    what: &str,
    example: &str,
    units: impl Fn(&str) -> Option<(u64, u64)>,
) -> Result<f64, QuantityError> {
    let (number, unit) = split_unit(text);
    let hint = format!("write a number and a unit, such as {example}");
    let Some(value) = Number::parse(number) else {
        let with_point = number.replacen(',', ".", 1);
        // what follows may be anything; it is repeated only where it is a unit
        let is_unit = unit.is_empty() || units(unit).is_some();
        let hint = if is_unit && Number::parse(&with_point).is_some() {
            format!("write the decimal point: {with_point} {unit}")
        } else {
            hint
        };
        let found = if text.trim().is_empty() { "an empty text".to_owned() } else { quoted(text) };
        return Err(QuantityError::new(format!("{found} is no {what}"), hint.trim_end()));
    };
    let factor = units(unit).or_else(|| units(&unit.to_lowercase())).ok_or_else(|| {
        let message = if unit.is_empty() {
            format!("the {what} {} has no unit", quoted(text))
        } else {
            format!("{} is no unit of {what}", quoted(unit))
        };
        QuantityError::new(message, &hint)
    })?;
    let value = value.times(factor);
    if !value.is_finite() {
        return Err(QuantityError::new(format!("the {what} {} is too large for a number", quoted(text.trim())), hint));
    }
    Ok(value)
}

/// The number and the unit of a text such as `2-1/2 in`, blanks trimmed.
fn split_unit(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text.char_indices().rfind(|(_, c)| c.is_numeric() || *c == '.').map_or(0, |(i, c)| i + c.len_utf8());
    // digits inside the unit (g/cm3) belong to it: the unit begins at the first letter or inch mark
    let start = text
        .find(|c: char| c.is_alphabetic() && !matches!(c, 'e' | 'E') || matches!(c, '"' | '″' | '\''))
        .unwrap_or(end);
    let (number, unit) = text.split_at(start.min(text.len()));
    (number.trim(), unit.trim())
}

/// `value` with `decimals` digits after the point, rounded half away from zero as it is written in decimal, and never `-0`.
///
/// The decimal digits decide, not the double behind them: 0.125 gives 0.13 and 1.005 gives 1.01, as a person would round what he reads.
///
/// ```
/// assert_eq!((wheeldraft::fixed(1.005, 2), wheeldraft::fixed(-0.001, 2)), ("1.01".to_owned(), "0.00".to_owned()));
/// ```
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return String::from("–");
    }
    let shortest = format!("{:e}", value.abs());
    let rounded = round_decimal(&shortest, decimals);
    let is_zero = rounded.bytes().all(|b| matches!(b, b'0' | b'.'));
    if value < 0.0 && !is_zero { format!("-{rounded}") } else { rounded }
}

/// Rounds `d.ddde±x` half up to so many decimals.
fn round_decimal(scientific: &str, decimals: usize) -> String {
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((scientific, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let digits: Vec<u8> = mantissa.bytes().filter(u8::is_ascii_digit).map(|b| b - b'0').collect();
    // digit i has the weight 10^(exponent − i)
    let digit = |weight: i32| usize::try_from(exponent - weight).ok().and_then(|i| digits.get(i)).copied().unwrap_or(0);
    let last = -i32::try_from(decimals).unwrap_or(i32::MAX);
    let top = exponent.max(0);
    let mut out: Vec<u8> = (last..=top).rev().map(digit).collect();
    let mut carry = digit(last - 1) >= 5;
    for d in out.iter_mut().rev() {
        if !carry {
            break;
        }
        *d += 1;
        carry = *d == 10;
        if carry {
            *d = 0;
        }
    }
    if carry {
        out.insert(0, 1);
    }
    let text: String = out.iter().map(|d| char::from(b'0' + d)).collect();
    if decimals == 0 {
        return text;
    }
    let (whole, fraction) = text.split_at(text.len() - decimals);
    format!("{whole}.{fraction}")
}

/// Like [`fixed`], without zeros at the end: 25.40 gives `25.4`, 3.00 gives `3`.
pub fn trimmed(value: f64, decimals: usize) -> String {
    let mut out = String::new();
    push_trimmed(&mut out, value, decimals);
    out
}

/// [`trimmed`] by every decimal digit.
fn trimmed_by_digits(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if !text.contains('.') {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Appends [`trimmed`] to a text. Digits are pushed straight away except near a tie, which every decimal digit has to decide.
pub fn push_trimmed(out: &mut String, value: f64, decimals: usize) {
    /// Below it a double is told from its neighbours to a thousandth, so that what is near a tie is seen.
    const TOLD_APART: f64 = 8.0e12;
    /// How near to a tie is left to [`fixed`]. Dimensionless, of the last digit.
    const NEAR_TIE: f64 = 0.01;
    /// Most digits after the point that are pushed this way.
    const MOST: usize = 18;
    let scaled = value.abs() * 10_f64.powi(decimals.min(MOST) as i32);
    let near_tie = (scaled.fract() - 0.5).abs() < NEAR_TIE;
    if scaled.is_nan() || scaled >= TOLD_APART || near_tie || decimals > MOST {
        out.push_str(&trimmed_by_digits(value, decimals));
        return;
    }
    let mut digits = scaled.round() as u64;
    if value < 0.0 && digits > 0 {
        out.push('-');
    }
    // from the last digit on, zeros at the end left out
    let mut text = [0_u8; 2 * MOST];
    let mut at = text.len();
    let mut push = |digit: u8| {
        at -= 1;
        text[at] = digit;
    };
    let mut counts = false;
    for _ in 0..decimals {
        counts |= !digits.is_multiple_of(10);
        if counts {
            push(b'0' + (digits % 10) as u8);
        }
        digits /= 10;
    }
    if counts {
        push(b'.');
    }
    loop {
        push(b'0' + (digits % 10) as u8);
        digits /= 10;
        if digits == 0 {
            break;
        }
    }
    // digits, a sign and a point are always text
    out.push_str(std::str::from_utf8(&text[at..]).unwrap_or_default());
}

impl JsonSchema for Count {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Count".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": ["integer", "string"], "minimum": 1, "x-quantity": "count", "examples": [180, "? 180"] })
    }
}

/// JSON Schema of a quantity: the page and the order reader know it by `x-quantity`.
macro_rules! quantity_schema {
    ($type:ty, $name:literal, $kind:literal, $types:tt, $examples:tt) => {
        impl JsonSchema for $type {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                $name.into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!({ "type": $types, "x-quantity": $kind, "examples": $examples })
            }
        }
    };
}

quantity_schema!(Length, "Length", "length", ["number", "string"], [26, "2-1/2 in", "63.5 mm", "? 0.06 in"]);
quantity_schema!(Degrees, "Degrees", "degrees", ["number", "string"], [2, "? 2"]);
quantity_schema!(Speed, "Speed", "speed", "string", ["33 m/s", "6500 ft/min"]);
quantity_schema!(Density, "Density", "density", "string", ["2.15 g/cm3"]);
quantity_schema!(Mass, "Mass", "mass", "string", ["12.4 kg"]);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_and_units() {
        for (text, mm) in [
            ("2-1/2 in", 63.5),
            ("2 1/2 in", 63.5),
            ("3/16 in", 4.7625),
            ("3/16\"", 4.7625),
            ("63.5 mm", 63.5),
            ("63.5mm", 63.5),
            ("1e2 mm", 100.0),
            ("-3 mm", -3.0),
            (" 26 ", 660.4),
            ("2½ in", 63.5),
            ("25 MM", 25.0),
            ("1''", 25.4),
            ("0.06in", 1.524),
            ("+3 mm", 3.0),
        ] {
            let got = parse_length(text, LengthUnit::Inch).unwrap();
            assert!((got - mm).abs() <= 1e-14 * mm.abs(), "{text}: {got}");
        }
        let strict = |text: &str| Length::Typed(text.into()).mm(LengthUnit::Inch);
        assert_eq!(strict("26 in"), Ok(660.4));
        assert_eq!(strict("26").unwrap_err().hint, "write \"26 in\" or \"26 mm\", or 26 without quotes");
        assert_eq!((strict("5/8"), strict("1-1/4"), strict("2½")), (Ok(15.875), Ok(31.75), Ok(63.5)));
        assert_eq!(strict("1,5 mm").unwrap_err().hint, "write the decimal point: 1.5 mm");
        // nothing of a file that is no number and no unit is repeated unquoted
        assert_eq!(strict("1,5 y\u{7f}").unwrap_err().hint, "write a number and a unit, such as 2-1/2 in or 63.5 mm");
        for text in ["", "in", "2-/2 in", "1/0x", "two in", "3 furlong", "1//2", "1e999 mm", "nan", "inf mm", "1/0"] {
            assert!(parse_length(text, LengthUnit::Inch).is_err(), "{text}");
        }
    }

    #[test]
    fn other_quantities() {
        // 6500 ft/min = 33.02 m/s exactly
        assert_eq!(Speed("6500 ft/min".into()).metres_per_second(), Ok(33.02));
        assert_eq!(Speed("1980 M/MIN".into()).metres_per_second(), Ok(33.0));
        assert_eq!(Mass("27 lb".into()).kilograms(), Ok(12.246_993_99));
        let dense = Density("1 lb/in3".into()).kg_per_m3().unwrap();
        assert!((dense / 27_679.904_710_203_125 - 1.0).abs() < 1e-15);
        assert_eq!(Density("2.15 g/cm3".into()).kg_per_m3(), Ok(2150.0));
        assert_eq!(Mass("12.4 kg".into()).kilograms(), Ok(12.4));
        assert!(Speed("33".into()).metres_per_second().is_err());
    }

    #[test]
    fn rounding_is_half_away_from_zero_and_has_no_minus_zero() {
        for (value, decimals, text) in [
            (0.125, 2, "0.13"),
            (-0.125, 2, "-0.13"),
            (1.005, 2, "1.01"),
            (-0.0004, 3, "0.000"),
            (999.999, 2, "1000.00"),
            (0.0, 0, "0"),
            (12.5, 0, "13"),
            (0.04, 1, "0.0"),
            (0.05, 1, "0.1"),
            (1e-9, 3, "0.000"),
            (1.5e12, 1, "1500000000000.0"),
        ] {
            assert_eq!(fixed(value, decimals), text);
        }
        assert_eq!(trimmed(25.40, 3), "25.4");
        assert_eq!(trimmed(3.0, 3), "3");
        assert_eq!(trimmed(-0.0001, 3), "0");
    }

    /// The quick way writes what the exact one does: typed numbers, ties, anything.
    #[test]
    fn pushed_numbers_are_the_trimmed_ones() {
        let typed = [
            0.0,
            -0.0,
            0.125,
            1.005,
            -1.005,
            25.4,
            1e-11,
            -4e-11,
            5e-11,
            0.1 + 0.2,
            660.4,
            9999.99999,
            1e9,
            1e20,
            f64::NAN,
        ];
        let spread = (0..20_000).map(|i| {
            let x = f64::from(i) * 0.618_033_988_749_895;
            (x.fract() - 0.5) * 10_f64.powi(i % 7 - 2)
        });
        for value in typed.into_iter().chain(spread) {
            for decimals in [0, 2, 6, 10, 12] {
                let mut out = String::from("x");
                push_trimmed(&mut out, value, decimals);
                assert_eq!(out, format!("x{}", trimmed(value, decimals)), "{value:e} to {decimals}");
            }
        }
    }
}
