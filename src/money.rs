//! Money: decimal to the last digit, whatever the currency; rounded once, where a price is named.

use crate::quantity::{QuantityError, quoted};
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};
use rust_decimal::{Decimal, RoundingStrategy};
use serde::{Serialize, Serializer};
use std::iter::Sum;
use std::ops::{Add, Mul};

/// An amount of money, or a rate for one hour, one wheel, one kilogram; in the shop's own currency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(Decimal);

/// Most digits before the point.
const MOST_DIGITS: usize = 9;

impl Money {
    /// Nothing.
    pub const ZERO: Money = Money(Decimal::ZERO);

    /// Reads a plain number such as `185.50`.
    ///
    /// # Errors
    /// Where it is no plain number of 0 or more, or has more than nine digits before the point.
    pub fn parse(text: &str) -> Result<Money, QuantityError> {
        let whole = text.split('.').next().unwrap_or_default();
        let plain = text.chars().all(|c| c.is_ascii_digit() || c == '.') && whole.len() <= MOST_DIGITS;
        let amount = if plain { Decimal::from_str_exact(text).ok() } else { None };
        amount.map(Money).ok_or_else(|| {
            let hint = "give a plain number with a point, such as 185.50, in the shop's own currency";
            QuantityError::new(format!("{} is no cost", quoted(text)), hint)
        })
    }

    /// So many times as much; a share, hours, kilograms or wheels. The factor is taken with the digits it has as a decimal number.
    pub fn times(self, factor: f64) -> Money {
        let factor = Decimal::from_f64(factor).unwrap_or_default();
        Money(self.0.checked_mul(factor).unwrap_or(Decimal::MAX))
    }

    /// One part of so many equal ones; itself where there are none.
    pub fn over(self, parts: u32) -> Money {
        Money(self.0.checked_div(Decimal::from(parts)).unwrap_or(self.0))
    }

    /// What this is more than another; nothing where it is less.
    pub fn more_than(self, other: Money) -> Money {
        Money((self.0 - other.0).max(Decimal::ZERO))
    }

    /// To the nearest multiple of `step`, half away from 0; as it is where the step is 0.
    pub fn rounded(self, step: Money) -> Money {
        if step.0.is_zero() {
            return self;
        }
        Money((self.0 / step.0).round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero) * step.0)
    }

    /// In hundredths, rounded: for comparing many sums.
    pub fn hundredths(self) -> i64 {
        let whole = (self.0 * Decimal::ONE_HUNDRED).round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
        whole.to_i64().unwrap_or(i64::MAX)
    }

    /// With two decimals, as papers print it.
    pub fn printed(self) -> String {
        format!("{:.2}", self.0.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero))
    }
}

impl Add for Money {
    type Output = Money;

    fn add(self, other: Money) -> Money {
        Money(self.0.saturating_add(other.0))
    }
}

impl Mul<u32> for Money {
    type Output = Money;

    fn mul(self, count: u32) -> Money {
        Money(self.0.saturating_mul(Decimal::from(count)))
    }
}

impl Sum<Money> for Money {
    fn sum<I: Iterator<Item = Money>>(amounts: I) -> Money {
        amounts.fold(Money::ZERO, Add::add)
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.0.to_f64().unwrap_or(f64::MAX))
    }
}
