//! The end of a call: blanks and price as the commands tell them, approvals by the rules of `approve`, written only where they belong.

use super::client::Page;
use crate::cli::run;
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

const ORDER: &str = include_str!("../../demo-data/1042.json");
const STOCK: &str = include_str!("../../demo-data/stock.csv");
const RATES: &str = include_str!("../../demo-data/rates.json");

fn asked(page: &Page, path: &str, question: &Value) -> Value {
    let reply = page.post(path, question.to_string().as_bytes());
    assert_eq!(reply.status, 200, "{path}");
    reply.json()
}

/// What a command prints.
#[track_caller]
fn told(arguments: &[&str]) -> Value {
    let ran = run(&[arguments, &["--format", "json"]].concat());
    serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {}", ran.err))
}

fn approval(file: Option<&str>, order: &str) -> Value {
    json!({ "order": order, "file": file, "by": "R. Adeyemi", "date": "2026-03-05" })
}

#[test]
fn blanks_and_price_are_those_of_the_commands() {
    let page = Page::start();
    let mut blanks = asked(&page, "/blanks", &json!({ "order": ORDER, "stock": STOCK }));
    for own in ["taken", "units", "mm_per_unit"] {
        assert!(blanks.as_object_mut().unwrap().remove(own).is_some(), "{own}");
    }
    assert_eq!(blanks, told(&["blanks", "demo-data/1042.json", "--stock", "demo-data/stock.csv"]));
    let price = asked(&page, "/quote", &json!({ "order": ORDER, "stock": STOCK, "rates": RATES }));
    let mut quoted =
        told(&["quote", "demo-data/1042.json", "--stock", "demo-data/stock.csv", "--rates", "demo-data/rates.json"]);
    quoted.as_object_mut().unwrap().remove("files");
    assert_eq!(price, quoted);
    for (path, lacks) in [("/blanks", "stock"), ("/quote", "rates")] {
        assert_eq!(asked(&page, path, &json!({ "order": ORDER }))["lacks"], lacks);
    }
    let wrong = asked(&page, "/blanks", &json!({ "order": ORDER, "stock": "a;b\n1;2\n" }));
    assert!(wrong["failure"].as_str().unwrap().starts_with("This is no stock list"), "{wrong}");
    assert!(asked(&page, "/quote", &json!({ "order": "{", "rates": RATES }))["problems"].is_array());
}

#[test]
fn a_stock_wheel_that_cannot_be_used_is_not_taken() {
    let page = Page::start();
    let blanks = asked(&page, "/blanks", &json!({ "order": ORDER, "stock": STOCK }));
    let id = |list: &str| blanks[list][0]["id"].as_str().unwrap().to_owned();
    let take = |id: &str| asked(&page, "/blanks/take", &json!({ "order": ORDER, "stock": STOCK, "ids": [id] }));
    let taken = take(&id("suitable"));
    assert!(taken["text"].as_str().unwrap().contains(&format!("\"stock\": \"{}\"", id("suitable"))), "{taken}");
    for other in [id("rejected"), "no such wheel".to_owned()] {
        let refused = take(&other);
        assert!(
            refused["failure"].as_str().unwrap().starts_with("Not taken: ") && refused["text"].is_null(),
            "{refused}"
        );
    }
}

#[test]
fn an_approval_lies_beside_the_order_that_is_saved() {
    let folder = tempfile::tempdir().unwrap();
    let (file, record) = (folder.path().join("1042.json"), folder.path().join("1042.approval.json"));
    fs::write(&file, ORDER).unwrap();
    let page = Page::start_with(&[folder.path().to_str().unwrap()]);
    let other = ORDER.replace("\"bore\": 8,", "\"bore\": 8.5,");
    for (name, text) in [("1042.json", other.as_str()), ("none.json", ORDER), ("../1042.json", ORDER)] {
        let refused = asked(&page, "/approve", &approval(Some(name), text));
        assert!(refused["failure"].as_str().unwrap().contains("is not the order as it is here"), "{refused}");
    }
    assert!(!record.exists());
    let given = asked(&page, "/approve", &approval(Some("1042.json"), ORDER));
    assert_eq!(given["file"], "1042.approval.json", "{given}");
    assert_eq!(given["record"], fs::read_to_string(&record).unwrap());
    let again = asked(&page, "/approve", &approval(Some("1042.json"), ORDER));
    assert!(again["failure"].as_str().unwrap().contains("is approved already"), "{again}");
    // the command takes it, the list and the sheet say it
    let packed = told(&["pack", file.to_str().unwrap(), "-o", folder.path().join("pack").to_str().unwrap()]);
    assert!(packed["manifest"]["files"].as_array().unwrap().iter().any(|f| f["kind"] == "machine"), "{packed}");
    assert_eq!(page.get("/folder").json()["orders"][0]["state"], "approved");
    let drawn = page.post("/draw/section/1/of/1042.json", ORDER.as_bytes()).json();
    assert_eq!(drawn["approval"]["by"], "R. Adeyemi", "{}", drawn["approval"]);
    assert!(
        page.post("/draw/section/1/of/1042.json", other.as_bytes()).json()["approval"]["why"]
            .as_str()
            .unwrap()
            .contains("void")
    );
    let ended =
        asked(&page, "/approve", &json!({ "order": ORDER, "file": "1042.json", "withdraw": "another machine" }));
    assert_eq!(ended["done"], "withdrawn", "{ended}");
    assert!(page.post("/draw/section/1/of/1042.json", ORDER.as_bytes()).json()["approval"]["by"].is_null());
    // a record that is broken is never written over
    fs::write(&record, "{}").unwrap();
    assert!(asked(&page, "/approve", &approval(Some("1042.json"), ORDER))["failure"].is_string());
    assert_eq!(fs::read_to_string(&record).unwrap(), "{}");
}

#[test]
fn approvals_keep_to_the_rules_of_the_command() {
    let page = Page::start();
    let refused = |order: &str, by: &str, date: &str, words: &str| {
        let answer = asked(&page, "/approve", &json!({ "order": order, "by": by, "date": date }));
        assert!(answer["failure"].as_str().is_some_and(|said| said.contains(words)), "{words}: {answer}");
    };
    refused(ORDER, " ", "2026-03-05", "names who approved");
    refused(ORDER, "R. Adeyemi", "2026-02-30", "2026-02-30");
    refused(ORDER, "R. Adeyemi", "2026-01-05", "before the order");
    refused(ORDER, "R. Adeyemi", "2999-01-05", "has not come yet");
    refused(
        &ORDER.replace("\"flange_diameter\": 12", "\"flange_diameter\": 6"),
        "R. Adeyemi",
        "2026-03-05",
        "the rules stop this order",
    );
    refused(
        &ORDER.replace("\"thickness\": 2, \"bore\": 8", "\"thickness\": \"? 2 in\", \"bore\": 8"),
        "R. Adeyemi",
        "2026-03-05",
        "a draft cannot be approved",
    );
    let straight = include_str!("../../templates/straight.json");
    refused(straight, "R. Adeyemi", "2026-03-05", "open");
    let waived = asked(
        &page,
        "/approve",
        &json!({ "order": straight, "by": "R. Adeyemi", "date": "2026-03-05", "waived": ["by telephone"] }),
    );
    let record: Value = serde_json::from_str(waived["record"].as_str().unwrap()).unwrap();
    assert_eq!(record["approvals"][0]["waived"], "by telephone");
}

#[test]
fn a_pack_goes_into_the_folder_of_the_shop_alone() {
    let place = tempfile::tempdir().unwrap();
    let shop = place.path().join("shop");
    assert_eq!(run(&["new", "--shop", shop.to_str().unwrap()]).code, 0);
    fs::write(shop.join("orders/1042.json"), ORDER).unwrap();
    let put = |folder: &Path| {
        let page = Page::start_with(&[folder.to_str().unwrap()]);
        asked(&page, "/pack/put", &json!({ "order": ORDER, "file": "1042.json", "unapproved": true }))
    };
    let written = put(&shop);
    assert!(written["folder"].as_str().unwrap().ends_with("1042-B"), "{written}");
    let direct = place.path().join("direct");
    let order = shop.join("orders/1042.json");
    assert_eq!(run(&["pack", order.to_str().unwrap(), "-o", direct.to_str().unwrap(), "--unapproved"]).code, 0);
    for entry in fs::read_dir(&direct).unwrap() {
        let name = entry.unwrap().file_name();
        let bytes = |folder: &Path| fs::read(folder.join(&name)).unwrap();
        assert!(bytes(&direct) == bytes(&shop.join("packs/1042-B")), "{name:?}");
    }
    let plain = tempfile::tempdir().unwrap();
    fs::write(plain.path().join("1042.json"), ORDER).unwrap();
    assert!(put(plain.path())["failure"].is_string());
}

#[test]
fn a_blank_from_the_stock_is_in_the_book_once_the_order_is_saved() {
    let place = tempfile::tempdir().unwrap();
    let shop = place.path().join("shop");
    assert_eq!(run(&["new", "--shop", shop.to_str().unwrap()]).code, 0);
    let (file, other) = (shop.join("orders/1042.json"), shop.join("orders/other.json"));
    fs::write(&file, ORDER).unwrap();
    fs::write(&other, ORDER.replace("\"1042\"", "\"2042\"")).unwrap();
    fs::write(shop.join("stock.csv"), STOCK).unwrap();
    let page = Page::start_with(&[shop.to_str().unwrap()]);
    let opened = page.get("/folder/1042.json").json();
    let blanks = asked(&page, "/blanks", &json!({ "order": ORDER }));
    let id = blanks["suitable"][0]["id"].as_str().unwrap().to_owned();
    let text = asked(&page, "/blanks/take", &json!({ "order": ORDER, "ids": [id] }))["text"].clone();
    let lines = || {
        fs::read_to_string(shop.join("book.jsonl"))
            .unwrap_or_default()
            .lines()
            .filter(|l| l.contains("stock-taken"))
            .count()
    };
    assert_eq!(lines(), 0, "what can still be undone is not in the book");
    let save = |file: &str, text: &Value, version: &Value| {
        asked(&page, "/folder", &json!({ "file": file, "text": text, "version": version }))
    };
    let saved = save("1042.json", &text, &opened["version"]);
    assert_eq!((&saved["taken"], &saved["remark"]), (&json!(id), &Value::Null), "{saved}");
    assert_eq!(lines(), 1);
    // the line is that of the command, but for the order it is of
    let taken = run(&["blanks", other.to_str().unwrap(), "--take", &id, "-q"]);
    assert_eq!(taken.code, 0, "{}", taken.err);
    let line = |order: &str| -> Value {
        let book = fs::read_to_string(shop.join("book.jsonl")).unwrap();
        let line = book.lines().find(|l| l.contains("stock-taken") && l.contains(order)).unwrap();
        let mut line: Value = serde_json::from_str(line).unwrap();
        let keys: Vec<String> = line.as_object().unwrap().keys().cloned().collect();
        line["keys"] = json!(keys);
        line
    };
    let (by_page, by_command) = (line("1042-B"), line("2042-B"));
    for same in ["event", "note", "customer", "item", "keys"] {
        assert_eq!(by_page[same], by_command[same], "{same}");
    }
    // once is enough, whatever else changes
    let noted = text.as_str().unwrap().replace("\"quantity\": 4", "\"quantity\": 3");
    assert_eq!(save("1042.json", &json!(noted), &saved["version"])["taken"], Value::Null);
    assert_eq!(save("copy.json", &json!(noted), &Value::Null)["taken"], Value::Null);
    assert_eq!(lines(), 2);
    assert_eq!(run(&["book", "--shop", shop.to_str().unwrap()]).code, 0);
}

#[test]
fn two_states_are_told_as_the_command_tells_them() {
    let page = Page::start();
    let old = include_str!("../../demo-data/1042-revision-a.json");
    let mut answer = asked(&page, "/compare/section", &json!({ "old": old, "new": ORDER }));
    let own = answer.as_object_mut().unwrap();
    assert_eq!(own.remove("views").unwrap().as_array().unwrap().iter().filter(|v| v.is_string()).count(), 2);
    assert!(own.remove("svgs").unwrap()[0].as_str().unwrap().starts_with("<svg"));
    assert_eq!(answer, told(&["compare", "demo-data/1042-revision-a.json", "demo-data/1042.json"]));
    let half = asked(&page, "/compare/section", &json!({ "old": "{}", "new": ORDER }));
    assert!(half["failure"].as_str().unwrap().starts_with("The first order is not finished"), "{half}");
    assert_eq!(page.post("/compare/sheet", b"{}").status, 404);
}

#[test]
fn a_head_that_cannot_be_read_is_refused_in_json_too() {
    let page = Page::start();
    let long = format!("GET / HTTP/1.1\r\nHost: {}\r\nX: {}\r\n\r\n", page.host(), "x".repeat(1 << 20));
    let many = format!("GET / HTTP/1.1\r\nHost: {}\r\n{}\r\n", page.host(), "X: y\r\n".repeat(400));
    let heads = [
        "GET / HTTP/1.1\r\nHo st: x\r\n\r\n",
        "GET  HTTP/1.1\r\n\r\n",
        "no request at all\r\n\r\n",
        "GET / HTTP/9.9\r\n\r\n",
        &long,
        &many,
    ];
    for head in heads {
        let answer = String::from_utf8(page.raw(head.as_bytes())).unwrap();
        let shown: String = head.chars().take(40).collect();
        let (status, body) = answer.split_once("\r\n\r\n").unwrap_or_else(|| panic!("{shown}: {answer}"));
        assert!(status.starts_with("HTTP/1.1 4"), "{shown}: {status}");
        let body: Value = serde_json::from_str(body).unwrap_or_else(|e| panic!("{shown}: {e}: {answer}"));
        assert!(body["refused"].is_string(), "{shown}: {body}");
    }
}

/// A shop's folder in which the demonstration order lies with an answer of long ago and a note of a day.
fn shop_with_an_old_order(place: &Path) -> (std::path::PathBuf, String) {
    let shop = place.join("shop");
    assert_eq!(run(&["new", "--shop", shop.to_str().unwrap()]).code, 0);
    let mut order: Value = serde_json::from_str(ORDER).unwrap();
    order["order"]["notes"] = json!(["Arrow on side A.", "As agreed on 2026-03-02."]);
    order["order"]["due"] = json!("2026-05-01");
    order["answers"] =
        json!([{ "question": "bolt-length", "answer": "2 in", "by": "M. Lindqvist", "date": "2026-03-02" }]);
    let text = serde_json::to_string_pretty(&order).unwrap();
    fs::write(shop.join("orders/1042.json"), &text).unwrap();
    (shop, text)
}

#[test]
fn a_repeat_is_that_of_the_command() {
    let place = tempfile::tempdir().unwrap();
    let (shop, old) = shop_with_an_old_order(place.path());
    let page = Page::start_with(&[shop.to_str().unwrap()]);
    let wanted = json!({ "order": old, "number": "2010", "revision": "A", "date": "2027-03-01", "set": ["wheel.thickness=2.5", "wheel.side_a.grooves.count=120"] });
    let made = asked(&page, "/repeat", &wanted);
    assert_eq!((&made["name"], &made["source"]), (&json!("2010-A"), &json!("1042-B")), "{made}");
    let (file, by_command) = (shop.join("orders/1042.json"), place.path().join("2010.json"));
    let new = run(&[
        "new",
        file.to_str().unwrap(),
        "--number",
        "2010",
        "--date",
        "2027-03-01",
        "--set",
        "wheel.thickness=2.5",
        "--set",
        "wheel.side_a.grooves.count=120",
        "-o",
        by_command.to_str().unwrap(),
        "--format",
        "json",
        "--no-shop",
    ]);
    assert_eq!(new.code, 0, "{}", new.err);
    assert_eq!(made["text"].as_str().unwrap(), fs::read_to_string(&by_command).unwrap());
    assert_eq!(made["left_out"], serde_json::from_str::<Value>(&new.out).unwrap()["not_taken_over"]);
    assert!(made["left_out"].as_array().unwrap().len() >= 3, "{made}");
    // once it is saved the book says that it is taken, once
    let lines = || {
        fs::read_to_string(shop.join("book.jsonl"))
            .unwrap_or_default()
            .lines()
            .filter(|l| l.contains("\"taken\"") && l.contains("2010-A"))
            .count()
    };
    assert_eq!(lines(), 0);
    let save = |file: &str| asked(&page, "/folder", &json!({ "file": file, "text": made["text"], "version": null }));
    assert_eq!(save("2010-A.json")["remark"], Value::Null);
    save("another.json");
    assert_eq!(lines(), 1);
}

#[test]
fn a_repeat_that_would_be_no_order_says_why() {
    let page = Page::start();
    let repeat = |change: &[(&str, Value)]| {
        let mut wanted = json!({ "order": ORDER, "number": "2010", "revision": "A", "date": null });
        change.iter().for_each(|(key, value)| wanted[key] = value.clone());
        let answer = asked(&page, "/repeat", &wanted);
        assert!(answer["text"].is_null(), "{answer}");
        answer["problems"][0].clone()
    };
    assert_eq!(repeat(&[("number", json!("1042")), ("revision", json!("B"))])["field"], "/order/number");
    assert_eq!(repeat(&[("set", json!(["wheel.thikness=2"]))])["field"], "/wheel/thikness");
    assert_eq!(repeat(&[("set", json!(["wheel.bore=40"]))])["field"], "/wheel/bore");
    assert_eq!(repeat(&[("date", json!("1.3.2027"))])["field"], "/order/date");
    assert!(repeat(&[("order", json!("{"))])["line"].is_number());
}
