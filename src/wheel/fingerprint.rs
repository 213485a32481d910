//! The fingerprint that ties every output to exactly one state of an order.

use super::Job;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::fmt;

/// SHA-256 of the resolved order. Two order files that resolve to the same values have the same fingerprint, however they are typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Fingerprint(String);

impl Fingerprint {
    /// Of a resolved order: the hash of its JSON form, whose fields have a fixed order and whose numbers their shortest exact digits.
    pub fn of(job: &Job) -> Fingerprint {
        // a Job holds finite numbers, strings and lists only, which always serialise
        let bytes = serde_json::to_vec(job).unwrap_or_default();
        Fingerprint(Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect())
    }

    /// All 64 hexadecimal digits.
    pub fn full(&self) -> &str {
        &self.0
    }

    /// The first eight digits, as shown on paper.
    pub fn short(&self) -> &str {
        &self.0[..8]
    }
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
