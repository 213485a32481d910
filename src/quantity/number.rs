//! Numbers as typed, kept as fractions of whole numbers, so that turning them into another unit rounds once and no more:
//! 0.06 in and 1.524 mm are then the same double, and so are 2-1/2 in and 63.5 mm.

/// Most decimal digits kept exactly; a longer number is a plain double.
const MOST_DIGITS: usize = 15;

/// Whole numbers up to 2⁵³ are exact doubles, and one division of two of them is rounded correctly.
const EXACT: u128 = 1 << 53;

/// A number as typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Number {
    /// ±top/bottom.
    Fraction { negative: bool, top: u64, bottom: u64 },
    /// Anything longer.
    Double(f64),
}

impl Number {
    /// Of a double: the shortest decimal digits that name it.
    pub(super) fn of(value: f64) -> Number {
        decimal(&format!("{value:e}")).unwrap_or(Number::Double(value))
    }

    /// A decimal number or a fraction: `2.5`, `3/16`, `2-1/2`, `2 1/2`, `2½`; `None` where the text is neither, or not finite.
    pub(super) fn parse(text: &str) -> Option<Number> {
        let text = text.trim();
        if let Some(found) = vulgar(text) {
            return found;
        }
        match text.rsplit_once('/') {
            None => decimal(text).or_else(|| double(text)),
            Some((left, bottom)) => {
                let (whole, top) = match left.trim().rsplit_once(['-', ' ']) {
                    Some((whole, top)) if !whole.trim().is_empty() => (digits(whole)?, digits(top)?),
                    _ => (0, digits(left)?),
                };
                mixed(whole, top, digits(bottom)?)
            }
        }
    }

    /// Times top/bottom, rounded once wherever the whole numbers are small enough.
    pub(super) fn times(self, factor: (u64, u64)) -> f64 {
        match self {
            Number::Double(value) => value * (factor.0 as f64 / factor.1 as f64),
            Number::Fraction { negative, top, bottom } => {
                let (t, b) = (u128::from(top) * u128::from(factor.0), u128::from(bottom) * u128::from(factor.1));
                let common = gcd(t, b).max(1);
                let (t, b) = (t / common, b / common);
                let size = if t <= EXACT && b <= EXACT {
                    t as f64 / b as f64
                } else {
                    (top as f64 / bottom as f64) * (factor.0 as f64 / factor.1 as f64)
                };
                if negative { -size } else { size }
            }
        }
    }
}

fn gcd(a: u128, b: u128) -> u128 {
    if b == 0 { a } else { gcd(b, a % b) }
}

fn mixed(whole: u64, top: u64, bottom: u64) -> Option<Number> {
    if bottom == 0 {
        return None;
    }
    let top = whole.checked_mul(bottom)?.checked_add(top)?;
    Some(Number::Fraction { negative: false, top, bottom })
}

/// `½`, `2½`, `2 ½`; the outer `None` where there is no such sign.
fn vulgar(text: &str) -> Option<Option<Number>> {
    let last = text.chars().last()?;
    let (top, bottom) = match last {
        '½' => (1, 2),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    };
    let whole = text[..text.len() - last.len_utf8()].trim_end().trim_end_matches('-');
    let whole = if whole.is_empty() { Some(0) } else { digits(whole) };
    Some(whole.and_then(|w| mixed(w, top, bottom)))
}

/// A decimal number of so few digits that it is a fraction of whole numbers; `None` otherwise.
fn decimal(text: &str) -> Option<Number> {
    let (mantissa, exponent) = match text.split_once(['e', 'E']) {
        Some((m, e)) => (m, e.parse::<i32>().ok()?),
        None => (text, 0),
    };
    let negative = mantissa.starts_with('-');
    let mantissa = mantissa.strip_prefix(['-', '+']).unwrap_or(mantissa);
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let all = format!("{whole}{fraction}");
    if all.is_empty() || all.len() > MOST_DIGITS || !all.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let top: u64 = all.parse().ok()?;
    let power = exponent.checked_sub(i32::try_from(fraction.len()).ok()?)?;
    let scale = 10_u64.checked_pow(power.unsigned_abs())?;
    let (top, bottom) = if power >= 0 { (top.checked_mul(scale)?, 1) } else { (top, scale) };
    Some(Number::Fraction { negative, top, bottom })
}

fn double(text: &str) -> Option<Number> {
    // words such as `inf` and `nan` are numbers to the standard library, not to a person
    let plain = text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E'));
    let value = text.parse::<f64>().ok().filter(|v| plain && v.is_finite())?;
    Some(Number::Double(value))
}

fn digits(text: &str) -> Option<u64> {
    let text = text.trim();
    (!text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_conversion_rounds_once() {
        // 0.06 · 25.4 in doubles is 1.5239999999999998
        assert_eq!(Number::of(0.06).times((254, 10)), 1.524);
        assert_eq!(Number::parse("0.06").unwrap().times((254, 10)), 1.524);
        assert_eq!(Number::parse("2-1/2").unwrap().times((254, 10)), 63.5);
        assert_eq!(Number::of(-0.1).times((254, 10)), -2.54);
        assert_eq!(Number::of(1e300).times((1, 1)), 1e300);
        assert_eq!(Number::of(0.1 + 0.2).times((1, 1)), 0.1 + 0.2);
        assert_eq!(Number::of(f64::MIN_POSITIVE).times((1, 1)), f64::MIN_POSITIVE);
    }

    #[test]
    fn every_short_decimal_in_inches_is_the_same_as_in_millimetres() {
        for thousandths in 1..=9999_u32 {
            let inches = f64::from(thousandths) / 1000.0;
            // the nearest double to the exact product, by way of its decimal digits
            let exact: f64 = format!("{}e-4", thousandths * 254).parse().unwrap();
            assert_eq!(Number::of(inches).times((254, 10)), exact, "{inches} in");
        }
    }

    #[test]
    fn vulgar_fractions_are_read() {
        assert_eq!(Number::parse("2½").unwrap().times((1, 1)), 2.5);
        assert_eq!(Number::parse("⅜").unwrap().times((1, 1)), 0.375);
        assert_eq!(Number::parse("x½"), None);
    }
}
