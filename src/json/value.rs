//! Files without a schema of their own, read with the same scanner and the same places.

use super::scan::{Kind, Node, scan};
use super::{Form, Places, Problems};
use serde_json::{Map, Number, Value};

/// The value in a JSON text and where each of its fields stands.
///
/// # Errors
/// Everything wrong with the writing, with its place, in the order of the text: among it fields given twice, which a plain JSON reader
/// lets pass.
pub fn read_json(text: &str) -> Result<(Value, Places), Problems> {
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    let (root, faults) = scan(text, &Form::ANY);
    let places = Places::new(text, root);
    match places.root() {
        Some(root) if faults.is_empty() => Ok((value(root), places)),
        _ => Err(Problems::of(faults.into_iter().map(|f| places.fault(f)).collect())),
    }
}

/// Up to here every whole number is a double.
const WHOLE: f64 = 9_007_199_254_740_992.0;

fn value(node: &Node) -> Value {
    match &node.kind {
        Kind::Null | Kind::Bad => Value::Null,
        Kind::Bool(b) => Value::Bool(*b),
        // a scanned number is a double; whole ones are whole again, so that structs may ask for integers
        Kind::Number(x) if x.fract() == 0.0 && x.abs() < WHOLE => Value::from(*x as i64),
        Kind::Number(x) => Number::from_f64(*x).map_or(Value::Null, Value::Number),
        Kind::Text(text) => Value::String(text.clone()),
        Kind::List(items) => Value::Array(items.iter().map(value).collect()),
        Kind::Object(members) => {
            Value::Object(members.iter().map(|m| (m.key.clone(), value(&m.value))).collect::<Map<_, _>>())
        }
    }
}
