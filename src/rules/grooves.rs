//! Grooves: what they leave of the wheel, where they may reach, and what they excite.

mod form;
mod left;
mod reach;

use super::context::Context;
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule};
use crate::wheel::{Pattern, SideGrooves, SideName};

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "groove-through",
        title: "Grooves that do not break through",
        text: "Under every groove something is left of the wheel: its floor stays above the opposite side, the opposite recess, and the \
               opposite groove where two face each other.",
        hint: "Make the grooves shallower, or move opposite ones half a pitch apart.",
        ground: Ground::Geometry,
        heaviest: Severity::Stop,
        judge: left::through,
    },
    Rule {
        id: "groove-wall",
        title: "Wall left under grooves",
        text: "The wall left under a groove, or between two opposite ones, is a share of the wheel's thickness: below half the customer is \
               asked, below a quarter the wheel is refused, as with two recesses.",
        hint: "Make the grooves shallower, or order a thicker wheel.",
        ground: Ground::Limits(&[LimitKey::GrooveWallLeastShare, LimitKey::GrooveWallAskShare]),
        heaviest: Severity::Stop,
        judge: left::wall,
    },
    Rule {
        id: "groove-land",
        title: "Land between two grooves",
        text: "Where grooves come nearest to each other a land stays between them, wider than a few grains; one narrower than its groove is \
               asked about, since it crumbles when the side is dressed.",
        hint: "Cut fewer or narrower grooves, or begin them farther out.",
        ground: Ground::Limits(&[LimitKey::LandLeast, LimitKey::LandAskRatio]),
        heaviest: Severity::Stop,
        judge: left::land,
    },
    Rule {
        id: "groove-land-share",
        title: "Share of the side that stays land",
        text: "Grooves bring coolant, lands grind. Where less than half of the grooved ring stays land the customer is asked.",
        hint: "Cut fewer or narrower grooves, or confirm the count.",
        ground: Ground::Limits(&[LimitKey::LandShareLeast]),
        heaviest: Severity::Ask,
        judge: left::land_share,
    },
    Rule {
        id: "groove-under-flange",
        title: "No groove under the flange seat",
        text: "Nothing is cut under the flange seat: grooves end outside it, at every point of their inner end.",
        hint: "Begin the grooves at least at the flange diameter.",
        ground: Ground::Geometry,
        heaviest: Severity::Stop,
        judge: reach::under_flange,
    },
    Rule {
        id: "groove-worn-out",
        title: "Grooves that last as long as the wheel",
        text: "Side grooves reach in to the worn-out diameter, or the last part of the wheel's life runs without them.",
        hint: "Begin the grooves at the worn-out diameter, or tell the customer where they end.",
        ground: Ground::Limits(&[LimitKey::RecessTravel]),
        heaviest: Severity::Note,
        judge: reach::worn_out,
    },
    Rule {
        id: "groove-starts-in-recess",
        title: "Grooves that begin where there is a side",
        text: "A groove no deeper than a recess cuts nothing inside it; its ordered inner end is then not the one the wheel shows.",
        hint: "Give the recess diameter as the grooves' inner diameter.",
        ground: Ground::Geometry,
        heaviest: Severity::Note,
        judge: reach::in_recess,
    },
    Rule {
        id: "groove-bottom",
        title: "A bottom that fits the depth",
        text: "A round or vee bottom takes a depth of its own; in a shallower groove its flanks end before they reach the ordered width.",
        hint: "Make the groove deeper or narrower, or order a flat bottom.",
        ground: Ground::Geometry,
        heaviest: Severity::Ask,
        judge: form::bottom,
    },
    Rule {
        id: "groove-pitch",
        title: "The usual pitch",
        text: "Coolant grooves on the sides of crankshaft wheels usually lie 2° apart, 180 all round.",
        hint: "Nothing, where another pitch is meant.",
        ground: Ground::Limits(&[LimitKey::GroovePitch]),
        heaviest: Severity::Note,
        judge: form::pitch,
    },
    Rule {
        id: "groove-direction",
        title: "Direction of skewed grooves",
        text: "The open end of a skewed groove leads in the direction of rotation. The skew therefore fixes how the wheel is mounted; skews \
               that ask for opposite directions cannot both be right.",
        hint: "Put the rotation arrow on drawing and label.",
        ground: Ground::Limits(&[LimitKey::SkewDirection]),
        heaviest: Severity::Ask,
        judge: form::direction,
    },
    Rule {
        id: "groove-excitation",
        title: "Groove frequency away from natural frequencies",
        text: "N grooves at n revolutions per minute excite the machine N·n/60 times a second, and at twice and three times that: those across the \
               face in plunge grinding, those in the sides only in side contact. How much of the load a harmonic carries follows from the grooves' share \
               of the pitch. Each that carries enough keeps a share away from every natural frequency that is given.",
        hint: "Choose another count (`wheeldraft grooves ORDER --sweep`), or another rpm.",
        ground: Ground::Limits(&[LimitKey::ExcitationMargin, LimitKey::HarmonicWeight]),
        heaviest: Severity::Ask,
        judge: form::excitation,
    },
];

/// The grooves of the sides, with the JSON pointer of each set.
pub(super) fn side_sets<'a>(c: &Context<'a>) -> Vec<(SideName, &'a SideGrooves, String)> {
    let wheel = c.wheel();
    SideName::BOTH
        .into_iter()
        .filter_map(|s| Some((s, wheel.side(s).grooves.as_ref()?, super::context::on_side(s, "/grooves"))))
        .collect()
}

/// Every groove pattern of the wheel, with what it is called and its JSON pointer.
pub(super) fn patterns<'a>(c: &Context<'a>) -> Vec<(String, &'a Pattern, f64, String)> {
    let mut found: Vec<_> = side_sets(c)
        .into_iter()
        .map(|(s, g, at)| (format!("grooves of side {}", s.letter()), &g.pattern, g.width, at))
        .collect();
    if let Some(face) = &c.wheel().face {
        found.push(("face grooves".into(), &face.pattern, face.width, "/wheel/face/grooves".into()));
    }
    found
}
