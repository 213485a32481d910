//! What a printed number is held to, and how numbers are read from a text.

use crate::quantity::LengthUnit;
use crate::sheet::view::Style;
use crate::size::{Measure, Size};
use crate::tolerance::{LAST_DIGIT_DEGREES, LAST_DIGIT_INCH, LAST_DIGIT_MM, SAME_DRAWN, SAME_PRINTED};

/// What a dimension is held to.
#[derive(Clone, Copy)]
pub struct Held<'a> {
    /// Which size.
    pub size: Size,
    /// mm, degrees or a count.
    pub value: f64,
    /// How the sheet writes numbers.
    pub style: &'a Style,
}

impl Held<'_> {
    /// Whether a number read from the sheet, in the unit it is printed in, is the value.
    pub fn is(&self, number: f64) -> bool {
        self.within(number, self.value)
    }

    /// Whether a number so read is another value of the same kind, such as a deviation.
    pub fn within(&self, number: f64, value: f64) -> bool {
        let (unit, last_digit) = match (self.size.measure(), self.style.unit) {
            (Measure::Angle, _) => (1.0, LAST_DIGIT_DEGREES),
            (Measure::Count, _) => (1.0, 0.0),
            (_, LengthUnit::Inch) => (LengthUnit::Inch.mm(), LAST_DIGIT_INCH),
            (_, LengthUnit::Millimetre) => (1.0, LAST_DIGIT_MM),
        };
        (number * unit - value).abs() <= (last_digit / 2.0 + SAME_PRINTED) * unit
    }

    /// Whether it is drawn as long as it is.
    pub fn is_drawn(&self, measured: f64) -> bool {
        (measured - self.value).abs() <= SAME_DRAWN * self.value.abs().max(1.0)
    }
}

/// Whether a text says a value, and not a longer number that begins or ends like it.
pub fn says(text: &str, value: &str) -> bool {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    text.match_indices(value).any(|(i, _)| {
        let (before, after) = (&text[..i], &text[i + value.len()..]);
        !digit(before.chars().next_back()) && !digit(after.chars().next())
    })
}

/// The numbers in a printed dimension, with their minus: `2× 1,5×45°` gives 2, 1.5 and 45.
pub fn numbers_in(text: &str) -> impl Iterator<Item = f64> + '_ {
    let is_digit = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '−');
    text.split(move |c: char| !is_digit(c)).filter_map(|t| t.replace(',', ".").replace('−', "-").parse().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_between_two_last_digits_may_be_rounded_either_way() {
        let style = Style { unit: LengthUnit::Inch, ..Style::usual() };
        let held = Held { size: Size::Thickness, value: 0.28125 * 25.4, style: &style };
        assert!(held.is(0.2812) && held.is(0.2813) && !held.is(0.2811) && !held.is(0.2814));
        assert!(held.is_drawn(7.14375) && !held.is_drawn(7.1438));
    }

    #[test]
    fn numbers_are_read_as_they_are_printed() {
        assert_eq!(numbers_in("2× 1,5×45°").collect::<Vec<_>>(), [2.0, 1.5, 45.0]);
        assert_eq!(numbers_in("(−.125)").collect::<Vec<_>>(), [-0.125]);
    }
}
