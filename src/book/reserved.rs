//! Blanks of the stock that are kept for orders.

use super::{Entry, Kind};
use crate::shop::stock::StockList;

/// So many blanks of one sort, kept for one order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept<'a> {
    /// Number and revision of the order.
    pub order: &'a str,
    /// The stock number.
    pub stock: &'a str,
    /// How many.
    pub blanks: u32,
}

impl Kept<'_> {
    /// Takes what is kept out of a stock list; how many there were, for each row that counts. One that does not count has enough.
    pub fn out_of(&self, list: &mut StockList) -> Vec<u32> {
        let counts = list.wheels.iter_mut().filter(|wheel| wheel.id == self.stock).filter_map(|wheel| wheel.count.as_mut());
        let taken = counts.map(|count| {
            let before = *count;
            *count = count.saturating_sub(self.blanks);
            before
        });
        taken.collect()
    }
}

/// What is kept now: until the order's blanks are released or taken from the rack, or its wheels leave the shop.
pub fn kept(entries: &[Entry]) -> Vec<Kept<'_>> {
    let mut kept: Vec<Kept> = Vec::new();
    for event in entries.iter().map(|e| &e.event) {
        match (event.event, &event.stock) {
            (Kind::Reserved, Some(stock)) => {
                kept.push(Kept { order: &event.order, stock, blanks: event.blanks.unwrap_or(1) });
            }
            (Kind::Released | Kind::StockTaken | Kind::Shipped, _) => kept.retain(|k| k.order != event.order),
            _ => {}
        }
    }
    kept
}
