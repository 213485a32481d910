//! Which stock wheels can make an order, best first, and why the others cannot.

use super::list::StockWheel;
use crate::list::RowProblem;
use crate::money::Money;
use crate::properties::speed::surface_speed;
use crate::quantity::{Date, KG_PER_MM3, LengthUnit};
use crate::section::SectionError;
use crate::shop::removal::{Finishing, Removal};
use crate::shop::written::{length, speed};
use crate::tolerance::{NEAR_MISS, NEAR_MISS_SHARE, SAME_LENGTH};
use crate::wheel::{Characteristic, Job};
use serde::Serialize;
use serde_json::{Value, json};
use std::cmp::Ordering;

/// What the order asks of its blank.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Asked {
    /// Least outside diameter, mm: the wheel's, less what its tolerance allows.
    pub least_outside_diameter: f64,
    /// Least thickness, mm.
    pub least_thickness: f64,
    /// Greatest bore, mm.
    pub greatest_bore: f64,
    /// Specification mark; `None` where the order asks none.
    pub marking: Option<String>,
    /// Least marked maximum speed, m/s, as the order names it.
    pub max_operating_speed: Option<f64>,
    /// Surface speed of the altered wheel on the order's machine, m/s.
    pub running_speed: Option<f64>,
    /// Day of the order: what has expired by then is no blank.
    pub date: Option<Date>,
    /// Wheels ordered.
    pub quantity: u32,
}

impl Asked {
    /// What an order asks.
    pub fn of(job: &Job) -> Asked {
        let lower = |c| job.tolerances.get(c).map_or(0.0, |d| d.lower.min(0.0));
        let upper = |c| job.tolerances.get(c).map_or(0.0, |d| d.upper.max(0.0));
        let wheel = &job.wheel;
        let blank = job.blank.as_ref();
        Asked {
            least_outside_diameter: wheel.outside_diameter + lower(Characteristic::OutsideDiameter),
            least_thickness: wheel.thickness + lower(Characteristic::Thickness),
            greatest_bore: wheel.bore + upper(Characteristic::Bore),
            marking: blank.and_then(|b| b.marking.clone()),
            max_operating_speed: blank.and_then(|b| b.max_operating_speed),
            running_speed: job.machine.spindle_rpm.map(|n| surface_speed(wheel.outside_diameter, n)),
            date: job.head.date.as_ref().and_then(|day| day.parse().ok()),
            quantity: job.head.quantity.unwrap_or(1),
        }
    }
}

/// A stock wheel the order can be made of.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Candidate {
    /// The stock wheel.
    #[serde(flatten)]
    pub stock: StockWheel,
    /// What each operation takes off one of them.
    pub removed: Vec<Removal>,
    /// All of it, mm³.
    pub removed_volume: f64,
    /// The same as a share of the stock wheel, 0 to 1.
    pub removed_share: f64,
    /// The same, kg; null where the list gives neither density nor weight.
    pub removed_mass: Option<f64>,
    /// What the ordered number of wheels costs.
    pub cost_of_order: Option<Money>,
    /// Whether there are as many as ordered.
    pub enough: bool,
    /// What to mind.
    pub remarks: Vec<String>,
}

/// A stock wheel the order cannot be made of.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rejected {
    /// The stock wheel.
    #[serde(flatten)]
    pub stock: StockWheel,
    /// Every reason, with its numbers.
    pub reasons: Vec<String>,
    /// What the customer may be asked, where it fails by no more than a size in the other unit does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub question: Option<String>,
}

/// What "best first" goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ranking {
    /// Least stock removed, then least cost.
    #[default]
    Removed,
    /// Least cost, then least stock removed.
    Cost,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// What the order asks.
    pub asked: Asked,
    /// What can be used, best first: those of which there are enough before those of which there are too few.
    pub suitable: Vec<Candidate>,
    /// What cannot, in the order of the list.
    pub rejected: Vec<Rejected>,
}

impl Choice {
    /// The stock wheel that the order has taken, where it can be used.
    pub fn taken(&self, job: &Job) -> Option<&Candidate> {
        let ids = job.blank.as_ref()?.stock.as_ref()?;
        self.suitable.iter().find(|c| ids.split(',').any(|id| id.trim() == c.stock.id))
    }

    /// The answer as JSON, with the rows of the list that could not be read and how the order's own blank differs from its row.
    pub fn told(&self, job: &Job, problems: &[RowProblem], differences: &[String]) -> Value {
        json!({
            "format": 1, "fingerprint": job.fingerprint().full(), "asked": self.asked, "suitable": self.suitable,
            "rejected": self.rejected, "problems": problems, "blank_not_as_listed": differences,
        })
    }
}

/// Sorts a stock list into what the order can be made of and what not.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn choose(job: &Job, stock: &[StockWheel], ranking: Ranking) -> Result<Choice, SectionError> {
    let asked = Asked::of(job);
    let mut choice = Choice { asked, suitable: Vec::new(), rejected: Vec::new() };
    let finishing = Finishing::of(&job.wheel)?;
    for wheel in stock {
        let reasons = reasons(job.units, &choice.asked, wheel);
        if reasons.is_empty() {
            choice.suitable.push(candidate(&finishing, &choice.asked, wheel));
        } else {
            let question = near_miss(job.units, &choice.asked, wheel);
            choice.rejected.push(Rejected { stock: wheel.clone(), reasons, question });
        }
    }
    choice.suitable.sort_by(|a, b| rank(a, b, ranking));
    Ok(choice)
}

fn rank(a: &Candidate, b: &Candidate, ranking: Ranking) -> Ordering {
    // an unknown cost is worse than any known one
    let cost = |c: &Candidate| (c.stock.cost.is_none(), c.stock.cost);
    let by_volume = || a.removed_volume.total_cmp(&b.removed_volume);
    let by_cost = || cost(a).cmp(&cost(b));
    let first = match ranking {
        Ranking::Removed => by_volume().then_with(by_cost),
        Ranking::Cost => by_cost().then_with(by_volume),
    };
    b.enough.cmp(&a.enough).then(first).then_with(|| a.stock.id.cmp(&b.stock.id))
}

/// Why a stock wheel cannot be used, in words; empty where it can.
fn reasons(units: LengthUnit, asked: &Asked, stock: &StockWheel) -> Vec<String> {
    faults(asked, stock).map(|fault| fault.words(units)).collect()
}

/// What may be asked of a stock wheel that only just cannot be used: `Would an outside diameter of 609.6 mm do instead of 610 mm?`
fn near_miss(units: LengthUnit, asked: &Asked, stock: &StockWheel) -> Option<String> {
    let show = |mm: f64| length(mm, units);
    let near = |fault: Fault| {
        let (what, has, wanted) = match fault {
            Fault::Short { what, has, least } => (what, has, least),
            Fault::Bore { has, most } => ("bore", has, most),
            _ => return None,
        };
        let off = (has - wanted).abs();
        let is_near = off <= NEAR_MISS && off <= NEAR_MISS_SHARE * wanted;
        is_near.then(|| format!("{what} of {} instead of {}", show(has), show(wanted)))
    };
    let all: Option<Vec<String>> = faults(asked, stock).map(near).collect();
    all.map(|all| format!("Would {} do?", all.join(" and ")))
}

/// One reason why a stock wheel cannot be used; lengths mm, speeds m/s.
enum Fault<'a> {
    Short { what: &'static str, has: f64, least: f64 },
    Bore { has: f64, most: f64 },
    Mark { has: Option<&'a str>, asked: &'a str },
    NoSpeed,
    Speed { marked: f64, need: f64, by: &'static str },
    Expired { on: Date, ordered: Date },
    NoneLeft,
}

impl Fault<'_> {
    fn words(&self, units: LengthUnit) -> String {
        let show = |mm: f64| length(mm, units);
        match *self {
            Fault::Short { what, has, least } => {
                format!("{what} {} is {} short of {}", show(has), show(least - has), show(least))
            }
            Fault::Bore { has, most } => format!("bore {} is {} over {}", show(has), show(has - most), show(most)),
            Fault::Mark { has: Some(has), asked } => format!("marked {has}, asked {asked}"),
            Fault::Mark { has: None, asked } => format!("no specification mark in the list, asked {asked}"),
            Fault::NoSpeed => "no maximum operating speed in the list; none may be assumed".to_owned(),
            Fault::Speed { marked, need, by } => format!("marked {}, {} {by}", speed(marked), speed(need)),
            Fault::Expired { on, ordered } => format!("expired on {on}, before the order of {ordered}"),
            Fault::NoneLeft => "none left".to_owned(),
        }
    }
}

/// Whether a stock wheel can be used.
pub(super) fn suits(asked: &Asked, stock: &StockWheel) -> bool {
    faults(asked, stock).next().is_none()
}

/// Everything against a stock wheel, what is quickly seen first.
fn faults<'a>(asked: &'a Asked, stock: &'a StockWheel) -> impl Iterator<Item = Fault<'a>> {
    let size = &stock.size;
    let sizes = [
        ("outside diameter", size.outside_diameter, asked.least_outside_diameter),
        ("thickness", size.thickness, asked.least_thickness),
    ];
    let short = sizes.into_iter().filter(|(_, has, least)| *has < least - SAME_LENGTH);
    let bore = size.bore > asked.greatest_bore + SAME_LENGTH;
    short
        .map(|(what, has, least)| Fault::Short { what, has, least })
        .chain(bore.then_some(Fault::Bore { has: size.bore, most: asked.greatest_bore }))
        .chain(std::iter::once_with(|| mark_fault(asked, stock)).flatten())
        .chain(speed_faults(asked, stock))
        .chain(expiry_fault(asked, stock))
        .chain((stock.count == Some(0)).then_some(Fault::NoneLeft))
}

fn expiry_fault<'a>(asked: &Asked, stock: &StockWheel) -> Option<Fault<'a>> {
    let (on, ordered) = (stock.expires?, asked.date?);
    (on < ordered).then_some(Fault::Expired { on, ordered })
}

fn mark_fault<'a>(asked: &'a Asked, stock: &'a StockWheel) -> Option<Fault<'a>> {
    let want = asked.marking.as_deref()?;
    let has = stock.marking.as_deref();
    (!has.is_some_and(|has| same_mark(has, want))).then_some(Fault::Mark { has, asked: want })
}

fn speed_faults<'a>(asked: &Asked, stock: &StockWheel) -> impl Iterator<Item = Fault<'a>> {
    let needs =
        [(asked.max_operating_speed, "asked by the order"), (asked.running_speed, "run on the order's machine")];
    let marked = stock.max_operating_speed;
    let below = move |(need, by): (Option<f64>, &'static str)| {
        let marked = marked?;
        let need = need.filter(|n| *n > marked * (1.0 + f64::EPSILON))?;
        Some(Fault::Speed { marked, need, by })
    };
    marked.is_none().then_some(Fault::NoSpeed).into_iter().chain(needs.into_iter().filter_map(below))
}

/// Whether two specification marks say the same; blanks, hyphens and capitals are a matter of writing.
pub fn same_mark(a: &str, b: &str) -> bool {
    let plain = |s: &str| -> String {
        s.chars().filter(|c| c.is_alphanumeric() || *c == '.' || *c == '/').flat_map(char::to_uppercase).collect()
    };
    plain(a) == plain(b)
}

fn candidate(finishing: &Finishing, asked: &Asked, stock: &StockWheel) -> Candidate {
    let removed = finishing.from(stock.size);
    let removed_volume: f64 = removed.iter().map(|r| r.volume).sum();
    let enough = stock.count.is_none_or(|n| n >= asked.quantity);
    let mut remarks = Vec::new();
    if let (Some(n), false) = (stock.count, enough) {
        remarks.push(format!("only {n} of {} there", asked.quantity));
    }
    if asked.marking.is_none() {
        remarks.push("the order asks no specification mark".to_owned());
    }
    if asked.max_operating_speed.is_none() && asked.running_speed.is_none() {
        remarks.push("the order asks no speed".to_owned());
    }
    if stock.marking.is_none() && asked.marking.is_none() {
        remarks.push("no specification mark in the list".to_owned());
    }
    Candidate {
        removed_share: removed_volume / stock.size.volume(),
        // mm³ · kg/m³
        removed_mass: stock.density.map(|d| removed_volume * d * KG_PER_MM3),
        cost_of_order: stock.cost.map(|c| c * asked.quantity),
        removed,
        removed_volume,
        enough,
        remarks,
        stock: stock.clone(),
    }
}
