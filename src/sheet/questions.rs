//! Questions to the customer in the customer's language: in English as the rule words them, else by the text of the rule's name.

use super::view::Style;
use crate::language::Language;
use crate::rules::Finding;
use crate::wheel::Job;

/// What a finding asks, in the sheet's language; as the rule words it where that has no text for it.
pub fn question(job: &Job, finding: &Finding, style: &Style) -> String {
    let field = finding.feature.rsplit('/').next().unwrap_or_default();
    let keys = [format!("question.{}.{field}", finding.id), format!("question.{}", finding.id)];
    let known = keys.into_iter().find(|key| style.language.texts().contains_key(key));
    match known.filter(|_| style.language != Language::En) {
        None => style.written().sentence(&finding.message),
        Some(key) => {
            let amount = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), |v| amount(v, &finding.unit, style));
            let place = job.words_in(&finding.feature, style.language);
            let (measured, limit) = (amount(finding.measured), amount(finding.limit));
            style.put(&key, &[("measured", &measured), ("limit", &limit), ("where", &place)])
        }
    }
}

fn amount(value: f64, unit: &str, style: &Style) -> String {
    match unit {
        "mm" => format!("{} {}", style.length(value), style.unit.symbol()),
        "" => format!("{} %", style.plain(100.0 * value, 1)),
        unit => format!("{} {unit}", style.plain(value, 1)),
    }
}
