//! Speeds of a wheel: on the surface, of the spindle, and the energy in its turning.

use crate::tolerance::SAME_SHARE;
use std::f64::consts::{PI, TAU};

/// Millimetres per metre times seconds per minute.
const MM_S_PER_M_MIN: f64 = 60_000.0;

/// Surface speed, m/s, of a diameter in mm at so many revolutions per minute: πDn/60 000.
pub fn surface_speed(diameter: f64, rpm: f64) -> f64 {
    PI * diameter * rpm / MM_S_PER_M_MIN
}

/// Revolutions per minute at which a diameter in mm has this surface speed, m/s.
pub fn rpm_at(diameter: f64, speed: f64) -> f64 {
    speed * MM_S_PER_M_MIN / (PI * diameter)
}

/// The rpm that is marked beside a maximum speed in m/s: rounded down, so that it never exceeds the speed.
pub fn marked_rpm(diameter: f64, speed: f64) -> u32 {
    // the cast saturates; no wheel comes near the end of u32
    (rpm_at(diameter, speed) * (1.0 + SAME_SHARE)).floor() as u32
}

/// The least rpm of a speed test at a surface speed in m/s: rounded up, so that the test is never run too slowly.
pub fn test_rpm(diameter: f64, speed: f64) -> u32 {
    (rpm_at(diameter, speed) * (1.0 - SAME_SHARE)).ceil() as u32
}

/// Angular speed, rad/s.
pub fn angular(rpm: f64) -> f64 {
    TAU * rpm / 60.0
}

/// Energy of a wheel of polar inertia in kg·m² at so many revolutions per minute, J: ½Iω².
pub fn energy(polar_inertia: f64, rpm: f64) -> f64 {
    0.5 * polar_inertia * angular(rpm).powi(2)
}

/// Energy with which a third of a ring flies off when it bursts in three, J: ½·(m/3)·(ω·r)², r the distance of the third's centroid from the axis,
/// (2/3)·sin(60°)/(π/3)·(R³ − a³)/(R² − a²). Mass in kg, radii in mm.
pub fn third_energy(mass: f64, outer: f64, inner: f64, rpm: f64) -> f64 {
    let third = std::f64::consts::FRAC_PI_3;
    let radius = 2.0 / 3.0 * third.sin() / third * (outer.powi(3) - inner.powi(3)) / (outer.powi(2) - inner.powi(2));
    0.5 * mass / 3.0 * (angular(rpm) * radius / 1000.0).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A thin hoop's third has its centroid at sin(60°)/(π/3) = 0.826993 of the radius; a whole disc's at two thirds of that. The third's share of the
    /// wheel's whole energy is then 0.826993² for the hoop.
    #[test]
    fn a_third_that_flies_off() {
        let hoop = third_energy(3.0, 300.0, 299.999, 1000.0);
        let v = angular(1000.0) * 0.3 * 0.826_993;
        assert!((hoop / (0.5 * v * v) - 1.0).abs() < 1e-5, "{hoop}");
        let disc = third_energy(3.0, 300.0, 0.0, 1000.0);
        assert!((disc / hoop - 4.0 / 9.0).abs() < 1e-5, "{disc}");
    }

    #[test]
    fn rows_of_a_handbook_table() {
        // the last row is printed in a handbook of machinery (digest), the others calculated; rpm rounded to the nearest
        let feet = |f: f64| f * 0.3048 / 60.0;
        for (inches, fpm, rpm) in
            [(26.0, 6500.0, 955), (24.0, 6500.0, 1035), (30.0, 8500.0, 1082), (36.0, 6500.0, 690), (6.0, 6500.0, 4138)]
        {
            let got = rpm_at(inches * 25.4, feet(fpm));
            assert_eq!(got.round() as u32, rpm, "{inches} in at {fpm} ft/min: {got}");
        }
        assert!((rpm_at(14.0 * 25.4, feet(5000.0)) - 1364.18).abs() < 0.01);
        assert!((rpm_at(610.0, 33.0) - 1033.20).abs() < 0.005);
    }

    #[test]
    fn the_marked_rpm_is_rounded_down_and_never_fast() {
        assert!((rpm_at(350.0, 35.0) - 1909.86).abs() < 0.005);
        assert_eq!(marked_rpm(350.0, 35.0), 1909);
        // a whole number stays: the speed of exactly 2000 rpm, computed back
        for diameter in [300.0, 350.0, 457.2, 610.0, 660.4] {
            assert_eq!(marked_rpm(diameter, surface_speed(diameter, 2000.0)), 2000);
        }
    }

    #[test]
    fn the_test_rpm_is_rounded_up() {
        // 350 mm at 1.5 × 35 m/s: 2864.79
        assert_eq!(test_rpm(350.0, 52.5), 2865);
        for diameter in [300.0, 350.0, 457.2, 610.0, 660.4] {
            assert_eq!(test_rpm(diameter, surface_speed(diameter, 3000.0)), 3000);
        }
    }

    #[test]
    fn energy_of_a_ring() {
        // I = 0.738416 kg·m² (610 × 25 × 203.2 at 2.2 g/cm³), 33 m/s: ω = v/r = 108.19672 rad/s
        let joule = energy(0.738_416, rpm_at(610.0, 33.0));
        assert!((joule - 0.5 * 0.738_416 * (33.0_f64 / 0.305).powi(2)).abs() < 1e-9);
    }
}
