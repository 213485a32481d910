//! What is measured on a wheel: every number of the drawing, numbered as there, with its limits, grooves by sample.

use crate::size::{GrooveSize, Measure, SideName, Size};
use crate::wheel::{Characteristic, Deviation, Job, LimitsBy, Pattern, Requirement};
use serde::Serialize;
use std::collections::BTreeSet;

/// Grooves measured of each set where nothing else is asked.
pub const USUAL_SAMPLE: u32 = 8;

/// How much of a wheel a sheet asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent<'a> {
    /// Everything, of each set of grooves so many: the first wheel of an order.
    Whole(u32),
    /// Only these, of each set one groove: the wheels after it.
    Short(&'a [Characteristic]),
}

impl Extent<'_> {
    /// Grooves measured of each set.
    pub fn sample(self) -> u32 {
        match self {
            Extent::Whole(sample) => sample,
            Extent::Short(_) => 1,
        }
    }
}

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
    /// The number of the wheel it is.
    #[serde(skip)]
    pub requirement: Requirement,
    /// Nominal value, mm or degrees.
    pub nominal: f64,
    /// Its permitted deviation; `None` where neither the order nor the shop gives one.
    pub deviation: Option<Deviation>,
    /// Who gives it.
    pub limits_by: Option<LimitsBy>,
}

impl Item {
    /// Least and greatest permitted value; `None` where the order gives no tolerance.
    pub fn limits(&self) -> Option<(f64, f64)> {
        let d = self.deviation?;
        Some((self.nominal + d.lower, self.nominal + d.upper))
    }
}

/// What a sheet asks for, in the order of the drawing's numbers; grooves of a sample are evenly spread.
pub fn items(job: &Job, extent: Extent) -> Vec<Item> {
    let asked = |r: &&Requirement| match extent {
        Extent::Whole(_) => true,
        Extent::Short(only) => r.size.characteristic().is_some_and(|c| only.contains(&c)),
    };
    job.requirements().iter().filter(asked).flat_map(|r| of_requirement(job, r, extent.sample())).collect()
}

fn of_requirement(job: &Job, r: &Requirement, sample: u32) -> Vec<Item> {
    let measure = r.measure();
    let limits = match measure {
        // a count is right or wrong
        Measure::Count => Some((Deviation { upper: 0.0, lower: 0.0 }, LimitsBy::Order)),
        Measure::Form => Some((Deviation { upper: r.nominal, lower: 0.0 }, LimitsBy::Order)),
        _ => r.deviation.map(|own| (own, LimitsBy::Order)).or(r.general),
    };
    let item = |place: String| Item {
        number: r.number,
        place,
        letter: r.letter.clone(),
        label: r.label.clone(),
        field: r.size.pointer(),
        dimension: match measure {
            Measure::Angle => Dimension::Angle,
            Measure::Count => Dimension::Count,
            _ => Dimension::Length,
        },
        requirement: r.clone(),
        // of a run-out 0 is best, and nothing lies below it
        nominal: if measure == Measure::Form { 0.0 } else { r.nominal },
        deviation: limits.map(|(deviation, _)| deviation),
        limits_by: limits.map(|(_, by)| by),
    };
    let pattern = r.size.pattern().and_then(|set| job.wheel.pattern(set));
    match (r.size, pattern) {
        (Size::Groove(_, GrooveSize::Width | GrooveSize::Depth), Some(pattern)) => {
            sampled(pattern, sample).into_iter().map(|k| item(format!("groove {k}"))).collect()
        }
        // the worst neighbours, whichever they are
        (Size::Groove(_, GrooveSize::Pitch), Some(pattern)) if has_neighbours(pattern) => {
            ["largest", "smallest"].into_iter().map(|p| item(p.to_owned())).collect()
        }
        (Size::Groove(_, GrooveSize::Pitch), _) => Vec::new(),
        _ if r.places == 2 => SideName::BOTH.iter().map(|s| item(format!("side {}", s.letter()))).collect(),
        _ => vec![item(String::new())],
    }
}

/// Which numbers have their limits from a general tolerance, and whose it is: a sentence each.
pub fn general_limits(job: &Job) -> Vec<String> {
    let requirements = job.requirements();
    let numbers = |wanted: LimitsBy| {
        let of = requirements.iter().filter(|r| r.general.is_some_and(|(_, by)| by == wanted));
        of.map(|r| r.number.to_string()).collect::<Vec<_>>().join(", ")
    };
    let source = job.tolerances.shop.as_ref().map_or("", |shop| shop.source());
    [
        (numbers(LimitsBy::General), "the order's general tolerance".to_owned()),
        (numbers(LimitsBy::Shop), format!("the shop's general tolerances, {source}")),
    ]
    .into_iter()
    .filter(|(numbers, _)| !numbers.is_empty())
    .map(|(numbers, whose)| format!("Limits of the numbers {numbers}: {whose}."))
    .collect()
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
