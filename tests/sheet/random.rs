//! A thousand random orders and the named corner cases, each laid out and checked.

use super::{cases, draw};
use crate::support::random_orders;
use rayon::prelude::*;
use wheeldraft::sheet::SheetError;

const ORDERS: u64 = 1000;
/// First seed; any other would do as well.
const FIRST: u64 = 52_000;

fn said(name: &str, result: Result<wheeldraft::sheet::Approval, SheetError>) -> Option<String> {
    match result {
        Err(SheetError::NoRoom(reasons)) => {
            let told: Vec<&String> = reasons.iter().filter(|r| !r.contains("larger than")).take(6).collect();
            Some(format!("{name}: {told:#?}"))
        }
        Err(e) => Some(format!("{name}: {e}")),
        Ok(made) => {
            let violations = made.check(&made.drawings);
            (!violations.is_empty()).then(|| format!("{name}: {violations:?}"))
        }
    }
}

fn none(faults: &[String]) {
    let shown = faults.iter().take(12).cloned().collect::<Vec<_>>().join("\n");
    assert!(faults.is_empty(), "{} orders without a clean drawing:\n{shown}", faults.len());
}

#[test]
fn a_thousand_random_orders_have_clean_sheets() {
    let faults: Vec<String> = (FIRST..FIRST + ORDERS)
        .into_par_iter()
        .filter_map(|seed| said(&format!("seed {seed}"), draw(&random_orders::order(seed))))
        .collect();
    none(&faults);
}

#[test]
fn every_corner_case_has_clean_sheets() {
    let faults: Vec<String> = cases().into_par_iter().filter_map(|(name, order)| said(&name, draw(&order))).collect();
    none(&faults);
}

#[test]
fn the_same_order_gives_the_same_sheets() {
    for seed in FIRST..FIRST + 5 {
        let order = random_orders::order(seed);
        assert_eq!(draw(&order).unwrap().drawings, draw(&order).unwrap().drawings, "seed {seed}");
    }
}
