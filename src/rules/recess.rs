//! Recesses: what they must leave, and whether the flange fits in.

use super::context::{Context, at_least, on_side};
use super::finding::{Addressee, Severity};
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::wheel::SideName;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "recess-one-side",
        title: "Half of the thickness left by a recess on one side",
        text: "A recess on one side usually leaves at least half of the wheel's thickness after altering, at every step, whatever the other \
               side's taper takes away there. Where it leaves less, the abrasive maker is asked.",
        hint: "Ask the abrasive maker, make the recess shallower, divide it between both sides, or order a thicker wheel.",
        ground: Ground::Limits(&[LimitKey::RecessThicknessShare]),
        heaviest: Severity::Ask,
        judge: one_side,
    },
    Rule {
        id: "recess-two-sides",
        title: "Thickness left by recesses on both sides",
        text: "Two recesses together leave at least a quarter of the wheel's thickness: our own inference from what is published for one recess \
               and for the backs of cups. Below half of it the abrasive maker is asked first.",
        hint: "Make the recesses shallower or order a thicker wheel.",
        ground: Ground::Limits(&[LimitKey::TwoRecessLeastShare, LimitKey::TwoRecessCautionShare]),
        heaviest: Severity::Stop,
        judge: two_sides,
    },
    Rule {
        id: "recess-clears-flange",
        title: "A recess that lets the flange in",
        text: "The innermost step of a recess is wider than the flange by a small share and a fixed amount, so that the flange reaches its \
               seat without touching the wall.",
        hint: "Make the innermost step at least this wide, or leave the side flat.",
        ground: Ground::Limits(&[LimitKey::RecessFlangeFactor, LimitKey::RecessFlangeAllowance]),
        heaviest: Severity::Stop,
        judge: clears_flange,
    },
    Rule {
        id: "recess-flat",
        title: "A flat under the flange, clear of the fillet",
        text: "The flat of the innermost floor, within its fillet, exceeds the flange by two fillet radii: a flange that rides up on the \
               fillet bends the wheel.",
        hint: "Make the fillet smaller or the recess wider.",
        ground: Ground::Limits(&[LimitKey::FlatFilletFactor]),
        heaviest: Severity::Stop,
        judge: flat,
    },
    Rule {
        id: "recess-fillet",
        title: "Inner corners that are not sharp",
        text: "Tension gathers in the inner corner of a recess, the more the sharper it is. A corner with less than the shop's least fillet, or \
               none at all, is asked about; no standard's figure could be read.",
        hint: "Give the step a fillet_radius of at least this, as far as the flange's flat allows.",
        ground: Ground::Limits(&[LimitKey::RecessFilletLeast]),
        heaviest: Severity::Ask,
        judge: fillet,
    },
    Rule {
        id: "wide-without-recess",
        title: "A wide wheel without a recess",
        text: "Wheels wider than an inch usually get a recess, so that the hub bolts reach and less side has to be dressed. Where the order \
               has none, the customer is asked before the wheel is quoted.",
        hint: "Ask for recess diameter and depth; `wheeldraft recess ORDER` proposes both.",
        ground: Ground::Limits(&[LimitKey::WideWithoutRecess]),
        heaviest: Severity::Ask,
        judge: wide,
    },
];

fn sides_with_recess(c: &Context<'_>) -> Vec<SideName> {
    SideName::BOTH.into_iter().filter(|&s| !c.wheel().side(s).recess.is_empty()).collect()
}

fn one_side(c: &Context<'_>, r: &mut Ruling) {
    let sides = sides_with_recess(c);
    let &[name] = sides.as_slice() else {
        return r.absent(if sides.is_empty() { "no side is recessed" } else { "both sides are recessed" });
    };
    let wheel = c.wheel();
    let least = wheel.thickness * c.limits.recess_thickness_share;
    let steps = &wheel.side(name).recess;
    for (i, step) in steps.iter().enumerate() {
        let inner = steps.get(i + 1).map_or(wheel.bore_radius(), |s| s.diameter / 2.0);
        let opposite = |radius: f64| wheel.side(name.other()).nominal_depth(radius);
        let left = wheel.thickness - step.depth - opposite(inner).max(opposite(step.diameter / 2.0));
        let field = on_side(name, &format!("/recess/{i}/depth"));
        if at_least(left, least) {
            r.met(field).measured(left, least, "mm");
            continue;
        }
        let question = format!(
            "Does the abrasive maker permit that step {} of the recess on side {} leaves {} of {}, less than {}?",
            i + 1,
            name.letter(),
            c.len(left),
            c.len(wheel.thickness),
            c.len(least)
        );
        r.ask(field, question).measured(left, least, "mm").to(Addressee::Shop);
    }
}

fn two_sides(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    if sides_with_recess(c).len() < 2 {
        return r.absent("not both sides are recessed");
    }
    let left = c.least_thickness_of_recesses();
    let (least, caution) = (
        wheel.thickness * c.limits.two_recess_least_share,
        wheel.thickness * c.limits.two_recess_caution_share,
    );
    let depth = |s: SideName| wheel.side(s).recess.last().map_or(0.0, |step| step.depth);
    let deeper = if depth(SideName::A) >= depth(SideName::B) { SideName::A } else { SideName::B };
    let field = on_side(deeper, &format!("/recess/{}/depth", wheel.side(deeper).recess.len() - 1));
    let leaves = format!("leave {} of {}", c.len(left), c.len(wheel.thickness));
    if !at_least(left, least) {
        r.stop(field, format!("The two recesses {leaves}; at least {} must stay.", c.len(least)))
            .measured(left, least, "mm");
    } else if !at_least(left, caution) {
        let question =
            format!("Does the abrasive maker permit that the two recesses {leaves}, less than {}?", c.len(caution));
        r.ask(field, question).measured(left, caution, "mm").by(LimitKey::TwoRecessCautionShare).to(Addressee::Shop);
    } else {
        r.met(field).measured(left, caution, "mm");
    }
}

fn clears_flange(c: &Context<'_>, r: &mut Ruling) {
    let sides = sides_with_recess(c);
    if sides.is_empty() {
        return r.absent("no side is recessed");
    }
    let Some(flange) = c.job.mount.flange_diameter else { return r.unknown("the order gives no flange diameter") };
    let least = c.recess_for_flange(flange);
    for name in sides {
        let steps = &c.wheel().side(name).recess;
        let last = steps.len() - 1;
        let (diameter, field) = (steps[last].diameter, on_side(name, &format!("/recess/{last}/diameter")));
        if at_least(diameter, least) {
            r.met(field).measured(diameter, least, "mm");
            continue;
        }
        let message = format!(
            "The innermost step of the recess on side {} measures {}; flanges of {} need at least {}.",
            name.letter(),
            c.len(diameter),
            c.len(flange),
            c.len(least)
        );
        r.stop(field, message).measured(diameter, least, "mm");
    }
}

fn flat(c: &Context<'_>, r: &mut Ruling) {
    let sides = sides_with_recess(c);
    if sides.is_empty() {
        return r.absent("no side is recessed");
    }
    let Some(flange) = c.job.mount.flange_diameter else { return r.unknown("the order gives no flange diameter") };
    for name in sides {
        let steps = &c.wheel().side(name).recess;
        let last = steps.len() - 1;
        let fillet = steps[last].fillet_radius;
        let flat = steps[last].diameter - 2.0 * fillet;
        let least = flange + c.limits.flat_fillet_factor * fillet;
        if at_least(flat, least) {
            r.met(on_side(name, &format!("/recess/{last}/fillet_radius"))).measured(flat, least, "mm");
            continue;
        }
        let message = format!(
            "The flat of the recess floor on side {} measures {} within its fillet of {}; flanges of {} need {}.",
            name.letter(),
            c.len(flat),
            c.len(fillet),
            c.len(flange),
            c.len(least)
        );
        let key = if fillet > 0.0 { "fillet_radius" } else { "diameter" };
        r.stop(on_side(name, &format!("/recess/{last}/{key}")), message).measured(flat, least, "mm");
    }
}

fn fillet(c: &Context<'_>, r: &mut Ruling) {
    let sides = sides_with_recess(c);
    if sides.is_empty() {
        return r.absent("no side is recessed");
    }
    let least = c.limits.recess_fillet_least;
    for name in sides {
        for (i, step) in c.wheel().side(name).recess.iter().enumerate() {
            let field = on_side(name, &format!("/recess/{i}/fillet_radius"));
            if at_least(step.fillet_radius, least) {
                r.met(field).measured(step.fillet_radius, least, "mm");
                continue;
            }
            let has = if step.fillet_radius > 0.0 {
                format!("has only {}", c.len(step.fillet_radius))
            } else {
                "is ordered sharp".into()
            };
            let question = format!(
                "May the inner corner of step {} of the recess on side {} get a fillet of {}? It {has}, and tension gathers there.",
                i + 1,
                name.letter(),
                c.len(least)
            );
            r.ask(field, question).measured(step.fillet_radius, least, "mm");
        }
    }
}

fn wide(c: &Context<'_>, r: &mut Ruling) {
    let (thickness, limit) = (c.wheel().thickness, c.limits.wide_without_recess);
    if !sides_with_recess(c).is_empty() {
        return r.absent("the wheel is recessed");
    }
    if super::context::at_most(thickness, limit) {
        r.met("/wheel/thickness").measured(thickness, limit, "mm");
        return;
    }
    let question = format!(
        "Which recess does the wheel get, how wide and how deep? It is {} thick and the order has none; wheels over {} usually have one.",
        c.len(thickness),
        c.len(limit)
    );
    r.ask("/wheel/side_a/recess", question).measured(thickness, limit, "mm");
}
