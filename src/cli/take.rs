//! `blanks --take`: a stock wheel of the list becomes the blank of an order.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, files, premises};
use crate::book::{Event, Kind};
use crate::json::edited;
use crate::shop::stock::{self, Choice, StockList, StockWheel};
use crate::wheel::Job;
use serde_json::json;
use std::path::Path;

/// What a stock wheel is taken for.
pub struct Taking<'a> {
    /// The order file, `-` for standard input.
    pub file: &'a Path,
    /// Its text.
    pub text: &'a str,
    /// What it says.
    pub job: &'a Job,
    /// The stock.
    pub list: &'a StockList,
    /// What of it can be used.
    pub choice: &'a Choice,
}

/// Writes the stock wheels of these numbers into the order; exit 1 and nothing written where one cannot be used.
pub fn run(ids: &[String], taking: &Taking, desk: &Desk) -> Done {
    let rows = ids.iter().map(|id| row(id, taking.list)).collect::<Result<Vec<_>, _>>()?;
    let mut against: Vec<String> = rows.iter().flat_map(|row| reasons(row, taking.choice)).collect();
    let made = stock::take(taking.job, &rows).map_err(|why| against.push(why)).unwrap_or_default();
    if !against.is_empty() {
        against.iter().for_each(|why| desk.remark(&format!("not taken: {why}")));
        if desk.is_json() {
            desk.print_json(&json!({ "format": 1, "taken": null, "reasons": against }))?;
        }
        return Ok(Outcome::Stopped);
    }
    let text = edited(taking.text, &made).map_err(|p| Failure::new(p.message, p.hint))?;
    let job = desk.rules()?.open(text.as_bytes()).map_err(|problems| {
        let file = format!("{}, as it would become", shown(taking.file));
        Failure::Order { file, problems }
    })?;
    told(&job, &rows, taking.choice.asked.quantity, desk);
    if taking.file.as_os_str() == "-" {
        desk.print(&text)?;
        return Ok(Outcome::Made);
    }
    files::write(taking.file, text.as_bytes())?;
    let note = Some(format!("stock {}", ids.join(", ")));
    desk.enter(|| Ok(vec![Event { note, ..premises::event(Kind::StockTaken, &job, None)? }]))?;
    if desk.is_json() {
        desk.print_json(&json!({ "format": 1, "taken": ids, "file": shown(taking.file), "fingerprint": job.fingerprint().full() }))?;
    }
    Ok(Outcome::Made)
}

fn row<'l>(id: &str, list: &'l StockList) -> Result<&'l StockWheel, Failure> {
    list.wheels.iter().find(|w| w.id == id).ok_or_else(|| {
        let like = |a: &str| strsim::jaro_winkler(&a.to_lowercase(), &id.to_lowercase());
        let near = list.wheels.iter().max_by(|a, b| like(&a.id).total_cmp(&like(&b.id)));
        let hint = near.map_or("the list is empty".to_owned(), |w| format!("did you mean {}?", w.id));
        Failure::new(format!("the stock list has no wheel {}", crate::quantity::quoted(id)), hint)
    })
}

/// Why a stock wheel cannot be used; nothing where it can.
fn reasons(row: &StockWheel, choice: &Choice) -> Vec<String> {
    let rejected = choice.rejected.iter().find(|r| r.stock.id == row.id);
    rejected.map_or_else(Vec::new, |r| {
        let asked = r.question.iter().map(|question| format!(" Ask the customer: {question}"));
        let asked: String = asked.collect();
        vec![format!("{}: {}.{asked}", row.id, r.reasons.join("; "))]
    })
}

fn told(job: &Job, rows: &[&StockWheel], wanted: u32, desk: &Desk) {
    let ids: Vec<&str> = rows.iter().map(|row| row.id.as_str()).collect();
    desk.remark(&format!("Order {}: its blank is {}, fingerprint {}.", job.file_stem(), ids.join(", "), job.fingerprint().short()));
    // a list that does not count has enough
    let there = rows.iter().try_fold(0_u32, |sum, row| Some(sum.saturating_add(row.count?)));
    if let Some(there) = there.filter(|there| *there < wanted) {
        desk.remark(&format!("Only {there} of {wanted} are there: name another row of the same kind too (--take A --take B), or order fewer."));
    }
}
