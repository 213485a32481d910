//! The clock of this machine, and who sits at it.

use crate::book::Moment;
use crate::quantity::Date;
use std::time::{SystemTime, UNIX_EPOCH};

/// This second by this machine's clock, universal time; `None` where it shows none.
pub fn now() -> Option<Moment> {
    seconds().and_then(Moment::after_1970)
}

/// The day of [`now`].
pub fn today() -> Option<Date> {
    now().map(|now| now.day)
}

/// The day it may be already, somewhere on earth: fourteen hours ahead of universal time.
pub fn latest_day() -> Option<Date> {
    Moment::after_1970(seconds()? + 14 * 60 * 60).map(|later| later.day)
}

fn seconds() -> Option<u64> {
    Some(SystemTime::now().duration_since(UNIX_EPOCH).ok()?.as_secs())
}

/// The name this person is logged in by.
pub fn who() -> String {
    let names = ["USER", "LOGNAME", "USERNAME"].into_iter().filter_map(|name| std::env::var(name).ok());
    names.map(|name| name.trim().to_owned()).find(|name| !name.is_empty()).unwrap_or_else(|| "not named".to_owned())
}
