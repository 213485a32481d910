//! Many orders at once: which blank goes to which order, so that what the shop has serves best.
//!
//! Every wheel ordered and every blank in stock is one of its kind in an assignment problem, solved exactly by the algorithm of Kuhn and Munkres
//! in whole numbers (hundredths of the currency, of a cm³).

use super::choice::{Asked, suits};
use super::list::StockWheel;
use crate::money::Money;
use crate::section::SectionError;
use crate::shop::removal::Finishing;
use crate::wheel::Job;
use pathfinding::kuhn_munkres::{Weights, kuhn_munkres};
use serde::Serialize;
use std::collections::BTreeMap;

/// What is best: always the most wheels that can be made, and of these ways the one with
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Best {
    /// the least cost of all blanks,
    #[default]
    Cost,
    /// the least volume cut away,
    Scrap,
    /// or, instead, the most orders that are served whole and none in part, and of these orders the least cost.
    Orders,
}

/// Blanks of one sort for one order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Share {
    /// Which order, from 0.
    pub order: usize,
    /// Which row of the stock list, from 0.
    pub stock: usize,
    /// How many.
    pub wheels: u32,
}

/// Wheels for which there is no blank.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Unserved {
    /// Which order, from 0.
    pub order: usize,
    /// How many.
    pub wheels: u32,
    /// Whether any row of the list, full or empty, suits the order.
    pub any_suits: bool,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What each order asks.
    pub asked: Vec<Asked>,
    /// Blanks that serve, by order, then by row.
    pub shares: Vec<Share>,
    /// What no blank is left for, by order.
    pub unserved: Vec<Unserved>,
    /// All that is cut away of the blanks that serve, mm³.
    pub removed_volume: f64,
    /// What the blanks that serve cost, of those whose cost is known.
    pub cost: Money,
    /// Blanks that serve and whose cost the list does not say.
    pub without_cost: u32,
    /// Whether it is certain that no other way serves more orders whole; always so for the other goals.
    pub is_proven: bool,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AssignError {
    /// A wheel has no section, which `wheel::resolve` refuses beforehand.
    #[error("a wheel has no section: {0}")]
    Section(#[from] SectionError),
    /// More wheels than can be weighed against each other.
    #[error("{0} wheels are ordered in all; at most {MOST_WHEELS} can be weighed against each other")]
    TooMany(u64),
}

/// Most wheels of all orders together.
pub const MOST_WHEELS: u64 = 5_000;

/// Volumes are compared in hundredths of a cm³; mm³ in one of them. Together with [`MOST_WHEELS`] and the digits of [`Money`] every sum then fits 63 bits.
const SCRAP_UNIT: f64 = 10.0;

/// How many sets of orders are tried before the best one found is taken.
const MOST_TRIES: usize = 200;

/// The best use of the stock for the orders.
///
/// # Errors
/// Where a wheel has no section, or too many are ordered.
pub fn assign(jobs: &[&Job], stock: &[StockWheel], best: Best) -> Result<Plan, AssignError> {
    let asked: Vec<Asked> = jobs.iter().map(|job| Asked::of(job)).collect();
    let ordered = asked.iter().map(|a| u64::from(a.quantity)).sum();
    if ordered > MOST_WHEELS {
        return Err(AssignError::TooMany(ordered));
    }
    let finishing = jobs.iter().map(|job| Finishing::of(&job.wheel)).collect::<Result<Vec<_>, _>>()?;
    let market = Market::of(&asked, &finishing, stock, best);
    let everyone: Vec<usize> = (0..jobs.len()).collect();
    let (shares, is_proven) = match best {
        Best::Cost | Best::Scrap => (market.solve(&everyone), true),
        Best::Orders => whole_orders(&market, everyone),
    };
    let given = |order| shares.iter().filter(|s| s.order == order).map(|s| s.wheels).sum::<u32>();
    let unserved = asked.iter().enumerate().map(|(order, a)| Unserved {
        order,
        wheels: a.quantity - given(order),
        any_suits: !market.offers[order].is_empty(),
    });
    let priced = |s: &Share| stock[s.stock].cost.map(|c| c * s.wheels);
    Ok(Plan {
        unserved: unserved.filter(|u| u.wheels > 0).collect(),
        removed_volume: shares
            .iter()
            .map(|s| finishing[s.order].volume_from(stock[s.stock].size) * f64::from(s.wheels))
            .sum(),
        cost: shares.iter().filter_map(priced).sum(),
        without_cost: shares.iter().filter(|s| priced(s).is_none()).map(|s| s.wheels).sum(),
        asked,
        shares,
        is_proven,
    })
}

/// A stock row that suits an order.
#[derive(Debug, Clone, Copy)]
struct Offer {
    stock: usize,
    /// What one costs, in whole numbers: hundredths of the currency or of a cm³.
    price: i64,
}

/// Who wants what at which price.
struct Market {
    quantities: Vec<u32>,
    /// Suitable rows of each order, cheapest first.
    offers: Vec<Vec<Offer>>,
    /// How many of each row there are.
    counts: Vec<u32>,
    /// More than all wheels together can cost, so that serving one more is always better.
    reward: i64,
}

impl Market {
    fn of(asked: &[Asked], finishing: &[Finishing], stock: &[StockWheel], best: Best) -> Market {
        let dearest = stock.iter().filter_map(|s| s.cost).max().map_or(0, Money::hundredths);
        // an unknown cost is worse than any known one
        let unknown = 2 * dearest + 1;
        let price = |order: usize, stock: &StockWheel| match best {
            Best::Cost | Best::Orders => stock.cost.map_or(unknown, |c| c.hundredths()),
            Best::Scrap => (finishing[order].volume_from(stock.size) / SCRAP_UNIT).round() as i64,
        };
        let of_order = |(order, asked): (usize, &Asked)| {
            let suitable = stock.iter().enumerate().filter(|(_, s)| suits(asked, s));
            let mut offers: Vec<Offer> = suitable.map(|(i, s)| Offer { stock: i, price: price(order, s) }).collect();
            offers.sort_by_key(|o| (o.price, o.stock));
            offers
        };
        let offers: Vec<Vec<Offer>> = asked.iter().enumerate().map(of_order).collect();
        let quantities: Vec<u32> = asked.iter().map(|a| a.quantity).collect();
        let ordered: u32 = quantities.iter().sum();
        let counts = stock.iter().map(|s| s.count.map_or(ordered, |n| n.min(ordered))).collect();
        let dearest = offers.iter().flatten().map(|o| o.price).max().unwrap_or(0);
        Market { quantities, offers, counts, reward: 1 + dearest * i64::from(ordered) }
    }

    /// The best way to serve these orders.
    fn solve(&self, orders: &[usize]) -> Vec<Share> {
        let wheels: Vec<usize> =
            orders.iter().flat_map(|&o| std::iter::repeat_n(o, self.quantities[o] as usize)).collect();
        let mut prices: BTreeMap<usize, Vec<(usize, i64)>> = BTreeMap::new();
        for &order in orders {
            // all others together can use up so many: a dearer row than these is never needed
            let mut room = 0;
            for offer in &self.offers[order] {
                prices.entry(offer.stock).or_default().push((order, offer.price));
                room += self.counts[offer.stock] as usize;
                if room >= wheels.len() {
                    break;
                }
            }
        }
        if wheels.is_empty() || prices.is_empty() {
            return Vec::new();
        }
        let table = Table::of(self, wheels, &prices);
        let (_, chosen) = kuhn_munkres(&table);
        let mut shares: BTreeMap<(usize, usize), u32> = BTreeMap::new();
        for (wheel, blank) in chosen.into_iter().enumerate() {
            if table.at(wheel, blank) > 0 {
                *shares.entry((table.wheels[wheel], table.blanks[blank])).or_default() += 1;
            }
        }
        shares.into_iter().map(|((order, stock), wheels)| Share { order, stock, wheels }).collect()
    }

    fn is_whole(&self, order: usize, shares: &[Share]) -> bool {
        let given: u32 = shares.iter().filter(|s| s.order == order).map(|s| s.wheels).sum();
        given == self.quantities[order]
    }
}

/// What each wheel gains by each blank; blanks beyond the stock stand for no blank at all.
struct Table {
    /// The order of each wheel.
    wheels: Vec<usize>,
    /// The stock row of each blank.
    blanks: Vec<usize>,
    /// By order, then by blank; 0 where it does not suit.
    gains: Vec<Vec<i64>>,
}

impl Table {
    fn of(market: &Market, wheels: Vec<usize>, prices: &BTreeMap<usize, Vec<(usize, i64)>>) -> Table {
        let mut blanks = Vec::new();
        let mut gains = vec![Vec::new(); market.offers.len()];
        for (&stock, offered) in prices {
            let wanted: u32 = offered.iter().map(|(order, _)| market.quantities[*order]).sum();
            let count = market.counts[stock].min(wanted) as usize;
            let from = blanks.len();
            blanks.extend(std::iter::repeat_n(stock, count));
            for (order, price) in offered {
                let row = &mut gains[*order];
                row.resize(from, 0);
                row.extend(std::iter::repeat_n(market.reward - price, count));
            }
        }
        gains.iter_mut().for_each(|row| row.resize(blanks.len(), 0));
        Table { wheels, blanks, gains }
    }
}

impl Weights<i64> for Table {
    fn rows(&self) -> usize {
        self.wheels.len()
    }

    fn columns(&self) -> usize {
        self.blanks.len() + self.wheels.len()
    }

    fn at(&self, row: usize, column: usize) -> i64 {
        self.gains[self.wheels[row]].get(column).copied().unwrap_or(0)
    }

    fn neg(&self) -> Table {
        let gains = self.gains.iter().map(|row| row.iter().map(|g| -g).collect()).collect();
        Table { wheels: self.wheels.clone(), blanks: self.blanks.clone(), gains }
    }
}

/// The largest set of orders that can all be served whole, found by leaving out one order after another and bounded by the wheels that can be made
/// at all; whether it is certain to be the largest.
fn whole_orders(market: &Market, everyone: Vec<usize>) -> (Vec<Share>, bool) {
    let mut best: Vec<usize> = Vec::new();
    let mut of_best: Option<Vec<Share>> = None;
    let solved = |best: &[usize], known: Option<Vec<Share>>| known.unwrap_or_else(|| market.solve(best));
    // sets still to be tried, with the orders in them that are to stay
    let mut open: Vec<(Vec<usize>, Vec<usize>)> = vec![(everyone, Vec::new())];
    let mut tries = 0;
    while let Some((orders, mut fixed)) = open.pop() {
        if orders.len() <= best.len() {
            continue;
        }
        if tries == MOST_TRIES {
            return (solved(&best, of_best), false);
        }
        tries += 1;
        let shares = market.solve(&orders);
        let whole: Vec<usize> = orders.iter().copied().filter(|&o| market.is_whole(o, &shares)).collect();
        if whole.len() > best.len() {
            best.clone_from(&whole);
            of_best = (whole.len() == orders.len()).then(|| shares.clone());
        }
        let made: u32 = shares.iter().map(|s| s.wheels).sum();
        if most_whole(market, &orders, made) <= best.len() {
            continue;
        }
        // not all of them can be served: each set has one left out, the largest of those that came short first
        let mut out: Vec<usize> = without(&orders, &fixed);
        out.sort_by_key(|&o| (whole.contains(&o), std::cmp::Reverse(market.quantities[o]), o));
        let from = open.len();
        for order in out {
            open.push((without(&orders, &[order]), fixed.clone()));
            fixed.push(order);
        }
        open[from..].reverse();
    }
    (solved(&best, of_best), true)
}

fn without(orders: &[usize], out: &[usize]) -> Vec<usize> {
    orders.iter().copied().filter(|o| !out.contains(o)).collect()
}

/// How many of the orders can be whole at most when so many wheels can be made: the smallest ones.
fn most_whole(market: &Market, orders: &[usize], made: u32) -> usize {
    let mut sizes: Vec<u32> = orders.iter().map(|&o| market.quantities[o]).collect();
    sizes.sort_unstable();
    let mut left = made;
    sizes.into_iter().take_while(|&q| left.checked_sub(q).map(|l| left = l).is_some()).count()
}
