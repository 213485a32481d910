//! A detail of the inner end of a groove that a disc cutter leaves, cut along the groove.
//!
//! x is the distance along the groove's centre line from its inner end, outwards; y is height out of the wheel, 0 on the datum plane.

use super::canvas::Canvas;
use super::clip::Disc;
use super::{Context, DetailOf, Scale, View, ViewError, ViewKind, hatch};
use crate::drawing::{Item, LineRole};
use crate::geometry::{Edge, Point, Turn};
use crate::groove::{Rise, SideGroove};
use crate::sheet::dimension::{Column, SPARE};
use crate::size::{GrooveSet, GrooveSize, SideName, Size};
use crate::wheel::{InnerEnd, SideGrooves};

/// Length of the cutter's run-out on the part, mm.
fn length(grooves: &SideGrooves) -> f64 {
    match grooves.inner_end {
        InnerEnd::Runout { cutter_diameter } => (grooves.depth * (cutter_diameter - grooves.depth)).max(0.0).sqrt(),
        _ => 0.0,
    }
}

/// Diameter of the detail's circle on the part, mm.
pub(super) fn size(grooves: &SideGrooves) -> f64 {
    1.3 * length(grooves) + grooves.depth
}

/// The detail at one scale.
pub(super) fn build(letter: char, of: DetailOf, scale: Scale, context: &Context) -> Result<View, ViewError> {
    let (side, both) = (of.side().unwrap_or(SideName::A), of == DetailOf::BothInnerEnds);
    let id = format!("view-detail-{}", letter.to_ascii_lowercase());
    let what = match both {
        true => context.style.say("view.inner_end_both").to_owned(),
        false => context.style.of_side("view.inner_end", side),
    };
    let title = context.style.put("view.detail", &[("letter", &letter.to_string()), ("what", &what)]);
    let mut canvas = Canvas::new(context, scale, id, title);
    canvas.both = both;
    let wheel = &context.job.wheel;
    let found = wheel.side(side).grooves.as_ref().zip(SideGroove::of(wheel, side));
    let Some((ordered, groove)) = found else { return Err(canvas.geometry("the side has no grooves")) };
    let Some(rise) = groove.floor.rise else { return Err(canvas.geometry("its grooves have no run-out")) };
    let s = canvas.factor;
    let run = rise.tangent_u - groove.inner_u;
    let middle = Point::new(run / 2.0, -groove.floor.depth(groove.inner_u + run / 2.0));
    let disc = Disc { centre: middle * s, radius: size(ordered) / 2.0 * s };
    let Some(rim) = disc.contour() else { return Err(canvas.geometry("the circle has no size")) };
    let surface = |x: f64| -wheel.side(side).nominal_depth((groove.inner_u + x).hypot(groove.offset));
    let far = size(ordered);
    let land = |from: f64, to: f64| Edge::line(Point::new(from, surface(from)), Point::new(to, surface(to)));
    let floor = floor_edges(&groove, rise, far);
    let edges: Vec<Edge> =
        [land(-far, 0.0), land(0.0, far)].iter().chain(&floor).flat_map(|e| disc.clip(&e.scaled(s))).collect();
    let is_void = |p: Point| {
        let (x, y) = (p.x / s, p.y / s);
        y > surface(x) || (x > 0.0 && y > -groove.floor.depth(groove.inner_u + x))
    };
    let area = hatch::Area { contour: &rim, inner: &edges, is_void: &is_void, blank: &[] };
    canvas.put(Item::Hatch { lines: hatch::lines(&area, std::f64::consts::FRAC_PI_4) });
    canvas.edges(edges, LineRole::Visible);
    let bounds = rim.bounds();
    canvas.contour(rim, LineRole::Fine);
    let mut called = Vec::new();
    let cutter = Size::Groove(GrooveSet::Side(side), GrooveSize::Cutter);
    if let Some((requirement, arc)) = canvas.requirement(cutter).zip(floor.first()) {
        let label = canvas.label(requirement).followed_by(context.style.say("view.cutter"), context.style);
        called.push(canvas.called(requirement, arc.at(0.5) * s, 2.0 * rise.radius, label));
    }
    let column =
        Column { towards: 1.0, edge: bounds.max.x, low: bounds.min.y - SPARE, high: bounds.max.y + SPARE, called };
    let Some(groups) = column.fill() else { return Err(canvas.crowded("the cutter's value does not fit")) };
    canvas.put_groups(groups);
    let kind = ViewKind::Detail { letter, of };
    Ok(canvas.finish(kind, &format!("{letter} ({scale})"), &[&what], bounds.centre().x, bounds))
}

/// The floor: the cutter's arc, then straight to `far`.
fn floor_edges(groove: &SideGroove, rise: Rise, far: f64) -> Vec<Edge> {
    let at = |x: f64| Point::new(x, -groove.floor.depth(groove.inner_u + x));
    let run = rise.tangent_u - groove.inner_u;
    let centre = Point::new(rise.centre_u - groove.inner_u, -rise.centre_depth);
    // the floor's own numbers meet the circle to rounding only; what is drawn is put on it
    let on_circle = |p: Point| (p - centre).unit().map_or(p, |d| centre + d * rise.radius);
    let (start, end) = (on_circle(at(0.0)), on_circle(at(run)));
    let arc = Edge::arc(start, end, centre, rise.radius, Turn::Left).ok();
    arc.into_iter().chain([Edge::line(end, at(far))]).collect()
}
