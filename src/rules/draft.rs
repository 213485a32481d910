//! Sizes the order leaves open: each is a question with what is proposed and why.

use super::context::Context;
use super::finding::Severity;
use super::rule::{Ground, Rule, Ruling};
use crate::quantity::{Written, trimmed};
use crate::wheel::OpenSize;

/// The rule's id. No answer settles it: the size itself has to stand in the order.
pub const ID: &str = "size-open";

pub(super) const RULES: &[Rule] = &[Rule {
    id: ID,
    title: "Sizes that are decided",
    text: "An order may be drawn before every size is decided: a size `\"?\"` is asked, `\"? 0.06 in\"` is asked with what the shop proposes, and a recess step, a \
           taper or a groove set may lack sizes. The drawing goes by the proposal, or by what is usual, and says DRAFT; nothing is approved, \
           cut or labelled.",
    hint: "Give the size; where one is proposed, it may be taken.",
    ground: Ground::Geometry,
    heaviest: Severity::Ask,
    judge: open,
}];

fn open(c: &Context<'_>, r: &mut Ruling) {
    if !c.job.is_draft() {
        r.met("/wheel");
    }
    for size in &c.job.open {
        let draft = r.ask(&*size.field, question(c, size));
        if let Some(value) = size.value {
            draft.value(value, size.unit());
        }
    }
}

/// `Groove width, side A: what is it to be? Usual is 0.06 in: the width of the slitting disc.`
fn question(c: &Context<'_>, size: &OpenSize) -> String {
    let asked = format!("{}: what is it to be?", c.job.words_of(&size.field));
    let Some(shown) = size.shown(&Written::plain_in(c.job.units)) else { return asked };
    let grooves = size.value.filter(|_| size.field.ends_with("pitch_deg")).map(|pitch| format!(", {} grooves", trimmed(360.0 / pitch, 0)));
    let places = grooves.unwrap_or_default();
    match &size.why {
        Some(why) => format!("{asked} Usual is {shown}{places}: {why}."),
        None => format!("{asked} We propose {shown}{places}."),
    }
}
