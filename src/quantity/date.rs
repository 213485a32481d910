//! A day of the calendar: the one reader of dates.

use super::{QuantityError, quoted};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// A day of the Gregorian calendar, of the years 1 to 9999; written `YYYY-MM-DD` (ISO 8601). Earlier days are less.
///
/// ```
/// use wheeldraft::Date;
///
/// let date: Date = "2026-02-28".parse()?;
/// assert_eq!((date.year(), date.month(), date.day()), (2026, 2, 28));
/// assert!("2026-02-31".parse::<Date>().is_err());
/// # Ok::<(), wheeldraft::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// Its year.
    pub fn year(self) -> u16 {
        self.year
    }

    /// Its month, from 1.
    pub fn month(self) -> u8 {
        self.month
    }

    /// Its day of the month, from 1.
    pub fn day(self) -> u8 {
        self.day
    }

    /// The day so many days later; `None` after the year 9999.
    pub fn after(self, days: u32) -> Option<Date> {
        let Date { mut year, mut month, day } = self;
        let mut day = u32::from(day).checked_add(days)?;
        while day > u32::from(length_of(year, month)) {
            day -= u32::from(length_of(year, month));
            (year, month) = if month == 12 { (year + 1, 1) } else { (year, month + 1) };
            if year > 9999 {
                return None;
            }
        }
        Some(Date { year, month, day: day as u8 })
    }
}

/// Days of a month, from 1 to 12; of any other none.
fn length_of(year: u16, month: u8) -> u8 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        1..=12 => 31,
        _ => 0,
    }
}

impl Date {
    /// The day so many days after 1 January 1970; `None` beyond the year 9999.
    pub fn after_1970(days: u64) -> Option<Date> {
        // years counted from 1 March, so that the leap day is the last of one; eras of 400 years have 146097 days
        let days = days.checked_add(719_468)?;
        let (era, day) = (days / 146_097, days % 146_097);
        let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
        let day = day - (365 * year + year / 4 - year / 100);
        let month = (5 * day + 2) / 153;
        let in_month = day - (153 * month + 2) / 5 + 1;
        let (month, later) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
        let year = u16::try_from(year + 400 * era + later).ok().filter(|year| *year <= 9999)?;
        Some(Date { year, month: month as u8, day: in_month as u8 })
    }
}

impl FromStr for Date {
    type Err = QuantityError;

    /// Reads `YYYY-MM-DD`.
    fn from_str(text: &str) -> Result<Date, QuantityError> {
        read(text).ok_or_else(|| {
            let message = format!("{} is no day of the calendar", quoted(text));
            QuantityError::new(message, "write YYYY-MM-DD, such as 2026-03-02")
        })
    }
}

fn read(text: &str) -> Option<Date> {
    let mut parts = text.split('-');
    let mut number = |digits: usize| {
        let part = parts.next()?;
        let plain = part.len() == digits && part.bytes().all(|b| b.is_ascii_digit());
        plain.then(|| part.parse::<u16>().ok())?
    };
    let (year, month, day) = (number(4)?, number(2)?, number(2)?);
    let month = u8::try_from(month).ok()?;
    let days = u16::from(length_of(year, month));
    let is_day = year > 0 && (1..=days).contains(&day) && parts.next().is_none();
    is_day.then_some(Date { year, month, day: day as u8 })
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl TryFrom<String> for Date {
    type Error = QuantityError;

    fn try_from(text: String) -> Result<Date, QuantityError> {
        text.parse()
    }
}

impl From<Date> for String {
    fn from(date: Date) -> String {
        date.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_of_the_calendar_are_dates() {
        for good in ["2024-02-29", "2000-02-29", "2026-12-31", "0001-01-01"] {
            assert_eq!(good.parse::<Date>().unwrap().to_string(), good);
        }
        for bad in [
            "2026-02-31",
            "2026-02-29",
            "1900-02-29",
            "2026-04-31",
            "2026-13-01",
            "2026-00-10",
            "2026-1-02",
            "2026-01-0",
        ] {
            assert!(bad.parse::<Date>().is_err(), "{bad}");
        }
        for bad in
            ["", "0000-01-01", "2026-01-02-03", "26-01-02", "2026/01/02", "２０２６-01-02", "+026-01-02", "yesterday"]
        {
            assert!(bad.parse::<Date>().is_err(), "{bad}");
        }
    }

    #[test]
    fn days_later_cross_months_leap_days_and_years() {
        for (from, days, to) in
            [("2026-03-02", 30, "2026-04-01"), ("2024-02-28", 2, "2024-03-01"), ("2025-12-31", 366, "2027-01-01")]
        {
            assert_eq!(from.parse::<Date>().unwrap().after(days).unwrap().to_string(), to);
        }
        assert_eq!("9999-12-31".parse::<Date>().unwrap().after(1), None);
    }

    #[test]
    fn days_are_counted_from_1970() {
        // POSIX seconds of these midnights over 86400; every day follows the one before
        for (days, day) in [(0, "1970-01-01"), (59, "1970-03-01"), (11_016, "2000-02-29"), (20_515, "2026-03-03")] {
            assert_eq!(Date::after_1970(days).unwrap().to_string(), day);
        }
        let all: Vec<Date> = (0..100_000).map(|d| Date::after_1970(d).unwrap()).collect();
        assert!(all.windows(2).all(|w| w[0] < w[1]) && all.iter().all(|d| d.to_string().parse() == Ok(*d)));
        assert_eq!(Date::after_1970(u64::MAX), None);
    }

    #[test]
    fn earlier_days_are_less() {
        let [a, b, c] = ["2025-12-31", "2026-01-01", "2026-01-02"].map(|d| d.parse::<Date>().unwrap());
        assert!(a < b && b < c);
    }
}
