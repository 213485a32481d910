//! The file held against the schema: every field that is unknown, missing or of the wrong kind, all in one pass.
//!
//! The pass also mends: what is broken is left out, or replaced by a stand-in where the format requires it, so that the values that are
//! sound can still be checked. What was mended is remembered as broken; nothing is ever made from a mended file.

use super::form::{Form, choices};
use super::scan::{Fault, Kind, Node, Span, token};
use super::suggest;
use super::word::clip;
use crate::quantity::quoted;
use serde_json::{Map, Number, Value};

/// So many problems are told of one file; one that has more is something else.
const MOST_FAULTS: usize = 200;

/// What a walk finds.
pub(super) struct Walked {
    pub(super) value: Value,
    pub(super) faults: Vec<Fault>,
    pub(super) broken: Vec<String>,
}

/// Holds a file's tree against the schema.
pub(super) fn walk(text: &str, root: &Node, form: &Form) -> Walked {
    let name = format!("the {}", form.name());
    let mut walk = Walk { form, text, faults: Vec::new(), broken: Vec::new(), path: String::new(), name };
    let value = walk.value(root, form.schema, &(root.span.start..root.span.start + 1));
    let value = value.unwrap_or_else(|| {
        walk.broken.push(String::new());
        stand_in(form, form.schema)
    });
    Walked { value, faults: walk.faults, broken: walk.broken }
}

struct Walk<'a> {
    form: &'a Form,
    text: &'a str,
    faults: Vec<Fault>,
    broken: Vec<String>,
    path: String,
    /// How messages name the value at `path`.
    name: String,
}

impl Walk<'_> {
    /// The value as the structs read it; `None` where it is broken (and noted).
    fn value(&mut self, node: &Node, schema: &'static Value, anchor: &Span) -> Option<Value> {
        let schema = self.form.followed(schema);
        if let Some(branches) = schema["anyOf"].as_array() {
            return match branches.iter().find(|b| admits(self.form, b, &node.kind)) {
                Some(branch) => self.value(node, branch, anchor),
                None => self.wrong(node, schema),
            };
        }
        if !admits(self.form, schema, &node.kind) {
            return self.wrong(node, schema);
        }
        match &node.kind {
            Kind::Object(_) => Some(self.object(node, schema, anchor)),
            Kind::List(items) => self.list(node, items, schema),
            Kind::Text(text) => self.text(node, text, schema),
            Kind::Number(x) => self.number(node, *x, schema),
            Kind::Bool(b) => Some(Value::Bool(*b)),
            Kind::Null => Some(Value::Null),
            Kind::Bad => None,
        }
    }

    fn object(&mut self, node: &Node, schema: &'static Value, anchor: &Span) -> Value {
        let Kind::Object(members) = &node.kind else { return Value::Null };
        let mut out = Map::new();
        let mut meant: Vec<&str> = Vec::new();
        for m in members {
            let named = &schema["properties"][m.key.as_str()];
            let inner = if named.is_object() { named } else { &schema["additionalProperties"] };
            if !inner.is_object() {
                meant.extend(self.unknown(&m.key, &m.key_span, schema));
                continue;
            }
            let value = self.at(&token(&m.key), format!("`{}`", m.key), |w| w.value(&m.value, inner, &m.key_span));
            match value {
                Some(value) => drop(out.insert(m.key.clone(), value)),
                None => self.broken.push(format!("{}/{}", self.path, token(&m.key))),
            }
        }
        let absent = meant.iter().filter(|key| !members.iter().any(|m| m.key == ***key));
        self.broken.extend(absent.map(|key| format!("{}/{key}", self.path)));
        for key in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            let is_given = members.iter().any(|m| m.key == key) || meant.contains(&key);
            if !is_given {
                self.missing(key, anchor, &schema["properties"][key]);
            }
            if !out.contains_key(key) {
                out.insert(key.to_owned(), stand_in(self.form, &schema["properties"][key]));
            }
        }
        Value::Object(out)
    }

    fn unknown(&mut self, key: &str, span: &Span, schema: &'static Value) -> Option<&'static str> {
        let (hint, meant) = suggest::field(self.form, key, schema, &self.path);
        let message = format!("{} has no field {}", self.name, quoted(key));
        self.at(&token(key), String::new(), |w| w.fault(span, message, hint));
        meant
    }

    fn missing(&mut self, key: &str, anchor: &Span, schema: &'static Value) {
        let message = format!("{} has no `{key}`", self.name);
        let about = schema["description"].as_str().unwrap_or_default().trim_end_matches('.');
        let inner = self.form.followed(schema);
        let example = match choices(inner).as_slice() {
            [] => String::new(),
            words => format!(": {}", suggest::listed(words.iter().map(|w| format!("\"{w}\"")))),
        };
        let hint = if example.is_empty() {
            format!("add `{key}`: {}", lower_first(about))
        } else {
            format!("add `{key}`{example}")
        };
        self.at(key, String::new(), |w| w.fault(anchor, message, hint));
        self.broken.push(format!("{}/{key}", self.path));
    }

    fn list(&mut self, node: &Node, items: &[Node], schema: &'static Value) -> Option<Value> {
        let bound = |key: &str| schema[key].as_u64().and_then(|n| usize::try_from(n).ok());
        let (least, most) = (bound("minItems").unwrap_or(0), bound("maxItems").unwrap_or(usize::MAX));
        if !(least..=most).contains(&items.len()) {
            let wanted = if least == most { least.to_string() } else { format!("{least} or more") };
            let message = format!("{} has {} entries, not {wanted}", self.name, items.len());
            self.fault(&self.short(node), message, format!("give {wanted}"));
            return None;
        }
        let (list, schema) = (self.name.clone(), &schema["items"]);
        let mut out = Vec::new();
        for (i, item) in items.iter().enumerate() {
            let name = format!("entry {} of {list}", i + 1);
            let anchor = item.span.start..item.span.start + 1;
            let value = self.at(&i.to_string(), name, |w| w.value(item, schema, &anchor));
            out.push(value.unwrap_or_else(|| {
                self.broken.push(format!("{}/{i}", self.path));
                stand_in(self.form, schema)
            }));
        }
        Some(Value::Array(out))
    }

    fn text(&mut self, node: &Node, text: &str, schema: &'static Value) -> Option<Value> {
        if matches!(schema["x-quantity"].as_str(), Some("count" | "degrees")) && !text.trim().starts_with('?') {
            return self.wrong(node, schema);
        }
        let words = choices(schema);
        if words.is_empty() || words.contains(&text) {
            return Some(Value::String(text.to_owned()));
        }
        let message = format!("{} cannot be {}", self.name, quoted(text));
        self.fault(&node.span, message, suggest::choice(text, &words));
        None
    }

    /// Counts may be written 180.0; everything else stays a double.
    fn number(&mut self, node: &Node, x: f64, schema: &'static Value) -> Option<Value> {
        let is_whole = schema["type"] == "integer" || schema["x-quantity"] == "count";
        if !is_whole {
            return Number::from_f64(x).map(Value::Number);
        }
        let least = schema["minimum"].as_f64().unwrap_or(0.0);
        if x.fract() == 0.0 && x >= least && x <= f64::from(u32::MAX) {
            return Some(Value::from(x as u32));
        }
        let raw = quoted(&self.text[node.span.clone()]);
        if x > f64::from(u32::MAX) {
            self.fault(
                &node.span,
                format!("{} is too large: {raw}", self.name),
                "give a smaller whole number".to_owned(),
            );
            return None;
        }
        let message = format!("{} must be a whole number, {least} or more, not {raw}", self.name);
        self.fault(&node.span, message, format!("give {least}, {}, {} …", least + 1.0, least + 2.0));
        None
    }

    fn wrong(&mut self, node: &Node, schema: &'static Value) -> Option<Value> {
        if matches!(node.kind, Kind::Bad) {
            return None;
        }
        let (what, example) = expected(schema);
        let raw = &self.text[node.span.clone()];
        let got_raw = || clip(raw.lines().next().unwrap_or_default());
        let (got, hint) = match &node.kind {
            Kind::Object(_) | Kind::Text(_) | Kind::Number(_) if admits(self.form, &schema["items"], &node.kind) => {
                (got_raw(), "put it in brackets: [ … ]".to_owned())
            }
            Kind::Text(text) if text.trim().starts_with('?') && !self.form.open.is_empty() => {
                (format!("the text {}", quoted(text)), self.form.open.to_owned())
            }
            Kind::Null => ("null".to_owned(), format!("give {example}, or remove the field")),
            Kind::List(_) => ("a list".to_owned(), format!("give {example}")),
            Kind::Object(_) => ("an object".to_owned(), format!("give {example}")),
            Kind::Text(text) => (format!("the text {}", quoted(text)), self.unquote(text, schema, &example)),
            Kind::Number(_) if admits(self.form, schema, &Kind::Text(String::new())) => {
                let unit = unit_example(schema);
                (format!("the bare number {}", clip(raw)), format!("write \"{}{unit}\"", clip(raw)))
            }
            _ => (clip(raw), format!("give {example}")),
        };
        let (name, span) = (self.name.clone(), self.short(node));
        self.fault(&span, format!("{name} must be {what}, not {got}"), hint);
        None
    }

    fn unquote(&self, text: &str, schema: &'static Value, example: &str) -> String {
        let is_number = text.trim().parse::<f64>().is_ok_and(f64::is_finite);
        let is_bool = matches!(text, "true" | "false");
        if is_number && admits(self.form, schema, &Kind::Number(0.0))
            || is_bool && admits(self.form, schema, &Kind::Bool(true))
        {
            format!("write {} without quotes", text.trim())
        } else {
            format!("give {example}")
        }
    }

    /// The span of a value, of its opening bracket only where it is an object or a list.
    fn short(&self, node: &Node) -> Span {
        match node.kind {
            Kind::Object(_) | Kind::List(_) => node.span.start..node.span.start + 1,
            _ => node.span.clone(),
        }
    }

    fn at<T>(&mut self, token: &str, name: String, inner: impl FnOnce(&mut Self) -> T) -> T {
        let length = self.path.len();
        self.path.push('/');
        self.path.push_str(token);
        let outer = std::mem::replace(&mut self.name, name);
        let out = inner(self);
        self.path.truncate(length);
        self.name = outer;
        out
    }

    fn fault(&mut self, span: &Span, message: String, hint: String) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(Fault { field: self.path.clone(), span: span.clone(), message, hint });
        }
    }
}

/// Whether a schema takes values of this kind at all.
pub(super) fn admits(form: &Form, schema: &'static Value, kind: &Kind) -> bool {
    let schema = form.followed(schema);
    if let Some(branches) = schema["anyOf"].as_array() {
        return branches.iter().any(|b| admits(form, b, kind));
    }
    let names: &[&str] = match kind {
        Kind::Bad => return false,
        Kind::Null => &["null"],
        Kind::Bool(_) => &["boolean"],
        Kind::Number(_) => &["number", "integer"],
        Kind::Text(_) => &["string"],
        Kind::List(_) => &["array"],
        Kind::Object(_) => &["object"],
    };
    match &schema["type"] {
        Value::String(name) => names.contains(&name.as_str()),
        Value::Array(types) => types.iter().filter_map(Value::as_str).any(|t| names.contains(&t)),
        _ => matches!(kind, Kind::Text(_)) && !choices(schema).is_empty(),
    }
}

/// What a schema expects, as a message says it, and an example.
pub(super) fn expected(schema: &'static Value) -> (String, String) {
    let words = choices(schema);
    if !words.is_empty() {
        let all = suggest::listed(words.iter().map(|w| format!("\"{w}\"")));
        return (all.clone(), all);
    }
    let (what, example) = match (schema["x-quantity"].as_str(), schema["type"].as_str()) {
        (Some("length"), _) => ("a length", "a number in the file's units, or text such as \"2-1/2 in\""),
        (Some("limit"), _) => ("a length", "a length in the limit's unit"),
        (Some("ratio"), _) => ("a number", "a number, or a fraction such as \"1/3\""),
        (Some("speed"), _) => ("text with its unit", "\"33 m/s\" or \"6500 ft/min\""),
        (Some("density"), _) => ("text with its unit", "\"2.15 g/cm3\""),
        (Some("mass"), _) => ("text with its unit", "\"12.4 kg\" or \"27 lb\""),
        (Some("tolerance"), _) => ("a tolerance", "a number for ±, \"+0.005/-0\", or {\"upper\": …, \"lower\": …}"),
        (Some("count"), _) => ("a whole number", "a whole number such as 4"),
        (Some("degrees"), _) => ("a number", "a number without quotes"),
        (Some("texts"), _) => ("text, or a list of texts", "text in double quotes, or several in brackets"),
        (_, Some("integer")) => ("a whole number", "a whole number such as 4"),
        (_, Some("number")) => ("a number", "a number without quotes"),
        (_, Some("string")) => ("text", "text in double quotes"),
        (_, Some("boolean")) => ("true or false", "true or false"),
        (_, Some("null")) => ("null", "null: only the source counts here"),
        (_, Some("array")) => ("a list", "a list in brackets [ … ]"),
        _ => ("an object", "an object in braces { … }"),
    };
    (what.to_owned(), example.to_owned())
}

/// The unit that a bare number lacks.
fn unit_example(schema: &'static Value) -> &'static str {
    match schema["x-quantity"].as_str() {
        Some("speed") => " m/s",
        Some("density") => " g/cm3",
        Some("mass") => " kg",
        _ => "",
    }
}

/// The least value that the structs accept in place of a broken one.
fn stand_in(form: &Form, schema: &'static Value) -> Value {
    let schema = form.followed(schema);
    if let Some(first) = choices(schema).first() {
        return Value::from(*first);
    }
    let is = |name: &str| schema["type"] == name || schema["type"].as_array().is_some_and(|t| t[0] == name);
    if is("number") || schema["anyOf"].is_array() {
        Value::from(0.0)
    } else if is("integer") {
        Value::from(0)
    } else if is("string") {
        Value::from("")
    } else if is("boolean") {
        Value::Bool(false)
    } else if is("array") {
        let least = schema["minItems"].as_u64().unwrap_or(0);
        Value::Array((0..least).map(|_| stand_in(form, &schema["items"])).collect())
    } else if is("null") {
        Value::Null
    } else {
        let required = schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str);
        Value::Object(required.map(|key| (key.to_owned(), stand_in(form, &schema["properties"][key]))).collect())
    }
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_lowercase().chain(chars).collect())
}
