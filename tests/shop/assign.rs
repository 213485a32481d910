//! `blanks` for many orders: never worse than any other way, quick, and honest about what stays without a blank.

use super::{case, put, run, wheeldraft};
use serde_json::{Value, json};
use std::path::Path;
use std::time::Instant;
use tempfile::TempDir;
use wheeldraft::shop::stock::{self, Best, Plan, StockWheel, assign, purchases};
use wheeldraft::wheel::Job;

/// A generator of small numbers (xorshift), so that a failing case can be repeated.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
}

fn order(number: u64, diameter: u64, quantity: u64) -> Job {
    crate::support::job(&json!({
        "order": {"number": number.to_string(), "revision": "A", "quantity": quantity}, "units": "mm",
        "wheel": {"outside_diameter": diameter, "thickness": 20, "bore": 127},
        "machine": {"spindle_rpm": 1000},
    }))
}

fn stock_of(rows: &[(u64, u64, u64)]) -> Vec<StockWheel> {
    let mut text = "id,outside_diameter,thickness,bore,count,max_operating_speed,cost\n".to_owned();
    for (i, (diameter, count, cost)) in rows.iter().enumerate() {
        text += &format!("S{i},{diameter} mm,20 mm,127 mm,{count},50 m/s,{cost}.{:02}\n", i % 100);
    }
    stock::read(text.as_bytes()).unwrap().wheels
}

fn plan(jobs: &[Job], stock: &[StockWheel], best: Best) -> Plan {
    assign(&jobs.iter().collect::<Vec<_>>(), stock, best).unwrap()
}

/// Every way to give each wheel a blank or none, tried one by one: most wheels, then least cost in hundredths; and the most whole orders.
fn by_trying(jobs: &[Job], stock: &[StockWheel]) -> ((u32, u64), usize) {
    let wheels: Vec<usize> =
        (0..jobs.len()).flat_map(|i| std::iter::repeat_n(i, jobs[i].head.quantity.unwrap() as usize)).collect();
    let mut left: Vec<u32> = stock.iter().map(|s| s.count.unwrap()).collect();
    let mut best = ((0, 0), 0);
    let mut given = vec![0; jobs.len()];
    try_on(jobs, stock, &wheels, &mut left, &mut given, (0, 0), &mut best);
    best
}

fn try_on(
    jobs: &[Job],
    stock: &[StockWheel],
    wheels: &[usize],
    left: &mut [u32],
    given: &mut [u32],
    so_far: (u32, u64),
    best: &mut ((u32, u64), usize),
) {
    let Some((&order, rest)) = wheels.split_first() else {
        if so_far.0 > best.0.0 || (so_far.0 == best.0.0 && so_far.1 < best.0.1) {
            best.0 = so_far;
        }
        let whole = (0..jobs.len()).filter(|&i| given[i] == jobs[i].head.quantity.unwrap()).count();
        best.1 = best.1.max(whole);
        return;
    };
    try_on(jobs, stock, rest, left, given, so_far, best);
    for i in 0..stock.len() {
        if left[i] == 0 || stock[i].size.outside_diameter < jobs[order].wheel.outside_diameter {
            continue;
        }
        left[i] -= 1;
        given[order] += 1;
        let cost = (100.0 * serde_json::to_value(stock[i].cost).unwrap().as_f64().unwrap()).round() as u64;
        try_on(jobs, stock, rest, left, given, (so_far.0 + 1, so_far.1 + cost), best);
        left[i] += 1;
        given[order] -= 1;
    }
}

#[test]
fn no_other_way_is_better() {
    let mut dice = Dice(20_260_301);
    for round in 0..60 {
        let jobs: Vec<Job> = (0..3).map(|i| order(i, 300 + 10 * dice.below(5), 1 + dice.below(2))).collect();
        let rows: Vec<(u64, u64, u64)> =
            (0..4).map(|_| (300 + 10 * dice.below(6), dice.below(3), 50 + dice.below(60))).collect();
        let stock = stock_of(&rows);
        let ((most, least), whole) = by_trying(&jobs, &stock);
        let got = plan(&jobs, &stock, Best::Cost);
        let made: u32 = got.shares.iter().map(|s| s.wheels).sum();
        let cost = (100.0 * serde_json::to_value(got.cost).unwrap().as_f64().unwrap()).round() as u64;
        assert_eq!((made, cost), (most, least), "round {round}: {rows:?}");
        let got = plan(&jobs, &stock, Best::Orders);
        assert!(got.is_proven);
        assert_eq!(jobs.len() - got.unserved.len(), whole, "round {round}: {rows:?}");
        assert!(got.unserved.iter().all(|u| u.wheels == jobs[u.order].head.quantity.unwrap()), "an order in part");
    }
}

#[test]
fn a_plan_never_uses_more_than_there_is_nor_what_does_not_suit() {
    let mut dice = Dice(7);
    let jobs: Vec<Job> = (0..40).map(|i| order(i, 300 + dice.below(100), 1 + dice.below(4))).collect();
    let rows: Vec<(u64, u64, u64)> =
        (0..50).map(|_| (300 + dice.below(110), dice.below(4), 50 + dice.below(60))).collect();
    let stock = stock_of(&rows);
    for best in [Best::Cost, Best::Scrap, Best::Orders] {
        let got = plan(&jobs, &stock, best);
        for (i, s) in stock.iter().enumerate() {
            let used: u32 = got.shares.iter().filter(|x| x.stock == i).map(|x| x.wheels).sum();
            assert!(used <= s.count.unwrap(), "{} is used {used} times", s.id);
        }
        for share in &got.shares {
            assert!(stock[share.stock].size.outside_diameter >= jobs[share.order].wheel.outside_diameter);
        }
        let made: u32 = got.shares.iter().map(|s| s.wheels).sum();
        let missing: u32 = got.unserved.iter().map(|u| u.wheels).sum();
        assert_eq!(made + missing, jobs.iter().map(|j| j.head.quantity.unwrap()).sum::<u32>());
    }
}

/// A cheap large blank and a dear small one for a small and a large wheel: each order alone would take the cheap one.
#[test]
fn orders_give_way_to_each_other() {
    let jobs = [order(1, 300, 1), order(2, 400, 1)];
    let stock = stock_of(&[(400, 1, 50), (310, 1, 80)]);
    let got = plan(&jobs, &stock, Best::Cost);
    assert!(got.unserved.is_empty());
    assert_eq!(got.shares.iter().map(|s| (s.order, s.stock)).collect::<Vec<_>>(), [(0, 1), (1, 0)]);
}

#[test]
fn scrap_and_cost_are_different_aims() {
    let jobs = [order(1, 300, 1)];
    let stock = stock_of(&[(400, 1, 50), (310, 1, 80)]);
    assert_eq!(plan(&jobs, &stock, Best::Cost).shares[0].stock, 0);
    assert_eq!(plan(&jobs, &stock, Best::Scrap).shares[0].stock, 1);
}

#[test]
fn what_is_missing_is_to_be_bought_alike_orders_together() {
    let jobs = [order(1, 300, 2), order(2, 300, 3), order(3, 400, 1)];
    let got = plan(&jobs, &stock_of(&[(310, 1, 50)]), Best::Cost);
    let buy = purchases(&got);
    assert_eq!(buy.iter().map(|p| p.wheels).collect::<Vec<_>>(), [4, 1]);
    assert_eq!(buy[0].orders, [0, 1]);
    assert_eq!(buy[1].least_outside_diameter, 400.0);
    // π · 0.3 m · 1000 / 60
    assert!((buy[0].least_speed.unwrap() - 15.707_963_267_948_966).abs() < 1e-12);
    assert!(!got.unserved.iter().find(|u| u.order == 2).unwrap().any_suits);
}

/// A release build takes under a second; the bound is for tests, which are built with less care and share the machine.
#[test]
fn two_hundred_orders_against_two_thousand_rows_are_quick() {
    let mut dice = Dice(99);
    let jobs: Vec<Job> = (0..200).map(|i| order(i, 300 + dice.below(200), 1 + dice.below(4))).collect();
    let rows: Vec<(u64, u64, u64)> =
        (0..2000).map(|_| (300 + dice.below(220), dice.below(6), 50 + dice.below(600))).collect();
    let stock = stock_of(&rows);
    let start = Instant::now();
    let got = plan(&jobs, &stock, Best::Cost);
    let took = start.elapsed();
    assert!(got.unserved.is_empty());
    assert!(took.as_secs_f64() < 20.0, "it took {took:?}");
}

fn folder_of_orders() -> (TempDir, Vec<std::path::PathBuf>) {
    let folder = TempDir::new().unwrap();
    let mut files = Vec::new();
    for (number, diameter) in [("21", 400), ("22", 390)] {
        let order = json!({
            "order": {"number": number, "revision": "A", "quantity": 1}, "units": "mm",
            "wheel": {"outside_diameter": diameter, "thickness": 20, "bore": 127},
        });
        files.push(put(folder.path(), &format!("{number}.json"), &order));
    }
    let list =
        "id,outside_diameter,thickness,bore,count,max_operating_speed,cost\nK1,406 mm,25 mm,127 mm,1,50 m/s,99.90\n";
    std::fs::write(folder.path().join("stock.csv"), list).unwrap();
    (folder, files)
}

#[test]
fn the_command_tells_prints_and_writes_the_plan() {
    let (folder, _) = folder_of_orders();
    let at = |name: &str| folder.path().join(name);
    let mut command = wheeldraft();
    command.arg("blanks").arg(folder.path()).arg("--stock").arg(at("stock.csv"));
    command.arg("-o").arg(at("plan.csv")).arg("-o").arg(at("plan.pdf")).arg("-o").arg(at("plan.svg"));
    let ran = run(&mut command);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.out.contains("1 of 2 wheels, 1 of 2 orders whole; cost 99.90"), "{}", ran.out);
    assert!(ran.out.contains("To buy") && ran.out.contains("1 × outside diameter from 390 mm"), "{}", ran.out);
    let csv = std::fs::read_to_string(at("plan.csv")).unwrap();
    assert!(csv.starts_with("# blanks for 2 orders") && csv.contains("# order 21-A · fingerprint"), "{csv}");
    assert_eq!(csv.lines().filter(|l| !l.starts_with('#')).count(), 3);
    assert!(std::fs::read(at("plan.pdf")).unwrap().starts_with(b"%PDF"));
    assert!(std::fs::read_to_string(at("plan.svg")).unwrap().contains("NONE"));
    let answer = run(command.args(["--format", "json"])).json();
    assert_eq!(answer["cost"], json!(99.9));
    assert_eq!(answer["proven"], Value::Bool(true));
    assert_eq!(answer["orders"][0]["blanks"][0]["id"], "K1");
    assert_eq!(answer["buy"][0]["orders"], json!(["22-A"]));
}

#[test]
fn one_order_is_answered_as_before() {
    let stock = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/stock.csv");
    let ran = run(wheeldraft().arg("blanks").arg(case("crankshaft-wheel-grooved.json")).arg("--stock").arg(stock));
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("Can make it, best first"));
}
