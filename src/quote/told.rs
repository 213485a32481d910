//! A quotation as JSON, for the command and for the page.

use super::{Line, Price, Quotation};
use serde_json::{Map, Value, json};

/// `currency`, `quantity`, `date`, `valid_until`, `blank`, `lines` with their cost, `prices` by quantity.
pub fn told(q: &Quotation) -> Value {
    let line = |l: &Line| {
        json!({
            "operation": l.operation, "title": l.title, "at": l.at, "hourly": l.hourly, "setup_min": l.setup_min,
            "each_min": l.each_min, "formula": l.formula, "cost": l.cost(q.quantity, q.rates.spoiled_share),
        })
    };
    json!({
        "format": 1, "fingerprint": q.dossier.job.fingerprint().full(), "verdict": q.dossier.outcome.verdict.word(),
        "currency": q.rates.currency, "quantity": q.quantity, "date": q.date, "valid_until": q.valid_until(),
        "blank": q.blank, "lines": q.lines.iter().map(line).collect::<Vec<_>>(),
        "prices": q.prices.iter().map(price).collect::<Vec<_>>(),
    })
}

fn price(p: &Price) -> Value {
    let parts: Map<String, Value> = p.parts.iter().map(|(name, m)| ((*name).to_owned(), json!(m))).collect();
    json!({ "quantity": p.quantity, "parts": parts, "each": p.each, "total": p.total, "hours": p.hours, "days": p.days })
}
