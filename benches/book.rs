//! How long the shop's journal and an inspection sheet of 100,000 lines take, each beside a plain reader of the same bytes in the same run:
//! `cargo bench --bench book`. `benches/README.md` tells how to read it.

// what it measures is what it prints
#![allow(clippy::print_stdout)]

use serde_json::Value;
use std::hint::black_box;
use std::time::{Duration, Instant};
use wheeldraft::book::{self, Event, Kind, Moment};
use wheeldraft::dossier::Dossier;
use wheeldraft::export::csv;
use wheeldraft::rules::ShopRules;
use wheeldraft::shop::inspection::{self, COLUMNS, Extent};
use wheeldraft::wheel::Job;

const LINES: u32 = 100_000;
const RUNS: usize = 9;

fn main() {
    println!("| 100,000 lines | median | plain reader | times the plain one | goal |\n| --- | --- | --- | --- | --- |");
    let journal = journal();
    let plain = || journal.split(|b| *b == b'\n').filter_map(|l| serde_json::from_slice::<Value>(l).ok()).count();
    row("journal, every line held to its hash", || book::read(&journal).entries.len(), plain, 300);
    let job = job();
    let shop = ShopRules::built_in();
    let dossier = Dossier::of(job, &shop).unwrap_or_else(|e| panic!("{e}"));
    let sheet = sheet(&dossier.job);
    let judged =
        || inspection::read(&sheet, &dossier.job, &[]).map_or(0, |m| inspection::judge(&dossier, m, None).judged.len());
    let plain = || ::csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(&*sheet).records().count();
    row("inspection sheet, every row judged", judged, plain, 1000);
}

fn row(what: &str, ours: impl Fn() -> usize, plain: impl Fn() -> usize, goal: u32) {
    assert!(ours() >= LINES as usize && plain() >= LINES as usize, "{what}: lines are missing");
    let (ours, plain) = (median(ours), median(plain));
    let ratio = ours.as_secs_f64() / plain.as_secs_f64();
    println!(
        "| {what} | {:.0} ms | {:.0} ms | {ratio:.1} | {goal} ms |",
        ours.as_secs_f64() * 1e3,
        plain.as_secs_f64() * 1e3
    );
}

fn median(of: impl Fn() -> usize) -> Duration {
    let mut times: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            black_box(of());
            start.elapsed()
        })
        .collect();
    times.sort();
    times[RUNS / 2]
}

/// The life of wheels, five to an order.
fn journal() -> Vec<u8> {
    let kinds = [Kind::Cut, Kind::Measured, Kind::Tested, Kind::Balanced, Kind::Labelled, Kind::Shipped];
    let event = |n: u32| {
        let order = format!("{}-B", 1000 + n / 30);
        let moment = Moment::after_1970(1_772_460_309 + u64::from(n)).unwrap_or_else(|| panic!("a moment"));
        Event {
            fingerprint: Some("e2e3a50c".repeat(8)),
            wheel: Some(format!("{order}-{}-e2e3a50c", 1 + n / 6 % 5)),
            lot: Some("L-7734".to_owned()),
            quantity: Some(5),
            passed: Some(true),
            ..Event::new(moment, kinds[n as usize % kinds.len()], "T. Okafor", &order)
        }
    };
    book::lines(&book::tail(b""), &(0..LINES).map(event).collect::<Vec<_>>()).0
}

/// A wheel with so many grooves that width and depth of each are 100,000 rows.
fn job() -> Job {
    let grooves = r#"{"count": 25000, "width": 0.01, "depth": 0.5, "inner_diameter": 600}"#;
    let order = format!(
        r#"{{"order": {{"number": "1", "revision": "A", "date": "2026-03-02"}}, "units": "mm",
        "wheel": {{"outside_diameter": 900, "thickness": 80, "bore": 305, "side_a": {{"grooves": {grooves}}}, "side_b": {{"grooves": {grooves}}}}},
        "tolerances": {{"groove_width": 0.005, "groove_depth": 0.05}}}}"#
    );
    ShopRules::built_in().open(order.as_bytes()).unwrap_or_else(|e| panic!("{e}"))
}

/// The sheet of that wheel, every size as ordered.
fn sheet(job: &Job) -> Vec<u8> {
    let mut rows = inspection::sheet_rows(job, Extent::Whole(25_000), None);
    for row in rows.iter_mut().filter(|row| row[8].is_empty()) {
        row[8] = row[5].clone();
    }
    csv::stated(&[], &COLUMNS, rows).unwrap_or_else(|e| panic!("{e}"))
}
