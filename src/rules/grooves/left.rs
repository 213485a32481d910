//! What grooves leave: wall under them, land between them.

use super::super::context::{Context, at_least, no_more};
use super::super::limits::LimitKey;
use super::super::rule::Ruling;
use super::side_sets;
use crate::properties::{GrooveNumbers, WallLeft, wall_left};
use crate::quantity::fixed;
use crate::section::Section;
use crate::wheel::Wheel;

/// The least wall under the side grooves, corners left aside: where a corner is rounded nothing is ground with the full thickness anyway.
fn least_wall(c: &Context<'_>) -> Option<WallLeft> {
    let mut square: Wheel = c.wheel().clone();
    square.side_a.corner = None;
    square.side_b.corner = None;
    wall_left(&square, &Section::of(&square).ok()?)
}

/// The JSON pointer of the grooves that reach deepest.
fn deepest(c: &Context<'_>) -> String {
    let sets = side_sets(c);
    let deepest = sets.iter().max_by(|a, b| a.1.depth.total_cmp(&b.1.depth));
    deepest.map_or(String::new(), |(_, _, at)| format!("{at}/depth"))
}

/// Where the wall is least, in words.
fn place(c: &Context<'_>, wall: &WallLeft) -> String {
    let what = if wall.opposite_grooves { "between opposite grooves" } else { "under the grooves" };
    format!("{what} at diameter {}", c.len(2.0 * wall.radius))
}

pub(super) fn through(c: &Context<'_>, r: &mut Ruling) {
    if side_sets(c).is_empty() {
        return r.absent("no side is grooved");
    }
    let Some(wall) = least_wall(c) else { return r.absent("the grooves remove nothing") };
    if wall.thickness > crate::tolerance::SAME_LENGTH {
        r.met(deepest(c)).measured(wall.thickness, 0.0, "mm");
        return;
    }
    let message = format!("The grooves break through: nothing is left {}.", place(c, &wall));
    r.stop(deepest(c), message).measured(wall.thickness, 0.0, "mm");
}

pub(super) fn wall(c: &Context<'_>, r: &mut Ruling) {
    if side_sets(c).is_empty() {
        return r.absent("no side is grooved");
    }
    let Some(wall) = least_wall(c) else { return r.absent("the grooves remove nothing") };
    let thickness = c.wheel().thickness;
    let (least, ask) =
        (thickness * c.limits.groove_wall_least_share, thickness * c.limits.groove_wall_ask_share);
    let left = format!("{} of {} {}", c.len(wall.thickness.max(0.0)), c.len(thickness), place(c, &wall));
    if !at_least(wall.thickness, least) {
        r.stop(deepest(c), format!("The wheel keeps {left}; at least {} must stay.", c.len(least))).measured(
            wall.thickness,
            least,
            "mm",
        );
    } else if !at_least(wall.thickness, ask) {
        r.ask(deepest(c), format!("May the wheel keep no more than {left}? That is less than {}.", c.len(ask)))
            .measured(wall.thickness, ask, "mm")
            .by(LimitKey::GrooveWallAskShare);
    } else {
        r.met(deepest(c)).measured(wall.thickness, ask, "mm");
    }
}

/// Every set of grooves with its numbers, its width, what it is called and its JSON pointer.
fn numbered(c: &Context<'_>) -> Vec<(GrooveNumbers, f64, String, String)> {
    let Some(numbers) = c.numbers else { return Vec::new() };
    let sets = [numbers.grooves.side_a, numbers.grooves.side_b, numbers.grooves.face];
    let found: Vec<GrooveNumbers> = sets.into_iter().flatten().collect();
    super::patterns(c).into_iter().zip(found).map(|((what, _, width, at), n)| (n, width, what, at)).collect()
}

pub(super) fn land(c: &Context<'_>, r: &mut Ruling) {
    let least = c.limits.land_least;
    let ratio = c.limits.land_ask_ratio;
    let sets = numbered(c);
    if sets.is_empty() {
        return r.absent("the wheel has no grooves");
    }
    for (n, width, what, at) in sets {
        let Some(merge) = n.merge_diameter else {
            r.absent(format!("there is only one of the {what}"));
            continue;
        };
        let (land, field) = (n.land_inner.min(n.land_outer), format!("{at}/count"));
        if land <= 0.0 {
            let message = format!("The {what} run into each other inside diameter {}.", c.len(merge));
            r.stop(field, message).measured(land, least, "mm");
        } else if !at_least(land, least) {
            let message =
                format!("Between the {what} a land of {} stays; at least {} must.", c.len(land), c.len(least));
            r.stop(field, message).measured(land, least, "mm");
        } else if !at_least(land, ratio * width) {
            let question = format!(
                "May the lands between the {what} be {} wide, narrower than their width of {}?",
                c.len(land),
                c.len(width)
            );
            r.ask(field, question).measured(land, ratio * width, "mm").by(LimitKey::LandAskRatio);
        } else {
            r.met(field).measured(land, ratio * width, "mm");
        }
    }
}

pub(super) fn land_share(c: &Context<'_>, r: &mut Ruling) {
    let least = c.limits.land_share_least;
    let sets = numbered(c);
    if sets.is_empty() {
        return r.absent("the wheel has no grooves");
    }
    for (n, _, what, at) in sets {
        let field = format!("{at}/count");
        if no_more(least, n.land_share) {
            r.met(field).measured(n.land_share, least, "");
            continue;
        }
        let question = format!(
            "Is it right that the {what} leave {} % land? Usual is at least {} %.",
            fixed(100.0 * n.land_share, 1),
            fixed(100.0 * least, 0)
        );
        r.ask(field, question).measured(n.land_share, least, "");
    }
}
