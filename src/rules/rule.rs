//! What a rule is, and how it says what it found.

use super::context::Context;
use super::finding::{Addressee, Authority, Basis, Finding, Met, NotEvaluated, Severity};
use super::limits::LimitKey;

/// One rule.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// Its id, our own: short words with hyphens.
    pub id: &'static str,
    /// Its name in a line.
    pub title: &'static str,
    /// What it checks and why, for `check --explain`.
    pub text: &'static str,
    /// What to do when it finds something.
    pub hint: &'static str,
    /// Where its authority comes from.
    pub ground: Ground,
    /// The heaviest finding it can make.
    pub heaviest: Severity,
    pub(super) judge: fn(&Context<'_>, &mut Ruling),
}

/// Where a rule's authority comes from.
#[derive(Debug, Clone, Copy)]
pub enum Ground {
    /// From the limits of the shop's file; the first is named as the source.
    Limits(&'static [LimitKey]),
    /// From the geometry of the order itself, which no shop can change.
    Geometry,
}

/// Who stands behind a finding.
pub struct Said {
    /// Who.
    pub source: String,
    /// Where in it.
    pub section: String,
    /// Which edition.
    pub edition: String,
    /// How far it binds.
    pub kind: Authority,
    /// How it was read.
    pub basis: Basis,
}

impl Said {
    /// The order's own sizes: what cannot exist needs no authority.
    pub fn by_geometry() -> Said {
        Said {
            source: String::from("geometry of the order"),
            section: String::from("the fields named"),
            edition: String::from("calculated"),
            kind: Authority::Calculation,
            basis: Basis::Calc,
        }
    }
}

/// What one rule says of one order.
#[derive(Debug, Default)]
pub(super) struct Ruling {
    pub(super) drafts: Vec<Draft>,
    pub(super) met: Vec<Draft>,
    pub(super) not_evaluated: Vec<String>,
    pub(super) not_applicable: Vec<String>,
}

/// A finding before the rule's own id, source and basis are put to it.
#[derive(Debug, Clone)]
pub(super) struct Draft {
    severity: Severity,
    feature: String,
    message: String,
    measured: Option<f64>,
    limit: Option<f64>,
    unit: &'static str,
    hint: Option<String>,
    ground: Option<LimitKey>,
    to: Option<Addressee>,
    beside: Option<&'static str>,
}

impl Draft {
    /// What was measured and the limit, both in `unit`.
    pub(super) fn measured(&mut self, measured: f64, limit: f64, unit: &'static str) -> &mut Draft {
        self.measured = Some(measured);
        self.limit = Some(limit);
        self.unit = unit;
        self
    }

    /// What was measured, where there is nothing to compare it with.
    pub(super) fn value(&mut self, measured: f64, unit: &'static str) -> &mut Draft {
        self.measured = Some(measured);
        self.unit = unit;
        self
    }

    /// What to do, where it is more particular than the rule's own hint.
    pub(super) fn hint(&mut self, hint: impl Into<String>) -> &mut Draft {
        self.hint = Some(hint.into());
        self
    }

    /// Who has to answer it, where the field does not say.
    pub(super) fn to(&mut self, who: Addressee) -> &mut Draft {
        self.to = Some(who);
        self
    }

    /// Another field that the same answer fills.
    pub(super) fn beside(&mut self, field: Option<&'static str>) -> &mut Draft {
        self.beside = field;
        self
    }

    /// The limit of the shop's file that decided, where it is not the rule's first.
    pub(super) fn by(&mut self, limit: LimitKey) -> &mut Draft {
        self.ground = Some(limit);
        self
    }
}

impl Ruling {
    fn draft(&mut self, severity: Severity, feature: impl Into<String>, message: impl Into<String>) -> &mut Draft {
        let i = self.drafts.len();
        self.drafts.push(blank(severity, feature.into(), message.into()));
        &mut self.drafts[i]
    }

    /// The wheel must not be made so.
    pub(super) fn stop(&mut self, feature: impl Into<String>, message: impl Into<String>) -> &mut Draft {
        self.draft(Severity::Stop, feature, message)
    }

    /// A question to the customer.
    pub(super) fn ask(&mut self, feature: impl Into<String>, question: impl Into<String>) -> &mut Draft {
        self.draft(Severity::Ask, feature, question)
    }

    /// Worth knowing.
    pub(super) fn note(&mut self, feature: impl Into<String>, message: impl Into<String>) -> &mut Draft {
        self.draft(Severity::Note, feature, message)
    }

    /// The order meets the rule.
    pub(super) fn met(&mut self, feature: impl Into<String>) -> &mut Draft {
        let i = self.met.len();
        self.met.push(blank(Severity::Note, feature.into(), String::new()));
        &mut self.met[i]
    }

    /// The rule cannot be evaluated; why.
    pub(super) fn unknown(&mut self, why: impl Into<String>) {
        self.not_evaluated.push(why.into());
    }

    /// The wheel has nothing the rule is about.
    pub(super) fn absent(&mut self, why: impl Into<String>) {
        self.not_applicable.push(why.into());
    }

    /// Whether the rule has said anything at all.
    pub(super) fn has_spoken(&self) -> bool {
        !(self.drafts.is_empty()
            && self.met.is_empty()
            && self.not_evaluated.is_empty()
            && self.not_applicable.is_empty())
    }
}

fn blank(severity: Severity, feature: String, message: String) -> Draft {
    Draft { severity, feature, message, measured: None, limit: None, unit: "", hint: None, ground: None, to: None, beside: None }
}

impl Rule {
    /// Who says so: a limit of the shop's file, or the order's own geometry.
    fn said_by(&self, context: &Context<'_>, limit: Option<LimitKey>) -> Said {
        let limit = limit.or(match self.ground {
            Ground::Limits(names) => names.first().copied(),
            Ground::Geometry => None,
        });
        match limit.map(|key| context.shop.limit(key)) {
            Some(l) => Said {
                source: l.source.clone(),
                section: l.section.clone(),
                edition: l.edition.clone(),
                kind: l.kind,
                basis: l.basis,
            },
            None => Said::by_geometry(),
        }
    }

    pub(super) fn finding(&self, context: &Context<'_>, draft: Draft) -> Finding {
        let said = self.said_by(context, draft.ground);
        let (mut severity, mut message) = (draft.severity, draft.message);
        // a shop's file may put a weaker source behind a limit: what only recommends asks
        if severity == Severity::Stop && !said.kind.may_stop() {
            severity = Severity::Ask;
            message.push_str(" May it stay so?");
        }
        let to = (severity == Severity::Ask).then(|| draft.to.unwrap_or_else(|| Addressee::of(&draft.feature)));
        Finding {
            id: self.id,
            severity,
            feature: draft.feature,
            beside: draft.beside,
            message,
            measured: draft.measured,
            limit: draft.limit,
            unit: draft.unit.to_owned(),
            source: said.source,
            section: said.section,
            edition: said.edition,
            kind: said.kind,
            basis: said.basis,
            hint: draft.hint.unwrap_or_else(|| self.hint.to_owned()),
            to,
        }
    }

    pub(super) fn as_met(&self, draft: Draft) -> Met {
        Met {
            rule: self.id,
            feature: draft.feature,
            measured: draft.measured,
            limit: draft.limit,
            unit: draft.unit.to_owned(),
        }
    }

    pub(super) fn because(&self, why: String) -> NotEvaluated {
        NotEvaluated { rule: self.id, why }
    }
}
