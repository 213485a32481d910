//! The cautions every paper carries: one list of sentences, so that no two papers say different things.

use crate::wheel::{Job, SideName};

/// What whoever handles the wheel must know, a sentence or two each.
pub fn sentences(job: &Job) -> Vec<&'static str> {
    let wheel = &job.wheel;
    let mut items = vec![
        "Altering an abrasive wheel changes its strength. For authorised, trained people only.",
        "Follow the abrasive maker's instructions, local law and the safety code in force.",
        "Calculated values are guides: only the speed test proves a wheel.",
        "Never exceed the marked speed.",
        "Inspect before mounting; ring-test where the bond rings (organic and thin wheels do not).",
        "Run it guarded for at least a minute before work, three after a change, with nobody in line with it.",
        "Use blotters and equal flanges. Nothing may be cut under the flange seat.",
    ];
    if wheel.face.is_some() || SideName::BOTH.iter().any(|s| wheel.side(*s).grooves.is_some()) {
        items.push("The grooves are intentional; they are no damage.");
    }
    items
}

/// The same as one paragraph for the foot of a paper.
pub fn cautions(job: &Job) -> Vec<String> {
    vec![format!("CAUTION. {}", sentences(job).join(" "))]
}
