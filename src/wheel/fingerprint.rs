//! The fingerprint that ties every output to exactly one state of an order.

use super::Job;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::fmt;

/// SHA-256 of what the customer signs and what bears on safety, resolved. Two order files that resolve to the same values have the same fingerprint, however they are typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Fingerprint(String);

impl Fingerprint {
    /// Of a resolved order: the hash of its JSON form, whose fields have a fixed order and whose numbers their shortest exact digits. Left out is
    /// what may change between signing and shipping: stock number, place and lot of the blank, contact, due date, the customer's own number, where the
    /// wheels go, who prepared the order and what it repeats; the title block.
    pub fn of(job: &Job) -> Fingerprint {
        let mut signed = job.clone();
        let head = &mut signed.head;
        for text in [
            &mut head.contact,
            &mut head.due,
            &mut head.customer_order,
            &mut head.ship_to,
            &mut head.prepared_by,
            &mut head.based_on,
        ] {
            *text = None;
        }
        if let Some(blank) = &mut signed.blank {
            (blank.stock, blank.place, blank.lot) = (None, None, None);
        }
        signed.sheets.solid.clear();
        // whose name the paper bears is the shop's affair
        signed.sheets.title_block = None;
        // a Job holds finite numbers, strings and lists only, which always serialise
        let bytes = serde_json::to_vec(&signed).unwrap_or_default();
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
