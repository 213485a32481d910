//! What a file says of the state it was made in: order, fingerprint, release, version, the shop's rules. Made once, printed by every writer.

use crate::quantity::Date;
use crate::rules::{ShopRules, SwitchedOff};
use crate::wheel::Job;
use serde_json::{Value, json};

/// What is printed over everything of an order that a rule stops.
pub const NOT_RELEASED: &str = "NOT RELEASED";
/// What is printed over everything of an order that leaves a size open.
pub const DRAFT: &str = "DRAFT";
/// The same where a rule stops the order too.
pub const DRAFT_NOT_RELEASED: &str = "DRAFT · NOT RELEASED";
/// What is printed over everything of an order the customer has not approved.
pub const UNAPPROVED: &str = "UNAPPROVED";

/// Whether the customer has approved exactly this state of the order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Approved {
    /// By whom, when, and the record as it lies beside the order.
    By {
        /// The name.
        name: String,
        /// The day.
        date: Date,
        /// Why it was given although questions were open.
        waived: Option<String>,
        /// The record.
        record: Vec<u8>,
    },
    /// Not: why.
    Not(String),
}

impl Approved {
    /// There is no record of an approval.
    pub fn missing() -> Approved {
        Approved::Not("not approved by the customer".to_owned())
    }

    /// Whether it is.
    pub fn is_given(&self) -> bool {
        matches!(self, Approved::By { .. })
    }
}

/// How far an order has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Release {
    /// Sizes are open.
    Draft {
        /// How many.
        open: usize,
        /// Whether a rule stops it too.
        is_stopped: bool,
    },
    /// A rule stops it.
    NotReleased,
    /// The customer has approved it, and the shop cannot release it: why.
    Held(String),
    /// The customer has not approved it.
    Unapproved,
    /// The customer has approved exactly this.
    Approved {
        /// Who.
        by: String,
        /// When.
        on: Date,
        /// Why it was given although questions were open.
        waived: Option<String>,
    },
}

impl Release {
    /// In a word or two, for a cell of a title block.
    pub fn status(&self) -> &'static str {
        match self {
            Release::Draft { .. } => DRAFT,
            Release::NotReleased | Release::Held(_) => NOT_RELEASED,
            Release::Unapproved => UNAPPROVED,
            Release::Approved { .. } => "APPROVED",
        }
    }

    /// In words: `NOT RELEASED`, `UNAPPROVED`, `approved by R. Adeyemi on 2026-03-04`.
    pub fn words(&self) -> String {
        match self {
            Release::Draft { open, is_stopped } => {
                let sizes = if *open == 1 { "a size is open".to_owned() } else { format!("{open} sizes are open") };
                format!("{}, {sizes}", if *is_stopped { DRAFT_NOT_RELEASED } else { DRAFT })
            }
            Release::NotReleased => NOT_RELEASED.to_owned(),
            Release::Held(why) => format!("{NOT_RELEASED}, {why}"),
            Release::Unapproved => UNAPPROVED.to_owned(),
            Release::Approved { by, on, waived: None } => format!("approved by {by} on {on}"),
            Release::Approved { by, on, waived: Some(why) } => {
                format!("approved by {by} on {on}, open questions waived: {why}")
            }
        }
    }
}

/// The state of one order as its files say it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    /// Number and revision of the order.
    pub order: (String, String),
    /// The fingerprint, 64 hexadecimal digits.
    pub fingerprint: String,
    /// How far it has come.
    pub release: Release,
    /// What the shop's rules call themselves.
    pub rules: String,
    /// SHA-256 of the shop's rules, 64 hexadecimal digits.
    pub rules_hash: String,
    /// The rules the shop does not apply.
    pub switched_off: Vec<SwitchedOff>,
}

/// The program and its version.
pub fn version() -> String {
    format!("wheeldraft {}", env!("CARGO_PKG_VERSION"))
}

impl State {
    /// Of an order under the shop's rules; `held` is why the shop cannot release what is approved.
    pub fn of(job: &Job, shop: &ShopRules, is_stopped: bool, approved: &Approved, held: Option<&str>) -> State {
        let release = match approved {
            _ if job.is_draft() => Release::Draft { open: job.open.len(), is_stopped },
            _ if is_stopped => Release::NotReleased,
            Approved::By { name, date, waived, .. } => match held {
                Some(why) => Release::Held(why.to_owned()),
                None => Release::Approved { by: name.clone(), on: *date, waived: waived.clone() },
            },
            Approved::Not(_) => Release::Unapproved,
        };
        State {
            order: (job.head.number.clone(), job.head.revision.clone()),
            fingerprint: job.fingerprint().full().to_owned(),
            release,
            rules: shop.name().to_owned(),
            rules_hash: shop.hash().to_owned(),
            switched_off: shop.switched_off().to_vec(),
        }
    }

    /// A line each, for comments and the head lines of a table.
    pub fn lines(&self) -> Vec<String> {
        let (number, revision) = &self.order;
        let mut lines = vec![
            format!("Order: {number}, revision {revision}"),
            format!("Fingerprint: {}", self.fingerprint),
            format!("State: {}", self.release.words()),
            format!("Made by: {}", version()),
            format!("Shop rules: {}, SHA-256 {}", self.rules, self.rules_hash),
        ];
        let off = |off: &SwitchedOff| format!("Rule switched off: {} ({})", off.rule, off.why);
        lines.extend(self.switched_off.iter().map(off));
        lines
    }

    /// One line for the ink of a paper.
    pub fn line(&self) -> String {
        let off: Vec<&str> = self.switched_off.iter().map(|off| off.rule.as_str()).collect();
        let off = if off.is_empty() { String::new() } else { format!(", without {}", off.join(", ")) };
        let rules = self.rules_hash.get(..8).unwrap_or_default();
        format!("State: {} · {} · rules {}, {rules}{off}", self.release.words(), version(), self.rules)
    }

    /// As an object.
    pub fn json(&self) -> Value {
        let (number, revision) = &self.order;
        let held = match &self.release {
            Release::Held(why) => Some(why),
            _ => None,
        };
        let (state, approved) = match &self.release {
            Release::Draft { .. } => ("draft", Value::Null),
            Release::NotReleased | Release::Held(_) => ("not released", Value::Null),
            Release::Unapproved => ("unapproved", Value::Null),
            Release::Approved { by, on, waived } => ("approved", json!({ "by": by, "on": on, "waived": waived })),
        };
        json!({
            "number": number, "revision": revision, "fingerprint": self.fingerprint, "state": state, "held": held, "approved": approved, "made_by": version(),
            "shop_rules": { "name": self.rules, "sha256": self.rules_hash, "switched_off": self.switched_off },
        })
    }
}
