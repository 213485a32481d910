//! `inspect`: the sheet carries the drawing's numbers and limits; measurements are judged; a certificate needs everything.

use super::{Ran, crankshaft, put, run, wheeldraft};
use assert_cmd::Command;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;
use wheeldraft::shop::inspection::{Extent, items, sampled};
use wheeldraft::wheel::Pattern;

/// An order with tolerances for everything that takes one.
fn order() -> Value {
    let mut order = crankshaft();
    order["order"]["quantity"] = json!(1);
    order["tolerances"] = json!({
        "outside_diameter": "+0/-0.06", "thickness": 0.01, "bore": "+0.005/+0.001", "recess_diameter": 0.02, "recess_depth": 0.01,
        "groove_width": 0.004, "groove_depth": 0.01, "groove_pitch_deg": 0.1, "runout_face": 0.002, "runout_side": 0.003, "parallelism": 0.004
    });
    order
}

/// An approval that waives what is open.
const GIVEN: [&str; 6] = ["--by", "R. Adeyemi", "--date", "2026-03-04", "--open-questions", "settled by telephone"];

/// A folder with the order and its empty sheet.
struct Bench {
    folder: TempDir,
    order: PathBuf,
    rules: Option<PathBuf>,
}

impl Bench {
    fn new(order: &Value) -> Bench {
        Bench::under(order, None)
    }

    /// Under rules of the shop's own.
    fn under(order: &Value, rules: Option<&Value>) -> Bench {
        let folder = TempDir::new().unwrap();
        let order = put(folder.path(), "order.json", order);
        let rules = rules.map(|rules| put(folder.path(), "rules.json", rules));
        let bench = Bench { folder, order, rules };
        // an order that cannot be approved shows what its certificate lacks besides
        run(bench.tool("approve").args(GIVEN));
        bench
    }

    /// A command on the order.
    fn tool(&self, command: &str) -> Command {
        let mut tool = wheeldraft();
        tool.arg(command).arg(&self.order);
        if let Some(rules) = &self.rules {
            tool.arg("--shop-rules").arg(rules);
        }
        tool
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The rows of the empty sheet.
    fn sheet(&self) -> Vec<Vec<String>> {
        let file = self.path("sheet.csv");
        let ran = run(self.tool("inspect").arg("-o").arg(&file));
        assert_eq!(ran.code, 0, "{}", ran.err);
        let mut reader = csv::ReaderBuilder::new().has_headers(false).comment(Some(b'#')).from_path(&file).unwrap();
        reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect()
    }

    /// The sheet filled in as a good wheel would be, then changed by hand.
    fn filled(&self, change: impl FnOnce(&mut Vec<Vec<String>>)) -> PathBuf {
        let mut rows = self.sheet();
        for row in rows.iter_mut().skip(1) {
            let value = match row[0].as_str() {
                "order" | "fingerprint" | "groove_sample" => continue,
                "wheel" => "1042-B-1".to_owned(),
                "inspected_by" | "speed_test_tester" => "T. Okafor".to_owned(),
                "altered_by" => "M. Quist".to_owned(),
                "altered_on" | "speed_test_on" => "2026-03-08".to_owned(),
                "inspected_on" => "2026-03-09".to_owned(),
                "ring_test_before" | "ring_test_after" => "clear".to_owned(),
                "speed_test_rpm" => "1440".to_owned(),
                "speed_test_minutes" => "5".to_owned(),
                "speed_test_result" => "passed".to_owned(),
                "balance_reading" => "12.5".to_owned(),
                _ if !row[6].is_empty() => {
                    let (low, high): (f64, f64) = (row[6].parse().unwrap(), row[7].parse().unwrap());
                    format!("{:.5}", (low + high) / 2.0)
                }
                _ => row[5].clone(),
            };
            row[8] = value;
        }
        change(&mut rows);
        let file = self.path("measured.csv");
        let mut writer = csv::WriterBuilder::new().flexible(true).from_path(&file).unwrap();
        rows.iter().for_each(|r| writer.write_record(r).unwrap());
        writer.flush().unwrap();
        file
    }

    fn judge(&self, measured: &Path) -> Ran {
        run(self.tool("inspect").args(["--format", "json"]).arg(measured))
    }
}

#[track_caller]
fn row<'a>(rows: &'a mut [Vec<String>], item: &str, place: &str) -> &'a mut Vec<String> {
    rows.iter_mut().find(|r| r[0] == item && r[1] == place).unwrap_or_else(|| panic!("no row {item} {place}"))
}

/// Number of a characteristic by its letter.
fn number(rows: &[Vec<String>], letter: &str) -> String {
    rows.iter().find(|r| r[2] == letter).unwrap()[0].clone()
}

#[test]
fn the_sheet_has_every_number_of_the_drawing_with_its_limits() {
    let bench = Bench::new(&order());
    let job = crate::support::job(&order());
    let rows = bench.sheet();
    for r in job.requirements() {
        let found: Vec<_> = rows.iter().filter(|row| row[0] == r.number.to_string()).collect();
        assert!(!found.is_empty(), "{} is not on the sheet", r.size);
        assert!(found.iter().all(|row| row[2] == r.letter), "{}", r.size);
    }
    // 26 in, +0/−0.06: typed by hand
    let d = rows.iter().find(|r| r[2] == "D").unwrap();
    assert_eq!((d[4].as_str(), d[5].as_str(), d[6].as_str(), d[7].as_str()), ("in", "26", "25.94", "26"));
    let h = rows.iter().find(|r| r[2] == "H").unwrap();
    assert_eq!((h[6].as_str(), h[7].as_str()), ("8.001", "8.005"));
    // eight of 180 grooves, evenly spread, and the two extreme pitches
    let widths: Vec<&str> = rows.iter().filter(|r| r[2] == "bA").map(|r| r[1].as_str()).collect();
    assert_eq!(
        widths,
        ["groove 1", "groove 23", "groove 46", "groove 68", "groove 91", "groove 113", "groove 136", "groove 158"]
    );
    let pitches: Vec<&str> = rows.iter().filter(|r| r[2] == "pA").map(|r| r[1].as_str()).collect();
    assert_eq!(pitches, ["largest", "smallest"]);
    assert!(rows.iter().any(|r| r[3] == "Run-out of both sides" && r[1] == "side B" && r[7] == "0.003"));
}

#[test]
fn a_good_wheel_gets_its_certificate() {
    let bench = Bench::new(&order());
    let measured = bench.filled(|_| {});
    let answer = bench.judge(&measured);
    assert_eq!(answer.code, 0, "{}", answer.out);
    assert_eq!(answer.json()["passed"], true);
    // 1.5 × 33 m/s on 660.4 mm: 60000·49.5/(π·660.4) = 1431.5
    assert_eq!(answer.json()["test_rpm"], 1432);
    let certificate = bench.path("certificate.pdf");
    let ran = run(wheeldraft().arg("inspect").arg(&bench.order).arg(&measured).arg("-o").arg(&certificate));
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(fs::read(&certificate).unwrap().starts_with(b"%PDF"));
    let again = fs::read(&certificate).unwrap();
    run(wheeldraft().arg("inspect").arg(&bench.order).arg(&measured).arg("-o").arg(&certificate));
    assert_eq!(fs::read(&certificate).unwrap(), again);
}

#[test]
fn limits_are_met_on_them_and_not_beyond() {
    let bench = Bench::new(&order());
    for (value, verdict) in [
        ("26", "pass"),
        ("25.94", "pass"),
        ("26.0001", "fail"),
        ("25.9399", "fail"),
        ("660.4 mm", "pass"),
        ("660.41 mm", "fail"),
    ] {
        let measured = bench.filled(|rows| row(rows, "1", "")[8] = value.to_owned());
        let ran = bench.judge(&measured);
        let judged = &ran.json()["judged"][0];
        assert_eq!(judged["verdict"], verdict, "{value}");
        assert_eq!(ran.code, i32::from(verdict == "fail"), "{value}");
    }
}

#[test]
fn the_worst_measurement_of_a_characteristic_is_named() {
    let bench = Bench::new(&order());
    let measured = bench.filled(|rows| {
        let width = number(rows, "bA");
        row(rows, &width, "groove 68")[8] = "0.0635".to_owned();
        row(rows, &width, "groove 1")[8] = "0.062".to_owned();
    });
    let ran = run(wheeldraft().arg("inspect").arg(&bench.order).arg(&measured));
    assert_eq!(ran.code, 0, "{}", ran.out);
    // 0.0035 of the allowed 0.004
    let line = ran.out.lines().rfind(|l| l.contains("groove 68")).unwrap();
    assert!(line.contains("88 %"), "{line}");
}

/// A run-out is best at 0: what it uses is its share of the limit, and of two places the larger counts.
#[test]
fn a_run_out_is_held_against_its_limit() {
    let mut wheel = order();
    wheel["tolerances"]["runout_side"] = json!("0.2 mm");
    let bench = Bench::new(&wheel);
    let measured = bench.filled(|rows| {
        let item = rows.iter().find(|r| r[3].contains("Run-out of both sides")).unwrap()[0].clone();
        row(rows, &item, "side A")[8] = "0 mm".to_owned();
        row(rows, &item, "side B")[8] = "0.05 mm".to_owned();
    });
    let ran = run(wheeldraft().arg("inspect").arg(&bench.order).arg(&measured));
    let line = ran.out.lines().rfind(|l| l.contains("Run-out of both sides")).unwrap();
    assert!(line.contains("side B") && line.contains("25 %"), "{line}");
}

#[test]
fn missing_extra_and_unreadable_rows_are_reported_by_line() {
    let bench = Bench::new(&order());
    let mut lines = Vec::new();
    let measured = bench.filled(|rows| {
        let line_of = |rows: &[Vec<String>], letter: &str| rows.iter().position(|r| r[2] == letter).unwrap() + 1;
        for (letter, text) in [("T", ""), ("H", "eight"), ("K", "1,818.02"), ("N", "NaN")] {
            let line = line_of(rows, letter);
            rows[line - 1][8] = text.to_owned();
            lines.push(line as u64);
        }
        let again = rows[line_of(rows, "D") - 1].clone();
        rows.push(again);
        lines.push(rows.len() as u64);
        rows.push(["99", "", "", "", "", "", "", "", "1"].map(str::to_owned).to_vec());
        lines.push(rows.len() as u64);
        let gone = line_of(rows, "R");
        rows.remove(gone - 1);
        // rows behind it move up by one
        for line in lines.iter_mut().filter(|l| **l as usize > gone) {
            *line -= 1;
        }
    });
    let ran = bench.judge(&measured);
    assert_eq!(ran.code, 1);
    let answer = ran.json();
    let mut got: Vec<u64> =
        answer["problems"].as_array().unwrap().iter().map(|p| p["line"].as_u64().unwrap()).collect();
    lines.push(0);
    lines.sort_unstable();
    got.sort_unstable();
    assert_eq!(got, lines, "{}", answer["problems"]);
    let messages = answer["problems"].to_string();
    for words in [
        "is not filled in",
        "`eight` is no number",
        "`1,818.02` can be read in two ways",
        "`NaN` is no number",
        "stands in line",
        "`99` is nothing to measure",
        "is not in the file",
    ] {
        assert!(messages.contains(words), "{words}: {messages}");
    }
}

#[test]
fn without_a_passed_speed_test_there_is_no_certificate() {
    let bench = Bench::new(&order());
    let cases: [(&str, &str, &str); 22] = [
        ("speed_test_result", "failed", "the speed test failed"),
        ("speed_test_result", "", "no speed test is recorded"),
        ("speed_test_rpm", "1431", "1432 1/min are needed"),
        ("speed_test_rpm", "", "at which rotation it ran"),
        ("speed_test_minutes", "", "how long it ran"),
        ("speed_test_tester", "", "who ran it"),
        ("ring_test_before", "dull", "the ring test of the blank was dull"),
        ("ring_test_after", "", "the ring test after altering is not recorded"),
        ("balance_reading", "", "the balance reading is missing"),
        ("inspected_on", "2026-02-31", "when it was measured"),
        ("inspected_on", "2026-03-01", "before the order of 2026-03-02"),
        ("inspected_on", "9999-12-31", "which lies ahead"),
        ("altered_on", "2026-02-20", "it was altered on 2026-02-20, before the order"),
        ("speed_test_on", "2026-03-07", "before it was altered on 2026-03-08"),
        ("speed_test_on", "9999-01-01", "it was speed-tested on 9999-01-01, which lies ahead"),
        ("wheel", "1042-B-2", "names no wheel of this order"),
        ("wheel", "1042-B-1-00000000", "names no wheel of this order"),
        ("wheel", "0", "names no wheel of this order"),
        ("speed_test_minutes", "0.01", "the shop's rules ask for"),
        ("speed_test_minutes", "100000", "is impossible"),
        ("speed_test_rpm", "14400", "is impossible or has overloaded the wheel"),
        ("balance_reading", "5000", "is above the permitted"),
    ];
    for (field, value, why) in cases {
        let measured = bench.filled(|rows| row(rows, field, "")[8] = value.to_owned());
        let certificate = bench.path("certificate.pdf");
        let ran = run(wheeldraft().arg("inspect").arg(&bench.order).arg(&measured).arg("-o").arg(&certificate));
        assert_eq!(ran.code, 1, "{field} {value}");
        assert!(ran.out.contains(why), "{field} {value}: {}", ran.out);
        assert!(!certificate.exists(), "{field} {value}");
    }
    // without a marked speed there is nothing a speed test could be held against
    let mut unknown = order();
    unknown["blank"].as_object_mut().unwrap().remove("max_operating_speed");
    let bench = Bench::new(&unknown);
    let ran = bench.judge(&bench.filled(|_| {}));
    assert_eq!(ran.code, 1);
    assert!(ran.json()["refusals"].to_string().contains("maximum operating speed is not known"));
}

/// What nobody approved, or nobody agreed limits for, gets no certificate however well it was measured.
#[test]
fn a_certificate_needs_the_approval_and_limits_of_the_main_sizes() {
    let refusals = |bench: &Bench| {
        let ran = bench.judge(&bench.filled(|_| {}));
        assert_eq!(ran.code, 1, "{}", ran.out);
        assert_eq!(ran.json()["certificate"], Value::Null);
        ran.json()["refusals"].to_string()
    };
    let bench = Bench::new(&order());
    fs::remove_file(bench.path("order.approval.json")).unwrap();
    assert!(refusals(&bench).contains("the order is not approved"));
    for (size, name) in [
        ("outside_diameter", "Outside diameter"),
        ("thickness", "Thickness"),
        ("bore", "Bore"),
        ("recess_diameter", "Recess step 2 diameter"),
        ("recess_depth", "Recess step 2 depth"),
    ] {
        let mut lacking = order();
        lacking["tolerances"].as_object_mut().unwrap().remove(size);
        let told = refusals(&Bench::new(&lacking));
        assert!(told.contains("no limits are agreed for") && told.contains(name), "{size}: {told}");
    }
}

/// Readings that no wheel can have, though no tolerance stands against them.
#[test]
fn impossible_readings_are_no_measurement() {
    let mut open = order();
    open["tolerances"].as_object_mut().unwrap().remove("groove_width");
    let bench = Bench::new(&open);
    let width = number(&bench.sheet(), "bA");
    for reading in ["-0.06", "0", "600", "1e300"] {
        let ran = bench.judge(&bench.filled(|rows| row(rows, &width, "groove 1")[8] = reading.to_owned()));
        assert_eq!(ran.code, 1, "{reading}");
        assert!(ran.json()["refusals"].to_string().contains("is impossible"), "{reading}: {}", ran.out);
    }
}

/// Who altered the wheel, and the days, may be written on the certificate by hand: a sheet that leaves them open is no refusal.
#[test]
fn what_may_wait_leaves_a_line_on_the_certificate() {
    let bench = Bench::new(&order());
    let open = bench.filled(|rows| {
        row(rows, "altered_by", "")[8].clear();
        row(rows, "altered_on", "")[8].clear();
        rows.retain(|r| r[0] != "speed_test_on");
    });
    let ran = bench.judge(&open);
    assert_eq!(ran.code, 0, "{}", ran.out);
    assert_eq!(ran.json()["record"]["altered_by"], Value::Null);
    let ran = bench.judge(&bench.filled(|_| {}));
    assert_eq!(ran.json()["record"]["altered_on"], "2026-03-08");
}

/// Each wheel of an order has a certificate number of its own: its trace code.
#[test]
fn every_wheel_has_a_certificate_of_its_own() {
    let mut three = order();
    three["order"]["quantity"] = json!(3);
    let bench = Bench::new(&three);
    let print = crate::support::job(&three).fingerprint().short().to_owned();
    for (text, n) in [("2", 2), ("1042-B-3", 3), (format!("1042-B-1-{print}").as_str(), 1)] {
        let ran = bench.judge(&bench.filled(|rows| row(rows, "wheel", "")[8] = text.to_owned()));
        assert_eq!(ran.code, 0, "{text}: {}", ran.out);
        assert_eq!(
            (&ran.json()["wheel"], &ran.json()["certificate"]),
            (&json!(n), &json!(format!("1042-B-{n}-{print}")))
        );
    }
    let ran = bench.judge(&bench.filled(|rows| row(rows, "wheel", "")[8] = "4".to_owned()));
    assert!(ran.json()["refusals"].to_string().contains("its number, 1 to 3"), "{}", ran.out);
}

/// Without density, weight and mark nobody knows the mass, and so not what unbalance is permitted: 5000 g must not pass.
#[test]
fn an_unbalance_whose_limit_is_unknown_never_passes() {
    let mut unknown = order();
    let blank = unknown["blank"].as_object_mut().unwrap();
    for key in ["density", "weight", "marking"] {
        blank.remove(key);
    }
    let bench = Bench::new(&unknown);
    let ran = bench.judge(&bench.filled(|rows| row(rows, "balance_reading", "")[8] = "5000".to_owned()));
    assert_eq!((ran.code, &ran.json()["passed"]), (1, &json!(false)));
    let refusals = ran.json()["refusals"].to_string();
    assert!(refusals.contains("the permitted unbalance is not known: the density is not known"), "{refusals}");
}

#[test]
fn a_rule_switched_off_leaves_the_limit_of_the_certificate_and_its_trace_on_it() {
    let bench = Bench::new(&order());
    let rules = json!({"format": 1, "name": "ours", "limits": {},
        "switched_off": [{"rule": "balance-limit", "why": "we balance by our own table"}]});
    let rules = put(bench.folder.path(), "rules.json", &rules);
    // under other rules than those approved there is no approval
    fs::remove_file(bench.path("order.approval.json")).unwrap();
    let ran = run(wheeldraft().arg("approve").arg("--shop-rules").arg(&rules).arg(&bench.order).args(GIVEN));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let judge = |reading: &str| {
        let measured = bench.filled(|rows| row(rows, "balance_reading", "")[8] = reading.to_owned());
        run(wheeldraft().arg("inspect").arg("--shop-rules").arg(&rules).arg(&bench.order).arg(&measured))
    };
    let ran = judge("5000");
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("unbalance 5000 g at the periphery is above the permitted 55.2 g"), "{}", ran.out);
    let ran = judge("12.5");
    assert_eq!(ran.code, 0, "{}", ran.out);
    assert!(ran.out.contains("switched off by the shop: balance-limit (we balance by our own table)"), "{}", ran.out);
}

#[test]
fn a_sheet_of_another_state_of_the_order_is_refused() {
    let bench = Bench::new(&order());
    let measured = bench.filled(|_| {});
    let mut changed = order();
    changed["wheel"]["side_a"]["recess"][0]["depth"] = json!(0.51);
    put(bench.folder.path(), "order.json", &changed);
    let ran = run(wheeldraft().arg("inspect").arg(&bench.order).arg(&measured));
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("another state of order 1042-B"), "{}", ran.err);
    let nothing = bench.path("nothing.csv");
    fs::write(&nothing, "a,b\n1,2\n").unwrap();
    let ran = run(wheeldraft().arg("inspect").arg(&bench.order).arg(&nothing));
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("the column `item` is missing"), "{}", ran.err);
}

#[test]
fn verdicts_go_to_csv_even_where_a_certificate_is_refused() {
    let bench = Bench::new(&order());
    let measured = bench.filled(|rows| row(rows, "1", "")[8] = "26.5".to_owned());
    let verdicts = bench.path("verdicts.csv");
    let ran = run(wheeldraft().arg("inspect").arg(&bench.order).arg(&measured).arg("-o").arg(&verdicts));
    assert_eq!(ran.code, 1);
    let text = fs::read_to_string(&verdicts).unwrap();
    assert!(text.contains("1,,D,Outside diameter,in,26,25.94,26,26.5,0.5,FAIL"), "{text}");
    assert!(text.contains("no certificate"));
}

#[test]
fn samples_are_spread_over_the_grooves_that_are_cut() {
    let pattern = Pattern { places: 12, start_deg: 0.0, omit: vec![1, 2, 3, 4] };
    assert_eq!(sampled(&pattern, 4), [5, 7, 9, 11]);
    assert_eq!(sampled(&pattern, 100), [5, 6, 7, 8, 9, 10, 11, 12]);
    assert_eq!(sampled(&pattern, 1), [5]);
    // every second groove left out: no two neighbours, no pitch between them to measure
    let mut order = order();
    order["wheel"]["face"]["grooves"] = json!({"count": 6, "omit": [2, 4, 6], "width": 0.06, "depth": 0.125});
    let job = crate::support::job(&order);
    let list = items(&job, Extent::Whole(8));
    assert!(!list.iter().any(|i| i.letter == "pf"));
    assert_eq!(list.iter().filter(|i| i.letter == "bf").count(), 3);
}

/// What holds in general is judged where a size has no tolerance of its own; the bore's fit is never covered by it.
#[test]
fn a_general_tolerance_holds_for_all_sizes_but_the_bore() {
    let mut general = order();
    general["tolerances"] = json!({ "general": 0.02, "thickness": 0.01 });
    let rows = Bench::new(&general).sheet();
    let of = |letter: &str| rows.iter().find(|r| r[2] == letter).map(|r| (r[6].as_str(), r[7].as_str())).unwrap();
    assert_eq!((of("D"), of("T"), of("H")), (("25.98", "26.02"), ("1.99", "2.01"), ("", "")));
}

/// Three wheels, and the short sheet of the second, filled in as a good wheel would be.
fn second_wheel(bench: &Bench, first: &str) -> PathBuf {
    let file = bench.path("second.csv");
    // a sheet that is filled in is not written over
    let _ = fs::remove_file(&file);
    let ran = run(wheeldraft().arg("inspect").arg(&bench.order).args(["--wheel", "2", "-o"]).arg(&file));
    assert_eq!(ran.code, 0, "{}", ran.err);
    super::day::fill_in(&file, "1042-B-2", "2026-03-09", 1440);
    let text = fs::read_to_string(&file).unwrap();
    let filled: Vec<String> = text
        .lines()
        .map(|line| match line.split_once(',') {
            Some(("first_wheel", rest)) => format!("first_wheel,{}{first}", rest.trim_end_matches(|c| c != ',')),
            _ => line.to_owned(),
        })
        .collect();
    fs::write(&file, filled.join("\r\n")).unwrap();
    file
}

#[test]
fn wheels_after_the_first_have_a_short_sheet() {
    let mut three = order();
    three["order"]["quantity"] = json!(3);
    let bench = Bench::new(&three);
    let ran = run(wheeldraft().arg("inspect").arg(&bench.order).args(["--wheel", "2"]));
    let asked: Vec<&str> = ran.out.lines().filter(|l| l.starts_with(|c: char| c.is_ascii_digit())).collect();
    // D, T, H, and width and depth of the grooves of three places, one groove each
    assert_eq!(asked.len(), 3 + 2 * 3, "{}", ran.out);
    assert!(ran.out.contains("1042-B-2-") && ran.out.contains("first_wheel"), "{}", ran.out);
    let whole = run(wheeldraft().arg("inspect").arg(&bench.order).args(["--wheel", "2", "--whole"])).out;
    assert!(whole.lines().count() > 3 * asked.len() && !whole.contains("first_wheel"));
    assert_eq!(run(wheeldraft().arg("inspect").arg(&bench.order).args(["--wheel", "4"])).code, 2);
    let certificate = bench.path("second.pdf");
    let judge = |first: &str| {
        let sheet = second_wheel(&bench, first);
        run(wheeldraft().args(["inspect", "--format", "json"]).arg(&bench.order).arg(sheet).arg("-o").arg(&certificate))
    };
    let good = judge("1042-B-1");
    assert_eq!(good.code, 0, "{}{}", good.out, good.err);
    assert!(good.json()["certificate"].as_str().unwrap().starts_with("1042-B-2-") && certificate.exists());
    for (first, why) in [
        ("", "does not say which wheel was measured whole"),
        ("1042-B-2", "lean on its own"),
        ("1042-B-9", "names no wheel"),
    ] {
        let refused = judge(first);
        assert!(refused.code == 1 && refused.out.contains(why), "{first}: {}", refused.out);
    }
    // a size that the sheet does not ask has no place on it
    let sheet = second_wheel(&bench, "1042-B-1");
    let more = fs::read_to_string(&sheet).unwrap() + "\r\n4,,,,in,,,,1\r\n";
    fs::write(&sheet, more).unwrap();
    assert!(bench.judge(&sheet).out.contains("nothing to measure"));
}

/// The shop says itself what every wheel is measured for; the traveller says the same.
#[test]
fn the_travellers_template_says_what_every_wheel_is_measured_for() {
    let bench = Bench::new(&order());
    let own = wheeldraft::shop::traveller::BUILT_IN.replace("\"thickness\", \"bore\"", "\"recess_depth\"");
    fs::write(bench.path("own.json"), own).unwrap();
    let mut two = order();
    two["order"]["quantity"] = json!(2);
    let order = put(bench.folder.path(), "two.json", &two);
    let ran =
        run(wheeldraft().arg("inspect").arg(&order).args(["--wheel", "2", "--traveller"]).arg(bench.path("own.json")));
    let asked = |what: &str| ran.out.lines().any(|l| l.starts_with(|c: char| c.is_ascii_digit()) && l.contains(what));
    assert!(asked("Recess step 1 depth") && !asked("Bore") && !asked("Thickness"), "{}{}", ran.out, ran.err);
}

/// Where neither the size nor the order in general has a tolerance, the shop's tables hold: judged, said on every paper, never for the bore.
#[test]
fn the_shops_general_tolerances_are_judged_and_said() {
    let row = |plus: f64| json!([{"up_to": 40, "plus": plus, "minus": plus}]);
    let rules = json!({ "format": 1, "name": "a shop", "general_tolerances": {
        "unit": "in", "source": "our own practice", "edition": "2026", "basis": "practice", "checked_by": "T. Okafor",
        "outside_diameter": row(0.03), "thickness": row(0.01), "recess_diameter": row(0.02), "recess_depth": row(0.015), "groove_width": row(0.005)
    } });
    let mut order = order();
    order["tolerances"] = json!({ "bore": "+0.005/+0.001", "thickness": 0.005 });
    let bench = Bench::under(&order, Some(&rules));
    let rows = bench.sheet();
    let of = |letter: &str| rows.iter().find(|r| r[2] == letter).map(|r| (r[6].as_str(), r[7].as_str())).unwrap();
    assert_eq!((of("D"), of("T"), of("H")), (("25.97", "26.03"), ("1.995", "2.005"), ("8.001", "8.005")));
    let head = fs::read_to_string(bench.path("sheet.csv")).unwrap();
    assert!(
        head.contains("the shop's general tolerances, our own practice (2026, practice, checked by T. Okafor)"),
        "{head}"
    );
    // within the tables it passes, a hundredth outside it fails
    let ran = bench.judge(&bench.filled(|_| {}));
    let item = |ran: &Ran, label: &str| {
        let told = ran.json();
        let all = told["judged"].as_array().unwrap();
        all.iter().find(|j| j["label"] == label).unwrap().clone()
    };
    assert_eq!(ran.json()["refusals"], json!([]), "{}", ran.out);
    let outside = item(&ran, "Outside diameter");
    assert_eq!((&outside["verdict"], &outside["limits_by"]), (&json!("pass"), &json!("shop")));
    assert_eq!(item(&ran, "Bore")["limits_by"], json!("order"));
    let ran = bench.judge(&bench.filled(|rows| row_of(rows, "D")[8] = "26.04".to_owned()));
    assert_eq!(item(&ran, "Outside diameter")["verdict"], json!("fail"));
    // the bore's fit is never the shop's: without the order's there is no certificate
    order["tolerances"] = json!({});
    let bench = Bench::under(&order, Some(&rules));
    let told = bench.judge(&bench.filled(|_| {})).json()["refusals"].to_string();
    assert!(told.contains("no limits are agreed for") && told.contains("Bore") && !told.contains("Outside"), "{told}");
}

/// The row of a letter.
fn row_of<'r>(rows: &'r mut [Vec<String>], letter: &str) -> &'r mut Vec<String> {
    rows.iter_mut().find(|r| r[2] == letter).unwrap()
}
