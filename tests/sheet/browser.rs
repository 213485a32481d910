//! Sixty sheets for the browser test: named corner cases, then random orders, written below the build folder.
//!
//! `tests/browser/run.sh` runs this test; `sheets.mjs` then looks at the sheets in a browser, pixel by pixel.

use super::{cases, draw};
use crate::support::random_orders;
use rayon::prelude::*;
use serde_json::{Value, json};
use std::path::Path;
use wheeldraft::export::svg;

const SHEETS: usize = 60;
/// First seed of the random orders, and how many are drawn; what the corner cases leave of the sixty is taken from them in turn.
const FIRST: u64 = 61_000;
const ORDERS: u64 = 50;

/// The SVG of each sheet of an order; nothing where it has none.
fn sheets((name, order): (String, Value)) -> Vec<(String, String)> {
    let Ok(made) = draw(&order) else { return Vec::new() };
    let written = |(i, d)| (format!("{name}-{}", i + 1), svg::svg(d).expect("an SVG"));
    made.drawings.iter().enumerate().map(written).collect()
}

#[test]
fn writes_sixty_sheets_for_the_browser() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("browser/sheets");
    // sheets of an earlier run would be looked at as well
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let mut orders = cases();
    orders.extend((FIRST..FIRST + ORDERS).map(|seed| (format!("seed-{seed}"), random_orders::order(seed))));
    let mut all: Vec<_> = orders.into_par_iter().flat_map(sheets).collect();
    all.truncate(SHEETS);
    assert_eq!(all.len(), SHEETS);
    let list: Vec<Value> = all.iter().map(|(name, _)| json!({"name": name})).collect();
    for (name, text) in &all {
        std::fs::write(folder.join(format!("{name}.svg")), text).unwrap();
    }
    std::fs::write(folder.join("list.json"), json!(list).to_string()).unwrap();
}
