//! The shop's folder: made, found from the order's place, its files used without naming them, its book written to by the commands.

use crate::cli::{Run, run_in};
use serde_json::Value;
use std::fs;
use std::path::Path;
use tempfile::TempDir;
use wheeldraft::json::edited;
use wheeldraft::profile::{Profile, read_cards};
use wheeldraft::quantity::LengthUnit;
use wheeldraft::rules::ShopRules;

const ORDER: &str = "shop/orders/1042.json";

fn typed(at: &Path, arguments: &[&str]) -> Run {
    run_in(at, arguments)
}

#[track_caller]
fn done(at: &Path, arguments: &[&str]) -> Run {
    let run = typed(at, arguments);
    assert_eq!(run.code, 0, "{arguments:?}\n{}{}", run.out, run.err);
    run
}

/// A shop with the demo order in it.
fn shop() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    done(folder.path(), &["new", "--shop", "shop", "--name", "Heron Quay Wheel Works"]);
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    fs::copy(demo.join("1042.json"), folder.path().join(ORDER)).unwrap();
    fs::copy(demo.join("stock.csv"), folder.path().join("shop/stock.csv")).unwrap();
    folder
}

fn events(folder: &Path) -> Vec<String> {
    let text = fs::read_to_string(folder.join("shop/book.jsonl")).unwrap();
    let lines = text.lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
    lines.map(|line| format!("{} {}", line["event"].as_str().unwrap(), line["by"].as_str().unwrap())).collect()
}

#[test]
fn a_new_shop_works_as_it_stands_and_is_never_made_twice() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    done(at, &["new", "--shop", "shop"]);
    for inner in ["orders", "packs", "records"] {
        assert!(at.join("shop").join(inner).is_dir(), "{inner}");
    }
    let before = fs::read(at.join("shop/shop.json")).unwrap();
    assert_eq!(typed(at, &["new", "--shop", "shop", "--name", "Other"]).code, 2);
    fs::remove_file(at.join("shop/shop.json")).unwrap();
    let again = typed(at, &["new", "--shop", "shop"]);
    assert!(again.code == 2 && again.err.contains("exists already"), "{}", again.err);
    fs::write(at.join("shop/shop.json"), before).unwrap();
    // every file that was made is one the program reads
    done(at, &["new", "straight", "--machine", "example grinder", "-o", "shop/orders/a.json"]);
    let checked = typed(at, &["check", "shop/orders/a.json"]);
    assert!(checked.code < 2, "{}", checked.err);
    let drawn = typed(at, &["draw", "shop/orders/a.json", "-o", "a.svg"]);
    assert!(drawn.code < 2, "{}", drawn.err);
    let sheet = fs::read_to_string(at.join("a.svg")).unwrap();
    assert!(sheet.contains("title-block.json)") && !sheet.contains("Quarry Lane"), "no invented firm on a real paper");
}

#[test]
fn its_files_need_not_be_named() {
    let folder = shop();
    let at = folder.path();
    done(at, &["blanks", ORDER]);
    done(at, &["quote", ORDER, "--blank-cost", "412.00"]);
    // the blank is the cheapest of the shop's list, until the order takes one
    let quoted = |arguments: &[&str]| -> Value {
        serde_json::from_str(&done(at, &[&["quote", ORDER, "--format", "json"], arguments].concat()).out).unwrap()
    };
    let cheapest = quoted(&["--stock", "shop/stock.csv"]);
    assert!(cheapest["blank"]["stock"].is_string());
    assert_eq!(quoted(&[])["prices"], cheapest["prices"]);
    let bought = quoted(&["--blank", "S-102"]);
    assert!(bought["blank"]["stock"] == "S-102" && bought["prices"] != cheapest["prices"], "{bought}");
    done(at, &["draw", ORDER, "-o", "of-shop.svg"]);
    done(at, &["draw", ORDER, "-o", "of-none.svg", "--no-shop"]);
    let read = |name: &str| fs::read_to_string(at.join(name)).unwrap();
    assert!(read("of-shop.svg").contains("Heron Quay") && !read("of-none.svg").contains("Heron Quay"));
    for without in [&["blanks", ORDER, "--no-shop"][..], &["quote", ORDER, "--no-shop"]] {
        assert_eq!(typed(at, without).code, 2, "{without:?}");
    }
    fs::copy(at.join(ORDER), at.join("outside.json")).unwrap();
    done(at, &["blanks", "outside.json", "--shop", "shop"]);
    // the rules of the shop hold, those that are named before them
    let rules = read("shop/shop-rules.json").replacen("built-in rules", "our rules", 1);
    fs::write(at.join("shop/shop-rules.json"), rules).unwrap();
    let named = |arguments: &[&str]| done(at, &[&["draw", ORDER, "-o", "x.svg"], arguments].concat());
    named(&[]);
    assert!(read("x.svg").contains("our rules"));
    let built_in = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/shop-rules.json");
    named(&["--shop-rules", built_in.to_str().unwrap()]);
    assert!(!read("x.svg").contains("our rules"));
}

#[test]
fn commands_write_their_line() {
    let folder = shop();
    let at = folder.path();
    done(at, &["new", ORDER, "--number", "2010", "-o", "shop/orders/2010.json"]);
    done(at, &["approve", ORDER, "--by", "R. Adeyemi", "--date", "2026-03-04"]);
    done(at, &["blanks", ORDER, "--take", "S-101"]);
    done(at, &["pack", ORDER, "-o", "shop/packs/1042-B"]);
    done(at, &["cut", ORDER, "-o", "machine"]);
    done(at, &["label", ORDER, "--wheel", "1", "-o", "label.svg"]);
    done(at, &["approve", ORDER, "--withdraw", "another machine"]);
    // what is not done is not written down, nor is what is done without the shop
    assert_eq!(typed(at, &["approve", ORDER, "--by", "R. Adeyemi", "--date", "1999-01-01"]).code, 2);
    done(at, &["label", ORDER, "--wheel", "1", "-o", "label.svg", "--no-shop"]);
    let found: Vec<String> = events(at).iter().map(|e| e.split(' ').next().unwrap().to_owned()).collect();
    assert_eq!(found, ["taken", "approved", "stock-taken", "packed", "cut", "labelled", "withdrawn"]);
    assert_eq!(events(at)[1], "approved R. Adeyemi");
    done(at, &["book", "shop", "--check"]);
    let all = done(&at.join("shop/orders"), &["book", "--format", "json"]);
    let all: Value = serde_json::from_str(&all.out).unwrap();
    let orders: Vec<_> = all["orders"].as_array().unwrap().iter().map(|o| o["order"].as_str().unwrap()).collect();
    assert_eq!(orders, ["1042-B", "2010-A"]);
}

#[test]
fn a_wrong_file_is_answered_with_its_place() {
    let folder = shop();
    let at = folder.path();
    let text = fs::read_to_string(at.join("shop/shop.json")).unwrap();
    fs::write(at.join("shop/shop.json"), text.replace("\"rates\"", "\"rate\"")).unwrap();
    let run = typed(at, &["check", ORDER]);
    assert!(run.code == 2 && run.err.contains("shop.json:7:") && run.err.contains("rates"), "{}", run.err);
    assert!(typed(at, &["check", ORDER, "--no-shop"]).code < 2);
    assert!(Profile::read(b"{\"format\": 2, \"name\": \"\", \"stock\": \" \"}").unwrap_err().len() == 2);
    let twice = br#"{"format": 1, "machines": [{"name": "a", "units": "mm"}, {"name": "a", "units": "mm", "mount": {"bolt_length": "3"}}]}"#;
    assert_eq!(read_cards(twice).unwrap_err().len(), 2);
}

/// A card in inches fills an order in millimetres with the same lengths, and the order says all of it itself.
#[test]
fn a_card_keeps_its_lengths_in_an_order_of_the_other_unit() {
    let cards = read_cards(include_bytes!("../../templates/machines.json")).unwrap();
    let orders = [include_str!("../../demo-data/1042.json"), include_str!("../../demo-data/1043.json")];
    for (order, unit) in orders.into_iter().zip([LengthUnit::Inch, LengthUnit::Millimetre]) {
        let before = ShopRules::built_in().open(order.as_bytes()).unwrap();
        assert_eq!(before.units, unit);
        let filled = edited(order, &cards[0].edits(unit)).unwrap();
        let job = ShopRules::built_in().open(filled.as_bytes()).unwrap();
        assert_eq!(job.machine.name.as_deref(), Some("example grinder"));
        assert_eq!((job.machine.usable_travel, job.mount.bolt_length), (Some(101.6), Some(76.2)));
        assert_eq!(job.wheel, before.wheel);
    }
}

/// What is kept for one order is not there for another, until it is let go, taken, or planned anew.
#[test]
fn blanks_are_kept_for_orders() {
    let folder = shop();
    let at = folder.path();
    let text = fs::read_to_string(at.join(ORDER)).unwrap();
    let other = text.replace("\"number\": \"1042\"", "\"number\": \"1043\"");
    assert_ne!(other, text);
    fs::write(at.join("shop/orders/1043.json"), other).unwrap();
    let there = |order: &str| -> Vec<(String, u64)> {
        let out = done(at, &["blanks", order, "--format", "json"]).out;
        let told: Value = serde_json::from_str(&out).unwrap();
        let rows = told["suitable"].as_array().unwrap().iter().chain(told["rejected"].as_array().unwrap());
        rows.map(|r| (r["id"].as_str().unwrap().to_owned(), r["count"].as_u64().unwrap_or(0))).collect()
    };
    let sum = |rows: Vec<(String, u64)>| rows.iter().map(|r| r.1).sum::<u64>();
    let before = sum(there("shop/orders/1043.json"));
    let kept = typed(at, &["blanks", ORDER, "--reserve"]);
    assert!(kept.code == 0 && kept.err.contains("4 blanks are kept"), "{}{}", kept.out, kept.err);
    assert_eq!(sum(there("shop/orders/1043.json")), before - 4);
    assert_eq!(sum(there(ORDER)), before, "an order may use what is kept for it");
    // once more takes the place of the first, it does not keep twice as many
    done(at, &["blanks", ORDER, "--reserve"]);
    assert_eq!(sum(there("shop/orders/1043.json")), before - 4);
    done(at, &["book", "shop", "--add", "released", "--order", "1042-B"]);
    assert_eq!(sum(there("shop/orders/1043.json")), before);
    done(at, &["blanks", "shop/orders", "--reserve"]);
    done(at, &["blanks", ORDER, "--take", "S-101"]);
    let traced = done(at, &["book", "shop", "--format", "json"]).out;
    assert!(traced.contains("stock-taken"), "{traced}");
    assert_eq!(typed(at, &["blanks", ORDER, "--reserve", "--no-shop", "--stock", "shop/stock.csv"]).code, 2);
    done(at, &["book", "shop", "--check"]);
}
