//! Everything worked out of one order, once: every sheet, paper and answer takes it, and nothing goes back for it.

#[cfg(feature = "pdf")]
use crate::drawing::About;
use crate::language::Language;
use crate::properties::density::Origin;
use crate::properties::{Properties, Worked};
use crate::rules::{self, Outcome, Severity, ShopRules, Verdict};
use crate::section::SectionError;
use crate::state::{Approved, State};
use crate::quantity::Written;
use crate::wheel::{Job, OpenSize};
use std::ops::Deref;

pub use crate::state::{DRAFT, DRAFT_NOT_RELEASED, NOT_RELEASED};

/// One order with its section, its numbers and what the shop's rules say of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Dossier<'s> {
    /// The order.
    pub job: Job,
    /// The shop's limits.
    pub shop: &'s ShopRules,
    /// Section, density and numbers.
    pub worked: Worked,
    /// What the rules say.
    pub outcome: Outcome,
    /// Whether the customer has approved exactly this order.
    pub approved: Approved,
    /// Why the shop cannot release it although the customer approves.
    pub held: Option<&'static str>,
}

impl<'s> Dossier<'s> {
    /// Of an order under the shop's rules.
    ///
    /// # Errors
    /// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
    pub fn of(job: Job, shop: &'s ShopRules) -> Result<Dossier<'s>, SectionError> {
        let mut job = job;
        job.tolerances.shop = shop.general_tolerances().cloned();
        let worked = Worked::of(&job, &shop.structures())?;
        let outcome = rules::judged(&job, Some(&worked), shop);
        Ok(Dossier { job, shop, worked, outcome, approved: Approved::missing(), held: None })
    }

    /// The same with what is known of the customer's approval.
    pub fn with(self, approved: Approved) -> Dossier<'s> {
        Dossier { approved, ..self }
    }

    /// The same where the shop cannot release it, even approved: why.
    pub fn held(self, why: Option<&'static str>) -> Dossier<'s> {
        Dossier { held: why, ..self }
    }

    /// The state that every file made of it says.
    pub fn state(&self) -> State {
        State::of(&self.job, self.shop, self.is_stopped(), &self.approved, self.held)
    }

    /// What a drawing made of it says of itself.
    #[cfg(feature = "pdf")]
    pub fn about(&self, subject: &str) -> About {
        About { state: self.state().lines(), ..self.job.about(subject) }
    }

    /// The numbers by the order's own density: masses stand on it or are not known, never on an estimate.
    pub fn as_ordered(&self) -> Properties {
        match self.worked.density.map(|d| d.origin) {
            Some(Origin::Estimated) => self.numbers.of_density(None),
            _ => self.numbers.clone(),
        }
    }

    /// Whether a rule stops the order.
    pub fn is_stopped(&self) -> bool {
        self.outcome.verdict == Verdict::Stop
    }

    /// Why the shop cannot release what the customer has approved; `None` where it can, or nothing is approved.
    fn held_back(&self) -> Option<&'static str> {
        self.held.filter(|_| self.approved.is_given())
    }

    /// Why nothing may be cut, labelled or certified by it; `None` where neither the rules nor an open size nor the shop stand against it.
    pub fn withheld(&self) -> Option<String> {
        match self.job.open.len() {
            _ if self.is_stopped() => Some("a rule stops the order".to_owned()),
            0 => self.held_back().map(str::to_owned),
            1 => Some("the order is a draft, a size is open".to_owned()),
            n => Some(format!("the order is a draft, {n} sizes are open")),
        }
    }

    /// The sizes that are open, a few words each: `Groove width, side A: 0.06 in ?`.
    pub fn open_sizes(&self) -> Vec<String> {
        self.open_sizes_in(Language::default())
    }

    /// The same in a language.
    pub fn open_sizes_in(&self, language: Language) -> Vec<String> {
        let written = Written::plain_in(self.job.units);
        let shown = |size: &OpenSize| {
            let words = self.job.words_in(&size.field, language);
            match size.shown(&written) {
                Some(value) => format!("{words}: {value} ?"),
                None => format!("{words} ?"),
            }
        };
        self.job.open.iter().map(shown).collect()
    }

    /// What stops it, a sentence each.
    pub fn stops(&self) -> Vec<String> {
        self.outcome.of(Severity::Stop).map(|f| f.message.clone()).collect()
    }

    /// What is printed over its papers; empty where they may be worked to.
    pub fn bar(&self) -> &'static str {
        match (self.job.is_draft(), self.is_stopped()) {
            (true, true) => DRAFT_NOT_RELEASED,
            (true, false) => DRAFT,
            (false, true) => NOT_RELEASED,
            (false, false) if self.held_back().is_some() => NOT_RELEASED,
            (false, false) => "",
        }
    }
}

impl Deref for Dossier<'_> {
    type Target = Worked;

    fn deref(&self) -> &Worked {
        &self.worked
    }
}
