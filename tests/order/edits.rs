//! Changes of single fields in the text of every shipped order: what is named changes, and nothing else does.

use super::shipped::orders;
use serde_json::Value;
use wheeldraft::json::{Edit, edited};

/// Every field of a value, by pointer.
fn pointers(value: &Value, at: String, into: &mut Vec<String>) {
    let inner: Vec<(String, &Value)> = match value {
        Value::Object(members) => members.iter().map(|(k, v)| (k.clone(), v)).collect(),
        Value::Array(items) => items.iter().enumerate().map(|(i, v)| (i.to_string(), v)).collect(),
        _ => Vec::new(),
    };
    for (key, value) in inner {
        let at = format!("{at}/{key}");
        into.push(at.clone());
        pointers(value, at, into);
    }
}

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}: {text}"))
}

#[test]
fn every_field_of_every_order_can_be_set_and_taken_away() {
    let mut tried = 0;
    for path in orders() {
        let (name, text) = (path.display(), std::fs::read_to_string(&path).unwrap());
        let whole = parsed(&text);
        let mut all = Vec::new();
        pointers(&whole, String::new(), &mut all);
        for pointer in all {
            tried += 1;
            let set = edited(&text, &[Edit::set(&*pointer, "\"X\"")]).unwrap();
            let mut wanted = whole.clone();
            *wanted.pointer_mut(&pointer).unwrap() = Value::from("X");
            assert_eq!(parsed(&set), wanted, "{name}: {pointer} set");
            let less = parsed(&edited(&text, &[Edit::remove(&*pointer)]).unwrap());
            let mut wanted = whole.clone();
            let (parent, key) = pointer.rsplit_once('/').unwrap();
            match wanted.pointer_mut(parent).unwrap() {
                Value::Object(members) => drop(members.remove(key)),
                Value::Array(items) => drop(items.remove(key.parse().unwrap())),
                other => panic!("{other}"),
            }
            assert_eq!(less, wanted, "{name}: {pointer} taken away");
            // and put back where it was not
            let back = edited(&less.to_string(), &[Edit::set(&*pointer, whole.pointer(&pointer).unwrap().to_string())]);
            if key.parse::<usize>().is_err() {
                assert_eq!(parsed(&back.unwrap()), whole, "{name}: {pointer} put back");
            }
        }
    }
    assert!(tried > 500, "only {tried} fields were tried");
}
