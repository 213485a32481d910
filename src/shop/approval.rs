//! The customer's approvals of exactly one state of an order, each under its seal.
//!
//! An approval holds who approved what and when, the order's fingerprint and every resolved value, the rules in force, and the questions that were
//! open. Its seal is the hash of all that. Approvals are added and withdrawn, never replaced. A change of what is signed, or other rules, makes one
//! void: it then says what is not as approved.

use crate::dossier::Dossier;
use crate::quantity::{Date, QuantityError};
use crate::language::Language;
use crate::rules::{Finding, Severity, ShopRules, SwitchedOff, is_named};
use crate::shop::compare::{self, Change};
use crate::state::Approved;
use crate::wheel::Job;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};

/// Version of the record's format.
const FORMAT: u32 = 2;

/// All approvals of an order, the oldest first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Version of this format.
    pub format: u32,
    /// The approvals.
    pub approvals: Vec<Approval>,
}

/// One approval.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Approval {
    /// Number of the order.
    pub number: String,
    /// Its revision.
    pub revision: String,
    /// Its fingerprint, 64 hexadecimal digits.
    pub fingerprint: String,
    /// Who approved it.
    pub approved_by: String,
    /// When.
    pub date: Date,
    /// The shop's rules in force.
    pub rules: RulesInForce,
    /// Questions that were open, as they were asked.
    pub open_questions: Vec<String>,
    /// Why it was approved although questions were open.
    pub waived: Option<String>,
    /// Why and when it was withdrawn.
    pub withdrawn: Option<Withdrawn>,
    /// The resolved order as approved: mm, degrees, kilograms.
    pub values: Value,
    /// SHA-256 of all above, 64 hexadecimal digits.
    pub seal: String,
}

/// The shop's rules an approval was given under.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RulesInForce {
    /// What they call themselves.
    pub name: String,
    /// SHA-256 of their file.
    pub sha256: String,
    /// The rules that were switched off.
    pub switched_off: Vec<String>,
}

/// The end of an approval.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Withdrawn {
    /// Why.
    pub why: String,
    /// When.
    pub on: Date,
}

/// Who approves, when, and why questions may stay open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given<'a> {
    /// Who.
    pub by: &'a str,
    /// The day.
    pub date: &'a str,
    /// The last day it can be: today.
    pub latest: Option<Date>,
    /// Why questions may stay open: a reason for all of them, or `QUESTION=REASON` for one, by its id, with its field where several have that id.
    pub waived: &'a [String],
}

/// Why an approval cannot be made, recorded or read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ApprovalError {
    /// Nobody is named.
    #[error("an approval names who approved")]
    Nameless,
    /// The date is none.
    #[error("{}: {}", .0.message, .0.hint)]
    NoDate(#[from] QuantityError),
    /// The date is before the order's own.
    #[error("{0} is before the order's own date, {1}")]
    Early(Date, Date),
    /// The date has not come yet.
    #[error("{0} has not come yet: today is {1}")]
    Future(Date, Date),
    /// Sizes are open.
    #[error("a draft cannot be approved; still open: {}", .0.join(" · "))]
    Draft(Vec<String>),
    /// Questions are open.
    #[error("{} open: {}", questions(.0.len()), .0.join(" · "))]
    Open(Vec<String>),
    /// A reason is given for a question that is not open.
    #[error("no question {} is open; open are: {}", crate::quantity::quoted(.0), .1.join(", "))]
    NotOpen(String, Vec<String>),
    /// A question is named without a reason.
    #[error("question {} may stay open only for a reason, and none is given", crate::quantity::quoted(.0))]
    NoReason(String),
    /// The same state is approved already.
    #[error("{0} is approved already, by {1} on {2}")]
    Already(String, String, Date),
    /// There is nothing to withdraw.
    #[error("there is no approval in force to withdraw")]
    Nothing,
    /// The text is no record of this format.
    #[error("this is no approval record: {0}")]
    NoRecord(String),
    /// An approval was changed after it was recorded.
    #[error("approval {0} of the record does not bear its seal: it was changed after it was recorded")]
    Broken(usize),
}

fn questions(count: usize) -> String {
    if count == 1 { "1 question is".to_owned() } else { format!("{count} questions are") }
}

/// A question as a record keeps it.
fn asked(finding: &Finding) -> String {
    format!("{}: {}", finding.id, finding.message)
}

/// Why each of the open questions may stay open, in the words that stand on every paper; `None` where none is open.
fn waived(job: &Job, open: &[&Finding], given: &[String]) -> Result<Option<String>, ApprovalError> {
    let mut all = None;
    let mut each: Vec<Option<&str>> = vec![None; open.len()];
    for text in given.iter().map(|text| text.trim()).filter(|text| !text.is_empty()) {
        let (name, why) = text.split_once('=').map_or(("", text), |(name, why)| (name.trim(), why.trim()));
        let named: Vec<usize> = (0..open.len()).filter(|&i| is_named(name, open[i])).collect();
        match named.as_slice() {
            [_, ..] if why.is_empty() => return Err(ApprovalError::NoReason(name.to_owned())),
            // a reason may hold the sign itself; the id of a question has no spaces and no capitals
            [] if name.is_empty() || !name.split_whitespace().next().is_some_and(is_id) => all = Some(text),
            [] => return Err(ApprovalError::NotOpen(name.to_owned(), open.iter().map(|f| f.id.to_owned()).collect())),
            named => named.iter().for_each(|&i| each[i] = Some(why)),
        }
    }
    let lacking: Vec<String> = open.iter().zip(&each).filter(|(_, why)| why.or(all).is_none()).map(|(f, _)| asked(f)).collect();
    if !lacking.is_empty() {
        return Err(ApprovalError::Open(lacking));
    }
    if each.iter().all(Option::is_none) {
        return Ok(all.filter(|_| !open.is_empty()).map(str::to_owned));
    }
    let said = |(f, why): (&&Finding, &Option<&str>)| format!("{}: {}", job.words_in(&f.feature, Language::En), why.or(all).unwrap_or_default());
    Ok(Some(open.iter().zip(&each).map(said).collect::<Vec<_>>().join("; ")))
}

/// Whether a word is written as the ids of questions are: lower case with hyphens.
fn is_id(word: &str) -> bool {
    word.contains('-') && word.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
}

impl Approval {
    /// The approval of an order as it is now, under the rules in force.
    ///
    /// # Errors
    /// Where nobody is named, the date cannot be, or questions are open and no reason is given to leave them so.
    pub fn of(dossier: &Dossier, given: Given) -> Result<Approval, ApprovalError> {
        let (by, job) = (given.by.trim(), &dossier.job);
        if by.is_empty() {
            return Err(ApprovalError::Nameless);
        }
        let date: Date = given.date.parse()?;
        if let Some(ordered) = job.head.date.as_ref().and_then(|d| d.parse().ok()).filter(|ordered| date < *ordered) {
            return Err(ApprovalError::Early(date, ordered));
        }
        if let Some(today) = given.latest.filter(|today| date > *today) {
            return Err(ApprovalError::Future(date, today));
        }
        if job.is_draft() {
            return Err(ApprovalError::Draft(dossier.open_sizes()));
        }
        let open: Vec<&Finding> = dossier.outcome.of(Severity::Ask).collect();
        let waived = waived(job, &open, given.waived)?;
        let approval = Approval {
            number: job.head.number.clone(),
            revision: job.head.revision.clone(),
            fingerprint: job.fingerprint().full().to_owned(),
            approved_by: by.to_owned(),
            date,
            rules: RulesInForce::of(dossier.shop),
            waived,
            open_questions: open.into_iter().map(asked).collect(),
            withdrawn: None,
            values: values(job),
            seal: String::new(),
        };
        Ok(approval.sealed())
    }

    fn sealed(mut self) -> Approval {
        self.seal = self.hash();
        self
    }

    /// The hash of everything but the seal.
    fn hash(&self) -> String {
        let bare = Approval { seal: String::new(), ..self.clone() };
        // strings and finite numbers always serialise
        let bytes = serde_json::to_vec(&bare).unwrap_or_default();
        Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
    }

    /// Whether it is of exactly this state of an order, under any rules.
    fn is_of(&self, job: &Job) -> bool {
        self.fingerprint == job.fingerprint().full()
            && self.number == job.head.number
            && self.revision == job.head.revision
    }

    /// Whether it approves exactly this, under these rules.
    fn covers(&self, job: &Job, shop: &ShopRules) -> bool {
        self.withdrawn.is_none() && self.is_of(job) && self.rules == RulesInForce::of(shop)
    }

    /// What is not as approved, in the order of the resolved order. Empty although it does not cover the job means that the way of resolving orders
    /// has changed, not the order.
    pub fn changes(&self, job: &Job) -> Vec<Change> {
        compare::between(&self.values, &values(job), job.units)
    }

    /// Why it does not hold for an order as it is now.
    fn why_void(&self, job: &Job) -> String {
        let said =
            format!("the approval of {}-{} by {} on {}", self.number, self.revision, self.approved_by, self.date);
        if let Some(Withdrawn { why, on }) = &self.withdrawn {
            return format!("{said} was withdrawn on {on}: {why}");
        }
        if self.is_of(job) {
            return format!("{said} is void; it was given under other rules ({}): approve again", self.rules.name);
        }
        let changes: Vec<String> = self.changes(job).iter().map(|c| c.line()).collect();
        match changes.is_empty() {
            true => {
                format!("{said} is void; its values are the same, but its fingerprint is not theirs: approve again")
            }
            false => format!("{said} is void; changed since: {}", changes.join("; ")),
        }
    }
}

impl RulesInForce {
    fn of(shop: &ShopRules) -> RulesInForce {
        let switched_off = shop.switched_off().iter().map(|SwitchedOff { rule, .. }| rule.clone()).collect();
        RulesInForce { name: shop.name().to_owned(), sha256: shop.hash().to_owned(), switched_off }
    }
}

impl Default for Record {
    fn default() -> Record {
        Record { format: FORMAT, approvals: Vec::new() }
    }
}

impl Record {
    /// Reads a record and proves every seal.
    ///
    /// # Errors
    /// Where the text is no record of this format, or a seal is broken.
    pub fn read(text: &str) -> Result<Record, ApprovalError> {
        let text = text.trim_start_matches('\u{feff}');
        let format = serde_json::from_str::<Value>(text).map_err(|e| ApprovalError::NoRecord(e.to_string()))?;
        if format["format"] != FORMAT {
            let message = format!("format {} is not known, only {FORMAT}", format["format"]);
            return Err(ApprovalError::NoRecord(message));
        }
        let record: Record = serde_json::from_str(text).map_err(|e| ApprovalError::NoRecord(e.to_string()))?;
        match record.approvals.iter().position(|a| a.seal != a.hash()) {
            Some(broken) => Err(ApprovalError::Broken(broken + 1)),
            None => Ok(record),
        }
    }

    /// The record as text.
    pub fn written(&self) -> String {
        // strings and finite numbers always serialise
        serde_json::to_string_pretty(self).map(|text| text + "\n").unwrap_or_default()
    }

    /// Adds an approval beside those there are.
    ///
    /// # Errors
    /// Where one that is in force covers the same state under the same rules.
    pub fn add(&mut self, approval: Approval) -> Result<(), ApprovalError> {
        let same =
            |a: &&Approval| a.withdrawn.is_none() && a.fingerprint == approval.fingerprint && a.rules == approval.rules;
        if let Some(a) = self.approvals.iter().find(same) {
            let order = format!("{}-{}", a.number, a.revision);
            return Err(ApprovalError::Already(order, a.approved_by.clone(), a.date));
        }
        self.approvals.push(approval);
        Ok(())
    }

    /// Ends the last approval in force.
    ///
    /// # Errors
    /// Where none is.
    pub fn withdraw(&mut self, why: &str, on: Date) -> Result<&Approval, ApprovalError> {
        let last = self.approvals.iter_mut().rev().find(|a| a.withdrawn.is_none());
        let last = last.ok_or(ApprovalError::Nothing)?;
        last.withdrawn = Some(Withdrawn { why: why.trim().to_owned(), on });
        last.seal = last.hash();
        Ok(last)
    }

    /// What the record says of an order as it is now, under the rules in force.
    pub fn now(&self, job: &Job, shop: &ShopRules) -> Approved {
        if let Some(a) = self.approvals.iter().rev().find(|a| a.covers(job, shop)) {
            let (name, date, waived) = (a.approved_by.clone(), a.date, a.waived.clone());
            return Approved::By { name, date, waived, record: self.written().into_bytes() };
        }
        self.approvals.last().map_or_else(Approved::missing, |last| Approved::Not(last.why_void(job)))
    }
}

/// The resolved order as a record keeps it: once through text, so that its numbers are what a reader of the record gets.
fn values(job: &Job) -> Value {
    serde_json::to_string(job).ok().and_then(|text| serde_json::from_str(&text).ok()).unwrap_or(Value::Null)
}
