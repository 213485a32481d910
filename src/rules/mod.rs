//! Everything that decides whether the wheel may be made: each rule with its limit, source and basis, and what it finds in an order.
//!
//! A rule looks at the resolved [`Job`] and says one of four things: the order meets it, it does not (a [`Finding`]), it cannot be evaluated (and
//! why), or the wheel has nothing it is about. No rule is skipped silently. Limits are the shop's: [`ShopRules`]. A value equal to its
//! limit meets it.

mod answered;
mod balance;
mod blank;
mod bore;
mod context;
mod draft;
mod finding;
mod flange;
mod grooves;
mod guide;
mod handling;
mod limits;
mod marking;
mod reach;
mod recess;
mod rule;
mod shop;
mod speed;
mod strength;
mod taper;
mod testing;
mod tools;
mod work;

pub use answered::is_named;
pub use draft::ID as SIZE_OPEN;
pub use finding::{
    Addressee, Answered, Authority, Basis, Finding, Met, NotEvaluated, Outcome, Severity, SwitchedOff, Verdict,
};
pub use guide::{Advice, BUILT_IN_GUIDE, GradeGuide, GuideQuestion};
pub use limits::{Bracket, Brackets, Kind, Limit, LimitKey, LimitValue, Limits};
pub use rule::{Ground, Rule, Said};
pub use shop::{BUILT_IN, ShopRules, schema};

use crate::properties::Worked;
use crate::wheel::Job;
use context::Context;
use rule::Ruling;

/// The families, in the order in which their findings are listed.
const FAMILIES: &[&[Rule]] = &[
    draft::RULES,
    blank::RULES,
    marking::RULES,
    speed::RULES,
    strength::RULES,
    testing::RULES,
    flange::RULES,
    bore::RULES,
    recess::RULES,
    reach::RULES,
    taper::RULES,
    grooves::RULES,
    tools::RULES,
    work::RULES,
    balance::RULES,
    handling::RULES,
];

/// Every rule.
pub fn all() -> impl Iterator<Item = &'static Rule> {
    FAMILIES.iter().flat_map(|family| family.iter())
}

/// The rule of an id.
pub fn find(id: &str) -> Option<&'static Rule> {
    all().find(|r| r.id == id)
}

/// Every rule on one order. Who needs the numbers too makes a [`Dossier`](crate::dossier::Dossier), which holds both.
#[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
pub fn check(job: &Job, shop: &ShopRules) -> Outcome {
    judged(job, Worked::of(job, &shop.structures()).ok().as_ref(), shop)
}

/// Every rule on an order whose numbers are worked out; `None` where the wheel has no section.
pub(crate) fn judged(job: &Job, worked: Option<&Worked>, shop: &ShopRules) -> Outcome {
    let context = Context::of(job, worked, shop);
    let mut outcome = Outcome {
        verdict: Verdict::Clear,
        findings: Vec::new(),
        answered: Vec::new(),
        idle_answers: Vec::new(),
        outdated_answers: Vec::new(),
        not_evaluated: Vec::new(),
        switched_off: shop.switched_off().to_vec(),
        met: Vec::new(),
        not_applicable: Vec::new(),
        permitted_unbalance: context.permitted_unbalance(),
        strength: context.strength.clone(),
        left: context.left.clone(),
    };
    for rule in all().filter(|r| !shop.switched_off().iter().any(|off| off.rule == r.id)) {
        let mut ruling = Ruling::default();
        (rule.judge)(&context, &mut ruling);
        if !ruling.has_spoken() {
            ruling.unknown("the rule gave no answer");
        }
        outcome.findings.extend(ruling.drafts.into_iter().map(|d| rule.finding(&context, d)));
        outcome.met.extend(ruling.met.into_iter().map(|d| rule.as_met(d)));
        outcome.not_evaluated.extend(ruling.not_evaluated.into_iter().map(|why| rule.because(why)));
        outcome.not_applicable.extend(ruling.not_applicable.into_iter().map(|why| rule.because(why)));
    }
    let settled = answered::settle(&job.answers, &mut outcome.findings);
    (outcome.answered, outcome.idle_answers, outcome.outdated_answers) = (settled.answered, settled.idle, settled.outdated);
    outcome.findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
    outcome.verdict = Verdict::of(&outcome.findings);
    outcome
}
