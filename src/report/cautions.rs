//! The cautions every paper carries: one list of sentences, so that no two papers say different things.

use crate::language::Language;
use crate::wheel::{Job, SideName};

/// Keys of the sentences, in their order; the last is for grooved wheels.
const KEYS: [&str; 8] = [
    "cautions.strength",
    "cautions.maker",
    "cautions.test",
    "cautions.speed",
    "cautions.inspect",
    "cautions.run",
    "cautions.mount",
    "cautions.grooves",
];

/// What whoever handles the wheel must know, a sentence or two each, in the shop's language.
pub fn sentences(job: &Job) -> Vec<&'static str> {
    sentences_in(job, Language::default())
}

/// The same in a language.
pub fn sentences_in(job: &Job, language: Language) -> Vec<&'static str> {
    let wheel = &job.wheel;
    let grooved = wheel.face.is_some() || SideName::BOTH.iter().any(|s| wheel.side(*s).grooves.is_some());
    let count = if grooved { KEYS.len() } else { KEYS.len() - 1 };
    KEYS[..count].iter().map(|key| language.text(key)).collect()
}

/// The same as one paragraph for the foot of a paper.
pub fn cautions(job: &Job) -> Vec<String> {
    vec![format!("CAUTION. {}", sentences(job).join(" "))]
}
