//! Every order that ships is right: it validates against the published schema, and it resolves.

use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use wheeldraft::order::{TEMPLATES, schema};
use wheeldraft::rules::ShopRules;

/// Templates, demo data and the orders of the reference judges.
pub fn orders() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all: Vec<PathBuf> = TEMPLATES.iter().map(|t| root.join(format!("templates/{}.json", t.name))).collect();
    for folder in ["demo-data", "tests/reference/orders"] {
        let entries = fs::read_dir(root.join(folder)).unwrap().map(|e| e.unwrap().path());
        // the rates stand beside the orders of the invented shop
        let is_order = |p: &PathBuf| p.extension().is_some_and(|e| e == "json") && !p.ends_with("rates.json");
        all.extend(entries.filter(is_order));
    }
    all.sort();
    assert!(all.len() >= 50, "only {} orders are found", all.len());
    all
}

fn validator() -> jsonschema::Validator {
    jsonschema::draft202012::new(schema()).expect("a schema of draft 2020-12")
}

#[test]
fn every_shipped_order_validates_and_resolves() {
    let validator = validator();
    for path in orders() {
        let bytes = fs::read(&path).unwrap();
        let value: Value = serde_json::from_slice(&bytes).unwrap();
        let errors: Vec<String> =
            validator.iter_errors(&value).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(errors.is_empty(), "{}: {errors:#?}", path.display());
        if let Err(problems) = ShopRules::built_in().open(&bytes) {
            panic!("{}: {problems:#?}", path.display());
        }
    }
}

/// A template begins an order nobody has drawn yet; the file is what a person reads first, so it carries every usual part.
#[test]
fn every_template_carries_the_parts_a_shop_needs() {
    for t in TEMPLATES {
        let value: Value = serde_json::from_str(t.text).unwrap();
        for part in ["order", "units", "wheel", "blank", "machine", "mount", "tolerances", "drawing"] {
            assert!(value.get(part).is_some(), "{} has no {part}", t.name);
        }
        assert!(!t.about.is_empty() && t.text.ends_with("}\n"), "{}", t.name);
    }
}

/// The demo orders are the ones their README tells of, no more and no fewer.
#[test]
fn the_demo_folder_is_what_its_readme_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let readme = fs::read_to_string(folder.join("README.md")).unwrap();
    for entry in fs::read_dir(&folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(name == "README.md" || readme.contains(&format!("`{name}`")), "{name} is not in the README");
    }
    for named in readme.split('`').filter(|w| w.ends_with(".json") && !w.contains(' ')) {
        assert!(folder.join(named).is_file(), "{named} does not exist");
    }
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let validator = validator();
    let good: Value = serde_json::from_str(TEMPLATES[4].text).unwrap();
    assert!(validator.is_valid(&good));
    let wrong = [
        ("/wheel/thicknes", json!(2)),
        ("/wheel/bore", json!([8])),
        ("/wheel/side_a/recess/0/filet", json!(1)),
        ("/units", json!("yd")),
        ("/order/number", json!(1042)),
        ("/order/quantity", json!(0)),
        ("/wheel/side_a/grooves/bottom", json!("oval")),
        ("/blank/density", json!(2.15)),
        ("/tolerances/bore", json!({"upper": 0.1})),
        ("/tolerances/bore", json!({"upper": 0.1, "lower": 0, "middle": 0})),
        ("/drawing/dual_units", json!("yes")),
    ];
    for (pointer, value) in wrong {
        let mut bad = good.clone();
        let (parent, key) = pointer.rsplit_once('/').unwrap();
        let parent = bad.pointer_mut(parent).unwrap();
        match parent {
            Value::Object(map) => drop(map.insert(key.to_owned(), value)),
            other => panic!("{pointer}: {other}"),
        }
        assert!(!validator.is_valid(&bad), "the schema takes {pointer}");
        assert!(ShopRules::built_in().open(bad.to_string().as_bytes()).is_err(), "the reader takes {pointer}");
    }
}

/// Every field of every object tells what it is, and no object takes a field it does not know.
#[test]
fn the_schema_describes_every_field_and_is_closed() {
    fn walk(at: &str, schema: &Value) {
        if let Some(fields) = schema["properties"].as_object() {
            assert_eq!(schema["additionalProperties"], json!(false), "{at} is open");
            for (name, field) in fields {
                let text = field["description"].as_str().unwrap_or_default();
                assert!(text.len() > 10 && text.ends_with('.'), "{at}/{name}: {text:?}");
                walk(&format!("{at}/{name}"), field);
            }
        }
        for branch in schema["anyOf"].as_array().into_iter().flatten() {
            walk(at, branch);
        }
    }
    walk("", schema());
    for (name, def) in schema()["$defs"].as_object().unwrap() {
        walk(name, def);
    }
    assert_eq!(schema()["$schema"], "https://json-schema.org/draft/2020-12/schema");
}

/// What is read can be written as an order again, for programs that change one.
#[test]
fn an_order_may_be_written_back_and_is_the_same() {
    for path in orders() {
        let bytes = fs::read(&path).unwrap();
        let order = wheeldraft::order::read(&bytes).content.unwrap();
        let again = serde_json::to_vec(&order).unwrap();
        let (a, b) = (ShopRules::built_in().open(&bytes).unwrap(), ShopRules::built_in().open(&again).unwrap());
        assert_eq!(a.fingerprint(), b.fingerprint(), "{}", path.display());
    }
}
