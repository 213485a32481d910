//! The offer: which stock wheel an order is made of, and what it costs. Answers are those of `blanks` and `quote`.

use super::answer;
use super::lent::{Lent, ShopFile};
use super::reply::{self, Refusal};
use crate::book;
use crate::dossier::Dossier;
use crate::export::pdf;
use crate::front::Shop;
use crate::json::edited;
use crate::money::Money;
use crate::profile::Card;
use crate::quantity::{Date, LengthUnit};
use crate::quote::{self, Quotation, QuotedBlank, Rates};
use crate::shop::stock::{self, Choice, Ranking, RowProblem, StockList};
use crate::wheel::Job;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// What is asked.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Asked {
    /// The order file as typed.
    order: String,
    /// A stock list, in place of that of the shop's folder.
    stock: Option<String>,
    /// Rates, in place of those of the shop's folder.
    rates: Option<String>,
    /// Numbers of the stock wheels that are taken.
    ids: Vec<String>,
    /// Number of the stock wheel to reckon with.
    blank: Option<String>,
    /// What the blank that the order names costs.
    blank_cost: Option<String>,
    /// Day of the quotation.
    date: Option<String>,
    /// The shop's own sheet.
    inner: bool,
}

/// An answer, or an object that says why there is none.
pub type Told = Result<Value, Value>;

/// What a question asks, held against its form.
///
/// # Errors
/// Where it is no such question.
pub fn asked<T: DeserializeOwned>(body: &[u8]) -> Result<T, Refusal> {
    serde_json::from_slice(body).map_err(|e| Refusal::new(StatusCode::BAD_REQUEST, format!("this asks for nothing the page knows: {e}")))
}

/// Why there is no answer, and what would be right.
pub fn failure(message: impl Into<String>, hint: &str) -> Value {
    json!({ "format": 1, "failure": message.into(), "hint": hint })
}

/// A told answer as a response.
pub fn told(answer: Told) -> Response {
    reply::json(&answer.unwrap_or_else(|why| why))
}

/// `{"machines": [{"name", "customer", "in", "mm"}]}`: what each card sets in an order of either unit, as pairs of a field and JSON text.
pub fn machines(lent: &dyn Lent) -> Response {
    let edits = |card: &Card, unit| -> Vec<(String, Option<String>)> {
        card.edits(unit).into_iter().map(|edit| (edit.field, edit.value)).collect()
    };
    let one = |card: &Card| {
        json!({ "name": card.name, "customer": card.customer, "in": edits(card, LengthUnit::Inch), "mm": edits(card, LengthUnit::Millimetre) })
    };
    told(match lent.cards() {
        Ok(cards) => Ok(json!({ "format": 1, "machines": cards.iter().map(one).collect::<Vec<_>>() })),
        Err(why) => Err(failure(why, "")),
    })
}

/// The stock wheels an order can be made of, and why the others cannot; `lacks` where there is no list.
pub fn blanks(body: &[u8], lent: &dyn Lent, shop: &Shop) -> Response {
    match asked::<Asked>(body) {
        Err(refusal) => refusal.into_response(),
        Ok(asked) => told(asked.blanks(lent, shop)),
    }
}

/// The order's text with stock wheels as its blank, or `reasons` against them.
pub fn take(body: &[u8], lent: &dyn Lent, shop: &Shop) -> Response {
    match asked::<Asked>(body) {
        Err(refusal) => refusal.into_response(),
        Ok(asked) => told(asked.taken(lent, shop)),
    }
}

/// Time and price; `lacks` where there are no rates.
pub fn price(body: &[u8], lent: &dyn Lent, shop: &Shop) -> Response {
    match asked::<Asked>(body) {
        Err(refusal) => refusal.into_response(),
        Ok(asked) => told(asked.quoted(lent, shop, |q| Ok(quote::told(q)))),
    }
}

/// The sheet of a quotation, a PDF.
pub fn sheet(body: &[u8], lent: &dyn Lent, shop: &Shop) -> Response {
    let asked = match asked::<Asked>(body) {
        Err(refusal) => return refusal.into_response(),
        Ok(asked) => asked,
    };
    let mut made = None;
    let answer = asked.quoted(lent, shop, |q| {
        let language = q.dossier.job.sheets.language;
        let sheets = if asked.inner { quote::inner(q) } else { quote::customer(q, language) };
        let bytes = pdf::pdf(&sheets).map_err(|e| failure(format!("the sheet cannot be made: {e}"), ""))?;
        let what = if asked.inner { "calculation-of-price" } else { "quotation" };
        made = Some((format!("{}-{what}.pdf", q.dossier.job.file_stem()), bytes));
        Ok(Value::Null)
    });
    match (answer, made) {
        (Ok(_), Some((name, bytes))) => reply::download("application/pdf", &name, bytes),
        (other, _) => told(other),
    }
}

impl Asked {
    fn job(&self, shop: &Shop) -> Result<Job, Value> {
        answer::opened(self.order.as_bytes(), &shop.rules)
    }

    /// The list that was chosen, else that of the shop's folder without what is kept there for other orders.
    fn stock(&self, job: &Job, lent: &dyn Lent) -> Result<Option<StockList>, Value> {
        let read = |bytes: &[u8]| stock::read(bytes).map_err(|problems| no_list(&problems));
        if let Some(text) = &self.stock {
            return read(text.as_bytes()).map(Some);
        }
        let in_words = |why: String| failure(why, "");
        let Some(bytes) = lent.file(ShopFile::Stock).map_err(in_words)? else { return Ok(None) };
        let mut list = read(&bytes)?;
        let lines = lent.book().map_err(in_words)?.unwrap_or_default();
        for kept in book::kept(&lines).into_iter().filter(|kept| kept.order != job.file_stem()) {
            kept.out_of(&mut list);
        }
        Ok(Some(list))
    }

    fn blanks(&self, lent: &dyn Lent, shop: &Shop) -> Told {
        let job = self.job(shop)?;
        let Some(list) = self.stock(&job, lent)? else { return Ok(lacking("stock")) };
        let choice = choose(&job, &list, Ranking::Removed)?;
        let mut told = choice.told(&job, &list.problems, &stock::differences(&job, &list.wheels));
        told["taken"] = json!(job.blank.as_ref().and_then(|blank| blank.stock.as_ref()));
        told["units"] = json!(job.units.symbol());
        told["mm_per_unit"] = json!(job.units.mm());
        Ok(told)
    }

    fn taken(&self, lent: &dyn Lent, shop: &Shop) -> Told {
        let job = self.job(shop)?;
        let Some(list) = self.stock(&job, lent)? else { return Ok(lacking("stock")) };
        let choice = choose(&job, &list, Ranking::Removed)?;
        let rows: Vec<_> = list.wheels.iter().filter(|wheel| self.ids.contains(&wheel.id)).collect();
        let against = |id: &String| {
            let rejected = choice.rejected.iter().find(|r| r.stock.id == *id);
            let unknown = list.wheels.iter().all(|wheel| wheel.id != *id);
            rejected.map(|r| r.reasons.join("; ")).or_else(|| unknown.then(|| format!("the stock list has no wheel {id}")))
        };
        let reasons: Vec<String> = self.ids.iter().filter_map(against).collect();
        if !reasons.is_empty() || rows.is_empty() {
            return Err(failure(format!("Not taken: {}", reasons.join("; ")), "choose another one"));
        }
        let edits = stock::take(&job, &rows).map_err(|why| failure(format!("Not taken: {why}"), ""))?;
        let text = edited(&self.order, &edits).map_err(|problem| failure(problem.message, &problem.hint))?;
        answer::opened(text.as_bytes(), &shop.rules).map_err(|_| failure("Not taken: the order could not be read with it", ""))?;
        Ok(json!({ "format": 1, "text": text, "taken": self.ids }))
    }

    fn quoted(&self, lent: &dyn Lent, shop: &Shop, make: impl FnOnce(&Quotation) -> Told) -> Told {
        let job = self.job(shop)?;
        let dossier = Dossier::of(job, &shop.rules).map_err(|why| failure(format!("the wheel has no section: {why}"), ""))?;
        let shops = || lent.file(ShopFile::Rates).map_err(|why| failure(why, ""));
        let bytes = match &self.rates {
            Some(text) => Some(text.clone().into_bytes()),
            None => shops()?,
        };
        let Some(bytes) = bytes else { return Ok(lacking("rates")) };
        let rates = Rates::read(&bytes, &shop.traveller).map_err(|problems| {
            let first = problems.iter().next().map_or_else(String::new, |p| format!("line {}: {}", p.place.line, p.problem.message));
            failure(format!("These are no rates: {first}"), "choose another file")
        })?;
        let date = self.date.as_deref().filter(|text| !text.trim().is_empty()).map(str::parse::<Date>).transpose();
        let date = date.map_err(|e| failure(e.message, &e.hint))?;
        let blank = self.blank(&dossier.job, lent)?;
        let quotation = quote::quote(&dossier, &shop.traveller, &rates, blank, date);
        make(&quotation.map_err(|why| failure(format!("the wheel has no section: {why}"), ""))?)
    }

    /// The stock wheel that is asked for, else the one the order names, else the cheapest of which there are enough.
    fn blank(&self, job: &Job, lent: &dyn Lent) -> Result<Option<QuotedBlank>, Value> {
        let no_section = |why| failure(format!("the wheel has no section: {why}"), "");
        let cost = self.blank_cost.as_deref().filter(|text| !text.trim().is_empty()).map(Money::parse).transpose();
        let cost = cost.map_err(|e| failure(format!("cost of the blank: {}", e.message), &e.hint))?;
        let Some(list) = self.stock(job, lent)?.filter(|_| cost.is_none()) else {
            return quote::blank_of_order(job, cost).map_err(no_section);
        };
        let choice = choose(job, &list, Ranking::Cost)?;
        let is = |id: &String| choice.suitable.iter().find(|c| c.stock.id == *id);
        let found = match &self.blank {
            Some(id) => Some(is(id).ok_or_else(|| failure(format!("{id} cannot be used for this order"), "choose another one"))?),
            None => choice.taken(job).or_else(|| choice.suitable.first()),
        };
        match found {
            Some(candidate) => Ok(Some(quote::blank_of_stock(candidate))),
            None => quote::blank_of_order(job, None).map_err(no_section),
        }
    }
}

/// There is no such file: neither in a shop's folder, nor chosen.
fn lacking(what: &str) -> Value {
    json!({ "format": 1, "lacks": what })
}

fn choose(job: &Job, list: &StockList, ranking: Ranking) -> Result<Choice, Value> {
    stock::choose(job, &list.wheels, ranking).map_err(|why| failure(format!("the wheel has no section: {why}"), ""))
}

fn no_list(problems: &[RowProblem]) -> Value {
    let first = problems.first().map_or_else(String::new, |p| format!("{} ({})", p.message, p.hint));
    failure(format!("This is no stock list: {first}"), "its first line names the columns")
}
