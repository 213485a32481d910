//! A new order that repeats an earlier one, as `new` makes it of an order file.

use super::answer;
use super::offer::{Told, asked, failure, told};
use crate::dossier::Dossier;
use crate::front::Shop;
use crate::json::{Edit, Problem, Problems};
use crate::order;
use crate::repeat::{self, Wanted};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde_json::json;

/// What is asked.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Asked {
    /// The earlier order file.
    order: String,
    number: String,
    revision: String,
    /// YYYY-MM-DD; none where absent.
    date: Option<String>,
    /// Fields that are set, each `PATH=VALUE` as `new --set` takes it.
    #[serde(default)]
    set: Vec<String>,
}

/// `{"text", "name", "source", "left_out"}`: the new order, what it and the earlier one are called, what was not taken over; `problems` where no sound
/// order would come of it.
pub fn repeated(body: &[u8], shop: &Shop) -> Response {
    match asked::<Asked>(body) {
        Err(refusal) => refusal.into_response(),
        Ok(asked) => told(asked.repeated(shop)),
    }
}

impl Asked {
    fn repeated(&self, shop: &Shop) -> Told {
        let job = answer::opened(self.order.as_bytes(), &shop.rules)?;
        let old = Dossier::of(job, &shop.rules).map_err(|why| failure(format!("the wheel has no section: {why}"), ""))?;
        let wrong = |problems: &Problems| crate::report::answer::problems(problems);
        let settings: Result<Vec<Edit>, Problem> = self.set.iter().map(|typed| order::setting(typed)).collect();
        let settings = settings.map_err(|problem| wrong(&Problems::without_place(problem)))?;
        let wanted = Wanted {
            number: self.number.trim(),
            revision: self.revision.trim(),
            date: self.date.as_deref().map(str::trim).filter(|date| !date.is_empty()),
            settings: &settings,
            shop: &shop.rules,
        };
        let made = repeat::repeat(&old, &self.order, &wanted).map_err(|problems| wrong(&problems))?;
        let (name, source) = (made.job.file_stem(), old.job.file_stem());
        Ok(json!({ "format": 1, "text": made.text, "name": name, "source": source, "left_out": made.left_out }))
    }
}
