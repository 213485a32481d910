//! What the measurements say: a verdict for each, and whether the wheel may have its certificate.

use super::items::Item;
use super::measured::Measured;
use super::record::{Record, TestResult};
use crate::certainty::Certainty;
use crate::dossier::Dossier;
use crate::rules::{LimitKey, SwitchedOff};
use crate::shop::speed::{marked_speed, test_rpm};
use crate::shop::stock::RowProblem;
use crate::size::Measure;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::Job;
use serde::Serialize;

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
            test_minutes: shop.number(LimitKey::SpeedTestMinutes),
            // g·mm at the radius of the periphery
            permitted_unbalance: outcome.permitted_unbalance.clone().map(|u| u / job.wheel.outside_radius()),
            switched_off: outcome.switched_off.clone(),
        }
    }
}

/// Judges a filled-in sheet.
pub fn judge(dossier: &Dossier, measured: Measured) -> Inspection {
    let (job, limits) = (&dossier.job, RuleLimits::of(dossier));
    let Measured { items, sample, values, record, problems } = measured;
    let judged: Vec<Judged> = items.into_iter().zip(values).map(|(item, value)| one(item, value)).collect();
    let mut inspection = Inspection {
        judged,
        record,
        groove_sample: sample,
        test_rpm: test_rpm(job, limits.test_factor),
        test_minutes: limits.test_minutes,
        permitted_unbalance: limits.permitted_unbalance,
        switched_off: limits.switched_off,
        problems,
        refusals: Vec::new(),
    };
    if dossier.is_stopped() {
        inspection.refusals.push("a rule stops the order".to_owned());
    }
    inspection.refusals.extend(refusals(job, &inspection));
    inspection
}

fn one(item: Item, measured: Option<f64>) -> Judged {
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
fn refusals(job: &Job, inspection: &Inspection) -> Vec<String> {
    let mut why = Vec::new();
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
    why.extend(ring("of the blank", record.ring_test_before));
    why.extend(ring("after altering", record.ring_test_after));
    why.extend(speed_test(job, inspection));
    why.extend(balance(record.balance_reading, &inspection.permitted_unbalance));
    why
}

/// What speaks against the balance reading, g at the periphery.
fn balance(reading: Option<f64>, permitted: &Certainty<f64>) -> Option<String> {
    let Some(g) = reading else { return Some("the balance reading is missing".to_owned()) };
    match permitted {
        Certainty::Known(most) if g <= *most => None,
        Certainty::Known(most) => {
            let [g, most] = [g, *most].map(|x| crate::quantity::trimmed(x, 1));
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
            "the blank's maximum speed is not known, so no speed test can be judged: give blank.max_operating_speed";
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
        let run = crate::quantity::trimmed(run, 1);
        return Some(format!("the speed test was run at {run} 1/min; {needed} 1/min are needed"));
    }
    let Some(minutes) = record.speed_test_minutes else {
        return Some("the speed test does not say how long it ran".to_owned());
    };
    if minutes < inspection.test_minutes {
        let [ran, least] = [minutes, inspection.test_minutes].map(|m| crate::quantity::trimmed(m, 2));
        return Some(format!("the speed test ran {ran} min; the shop's rules ask for {least} min"));
    }
    record.speed_test_tester.is_none().then(|| "the speed test does not say who ran it".to_owned())
}

impl Inspection {
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
