//! Which way a wheel with skewed grooves turns.
//!
//! The open end of a skewed groove leads in the direction of rotation, so that coolant is carried inwards (US 5,611,724).

use crate::wheel::{Job, SideName};
use serde::Serialize;

/// A direction of rotation, as seen from outside side A.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rotation {
    /// Counter-clockwise.
    CounterClockwise,
    /// Clockwise.
    Clockwise,
}

impl Rotation {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Rotation::CounterClockwise => "counter-clockwise",
            Rotation::Clockwise => "clockwise",
        }
    }
}

/// What the grooves say of the rotation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wanted {
    /// Nothing is skewed: either way.
    Either,
    /// One way only.
    Only(Rotation),
    /// The sides contradict each other.
    Contradictory,
}

/// The rotation an order's grooves want. A positive skew turns the centre line counter-clockwise about its end at the outside diameter: the inner
/// end then lies clockwise of the open one, which leads when the wheel turns counter-clockwise.
pub fn rotation(job: &Job) -> Wanted {
    let skew = |side: SideName| job.wheel.side(side).grooves.as_ref().map_or(0.0, |g| g.skew_deg);
    let [a, b] = SideName::BOTH.map(skew);
    if a * b < 0.0 {
        return Wanted::Contradictory;
    }
    match a + b {
        0.0 => Wanted::Either,
        sum if sum > 0.0 => Wanted::Only(Rotation::CounterClockwise),
        _ => Wanted::Only(Rotation::Clockwise),
    }
}
