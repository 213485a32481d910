//! A second of universal time, as the book writes it.

use crate::quantity::{Date, QuantityError, quoted};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

const SECONDS_OF_A_DAY: u32 = 24 * 60 * 60;

/// A second of universal time, written `2026-03-02T14:05:09Z` (ISO 8601). Earlier ones are less.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Moment {
    /// The day.
    pub day: Date,
    /// Seconds since its beginning.
    second: u32,
}

impl Moment {
    /// So many seconds after the beginning of 1970; `None` beyond the year 9999.
    pub fn after_1970(seconds: u64) -> Option<Moment> {
        let day = Date::after_1970(seconds / u64::from(SECONDS_OF_A_DAY))?;
        Some(Moment { day, second: u32::try_from(seconds % u64::from(SECONDS_OF_A_DAY)).ok()? })
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (hours, minutes) = (self.second / 3600, self.second / 60 % 60);
        write!(f, "{}T{hours:02}:{minutes:02}:{:02}Z", self.day, self.second % 60)
    }
}

impl FromStr for Moment {
    type Err = QuantityError;

    /// Reads what is written by `Display`, and nothing else.
    fn from_str(text: &str) -> Result<Moment, QuantityError> {
        read(text).ok_or_else(|| {
            let message = format!("{} is no moment of universal time", quoted(text));
            QuantityError::new(message, "write it as 2026-03-02T14:05:09Z")
        })
    }
}

fn read(text: &str) -> Option<Moment> {
    let (day, time) = text.strip_suffix('Z')?.split_once('T')?;
    let mut second = 0;
    let parts: Vec<&str> = time.split(':').collect();
    let [hours, minutes, seconds] = parts.as_slice() else { return None };
    for (part, most) in [(hours, 24), (minutes, 60), (seconds, 60)] {
        let number = part.parse::<u32>().ok().filter(|n| part.len() == 2 && *n < most)?;
        second = second * most.min(60) + number;
    }
    Some(Moment { day: day.parse().ok()?, second })
}

impl TryFrom<String> for Moment {
    type Error = QuantityError;

    fn try_from(text: String) -> Result<Moment, QuantityError> {
        text.parse()
    }
}

impl From<Moment> for String {
    fn from(moment: Moment) -> String {
        moment.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_are_counted_from_1970() {
        // POSIX seconds, from the definition in POSIX.1, 4.19
        for (seconds, text) in [(0, "1970-01-01T00:00:00Z"), (951_868_799, "2000-02-29T23:59:59Z"), (1_772_460_309, "2026-03-02T14:05:09Z")] {
            let moment = Moment::after_1970(seconds).unwrap();
            assert_eq!(moment.to_string(), text);
            assert_eq!(text.parse(), Ok(moment));
        }
        for bad in ["", "2026-03-02", "2026-03-02T24:00:00Z", "2026-03-02T14:05:60Z", "2026-03-02T14:05:9Z", "2026-03-02T14:05Z", "2026-03-02T14:05:09"] {
            assert!(bad.parse::<Moment>().is_err(), "{bad}");
        }
    }
}
