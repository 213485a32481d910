//! Speeds the papers print: all reckoned from the maximum marked on the blank, none invented.

use crate::wheel::Job;
use std::f64::consts::PI;

/// Surface speed of a diameter, mm, at a rotation, 1/min; in m/s.
pub fn surface_speed(diameter: f64, rpm: f64) -> f64 {
    PI * diameter * rpm / 60_000.0
}

/// The maximum operating speed marked on the blank, m/s; `None` where the order does not say.
pub fn marked_speed(job: &Job) -> Option<f64> {
    job.blank.as_ref()?.max_operating_speed
}

/// The rotation the altered wheel may run at, 1/min: the marked speed at its outside diameter, rounded down so that the printed number never
/// exceeds the marked speed (350 mm at 35 m/s = 1909.86, so 1909). `None` where the order gives no speed.
pub fn marked_rpm(job: &Job) -> Option<u32> {
    Some(rpm(marked_speed(job)?, job.wheel.outside_diameter).floor() as u32)
}

/// The least rotation of the speed test, 1/min: the marked speed times the factor of the shop's rules, rounded up.
pub fn test_rpm(job: &Job, factor: f64) -> Option<u32> {
    Some(rpm(marked_speed(job)? * factor, job.wheel.outside_diameter).ceil() as u32)
}

fn rpm(speed: f64, diameter: f64) -> f64 {
    speed * 60_000.0 / (PI * diameter)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rotations_of_handbook_rows() {
        // 610 mm at 33 m/s: 1033.20 1/min (calc); 350 mm at 35 m/s: 1909.86 (calc)
        assert!((rpm(33.0, 610.0) - 1033.20).abs() < 0.005);
        assert_eq!(rpm(35.0, 350.0).floor(), 1909.0);
        // 26 in at 6500 ft/min: 955 1/min (a handbook row, from a digest)
        assert_eq!(rpm(6500.0 * 0.3048 / 60.0, 660.4).round(), 955.0);
        assert!((surface_speed(610.0, 1033.2044) - 33.0).abs() < 1e-4);
    }
}
