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
        text: "Straight flanges seat on flats. A taper that reaches under the flange needs flanges made for tapered wheels; with straight \
               ones the wheel bends when it is clamped.",
        hint: "Let the taper begin outside the flange, or recess the side for the flange.",
        ground: Ground::Limits(&[LimitKey::TaperUnderFlange]),
        heaviest: Severity::Stop,
        judge: under_flange,
    },
    Rule {
        id: "thin-wheel",
        title: "Not so thin that it counts as a cutting-off wheel",
        text: "Below a thickness that grows with its diameter a wheel counts as a cutting-off wheel: it takes no side load, and nothing may \
               be cut into its sides.",
        hint: "Order a thicker wheel, or leave the sides as they are and use it for cutting off only.",
        ground: Ground::Limits(&[LimitKey::ThinWheel]),
        heaviest: Severity::Stop,
        judge: thin,
    },
    Rule {
        id: "thin-rim",
        title: "A tapered rim that can still grind",
        text: "Where tapers leave a rim as thin as a cutting-off wheel of that diameter, the customer is asked whether it takes side load.",
        hint: "Make the taper shallower, or confirm that the rim takes no side load.",
        ground: Ground::Limits(&[LimitKey::ThinWheel]),
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
    let least = flange - 2.0 * c.number(LimitKey::TaperUnderFlange);
    for (name, taper) in tapered {
        let starts = 2.0 * taper.sloped().0;
        let key = if taper.from_diameter < taper.to_diameter { "from_diameter" } else { "to_diameter" };
        let field = on_side(name, &format!("/taper/{key}"));
        if at_least(starts, least) {
            r.met(field).measured(starts, least, "mm");
            continue;
        }
        let message = format!(
            "The taper of side {} slopes from diameter {} outwards, under the flange of {}.",
            name.letter(),
            c.len(starts),
            c.len(flange)
        );
        r.stop(field, message).measured(starts, least, "mm");
    }
}

fn thin(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    let limit = c.shop.bracket(LimitKey::ThinWheel, wheel.outside_diameter);
    let field = "/wheel/thickness";
    if !at_most(wheel.thickness, limit) {
        r.met(field).measured(wheel.thickness, limit, "mm");
        return;
    }
    let counts = format!(
        "{} thick at {}: a wheel of up to {} counts as a cutting-off wheel",
        c.len(wheel.thickness),
        c.len(wheel.outside_diameter),
        c.len(limit)
    );
    let cut = SideName::BOTH.into_iter().any(|s| {
        let side = wheel.side(s);
        !side.recess.is_empty() || side.taper.is_some() || side.grooves.is_some()
    });
    if cut {
        r.stop(field, format!("{counts}, and nothing may be cut into its sides.")).measured(
            wheel.thickness,
            limit,
            "mm",
        );
    } else if c.job.work.operation.is_some() {
        r.stop(field, format!("{counts}, which is not for grinding journals, fillets or thrust faces.")).measured(
            wheel.thickness,
            limit,
            "mm",
        );
    } else {
        r.ask(field, format!("Is it for cutting off only? {counts}.")).measured(wheel.thickness, limit, "mm");
    }
}

fn thin_rim(c: &Context<'_>, r: &mut Ruling) {
    let wheel = c.wheel();
    let outside = wheel.outside_radius();
    let rim = wheel.thickness - wheel.side_a.nominal_depth(outside) - wheel.side_b.nominal_depth(outside);
    if at_least(rim, wheel.thickness) {
        return r.absent("no taper thins the rim");
    }
    let limit = c.shop.bracket(LimitKey::ThinWheel, wheel.outside_diameter);
    let name = if wheel.side_a.nominal_depth(outside) > 0.0 { SideName::A } else { SideName::B };
    let field = on_side(name, "/taper");
    if !at_most(rim, limit) {
        r.met(field).measured(rim, limit, "mm");
        return;
    }
    let question = format!(
        "Does the rim take side load? Tapered to {}, it is as thin as a cutting-off wheel of {}.",
        c.len(rim),
        c.len(wheel.outside_diameter)
    );
    r.ask(field, question).measured(rim, limit, "mm");
}
