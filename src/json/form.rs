//! What a file holds: its schema, and the words that messages have for it.

use serde_json::Value;

/// What a file holds.
#[derive(Debug)]
pub struct Form {
    /// Its name, with its article before it, such as `an order`.
    pub thing: &'static str,
    /// How to begin a new one, as a hint.
    pub start: &'static str,
    /// What to do with remarks, since JSON has no comments, as a hint.
    pub remarks: &'static str,
    /// What to do where a field that is no length is left open with a question mark, as a hint; empty where nothing may be.
    pub open: &'static str,
    /// How a hint names the outermost object.
    pub whole: &'static str,
    /// JSON Schema (draft 2020-12) of the file; null where anything may stand in it.
    pub schema: &'static Value,
    /// Words of the shop floor for its fields.
    pub other_names: &'static [(&'static str, &'static [&'static str])],
}

impl Form {
    /// Any JSON object.
    pub(super) const ANY: Form = Form {
        thing: "a file of this kind",
        start: "write one",
        remarks: "remove it",
        open: "",
        whole: "the file itself",
        schema: &Value::Null,
        other_names: &[],
    };

    /// Its name without an article.
    pub(super) fn name(&self) -> &'static str {
        self.thing.split_once(' ').map_or(self.thing, |(_, name)| name)
    }

    /// A schema with its `$ref` followed; the description beside the reference wins.
    pub(super) fn followed(&self, schema: &'static Value) -> &'static Value {
        let target = schema["$ref"].as_str().and_then(|r| r.strip_prefix('#')).and_then(|p| self.schema.pointer(p));
        target.unwrap_or(schema)
    }

    /// Names of the objects, as a person would write their place, that have a field of this name.
    pub(super) fn homes(&self, field: &str) -> Vec<String> {
        let mut found = Vec::new();
        self.search(self.schema, String::new(), field, &mut found);
        found
    }

    fn search(&self, schema: &'static Value, at: String, field: &str, found: &mut Vec<String>) {
        let schema = self.followed(schema);
        for (name, inner) in schema["properties"].as_object().into_iter().flatten() {
            if name == field {
                found.push(at.clone());
            }
            let below = if at.is_empty() { name.clone() } else { format!("{at}.{name}") };
            self.search(inner, below, field, found);
        }
        if schema["items"].is_object() {
            self.search(&schema["items"], at, field, found);
        }
    }
}

/// The words an enumeration allows; empty where the schema is none.
pub(super) fn choices(schema: &'static Value) -> Vec<&'static str> {
    schema["oneOf"].as_array().into_iter().flatten().filter_map(|c| c["const"].as_str()).collect()
}

/// The fields of an object's schema.
pub(super) fn fields(schema: &'static Value) -> Vec<&'static str> {
    schema["properties"].as_object().into_iter().flat_map(|p| p.keys()).map(String::as_str).collect()
}
