//! Static balance: what is permitted, what the order's tolerances and omitted grooves may bring, and where to correct it.

use super::speed::{angular, surface_speed};
use crate::certainty::Certainty;
use crate::quantity::G_PER_MM3;
use crate::section::Section;
use crate::tolerance::{SAME_LENGTH, SAME_SHARE};
use crate::wheel::{Characteristic, Job, SideName, Tolerances, Wheel};
use std::f64::consts::PI;

/// Grams in a kilogram.
const G_PER_KG: f64 = 1000.0;

/// Permissible unbalance as a mass at the periphery, g: k·√m with m in grams (ISO 6103); `mass` in kg, k in √g.
pub fn permissible_mass(k: f64, mass: f64) -> f64 {
    k * (mass * G_PER_KG).sqrt()
}

/// What the permitted unbalance goes by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceScope {
    /// k of the use, √g.
    pub k: f64,
    /// Least outside diameter the formula is for, mm.
    pub least_diameter: f64,
    /// Least surface speed the formula is for, m/s.
    pub least_speed: f64,
}

/// The greatest static unbalance a finished wheel may have, g·mm: what a wheel within the formula's scope of this mass (kg) may have at its
/// periphery. The speed is that marked on the blank, or else that of the machine's spindle.
pub fn permitted(job: &Job, mass: Option<f64>, scope: &BalanceScope) -> Certainty<f64> {
    let d = job.wheel.outside_diameter;
    let small = || Certainty::DoesNotApply("the wheel is smaller or slower than the formula is for".to_owned());
    if d < scope.least_diameter - SAME_LENGTH {
        return small();
    }
    let marked = job.marked_speed();
    let Some(speed) = marked.or_else(|| job.machine.spindle_rpm.map(|n| surface_speed(d, n))) else {
        return Certainty::Unknown("neither the marked speed nor the spindle's rpm is given".to_owned());
    };
    if speed < scope.least_speed * (1.0 - SAME_SHARE) {
        return small();
    }
    let grams = mass.map(|m| permissible_mass(scope.k, m));
    Certainty::of(grams, "the density is not known").map(|g| g * job.wheel.outside_radius())
}

/// Permissible residual unbalance of a rotor by its balance grade, g·mm: 9549·G·m/n (ISO 21940-11); mass in kg.
pub fn grade_unbalance(grade: f64, mass: f64, rpm: f64) -> f64 {
    9549.0 * grade * mass / rpm
}

/// Force of an unbalance in g·mm at so many revolutions per minute, N: U·ω².
pub fn force(unbalance: f64, rpm: f64) -> f64 {
    unbalance / 1e6 * angular(rpm).powi(2)
}

/// Balance grade that an unbalance in g·mm comes to, mm/s: U·n/(9549·m) (ISO 21940-11); mass in kg.
pub fn grade(unbalance: f64, mass: f64, rpm: f64) -> f64 {
    unbalance / grade_unbalance(1.0, mass, rpm)
}

/// One cause of unbalance.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// What it is.
    pub what: String,
    /// Eccentricity or wedge it goes by, mm; `None` for omitted grooves.
    pub size: Option<f64>,
    /// How it was computed.
    pub how: &'static str,
    /// Unbalance it may bring, g·mm.
    pub unbalance: f64,
}

/// Unbalance of a wheel whose bore, and nothing else, is off centre by `eccentricity` mm: the mass of the wheel with its hole filled, in g,
/// times it, g·mm.
///
/// `volume` is that of the wheel as made, grooves cut, mm³.
pub fn eccentric_bore(wheel: &Wheel, section: &Section, volume: f64, density: f64, eccentricity: f64) -> f64 {
    let hole = PI * wheel.bore_radius().powi(2) * section.thickness_at(wheel.bore_radius() + wheel.bore_chamfer);
    grams(volume + hole, density) * eccentricity
}

/// Unbalance of a recess turned off centre by `eccentricity` mm: the mass it removed, in g, times it, g·mm.
pub fn eccentric_recess(wheel: &Wheel, side: SideName, density: f64, eccentricity: f64) -> f64 {
    let steps = &wheel.side(side).recess;
    let bore = PI * wheel.bore_radius().powi(2);
    let mut above = 0.0;
    let mut volume = 0.0;
    for step in steps {
        let area = PI * (step.diameter / 2.0).powi(2) - bore;
        volume += area * (step.depth - above);
        above = step.depth;
    }
    grams(volume, density) * eccentricity
}

/// Unbalance of a ring one of whose sides is tilted so that its thickness differs by `wedge` mm across the outside diameter, g·mm:
/// ρ·(wedge/D)·π/4·(R⁴ − a⁴).
pub fn wedge(wheel: &Wheel, density: f64, wedge: f64) -> f64 {
    let (r, a) = (wheel.outside_radius(), wheel.bore_radius());
    grams(wedge / wheel.outside_diameter * PI / 4.0 * (r.powi(4) - a.powi(4)), density)
}

/// A volume in mm³ at kg/m³, in g.
fn grams(volume: f64, density: f64) -> f64 {
    volume * density * G_PER_MM3
}

/// What the order's tolerances may bring at worst, each alone; `volume` is that of the wheel as made, grooves cut, mm³; `spindle_lower` the
/// spindle's lower deviation, mm.
pub fn causes(job: &Job, section: &Section, volume: f64, density: f64, spindle_lower: f64) -> Vec<Cause> {
    let (wheel, tolerances) = (&job.wheel, &job.tolerances);
    let mut causes = Vec::new();
    if let Some(e) = half_runout(tolerances, Characteristic::RunoutFace) {
        causes.push(Cause {
            what: "bore off centre within the run-out of the face".into(),
            size: Some(e),
            how: "mass with the hole filled × half of the run-out",
            unbalance: eccentric_bore(wheel, section, volume, density, e),
        });
        for side in SideName::BOTH.into_iter().filter(|&s| !wheel.side(s).recess.is_empty()) {
            causes.push(Cause {
                what: format!("recess of side {} off centre by as much", side.letter()),
                size: Some(e),
                how: "mass the recess removed × half of the run-out",
                unbalance: eccentric_recess(wheel, side, density, e),
            });
        }
    }
    if let Some(bore) = tolerances.get(Characteristic::Bore) {
        let e = ((bore.upper - spindle_lower) / 2.0).max(0.0);
        causes.push(Cause {
            what: "wheel off centre on the spindle by the clearance of the bore".into(),
            size: Some(e),
            how: "mass of the wheel × half of the greatest clearance",
            unbalance: grams(volume, density) * e,
        });
    }
    if let Some(tilt) = tolerances.get(Characteristic::Parallelism).map(|d| d.upper.max(-d.lower)) {
        causes.push(Cause {
            what: "sides out of parallel".into(),
            size: Some(tilt),
            how: "density × (parallelism / D) × π/4 × (R⁴ − a⁴)",
            unbalance: wedge(wheel, density, tilt),
        });
    }
    causes
}

/// Eccentricity that a run-out (full indicator reading) allows, mm.
fn half_runout(tolerances: &Tolerances, what: Characteristic) -> Option<f64> {
    tolerances.get(what).map(|d| d.upper.max(-d.lower) / 2.0)
}

/// A mass to take away, or to put opposite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// Direction of the heavy side, degrees counter-clockwise from +x seen from outside side A: take away here.
    pub heavy_deg: f64,
    /// Direction opposite: put weights here.
    pub light_deg: f64,
    /// Mass at the outside diameter, g.
    pub at_outside: f64,
    /// Mass at the flange's edge, g; `None` where no flange is given.
    pub at_flange: Option<f64>,
}

/// The correction of an unbalance in g·mm towards `heavy_deg`.
pub fn correction(unbalance: f64, heavy_deg: f64, wheel: &Wheel, flange: Option<f64>) -> Correction {
    Correction {
        heavy_deg,
        light_deg: (heavy_deg + 180.0).rem_euclid(360.0),
        at_outside: unbalance / wheel.outside_radius(),
        at_flange: flange.map(|d| unbalance / (d / 2.0)),
    }
}
