//! Long names and texts, any language: wrapped, made smaller, continued; nothing is lost.

use super::{case, draw, draw_with};
use crate::support;
use serde_json::json;
use wheeldraft::drawing::{Drawing, Item};
use wheeldraft::rules::{Severity, ShopRules, check};
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
