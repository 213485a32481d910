//! Tapers and thin wheels: a flat under the flange, enough thickness to grind with.

use super::context::{Context, at_least, at_most, on_side};
use super::finding::Severity;
use super::limits::LimitKey;
use super::rule::{Ground, Rule, Ruling};
use crate::wheel::SideName;

pub(super) const RULES: &[Rule] = &[
    Rule {
        id: "taper-under-flange",
        title: "A flat side under the flange",
        text: "Contact faces are flat: straight flanges seat on flats. A taper that reaches under the flange needs flanges made for it; with \
               straight ones the wheel bends when it is clamped. Wheels tapered on both sides (type 4) may be held by tapered safety flanges.",
        hint: "Let the taper begin outside the flange, or recess the side for the flange.",
        ground: Ground::Limits(&[LimitKey::TaperUnderFlange]),
        heaviest: Severity::Stop,
        judge: under_flange,
    },
    Rule {
        id: "thin-wheel",
        title: "As thin as a cutting-off wheel",
        text: "Wheels sold for cutting off are no thicker than a limit that grows with their diameter. Where the order names no other work and the \
               wheel is that thin, it is said; it makes the wheel no cutting-off wheel. What may be cut into its sides follows from the rules of \
               the walls.",
        hint: "Give the operation where the wheel is not for cutting off.",
        ground: Ground::Limits(&[LimitKey::ThinWheel]),
        heaviest: Severity::Note,
        judge: thin,
    },
    Rule {
        id: "thin-rim",
        title: "A tapered rim that can still grind",
        text: "Where tapers leave less than half of the wheel's thickness at the rim, the customer is asked whether it takes side load: our own \
               inference from what a recess may leave.",
        hint: "Make the taper shallower, or confirm that the rim takes no side load.",
        ground: Ground::Limits(&[LimitKey::ThinRimShare]),
        heaviest: Severity::Ask,
        judge: thin_rim,
    },
];

fn under_flange(c: &Context<'_>, r: &mut Ruling) {
    let tapered: Vec<_> = SideName::BOTH.into_iter().filter_map(|s| Some((s, c.wheel().side(s).taper?))).collect();
    if tapered.is_empty() {
        return r.absent("no side is tapered");
    }
    let Some(flange) = c.job.mount.flange_diameter else { return r.unknown("the order gives no flange diameter") };
    let least = flange - 2.0 * c.limits.taper_under_flange;
    let is_type_4 = crate::wheel::designation(c.job).shape == Some(4);
    for (name, taper) in tapered {
        let starts = 2.0 * taper.sloped().0;
        let key = if taper.from_diameter < taper.to_diameter { "from_diameter" } else { "to_diameter" };
        let field = on_side(name, &format!("/taper/{key}"));
        if at_least(starts, least) {
            r.met(field).measured(starts, least, "mm");
            continue;
        }
        let (side, starts_at, flange_is) = (name.letter(), c.len(starts), c.len(flange));
        let slopes = format!(
            "The taper of side {side} slopes from diameter {starts_at} outwards, under the flange of {flange_is}"
        );
        if is_type_4 {
            let question = format!("Is the wheel held by tapered safety flanges? {slopes}.");
            r.ask(field, question)
                .measured(starts, least, "mm")
                .hint("Confirm flanges made for this taper, alike on both sides; straight ones do not seat on it.");
        } else {
            r.stop(field, format!("{slopes}.")).measured(starts, least, "mm");
        }
    }
}

fn thin(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    let limit = c.limits.thin_wheel.at(wheel.outside_diameter);
    let field = "/wheel/thickness";
    if c.job.work.operation.is_some() {
        return r.absent("the order is not for cutting off");
    }
    if !at_most(wheel.thickness, limit) {
        r.met(field).measured(wheel.thickness, limit, "mm");
        return;
    }
    let message = format!(
        "{} thick at {}, the wheel is within {}, the most of wheels sold for cutting off: if it is for that, its sides grind nothing.",
        c.len(wheel.thickness),
        c.len(wheel.outside_diameter),
        c.len(limit)
    );
    r.note(field, message).measured(wheel.thickness, limit, "mm");
}

fn thin_rim(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    let outside = wheel.outside_radius();
    let rim = wheel.thickness - wheel.side_a.nominal_depth(outside) - wheel.side_b.nominal_depth(outside);
    if at_least(rim, wheel.thickness) {
        return r.absent("no taper thins the rim");
    }
    let least = wheel.thickness * c.limits.thin_rim_share;
    let name = if wheel.side_a.nominal_depth(outside) > 0.0 { SideName::A } else { SideName::B };
    let field = on_side(name, "/taper");
    if at_least(rim, least) {
        r.met(field).measured(rim, least, "mm");
        return;
    }
    let question =
        format!("Does the rim take side load? Tapers leave {} of {} there.", c.len(rim), c.len(wheel.thickness));
    r.ask(field, question).measured(rim, least, "mm");
}
