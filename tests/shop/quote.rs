//! `quote`: times by hand from the sizes, prices by whole cents, the operations those of the traveller, both sheets, every language.

use super::{case, crankshaft, put, run, wheeldraft};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::f64::consts::PI;
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;
use wheeldraft::language::Language;
use wheeldraft::quote::{BUILT_IN, Rates};
use wheeldraft::shop::traveller::Template;

fn rates() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("templates/rates.json")
}

/// A wheel whose times can be worked out by hand.
fn plain() -> Value {
    json!({
        "order": {"number": "9", "revision": "A", "date": "2026-03-02", "quantity": 3}, "units": "mm",
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127,
            "side_a": {"grooves": {"count": 90, "width": 3, "depth": 4, "inner_diameter": 250}}},
        "blank": {"outside_diameter": 406, "thickness": 50, "bore": 76.2, "density": "2.2 g/cm3", "max_operating_speed": "35 m/s"},
    })
}

fn quoted(order: &Value, more: &[&str]) -> Value {
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "order.json", order);
    let ran =
        run(wheeldraft().arg("quote").arg(file).arg("--rates").arg(rates()).args(["--format", "json"]).args(more));
    assert!(!ran.out.is_empty(), "{}", ran.err);
    ran.json()
}

fn line<'a>(quotation: &'a Value, operation: &str) -> &'a Value {
    quotation["lines"].as_array().unwrap().iter().find(|l| l["operation"] == operation).unwrap()
}

/// Calculated: ring volumes over the removal rate, two passes along the path, and the fixed minutes of the rates.
#[test]
fn minutes_are_those_of_the_sizes() {
    let q = quoted(&plain(), &[]);
    let ring = |d: f64, h: f64, t: f64| PI / 4.0 * (d * d - h * h) * t;
    for (operation, minutes) in [
        ("bore", 6.0 + ring(127.0, 76.2, 50.0) / 60e3 + 2.0 * 50.0 / 80.0),
        ("outside-diameter", 4.0 + ring(406.0, 400.0, 50.0) / 90e3 + 2.0 * 50.0 / 120.0),
        // 4 mm deep in passes of 1.6 mm are 3; 75 mm long and 20 mm run on
        ("grooves-side-a", 5.0 + 90.0 * (3.0 * (95.0 / 500.0 + 95.0 / 3000.0) + 3.0 / 60.0)),
        ("balance", 10.0),
    ] {
        let got = line(&q, operation)["each_min"].as_f64().unwrap();
        assert!((got - minutes).abs() < 1e-9, "{operation}: {got} against {minutes}");
    }
    // the blank is as thick as the wheel: nothing to reduce
    assert!(q["lines"].as_array().unwrap().iter().all(|l| l["operation"] != "thickness"));
}

/// Calculated in hundredths, apart from the program: the sum is carried on unrounded, the price of one is rounded to half a euro, once.
#[test]
fn a_price_is_the_sum_of_its_parts_rounded_once() {
    let q = quoted(&plain(), &["--blank-cost", "181.00"]);
    let of = |l: &Value, key: &str| l[key].as_f64().unwrap();
    let priced = q["prices"].as_array().unwrap();
    assert_eq!(priced.iter().map(|p| p["quantity"].as_u64().unwrap()).collect::<Vec<_>>(), [1, 2, 3, 5, 10]);
    let scrap_kg = q["blank"]["scrap_kg"].as_f64().unwrap();
    for p in priced {
        let n = p["quantity"].as_f64().unwrap();
        let work: f64 = q["lines"]
            .as_array()
            .unwrap()
            .iter()
            .map(|l| of(l, "hourly") / 60.0 * (of(l, "setup_min") + of(l, "each_min") * n * 1.04))
            .sum();
        let costs = work + 181.0 * n * 1.04 * 1.12 + 0.35 * scrap_kg * n;
        let sum = costs * 1.15 * 1.12;
        let each = (sum.max(180.0) / n * 2.0).round() / 2.0;
        assert_eq!(of(p, "each"), each, "{n} wheels");
        assert_eq!(of(p, "total"), each * n);
        let parts: f64 = p["parts"].as_object().unwrap().values().map(|v| v.as_f64().unwrap()).sum();
        assert!((parts - sum.max(180.0)).abs() < 1e-6, "{parts} against {sum}");
    }
    assert!((scrap_kg - 2.2e-6 * q["blank"]["removed"].as_f64().unwrap()).abs() < 1e-9);
    assert_eq!(q["valid_until"], "2026-04-01");
}

#[test]
fn the_operations_are_those_of_the_traveller() {
    let order = crankshaft();
    let q = quoted(&order, &[]);
    let job = crate::support::job(&order);
    let needed: Vec<String> = Template::built_in()
        .unwrap()
        .entries
        .iter()
        .filter_map(|e| e.operation.filter(|o| o.is_needed(&job)))
        .map(|o| o.key().to_owned())
        .collect();
    let got: Vec<&str> = q["lines"].as_array().unwrap().iter().map(|l| l["operation"].as_str().unwrap()).collect();
    assert_eq!(got, needed);
}

#[test]
fn the_cheapest_stock_wheel_with_enough_is_reckoned_with_or_the_one_named() {
    let stock = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-data/stock.csv");
    let stock = stock.to_str().unwrap();
    let q = quoted(&crankshaft(), &["--stock", stock]);
    assert_eq!(q["blank"]["stock"], "S-101");
    assert_eq!(q["blank"]["cost"], json!(412.0));
    let q = quoted(&crankshaft(), &["--stock", stock, "--blank", "S-104"]);
    assert_eq!(q["blank"]["stock"], "S-104");
    let ran = run(wheeldraft()
        .arg("quote")
        .arg(case("crankshaft-wheel-grooved.json"))
        .arg("--rates")
        .arg(rates())
        .args(["--stock", stock, "--blank", "S-113"]));
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("marked A 46 K 6 V, asked A 54 K 6 V"), "{}", ran.err);
}

#[test]
fn without_a_blank_there_is_no_price_and_it_says_so() {
    let mut order = plain();
    order.as_object_mut().unwrap().remove("blank");
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "order.json", &order);
    let sheet = folder.path().join("quote.svg");
    let ran = run(wheeldraft().arg("quote").arg(file).arg("--rates").arg(rates()).arg("-o").arg(&sheet));
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(ran.err.contains("No price can be named"), "{}", ran.err);
    assert!(fs::read_to_string(sheet).unwrap().contains("No price can be named yet"));
}

#[test]
fn a_blank_without_cost_is_not_in_the_price_and_the_sheet_says_so() {
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "order.json", &plain());
    let sheet = folder.path().join("quote.svg");
    let mut command = wheeldraft();
    command.arg("quote").arg(file).arg("--rates").arg(rates()).arg("-o").arg(&sheet);
    let ran = run(&mut command);
    let words = fs::read_to_string(&sheet).unwrap();
    assert!(words.contains("is not in the price"), "{}", ran.err);
    let print = wheeldraft::wheel::Fingerprint::of(&crate::support::job(&plain()));
    assert!(words.contains(&format!("fingerprint {}", print.short())));
    assert!(words.contains("2026-04-01") && words.contains("Open questions"));
}

#[test]
fn the_inner_sheet_shows_every_line_with_its_formula() {
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "order.json", &plain());
    let sheet = folder.path().join("inner.svg");
    run(wheeldraft().arg("quote").arg(file).arg("--rates").arg(rates()).arg("--inner").arg("-o").arg(&sheet));
    let words = fs::read_to_string(&sheet).unwrap();
    let q = quoted(&plain(), &[]);
    for l in q["lines"].as_array().unwrap() {
        assert!(words.contains(l["title"].as_str().unwrap()), "{l}");
    }
    // the sheet has the order's decimal sign
    assert!(words.contains("÷ 60 cm³/min + 2 × 50,0 mm ÷ 80"), "the bore's formula");
    assert!(words.contains("margin, 12 %") && words.contains("overhead, 15 %"));
}

#[test]
fn what_is_wrong_with_rates_is_told_with_its_place() {
    let mut wrong: Value = serde_json::from_str(BUILT_IN).unwrap();
    wrong["hourly"][1]["hour"] = json!("82,00");
    wrong["margin_share"] = json!(-0.1);
    wrong["operations"][2]["at"] = json!("lath");
    wrong["operations"][3].as_object_mut().unwrap().remove("feed_mm_per_min");
    wrong["operations"][12]["depth_per_pass_mm"] = json!(0);
    let traveller = Template::built_in().unwrap();
    let problems = Rates::read(serde_json::to_string_pretty(&wrong).unwrap().as_bytes(), &traveller).unwrap_err();
    let fields: BTreeSet<String> = problems.iter().map(|p| p.problem.field.clone()).collect();
    for field in [
        "/hourly/1/hour",
        "/margin_share",
        "/operations/2/at",
        "/operations/3/feed_mm_per_min",
        "/operations/12/depth_per_pass_mm",
    ] {
        assert!(fields.contains(field), "{field}: {fields:?}");
    }
    let mut wrong: Value = serde_json::from_str(BUILT_IN).unwrap();
    wrong["operations"].as_array_mut().unwrap().remove(4);
    let problems = Rates::read(wrong.to_string().as_bytes(), &traveller).unwrap_err();
    assert!(problems[0].problem.message.contains("outside-diameter"), "{problems}");
    let mut wrong: Value = serde_json::from_str(BUILT_IN).unwrap();
    wrong["hourley"] = json!([]);
    let problems = Rates::read(wrong.to_string().as_bytes(), &traveller).unwrap_err();
    assert!(problems[0].problem.hint.contains("hourly"), "{problems}");
}

#[test]
fn the_shipped_rates_fit_the_shipped_traveller() {
    Rates::read(BUILT_IN.as_bytes(), &Template::built_in().unwrap()).unwrap();
    assert_eq!(fs::read_to_string(rates()).unwrap(), BUILT_IN);
}

/// Names in braces.
fn names(text: &str) -> BTreeSet<&str> {
    text.split('{').skip(1).map(|rest| rest.split('}').next().unwrap()).collect()
}

#[test]
fn every_language_has_every_text_with_the_same_names() {
    let english = Language::En.texts();
    assert!(english.len() > 40);
    for language in Language::ALL {
        let texts = language.texts();
        assert_eq!(texts.keys().collect::<Vec<_>>(), english.keys().collect::<Vec<_>>(), "{language:?}");
        for (key, text) in texts {
            assert!(!text.trim().is_empty(), "{language:?} {key}");
            assert_eq!(names(text), names(&english[key]), "{language:?} {key}");
        }
    }
}

/// Every key the source asks for is in the files.
#[test]
fn no_text_that_is_asked_for_is_missing() {
    let source = fs::read_to_string(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/quote/paper.rs")).unwrap();
    let asked: Vec<&str> = source.split('"').filter(|s| s.starts_with("quote.")).collect();
    assert!(asked.len() > 20);
    for key in asked {
        assert!(Language::En.texts().contains_key(key), "{key}");
    }
    for operation in wheeldraft::shop::operation::Operation::ALL {
        let key = operation.key().trim_end_matches("-side-a").trim_end_matches("-side-b").to_owned();
        assert!(Language::En.texts().contains_key(&format!("operation.{key}")), "{key}");
    }
}

#[test]
fn the_customer_reads_the_sheet_in_the_language_asked_for() {
    let folder = TempDir::new().unwrap();
    let file = put(folder.path(), "order.json", &plain());
    for (code, title, caution) in
        [("de", "Angebot", "VORSICHT"), ("fr", "Devis", "ATTENTION"), ("es", "Oferta", "PRECAUCIÓN")]
    {
        let sheet = folder.path().join(format!("{code}.svg"));
        let mut command = wheeldraft();
        command.arg("quote").arg(&file).arg("--rates").arg(rates()).args(["--language", code]).arg("-o").arg(&sheet);
        run(&mut command);
        let words = fs::read_to_string(&sheet).unwrap();
        // the caution stands in the customer's language and in the shop's
        assert!(words.contains(title) && words.contains(caution) && words.contains("CAUTION"), "{code}");
    }
}

/// The customer's sheet asks what the customer can answer, in the sheet's language; what the shop settles itself stays in the shop.
#[test]
fn the_sheet_asks_the_customer_s_questions_only() {
    let folder = TempDir::new().unwrap();
    let mut order = plain();
    order["blank"].as_object_mut().unwrap().remove("maker_agreement");
    let mut told = |language: &str| {
        order["drawing"]["language"] = json!(language);
        let file = put(folder.path(), "order.json", &order);
        let sheet = folder.path().join(format!("{language}.svg"));
        run(wheeldraft().arg("quote").arg(&file).arg("--rates").arg(rates()).arg("-o").arg(&sheet));
        let asked = run(wheeldraft().args(["check", "--format", "json"]).arg(&file)).json()["findings"].clone();
        let of = |to: &str| -> Vec<String> {
            let own = asked.as_array().unwrap().iter().filter(|f| f["severity"] == "ask" && f["to"] == to);
            own.map(|f| f["message"].as_str().unwrap().chars().take(24).collect()).collect()
        };
        (fs::read_to_string(sheet).unwrap(), of("customer"), of("shop"))
    };
    let (words, customer, shop) = told("en");
    assert!(!customer.is_empty() && !shop.is_empty(), "{customer:?} {shop:?}");
    assert!(customer.iter().all(|q| words.contains(q)), "{customer:?}");
    assert!(!shop.iter().any(|q| words.contains(q)), "{shop:?}");
    let (words, customer, shop) = told("de");
    assert!(!customer.iter().chain(&shop).any(|q| words.contains(q)), "{customer:?} {shop:?}");
}
