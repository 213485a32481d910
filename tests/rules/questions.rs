//! Questions: to whom they go, and how the order answers them.

use super::{change, sound};
use crate::cli::run_with;
use serde_json::{Value, json};

fn told(changes: &[(&str, Value)]) -> Value {
    let mut order = sound();
    changes.iter().for_each(|(pointer, value)| change(&mut order, pointer, value));
    let run = run_with(&order.to_string(), &["check", "-", "--format", "json"]);
    serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{e}: {}", run.out))
}

fn asked(told: &Value) -> Vec<(&str, &str)> {
    let asks = told["findings"].as_array().unwrap().iter().filter(|f| f["severity"] == "ask");
    asks.map(|f| (f["id"].as_str().unwrap(), f["to"].as_str().unwrap())).collect()
}

fn letter(to: &str, changes: &[(&str, Value)]) -> String {
    let mut order = sound();
    changes.iter().for_each(|(pointer, value)| change(&mut order, pointer, value));
    run_with(&order.to_string(), &["check", "-", "--questions", to]).out
}

#[test]
fn the_shop_is_asked_about_its_blank_and_the_customer_about_the_rest() {
    let gone = [("/blank/max_operating_speed", Value::Null), ("/mount/flange_diameter", Value::Null)];
    let told = told(&gone);
    let asked = asked(&told);
    assert!(asked.contains(&("speed-limit", "shop")) && asked.contains(&("flange-third", "customer")), "{asked:?}");
    assert!(told["findings"].as_array().unwrap().iter().all(|f| f["severity"] == "ask" || f["to"].is_null()));
    let (theirs, ours) = (letter("customer", &gone), letter("shop", &gone));
    assert!(theirs.contains("do the flanges have?") && !theirs.contains("marked on the blank"), "{theirs}");
    assert!(ours.contains("marked on the blank?") && !ours.contains("do the flanges have?"), "{ours}");
    assert!(letter("customer", &[]).contains("No question is open."));
}

#[test]
fn an_answered_question_is_agreed_and_not_asked_again() {
    let answer = |question: &str| json!([{ "question": question, "answer": "300 mm", "by": "R. Adeyemi", "date": "2026-03-04" }]);
    let open = ("/mount/flange_diameter", Value::Null);
    assert!(!asked(&told(std::slice::from_ref(&open))).is_empty());
    for question in ["flange-third", "flange-third mount.flange_diameter", "flange-third /mount/flange_diameter"] {
        let told = told(&[open.clone(), ("/answers", answer(question))]);
        assert!(!asked(&told).iter().any(|(id, _)| *id == "flange-third"), "{question}: {told}");
        assert_eq!(told["answered"][0]["answer"]["answer"], "300 mm");
    }
    // an answer to another question, to a stop, or to a field that is not asked about settles nothing
    for question in ["bolts-reach", "flange-third wheel.bore", "flange-third and more", "flange"] {
        let told = told(&[open.clone(), ("/answers", answer(question))]);
        assert!(asked(&told).iter().any(|(id, _)| *id == "flange-third"), "{question}: {told}");
        assert_eq!(told["idle_answers"].as_array().unwrap().len(), 1, "{question}");
    }
    let stopped = told(&[("/mount/flange_diameter", json!(150)), ("/answers", answer("flange-third"))]);
    assert_eq!(stopped["verdict"], "stop");
}

/// An answer that says what it was given for is asked again once that changes; one in other words for the same values holds.
#[test]
fn an_answer_holds_for_the_values_it_was_given_for() {
    let open = ("/mount/flange_diameter", Value::Null);
    let asked = |changes: &[(&str, Value)]| {
        let told = told(changes);
        let findings = told["findings"].as_array().unwrap().clone();
        findings.into_iter().find(|f| f["id"] == "flange-third" && f["severity"] == "ask")
    };
    let message = asked(std::slice::from_ref(&open)).unwrap()["message"].as_str().unwrap().to_owned();
    let answer = |asked: &str| json!([{ "question": "flange-third", "answer": "300 mm", "by": "R. Adeyemi", "date": "2026-03-04", "asked": asked }]);
    let answered = |text: &str| ("/answers", answer(text));
    assert!(asked(&[open.clone(), answered(&message)]).is_none());
    assert!(asked(&[open.clone(), answered(&message.replace("needs", "wants"))]).is_none());
    // the wheel grows, and so does what its flanges need
    let larger = [open.clone(), ("/wheel/outside_diameter", json!(620)), answered(&message)];
    let again = asked(&larger).expect("the question is asked again");
    assert!(again["hint"].as_str().unwrap().contains("R. Adeyemi answered \"300 mm\" on 2026-03-04"), "{again}");
    assert_eq!(told(&larger)["outdated_answers"].as_array().unwrap().len(), 1);
}

#[test]
fn an_answer_is_written_down_with_what_was_asked() {
    let folder = tempfile::tempdir().unwrap();
    let mut order = sound();
    change(&mut order, "/mount/flange_diameter", &Value::Null);
    std::fs::write(folder.path().join("order.json"), order.to_string()).unwrap();
    let check = |more: &[&str]| {
        crate::cli::run_in(folder.path(), &[&["check", "order.json", "--format", "json"], more].concat())
    };
    let given = ["--by", "R. Adeyemi", "--date", "2026-03-04"];
    let answer = |typed: &str| check(&[&["--answer", typed], &given[..]].concat());
    for (wrong, why) in [
        ("flange-third", "no `=`"),
        ("flange-thrid=300 mm", "nothing is asked by the name"),
        ("flange-third=", "is empty"),
    ] {
        let run = answer(wrong);
        assert!(run.code == 2 && run.out.contains(why), "{wrong}: {}", run.out);
    }
    let told: Value = serde_json::from_str(&answer("flange-third=300 mm").out).unwrap();
    assert_eq!(told["answered"][0]["answer"]["answer"], "300 mm");
    assert_eq!(told["answered"][0]["answer"]["asked"], told["answered"][0]["finding"]["message"]);
    assert_eq!(answer("flange-third=300 mm").code, 2, "it is not asked any more");
}

/// What the contract says is signed is in the fingerprint; what may change until the wheel is shipped is not.
#[test]
fn the_fingerprint_covers_what_is_signed() {
    let print = |changes: &[(&str, Value)]| told(changes)["fingerprint"].as_str().unwrap().to_owned();
    let before = print(&[]);
    for (field, value) in [
        ("/blank/lot", json!("L 7")),
        ("/order/contact", json!("Somebody else")),
        ("/order/due", json!("2026-06-01")),
        ("/order/prepared_by", json!("Somebody else")),
        ("/order/customer_order", json!("PO 9")),
        ("/order/ship_to", json!("Dock 4")),
        ("/order/based_on", json!("900-A")),
    ] {
        assert_eq!(print(&[(field, value)]), before, "{field}");
    }
    for (field, value) in [
        ("/wheel/outside_diameter", json!(599)),
        ("/tolerances/general", json!(0.3)),
        ("/blank/marking", json!("A 60 L 6 V")),
        ("/blank/max_operating_speed", json!("32 m/s")),
        ("/blank/maker_agreement", json!("HA 77")),
        ("/blank/expires", json!("2027-01-01")),
        ("/order/notes", json!(["Arrow on side A."])),
        ("/order/quantity", json!(7)),
        ("/work/material", json!("cast iron")),
        ("/machine/spindle_rpm", json!(901)),
        ("/mount/bolt_length", json!(77)),
        ("/answers", json!([{ "question": "x", "answer": "y", "by": "z", "date": "2026-03-04" }])),
    ] {
        assert_ne!(print(&[(field, value)]), before, "{field}");
    }
}
