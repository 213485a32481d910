//! What is measured on a wheel: every number of the drawing, numbered as there, with its limits, grooves by sample.

use crate::wheel::{Characteristic, Deviation, Job, Measure, Pattern, Requirement, SideName};
use serde::Serialize;
use std::collections::BTreeSet;

/// Grooves measured of each set where nothing else is asked.
pub const USUAL_SAMPLE: u32 = 8;

/// In what something is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Dimension {
    /// A length: mm here, the order's unit on paper.
    Length,
    /// An angle, degrees.
    Angle,
    /// A count.
    Count,
}

/// One thing to measure, at one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Item {
    /// The characteristic's number, the same as on the drawing.
    pub number: u32,
    /// Where it is measured: `groove 24`, `side A`, `largest`; empty where there is only one place.
    pub place: String,
    /// The drawing's letter for it; empty where it has none.
    pub letter: String,
    /// What it is.
    pub label: String,
    /// The order's field, as a JSON pointer.
    pub field: String,
    /// In what.
    pub dimension: Dimension,
    /// How the nominal value is written: with Ø, R or nothing before it.
    #[serde(skip)]
    pub requirement: Option<Requirement>,
    /// Nominal value, mm or degrees.
    pub nominal: f64,
    /// Its permitted deviation; `None` where the order gives none.
    pub deviation: Option<Deviation>,
}

impl Item {
    /// Least and greatest permitted value; `None` where the order gives no tolerance.
    pub fn limits(&self) -> Option<(f64, f64)> {
        let d = self.deviation?;
        Some((self.nominal + d.lower, self.nominal + d.upper))
    }
}

/// Everything to measure on a wheel, in the order of the drawing's numbers; of each set of grooves so many, evenly spread.
pub fn items(job: &Job, sample: u32) -> Vec<Item> {
    let requirements = job.requirements();
    let mut list: Vec<Item> = requirements.iter().flat_map(|r| of_requirement(job, r, sample)).collect();
    list.extend(of_form(job, requirements.len() as u32));
    list
}

fn of_requirement(job: &Job, r: &Requirement, sample: u32) -> Vec<Item> {
    let item = |place: String| Item {
        number: r.number,
        place,
        letter: r.letter.clone(),
        label: r.label.clone(),
        field: r.field.clone(),
        dimension: match r.measure {
            Measure::Angle => Dimension::Angle,
            Measure::Count => Dimension::Count,
            _ => Dimension::Length,
        },
        requirement: Some(r.clone()),
        nominal: r.nominal,
        // a count is right or wrong
        deviation: if r.measure == Measure::Count { Some(Deviation { upper: 0.0, lower: 0.0 }) } else { r.deviation },
    };
    let pattern = pattern(job, &r.id);
    let last = r.id.rsplit('.').next().unwrap_or_default();
    match (pattern, last) {
        (Some(pattern), "width" | "depth") => {
            sampled(pattern, sample).into_iter().map(|k| item(format!("groove {k}"))).collect()
        }
        // the worst neighbours, whichever they are
        (Some(pattern), "pitch_deg") if has_neighbours(pattern) => {
            ["largest", "smallest"].into_iter().map(|p| item(p.to_owned())).collect()
        }
        (Some(_), "pitch_deg") => Vec::new(),
        _ if r.places == 2 => SideName::BOTH.iter().map(|s| item(format!("side {}", s.letter()))).collect(),
        _ => vec![item(String::new())],
    }
}

/// The groove pattern a number belongs to.
fn pattern<'a>(job: &'a Job, id: &str) -> Option<&'a Pattern> {
    let side = |s: SideName| job.wheel.side(s).grooves.as_ref().map(|g| &g.pattern);
    if id.starts_with("face.grooves.") {
        return job.wheel.face.as_ref().map(|g| &g.pattern);
    }
    SideName::BOTH.into_iter().find(|s| id.starts_with(&format!("{}.grooves.", s.key()))).and_then(side)
}

/// Evenly spread grooves of a pattern, by their place; the first is among them.
pub fn sampled(pattern: &Pattern, sample: u32) -> Vec<u32> {
    let cut: Vec<u32> = pattern.cut().collect();
    let n = (sample.max(1) as usize).min(cut.len());
    let chosen: BTreeSet<u32> = (0..n).map(|i| cut[i * cut.len() / n]).collect();
    chosen.into_iter().collect()
}

/// Whether any two places next to each other are both cut.
fn has_neighbours(pattern: &Pattern) -> bool {
    let cut: BTreeSet<u32> = pattern.cut().collect();
    pattern.places > 1 && cut.iter().any(|k| cut.contains(&(k % pattern.places + 1)))
}

/// Run-outs and parallelism, numbered after the sizes, where the order asks for them.
fn of_form(job: &Job, after: u32) -> Vec<Item> {
    let wanted = [
        (Characteristic::RunoutFace, "Run-out of the face", &[""][..]),
        (Characteristic::RunoutSide, "Run-out of the side", &["side A", "side B"][..]),
        (Characteristic::Parallelism, "Parallelism of the sides", &[""][..]),
    ];
    let given = wanted.into_iter().filter_map(|(c, label, places)| Some((c, label, places, job.tolerances.get(c)?)));
    let mut list = Vec::new();
    for (i, (what, label, places, deviation)) in given.enumerate() {
        for place in places {
            list.push(Item {
                number: after + 1 + i as u32,
                place: (*place).to_owned(),
                letter: String::new(),
                label: label.to_owned(),
                field: format!("/tolerances/{}", what.key()),
                dimension: Dimension::Length,
                requirement: None,
                nominal: 0.0,
                // an amount of run-out is never below 0
                deviation: Some(Deviation { upper: deviation.upper.abs().max(deviation.lower.abs()), lower: 0.0 }),
            });
        }
    }
    list
}
