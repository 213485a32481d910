//! From times and blank to a price: every step a line, rounded once, where the price for one wheel is named.

use super::rates::Rates;
use super::time::Line;
use crate::money::Money;
use crate::shop::removal::BlankSize;
use serde::Serialize;

/// The blank a quotation reckons with.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QuotedBlank {
    /// The stock wheel's number; null for the blank the order names.
    pub stock: Option<String>,
    /// Its size, mm.
    pub size: BlankSize,
    /// What one costs; null where nothing says it: then the price is without the blank.
    pub cost: Option<Money>,
    /// What is cut away of one, mm³.
    pub removed: f64,
    /// The same, kg; null where no density is known.
    pub scrap_kg: Option<f64>,
    /// How many there are; null where nothing says it.
    pub there: Option<u32>,
}

/// The price for one quantity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Price {
    /// Wheels.
    pub quantity: u32,
    /// What makes it up, by name: work, blanks, scrap, overhead, margin, and what the least price adds. Not rounded.
    pub parts: Vec<(&'static str, Money)>,
    /// For one wheel, rounded.
    pub each: Money,
    /// For all: so many times the price for one.
    pub total: Money,
    /// Hours of work.
    pub hours: f64,
    /// Working days to delivery.
    pub days: u32,
}

/// The price of so many wheels; `None` where the time of an operation is not known.
pub fn price(quantity: u32, lines: &[Line], blank: Option<&QuotedBlank>, rates: &Rates) -> Option<Price> {
    let wheels = f64::from(quantity);
    let work = lines.iter().map(|l| l.cost(quantity, rates.spoiled_share)).sum::<Option<Money>>()?;
    let with_spoiled = wheels * (1.0 + rates.spoiled_share);
    let cost = blank.and_then(|b| b.cost).unwrap_or(Money::ZERO);
    let blanks = cost.times(with_spoiled * (1.0 + rates.markup_share));
    let scrap = rates.disposal_per_kg.times(blank.and_then(|b| b.scrap_kg).unwrap_or(0.0) * wheels);
    let costs = work + blanks + scrap;
    let overhead = costs.times(rates.overhead_share);
    let margin = (costs + overhead).times(rates.margin_share);
    let sum = costs + overhead + margin;
    let raised = rates.least_price.more_than(sum);
    let each = (sum + raised).over(quantity).rounded(rates.round_to);
    let hours: f64 = lines.iter().map(|l| l.hours(quantity)).sum();
    Some(Price {
        quantity,
        parts: vec![
            ("work", work),
            ("blanks", blanks),
            ("scrap", scrap),
            ("overhead", overhead),
            ("margin", margin),
            ("least price", raised),
        ],
        each,
        total: each * quantity,
        hours,
        days: days(quantity, hours, blank, rates),
    })
}

fn days(quantity: u32, hours: f64, blank: Option<&QuotedBlank>, rates: &Rates) -> u32 {
    let delivery = rates.delivery;
    let work = (hours / delivery.hours_per_day).ceil() as u32;
    let in_stock = blank.is_some_and(|b| b.stock.is_some() && b.there.is_none_or(|n| n >= quantity));
    delivery.days + work + if in_stock { 0 } else { delivery.days_to_buy }
}
