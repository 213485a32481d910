//! A field and its new value as a person types them: `wheel.side_a.grooves.width=0.06 in`.

use super::edit::in_quotes;
use super::form::{Form, choices};
use super::scan::{Kind, scan};
use super::walk::{admits, expected};
use super::{Edit, Problem, suggest};
use crate::quantity::quoted;
use serde_json::{Number, Value};

/// The change that `PATH=VALUE` asks of a file of this form. The path has dots or strokes, entries of a list their number from 0. The value stands without
/// quotes, as text or number, as the field has it; lists and objects as JSON. Without a value the field goes.
///
/// # Errors
/// Where the form has no such field, or the field takes no such value: the problem names the field and says what would be right.
pub fn setting(form: &Form, typed: &str) -> Result<Edit, Problem> {
    let Some((path, value)) = typed.split_once('=') else {
        let message = format!("{} does not say what the field is set to", quoted(typed));
        return Err(Problem::new("", message, "write PATH=VALUE, such as wheel.thickness=2.5"));
    };
    let keys: Vec<&str> = path.split(['.', '/']).map(str::trim).filter(|key| !key.is_empty()).collect();
    if keys.is_empty() {
        return Err(Problem::new("", format!("{} names no field", quoted(typed)), "write PATH=VALUE, such as wheel.thickness=2.5"));
    }
    let mut at = Spot { form, schema: form.followed(form.schema), pointer: String::new(), name: format!("the {}", form.name()) };
    for key in keys {
        at = at.below(key)?;
    }
    let value = value.trim();
    if value.is_empty() {
        return Ok(Edit::remove(at.pointer));
    }
    at.value(value).map(|value| Edit::set(at.pointer.clone(), value))
}

/// A field of the form.
struct Spot<'f> {
    form: &'f Form,
    schema: &'static Value,
    pointer: String,
    name: String,
}

impl<'f> Spot<'f> {
    fn problem(&self, message: impl Into<String>, hint: impl Into<String>) -> Problem {
        Problem::new(&*self.pointer, message, hint)
    }

    /// What a value of this field may be: one schema, or several.
    fn branches(&self) -> Vec<&'static Value> {
        let several = self.schema["anyOf"].as_array();
        several.map_or_else(|| vec![self.schema], |all| all.iter().map(|b| self.form.followed(b)).collect())
    }

    /// The field of this name, or the entry of this number.
    fn below(self, key: &str) -> Result<Spot<'f>, Problem> {
        let branches = self.branches();
        let listed = branches.iter().map(|b| &b["items"]).find(|items| items.is_object());
        let field = branches.iter().map(|b| &b["properties"][key]).find(|inner| inner.is_object());
        let inner = match (field, listed, key.parse::<usize>()) {
            (Some(inner), ..) | (None, Some(inner), Ok(_)) => inner,
            (None, Some(_), Err(_)) => {
                let hint = format!("the first is 0: {}.0", self.pointer.trim_start_matches('/').replace('/', "."));
                return Err(self.problem(format!("{} is a list; its entries have numbers", self.name), hint));
            }
            (None, None, _) => {
                let objects = branches.iter().find(|b| b["properties"].is_object());
                let (hint, _) = suggest::field(self.form, key, objects.copied().unwrap_or(self.schema), &self.pointer);
                let message = format!("{} has no field {}", self.name, quoted(key));
                return Err(Problem::new(format!("{}/{key}", self.pointer), message, hint));
            }
        };
        let pointer = format!("{}/{key}", self.pointer);
        Ok(Spot { schema: self.form.followed(inner), name: format!("`{key}`"), pointer, ..self })
    }

    /// The value as JSON text.
    fn value(&self, typed: &str) -> Result<String, Problem> {
        let takes = |kind: &Kind| admits(self.form, self.schema, kind);
        if typed.starts_with(['{', '[']) {
            return self.json(typed);
        }
        if takes(&Kind::Number(0.0)) && let Some(number) = number(typed) {
            return Ok(number);
        }
        if takes(&Kind::Bool(true)) && matches!(typed, "true" | "false") {
            return Ok(typed.to_owned());
        }
        if takes(&Kind::Text(String::new())) {
            // quotes of JSON around a text are a habit, not a part of it
            let bare = typed.strip_prefix('"').and_then(|t| t.strip_suffix('"')).unwrap_or(typed);
            let words = choices(self.schema);
            return match words.is_empty() || words.contains(&bare) {
                true => Ok(in_quotes(bare)),
                false => Err(self.problem(format!("{} cannot be {}", self.name, quoted(bare)), suggest::choice(bare, &words))),
            };
        }
        let (what, example) = expected(self.schema);
        Err(self.problem(format!("{} must be {what}, not {}", self.name, quoted(typed)), format!("give {example}")))
    }

    /// A list or an object: JSON as it stands; the order's reader says what is wrong inside it.
    fn json(&self, typed: &str) -> Result<String, Problem> {
        // the scanner reads whole files, and those are objects
        let (whole, faults) = scan(&format!("{{\"value\": {typed}}}"), &Form::ANY);
        match faults.first() {
            None if whole.is_some() => Ok(typed.to_owned()),
            fault => {
                let (message, hint) = fault.map_or_else(Default::default, |f| (f.message.clone(), f.hint.clone()));
                Err(self.problem(message, hint))
            }
        }
    }
}

/// A number as JSON writes it: as typed where that is JSON, `.5` as 0.5.
fn number(typed: &str) -> Option<String> {
    if serde_json::from_str::<Number>(typed).is_ok() {
        return Some(typed.to_owned());
    }
    let value = typed.parse::<f64>().ok().filter(|v| v.is_finite())?;
    Some(Number::from_f64(value)?.to_string())
}

