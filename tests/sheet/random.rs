//! Random orders and the named corner cases, each laid out and checked: every one is drawn, and no sheet has a violation.

use super::{cases, draw};
use crate::support::{random_orders, shop_orders};
use rayon::prelude::*;
use serde_json::Value;

/// Random orders of any numbers, and of sizes as a shop writes them.
const ORDERS: u64 = 400;
const SHOP_ORDERS: u64 = 600;
/// First seed; any other would do as well.
const FIRST: u64 = 52_000;
/// How many orders in a shop's sizes are drawn where that is asked for by name, in place of `SHOP_ORDERS`.
const MORE: &str = "SHOP_ORDERS";

/// What is wrong with the drawing of an order; `None` where it is made and without violation.
fn fault(name: &str, order: &Value) -> Option<String> {
    let made = match draw(order) {
        Ok(made) => made,
        Err(e) => return Some(format!("{name}: {e}")),
    };
    let found = made.check(&made.drawings);
    (!found.is_empty())
        .then(|| format!("{name}: {}", found.iter().map(|v| v.to_string()).collect::<Vec<_>>().join("; ")))
}

#[test]
fn random_orders_are_drawn_without_violation() {
    let seeds = (FIRST..FIRST + ORDERS).into_par_iter();
    let faults: Vec<String> =
        seeds.filter_map(|seed| fault(&format!("seed {seed}"), &random_orders::order(seed))).collect();
    assert!(faults.is_empty(), "{} of {ORDERS}:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn orders_in_the_sizes_a_shop_writes_are_drawn_without_violation() {
    let many = std::env::var(MORE).ok().and_then(|n| n.parse().ok()).unwrap_or(SHOP_ORDERS);
    let seeds = (FIRST..FIRST + many).into_par_iter();
    let faults: Vec<String> =
        seeds.filter_map(|seed| fault(&format!("seed {seed}"), &shop_orders::order(seed))).collect();
    assert!(faults.is_empty(), "{} of {many}:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn every_corner_case_is_drawn_without_violation() {
    let all = cases();
    assert!(all.len() >= 18, "cases are missing");
    let faults: Vec<String> = all.par_iter().filter_map(|(name, order)| fault(name, order)).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_same_order_gives_the_same_sheets() {
    for order in [random_orders::order(FIRST), super::case("thin-wheel")] {
        assert_eq!(draw(&order).map(|d| d.drawings).ok(), draw(&order).map(|d| d.drawings).ok());
    }
}
