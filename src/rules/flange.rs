//! Flanges: large enough, seated on the wheel, out of the way when it is worn.

use super::context::{Context, at_least, at_most};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::properties::recess::Missing;

const FLANGE: &str = "/mount/flange_diameter";

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "flange-third",
        title: "Flanges of at least a third of the wheel",
        text: "Both flanges are equally large, bear equally, and measure at least a third of the outside diameter after altering. Smaller \
               ones hold the wheel too near its bore, where the stress is greatest. Straight cutting-off wheels may have flanges of a quarter; \
               plate-mounted wheels, cups held by a chuck, types 27 and 28, internal wheels under 2 in and terrazzo cups are mounted otherwise.",
        hint: "Fit flanges of at least this diameter, both alike, or order a smaller wheel.",
        ground: Ground::Limits(&[LimitKey::FlangeShare]),
        heaviest: Severity::Stop,
        judge: third,
    },
    Rule {
        id: "flange-seat",
        title: "The flange finds a seat on the wheel",
        text: "The flange is larger than the bore with its chamfers, smaller than the wheel, and its bearing ring is no wider than half of \
               it. Otherwise one of the sizes is mistyped, or the wheel cannot be clamped.",
        hint: "Check the flange diameter, its bearing ring and the bore against each other.",
        ground: Ground::Geometry,
        heaviest: Severity::Stop,
        judge: seat,
    },
    Rule {
        id: "flange-undercut",
        title: "A bearing ring clear of the hole",
        text: "A flange bears on a ring; inside it is undercut, so that nothing presses on the wheel at its hole. A bore made larger can come under \
               that ring. The ring begins at least an eighth of an inch outside the hole with its chamfer.",
        hint: "Fit flanges whose undercut is wider than the new bore, or keep the bore.",
        ground: Ground::Limits(&[LimitKey::BearingClearOfHole]),
        heaviest: Severity::Ask,
        judge: undercut,
    },
    Rule {
        id: "flange-bearing",
        title: "Enough of a ring to bear on",
        text: "What counts is the width on which flange and wheel really touch: the flange's ring, less what lies over the hole and its \
               chamfer. A narrow ring presses hard and lets the wheel slip.",
        hint: "Fit flanges with a wider bearing ring, or keep the bore.",
        ground: Ground::Limits(&[LimitKey::BearingWidthShare]),
        heaviest: Severity::Ask,
        judge: bearing,
    },
    Rule {
        id: "blotter-cover",
        title: "Blotters over all of the contact",
        text: "A blotter lies at each flange and covers all of its contact with the wheel; both are new at each mounting unless the maker fixed \
               them, and neither is scuffed.",
        hint: "Send two blotters of this size with the wheel.",
        ground: Ground::Limits(&[LimitKey::Blotter]),
        heaviest: Severity::Note,
        judge: blotter,
    },
    Rule {
        id: "flange-worn-wheel",
        title: "The worn-out wheel still covers its flanges",
        text: "At the end of the machine's travel the wheel must still be larger than its flanges, or they meet the work first.",
        hint: "Ask how far the machine really uses the wheel, and whether its travel is counted on the radius or on the diameter.",
        ground: Ground::Limits(&[LimitKey::RecessTravel]),
        heaviest: Severity::Ask,
        judge: worn,
    },
];

fn third(c: &Context<'_>, r: &mut Ruling) {
    let d = c.wheel().outside_diameter;
    let least = d * c.limits.flange_share;
    let Some(flange) = c.job.mount.flange_diameter else {
        let missing = Missing::Flange;
        let question = format!("{} A wheel of {} needs at least {}.", missing.question(), c.len(d), c.len(least));
        r.ask(FLANGE, question).hint(missing.hint());
        r.unknown("the order gives no flange diameter");
        return;
    };
    if at_least(flange, least) {
        r.met(FLANGE).measured(flange, least, "mm");
    } else {
        let (flange_is, wheel, needs) = (c.len(flange), c.len(d), c.len(least));
        let message = format!("The flanges measure {flange_is}; a wheel of {wheel} needs at least {needs}.");
        r.stop(FLANGE, message).measured(flange, least, "mm");
    }
}

fn seat(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    let Some(flange) = c.job.mount.flange_diameter else { return r.unknown("the order gives no flange diameter") };
    let hole = wheel.bore + 2.0 * wheel.bore_chamfer;
    let before = r.drafts.len();
    if at_most(flange, hole) {
        let message = format!(
            "The flanges of {} do not reach beyond the bore, {} with its chamfers.",
            c.len(flange),
            c.len(hole)
        );
        r.stop(FLANGE, message).measured(flange, hole, "mm");
    }
    if at_least(flange, wheel.outside_diameter) {
        let (flange_is, wheel_is) = (c.len(flange), c.len(wheel.outside_diameter));
        let message = format!("The flanges of {flange_is} are not smaller than the wheel of {wheel_is}.");
        r.stop(FLANGE, message).measured(flange, wheel.outside_diameter, "mm");
    }
    if let Some(width) = c.job.mount.flange_bearing_width.filter(|w| !at_most(*w, flange / 2.0)) {
        let message = format!("Can a bearing ring be {} wide on flanges of {}?", c.len(width), c.len(flange));
        r.ask("/mount/flange_bearing_width", message).measured(width, flange / 2.0, "mm");
    }
    if r.drafts.len() == before {
        r.met(FLANGE).measured(flange, hole, "mm");
    }
}

/// Radius at which the flange's bearing ring begins, mm; `None` where the order does not say.
fn bearing_begins(c: &Context<'_>) -> Option<f64> {
    Some(c.job.mount.flange_diameter? / 2.0 - c.job.mount.flange_bearing_width?)
}

/// Radius at which the flat begins that a flange can bear on: the hole with its chamfer, mm.
fn hole_ends(c: &Context<'_>) -> f64 {
    c.wheel().bore_radius() + c.wheel().bore_chamfer
}

const NO_RING: &str = "the order does not give flange diameter and bearing width";

fn undercut(c: &Context<'_>, r: &mut Ruling) {
    let Some(ring) = bearing_begins(c) else { return r.unknown(NO_RING) };
    let (clear, least) = (ring - hole_ends(c), c.limits.bearing_clear_of_hole);
    let field = "/mount/flange_bearing_width";
    if at_least(clear, least) {
        r.met(field).measured(clear, least, "mm");
        return;
    }
    let where_it_begins = if clear < 0.0 {
        format!("{} inside the edge of the hole", c.len(-clear))
    } else {
        format!("{} outside the edge of the hole", c.len(clear))
    };
    let question = format!(
        "Are the flanges made for this bore? Their bearing ring begins at diameter {}, {where_it_begins}; at least {} outside is wanted.",
        c.len(2.0 * ring),
        c.len(least)
    );
    r.ask(field, question).measured(clear, least, "mm");
}

fn bearing(c: &Context<'_>, r: &mut Ruling) {
    let (Some(ring), Some(flange)) = (bearing_begins(c), c.job.mount.flange_diameter) else {
        return r.unknown(NO_RING);
    };
    let width = flange / 2.0 - ring.max(hole_ends(c));
    let least = flange * c.limits.bearing_width_share;
    let field = "/mount/flange_bearing_width";
    if at_least(width, least) {
        r.met(field).measured(width, least, "mm");
        return;
    }
    let question = format!(
        "Do the flanges hold the wheel on so narrow a ring? They bear on {}, flanges of {} usually on {} or more.",
        c.len(width),
        c.len(flange),
        c.len(least)
    );
    r.ask(field, question).measured(width, least, "mm");
}

fn blotter(c: &Context<'_>, r: &mut Ruling) {
    let Some(flange) = c.job.mount.flange_diameter else { return r.unknown("the order gives no flange diameter") };
    let count = crate::quantity::trimmed(c.limits.blotter, 0);
    let message = format!("{count} new blotters of at least {} go with the wheel.", c.len(flange));
    r.note(FLANGE, message).value(flange, "mm");
}

fn worn(c: &Context<'_>, r: &mut Ruling) {
    let Some(worn) = c.worn_out_diameter() else {
        return r.unknown("the order does not say how far the machine uses the wheel");
    };
    let Some(flange) = c.job.mount.flange_diameter else { return r.unknown("the order gives no flange diameter") };
    let field = "/machine/usable_travel";
    if at_least(worn, flange) {
        r.met(field).measured(worn, flange, "mm");
        return;
    }
    let (end, flange_is) = (if worn > 0.0 { c.len(worn) } else { String::from("nothing") }, c.len(flange));
    let question = format!(
        "Does the machine really use the wheel down to {end}? The flanges measure {flange_is} and would meet the work first."
    );
    r.ask(field, question).measured(worn, flange, "mm");
}
