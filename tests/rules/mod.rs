//! The rules: each just inside, on and just outside its limit, and where it does not apply; the shop's file; the command.

mod command;
mod guide;
mod questions;
mod shop_file;
mod table;

use serde_json::Value;
use std::path::{Path, PathBuf};

/// The folder of the cases.
pub fn cases() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/rules")
}

/// A JSON file of the cases.
pub fn case_file(name: &str) -> Value {
    let path = cases().join(format!("{name}.json"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The sound order that the cases change.
pub fn sound() -> Value {
    case_file("sound")["order"].clone()
}

/// Sets the value at a JSON pointer, making objects on the way; null removes it.
pub fn change(order: &mut Value, pointer: &str, value: &Value) {
    let (parent, key) = pointer.rsplit_once('/').expect("a pointer");
    let mut at = order;
    for part in parent.split('/').skip(1) {
        at = match at {
            Value::Array(list) => &mut list[part.parse::<usize>().expect("an index")],
            Value::Object(map) => map.entry(part).or_insert_with(|| Value::Object(Default::default())),
            _ => panic!("{pointer}: no object on the way"),
        };
    }
    match at {
        Value::Array(list) => list[key.parse::<usize>().expect("an index")] = value.clone(),
        Value::Object(map) if value.is_null() => {
            map.shift_remove(key);
        }
        Value::Object(map) => {
            map.insert(key.to_owned(), value.clone());
        }
        _ => panic!("{pointer}: no object there"),
    }
}
