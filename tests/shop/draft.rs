//! Drafts: an order with open sizes is drawn, calculated and asked about, and goes no further before they are decided.

use super::{Ran, put, run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use tempfile::TempDir;
use wheeldraft::dossier::Dossier;
use wheeldraft::language::Language;
use wheeldraft::rules::ShopRules;

/// `28 × 1-1/4, 8 hole, grooves every two degrees`, as a customer says it on the telephone.
fn telephone() -> Value {
    json!({
        "order": {"number": "3001", "revision": "A", "date": "2026-05-04", "customer": "Otter Bend Crankshafts"},
        "units": "in",
        "wheel": {"outside_diameter": 28, "thickness": "1-1/4", "bore": 8, "side_a": {"grooves": {"pitch_deg": 2}}}
    })
}

fn run_on(order: &Path, command: &str, more: &[&str]) -> Ran {
    run(wheeldraft().arg(command).arg(order).args(more))
}

fn checked(order: &Path) -> Value {
    run_on(order, "check", &["--format", "json"]).json()
}

fn open(checked: &Value) -> Vec<(String, Option<f64>)> {
    let all = checked["findings"].as_array().unwrap().iter().filter(|f| f["id"] == "size-open");
    all.map(|f| (f["feature"].as_str().unwrap().to_owned(), f["measured"].as_f64())).collect()
}

#[test]
fn a_telephone_enquiry_is_entered_as_it_is_said() {
    let folder = TempDir::new().unwrap();
    let order = put(folder.path(), "3001.json", &telephone());
    let told = checked(&order);
    assert_eq!((&told["draft"], &told["verdict"]), (&json!(true), &json!("ask")));
    // in inches: a disc of 0.06, a depth of 1/8; about 4 of 14 in of radius are used (common practice)
    let side = "/wheel/side_a/grooves";
    let near = |want: [(&str, f64); 3]| want.map(|(key, mm)| (format!("{side}/{key}"), (mm * 1e4_f64).round()));
    let got: Vec<(String, f64)> = open(&told).into_iter().map(|(f, mm)| (f, (mm.unwrap() * 1e4).round())).collect();
    assert_eq!(got, near([("width", 1.524), ("inner_diameter", 508.0), ("depth", 3.175)]));
    let letter = run_on(&order, "check", &["--questions", "customer"]).out;
    assert!(letter.contains("Groove width, side A: what is it to be? Usual is 0.06 in"), "{letter}");
    let numbers = run_on(&order, "properties", &["--format", "json"]).json();
    assert_eq!(numbers["grooves"]["side_a"]["count"], 180);
}

#[test]
fn every_paper_says_draft_and_marks_the_open_size() {
    let folder = TempDir::new().unwrap();
    let mut order = telephone();
    order["wheel"]["side_a"]["grooves"] =
        json!({"pitch_deg": 2, "width": "? 0.06 in", "depth": 0.125, "inner_diameter": 17});
    order["blank"] = json!({"marking": "A 54 K 6 V", "density": "2.15 g/cm3", "max_operating_speed": "33 m/s"});
    let file = put(folder.path(), "3001.json", &order);
    let out = folder.path().join("pack");
    let ran = run(wheeldraft().arg("pack").arg(&file).arg("-o").arg(&out).arg("--unapproved"));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let names: Vec<String> =
        fs::read_dir(&out).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    assert!(names.iter().all(|n| !n.ends_with(".dxf") && !n.ends_with(".nc") && !n.contains("label")), "{names:?}");
    let sheet = fs::read_to_string(out.join("3001-A-approval.svg")).unwrap();
    assert!(sheet.contains(">DRAFT<") && sheet.contains("State: DRAFT, a size is open"), "no DRAFT on the sheet");
    // in the view and in the table of grooves; what is decided has no mark
    assert!(sheet.matches(">.06 ?<").count() >= 2 && !sheet.contains(".125 ?"), "no mark");
    assert!(!sheet.contains("APPROVAL"), "a draft has no box to approve it");
    for name in names.iter().filter(|n| n.ends_with("check.json") || n.ends_with("properties.json")) {
        let value: Value = serde_json::from_slice(&fs::read(out.join(name)).unwrap()).unwrap();
        assert_eq!(value["state"]["state"], "draft", "{name}");
    }
    let withheld = fs::read_to_string(out.join("manifest.json")).unwrap();
    assert!(withheld.contains("the order is a draft, a size is open"), "{withheld}");
}

#[test]
fn nothing_is_approved_cut_or_labelled_before_the_size_is_decided() {
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "3001.json", &telephone());
    let out = folder.path().join("out");
    let out = out.to_str().unwrap();
    for (command, more) in [
        ("approve", &["--by", "R. Adeyemi", "--date", "2026-05-05"][..]),
        ("approve", &["--by", "R. Adeyemi", "--date", "2026-05-05", "--open-questions", "we know"]),
        ("cut", &["-o", out, "--unapproved"]),
        ("label", &["-o", "label.pdf"]),
    ] {
        let ran = run(wheeldraft().current_dir(folder.path()).arg(command).arg(&file).args(more));
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{command}");
        assert!(ran.err.contains("is a draft: ") && ran.err.contains("Groove width, side A: 0.06 in ?"), "{}", ran.err);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "{command}");
    }
}

/// Deciding a size, even as proposed, is another state of the order.
#[test]
fn a_decided_size_is_another_fingerprint_and_the_same_wheel() {
    let folder = TempDir::new().unwrap();
    let with = |width: Value| {
        let mut order = telephone();
        order["wheel"]["side_a"]["grooves"] =
            json!({"pitch_deg": 2, "width": width, "depth": 0.125, "inner_diameter": 17});
        let file = put(folder.path(), "order.json", &order);
        (
            checked(&file)["fingerprint"].clone(),
            run_on(&file, "properties", &["--format", "json"]).json()["wheel"].clone(),
        )
    };
    let (proposed, decided) = (with(json!("? 0.06 in")), with(json!(0.06)));
    assert_ne!(proposed.0, decided.0);
    assert_eq!(proposed.1, decided.1);
    // a bare number behind the mark is in the file's unit
    assert_eq!(with(json!("?0.06")).1, decided.1);
}

#[test]
fn without_a_body_there_is_nothing_to_draw_and_the_question_comes_first() {
    let folder = TempDir::new().unwrap();
    for (key, words) in [("outside_diameter", "outside diameter"), ("thickness", "thickness"), ("bore", "bore")] {
        let mut order = telephone();
        order["wheel"][key] = json!("?");
        let file = put(folder.path(), "order.json", &order);
        let ran = run_on(&file, "check", &[]);
        assert_eq!(ran.code, 2);
        assert!(ran.err.contains(&format!("what is {words} to be?")) && ran.err.contains("? 26 in"), "{}", ran.err);
        order["wheel"][key] = json!("? 6 in");
        if key == "outside_diameter" {
            order["wheel"][key] = json!("? 28");
        }
        let file = put(folder.path(), "order.json", &order);
        assert_eq!(open(&checked(&file))[0].0, format!("/wheel/{key}"));
    }
    let mut order = telephone();
    order["wheel"]["side_a"]["grooves"]["width"] = json!("? wide");
    let ran = run_on(&put(folder.path(), "order.json", &order), "check", &[]);
    assert!(ran.code == 2 && ran.err.contains("`wide` is no length"), "{}", ran.err);
}

/// Grooves whose number is open: by count or by pitch, with a proposal or with what is usual.
#[test]
fn the_number_of_grooves_may_be_open_too() {
    let folder = TempDir::new().unwrap();
    for (grooves, field, value, words) in [
        (json!({"count": "?"}), "count", 180.0, "Usual is 180: common practice."),
        (json!({"count": "? 120"}), "count", 120.0, "We propose 120."),
        (json!({"pitch_deg": "?"}), "pitch_deg", 2.0, "Usual is 2°, 180 grooves: common practice."),
        (json!({"pitch_deg": "? 3°"}), "pitch_deg", 3.0, "We propose 3°, 120 grooves."),
        (json!({}), "pitch_deg", 2.0, "180 grooves"),
    ] {
        let mut order = telephone();
        order["wheel"]["side_a"]["grooves"] = json!({"width": 0.06, "depth": 0.125, "inner_diameter": 17});
        order["wheel"]["side_a"]["grooves"].as_object_mut().unwrap().extend(grooves.as_object().unwrap().clone());
        let file = put(folder.path(), "order.json", &order);
        assert_eq!(open(&checked(&file)), [(format!("/wheel/side_a/grooves/{field}"), Some(value))], "{grooves}");
        let letter = run_on(&file, "check", &["--questions", "customer"]).out;
        assert!(letter.contains(words), "{grooves}: {letter}");
        let count = if field == "count" { value } else { 360.0 / value };
        assert_eq!(
            run_on(&file, "properties", &["--format", "json"]).json()["grooves"]["side_a"]["count"],
            count as u32
        );
    }
}

/// Whatever a feature lacks, the proposals make a wheel that exists, in both units and over the sizes of a shop.
#[test]
fn proposals_make_a_wheel_that_can_exist() {
    let folder = TempDir::new().unwrap();
    let side = json!({"recess": [{"fillet_radius": "?"}, {}], "taper": {}, "corner": {"radius": "?"}, "grooves": {}});
    let other = json!({"corner": {"chamfer": "?"}, "grooves": {"inner_end": "round", "bottom": "round"}});
    let sizes = [
        ("in", 28.0, 1.25, 8.0),
        ("in", 14.0, 0.5, 5.0),
        ("in", 36.0, 3.0, 20.0),
        ("in", 6.0, 0.375, 1.25),
        ("in", 26.0, 2.0, 12.0),
        ("mm", 610.0, 25.0, 203.2),
        ("mm", 300.0, 20.0, 127.0),
        ("mm", 100.0, 10.0, 20.0),
        ("mm", 1060.0, 80.0, 304.8),
        ("mm", 400.0, 6.0, 127.0),
    ];
    for (units, outside, thickness, bore) in sizes {
        for travel in [None, Some(outside / 8.0), Some(outside / 3.0)] {
            let mut order = telephone();
            order["units"] = json!(units);
            order["wheel"] = json!({"outside_diameter": outside, "thickness": thickness, "bore": bore, "bore_chamfer": "?",
                "side_a": side, "side_b": other, "face": {"grooves": {}}});
            if let Some(travel) = travel {
                order["machine"] = json!({"usable_travel": travel, "travel_on": "radius"});
            }
            let file = put(folder.path(), "order.json", &order);
            let ran = run_on(&file, "properties", &["--format", "json"]);
            assert_eq!(
                ran.code, 0,
                "{outside} × {thickness} × {bore} {units}, travel {travel:?}\n{}{}",
                ran.err, ran.out
            );
        }
    }
}

#[test]
fn the_schema_accepts_what_the_reader_does() {
    let schema: Value = serde_json::from_str(&run(wheeldraft().arg("schema")).out).unwrap();
    let grooves = &schema["$defs"]["SideGrooves"];
    assert!(grooves["required"].as_array().is_none_or(Vec::is_empty), "{grooves}");
    let types = &schema["$defs"]["Length"]["type"];
    assert!(types.as_array().unwrap().contains(&json!("string")), "{types}");
}

/// Sizes that are none of the wheel are asked in words too, in every language of a drawing.
#[test]
fn an_open_size_of_the_machine_or_the_mount_has_its_words() {
    let fields = [
        ("blank", &["outside_diameter", "thickness", "bore"][..]),
        ("machine", &["usable_travel"]),
        ("mount", &["flange_diameter", "flange_bearing_width", "bolt_length", "bolt_stack"]),
        (
            "tooling",
            &[
                "groove_cutter_diameter",
                "groove_cutter_width",
                "profile_nose_radius",
                "profile_allowance",
                "side_dress_lead",
            ],
        ),
    ];
    let mut order = telephone();
    let mut count = 0;
    for (part, keys) in fields {
        for key in keys {
            order[part][key] = json!("?");
            count += 1;
        }
    }
    order["machine"]["travel_on"] = json!("radius");
    let shop = ShopRules::built_in();
    let dossier = Dossier::of(crate::support::job(&order), &shop).unwrap();
    for language in Language::ALL {
        let told = dossier.open_sizes_in(language);
        assert!(told.len() >= count, "{told:?}");
        assert!(told.iter().all(|size| !size.contains('_') && !size.contains("mount.")), "{told:?}");
    }
}
