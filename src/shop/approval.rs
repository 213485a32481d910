//! The customer's approval of exactly one state of an order.
//!
//! The record holds who approved what and when, the order's fingerprint, and every resolved value, so that later it can be said what has changed
//! since. Any change makes it void: the fingerprint is over the whole resolved order, texts included.

use crate::wheel::{Job, is_date};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// Version of the record's format.
const FORMAT: u32 = 1;

/// A record of an approval.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Approval {
    /// Version of this format.
    pub format: u32,
    /// Number of the order.
    pub number: String,
    /// Its revision.
    pub revision: String,
    /// Its fingerprint, 64 hexadecimal digits.
    pub fingerprint: String,
    /// Who approved it.
    pub approved_by: String,
    /// When, `YYYY-MM-DD`.
    pub date: String,
    /// The resolved order as approved: mm, degrees, kilograms.
    pub values: Value,
}

/// A value that is not what was approved.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// Where in the resolved order, as a JSON pointer.
    pub field: String,
    /// As approved; `None` where it was not there.
    pub approved: Option<Value>,
    /// As it is now; `None` where it is gone.
    pub now: Option<Value>,
}

/// Why a record cannot be made or read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ApprovalError {
    /// Nobody is named.
    #[error("an approval names who approved")]
    NoName,
    /// The date is none.
    #[error("`{0}` is no date: write YYYY-MM-DD, such as 2026-03-02")]
    NoDate(String),
    /// The text is no record of this format.
    #[error("this is no approval record: {0}")]
    NoRecord(String),
}

impl Approval {
    /// The approval of a job as it is now.
    ///
    /// # Errors
    /// Where nobody is named or the date is no day of the calendar.
    pub fn of(job: &Job, by: &str, date: &str) -> Result<Approval, ApprovalError> {
        if by.trim().is_empty() {
            return Err(ApprovalError::NoName);
        }
        if !is_date(date) {
            return Err(ApprovalError::NoDate(date.to_owned()));
        }
        Ok(Approval {
            format: FORMAT,
            number: job.head.number.clone(),
            revision: job.head.revision.clone(),
            fingerprint: job.fingerprint().full().to_owned(),
            approved_by: by.trim().to_owned(),
            date: date.to_owned(),
            values: values(job),
        })
    }

    /// Reads a record.
    ///
    /// # Errors
    /// Where the text is no record of this format.
    pub fn read(text: &str) -> Result<Approval, ApprovalError> {
        let record: Approval = serde_json::from_str(text.trim_start_matches('\u{feff}'))
            .map_err(|e| ApprovalError::NoRecord(e.to_string()))?;
        if record.format != FORMAT {
            return Err(ApprovalError::NoRecord(format!("format {} is not known, only {FORMAT}", record.format)));
        }
        Ok(record)
    }

    /// The record as text.
    pub fn written(&self) -> String {
        // strings and finite numbers always serialise
        serde_json::to_string_pretty(self).map(|text| text + "\n").unwrap_or_default()
    }

    /// Whether it approves exactly this job.
    pub fn covers(&self, job: &Job) -> bool {
        self.fingerprint == job.fingerprint().full()
            && self.number == job.head.number
            && self.revision == job.head.revision
    }

    /// What is not as approved, in the order of the resolved order. Empty although the record does not cover the job means that the record or the
    /// way of resolving orders has changed, not the order.
    pub fn changes(&self, job: &Job) -> Vec<Change> {
        let mut changes = Vec::new();
        compare(&mut changes, String::new(), Some(&self.values), Some(&values(job)));
        changes
    }
}

/// The resolved order as a record keeps it: once through text, so that its numbers are what a reader of the record gets.
fn values(job: &Job) -> Value {
    serde_json::to_string(job).ok().and_then(|text| serde_json::from_str(&text).ok()).unwrap_or(Value::Null)
}

fn compare(changes: &mut Vec<Change>, field: String, approved: Option<&Value>, now: Option<&Value>) {
    match (approved, now) {
        (Some(Value::Object(a)), Some(Value::Object(b))) => {
            let added = b.keys().filter(|key| !a.contains_key(*key));
            for key in a.keys().chain(added) {
                compare(changes, format!("{field}/{key}"), a.get(key), b.get(key));
            }
        }
        (Some(Value::Array(a)), Some(Value::Array(b))) => {
            for i in 0..a.len().max(b.len()) {
                compare(changes, format!("{field}/{i}"), a.get(i), b.get(i));
            }
        }
        (a, b) if a == b => {}
        (a, b) => changes.push(Change { field, approved: a.cloned(), now: b.cloned() }),
    }
}

impl Change {
    /// In one line: field, value as approved, value now.
    pub fn line(&self) -> String {
        let shown = |value: &Option<Value>| match value {
            None | Some(Value::Null) => String::from("nothing"),
            Some(value) => value.to_string(),
        };
        format!("{}: approved {}, now {}", self.field, shown(&self.approved), shown(&self.now))
    }
}
