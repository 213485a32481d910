//! `check`, `recess` and `grooves --sweep` as typed.

use super::{case_file, change, sound};
use crate::cli::{Run, run, run_with};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use wheeldraft::rules;

fn json(run: &Run) -> Value {
    serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{e}: {}", run.out))
}

/// The sound order with some fields changed, as text.
fn changed(changes: &[(&str, Value)]) -> String {
    let mut order = sound();
    changes.iter().for_each(|(pointer, value)| change(&mut order, pointer, value));
    order.to_string()
}

/// A file of the test's own in a folder that goes with it.
fn shop_file(content: &Value) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("our-rules.json");
    std::fs::write(&file, content.to_string()).unwrap();
    let name = file.to_string_lossy().into_owned();
    (folder, name)
}

#[test]
fn verdicts_and_exit_codes() {
    for (changes, verdict, code) in [
        (vec![], "clear", 0),
        (vec![("/machine", Value::Null)], "ask", 0),
        (vec![("/mount/flange_diameter", json!(150))], "stop", 1),
        // a stop weighs more than a question
        (vec![("/mount/flange_diameter", json!(150)), ("/machine", Value::Null)], "stop", 1),
    ] {
        let order = changed(&changes);
        let told = run_with(&order, &["check", "-", "--format", "json"]);
        assert_eq!((told.code, json(&told)["verdict"].as_str()), (code, Some(verdict)), "{changes:?}");
        let said = run_with(&order, &["check", "-"]);
        assert_eq!(said.code, code);
        let last = said.out.lines().last().unwrap();
        assert!(last.starts_with(&verdict.to_uppercase()), "{last}");
        assert!(said.err.is_empty(), "{}", said.err);
    }
}

#[test]
fn the_json_has_the_keys_it_promises() {
    let told = run_with(&changed(&[("/mount/flange_diameter", json!(150))]), &["check", "-", "--format", "json"]);
    let answer = json(&told);
    assert_eq!(answer["format"], 1);
    assert_eq!(answer["fingerprint"].as_str().unwrap().len(), 64);
    let finding = answer["findings"].as_array().unwrap().iter().find(|f| f["id"] == "flange-third").unwrap();
    let keys: BTreeSet<&str> = finding.as_object().unwrap().keys().map(String::as_str).collect();
    let promised = [
        "id", "severity", "feature", "message", "measured", "limit", "unit", "source", "section", "edition", "kind",
        "basis", "hint",
    ];
    assert_eq!(keys, promised.into_iter().collect());
    assert_eq!(
        (&finding["severity"], &finding["unit"], &finding["basis"]),
        (&json!("stop"), &json!("mm"), &json!("read"))
    );
    assert_eq!((finding["measured"].as_f64(), finding["limit"].as_f64()), (Some(150.0), Some(200.0)));
    assert_eq!(finding["feature"], "/mount/flange_diameter");
    assert_eq!((&finding["kind"], answer["not_evaluated"].as_array().map(Vec::len)), (&json!("law"), Some(0)));
    assert_eq!(answer["switched_off"], json!([]));
}

#[test]
fn the_same_fingerprint_as_the_numbers() {
    let order = changed(&[]);
    let of = |command: &str| json(&run_with(&order, &[command, "-", "--format", "json"]))["fingerprint"].clone();
    assert_eq!(of("check"), of("properties"));
    assert_eq!(of("check"), of("recess"));
}

#[test]
fn every_rule_explains_itself() {
    let listed = run(&["check", "--list"]);
    assert_eq!(listed.code, 0);
    for rule in rules::all() {
        assert!(listed.out.lines().any(|l| l.starts_with(rule.id)), "{} is not listed", rule.id);
        let told = run(&["check", "--explain", rule.id]);
        assert!(told.code == 0 && told.out.contains(rule.title) && told.out.contains(rule.hint), "{}", told.out);
        assert!(rule.text.ends_with('.') && rule.hint.ends_with('.') && !rule.title.ends_with('.'), "{}", rule.id);
    }
    let told = run(&["check", "--explain", "flange-third"]);
    for part in [
        "1910.215",
        "section: (c)(1), (c)(4)(i)",
        "edition: OSHA letter of 1992-03-01",
        "kind: law",
        "read in a public copy",
        "covers: types 1, 3",
        "checked by: nobody yet",
        "0.33333",
    ] {
        assert!(told.out.contains(part), "{part}: {}", told.out);
    }
    let wrong = run(&["check", "--explain", "flange-thrid"]);
    assert!(wrong.code == 2 && wrong.out.is_empty() && wrong.err.contains("flange-third"), "{}", wrong.err);
    let both = run(&["check", "order.json", "--explain", "guard"]);
    assert_eq!(both.code, 2);
    assert_eq!(run(&["check"]).code, 2);
}

#[test]
fn a_shop_s_own_rules_hold_and_show() {
    let limit = json!({ "value": "3/4", "unit": "of D", "source": "house rule 7", "edition": "2024", "basis": "practice", "checked_by": "T. Okafor" });
    let (_kept, file) =
        shop_file(&json!({ "format": 1, "name": "Alder Lane Wheel Works", "limits": { "flange_share": limit },
        "switched_off": [{"rule": "guard", "why": "our machines have closed guards"}] }));
    let order = changed(&[]);
    let told = run_with(&order, &["check", "-", "--shop-rules", &file, "--format", "json"]);
    assert_eq!(told.code, 1);
    let answer = json(&told);
    let stop = &answer["findings"][0];
    assert_eq!((&stop["source"], &stop["edition"]), (&json!("house rule 7"), &json!("2024")));
    assert_eq!(answer["switched_off"], json!([{"rule": "guard", "why": "our machines have closed guards"}]));
    let said = run_with(&order, &["check", "-", "--shop-rules", &file]);
    assert!(said.out.contains("Switched off by the shop\n  guard: our machines have closed guards"), "{}", said.out);
    // the drawing tells whoever signs it that a rule was not applied, and why
    let drawing = format!("{file}.svg");
    run_with(&order, &["draw", "-", "-o", &drawing, "--shop-rules", &file]);
    let sheets = || {
        let more = (2..9).map(|n| file.clone() + &format!("-{n}.svg"));
        let all = [drawing.clone()].into_iter().chain(more).filter_map(|f| std::fs::read_to_string(f).ok());
        all.collect::<String>()
    };
    assert!(sheets().contains("The shop does not apply the rule guard"), "the drawing says nothing of the rule");
    run_with(&order, &["draw", "-", "-o", &drawing]);
    assert!(!sheets().contains("does not apply the rule"));
    let explained = run(&["check", "--explain", "guard", "--shop-rules", &file]);
    assert!(explained.out.contains("Switched off by the shop"), "{}", explained.out);
}

#[test]
fn a_broken_rules_file_is_told_with_its_place() {
    let (_kept, file) = shop_file(&json!({ "format": 1, "name": "x", "limits": { "flange_shar": {} } }));
    let order = changed(&[]);
    let said = run_with(&order, &["check", "-", "--shop-rules", &file]);
    assert_eq!(said.code, 2);
    assert!(
        said.out.is_empty() && said.err.contains("our-rules.json:1:") && said.err.contains("flange_share"),
        "{}",
        said.err
    );
    let told = run_with(&order, &["check", "-", "--shop-rules", &file, "--format", "json"]);
    assert_eq!((told.code, json(&told)["problems"][0]["field"].as_str()), (2, Some("/limits/flange_shar")));
    assert_eq!(run_with(&order, &["check", "-", "--shop-rules", "/nowhere.json"]).code, 2);
}

#[test]
fn the_shop_s_template_is_its_own_starting_point() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/templates/shop-rules.json");
    let order = changed(&[]);
    let (own, built_in) = (run_with(&order, &["check", "-", "--shop-rules", file]), run_with(&order, &["check", "-"]));
    assert_eq!((own.code, own.out), (built_in.code, built_in.out));
}

#[test]
fn the_recess_of_an_order() {
    // bolts reach 45 mm through 50: 5 mm deep at the least; worn out at 400 mm, clear of the flange from 310 mm
    let order = changed(&[("/wheel/side_a/recess", Value::Null)]);
    let told = run_with(&order, &["recess", "-", "--format", "json"]);
    assert_eq!(told.code, 0);
    let answer = json(&told);
    let near = |pointer: &str, want: f64| {
        let got = answer.pointer(pointer).and_then(Value::as_f64).unwrap_or(f64::NAN);
        assert!((got / want - 1.0).abs() < 1e-9, "{pointer}: {got} against {want}");
    };
    near("/proposal/depth_mm", 5.0);
    near("/proposal/diameter_mm", 400.0);
    near("/proposal/thickness_left_mm", 45.0);
    near("/bounds/least_diameter_mm", 310.0);
    near(
        "/proposal/saving/area_share",
        (400.0_f64.powi(2) - 310.0_f64.powi(2)) / (600.0_f64.powi(2) - 310.0_f64.powi(2)),
    );
    assert_eq!((&answer["questions"], &answer["refused"]), (&json!([]), &Value::Null));
    let said = run_with(&order, &["recess", "-"]);
    assert!(said.out.contains("Proposal: one side, Ø400 mm × 5 mm deep."), "{}", said.out);
}

#[test]
fn a_recess_that_must_be_asked_about_first() {
    let order = changed(&[("/mount", Value::Null), ("/machine/travel_on", Value::Null)]);
    let told = run_with(&order, &["recess", "-", "--format", "json"]);
    assert_eq!(told.code, 0);
    let answer = json(&told);
    let fields: Vec<&str> =
        answer["questions"].as_array().unwrap().iter().map(|q| q["field"].as_str().unwrap()).collect();
    assert_eq!(fields, ["/mount/bolt_length", "/mount/flange_diameter", "/machine/travel_on"]);
    assert_eq!(answer["proposal"], Value::Null);
    // the same questions as the rules ask
    let asked = json(&run_with(&order, &["check", "-", "--format", "json"]));
    let asked: BTreeSet<&str> =
        asked["findings"].as_array().unwrap().iter().filter_map(|f| f["feature"].as_str()).collect();
    assert!(fields.iter().all(|f| asked.contains(f)), "{asked:?}");
    let said = run_with(&order, &["recess", "-"]);
    assert_eq!(said.out.matches('?').count(), 3, "{}", said.out);
}

#[test]
fn no_recess_does() {
    let order = changed(&[("/mount/bolt_length", json!(40))]);
    let told = run_with(&order, &["recess", "-", "--format", "json"]);
    assert_eq!(told.code, 1);
    assert!(json(&told)["refused"].as_str().unwrap().contains("longer bolts"));
}

const RING: [&str; 8] =
    ["grooves", "--sweep", "--outside-diameter", "400mm", "--inner-diameter", "200mm", "--width", "3mm"];

/// Depth, machine and indexing head of the sweeps.
const CIRCUMSTANCES: [&str; 8] =
    ["--depth", "5mm", "--rpm", "1500", "--natural-frequency", "2250", "--index-step", "0.5"];

#[test]
fn a_sweep_of_counts() {
    let mut typed = RING.to_vec();
    typed.extend(CIRCUMSTANCES);
    typed.extend(["--format", "json"]);
    let answer = json(&run(&typed));
    let choices = answer["choices"].as_array().unwrap();
    let meets: Vec<bool> = choices.iter().map(|c| c["meets_all_limits"].as_bool().unwrap()).collect();
    let first_against = meets.iter().position(|m| !m).unwrap();
    assert!(first_against > 0 && meets[first_against..].iter().all(|m| !m), "those that meet all limits come first");
    let of = |n: u64| choices.iter().find(|c| c["count"] == n).unwrap();
    // trade values: 180 grooves of 3 × 5 from Ø200 to Ø400 remove 270 005.063 mm³ and merge inside Ø171.896; 1500 rpm make 4500 Hz
    let near =
        |value: &Value, want: f64, by: f64| assert!((value.as_f64().unwrap() - want).abs() < by, "{value} {want}");
    near(&of(180)["coolant_mm3_per_revolution"], 270_005.063, 5e-4);
    near(&of(180)["merge_diameter_mm"], 171.896, 5e-4);
    near(&of(180)["frequency_hz"], 4500.0, 1e-9);
    near(&of(180)["land_outer_mm"], 6.981_32 * 0.5703, 5e-4);
    assert_eq!(of(90)["against"], json!(["near a natural frequency"]));
    assert_eq!(of(72)["against"], json!([]));
    typed.truncate(typed.len() - 2);
    let table = run(&typed).out;
    assert!(table.contains("coolant cm³/rev") && table.contains("meet all limits; they stand first."), "{table}");
}

#[test]
fn a_sweep_on_an_order_takes_its_sizes() {
    let order = case_file("example-in-inches")["order"].to_string();
    for (side, volume) in [("a", "side_a"), ("b", "side_b"), ("face", "face")] {
        let typed = ["grooves", "--sweep", "-", "--side", side, "--from", "90", "--to", "180", "--format", "json"];
        let told = run_with(&order, &typed);
        assert_eq!(told.code, 0, "{}", told.err);
        let answer = json(&told);
        let numbers = json(&run_with(&order, &["properties", "-", "--format", "json"]));
        let set = &numbers["grooves"][volume];
        let own = answer["choices"].as_array().unwrap().iter().find(|c| c["count"] == set["count"]).unwrap();
        for (key, want) in
            [("land_outer_mm", "land_outer"), ("land_inner_mm", "land_inner"), ("land_share", "land_share")]
        {
            let (got, want) = (own[key].as_f64().unwrap(), set[want].as_f64().unwrap());
            assert!((got / want - 1.0).abs() < 1e-9, "{side} {key}: {got} against {want}");
        }
        let coolant = set["count"].as_f64().unwrap() * set["volume_each"].as_f64().unwrap();
        assert!((own["coolant_mm3_per_revolution"].as_f64().unwrap() / coolant - 1.0).abs() < 1e-9);
        assert!((own["frequency_hz"].as_f64().unwrap() - own["count"].as_f64().unwrap() * 950.0 / 60.0).abs() < 1e-9);
    }
}

/// The planner on paper: the same counts, a plot for each quantity, with and without an order.
#[test]
fn a_sweep_on_paper() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("counts.svg").to_string_lossy().into_owned();
    let mut typed = RING.to_vec();
    typed.extend(CIRCUMSTANCES);
    typed.extend(["-o", &file]);
    assert_eq!(run(&typed).code, 0);
    let sheets = || -> String {
        let inside = std::fs::read_dir(folder.path()).unwrap();
        inside.map(|e| std::fs::read_to_string(e.unwrap().path()).unwrap()).collect()
    };
    let svg = sheets();
    for words in [
        "Groove planner",
        "Counts, those that meet all limits first",
        "Land between two grooves",
        "least land 1,00 mm",
        "Share of the ring that stays land",
        "Coolant carried in one revolution",
        "Groove frequency",
        "natural 2250,00 Hz",
        "near a natural",
    ] {
        assert!(svg.contains(words), "{words}");
    }
    let order = case_file("example-in-inches")["order"].to_string();
    assert_eq!(run_with(&order, &["grooves", "--sweep", "-", "--side", "b", "-o", &file]).code, 0);
    let svg = std::fs::read_to_string(&file).unwrap();
    assert!(svg.contains("order 1042-B") && !svg.contains("1,00 mm"), "in the order's unit and style");
}

#[test]
fn sweeps_that_make_no_sense() {
    let refused = |more: &[&str], part: &str| {
        let mut typed = RING.to_vec();
        typed.extend(more);
        let said = run(&typed);
        assert!(said.code == 2 && said.out.is_empty() && said.err.contains(part), "{more:?}: {}", said.err);
    };
    refused(&["--from", "90", "--to", "80"], "--from");
    refused(&["--rpm", "0"], "--rpm");
    refused(&["--index-step", "-1"], "--index-step");
    refused(&["--natural-frequency", "nan"], "--natural-frequency");
    refused(&["--from", "0"], "--from");
    let plain = changed(&[("/wheel/side_a/grooves", Value::Null)]);
    let said = run_with(&plain, &["grooves", "--sweep", "-"]);
    assert!(said.code == 2 && said.err.contains("no such grooves"), "{}", said.err);
    assert_eq!(run(&["grooves", "order.json"]).code, 2, "an order without --sweep");
    assert_eq!(run(&["grooves", "--sweep"]).code, 2, "neither an order nor sizes");
}
