//! What the measurements say: a verdict for each, and whether the wheel may have its certificate.

use super::items::{Dimension, Item};
use super::measured::Measured;
use super::record::{Record, TestResult};
use crate::certainty::Certainty;
use crate::dossier::Dossier;
use crate::quantity::{Date, trimmed};
use crate::rules::SwitchedOff;
use crate::shop::speed::{marked_speed, test_rpm};
use crate::shop::label::trace_code;
use crate::shop::stock::RowProblem;
use crate::size::{Measure, Size};
use crate::state::Approved;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::Job;
use serde::Serialize;

/// Longest reading over the wheel's largest size that can be meant.
const MOST_OF_LARGEST: f64 = 1.5;
/// Fastest speed test over the least rotation asked that can be meant: half as fast again.
const MOST_OF_TEST: f64 = 1.5;
/// Longest speed test that can be meant, min.
const MINUTES_OF_A_DAY: f64 = 1440.0;

/// What one measurement says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Within its limits.
    Pass,
    /// Outside.
    Fail,
    /// The order gives no tolerance: written down, not judged.
    Recorded,
    /// Not measured.
    Missing,
}

impl Verdict {
    /// `pass`, `FAIL`, `recorded` or `missing`.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Pass => "pass",
            Verdict::Fail => "FAIL",
            Verdict::Recorded => "recorded",
            Verdict::Missing => "missing",
        }
    }
}

/// One measurement and its verdict.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    /// What was measured.
    #[serde(flatten)]
    pub item: Item,
    /// The value, mm, degrees or a count.
    pub measured: Option<f64>,
    /// Measured less nominal.
    pub off: Option<f64>,
    /// How far from the middle of the tolerance, in shares of its half, or from 0 towards the limit of a run-out: 1 on a limit, above 1
    /// outside; null without a tolerance that has a width.
    pub used: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
}

/// A whole inspection.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Inspection {
    /// Every measurement, in the order of the sheet.
    pub judged: Vec<Judged>,
    /// The record beside them.
    pub record: Record,
    /// Grooves measured of each set.
    pub groove_sample: u32,
    /// Whether only what wheels after the first are measured for was measured.
    pub is_short: bool,
    /// On a short sheet, the wheel that was measured whole, counted from 1; null where none of the order's is named.
    pub first_wheel: Option<u32>,
    /// Least rotation of the speed test, 1/min; null where no maximum speed is known.
    pub test_rpm: Option<u32>,
    /// Least time at test speed, min.
    pub test_minutes: f64,
    /// Greatest static unbalance, g at the periphery; null where it cannot be reckoned, which refuses the certificate, or where none applies.
    pub permitted_unbalance: Certainty<f64>,
    /// Rules the shop has switched off: the certificate names them, its limits hold all the same.
    pub switched_off: Vec<SwitchedOff>,
    /// Rows that are missing, too many or no number.
    pub problems: Vec<RowProblem>,
    /// The wheel measured, counted from 1; null where the sheet does not say, or names none of the order's.
    pub wheel: Option<u32>,
    /// Number of the certificate, the wheel's trace code; null where there is no certificate.
    pub certificate: Option<String>,
    /// Why there is no certificate; empty where there is one.
    pub refusals: Vec<String>,
}

/// Limits that come from the shop's rules.
#[derive(Debug, Clone, PartialEq)]
pub struct RuleLimits {
    /// Speed of the speed test over the marked maximum; `None` where the rules know none for so fast a wheel.
    pub test_factor: Option<f64>,
    /// Least time at test speed, min.
    pub test_minutes: f64,
    /// Greatest static unbalance, g at the periphery.
    pub permitted_unbalance: Certainty<f64>,
    /// Rules the shop has switched off.
    pub switched_off: Vec<SwitchedOff>,
}

impl RuleLimits {
    /// The limits of an order: the factor of the shop's rules, and the permitted unbalance.
    pub fn of(dossier: &Dossier) -> RuleLimits {
        let Dossier { job, shop, outcome, .. } = dossier;
        RuleLimits {
            test_factor: marked_speed(job).and_then(|v| shop.test_factor(v)),
            test_minutes: shop.limits().speed_test_minutes,
            // g·mm at the radius of the periphery
            permitted_unbalance: outcome.permitted_unbalance.clone().map(|u| u / job.wheel.outside_radius()),
            switched_off: outcome.switched_off.clone(),
        }
    }
}

/// Judges a filled-in sheet; `today` is the latest day on which anything can have been measured, `None` where nobody knows.
pub fn judge(dossier: &Dossier, measured: Measured, today: Option<Date>) -> Inspection {
    let (job, limits) = (&dossier.job, RuleLimits::of(dossier));
    let Measured { items, sample, is_short, values, record, problems } = measured;
    let judged: Vec<Judged> = items.into_iter().zip(values).map(|(item, value)| judged(item, value)).collect();
    let mut inspection = Inspection {
        judged,
        first_wheel: record.first_wheel.as_deref().and_then(|text| wheel_number(job, text)),
        record,
        groove_sample: sample,
        is_short,
        test_rpm: test_rpm(job, limits.test_factor),
        test_minutes: limits.test_minutes,
        permitted_unbalance: limits.permitted_unbalance,
        switched_off: limits.switched_off,
        problems,
        wheel: None,
        certificate: None,
        refusals: Vec::new(),
    };
    inspection.wheel = inspection.record.wheel.as_deref().and_then(|text| wheel_number(job, text));
    inspection.refusals.extend(dossier.withheld());
    if let Approved::Not(why) = &dossier.approved {
        inspection.refusals.push(format!("the order is not approved: {why}"));
    }
    inspection.refusals.extend(refusals(job, &inspection, today));
    inspection.certificate = inspection.wheel.filter(|_| inspection.is_passed()).map(|n| trace_code(job, n));
    inspection
}

/// The wheel of an order that a text names, by its number, `ORDER-REVISION-NUMBER` or its trace code; `None` where there is no such wheel.
fn wheel_number(job: &Job, text: &str) -> Option<u32> {
    let text = text.trim();
    let code = text.strip_prefix(&job.file_stem()).and_then(|rest| rest.strip_prefix('-'));
    let number = code.map_or(text, |rest| rest.split('-').next().unwrap_or_default());
    let number = number.parse().ok().filter(|n| (1..=job.head.quantity.unwrap_or(1)).contains(n))?;
    let whole = trace_code(job, number);
    (code.is_none() || text == whole || whole.strip_prefix(text).is_some_and(|rest| rest.starts_with('-'))).then_some(number)
}

/// A measurement beside its limits.
pub(super) fn judged(item: Item, measured: Option<f64>) -> Judged {
    let limits = item.limits();
    let verdict = match (measured, limits) {
        (None, _) => Verdict::Missing,
        (Some(_), None) => Verdict::Recorded,
        (Some(v), Some((low, high))) if v >= low - SAME_LENGTH && v <= high + SAME_LENGTH => Verdict::Pass,
        (Some(_), Some(_)) => Verdict::Fail,
    };
    let used = measured.zip(limits).and_then(|(v, (low, high))| {
        // a run-out has no middle to keep to: 0 is best
        let best = if item.requirement.measure() == Measure::Form { low } else { (low + high) / 2.0 };
        (high > best).then(|| (v - best).abs() / (high - best))
    });
    Judged { off: measured.map(|v| v - item.nominal), measured, used, verdict, item }
}

/// Why there is no certificate.
fn refusals(job: &Job, inspection: &Inspection, today: Option<Date>) -> Vec<String> {
    let mut why = unlimited(inspection);
    why.extend(impossible(job, inspection));
    let count = |verdict| inspection.judged.iter().filter(|j| j.verdict == verdict).count();
    for (n, one, many) in [
        (count(Verdict::Fail), "measurement is outside its limits", "measurements are outside their limits"),
        (count(Verdict::Missing), "measurement is missing", "measurements are missing"),
        (inspection.problems.len(), "row is not in order", "rows are not in order"),
    ] {
        if n > 0 {
            why.push(format!("{n} {}", if n == 1 { one } else { many }));
        }
    }
    let record = &inspection.record;
    for (filled, what) in [
        (record.wheel.is_some(), "which wheel was measured"),
        (record.inspected_by.is_some(), "who measured"),
        (record.inspected_on.is_some(), "when it was measured"),
    ] {
        if !filled {
            why.push(format!("the sheet does not say {what}"));
        }
    }
    if let (Some(text), None) = (&record.wheel, inspection.wheel) {
        let (first, last) = (trace_code(job, 1), job.head.quantity.unwrap_or(1));
        why.push(format!(
            "{} names no wheel of this order: write its trace code, such as {first}, or its number, 1 to {last}",
            crate::quantity::quoted(text)
        ));
    }
    why.extend(first_wheel(job, inspection));
    why.extend(dates(job, record, today));
    why.extend(ring("of the blank", record.ring_test_before));
    why.extend(ring("after altering", record.ring_test_after));
    why.extend(speed_test(job, inspection));
    why.extend(balance(record.balance_reading, &inspection.permitted_unbalance));
    why
}

/// What speaks against the wheel that a short sheet leans on.
fn first_wheel(job: &Job, inspection: &Inspection) -> Option<String> {
    if !inspection.is_short {
        return None;
    }
    let of = |n| trace_code(job, n);
    match (&inspection.record.first_wheel, inspection.first_wheel) {
        (None, _) => Some("the short sheet does not say which wheel was measured whole".to_owned()),
        (Some(text), None) => {
            Some(format!("{} names no wheel of this order: write the trace code of the first, such as {}", crate::quantity::quoted(text), of(1)))
        }
        (_, first) if first == inspection.wheel => {
            Some("a short sheet cannot lean on its own wheel: measure one wheel of the order whole".to_owned())
        }
        _ => None,
    }
}

/// The main sizes that the order gives no limits for: a certificate that judged none of them would say nothing.
fn unlimited(inspection: &Inspection) -> Vec<String> {
    let is_main = |size: Size| {
        matches!(
            size,
            Size::OutsideDiameter
                | Size::Thickness
                | Size::Bore
                | Size::RecessDiameter(..)
                | Size::RecessDepth(..)
        )
    };
    let mut named: Vec<String> = Vec::new();
    for j in inspection.judged.iter().filter(|j| is_main(j.item.requirement.size) && j.item.limits().is_none()) {
        let name = format!("{} {}", j.item.number, j.item.label);
        if !named.contains(&name) {
            named.push(name);
        }
    }
    if named.is_empty() {
        return Vec::new();
    }
    vec![format!("no limits are agreed for {}: give them in tolerances", named.join(", "))]
}

/// Readings no wheel can have: slips of the pen that no tolerance would catch.
fn impossible(job: &Job, inspection: &Inspection) -> Vec<String> {
    let most = job.wheel.outside_diameter.max(job.wheel.thickness) * MOST_OF_LARGEST;
    let is_form = |j: &Judged| j.item.requirement.measure() == Measure::Form;
    let wrong = |j: &&Judged| {
        j.measured.is_some_and(|v| match j.item.dimension {
            Dimension::Length => v > most || v < 0.0 || v == 0.0 && !is_form(j),
            Dimension::Angle => !(0.0..=360.0).contains(&v),
            Dimension::Count => v < 0.0 || v.fract() != 0.0,
        })
    };
    let named = inspection.judged.iter().filter(wrong).map(|j| {
        let place = if j.item.place.is_empty() { String::new() } else { format!(", {}", j.item.place) };
        format!("the reading of {} {}{place} is impossible", j.item.number, j.item.label)
    });
    let record = &inspection.record;
    let too_fast = inspection.test_rpm.zip(record.speed_test_rpm).filter(|(n, run)| *run > f64::from(*n) * MOST_OF_TEST);
    let fast = too_fast.map(|(n, run)| {
        let run = trimmed(run, 1);
        format!("a speed test at {run} 1/min is impossible or has overloaded the wheel: {n} 1/min were asked")
    });
    let long = record.speed_test_minutes.filter(|m| *m > MINUTES_OF_A_DAY);
    let long = long.map(|m| format!("a speed test of {} min is impossible", trimmed(m, 1)));
    named.chain(fast).chain(long).collect()
}

/// What speaks against the days of the record: before the order, not yet there, or in no possible sequence.
fn dates(job: &Job, record: &Record, today: Option<Date>) -> Vec<String> {
    let ordered: Option<Date> = job.head.date.as_deref().and_then(|d| d.parse().ok());
    let mut why = Vec::new();
    for (what, on) in
        [("altered", record.altered_on), ("speed-tested", record.speed_test_on), ("measured", record.inspected_on)]
    {
        match (on, ordered, today) {
            (Some(on), Some(day), _) if on < day => {
                why.push(format!("it was {what} on {on}, before the order of {day}"));
            }
            (Some(on), _, Some(latest)) if on > latest => why.push(format!("it was {what} on {on}, which lies ahead")),
            _ => {}
        }
    }
    if let (Some(altered), Some(tested)) = (record.altered_on, record.speed_test_on)
        && tested < altered
    {
        why.push(format!("it was speed-tested on {tested}, before it was altered on {altered}"));
    }
    why
}

/// What speaks against the balance reading, g at the periphery.
fn balance(reading: Option<f64>, permitted: &Certainty<f64>) -> Option<String> {
    let Some(g) = reading else { return Some("the balance reading is missing".to_owned()) };
    match permitted {
        Certainty::Known(most) if g <= *most => None,
        Certainty::Known(most) => {
            let [g, most] = [g, *most].map(|x| trimmed(x, 1));
            Some(format!("unbalance {g} g at the periphery is above the permitted {most} g"))
        }
        Certainty::Unknown(why) => Some(format!("the permitted unbalance is not known: {why}")),
        Certainty::DoesNotApply(_) => None,
    }
}

fn ring(which: &str, result: Option<TestResult>) -> Option<String> {
    match result {
        Some(TestResult::Passed) => None,
        Some(TestResult::Failed) => Some(format!("the ring test {which} was dull: the wheel must not be used")),
        None => Some(format!("the ring test {which} is not recorded")),
    }
}

/// A certificate stands on a passed speed test at the rotation the marked speed asks.
fn speed_test(job: &Job, inspection: &Inspection) -> Option<String> {
    let record = &inspection.record;
    if marked_speed(job).is_none() {
        let why =
            "the blank's maximum operating speed is not known, so no speed test can be judged: give it as marked on the blank";
        return Some(why.into());
    }
    let Some(needed) = inspection.test_rpm else {
        return Some(
            "no factor of the speed test is known for so fast a wheel: its maker says how it is tested".into(),
        );
    };
    match record.speed_test_result {
        None => return Some("no speed test is recorded".to_owned()),
        Some(TestResult::Failed) => return Some("the speed test failed: the wheel must not be used".to_owned()),
        Some(TestResult::Passed) => {}
    }
    let Some(run) = record.speed_test_rpm else {
        return Some("the speed test does not say at which rotation it ran".to_owned());
    };
    if run < f64::from(needed) {
        let run = trimmed(run, 1);
        return Some(format!("the speed test was run at {run} 1/min; {needed} 1/min are needed"));
    }
    let Some(minutes) = record.speed_test_minutes else {
        return Some("the speed test does not say how long it ran".to_owned());
    };
    if minutes < inspection.test_minutes {
        let [ran, least] = [minutes, inspection.test_minutes].map(|m| trimmed(m, 2));
        return Some(format!("the speed test ran {ran} min; the shop's rules ask for {least} min"));
    }
    record.speed_test_tester.is_none().then(|| "the speed test does not say who ran it".to_owned())
}

impl Inspection {
    /// Takes the certificate away, for a reason that lies outside the sheet.
    pub fn refuse(&mut self, why: String) {
        self.refusals.push(why);
        self.certificate = None;
    }

    /// Whether the wheel may have its certificate.
    pub fn is_passed(&self) -> bool {
        self.refusals.is_empty()
    }

    /// Of each characteristic with a tolerance, the measurement that used most of it, in the order of the numbers.
    pub fn worst(&self) -> Vec<&Judged> {
        let mut worst: Vec<&Judged> = Vec::new();
        for judged in self.judged.iter().filter(|j| j.used.is_some()) {
            match worst.last_mut() {
                Some(last) if last.item.number == judged.item.number => {
                    if judged.used > last.used {
                        *last = judged;
                    }
                }
                _ => worst.push(judged),
            }
        }
        worst
    }
}
