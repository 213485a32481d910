//! A report for programs: one JSON object with whole numbers, not rounded ones.

use crate::report::{Report, Value};
use serde_json::{Value as Json, json};

/// `{"title", "rows": [{"label", "symbol", "value", "unit", "source"}]}`; a value is a number, a text, or null where it is not known.
pub fn json(report: &Report) -> Json {
    let rows: Vec<Json> = report.rows.iter().map(|row| {
        json!({ "label": row.label, "symbol": row.symbol, "value": value(&row.value), "unit": row.unit, "source": row.source })
    })
    .collect();
    json!({ "title": report.title, "rows": rows })
}

/// A number that is not finite is not known.
fn value(value: &Value) -> Json {
    match value {
        Value::Number { value, .. } => json!(value),
        Value::Text(text) => json!(text),
        Value::Unknown => Json::Null,
    }
}
