//! Blanks of the stock that are kept for orders.

use super::{Entry, Kind};

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
