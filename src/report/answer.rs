//! What the command line and the page answer to programs: the same JSON for the same order.

use crate::dossier::Dossier;
use crate::json::Located;
use serde_json::{Value, json};

/// `{"format":1,"problems":[{"field","line","column","message","hint"}]}`: everything wrong with an order.
pub fn problems(problems: &[Located]) -> Value {
    let list: Vec<Value> = problems
        .iter()
        .map(|Located { problem, place }| {
            json!({
                "field": problem.field, "line": place.line, "column": place.column,
                "message": problem.message, "hint": problem.hint,
            })
        })
        .collect();
    json!({ "format": 1, "problems": list })
}

/// `{"format":1,"fingerprint","verdict","draft","findings","answered","idle_answers","not_evaluated","switched_off","met","not_applicable"}`: what the rules say of an order.
pub fn findings(dossier: &Dossier) -> Value {
    let outcome = &dossier.outcome;
    json!({
        "format": 1,
        "fingerprint": dossier.job.fingerprint().full(),
        "verdict": outcome.verdict.word(),
        "draft": dossier.job.is_draft(),
        "findings": outcome.findings,
        "answered": outcome.answered,
        "idle_answers": outcome.idle_answers, "outdated_answers": outcome.outdated_answers,
        "not_evaluated": outcome.not_evaluated,
        "switched_off": outcome.switched_off,
        "met": outcome.met,
        "not_applicable": outcome.not_applicable,
    })
}
