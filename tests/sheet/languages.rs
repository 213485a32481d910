//! The approval drawing in the customer's language: every order finds its sheets, nothing stays English, cautions stand in both languages.

use super::{case, cases, draw};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use wheeldraft::drawing::{Drawing, Item};
use wheeldraft::language::Language;

fn texts(drawings: &[Drawing]) -> BTreeSet<String> {
    fn walk(items: &[Item], into: &mut BTreeSet<String>) {
        for item in items {
            match item {
                Item::Text(t) => drop(into.insert(t.content.clone())),
                Item::Group(g) => walk(&g.items, into),
                _ => {}
            }
        }
    }
    let mut all = BTreeSet::new();
    drawings.iter().for_each(|d| walk(&d.items, &mut all));
    all
}

fn in_language(order: &Value, language: Language) -> Value {
    let mut order = order.clone();
    order["drawing"]["language"] = json!(language.code());
    order
}

/// The sheets hold no line that is an English text of the table and another one in this language.
#[track_caller]
fn speaks(name: &str, order: &Value, language: Language) {
    let drawn = draw(&in_language(order, language)).unwrap_or_else(|e| panic!("{name} {language:?}: {e}"));
    let all = texts(&drawn.drawings);
    assert!(!all.iter().any(|t| t.contains("???")), "{name} {language:?}: a text is missing");
    for (key, english) in Language::En.texts() {
        // the shop's cautions stay beside the customer's
        let is_own = key.starts_with("cautions.") || key.starts_with("quote.") || key.starts_with("question.");
        if !is_own && language.text(key) != english {
            assert!(!all.contains(english), "{name} {language:?}: {english} is not translated");
        }
    }
    let has = |text: &str| all.contains(text);
    assert!(has("CAUTION") && has(language.text("cautions.title")), "{name} {language:?}: cautions in both languages");
    assert!(has(language.text("size.outside_diameter")) && has(language.text("title.customer")), "{name} {language:?}");
}

#[test]
fn every_kind_of_wheel_is_drawn_in_german() {
    for (name, order) in cases() {
        speaks(&name, &order, Language::De);
    }
}

#[test]
fn the_sheets_speak_french_and_spanish() {
    for name in ["everything-at-once", "three-step-recess-both-sides"] {
        for language in [Language::Fr, Language::Es] {
            speaks(name, &case(name), language);
        }
    }
}

/// Which side lies at the fixed flange is printed where the order says it, in the customer's language, and nowhere guessed.
#[test]
fn the_side_at_the_fixed_flange_is_printed_where_it_is_known() {
    let says = |order: &Value, line: &str| texts(&draw(order).unwrap().drawings).iter().any(|t| t.contains(line));
    let mut order = case("everything-at-once");
    assert!(!says(&order, "fixed flange"));
    order["mount"]["fixed_flange_side"] = json!("B");
    assert!(says(&order, "Side B faces the fixed flange."));
    assert!(says(&in_language(&order, Language::De), "Seite B liegt am festen Flansch an."));
}

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|e| e == "rs") {
            into.push(path);
        }
    }
}

/// Every key the source asks for is in the files, and every text of the files is asked for.
#[test]
fn texts_and_source_name_the_same_keys() {
    const OF_SHEETS: [&str; 6] = ["size.", "sheet.", "view.", "note.", "cautions.", "title."];
    let mut files = Vec::new();
    sources(&PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files);
    let mut asked = BTreeSet::new();
    for file in files {
        let source = fs::read_to_string(file).unwrap();
        let is_key = |s: &&str| {
            OF_SHEETS.iter().any(|p| s.starts_with(p))
                && s.bytes().all(|b| b.is_ascii_lowercase() || matches!(b, b'.' | b'_' | b'0'..=b'9'))
        };
        asked.extend(source.split('"').filter(is_key).map(str::to_owned));
    }
    let known: BTreeSet<String> =
        Language::En.texts().keys().filter(|k| OF_SHEETS.iter().any(|p| k.starts_with(p))).cloned().collect();
    let lacking: Vec<_> = asked.difference(&known).filter(|k| !k.ends_with(".js") && !k.ends_with(".css")).collect();
    let idle: Vec<_> = known.difference(&asked).collect();
    assert!(
        known.len() > 100 && lacking.is_empty() && idle.is_empty(),
        "missing: {lacking:?}; never asked for: {idle:?}"
    );
}

/// A question reaches the customer in the customer's language, with its numbers in the order's unit.
#[test]
fn questions_are_asked_in_the_customers_language() {
    let order = json!({
        "order": {"number": "7", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 750, "thickness": 80, "bore": 305, "side_a": {"recess": [{"diameter": 450, "depth": 20}]}},
        "blank": {"marking": "A 54 K 6 V", "max_operating_speed": "33 m/s"}, "drawing": {"language": "de"}
    });
    let shop = wheeldraft::rules::ShopRules::built_in();
    let dossier = wheeldraft::dossier::Dossier::of(crate::support::job(&order), &shop).unwrap();
    let template = wheeldraft::sheet::template::Template::plain().unwrap();
    let drawn =
        wheeldraft::sheet::approval(&wheeldraft::sheet::Inputs { dossier: &dossier, template: &template }).unwrap();
    let all: String = texts(&drawn.drawings).into_iter().collect::<Vec<_>>().join("|");
    for words in ["Fragen an den Kunden", "Welchen Durchmesser haben die Flansche?", "Hohlkehle von"] {
        assert!(all.contains(words), "{words}: {all}");
    }
    assert!(!all.contains("What diameter do the flanges have"), "{all}");
}
