//! Long names and texts, any language: wrapped, made smaller, continued; nothing is lost.

use super::{case, draw, draw_with};
use crate::support;
use serde_json::json;
use wheeldraft::drawing::{Drawing, Item};
use wheeldraft::rules::{Severity, ShopRules, check};
use wheeldraft::shop::inspection;
use wheeldraft::wheel::Written;

fn lettered(drawings: &[Drawing]) -> String {
    fn walk(items: &[Item], into: &mut String, smallest: &mut f64) {
        for item in items {
            match item {
                Item::Text(t) => {
                    into.push_str(&t.content);
                    *smallest = smallest.min(t.height);
                }
                Item::Group(g) => walk(&g.items, into, smallest),
                _ => {}
            }
        }
    }
    let (mut all, mut smallest) = (String::new(), f64::INFINITY);
    drawings.iter().for_each(|d| walk(&d.items, &mut all, &mut smallest));
    assert!(smallest >= 2.5, "lettering of {smallest} mm");
    all.replace(' ', "")
}

#[test]
fn long_texts_are_told_in_full() {
    let order = case("long-names");
    let all = lettered(&draw(&order).unwrap().drawings);
    for pointer in
        ["/order/number", "/order/customer", "/order/item", "/order/contact", "/order/prepared_by", "/blank/lot"]
    {
        let text = order.pointer(pointer).unwrap().as_str().unwrap().replace(' ', "");
        assert!(all.contains(&text), "{pointer} is not lettered in full");
    }
}

#[test]
fn notes_without_end_go_on_on_further_sheets() {
    let mut order = case("tiny-wheel");
    let notes: Vec<String> =
        (0..160).map(|i| format!("Note {i}: {}", "look at the arrow on side A before mounting, ".repeat(4))).collect();
    order["order"]["notes"] = json!(notes);
    let made = draw(&order).unwrap();
    assert!(made.drawings.len() > 1);
    let all = lettered(&made.drawings);
    assert!(all.contains("Note159:look") && all.contains("160."));
    for (i, sheet) in made.drawings.iter().enumerate() {
        assert!(sheet.title.ends_with(&format!("sheet {} of {}", i + 1, made.drawings.len())));
    }
}

#[test]
fn what_stops_an_order_is_printed_large() {
    let mut order = case("tiny-wheel");
    // a flange far below a third of the outside diameter
    order["mount"] = json!({"flange_diameter": 2});
    let findings = check(&support::job(&order), &ShopRules::built_in()).findings;
    let stop = findings.iter().find(|f| f.severity == Severity::Stop).expect("the flange is too small");
    let all = lettered(&draw_with(&order, &findings).unwrap().drawings);
    // with the decimal sign of the sheet
    let message = Written::of(&support::job(&order)).sentence(&stop.message);
    assert!(all.contains("NOTRELEASED") && all.contains(&message.replace(' ', "")));
    assert!(!lettered(&draw(&order).unwrap().drawings).contains("NOTRELEASED"));
}

#[test]
fn the_tables_number_what_is_inspected_as_the_inspection_sheet_does() {
    for name in ["everything-at-once", "inch-grooved-both-sides", "three-step-recess-both-sides"] {
        let order = case(name);
        let job = support::job(&order);
        let mut rows: Vec<String> = Vec::new();
        for sheet in draw(&order).unwrap().drawings {
            rows.extend(tabled(&sheet.items));
        }
        for item in inspection::items(&job, inspection::Extent::Whole(3)) {
            // groove tables set number and letter in one cell, the dimension table in two
            let [cell, number] = [format!("{} {}", item.number, item.letter), item.number.to_string()];
            let beside = |pair: &[String]| pair[0] == number && (pair[1] == item.letter || pair[1] == item.label);
            let of_form = item.letter.is_empty() && rows.contains(&number);
            let found = rows.contains(&cell) || rows.windows(2).any(beside) || of_form;
            assert!(found, "{name}: no table numbers {} as {number}", item.label);
        }
    }
}

/// The texts of the tables in the order in which they are drawn.
fn tabled(items: &[Item]) -> Vec<String> {
    let mut texts = Vec::new();
    for item in items {
        if let Item::Group(g) = item
            && g.id.starts_with("table-")
        {
            texts.extend(g.items.iter().filter_map(|i| match i {
                Item::Text(t) => Some(t.content.clone()),
                _ => None,
            }));
        }
    }
    texts
}
