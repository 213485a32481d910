//! Changes of single fields in a text that a person wrote: all the rest of it stays, character by character.

use super::scan::{Kind, Member, Node, scan, token};
use super::{Form, Problem};
use crate::quantity::quoted;

/// One change of a field, which a JSON pointer names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    /// The field.
    pub field: String,
    /// Its new value as JSON text; `None` takes the field away.
    pub value: Option<String>,
}

impl Edit {
    /// The field gets this value, JSON text. What the text lacks of the way to it is made; a list is added to by the number after its last.
    pub fn set(field: impl Into<String>, value: impl Into<String>) -> Edit {
        Edit { field: field.into(), value: Some(value.into()) }
    }

    /// The field gets this text.
    pub fn text(field: impl Into<String>, text: &str) -> Edit {
        Edit::set(field, in_quotes(text))
    }

    /// The field goes.
    pub fn remove(field: impl Into<String>) -> Edit {
        Edit { field: field.into(), value: None }
    }
}

/// A text as JSON writes it.
pub fn in_quotes(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// The text with the changes made one after the other.
///
/// # Errors
/// Where the text is no JSON, or a change names an entry that a list does not have.
pub fn edited(text: &str, edits: &[Edit]) -> Result<String, Problem> {
    let text = text.trim_start_matches('\u{FEFF}');
    edits.iter().try_fold(text.to_owned(), |text, edit| one(&text, edit))
}

fn one(text: &str, edit: &Edit) -> Result<String, Problem> {
    let (root, faults) = scan(text, &Form::ANY);
    let Some(root) = root.filter(|_| faults.is_empty()) else {
        let fault = faults.into_iter().next();
        let (message, hint) = fault.map_or_else(Default::default, |f| (f.message, f.hint));
        return Err(Problem::new(&*edit.field, message, hint));
    };
    let keys: Vec<&str> = edit.field.split('/').skip(1).collect();
    let made = match &edit.value {
        Some(value) => set(text, &root, &keys, value),
        None => Ok(remove(text, &root, &keys)),
    };
    made.map_err(|message| Problem::new(&*edit.field, message, "the first entry of a list is 0, a new one has the next number"))
}

fn set(text: &str, node: &Node, keys: &[&str], value: &str) -> Result<String, String> {
    let Some((key, rest)) = keys.split_first() else { return Ok(spliced(text, node.span.clone(), value)) };
    match &node.kind {
        Kind::Object(members) => match members.iter().find(|m| token(&m.key) == *key) {
            Some(member) => set(text, &member.value, rest, value),
            None => {
                let named = format!("{}: {}", in_quotes(&plain(key)), nested(rest, value)?);
                let places: Vec<[usize; 2]> = members.iter().map(|m| [m.key_span.start, m.value.span.end]).collect();
                Ok(added(text, node, &places, &named))
            }
        },
        Kind::List(items) => match key.parse::<usize>() {
            Ok(i) if i < items.len() => set(text, &items[i], rest, value),
            Ok(i) if i == items.len() => {
                let places: Vec<[usize; 2]> = items.iter().map(|n| [n.span.start, n.span.end]).collect();
                Ok(added(text, node, &places, &nested(rest, value)?))
            }
            Ok(i) => Err(format!("the list has {} entries, not one numbered {i}", items.len())),
            Err(_) => Err(format!("a list has numbered entries, none called {}", quoted(key))),
        },
        // what stood here was no object: it becomes one
        _ => Ok(spliced(text, node.span.clone(), &nested(keys, value)?)),
    }
}

/// A value inside the objects and lists on the way to it.
fn nested(keys: &[&str], value: &str) -> Result<String, String> {
    let Some((key, rest)) = keys.split_first() else { return Ok(value.to_owned()) };
    let inner = nested(rest, value)?;
    match key.parse::<usize>() {
        Ok(0) => Ok(format!("[{inner}]")),
        Ok(i) => Err(format!("the list has no entries yet, so none numbered {i}")),
        Err(_) => Ok(format!("{{{}: {inner}}}", in_quotes(&plain(key)))),
    }
}

/// A token of a pointer without its escapes (RFC 6901).
fn plain(key: &str) -> String {
    key.replace("~1", "/").replace("~0", "~")
}

/// A new entry at the end of an object or list whose entries stand at these places, parted from the last as that is from what is before it.
fn added(text: &str, node: &Node, places: &[[usize; 2]], entry: &str) -> String {
    let Some(&[start, end]) = places.last() else {
        let inside = node.span.start + 1..node.span.end - 1;
        return spliced(text, inside, entry);
    };
    let before = match places.len() {
        1 => node.span.start + 1,
        n => places[n - 2][1],
    };
    let blanks = text[before..start].trim_start_matches([',', ' ', '\t']);
    let gap = if blanks.is_empty() { " " } else { blanks };
    spliced(text, end..end, &format!(",{gap}{entry}"))
}

fn remove(text: &str, node: &Node, keys: &[&str]) -> String {
    let Some((key, rest)) = keys.split_first() else { return text.to_owned() };
    let (places, at): (Vec<[usize; 2]>, Option<(usize, &Node)>) = match &node.kind {
        Kind::Object(members) => {
            let at = members.iter().position(|m| token(&m.key) == *key);
            let place = |m: &Member| [m.key_span.start, m.value.span.end];
            (members.iter().map(place).collect(), at.map(|i| (i, &members[i].value)))
        }
        Kind::List(items) => {
            let at = key.parse::<usize>().ok().filter(|i| *i < items.len());
            (items.iter().map(|n| [n.span.start, n.span.end]).collect(), at.map(|i| (i, &items[i])))
        }
        _ => return text.to_owned(),
    };
    match at {
        None => text.to_owned(),
        Some((_, inner)) if !rest.is_empty() => remove(text, inner, rest),
        Some((i, _)) => without(text, node, &places, i),
    }
}

/// The text without one entry and its comma: with the line it began, where it began one.
fn without(text: &str, node: &Node, places: &[[usize; 2]], i: usize) -> String {
    let [start, end] = places[i];
    let begins_line = text[..start].trim_end_matches([' ', '\t']).ends_with('\n');
    let span = match (i.checked_sub(1), places.get(i + 1)) {
        (None, None) => node.span.start + 1..node.span.end - 1,
        (Some(before), next) if next.is_none() || !begins_line => places[before][1]..end,
        (_, Some([next, _])) => start..*next,
        (Some(before), None) => places[before][1]..end,
    };
    spliced(text, span, "")
}

fn spliced(text: &str, span: std::ops::Range<usize>, with: &str) -> String {
    format!("{}{with}{}", &text[..span.start], &text[span.end..])
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "{\n  \"order\": {\n    \"number\": \"1\", \"date\": \"2026-01-15\",\n    \"notes\": []\n  },\n  \"wheel\": {\"bore\": 8.0}\n}\n";

    fn after(edit: Edit) -> String {
        edited(TEXT, &[edit]).unwrap()
    }

    #[test]
    fn only_what_is_named_changes() {
        assert_eq!(after(Edit::set("/wheel/bore", "5")), TEXT.replace("8.0", "5"));
        assert_eq!(after(Edit::text("/order/number", "2 \"x\"")), TEXT.replace("\"1\"", "\"2 \\\"x\\\"\""));
        assert_eq!(after(Edit::remove("/order/date")), TEXT.replace(", \"date\": \"2026-01-15\"", ""));
        assert_eq!(after(Edit::remove("/order/notes")), TEXT.replace(",\n    \"notes\": []", ""));
        assert_eq!(after(Edit::remove("/order/number")), TEXT.replace("\"number\": \"1\", ", ""));
        assert_eq!(after(Edit::remove("/wheel/bore")), TEXT.replace("\"bore\": 8.0", ""));
        assert_eq!(after(Edit::remove("/wheel/side_a/taper")), TEXT);
    }

    #[test]
    fn what_is_new_stands_as_its_neighbours_do() {
        let new = after(Edit::text("/order/due", "2026-02-01"));
        assert_eq!(new, TEXT.replace("\"notes\": []", "\"notes\": [],\n    \"due\": \"2026-02-01\""));
        let deep = after(Edit::set("/wheel/side_a/recess/0/depth", "0.5"));
        assert_eq!(deep, TEXT.replace("8.0", "8.0, \"side_a\": {\"recess\": [{\"depth\": 0.5}]}"));
        assert_eq!(after(Edit::text("/order/notes/0", "a")), TEXT.replace("[]", "[\"a\"]"));
        let windows = TEXT.replace('\n', "\r\n");
        let made = edited(&windows, &[Edit::set("/units", "\"in\"")]).unwrap();
        assert_eq!(made, windows.replace("8.0}", "8.0},\r\n  \"units\": \"in\""));
    }

    #[test]
    fn a_list_has_no_gaps() {
        let wrong = edited(TEXT, &[Edit::text("/order/notes/1", "a")]).unwrap_err();
        assert_eq!((wrong.field.as_str(), wrong.message.as_str()), ("/order/notes/1", "the list has 0 entries, not one numbered 1"));
        assert!(edited(TEXT, &[Edit::text("/order/notes/last", "a")]).is_err());
        assert!(edited(TEXT, &[Edit::set("/wheel/side_a/recess/1/depth", "1")]).is_err());
        assert!(edited("{\"a\": }", &[Edit::set("/a", "1")]).is_err());
    }
}
