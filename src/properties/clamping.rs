//! What the flanges' bolts press with, and what friction then holds.

use std::f64::consts::PI;

/// The bolts of a hub and how they are tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bolts {
    /// How many.
    pub count: f64,
    /// Nominal diameter, mm.
    pub diameter: f64,
    /// Torque of each, N·m.
    pub torque: f64,
    /// Torque over force and diameter, 0.2 for plain dry threads.
    pub nut_factor: f64,
}

/// What they come to on a bearing ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clamping {
    /// Force of all bolts, N.
    pub force: f64,
    /// Pressure on the ring, MPa.
    pub pressure: f64,
    /// Torque that friction at both flanges holds, N·m.
    pub held: f64,
}

impl Clamping {
    /// Of bolts that press a ring between two radii, mm, with this friction: force T/(K·d) for each bolt, pressure over the ring's area, torque by
    /// the mean radius of two faces.
    pub fn of(bolts: Bolts, from: f64, to: f64, friction: f64) -> Clamping {
        let force = bolts.count * bolts.torque * 1000.0 / (bolts.nut_factor * bolts.diameter);
        let area = PI * (to * to - from * from);
        Clamping { force, pressure: force / area, held: 2.0 * friction * force * (from + to) / 2.0 / 1000.0 }
    }

    /// Force at the outside of a wheel of this radius, mm, that friction holds, N.
    pub fn at_rim(&self, radius: f64) -> f64 {
        self.held * 1000.0 / radius
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Six bolts M12 at 27 N·m with K 0.2: 11.25 kN each (the handbook's T = K·F·d); on a ring of 125 to 150 mm 3.125 MPa, held by 0.15 at 137.5 mm.
    #[test]
    fn six_bolts() {
        let c = Clamping::of(Bolts { count: 6.0, diameter: 12.0, torque: 27.0, nut_factor: 0.2 }, 125.0, 150.0, 0.15);
        assert!((c.force - 67_500.0).abs() < 1e-9);
        assert!((c.pressure - 67_500.0 / (PI * 6875.0)).abs() < 1e-12);
        assert!((c.held - 2.0 * 0.15 * 67_500.0 * 0.1375).abs() < 1e-9);
        assert!((c.at_rim(300.0) - c.held / 0.3).abs() < 1e-9);
    }
}
