//! Random orders and the named corner cases, each laid out and checked: every one is drawn, and no sheet has a violation.

use super::{cases, draw};
use crate::support::{random_orders, shop_orders};
use rayon::prelude::*;
use serde_json::Value;
use wheeldraft::size::{Size, Subject};

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

/// How the sheets of an order came out.
struct Made {
    named: bool,
    sheets: usize,
    usual: bool,
    plain: bool,
}

impl Made {
    fn of(seed: u64) -> Made {
        let order = shop_orders::order(seed);
        let made = draw(&order).unwrap();
        let first = &made.drawings[0];
        let drawn =
            made.views.iter().flat_map(|v| &v.drawn).find(|d| d.subject == Subject::Size(Size::OutsideDiameter));
        Made {
            named: order["drawing"]["sheet"].is_string(),
            sheets: made.drawings.len(),
            usual: [420.0, 431.8].contains(&first.width),
            // the value stands in the table
            plain: drawn.is_none_or(|d| !d.printed.contains(|c: char| c.is_ascii_digit())),
        }
    }
}

#[test]
fn where_no_sheet_is_named_two_sheets_are_the_most() {
    let all: Vec<Made> = (FIRST..FIRST + SHOP_ORDERS).into_par_iter().map(Made::of).collect();
    let count = |what: &dyn Fn(&Made) -> bool| all.iter().filter(|m| what(m)).count();
    let by_sheets = |usual: bool| -> Vec<usize> {
        (1..7).map(|n| count(&|m| !m.named && m.usual == usual && m.sheets == n)).collect()
    };
    let (usual, larger, plain) = (by_sheets(true), by_sheets(false), count(&|m| m.plain));
    assert!(usual[0] + usual[1] > 0 && usual[2..].iter().sum::<usize>() == 0, "A3 or B {usual:?}, larger {larger:?}");
    assert!(larger[2..].iter().sum::<usize>() == 0, "A3 or B {usual:?}, larger {larger:?}");
    assert!(plain * 50 < SHOP_ORDERS as usize, "{plain} in the plain layout");
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
