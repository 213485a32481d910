//! The time an operation takes, from the geometry of the wheel and the shop's rates.

use super::rates::{Rate, Rates, Work, key};
use crate::groove::Grooves;
use crate::money::Money;
use crate::quantity::{fixed, trimmed};
use crate::section::{Feature, Section};
use crate::shop::operation::Operation;
use crate::shop::traveller::Step;
use crate::size::SideName;
use crate::wheel::{Job, Wheel};
use serde::Serialize;

/// One operation of the quotation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// The operation; null for one of the shop's own.
    pub operation: Option<Operation>,
    /// Its heading in the traveller.
    pub title: String,
    /// Where it is done.
    pub at: String,
    /// What one hour costs there.
    pub hourly: Money,
    /// Minutes to set up, once an order.
    pub setup_min: f64,
    /// Minutes for one wheel; null where something it follows from is not known.
    pub each_min: Option<f64>,
    /// How the minutes for one wheel come about, with the numbers.
    pub formula: String,
}

impl Line {
    /// What so many wheels cost, setting up included; `spoiled` is the share of wheels made in vain.
    pub fn cost(&self, wheels: u32, spoiled: f64) -> Option<Money> {
        let minutes = self.setup_min + self.each_min? * f64::from(wheels) * (1.0 + spoiled);
        Some(self.hourly.times(minutes / MINUTES_IN_HOUR))
    }

    /// Hours that so many wheels take.
    pub fn hours(&self, wheels: u32) -> f64 {
        (self.setup_min + self.each_min.unwrap_or(0.0) * f64::from(wheels)) / MINUTES_IN_HOUR
    }
}

const MINUTES_IN_HOUR: f64 = 60.0;

/// What the times follow from besides the rates.
#[derive(Debug, Clone, Copy)]
pub struct Basis<'a> {
    /// The order.
    pub job: &'a Job,
    /// Its section.
    pub section: &'a Section,
    /// Minutes at test speed that the shop's rules ask.
    pub test_minutes: f64,
    /// Whether the size of the blank is known, so that what is taken off is.
    pub knows_blank: bool,
}

/// A line for each step of the traveller.
pub fn lines(basis: Basis, rates: &Rates, steps: &[Step]) -> Vec<Line> {
    // every step has a rate: the rates were read for this traveller
    let rated = steps.iter().filter_map(|s| Some((s, rates.operations.get(key(s.operation, &s.title))?)));
    rated.map(|(step, rate)| line(basis, rate, step)).collect()
}

fn line(basis: Basis, rate: &Rate, step: &Step) -> Line {
    let own = (trimmed(rate.each_min, 2), rate.each_min);
    let work = match (rate.work, step.operation) {
        (Work::Turning { .. }, Some(o)) => turning(basis, rate.work, o, step.removed),
        (Work::Slotting { .. }, Some(o)) => slotting(basis, rate.work, o),
        (_, Some(Operation::SpeedTest)) => {
            Some((format!("{} at test speed", trimmed(basis.test_minutes, 2)), basis.test_minutes))
        }
        _ => Some((String::new(), 0.0)),
    };
    let each_min = work.as_ref().map(|(_, minutes)| minutes + own.1);
    let formula = match (&work, each_min) {
        (Some((text, _)), _) if text.is_empty() => String::new(),
        (Some((text, _)), Some(minutes)) => format!("{} + {text} = {}", own.0, fixed(minutes, 2)),
        _ => "the blank is not known, so neither is what is taken off".to_owned(),
    };
    Line {
        operation: step.operation,
        title: step.title.clone(),
        at: rate.at.clone(),
        hourly: rate.hourly,
        setup_min: rate.setup_min,
        each_min,
        formula,
    }
}

/// Volume over removal rate and passes times path over feed.
fn turning(basis: Basis, work: Work, operation: Operation, removed: Option<f64>) -> Option<(String, f64)> {
    let Work::Turning { removal, feed, passes } = work else { return None };
    let volume = match removed {
        Some(volume) => volume,
        // the blank has the size already: only truing
        None if basis.knows_blank => 0.0,
        None => return None,
    };
    let path = path(&basis.job.wheel, basis.section, operation);
    let minutes = volume / removal + f64::from(passes) * path / feed;
    let text = format!(
        "{} cm³ ÷ {} cm³/min + {passes} × {} mm ÷ {} mm/min",
        fixed(volume / MM3_IN_CM3, 1),
        trimmed(removal / MM3_IN_CM3, 2),
        fixed(path, 1),
        trimmed(feed, 1)
    );
    Some((text, minutes))
}

const MM3_IN_CM3: f64 = 1000.0;

/// Length of the finished path of a turning operation, mm.
fn path(wheel: &Wheel, section: &Section, operation: Operation) -> f64 {
    let of = |wanted: &dyn Fn(Feature) -> bool| -> f64 {
        section.edges().filter(|(_, f)| wanted(*f)).map(|(e, _)| e.length()).sum()
    };
    match operation {
        Operation::Bore | Operation::OutsideDiameter => wheel.thickness,
        // both sides, from the bore to the outside diameter
        Operation::Thickness => wheel.outside_diameter - wheel.bore,
        Operation::Recess(s) => of(&|f| is_recess(f, s)),
        Operation::Taper(s) => of(&|f| f == Feature::Taper(s) || f == Feature::TaperFlat(s)),
        Operation::Corner(s) => of(&|f| f == Feature::Corner(s)),
        Operation::BoreChamfer => of(&|f| matches!(f, Feature::BoreChamfer(_))),
        _ => 0.0,
    }
}

fn is_recess(feature: Feature, side: SideName) -> bool {
    match feature {
        Feature::RecessWall(s, _) | Feature::RecessFloor(s, _) | Feature::RecessFillet(s, _) => s == side,
        _ => false,
    }
}

/// Count × (passes × length, there and back, and the time to index).
fn slotting(basis: Basis, work: Work, operation: Operation) -> Option<(String, f64)> {
    let Work::Slotting { depth_per_pass, feed, back, overrun, index } = work else { return None };
    let wheel = &basis.job.wheel;
    let grooves = Grooves::of(wheel, basis.section);
    let (count, depth, length) = match operation {
        Operation::Grooves(side) => {
            let (ordered, groove) = (wheel.side(side).grooves.as_ref()?, grooves.side(side)?);
            let rim = ((groove.outside_radius - groove.offset) * (groove.outside_radius + groove.offset)).sqrt();
            (ordered.pattern.count(), ordered.depth, groove.outer_u.unwrap_or(rim) - groove.inner_u)
        }
        _ => {
            let ordered = wheel.face.as_ref()?;
            (ordered.pattern.count(), ordered.depth, wheel.thickness / ordered.helix_deg.to_radians().cos())
        }
    };
    // a depth that is a whole number of passes but for its rounding is that number
    let passes = (depth / depth_per_pass * (1.0 - f64::EPSILON)).ceil();
    let stroke = length + overrun;
    let minutes = f64::from(count) * (passes * (stroke / feed + stroke / back) + index);
    let text = format!(
        "{count} × ({passes} passes × {} mm ÷ {} and {} mm/min + {} s)",
        fixed(stroke, 1),
        trimmed(feed, 1),
        trimmed(back, 1),
        trimmed(index * MINUTES_IN_HOUR, 1)
    );
    Some((text, minutes))
}
