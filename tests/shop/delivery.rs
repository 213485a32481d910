//! `ship`: who gets which wheels, what they weigh; nothing leaves that is stopped or not approved.

use super::{crankshaft, put, run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use tempfile::TempDir;

/// The lettering of the note, and how the command ended.
fn note(order: &Value, approved: bool) -> (i32, String) {
    let folder = TempDir::new().unwrap();
    let order = put(folder.path(), "1042.json", order);
    if approved {
        let given = ["--by", "R. Adeyemi", "--date", "2026-03-04", "--open-questions", "settled by telephone"];
        assert_eq!(run(wheeldraft().arg("approve").arg(&order).args(given)).code, 0);
    }
    let file = folder.path().join("note.svg");
    let ran = run(wheeldraft().arg("ship").arg(&order).arg("-o").arg(&file));
    let svg = fs::read_to_string(&file).unwrap_or_default();
    let pieces = svg.split('<').filter_map(|tag| tag.split_once('>')).map(|(_, text)| text);
    (ran.code, pieces.flat_map(str::split_whitespace).collect::<Vec<_>>().join(" "))
}

fn order() -> Value {
    let mut order = crankshaft();
    order["order"]["quantity"] = json!(3);
    order["order"]["ship_to"] = json!("Kestrel Bay, Dock 4");
    order["order"]["customer_order"] = json!("KB-7719");
    order
}

#[test]
fn every_wheel_has_its_line_with_code_and_weight() {
    let (code, text) = note(&order(), true);
    assert_eq!(code, 0);
    let job = crate::support::job(&order());
    for n in 1..=3 {
        let trace = format!("1042-B-{n}-{}", job.fingerprint().short());
        assert!(text.contains(&trace), "{trace}: {text}");
    }
    assert!(text.contains("Kestrel Bay, Dock 4") && text.contains("KB-7719"), "{text}");
    assert!(text.contains("CAUTION") && text.contains("approved by R. Adeyemi on 2026-03-04"), "{text}");
    assert!(!text.contains("NOT RELEASED"), "{text}");
    // the weight of one, three times over
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "1042.json", &order());
    let properties = run(wheeldraft().arg("properties").arg(&file).args(["--format", "json"]));
    let one = properties.json()["wheel"]["mass"].as_f64().unwrap();
    assert!(
        text.contains(&format!("{one:.1} kg")) && text.contains(&format!("{:.1} kg by calculation", 3.0 * one)),
        "{one}: {text}"
    );
}

#[test]
fn what_is_not_approved_or_stopped_is_not_released() {
    let (code, text) = note(&order(), false);
    assert!(code == 1 && text.contains("NOT RELEASED") && text.contains("must not leave the shop"), "{code}: {text}");
    let mut stopped = order();
    stopped["mount"]["flange_diameter"] = json!(7);
    let (code, text) = note(&stopped, false);
    assert!(code == 1 && text.contains("NOT RELEASED"), "{code}: {text}");
}

#[test]
fn an_unknown_weight_is_said_to_be_unknown() {
    let mut unknown = order();
    for key in ["density", "weight"] {
        unknown["blank"].as_object_mut().unwrap().remove(key);
    }
    let (_, text) = note(&unknown, true);
    assert!(text.contains("The weight is not known"), "{text}");
}

/// An address keeps its lines.
#[test]
fn an_address_of_several_lines_stands_as_it_was_given() {
    let mut order = order();
    order["order"]["ship_to"] = json!("Kestrel Bay Journal Works\nDock 4\n12 Quay Road");
    let folder = TempDir::new().unwrap();
    let order = put(folder.path(), "1042.json", &order);
    let file = folder.path().join("note.svg");
    run(wheeldraft().arg("ship").arg(&order).arg("-o").arg(&file));
    let svg = fs::read_to_string(&file).unwrap();
    let pieces: Vec<&str> = svg.split('<').filter_map(|tag| tag.split_once('>')).map(|(_, text)| text.trim()).collect();
    for line in ["Kestrel Bay Journal Works", "Dock 4", "12 Quay Road"] {
        assert!(pieces.contains(&line), "{line}: {pieces:?}");
    }
}
