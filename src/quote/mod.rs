//! The price of an order: time of each operation from the geometry, the blank, what the shop puts on top; the customer's sheet and the shop's own.
//!
//! The operations are those of the traveller, so that what is charged is what is done. Money is decimal and rounded once, where the price for one
//! wheel is named.

mod paper;
mod price;
mod rates;
mod time;
mod told;

pub use paper::{customer, inner};
pub use price::{Price, QuotedBlank};
pub use rates::{BUILT_IN, Delivery, Rate, Rates, Work};
pub use time::Line;
pub use told::told;

use crate::dossier::Dossier;
use crate::money::Money;
use crate::quantity::{Date, KG_PER_MM3};
use crate::section::SectionError;
use crate::shop::removal::{BlankSize, removed};
use crate::shop::stock::{Candidate, StockWheel};
use crate::shop::traveller::{Inputs, Template, steps};
use crate::wheel::Job;
use time::{Basis, lines};

/// A priced order.
#[derive(Debug, Clone, PartialEq)]
pub struct Quotation<'a> {
    /// The order.
    pub dossier: &'a Dossier<'a>,
    /// The rates.
    pub rates: &'a Rates,
    /// The day it is made; `None` where neither order nor person says.
    pub date: Option<Date>,
    /// The time of each operation.
    pub lines: Vec<Line>,
    /// The blank it reckons with; `None` where neither order nor stock has one.
    pub blank: Option<QuotedBlank>,
    /// Prices by quantity, rising; empty where the time of an operation is not known.
    pub prices: Vec<Price>,
    /// How many are ordered.
    pub quantity: u32,
}

impl Quotation<'_> {
    /// The last day it is valid.
    pub fn valid_until(&self) -> Option<Date> {
        self.date?.after(self.rates.valid_days)
    }

    /// Whether the price holds the blank.
    pub fn has_blank(&self) -> bool {
        self.blank.as_ref().is_some_and(|b| b.cost.is_some())
    }
}

/// Prices an order.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn quote<'a>(
    dossier: &'a Dossier,
    traveller: &Template,
    rates: &'a Rates,
    blank: Option<QuotedBlank>,
    date: Option<Date>,
) -> Result<Quotation<'a>, SectionError> {
    let job = &dossier.job;
    let made_of = Dossier { job: made_of(job, blank.as_ref()), ..dossier.clone() };
    let steps = steps(&Inputs { dossier: &made_of, template: traveller, files: &[], no_files: "" })?;
    let basis = Basis {
        job,
        section: &dossier.section,
        test_minutes: dossier.shop.limits().speed_test_minutes,
        knows_blank: blank.is_some(),
    };
    let lines = lines(basis, rates, &steps);
    let quantity = job.head.quantity.unwrap_or(1);
    let mut quantities = rates.quantity_steps.clone();
    quantities.push(quantity);
    quantities.sort_unstable();
    quantities.dedup();
    let prices = quantities.iter().filter_map(|&n| price::price(n, &lines, blank.as_ref(), rates)).collect();
    Ok(Quotation { dossier, rates, date: date.or(date_of(job)), lines, blank, prices, quantity })
}

/// The order as it is made of the blank that is reckoned with.
fn made_of(job: &Job, blank: Option<&QuotedBlank>) -> Job {
    let mut job = job.clone();
    if let Some(BlankSize { outside_diameter, thickness, bore }) = blank.map(|b| b.size) {
        let named = job.blank.get_or_insert_default();
        (named.outside_diameter, named.thickness, named.bore) = (Some(outside_diameter), Some(thickness), Some(bore));
    }
    job
}

fn date_of(job: &Job) -> Option<Date> {
    job.head.date.as_ref()?.parse().ok()
}

/// The blank an order names by its size, at this cost.
///
/// # Errors
/// As [`quote`].
pub fn blank_of_order(job: &Job, cost: Option<Money>) -> Result<Option<QuotedBlank>, SectionError> {
    let named = job.blank.as_ref().and_then(|b| Some((b.outside_diameter?, b.thickness?, b.bore?)));
    let Some((outside_diameter, thickness, bore)) = named else { return Ok(None) };
    let size = BlankSize { outside_diameter, thickness, bore };
    let volume: f64 = removed(&job.wheel, size)?.iter().map(|r| r.volume).sum();
    let scrap_kg = job.density().map(|d| volume * d * KG_PER_MM3);
    Ok(Some(QuotedBlank { stock: None, size, cost, removed: volume, scrap_kg, there: None }))
}

/// A blank of the stock list.
pub fn blank_of_stock(candidate: &Candidate) -> QuotedBlank {
    blank_of_row(&candidate.stock, candidate.removed_volume)
}

/// A stock wheel of which so much is cut away, mm³.
pub fn blank_of_row(wheel: &StockWheel, removed: f64) -> QuotedBlank {
    QuotedBlank {
        stock: Some(wheel.id.clone()),
        size: wheel.size,
        cost: wheel.cost,
        removed,
        scrap_kg: wheel.density.map(|d| removed * d * KG_PER_MM3),
        there: wheel.count,
    }
}

