//! Two states of an order beside each other: what differs in words and numbers, the sections laid over each other, one view of each.

use super::answer::{self, What};
use super::offer::{Told, asked, failure, told};
use super::reply::Refusal;
use crate::dossier::Dossier;
use crate::export::svg;
use crate::front::Shop;
use crate::shop::compare;
use crate::sheet::Look;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::{Value, json};

/// What is asked.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    /// The earlier order file, or the first of two variants.
    old: String,
    /// The later one.
    new: String,
}

/// What `compare` says, with `svgs` (the sheets of its picture) and `views` (the look of either, null where it cannot be drawn).
pub fn compared(body: &[u8], look: &str, shop: &Shop) -> Response {
    let Some(look) = What::view(look) else { return Refusal::unknown().into_response() };
    match asked::<Asked>(body) {
        Err(refusal) => refusal.into_response(),
        Ok(asked) => told(asked.compared(look, shop)),
    }
}

impl Asked {
    fn compared(&self, look: Look, shop: &Shop) -> Told {
        let open = |text: &str, which: &str| {
            let job = answer::opened(text.as_bytes(), &shop.rules).map_err(|problems| {
                let first = problems["problems"][0]["message"].as_str().unwrap_or_default().to_owned();
                failure(format!("The {which} order is not finished: {first}"), "")
            })?;
            Dossier::of(job, &shop.rules).map_err(|why| failure(format!("the wheel has no section: {why}"), ""))
        };
        let (old, new) = (open(&self.old, "first")?, open(&self.new, "second")?);
        let comparison = compare::compare(&old, &new);
        // texts and finite numbers always serialise
        let mut answer = serde_json::to_value(&comparison).unwrap_or_default();
        answer["format"] = json!(1);
        let sheets = compare::picture(&old, &new, &comparison);
        answer["svgs"] = sheets.iter().map(svg::fontless).collect();
        let view = |d: &Dossier| answer::looked_at(&d.job, &d.section, look).map_or(Value::Null, |v| json!(svg::fontless(&v)));
        answer["views"] = json!([view(&old), view(&new)]);
        Ok(answer)
    }
}
