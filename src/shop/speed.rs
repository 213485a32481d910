//! Speeds the papers print: all reckoned from the maximum marked on the blank, none invented.

use crate::properties::speed;
use crate::wheel::Job;

/// The maximum operating speed the wheel is marked with, m/s; `None` where the order does not say.
pub fn marked_speed(job: &Job) -> Option<f64> {
    job.marked_speed()
}

/// The rotation the altered wheel may run at, 1/min: the marked speed at its outside diameter, rounded down. `None` where the order gives no speed.
pub fn marked_rpm(job: &Job) -> Option<u32> {
    Some(speed::marked_rpm(job.wheel.outside_diameter, marked_speed(job)?))
}

/// The least rotation of the speed test, 1/min: the marked speed times the factor of the shop's rules, rounded up. `None` where the order gives no
/// speed or the rules no factor for it.
pub fn test_rpm(job: &Job, factor: Option<f64>) -> Option<u32> {
    Some(speed::test_rpm(job.wheel.outside_diameter, marked_speed(job)? * factor?))
}
