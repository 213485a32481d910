//! The altered wheel against its blank: tension by tension at equal surface speed, a guide that needs no strength of the material.

use super::density::Density;
use super::speed::{angular, rpm_at};
use super::stress::{self, Field, Fineness, Held, Load, notch_factor};
use crate::both::both;
use crate::certainty::Certainty;
use crate::wheel::{Blank, Bottom, FaceBottom, Job, Side, SideName, Wheel};

/// Density that stands in where none is known, kg/m³, and surface speed where none is marked, m/s: ratios do not depend on either.
const STAND_IN: (f64, f64) = (2200.0, 30.0);

/// What the model is asked with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question {
    /// Density, kg/m³.
    pub density: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Surface speed, m/s.
    pub speed: f64,
    /// Fillet that recess corners get where they are ordered sharp, mm.
    pub least_fillet: f64,
}

impl Question {
    /// For an order at its marked speed; where density or speed is not known, only ratios mean anything.
    pub fn of(job: &Job, density: Option<Density>, poisson: f64, least_fillet: f64) -> Question {
        let marked = job.marked_speed();
        Question {
            density: density.map_or(STAND_IN.0, |d| d.value),
            poisson,
            speed: marked.unwrap_or(STAND_IN.1),
            least_fillet: job.tooling.profile_nose_radius.unwrap_or(0.0).max(least_fillet),
        }
    }

    /// The load of a wheel of this outside diameter, mm, at the surface speed asked about.
    fn load(&self, diameter: f64) -> Load {
        Load { density: self.density, poisson: self.poisson, angular: angular(rpm_at(diameter, self.speed)) }
    }

    fn field(&self, wheel: &Wheel, held: Held) -> Certainty<Field> {
        let load = self.load(wheel.outside_diameter);
        match stress::of_wheel(wheel, self.least_fillet, held, load, Fineness::default()) {
            Ok(field) => Certainty::Known(field),
            Err(e) => Certainty::Unknown(e.to_string()),
        }
    }
}

/// Stress of an order's wheel, and of its blank.
#[derive(Debug, Clone, PartialEq)]
pub struct Strength {
    /// What was asked.
    pub question: Question,
    /// The altered wheel, held by nothing.
    pub altered: Certainty<Field>,
    /// Greatest tension of the blank at the same surface speed, MPa.
    pub blank: Certainty<f64>,
}

impl Strength {
    /// Of an order.
    pub fn of(job: &Job, question: Question) -> Strength {
        let blank = || match job.blank.as_ref().map(blank_wheel) {
            None => Certainty::Unknown(String::from("the order names no blank")),
            Some(None) => Certainty::Unknown(String::from("the order does not give all sizes of the blank")),
            Some(Some(wheel)) => question.field(&wheel, Held::Free).map(|f| f.greatest().0),
        };
        let (blank, altered) = both(blank, || question.field(&job.wheel, Held::Free));
        Strength { question, altered, blank }
    }

    /// Altered over blank.
    pub fn ratio(&self) -> Certainty<Ratio> {
        match (&self.altered, &self.blank) {
            (Certainty::Known(field), Certainty::Known(blank)) => {
                Certainty::Known(Ratio { altered: field.greatest().0, blank: *blank })
            }
            (Certainty::Unknown(why) | Certainty::DoesNotApply(why), _)
            | (_, Certainty::Unknown(why) | Certainty::DoesNotApply(why)) => Certainty::Unknown(why.clone()),
        }
    }
}

/// Stress of an order's wheel between its flanges; unknown where the order does not give flange and bearing ring.
pub fn mounted(job: &Job, question: Question) -> Certainty<Field> {
    let (Some(flange), Some(width)) = (job.mount.flange_diameter, job.mount.flange_bearing_width) else {
        return Certainty::Unknown(String::from("the order does not give flange diameter and bearing width"));
    };
    question.field(&job.wheel, Held::Between { from: flange / 2.0 - width, to: flange / 2.0 })
}

/// The blank as a wheel: a straight ring; `None` where a size is not given or they make no ring.
pub fn blank_wheel(blank: &Blank) -> Option<Wheel> {
    let (outside_diameter, thickness, bore) = (blank.outside_diameter?, blank.thickness?, blank.bore?);
    (outside_diameter > bore && thickness > 0.0 && bore > 0.0).then(|| Wheel {
        outside_diameter,
        thickness,
        bore,
        bore_chamfer: 0.0,
        side_a: Side::default(),
        side_b: Side::default(),
        face: None,
    })
}

/// How much the tension rises by altering.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ratio {
    /// Greatest tension of the altered wheel, MPa.
    pub altered: f64,
    /// Greatest tension of the blank at the same surface speed, MPa.
    pub blank: f64,
}

impl Ratio {
    /// Altered over blank.
    pub fn value(&self) -> f64 {
        self.altered / self.blank
    }

    /// Share of the speed at which the altered wheel bears what the blank bears at the whole speed: stress grows with the square.
    pub fn speed_share(&self) -> f64 {
        self.value().sqrt().recip()
    }
}

/// The notch at the root of a set of grooves.
#[derive(Debug, Clone, PartialEq)]
pub struct GrooveNotch {
    /// Which grooves.
    pub what: String,
    /// Depth, mm.
    pub depth: f64,
    /// Radius of the root, mm.
    pub radius: f64,
    /// Tension at the root over the tension beside the groove.
    pub factor: f64,
}

/// The notches of a wheel's grooves; a flat or pointed bottom has the radius `least`, mm, at its root.
pub fn groove_notches(wheel: &Wheel, least: f64) -> Vec<GrooveNotch> {
    let notch = |what: String, depth: f64, radius: f64| GrooveNotch {
        what,
        depth,
        radius,
        factor: notch_factor(depth, radius),
    };
    let of_side = |name: SideName| {
        let g = wheel.side(name).grooves.as_ref()?;
        let radius = if g.bottom == Bottom::Round { g.width / 2.0 } else { least.min(g.width / 2.0) };
        Some(notch(format!("grooves of side {}", name.letter()), g.depth, radius))
    };
    let face = wheel.face.as_ref().map(|g| {
        let radius = if g.bottom == FaceBottom::Round { g.width / 2.0 } else { least.min(g.width / 2.0) };
        notch("face grooves".into(), g.depth, radius)
    });
    SideName::BOTH.into_iter().filter_map(of_side).chain(face).collect()
}
