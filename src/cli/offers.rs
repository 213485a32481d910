//! What the shop's stock and rates say of many orders: which blank each gets, what it costs, when it can be there.

use super::stock::{named_stock, stock_list};
use super::packing::Bench;
use super::quote::read_rates;
use super::{Desk, Failure, reserve};
use crate::dossier::Dossier;
use crate::money::Money;
use crate::quote::{self, Quotation, QuotedBlank, Rates};
use crate::shop::removal::removed;
use crate::shop::stock::{Best, Plan, StockWheel, assign};
use crate::wheel::Job;
use rayon::prelude::*;
use serde::Serialize;

/// What is planned for one order; empty where nothing is known.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Offer {
    /// `2 × S-101`; what none is left for is told.
    pub blanks: String,
    /// Price of one wheel.
    pub each: String,
    /// Price of all.
    pub total: String,
    /// In which currency.
    pub currency: String,
    /// Working days to delivery.
    pub days: Option<u32>,
}

/// An offer for each order, in their order; all empty without stock and rates.
///
/// # Errors
/// Where the stock list or the rates cannot be read, or too many wheels are ordered.
pub fn offers(jobs: &[&Job], stock: Option<&std::path::PathBuf>, rates: Option<&std::path::PathBuf>, bench: &Bench, desk: &Desk) -> Result<Vec<Offer>, Failure> {
    let stock = named_stock(stock, desk)?.map(|file| stock_list(&file, desk)).transpose()?;
    let rates = read_rates(rates, &bench.traveller, desk)?;
    let list = stock.map(|list| reserve::left(list, jobs, desk)).transpose()?.map(|list| list.wheels);
    let plan = list.as_ref().map(|wheels| assign(jobs, wheels, Best::Cost)).transpose();
    let plan = plan.map_err(|e| Failure::new(e.to_string(), "pack fewer orders at a time, or name no stock"))?;
    let planned = list.as_deref().zip(plan.as_ref());
    let one = |(i, job): (usize, &&Job)| {
        let blanks = planned.map_or_else(String::new, |(wheels, plan)| blanks_of(i, wheels, plan));
        let priced = rates.as_ref().and_then(|rates| priced(i, job, planned, rates, bench));
        Offer { blanks, ..priced.unwrap_or_default() }
    };
    Ok(jobs.par_iter().enumerate().map(one).collect())
}

fn blanks_of(order: usize, wheels: &[StockWheel], plan: &Plan) -> String {
    let shares = plan.shares.iter().filter(|s| s.order == order);
    let mut parts: Vec<String> = shares.map(|s| format!("{} × {}", s.wheels, wheels[s.stock].id)).collect();
    parts.extend(plan.unserved.iter().filter(|u| u.order == order).map(|u| format!("{} × none left", u.wheels)));
    parts.join(", ")
}

/// The price for the ordered quantity; `None` where none can be named.
fn priced(order: usize, job: &Job, planned: Option<(&[StockWheel], &Plan)>, rates: &Rates, bench: &Bench) -> Option<Offer> {
    let dossier = Dossier::of(job.clone(), &bench.rules).ok()?;
    let served = planned.and_then(|(wheels, plan)| mean_blank(order, job, wheels, plan));
    let blank = match served {
        Some(blank) => Some(blank),
        None => quote::blank_of_order(job, None).ok()?,
    };
    let made: Quotation = quote::quote(&dossier, &bench.traveller, rates, blank, None).ok()?;
    let price = made.prices.iter().find(|p| p.quantity == made.quantity)?;
    let without = if made.has_blank() { "" } else { " without the blank" };
    Some(Offer {
        blanks: String::new(),
        each: price.each.printed(),
        total: price.total.printed(),
        currency: format!("{}{without}", rates.currency),
        days: Some(price.days),
    })
}

/// The blank to reckon with where an order takes them from several rows: the mean of what they cost and of what is cut away, the size of the first.
fn mean_blank(order: usize, job: &Job, wheels: &[StockWheel], plan: &Plan) -> Option<QuotedBlank> {
    let shares: Vec<_> = plan.shares.iter().filter(|s| s.order == order).map(|s| (&wheels[s.stock], s.wheels)).collect();
    let (first, _) = shares.first()?;
    let served: u32 = shares.iter().map(|(_, n)| n).sum();
    let cut_away = |wheel: &StockWheel| Some(removed(&job.wheel, wheel.size).ok()?.iter().map(|r| r.volume).sum::<f64>());
    let all = shares.iter().map(|(wheel, n)| Some(cut_away(wheel)? * f64::from(*n))).sum::<Option<f64>>()?;
    let cost = shares.iter().map(|(wheel, n)| Some(wheel.cost? * *n)).sum::<Option<Money>>();
    let blank = quote::blank_of_row(first, all / f64::from(served));
    Some(QuotedBlank { cost: cost.map(|sum| sum.over(served)), there: Some(served), ..blank })
}
