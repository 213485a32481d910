//! The JSON Schema of the order: made from the structs, and itself the source of the reader's checks.

use super::Order;
use schemars::generate::SchemaSettings;
use serde_json::Value;
use std::sync::LazyLock;

/// JSON Schema (draft 2020-12) of the order file.
pub fn schema() -> &'static Value {
    static SCHEMA: LazyLock<Value> =
        LazyLock::new(|| SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Order>().to_value());
    &SCHEMA
}

/// A schema with its `$ref` followed; the description beside the reference wins.
pub(super) fn followed(schema: &'static Value) -> &'static Value {
    let target = schema["$ref"].as_str().and_then(|r| r.strip_prefix('#')).and_then(|p| self::schema().pointer(p));
    target.unwrap_or(schema)
}

/// The words an enumeration allows; empty where the schema is none.
pub(super) fn choices(schema: &'static Value) -> Vec<&'static str> {
    schema["oneOf"].as_array().into_iter().flatten().filter_map(|c| c["const"].as_str()).collect()
}

/// The fields of an object's schema.
pub(super) fn fields(schema: &'static Value) -> Vec<&'static str> {
    schema["properties"].as_object().into_iter().flat_map(|p| p.keys()).map(String::as_str).collect()
}

/// Names of the objects, as a person would write their place, that have a field of this name.
pub(super) fn homes(field: &str) -> Vec<String> {
    let mut found = Vec::new();
    search(schema(), String::new(), field, &mut found);
    found
}

fn search(schema: &'static Value, at: String, field: &str, found: &mut Vec<String>) {
    let schema = followed(schema);
    for (name, inner) in schema["properties"].as_object().into_iter().flatten() {
        if name == field {
            found.push(at.clone());
        }
        let below = if at.is_empty() { name.clone() } else { format!("{at}.{name}") };
        search(inner, below, field, found);
    }
    if schema["items"].is_object() {
        search(&schema["items"], at, field, found);
    }
}
