//! Random orders and the named corner cases, each laid out and checked. What no arrangement keeps apart is told with the drawing.

use super::{cases, draw};
use crate::support::random_orders;
use rayon::prelude::*;
use wheeldraft::sheet::{Approval, SheetError};

const ORDERS: u64 = 12;
/// First seed; any other would do as well.
const FIRST: u64 = 52_000;

/// Whether a drawing was made; one whose faults are not those the check finds is an error.
fn made(name: &str, result: Result<Approval, SheetError>) -> bool {
    match result {
        Ok(made) => {
            assert_eq!(made.faults, made.check(&made.drawings), "{name}: faults are told");
            true
        }
        Err(SheetError::NoRoom(reasons)) => {
            assert!(!reasons.is_empty(), "{name}: why not is told");
            false
        }
        Err(e) => panic!("{name}: {e}"),
    }
}

#[test]
fn random_orders_get_a_drawing_and_its_faults_are_told() {
    let seeds = (FIRST..FIRST + ORDERS).into_par_iter();
    let count = seeds.filter(|seed| made(&format!("seed {seed}"), draw(&random_orders::order(*seed)))).count() as u64;
    assert!(4 * count >= 3 * ORDERS, "only {count} of {ORDERS} were drawn");
}

#[test]
fn corner_cases_get_a_drawing_and_its_faults_are_told() {
    let all = cases();
    let total = all.len();
    let count = all.into_par_iter().filter(|(name, order)| made(name, draw(order))).count();
    assert!(4 * count >= 3 * total, "only {count} of {total} were drawn");
}

#[test]
fn the_same_order_gives_the_same_sheets() {
    for order in [random_orders::order(FIRST), super::case("thin-wheel")] {
        assert_eq!(draw(&order).map(|d| d.drawings).ok(), draw(&order).map(|d| d.drawings).ok());
    }
}
