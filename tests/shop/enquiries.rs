//! Five enquiries, each played from the customer's first word to the wheel in its box, as the shop's engineer would.

use super::day::fill_in;
use super::{Ran, run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A shop's folder with the demo orders, the stock and the rates.
struct Desk(TempDir);

impl Desk {
    fn new() -> Desk {
        let folder = TempDir::new().unwrap();
        let made = run(wheeldraft().current_dir(folder.path()).args([
            "new",
            "--shop",
            ".",
            "--name",
            "Heron Quay Wheel Works",
        ]));
        assert_eq!(made.code, 0, "{}", made.err);
        let demo = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-data");
        for name in ["1042.json", "stock.csv", "rates.json"] {
            fs::copy(demo.join(name), folder.path().join(name)).unwrap();
        }
        Desk(folder)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// Runs a command line as typed; its exit code is as said.
    #[track_caller]
    fn says(&self, code: i32, line: &[&str]) -> Ran {
        let ran = run(wheeldraft().current_dir(self.0.path()).args(line));
        assert_eq!(ran.code, code, "{line:?}\n{}{}", ran.out, ran.err);
        ran
    }

    fn order(&self, name: &str) -> Value {
        serde_json::from_slice(&fs::read(self.path(name)).unwrap()).unwrap()
    }

    fn write(&self, name: &str, order: &Value) {
        fs::write(self.path(name), format!("{order:#}")).unwrap();
    }

    fn checked(&self, name: &str) -> Value {
        let ran = run(wheeldraft().current_dir(self.0.path()).args(["check", name, "--format", "json"]));
        serde_json::from_str(&ran.out).unwrap()
    }

    fn ids(&self, name: &str) -> Vec<String> {
        let told = self.checked(name);
        let asked = told["findings"].as_array().unwrap().iter().filter(|f| f["severity"] == "ask");
        asked.map(|f| f["id"].as_str().unwrap().to_owned()).collect()
    }

    /// From the signed drawing to the box: approval, pack, first wheel measured, certificate and label.
    #[track_caller]
    fn made_and_boxed(&self, name: &str, stem: &str, date: &str) {
        self.says(
            0,
            &["approve", name, "--by", "R. Adeyemi", "--date", date, "--open-questions", "settled at mounting"],
        );
        let pack = format!("packs/{stem}");
        self.says(0, &["pack", name, "-o", &pack]);
        self.says(0, &["verify", &pack, "--order", name]);
        assert!(self.path(&format!("{pack}/{stem}-profile_mm.dxf")).exists(), "{stem} has no machine files");
        fs::copy(self.path(&format!("{pack}/{stem}-inspection.csv")), self.path("measured.csv")).unwrap();
        fill_in(&self.path("measured.csv"), &format!("{stem}-1"), "2026-05-18", 1560);
        let certificate = format!("{stem}-certificate.pdf");
        self.says(0, &["inspect", name, "measured.csv", "-o", &certificate]);
        self.says(0, &["label", name, "--wheel", "1", "-o", &format!("{stem}-label-1.pdf")]);
        assert!(self.path(&certificate).exists() && Path::exists(&self.path(&format!("{stem}-label-1.pdf"))));
        // one wheel was inspected: the others, where there are any, stay
        let all = self.order(name)["order"]["quantity"].as_u64().unwrap_or(1);
        let note = format!("{stem}-delivery.svg");
        self.says(i32::from(all > 1), &["ship", name, "-o", &note]);
        let (note, book) =
            (fs::read_to_string(self.path(&note)).unwrap(), fs::read_to_string(self.path("book.jsonl")).unwrap());
        let shipped = |n: u64| book.lines().any(|l| l.contains("\"shipped\"") && l.contains(&format!("\"{stem}-{n}-")));
        assert!(shipped(1) && (2..=all).all(|n| !shipped(n)), "{stem}: {book}");
        assert!(
            (1..=all).all(|n| note.contains(&format!("Not on this note: wheel {n}, {stem}-{n}-")) == (n > 1)),
            "{stem}"
        );
        self.not_twice(name, stem, all);
        self.a_year_later(name, stem);
    }

    /// A wheel that has left is not on the next note, and its line in the book stays the only one; a copy of its note is made when it is asked for.
    #[track_caller]
    fn not_twice(&self, name: &str, stem: &str, all: u64) {
        let book = || fs::read_to_string(self.path("book.jsonl")).unwrap();
        let before = book();
        let first = format!("wheel 1, {stem}-1-");
        if all > 1 {
            self.says(1, &["ship", name, "-o", "next.svg"]);
            let next = fs::read_to_string(self.path("next.svg")).unwrap();
            assert!(
                next.contains(&format!("Not on this note: {first}")) && next.contains("left before, on "),
                "{stem}"
            );
        } else {
            let refused = self.says(2, &["ship", name, "-o", "next.svg"]);
            assert!(refused.err.contains("have left before") && !self.path("next.svg").exists(), "{}", refused.err);
        }
        self.says(i32::from(all > 1), &["ship", name, "-o", "again.svg", "--again"]);
        let copy = fs::read_to_string(self.path("again.svg")).unwrap();
        assert!(copy.contains("box list, copy") && !copy.contains(&format!("Not on this note: {first}")), "{stem}");
        assert_eq!(book(), before, "{stem}: neither of them is a line");
    }

    /// A wheel shakes on its machine: its trace code, and the lot of its blank, tell the whole of its life.
    #[track_caller]
    fn a_year_later(&self, name: &str, stem: &str) {
        fs::copy(self.path(name), self.path(&format!("orders/{stem}.json"))).unwrap();
        fs::copy(self.path("measured.csv"), self.path(&format!("records/{stem}-1.csv"))).unwrap();
        let print = self.checked(name)["fingerprint"].as_str().unwrap()[..8].to_owned();
        let code = format!("{stem}-1-{print}");
        let traced = self.says(0, &["book", ".", "--trace", &code, "-o", "complaint.svg"]).out;
        for event in ["approved", "packed", "measured", "tested", "balanced", "labelled", "shipped"] {
            assert!(traced.contains(event), "{stem} {event}: {traced}");
        }
        let sheet = fs::read_to_string(self.path("complaint.svg")).unwrap();
        for words in ["Complaint sheet", "Clearance of the bore", "20 g at the periphery", code.as_str()] {
            assert!(sheet.contains(words), "{stem} {words}");
        }
        // a repeat whose blank was never taken from the rack has no lot
        if let Some(lot) = self.order(name)["blank"]["lot"].as_str() {
            assert!(self.says(0, &["book", ".", "--trace", lot]).out.contains(&code));
        }
        self.says(0, &["book", ".", "--check"]);
    }
}

/// `28 × 1-1/4, 8 hole, grooves every two degrees.`
#[test]
fn an_enquiry_by_telephone() {
    let desk = Desk::new();
    let said = [
        "wheel.outside_diameter=28",
        "wheel.thickness=1-1/4",
        "wheel.side_a={\"grooves\": {\"pitch_deg\": 2}}",
        "wheel.side_b=",
        "order.customer=Otter Bend Crankshafts",
        "blank=",
    ];
    let mut line = vec!["new", "straight", "--number", "3001", "--date", "2026-05-04", "-o", "3001.json"];
    line.extend(said.iter().flat_map(|s| ["--set", s]));
    desk.says(0, &line);
    // the questions go out with a drawing that says what it is; nothing else may happen yet
    let letter = desk.says(0, &["check", "3001.json", "--questions", "customer"]).out;
    assert!(letter.contains("Groove depth, side A: what is it to be? Usual is 0.125 in"), "{letter}");
    desk.says(0, &["draw", "3001.json", "-o", "3001-draft.pdf"]);
    desk.says(2, &["approve", "3001.json", "--by", "R. Adeyemi", "--date", "2026-05-05", "--open-questions", "none"]);
    desk.says(2, &["cut", "3001.json", "-o", "cut", "--unapproved"]);
    // the customer agrees to two of three and wants the grooves farther in; a blank is taken from the rack
    let mut order = desk.order("3001.json");
    order["wheel"]["side_a"]["grooves"] = json!({"pitch_deg": 2, "width": 0.06, "depth": 0.125, "inner_diameter": 19});
    order["tolerances"]["general"] = json!(0.02);
    order["machine"] = json!({"spindle_rpm": 880, "usable_travel": 4, "travel_on": "radius"});
    desk.write("3001.json", &order);
    desk.says(0, &["blanks", "3001.json", "--stock", "stock.csv", "--take", "S-104"]);
    assert!(!desk.ids("3001.json").iter().any(|id| id == "size-open"));
    desk.made_and_boxed("3001.json", "3001-A", "2026-05-06");
}

/// `The same again, but two and a half thick.`
#[test]
fn the_same_again_but_thicker() {
    let desk = Desk::new();
    let changed = [
        "new",
        "1042.json",
        "--number",
        "2010",
        "--date",
        "2026-05-04",
        "--set",
        "wheel.thickness=2.5",
        "-o",
        "2010.json",
    ];
    // the blank of the last time is too thin now, and so are the bolts too short: rules stop the order until both are seen to
    desk.says(0, &changed);
    let stopped = desk.says(1, &["check", "2010.json"]).out;
    assert!(stopped.contains("bolts of 3 in") && stopped.contains("larger than the blank's"), "{stopped}");
    let text =
        fs::read_to_string(desk.path("2010.json")).unwrap().replace("\"bolt_length\": 3.0", "\"bolt_length\": 3.5");
    fs::write(desk.path("2010.json"), text).unwrap();
    let refused = desk.says(1, &["blanks", "2010.json", "--stock", "stock.csv", "--take", "S-101"]);
    assert!(refused.err.contains("short of"), "{}", refused.err);
    desk.says(0, &["blanks", "2010.json", "--stock", "stock.csv", "--take", "S-102"]);
    let compared = desk.says(0, &["compare", "1042.json", "2010.json"]).out;
    assert!(compared.contains("2 in → 2.5 in"), "{compared}");
    let (old, new) = (desk.order("1042.json"), desk.order("2010.json"));
    assert_eq!((&new["order"]["based_on"], &new["blank"]["lot"]), (&json!("1042-B"), &json!("L-2240")));
    assert_eq!(new["wheel"]["side_a"], old["wheel"]["side_a"]);
    desk.made_and_boxed("2010.json", "2010-A", "2026-05-06");
}

/// `610 × 25 for our bench, whatever you have.` The nearest in the rack is 24 in.
#[test]
fn whatever_lies_in_the_rack() {
    let desk = Desk::new();
    let order = json!({
        "order": {"number": "3003", "revision": "A", "date": "2026-05-04", "customer": "Sedge Lane Tools"},
        "units": "mm",
        "wheel": {"outside_diameter": 610, "thickness": 50, "bore": 203.2, "side_a": {"corner": {"radius": 3}}, "side_b": {"corner": {"radius": 3}}},
        "machine": {"spindle_rpm": 950}, "mount": {"flange_diameter": 254},
        "blank": {"marking": "A 54 K 6 V"},
        "tolerances": {"general": 0.5, "bore": "+0.13/+0.03"}
    });
    desk.write("3003.json", &order);
    let told = desk.says(0, &["blanks", "3003.json", "--stock", "stock.csv"]);
    assert!(told.out.contains("S-109") && told.out.contains("609.6 mm instead of 610 mm"), "{}", told.out);
    // the customer takes 24 in
    let mut taken = order;
    taken["wheel"]["outside_diameter"] = json!("24 in");
    taken["answers"] =
        json!([{"question": "flange-third", "answer": "254 mm", "by": "J. Marsh", "date": "2026-05-05"}]);
    desk.write("3003.json", &taken);
    desk.says(0, &["blanks", "3003.json", "--stock", "stock.csv", "--take", "S-109"]);
    let before = desk.checked("3003.json")["fingerprint"].clone();
    desk.made_and_boxed("3003.json", "3003-A", "2026-05-06");
    // another lot of the same kind comes out of the rack: what was signed still holds
    let text = fs::read_to_string(desk.path("3003.json")).unwrap().replace("L-2245", "L-2299");
    fs::write(desk.path("3003.json"), text).unwrap();
    assert_eq!(desk.checked("3003.json")["fingerprint"], before);
    desk.says(0, &["cut", "3003.json", "-o", "again"]);
}

/// `Run it at 1500.` The blank is not marked for that.
#[test]
fn a_wish_that_a_rule_stops() {
    let desk = Desk::new();
    let wish = [
        "new",
        "1042.json",
        "--number",
        "3004",
        "--date",
        "2026-05-04",
        "--set",
        "machine.spindle_rpm=1500",
        "-o",
        "3004.json",
    ];
    desk.says(0, &wish);
    desk.says(1, &["check", "3004.json"]);
    let drawn = desk.says(1, &["draw", "3004.json", "-o", "3004.svg"]);
    assert!(drawn.err.contains("NOT RELEASED"), "{}", drawn.err);
    desk.says(1, &["approve", "3004.json", "--by", "R. Adeyemi", "--date", "2026-05-05"]);
    desk.says(1, &["cut", "3004.json", "-o", "cut", "--unapproved"]);
    assert!(!desk.path("3004.approval.json").exists() && !desk.path("cut").exists());
    // the customer stays with his machine as it was
    let order =
        fs::read_to_string(desk.path("3004.json")).unwrap().replace("\"spindle_rpm\": 1500", "\"spindle_rpm\": 950");
    fs::write(desk.path("3004.json"), order).unwrap();
    desk.made_and_boxed("3004.json", "3004-A", "2026-05-06");
}

/// A list by mail: what it leaves out is asked, each wheel by itself.
#[test]
fn a_list_by_mail() {
    let desk = Desk::new();
    let list = "order number,OD,thickness,bore,qty,grooves,groove width\n\
        4001,26 in,2 in,8 in,1,180,0.06 in\n\
        4003,26 in,2 in,8 in,1,?,? 0.06 in\n\
        4002,26 in,2 in,8 in,2,,\n";
    fs::write(desk.path("list.csv"), list).unwrap();
    desk.says(0, &["intake", "list.csv", "-o", "list"]);
    let names: Vec<String> =
        fs::read_dir(desk.path("list")).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    let file = |number: &str| format!("list/{}", names.iter().find(|n| n.contains(number)).unwrap());
    let (grooved, plain) = (file("4001"), file("4002"));
    assert_eq!(desk.checked(&grooved)["draft"], json!(true));
    let open = desk.ids(&grooved).into_iter().filter(|id| id == "size-open").count();
    assert_eq!((open, desk.checked(&plain)["draft"].clone()), (2, json!(false)));
    desk.says(2, &["cut", &grooved, "-o", "cut", "--unapproved"]);
    // what the list itself asks stays asked
    let asked = desk.says(0, &["check", &file("4003"), "--questions", "customer"]).out;
    assert!(asked.contains("Usual is 180") && asked.contains("We propose"), "{asked}");
    // the plain ones go first
    let mut order = desk.order(&plain);
    order["tolerances"] = json!({"general": "0.5 mm", "bore": "+0.1 mm/0"});
    order["order"]["date"] = json!("2026-05-04");
    order["machine"] = json!({"spindle_rpm": 950});
    order["mount"] = json!({"flange_diameter": "12 in"});
    desk.write(&plain, &order);
    desk.says(0, &["blanks", &plain, "--stock", "stock.csv", "--take", "S-101"]);
    desk.made_and_boxed(&plain, "4002-A", "2026-05-06");
}
