//! What a person may have meant by a field or a word that the format does not know.

use super::schema;
use super::word::clip;
use serde_json::Value;

/// Words of the shop floor for fields of the format.
const OTHER_NAMES: [(&str, &[&str]); 12] = [
    ("outside_diameter", &["od", "diameter", "d", "outer_diameter", "dia"]),
    ("thickness", &["width", "t", "height"]),
    ("bore", &["hole", "h", "id", "inside_diameter", "inner_diameter", "bore_diameter", "arbor"]),
    ("grooves", &["slots", "groove", "slot"]),
    ("recess", &["recesses", "relief", "counterbore"]),
    ("corner", &["radius", "corner_radius", "chamfer", "corners"]),
    ("fillet_radius", &["radius", "fillet", "r"]),
    ("count", &["number", "n", "quantity"]),
    ("max_operating_speed", &["mos", "speed", "max_speed"]),
    ("marking", &["specification", "spec", "mark", "grade"]),
    ("spindle_rpm", &["rpm", "speed", "spindle_speed"]),
    ("units", &["unit"]),
];

/// Least likeness (Jaro–Winkler, 0 to 1) of a word that is offered.
const LIKE: f64 = 0.84;

/// The known word nearest to one that is not, where one is near.
pub fn nearest(word: &str, known: &[&'static str]) -> Option<&'static str> {
    let plain = |s: &str| s.trim().to_lowercase().replace(['-', ' '], "_");
    let word = plain(&clip(word));
    let other = |name: &str| OTHER_NAMES.iter().any(|(n, words)| *n == name && words.contains(&word.as_str()));
    if let Some(same) = known.iter().find(|k| plain(k) == word).or_else(|| known.iter().find(|k| other(k))) {
        return Some(same);
    }
    let likeness = |k: &str| {
        let close = strsim::damerau_levenshtein(&word, &plain(k)) <= 1 + k.len() / 6;
        strsim::jaro_winkler(&word, &plain(k)) + if close { 0.1 } else { 0.0 }
    };
    let best = known.iter().max_by(|a, b| likeness(a).total_cmp(&likeness(b)))?;
    (likeness(best) >= LIKE).then_some(*best)
}

/// What would be right in place of an unknown field, and the field that was meant.
pub(super) fn field(name: &str, schema: &'static Value) -> (String, Option<&'static str>) {
    let known = schema::fields(schema);
    let homes = schema::homes(name);
    let meant = nearest(name, &known);
    let hint = match (meant, homes.as_slice()) {
        // a field of the format in the wrong object is likelier than a slip of the pen
        (_, [_, ..]) => format!("it belongs in {}", listed(homes.iter().map(|h| place(h)))),
        (Some(meant), []) => format!("did you mean `{meant}`?"),
        (None, []) => format!("known here: {}", known.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ")),
    };
    (hint, meant.filter(|_| homes.is_empty()))
}

fn place(home: &str) -> String {
    if home.is_empty() { "the order itself, beside `wheel`".to_owned() } else { format!("`{home}`") }
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
