//! `blanks --take`: a stock wheel becomes the blank of an order, or is refused with its reasons.

use super::{Ran, run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;

const STOCK: &str = "id,outside_diameter,thickness,bore,count,marking,max_operating_speed,density,weight,lot,place,maker,expires\n\
    S-1,28 in,2 in,8 in,2,A 54 K 6 V,33 m/s,2.15 g/cm3,,L-1,rack 2,Heron Ridge Abrasives,\n\
    S-2,28 in,2 in,8 in,3,A 54 K 6 V,33 m/s,2.15 g/cm3,,L-2,rack 3,Heron Ridge Abrasives,\n\
    S-3,660.4 mm,2 in,5 in,9,A 54 K 6 V,43 m/s,,36 kg,L-3,rack 1,Tarn Hollow Grinding,2027-05-01\n\
    S-4,26 in,2 in,5 in,9,A 46 K 6 V,33 m/s,2.15 g/cm3,,L-4,rack 1,,\n\
    S-5,28 in,2 in,5 in,9,A 54 K 6 V,33 m/s,2.15 g/cm3,,L-5,rack 1,,2026-01-31\n\
    S-6,710 mm,51 mm,200 mm,9,A 54 K 6 V,33 m/s,2.15 g/cm3,,L-6,rack 1,,\n";

struct Bench {
    folder: TempDir,
    text: String,
}

impl Bench {
    fn new() -> Bench {
        let folder = TempDir::new().unwrap();
        let text = fs::read_to_string(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-data/1042.json")).unwrap();
        fs::write(folder.path().join("stock.csv"), STOCK).unwrap();
        fs::write(folder.path().join("1042.json"), &text).unwrap();
        Bench { folder, text }
    }

    fn blanks(&self, more: &[&str]) -> Ran {
        run(wheeldraft()
            .current_dir(self.folder.path())
            .args(["blanks", "1042.json", "--stock", "stock.csv"])
            .args(more))
    }

    fn order(&self) -> (String, Value) {
        let text = fs::read_to_string(self.folder.path().join("1042.json")).unwrap();
        let value = serde_json::from_str(&text).unwrap();
        (text, value)
    }
}

#[test]
fn the_stock_wheel_is_written_into_the_order_and_all_else_stays() {
    let bench = Bench::new();
    let ran = bench.blanks(&["--take", "S-6"]);
    assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
    let (text, order) = bench.order();
    let blank = &order["blank"];
    for (key, value) in [
        ("stock", json!("S-6")),
        ("place", json!("rack 1")),
        ("lot", json!("L-6")),
        ("outside_diameter", json!("710 mm")),
        ("thickness", json!("51 mm")),
        ("bore", json!("200 mm")),
        ("marking", json!("A 54 K 6 V")),
        ("max_operating_speed", json!("33 m/s")),
        ("density", json!("2.15 g/cm3")),
        // the list does not say, so what was asked stays
        ("maker", json!("Heron Ridge Abrasives")),
        ("maker_agreement", json!("HR-2291 of 2026-02-20")),
    ] {
        assert_eq!(blank[key], value, "{key}: {text}");
    }
    let lost: Vec<&str> = bench.text.lines().filter(|line| !text.contains(line)).collect();
    assert_eq!(lost.len(), 3, "{lost:#?}");
    // inches of the list are plain numbers of a file in inches; weighed is better than listed; another maker has not agreed
    assert_eq!(bench.blanks(&["--take", "S-3"]).code, 0);
    let blank = bench.order().1["blank"].clone();
    assert_eq!(
        (&blank["outside_diameter"], &blank["weight"], &blank["expires"]),
        (&json!(26), &json!("36 kg"), &json!("2027-05-01"))
    );
    assert!(blank.get("density").is_none() && blank.get("maker_agreement").is_none(), "{blank}");
}

/// Where the blank came from and lies is not signed: taking another row of the same kind leaves the approval.
#[test]
fn stock_number_place_and_lot_are_not_signed() {
    let bench = Bench::new();
    let taken = |id: &str| bench.blanks(&["--take", id, "--format", "json"]).json()["fingerprint"].clone();
    let (first, second) = (taken("S-1"), taken("S-2"));
    assert!(first.is_string() && first == second, "{first} {second}");
    assert_ne!(taken("S-3"), first);
}

#[test]
fn what_cannot_be_used_is_refused_with_its_reasons() {
    let bench = Bench::new();
    for (ids, words) in [
        (&["S-4"][..], "marked A 46 K 6 V, asked A 54 K 6 V"),
        (&["S-5"], "expired on 2026-01-31, before the order of 2026-03-02"),
        (&["S-1", "S-3"], "S-1 and S-3 differ in size"),
    ] {
        let arguments: Vec<&str> = ids.iter().flat_map(|id| ["--take", id]).collect();
        let ran = bench.blanks(&arguments);
        assert_eq!((ran.code, ran.out.as_str()), (1, ""), "{}", ran.err);
        assert!(ran.err.contains(words), "{}", ran.err);
        assert_eq!(bench.order().0, bench.text);
    }
    let unknown = bench.blanks(&["--take", "s-4x"]);
    assert_eq!(unknown.code, 2);
    assert!(unknown.err.contains("did you mean S-4?"), "{}", unknown.err);
    let json = bench.blanks(&["--take", "S-4", "--format", "json"]).json();
    assert!(json["taken"].is_null() && json["reasons"][0].as_str().unwrap().contains("S-4"), "{json}");
}

/// Four wheels are ordered, two and three lie in two racks: both rows of one kind make the blank.
#[test]
fn an_order_may_be_split_over_rows_of_one_kind() {
    let bench = Bench::new();
    let few = bench.blanks(&["--take", "S-1"]);
    assert!(few.err.contains("Only 2 of 4 are there"), "{}", few.err);
    let both = bench.blanks(&["--take", "S-1", "--take", "S-2"]);
    assert!(both.code == 0 && !both.err.contains("Only"), "{}", both.err);
    let blank = bench.order().1["blank"].clone();
    assert_eq!(
        (&blank["stock"], &blank["lot"], &blank["place"]),
        (&json!("S-1, S-2"), &json!("L-1, L-2"), &json!("rack 2, rack 3"))
    );
    assert!(!bench.blanks(&[]).err.contains("not as listed"));
}

#[test]
fn a_blank_that_is_not_as_its_row_says_is_noticed() {
    let bench = Bench::new();
    bench.blanks(&["--take", "S-1"]);
    let (text, _) = bench.order();
    let changed = text
        .replace("\"max_operating_speed\": \"33 m/s\"", "\"max_operating_speed\": \"30 m/s\"")
        .replace("\"lot\": \"L-1\"", "\"lot\": \"L-9\"");
    assert_ne!(changed, text);
    fs::write(bench.folder.path().join("1042.json"), &changed).unwrap();
    let ran = bench.blanks(&[]);
    for words in ["marked speed 30 m/s, S-1 of the list 33 m/s", "lot L-9, S-1 of the list L-1"] {
        assert!(ran.err.contains(words), "{}", ran.err);
    }
    let json = bench.blanks(&["--format", "json"]).json();
    assert_eq!(json["blank_not_as_listed"].as_array().unwrap().len(), 2, "{json}");
    fs::write(bench.folder.path().join("1042.json"), text.replace("\"stock\": \"S-1\"", "\"stock\": \"S-77\""))
        .unwrap();
    assert!(bench.blanks(&[]).err.contains("the list has no stock wheel S-77"));
}

/// 24 in are 609.6 mm: for 610 mm that is a question, for 615 mm it is not.
#[test]
fn a_near_miss_is_a_question() {
    let bench = Bench::new();
    let stock = "id,outside_diameter,thickness,bore,max_operating_speed\nN-1,24 in,2 in,5 in,50 m/s\n";
    fs::write(bench.folder.path().join("stock.csv"), stock).unwrap();
    let asked = |wheel: Value| {
        let order = json!({"order": {"number": "7", "revision": "A"}, "units": "mm", "wheel": wheel});
        fs::write(bench.folder.path().join("1042.json"), order.to_string()).unwrap();
        let ran = bench.blanks(&["--format", "json"]);
        assert_eq!(ran.code, 1);
        (ran.json()["rejected"][0]["question"].clone(), bench.blanks(&[]).out)
    };
    let (question, text) = asked(json!({"outside_diameter": 610, "thickness": 50, "bore": 203.2}));
    assert_eq!(question, "Would outside diameter of 609.6 mm instead of 610 mm do?");
    assert!(text.contains("to ask the customer") && text.contains("609.6 mm instead of 610 mm"), "{text}");
    assert!(asked(json!({"outside_diameter": 615, "thickness": 50, "bore": 203.2})).0.is_null());
    // near in one size, far off in another
    assert!(asked(json!({"outside_diameter": 610, "thickness": 80, "bore": 203.2})).0.is_null());
}
