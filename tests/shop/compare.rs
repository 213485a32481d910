//! `compare`: what changed, in words and numbers, and the overlaid picture.

use super::{crankshaft, put, run, wheeldraft};
use serde_json::json;
use std::fs;
use tempfile::TempDir;

#[test]
fn changes_are_told_in_the_trades_words() {
    let folder = TempDir::new().unwrap();
    let old = put(folder.path(), "old.json", &crankshaft());
    let mut order = crankshaft();
    order["order"]["revision"] = json!("C");
    order["wheel"]["side_a"]["recess"][0]["depth"] = json!(0.6);
    order["wheel"]["side_a"]["grooves"]["bottom"] = json!("vee");
    order["wheel"]["side_a"]["grooves"]["vee_angle_deg"] = json!(60);
    order["wheel"]["side_b"]["corner"] = json!({"radius": 0.1});
    order["tolerances"]["bore"] = json!("+0.004/+0.001");
    order["mount"]["flange_diameter"] = json!(7);
    let new = put(folder.path(), "new.json", &order);
    let picture = folder.path().join("difference.svg");
    let ran = run(wheeldraft().arg("compare").args([&old, &new]).arg("-o").arg(&picture));
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in [
        "revision",
        "B → C",
        "side A, recess step 1, depth",
        "0.5 in → 0.6 in (+0.1 in)",
        "side A, grooves, bottom",
        "round → vee, angle 60°",
        "side B, corner, radius",
        "– → 0.1 in",
        "tolerance, bore, upper",
        "0.005 in → 0.004 in (−0.001 in)",
        "flange diameter",
        "12 in → 7 in (−5 in)",
    ] {
        assert!(ran.out.contains(words), "{words} is not in\n{}", ran.out);
    }
    // a flange of 7 in on a 26 in wheel is less than a third: the finding appears
    assert!(ran.out.contains("appeared"), "{}", ran.out);
    let svg = fs::read_to_string(&picture).unwrap();
    assert!(svg.contains("1042-B → 1042-C") && svg.contains("old, where it differs"));
}

/// A finding whose number moved is still the same finding; one that became heavier is not.
#[test]
fn a_number_that_moved_is_no_new_finding() {
    let folder = TempDir::new().unwrap();
    let (mut old, mut new) = (crankshaft(), crankshaft());
    (old["mount"]["flange_diameter"], new["mount"]["flange_diameter"]) = (json!(6), json!(7));
    let [old, new] = [("old.json", old), ("new.json", new)].map(|(name, order)| put(folder.path(), name, &order));
    let answer = run(wheeldraft().args(["compare", "--format", "json"]).args([&old, &new])).json();
    let ids = |list: &str| answer[list].as_array().unwrap().iter().map(|f| f["id"].clone()).collect::<Vec<_>>();
    // both flanges are too small, by other numbers
    assert!(!ids("appeared").contains(&json!("flange-third")) && !ids("went").contains(&json!("flange-third")));
    let mut larger = crankshaft();
    larger["mount"]["flange_diameter"] = json!(12);
    let larger = put(folder.path(), "larger.json", &larger);
    let answer = run(wheeldraft().args(["compare", "--format", "json"]).args([&larger, &new])).json();
    assert!(answer["appeared"].as_array().unwrap().iter().any(|f| f["id"] == "flange-third"), "{answer}");
}

#[test]
fn json_carries_numbers_in_millimetres() {
    let folder = TempDir::new().unwrap();
    let old = put(folder.path(), "old.json", &crankshaft());
    let mut order = crankshaft();
    order["wheel"]["thickness"] = json!(1.9);
    let new = put(folder.path(), "new.json", &order);
    let answer = run(wheeldraft().args(["compare", "--format", "json"]).args([&old, &new])).json();
    let change = &answer["changes"][0];
    assert_eq!(change["field"], "/wheel/thickness");
    assert!((change["old"].as_f64().unwrap() - 50.8).abs() < 1e-12);
    assert!((change["new"].as_f64().unwrap() - 48.26).abs() < 1e-12);
    let volume = &answer["reckoned"][0];
    // a thinner wheel loses its own ring, less the face grooves that become shorter
    let lost = volume["old"].as_f64().unwrap() - volume["new"].as_f64().unwrap();
    let ring = std::f64::consts::PI / 4.0 * (660.4_f64.powi(2) - 203.2_f64.powi(2)) * 2.54;
    assert!(lost < ring && lost > 0.99 * ring, "{lost} against {ring}");
}

#[test]
fn the_same_order_typed_otherwise_has_no_difference() {
    let folder = TempDir::new().unwrap();
    let old = put(folder.path(), "old.json", &crankshaft());
    let mut order = crankshaft();
    order["wheel"]["outside_diameter"] = json!("26 in");
    order["wheel"]["side_a"]["grooves"].as_object_mut().unwrap().remove("pitch_deg");
    order["wheel"]["side_a"]["grooves"]["count"] = json!(180);
    let new = put(folder.path(), "new.json", &order);
    let ran = run(wheeldraft().arg("compare").args([&old, &new]));
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("No difference"), "{}", ran.out);
}
