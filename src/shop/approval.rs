//! The customer's approval of exactly one state of an order.
//!
//! The record holds who approved what and when, the order's fingerprint, and every resolved value, so that later it can be said what has changed
//! since. Any change makes it void: the fingerprint is over the whole resolved order, texts included.

use crate::quantity::{Date, QuantityError};
use crate::shop::compare::{self, Change};
use crate::state::Approved;
use crate::wheel::Job;
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
    /// When.
    pub date: Date,
    /// The resolved order as approved: mm, degrees, kilograms.
    pub values: Value,
}

/// Why a record cannot be made or read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ApprovalError {
    /// Nobody is named.
    #[error("an approval names who approved")]
    Nameless,
    /// The date is none.
    #[error("{}: {}", .0.message, .0.hint)]
    NoDate(#[from] QuantityError),
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
            return Err(ApprovalError::Nameless);
        }
        let date = date.parse()?;
        Ok(Approval {
            format: FORMAT,
            number: job.head.number.clone(),
            revision: job.head.revision.clone(),
            fingerprint: job.fingerprint().full().to_owned(),
            approved_by: by.trim().to_owned(),
            date,
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

    /// What the record says of an order as it is now.
    pub fn now(&self, job: &Job) -> Approved {
        if self.covers(job) {
            let record = self.written().into_bytes();
            return Approved::By { name: self.approved_by.clone(), date: self.date, record };
        }
        let changes: Vec<String> = self.changes(job).iter().map(|c| c.line()).collect();
        let (by, date) = (&self.approved_by, self.date);
        Approved::Not(format!("the approval by {by} on {date} is void; changed since: {}", changes.join("; ")))
    }

    /// What is not as approved, in the order of the resolved order. Empty although the record does not cover the job means that the record or the
    /// way of resolving orders has changed, not the order.
    pub fn changes(&self, job: &Job) -> Vec<Change> {
        compare::between(&self.values, &values(job), job.units)
    }
}

/// The resolved order as a record keeps it: once through text, so that its numbers are what a reader of the record gets.
fn values(job: &Job) -> Value {
    serde_json::to_string(job).ok().and_then(|text| serde_json::from_str(&text).ok()).unwrap_or(Value::Null)
}
