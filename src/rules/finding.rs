//! What the rules say of an order: data, apart from the errors of an order that cannot be read.

use crate::certainty::Certainty;
use crate::order::Answer;
use crate::properties::strength::Strength;
use crate::reach::Left;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How much a finding weighs. The order is from the lightest up.
///
/// ```
/// use wheeldraft::Severity;
///
/// assert!(Severity::Note < Severity::Ask && Severity::Ask < Severity::Stop);
/// assert_eq!(Severity::Stop.word(), "stop");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; nothing to decide.
    Note,
    /// A question to the customer, to be answered before the wheel is made.
    Ask,
    /// The wheel must not be made so.
    Stop,
}

impl Severity {
    /// `note`, `ask` or `stop`.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Ask => "ask",
            Severity::Stop => "stop",
        }
    }
}

/// How well a rule or a limit is founded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Basis {
    /// Read in a public copy of the named source.
    Read,
    /// Read in a secondary summary of it.
    Digest,
    /// From memory, not read: to be checked by the shop before it is relied on.
    Memory,
    /// Common practice of the trade, without a written source.
    Practice,
    /// Plain mathematics.
    Calc,
    /// Our own inference from something that says less.
    Inference,
}

impl Basis {
    /// All of them.
    pub const ALL: [Basis; 6] =
        [Basis::Read, Basis::Digest, Basis::Memory, Basis::Practice, Basis::Calc, Basis::Inference];

    /// Its word in the shop's file: `read`, `digest`, `memory`, `practice`, `calc`, `inference`.
    pub fn word(self) -> &'static str {
        match self {
            Basis::Read => "read",
            Basis::Digest => "digest",
            Basis::Memory => "memory",
            Basis::Practice => "practice",
            Basis::Calc => "calc",
            Basis::Inference => "inference",
        }
    }

    /// What that means, for a reader.
    pub fn meaning(self) -> &'static str {
        match self {
            Basis::Read => "read in a public copy of the source",
            Basis::Digest => "read in a summary of the source, not in the source itself",
            Basis::Memory => "from memory; check it against the source before relying on it",
            Basis::Practice => "common practice of the trade",
            Basis::Calc => "plain calculation",
            Basis::Inference => "our own inference; no source says it in these words",
        }
    }
}

/// What kind of source a rule or a limit has: how far it binds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Authority {
    /// Law: "shall".
    Law,
    /// A recommendation, even in a law: "should". It never stops an order.
    Recommendation,
    /// A published standard.
    Standard,
    /// Advice of makers or of their bodies. It never stops an order.
    Advice,
    /// Common practice of the trade, or the shop's own.
    Practice,
    /// Our own inference.
    Inference,
    /// Plain mathematics.
    Calculation,
}

impl Authority {
    /// All of them.
    pub const ALL: [Authority; 7] = [
        Authority::Law,
        Authority::Recommendation,
        Authority::Standard,
        Authority::Advice,
        Authority::Practice,
        Authority::Inference,
        Authority::Calculation,
    ];

    /// Its word in the shop's file.
    pub fn word(self) -> &'static str {
        match self {
            Authority::Law => "law",
            Authority::Recommendation => "recommendation",
            Authority::Standard => "standard",
            Authority::Advice => "advice",
            Authority::Practice => "practice",
            Authority::Inference => "inference",
            Authority::Calculation => "calculation",
        }
    }

    /// Whether it is strong enough to stop an order.
    pub fn may_stop(self) -> bool {
        !matches!(self, Authority::Recommendation | Authority::Advice)
    }
}

/// Who has to answer a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Addressee {
    /// The customer.
    Customer,
    /// The shop itself: its own blank, tools and tests.
    Shop,
}

impl Addressee {
    /// Of a question about a field of the order: the shop knows its blanks and tools, the customer all else.
    pub fn of(field: &str) -> Addressee {
        let ours = ["/blank", "/tooling"].iter().any(|ours| field.starts_with(ours));
        if ours { Addressee::Shop } else { Addressee::Customer }
    }

    /// `customer` or `shop`.
    pub fn word(self) -> &'static str {
        match self {
            Addressee::Customer => "customer",
            Addressee::Shop => "shop",
        }
    }
}

/// One thing a rule found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// The rule's id.
    pub id: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// The order's field it is about, as a JSON pointer.
    pub feature: String,
    /// Another field that the same answer fills, as a JSON pointer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beside: Option<&'static str>,
    /// What is the matter, with the numbers; a question where the severity is `ask`.
    pub message: String,
    /// What the rule measured, in `unit`; `None` where it measures nothing.
    pub measured: Option<f64>,
    /// What it compared that with, in `unit`.
    pub limit: Option<f64>,
    /// Unit of `measured` and `limit`, such as `mm`; empty for plain numbers.
    pub unit: String,
    /// Who says so.
    pub source: String,
    /// Where in the source; empty where a shop's own limit does not say.
    pub section: String,
    /// Which edition of the source; empty where a shop's own limit does not say.
    pub edition: String,
    /// What kind of source it is.
    pub kind: Authority,
    /// How well that is founded.
    pub basis: Basis,
    /// What to do.
    pub hint: String,
    /// Who has to answer it, where it is a question.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<Addressee>,
}

impl Finding {
    /// Who says so, in one line: source, section where there is one, kind and basis.
    pub fn said_by(&self) -> String {
        let section = if self.section.is_empty() { String::new() } else { format!(", {}", self.section) };
        format!("{}{section} ({}, {})", self.source, self.kind.word(), self.basis.word())
    }
}

/// What all findings come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// A rule stops the order.
    Stop,
    /// Nothing stops it, but the customer has to be asked.
    Ask,
    /// Nothing stops it and nothing is open.
    Clear,
}

impl Verdict {
    /// The verdict over these findings.
    pub fn of(findings: &[Finding]) -> Verdict {
        match findings.iter().map(|f| f.severity).max() {
            Some(Severity::Stop) => Verdict::Stop,
            Some(Severity::Ask) => Verdict::Ask,
            Some(Severity::Note) | None => Verdict::Clear,
        }
    }

    /// `stop`, `ask` or `clear`.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Stop => "stop",
            Verdict::Ask => "ask",
            Verdict::Clear => "clear",
        }
    }
}

/// A rule that could not be evaluated.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotEvaluated {
    /// The rule's id.
    pub rule: &'static str,
    /// What is missing.
    pub why: String,
}

/// A rule the shop has switched off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SwitchedOff {
    /// The rule's id.
    pub rule: String,
    /// The shop's reason, as it gave it.
    pub why: String,
}

/// A rule the order meets.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Met {
    /// The rule's id.
    pub rule: &'static str,
    /// The order's field, as a JSON pointer.
    pub feature: String,
    /// What was measured, in `unit`.
    pub measured: Option<f64>,
    /// What it was compared with, in `unit`.
    pub limit: Option<f64>,
    /// Unit of both.
    pub unit: String,
}

/// A question with what was agreed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answered {
    /// What was asked.
    pub finding: Finding,
    /// What was agreed, by whom and when.
    pub answer: Answer,
}

/// Everything the rules say of one order. Every rule is in one of the five lists at least.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outcome {
    /// What the findings come to.
    pub verdict: Verdict,
    /// The findings, the heaviest first, else in the order of the rules.
    pub findings: Vec<Finding>,
    /// Questions that the order answers.
    pub answered: Vec<Answered>,
    /// Answers to nothing that is asked, or to one of several questions without saying which.
    pub idle_answers: Vec<Answer>,
    /// Answers that were given when the question named other values: it is asked again.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub outdated_answers: Vec<Answer>,
    /// Rules that could not be evaluated, and why.
    pub not_evaluated: Vec<NotEvaluated>,
    /// Rules the shop has switched off.
    pub switched_off: Vec<SwitchedOff>,
    /// Rules the order meets, with the numbers.
    pub met: Vec<Met>,
    /// Rules about something the wheel does not have.
    pub not_applicable: Vec<NotEvaluated>,
    /// The greatest static unbalance, g·mm: a limit of the certificate whether or not a rule speaks of it.
    #[serde(skip)]
    pub permitted_unbalance: Certainty<f64>,
    /// Stress of the wheel beside its blank, worked out once for the rules and the papers.
    #[serde(skip)]
    pub strength: Strength,
    /// What the order's tools leave, for the papers that say it in the words of the rules.
    #[serde(skip)]
    pub left: Vec<Left>,
}

impl Outcome {
    /// The findings of one weight.
    pub fn of(&self, severity: Severity) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(move |f| f.severity == severity)
    }

    /// The open questions to one of them.
    pub fn questions(&self, to: Addressee) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(move |f| f.to == Some(to))
    }
}
