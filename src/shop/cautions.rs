//! The cautions every paper carries.

use crate::wheel::{Job, SideName};

/// Sentences for the foot of a paper.
pub fn cautions(job: &Job) -> Vec<String> {
    let wheel = &job.wheel;
    let is_grooved = wheel.face.is_some() || SideName::BOTH.iter().any(|s| wheel.side(*s).grooves.is_some());
    let mut text = String::from(
        "CAUTION. Altering an abrasive wheel changes its strength. For authorised, trained people only; follow the abrasive maker's \
         instructions, local law and the safety code in force. Calculated values are guides: only the speed test proves a wheel. Do not exceed the \
         marked speed. Inspect before mounting, ring-test where the bond rings (organic and thin wheels do not); use blotters and equal flanges; run it guarded for \
         at least a minute before work, three after a change, with nobody in line with it. Nothing may be cut under the flange seat.",
    );
    if is_grooved {
        text.push_str(" The grooves are intentional.");
    }
    vec![text]
}
