//! What the altered wheel carries on from its blank, and what it must not: the maker's word, restrictions, expiry, old markings, claims.

use super::context::{Context, at_least, at_most};
use super::finding::{Addressee, Severity};
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::quantity::Date;
use crate::wheel::{Blank, designation};

const BLANK: &str = "/blank";
const EXPIRES: &str = "/blank/expires";
const RESTRICTIONS: &str = "/blank/restrictions";
const AGREEMENT: &str = "/blank/maker_agreement";

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "shape-consent",
        title: "The maker's word on the new shape",
        text: "The wheel's maker sets its maximum speed from its shape and strength. Where type, bore or the thickness at the bore change against the \
               blank, he confirms the speed for the new shape; the reference of his agreement stands in the order. No law that names who may alter was \
               found; makers tell users never to alter a bore.",
        hint: "Get the maker's agreement in writing and give its reference in the order.",
        ground: Ground::Limits(&[LimitKey::ShapeConsent, LimitKey::Altering]),
        heaviest: Severity::Ask,
        judge: consent,
    },
    Rule {
        id: "restriction-carried",
        title: "Restrictions and expiry of the blank",
        text: "What restricts the use of the blank (RE1 to RE6) restricts that of the altered wheel and stands on its label. Organic bonds age: such a \
               blank has a day until which it may be used, the altered wheel keeps it, and one that has expired is not altered.",
        hint: "Copy restrictions and expiry from the blank; take another blank where it has expired.",
        ground: Ground::Limits(&[LimitKey::RestrictionCarried, LimitKey::Storage]),
        heaviest: Severity::Stop,
        judge: carried,
    },
    Rule {
        id: "old-marking",
        title: "No marking of the blank's own size left",
        text: "A wheel carries one set of diameter and rpm. The blank's own do not fit the altered wheel and lead to overspeed: they are removed or \
               covered for good before the new label goes on.",
        hint: "Take the blank's diameter and rpm off, or cover them for good, before labelling.",
        ground: Ground::Limits(&[LimitKey::OldMarking]),
        heaviest: Severity::Note,
        judge: old,
    },
    Rule {
        id: "conformity-claim",
        title: "No standard's number that nobody vouches for",
        text: "The number of a standard on a wheel says that whoever marked it vouches for conformity. On the altered wheel that is the alterer, who may \
               keep it only where he can vouch.",
        hint: "Leave the standard's number out of marking and restrictions, or confirm that the shop vouches for it.",
        ground: Ground::Limits(&[LimitKey::ConformityClaim]),
        heaviest: Severity::Ask,
        judge: claim,
    },
    Rule {
        id: "set-mark",
        title: "Wheels run side by side",
        text: "Wheels that are clamped side by side are balanced as a set and carry one set number.",
        hint: "Ask whether the wheels run side by side; mark them as a set if they do.",
        ground: Ground::Limits(&[LimitKey::SetMark]),
        heaviest: Severity::Note,
        judge: set,
    },
    Rule {
        id: "heavy-point",
        title: "A mark for the heavy point",
        text: "A mark at the heavy point, on the label's side, helps whoever mounts and balances the wheel.",
        hint: "Mark the heavy point after balancing.",
        ground: Ground::Limits(&[LimitKey::HeavyPoint]),
        heaviest: Severity::Note,
        judge: heavy,
    },
];

/// Whether the order gives the maker's agreement to the alteration.
pub(super) fn is_agreed(c: &Context<'_>) -> bool {
    c.job.blank.as_ref().is_some_and(|b| b.maker_agreement.is_some())
}

fn consent(c: &Context<'_>, r: &mut Ruling) {
    let Some(blank) = &c.job.blank else { return r.unknown("the order names no blank") };
    let changed = changes(c, blank);
    if changed.is_empty() {
        if blank.bore.is_none() || blank.thickness.is_none() {
            return r.unknown("the order does not give bore and thickness of the blank");
        }
        return r.absent("neither type nor bore nor the thickness at the bore changes");
    }
    if is_agreed(c) {
        r.met(AGREEMENT);
        return;
    }
    let question = format!(
        "Does the abrasive maker agree to the new shape, and to its speed? Against the blank, {}.",
        changed.join(", ")
    );
    r.ask(AGREEMENT, question).to(Addressee::Shop);
}

/// What of the shape changes against a straight blank.
fn changes(c: &Context<'_>, blank: &Blank) -> Vec<String> {
    let wheel = c.wheel();
    let mut changed = Vec::new();
    let kind = designation(c.job);
    if kind.shape != Some(1) {
        changed.push(format!("the type becomes {}", kind.shape.map_or(kind.name, |n| n.to_string())));
    }
    let same = |a: f64, b: f64| at_least(a, b) && at_most(a, b);
    if let Some(bore) = blank.bore.filter(|b| !same(wheel.bore, *b)) {
        changed.push(format!("the bore becomes {} instead of {}", c.len(wheel.bore), c.len(bore)));
    }
    let hub = c.thickness_at_bore();
    if let Some(thickness) = blank.thickness.filter(|t| !same(hub, *t)) {
        changed.push(format!("the thickness at the bore becomes {} instead of {}", c.len(hub), c.len(thickness)));
    }
    changed
}

fn carried(c: &Context<'_>, r: &mut Ruling) {
    let Some(blank) = &c.job.blank else { return r.unknown("the order names no blank") };
    if !blank.restrictions.is_empty() {
        let message = format!("The label carries the blank's restrictions: {}.", blank.restrictions.join(", "));
        r.note(RESTRICTIONS, message);
    }
    let is_organic = c.read_mark().is_some_and(|m| m.bond.is_organic());
    let ordered: Option<Date> = c.job.head.date.as_deref().and_then(|d| d.parse().ok());
    match (blank.expires, ordered) {
        (Some(expires), Some(today)) if expires < today && is_organic => {
            r.stop(EXPIRES, format!("The blank's organic bond expired on {expires}, before the order of {today}."));
        }
        (Some(expires), Some(today)) if expires < today => {
            let question = format!("May a blank still be used that expired on {expires}, before the order of {today}?");
            r.ask(EXPIRES, question).to(Addressee::Shop);
        }
        (Some(expires), Some(_)) => {
            r.note(EXPIRES, format!("The altered wheel keeps the blank's expiry, {expires}."));
        }
        (Some(_), None) => r.unknown("the order has no date to hold the blank's expiry against"),
        (None, _) if is_organic => {
            let question = "Until which day may the blank be used? Its bond is organic, and such wheels expire.";
            r.ask(EXPIRES, question).to(Addressee::Shop);
        }
        (None, _) if c.read_mark().is_none() => r.unknown("the order gives no specification mark that can be read"),
        (None, _) if blank.restrictions.is_empty() => {
            r.absent("the order names no restriction, and the bond does not expire");
        }
        (None, _) => {}
    }
}

fn old(c: &Context<'_>, r: &mut Ruling) {
    let Some(blank) = &c.job.blank else { return r.unknown("the order names no blank") };
    let Some(outside) = blank.outside_diameter else {
        return r.unknown("the order does not give the outside diameter of the blank");
    };
    if at_least(c.wheel().outside_diameter, outside) && at_most(c.wheel().outside_diameter, outside) {
        return r.absent("the outside diameter stays the blank's");
    }
    let message = format!(
        "Before labelling, take the blank's {} and its rpm off the wheel, or cover them for good.",
        c.len(outside)
    );
    r.note("/blank/outside_diameter", message).value(outside, "mm");
}

/// Beginnings of the numbers of standards that are claimed on wheels.
const STANDARDS: [&str; 7] = ["EN ", "ANSI", "ISO ", "JIS", "DIN", "GOST", "OSA"];

fn claim(c: &Context<'_>, r: &mut Ruling) {
    let Some(blank) = &c.job.blank else { return r.unknown("the order names no blank") };
    let texts = blank.marking.iter().chain(&blank.restrictions);
    let claimed = texts.into_iter().find(|t| {
        let text = t.to_uppercase();
        STANDARDS.iter().any(|s| text.starts_with(s) || text.contains(&format!(" {s}")))
    });
    match claimed {
        None => r.absent("neither marking nor restrictions name a standard"),
        Some(text) => {
            let question = format!(
                "Does the shop vouch for what \"{text}\" claims of the altered wheel? Its label would carry it on."
            );
            r.ask(BLANK, question).to(Addressee::Shop);
        }
    }
}

fn set(c: &Context<'_>, r: &mut Ruling) {
    match c.job.head.quantity.unwrap_or(1) {
        0 | 1 => r.absent("the order is for one wheel"),
        n => {
            let message = format!("If any of the {n} wheels run side by side, they carry one set number.");
            r.note("/order/quantity", message).value(f64::from(n), "");
        }
    }
}

fn heavy(_: &Context<'_>, r: &mut Ruling) {
    r.note("/wheel", "After balancing, the heavy point is marked on the label's side.");
}
