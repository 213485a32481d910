//! `new OLD --number N`: an order that repeats an earlier one.

use super::{run, run_in};
use serde_json::Value;
use std::fs;
use tempfile::TempDir;

const DEMO: &str = "demo-data/1042.json";

/// The demo order with everything that belongs to one order alone.
fn shop() -> (TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data/1042.json")).unwrap();
    let text = text.replace(
        "\"quantity\": 4,",
        "\"quantity\": 4,\n    \"due\": \"2026-04-01\", \"customer_order\": \"PO 77\", \"ship_to\": \"Dock 4\",",
    );
    fs::write(folder.path().join("old.json"), &text).unwrap();
    (folder, text)
}

fn made(folder: &TempDir, more: &[&str]) -> (String, String) {
    let arguments = [&["new", "old.json", "--number", "2010", "-o", "new.json"], more].concat();
    let run = run_in(folder.path(), &arguments);
    assert_eq!((run.code, run.out.as_str()), (0, ""), "{}", run.err);
    (fs::read_to_string(folder.path().join("new.json")).unwrap(), run.err)
}

fn value(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}: {text}"))
}

#[test]
fn what_belonged_to_the_earlier_order_is_not_taken_over() {
    let (folder, old) = shop();
    let (new, told) = made(&folder, &["--date", "2027-03-01"]);
    let (before, after) = (value(&old), value(&new));
    let head = &after["order"];
    assert_eq!(
        (&head["number"], &head["revision"], &head["date"], &head["based_on"]),
        (&"2010".into(), &"A".into(), &"2027-03-01".into(), &"1042-B".into())
    );
    assert!(head.get("due").is_none() && head.get("customer_order").is_none(), "{head}");
    assert_eq!(head["notes"], value("[\"Keep the blank's arrow on side A.\"]"));
    assert!(after["blank"].get("lot").is_none(), "{new}");
    for kept in [
        "/order/customer",
        "/order/ship_to",
        "/wheel",
        "/machine",
        "/mount",
        "/tolerances",
        "/answers",
        "/blank/maker_agreement",
    ] {
        assert_eq!(after.pointer(kept), before.pointer(kept), "{kept}");
    }
    for word in ["2026-04-01", "PO 77", "L-2217", "Revision B: grooves", "wheeldraft compare old.json new.json"] {
        assert!(told.contains(word), "{word}: {told}");
    }
    // without a date it has none
    fs::remove_file(folder.path().join("new.json")).unwrap();
    assert!(value(&made(&folder, &["--revision", "C"]).0)["order"].get("date").is_none());
}

/// Every line that nothing was changed in stands in the new file as a person wrote it.
#[test]
fn the_text_stays_as_it_was_written() {
    let (folder, old) = shop();
    let (new, _) = made(&folder, &["--set", "wheel.side_a.grooves.width=0.07 in"]);
    assert!(
        new.contains(
            "\"grooves\": {\"pitch_deg\": 2, \"width\": \"0.07 in\", \"depth\": 0.125, \"bottom\": \"round\","
        ),
        "{new}"
    );
    assert!(new.contains("{\"diameter\": \"14-1/2 in\", \"depth\": 0.5, \"fillet_radius\": 0.06} ],"), "{new}");
    let lost: Vec<&str> = old.lines().filter(|line| !new.lines().any(|l| l == *line)).collect();
    assert!(lost.len() <= 8, "{lost:#?}\n{new}");
}

#[test]
fn any_field_is_set_by_its_path_with_units() {
    let (folder, _) = shop();
    let settings = [
        "wheel.thickness=2.5",
        "blank.thickness=3",
        "wheel.side_a.recess.0.depth=3/8",
        "wheel/side_b/grooves/pitch_deg=3",
        "wheel.bore_chamfer=",
        "wheel.side_b.corner.radius=.12",
        "wheel.side_b.recess.0.diameter=15",
        "wheel.side_b.recess.0.depth=12 mm",
        "blank.max_operating_speed=6500 ft/min",
        "order.customer_order=4711",
        "order.notes.1=Pack two to a box.",
        "tolerances.bore=+0.003/-0",
        "tolerances.thickness.upper=0.02",
        "tolerances.thickness.lower=0",
        "drawing.dual_units=false",
        "machine.natural_frequencies_hz=[900, 1800]",
        "drawing.sheet=A2",
    ];
    let arguments: Vec<&str> = settings.iter().flat_map(|s| ["--set", s]).collect();
    let (new, told) = made(&folder, &arguments);
    let new = value(&new);
    let at = |pointer: &str| new.pointer(pointer).unwrap_or_else(|| panic!("{pointer}: {new:#}")).clone();
    assert_eq!((at("/wheel/thickness"), at("/wheel/side_a/recess/0/depth")), (2.5.into(), "3/8".into()));
    // a count and a pitch, a radius and a chamfer do not stand together
    assert_eq!(new["wheel"]["side_b"]["grooves"].get("count"), None);
    assert_eq!(at("/wheel/side_b/corner"), value("{\"radius\": 0.12}"));
    assert_eq!(at("/wheel/side_b/recess"), value("[{\"diameter\": 15, \"depth\": \"12 mm\"}]"));
    assert_eq!(new["wheel"].get("bore_chamfer"), None);
    assert_eq!((at("/order/customer_order"), at("/order/notes/1")), ("4711".into(), "Pack two to a box.".into()));
    assert_eq!((at("/tolerances/bore"), at("/tolerances/thickness/upper")), ("+0.003/-0".into(), 0.02.into()));
    assert_eq!((at("/drawing/dual_units"), at("/machine/natural_frequencies_hz/1")), (false.into(), 1800.into()));
    // the maker agreed to the wheel as it was
    assert!(new["blank"].get("maker_agreement").is_none() && told.contains("HR-2291"), "{told}");
}

/// An answer holds as long as its question is asked in the same words.
#[test]
fn answers_go_where_their_question_does() {
    let (folder, _) = shop();
    assert_eq!(value(&made(&folder, &[]).0)["answers"].as_array().map(Vec::len), Some(1));
    for changed in ["blank.marking=A 60 K 6 V", "work="] {
        fs::remove_file(folder.path().join("new.json")).unwrap();
        let (new, told) = made(&folder, &["--set", changed]);
        assert!(value(&new).get("answers").is_none() && told.contains("wheel-choice"), "{changed}: {told}\n{new}");
    }
}

#[test]
fn what_cannot_be_set_is_named_by_its_path_and_nothing_is_written() {
    let (folder, old) = shop();
    for (setting, words) in [
        ("wheel.thicknes=2", ["--set wheel.thicknes: ", "did you mean `thickness`?"]),
        ("wheel.thickness=two", ["--set wheel.thickness: ", "write a number and a unit"]),
        ("wheel.thickness=-2", ["--set wheel.thickness: ", "give a length above 0"]),
        ("wheel.bore=30", ["--set wheel.bore: ", "outside diameter"]),
        ("order.quantity=a few", ["--set order.quantity: ", "a whole number"]),
        ("drawing.sheet=A7", ["--set drawing.sheet: ", "A4"]),
        ("wheel.side_a.recess.depth=1", ["--set wheel.side_a.recess: ", "wheel.side_a.recess.0"]),
        ("wheel.side_a.recess.5.depth=1", ["--set wheel.side_a.recess.5.depth: ", "not one numbered 5"]),
        ("blank.max_operating_speed=33", ["--set blank.max_operating_speed: ", "33 m/s or 6500 ft/min"]),
        ("wheel.side_a.grooves.pitch_deg=7", ["--set wheel.side_a.grooves.pitch_deg: ", "nearest are"]),
        ("wheel={", ["--set wheel: ", ""]),
        ("thickness", ["PATH=VALUE", "wheel.thickness=2.5"]),
    ] {
        let run = run_in(folder.path(), &["new", "old.json", "--number", "2010", "--set", setting, "-o", "new.json"]);
        assert_eq!(run.code, 2, "{setting}: {}", run.err);
        assert!(words.iter().all(|w| run.err.contains(w)), "{setting}: {}", run.err);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "{setting}");
    }
    let both =
        run_in(folder.path(), &["new", "old.json", "--number", "2010", "--set", "wheel.a=1", "--set", "wheel.b=2"]);
    assert!(both.err.contains("wheel.a") && both.err.contains("wheel.b"), "{}", both.err);
    assert_eq!(fs::read_to_string(folder.path().join("old.json")).unwrap(), old);
    for (arguments, word) in [
        (&["--number", "1042", "--revision", "B"][..], "1042-B is the order that is repeated"),
        (&["--number", "20 10"], "not safe in a file name"),
        (&["--number", "2010", "--date", "1.3.2027"], "YYYY-MM-DD"),
    ] {
        let run = run(&[&["new", DEMO], arguments].concat());
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{}", run.err);
        assert!(run.err.contains(word), "{}", run.err);
    }
}

#[test]
fn a_template_takes_a_number_and_settings_too() {
    let run = run(&[
        "new",
        "straight",
        "--number",
        "77",
        "--date",
        "2026-05-04",
        "--set",
        "order.customer=Tern Hollow Engines",
    ]);
    assert_eq!(run.code, 0, "{}", run.err);
    let order = value(&run.out);
    assert_eq!((&order["order"]["number"], &order["order"]["customer"]), (&"77".into(), &"Tern Hollow Engines".into()));
    assert_eq!(order["order"].get("based_on"), None);
}
