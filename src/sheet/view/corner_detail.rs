//! A detail of the corner at the outside diameter, for corners too small to be seen in the half-section.

use super::canvas::Canvas;
use super::clip::Disc;
use super::corner::{corner, disc};
use super::section::exchanged_edge;
use super::{Context, DetailOf, Scale, View, ViewError, ViewKind, hatch};
use crate::drawing::{Item, LineRole};
use crate::geometry::{Edge, Point};
use crate::section::Feature;
use crate::sheet::dimension::{Column, SPARE};
use crate::size::SideName;

/// The detail at one scale.
pub(super) fn build(letter: char, of: DetailOf, scale: Scale, context: &Context) -> Result<View, ViewError> {
    let (side, both) = (of.side().unwrap_or(SideName::A), of == DetailOf::BothCorners);
    let id = format!("view-detail-{}", letter.to_ascii_lowercase());
    let style = context.style;
    let title = style.of_side("view.corner_title", side);
    let mut canvas = Canvas::new(context, scale, id, title);
    canvas.both = both;
    let s = canvas.factor;
    let Some(disc) = disc(context, side) else { return Err(canvas.geometry("the side has no corner")) };
    let on_paper = |p: Point| Point::new(p.y, p.x) * s;
    // the corner's middle is the view's origin
    let origin = on_paper(disc.centre);
    let edges: Vec<(Edge, Feature)> =
        context.section.edges().map(|(e, f)| (exchanged_edge(e, s).translated(-origin), f)).collect();
    let disc = Disc { centre: Point::ORIGIN, radius: disc.radius * s };
    let Some(rim) = disc.contour() else { return Err(canvas.geometry("its circle has no size")) };
    let inner: Vec<Edge> = edges.iter().flat_map(|(e, _)| disc.clip(e)).collect();
    let back = |p: Point| {
        let q = (p + origin) * (1.0 / s);
        Point::new(q.y, q.x)
    };
    let is_void = |p: Point| !context.section.contour().contains(back(p));
    let area = hatch::Area { contour: &rim, inner: &inner, is_void: &is_void, blank: &[] };
    let straight = edges.iter().find(|(_, f)| *f == Feature::Corner(side)).map(|(e, _)| *e);
    let angle = inner.first().map_or(std::f64::consts::FRAC_PI_4, |_| hatch::direction_beside(straight.as_ref()));
    canvas.put(Item::Hatch { lines: hatch::lines(&area, angle) });
    canvas.edges(inner, LineRole::Visible);
    let bounds = rim.bounds();
    canvas.contour(rim, LineRole::Fine);
    let (towards, edge) = if side == SideName::A { (-1.0, bounds.min.x) } else { (1.0, bounds.max.x) };
    let called = straight.and_then(|e| corner(&mut canvas, side, &e, origin));
    let column = Column {
        towards,
        edge,
        low: bounds.min.y - SPARE,
        high: bounds.max.y + SPARE,
        called: called.into_iter().collect(),
    };
    let Some(groups) = column.fill() else { return Err(canvas.crowded("its value does not fit beside it")) };
    canvas.put_groups(groups);
    let caption = format!("{letter} ({scale})");
    let grooved = context.job.wheel.side(side).grooves.is_some();
    let between = if grooved { style.say("view.between_grooves") } else { "" };
    let corner = if both { style.say("view.corner_both").to_owned() } else { style.of_side("view.corner_side", side) };
    let below = corner + between;
    let kind = ViewKind::Detail { letter, of };
    Ok(canvas.finish(kind, &caption, &[&below], 0.0, bounds))
}
