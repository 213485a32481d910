//! What a person may have meant by a field or a word that the format does not know.

use super::form::{Form, fields};
use super::word::clip;
use serde_json::Value;

/// Least likeness (Jaro–Winkler, 0 to 1) of a word that is offered.
const LIKE: f64 = 0.84;

/// So many objects are named that a field may belong to.
const MOST_HOMES: usize = 6;

/// So many names are listed where none is near.
const MOST_NAMED: usize = 30;

/// The known word nearest to one that is not, where one is near.
pub fn nearest(word: &str, known: &[&'static str]) -> Option<&'static str> {
    if let Some(same) = same(word, known) {
        return Some(same);
    }
    let word = plain(word);
    // two letters are like almost anything
    let long = |k: &&&str| k.len() > 2;
    let best = known.iter().filter(long).rev().max_by(|a, b| likeness(&word, a).total_cmp(&likeness(&word, b)))?;
    (likeness(&word, best) >= LIKE).then_some(*best)
}

fn plain(word: &str) -> String {
    clip(word).trim().to_lowercase().replace(['-', ' '], "_")
}

fn likeness(word: &str, known: &str) -> f64 {
    let known = plain(known);
    let is_close = strsim::damerau_levenshtein(word, &known) <= 1 + known.len() / 6;
    // what was left off is likelier a unit at the end than another word
    let goes_on = known.strip_prefix(word).is_some_and(|rest| rest.starts_with('_'));
    strsim::jaro_winkler(word, &known) + if is_close { 0.1 } else { 0.0 } + if goes_on { 0.2 } else { 0.0 }
}

/// The known word that is the same but for capitals and strokes.
fn same(word: &str, known: &[&'static str]) -> Option<&'static str> {
    let word = plain(word);
    known.iter().find(|k| plain(k) == word).copied()
}

/// The known word that is the same, or that the shop floor calls so.
fn synonym(word: &str, known: &[&'static str], form: &Form) -> Option<&'static str> {
    let plain = plain(word);
    let other = |name: &str| form.other_names.iter().any(|(n, words)| *n == name && words.contains(&plain.as_str()));
    same(word, known).or_else(|| known.iter().find(|k| other(k)).copied())
}

/// What would be right in place of an unknown field of the object at `pointer`, and the field that was meant.
pub(super) fn field(form: &Form, name: &str, schema: &'static Value, pointer: &str) -> (String, Option<&'static str>) {
    let known = fields(schema);
    // a field that many objects have is none that strayed
    let homes = Some(nearest_homes(form, name, pointer)).filter(|homes| homes.len() <= MOST_HOMES).unwrap_or_default();
    // a field of the format in the wrong object is likelier than a slip of the pen, another name for a field here likelier still
    let meant = synonym(name, &known, form).or_else(|| if homes.is_empty() { nearest(name, &known) } else { None });
    let hint = match meant {
        Some(meant) => format!("did you mean `{meant}`?"),
        None if homes.is_empty() => match elsewhere(form, name, pointer) {
            Some(hint) => hint,
            None if known.len() > MOST_NAMED => format!("none of the {} names known here is like it", known.len()),
            None => {
                let names: Vec<String> =
                    known.iter().filter(|k| !k.starts_with('$')).map(|k| format!("`{k}`")).collect();
                format!("known here: {}", names.join(", "))
            }
        },
        None => format!("it belongs in {}", listed(homes.iter().map(|h| place(form, h)))),
    };
    (hint, meant)
}

/// The objects that have a field of this name, of these the ones nearest to the object at `pointer`: inside it, or with most of its path in common.
fn nearest_homes(form: &Form, name: &str, pointer: &str) -> Vec<String> {
    let here: Vec<&str> = pointer.split('/').filter(|p| !p.is_empty() && p.parse::<usize>().is_err()).collect();
    let common = |home: &String| home.split('.').zip(&here).take_while(|(a, b)| a == *b).count();
    let homes = form.homes(name);
    let most = homes.iter().map(common).max().unwrap_or(0);
    homes.into_iter().filter(|home| common(home) == most).collect()
}

/// Where the field stands that the shop floor calls so, if it is one of another object.
fn elsewhere(form: &Form, name: &str, pointer: &str) -> Option<String> {
    let word = plain(name);
    let meant = form.other_names.iter().filter(|(_, words)| words.contains(&word.as_str()));
    let (field, homes) =
        meant.map(|(n, _)| (n, nearest_homes(form, n, pointer))).find(|(_, homes)| !homes.is_empty())?;
    Some(format!("did you mean `{field}`? It belongs in {}", listed(homes.iter().map(|h| place(form, h)))))
}

fn place(form: &Form, home: &str) -> String {
    if home.is_empty() { form.whole.to_owned() } else { format!("`{home}`") }
}

/// What would be right in place of an unknown word.
pub(super) fn choice(word: &str, known: &[&'static str]) -> String {
    let all = listed(known.iter().map(|k| format!("\"{k}\"")));
    match nearest(word, known) {
        Some(meant) => format!("did you mean \"{meant}\"? Known are {all}"),
        None => format!("give {all}"),
    }
}

/// `a`, `a or b`, `a, b or c`.
pub(super) fn listed(items: impl Iterator<Item = String>) -> String {
    let mut items: Vec<String> = items.collect();
    let last = items.pop().unwrap_or_default();
    if items.is_empty() { last } else { format!("{} or {last}", items.join(", ")) }
}
