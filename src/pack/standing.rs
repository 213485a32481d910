//! How an order stands: what the rules say, and so what its papers carry.

use crate::rules::{self, Outcome, Severity, ShopRules, Verdict};
use crate::shop::inspection::RuleLimits;
use crate::wheel::Job;

/// What is printed over everything of an order that a rule stops.
pub const NOT_RELEASED: &str = "NOT RELEASED";

/// What the rules say of one order.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Every finding.
    pub outcome: Outcome,
    /// Limits for inspection and traveller.
    pub limits: RuleLimits,
}

impl Standing {
    /// Of an order under the shop's rules.
    pub fn of(job: &Job, shop: &ShopRules) -> Standing {
        let outcome = rules::check(job, shop);
        let limits = RuleLimits::of(job, shop, &outcome);
        Standing { outcome, limits }
    }

    /// Whether a rule stops the order.
    pub fn is_stopped(&self) -> bool {
        self.outcome.verdict == Verdict::Stop
    }

    /// What stops it, a sentence each.
    pub fn stops(&self) -> Vec<String> {
        self.outcome.of(Severity::Stop).map(|f| f.message.clone()).collect()
    }

    /// What is printed over its papers; empty where they may be worked to.
    pub fn bar(&self) -> &'static str {
        if self.is_stopped() { NOT_RELEASED } else { "" }
    }
}
