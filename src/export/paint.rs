//! What the PDF and the picture share: a drawing as painted paths and placed glyphs, in the order they are painted.
//!
//! Arcs become cubic Bézier curves here, for both formats know no arcs; each spans at most 45°, which keeps it within 5e-6 of the radius.

use crate::drawing::dash::{self, Dashes};
use crate::drawing::{Drawing, Fill, Inside, Item, LineRole, Pen, Text};
use crate::geometry::{Arc, Edge, Point};
use std::f64::consts::{FRAC_PI_4, TAU};

/// Grey of a fill: 0 black, 1 white.
pub const BLACK: f64 = 0.0;
/// The paper.
pub const PAPER: f64 = 1.0;
/// The pale tint, printed as 90 % white.
pub const TINT: f64 = 0.9;

/// The grey a fill is painted with; `None` where nothing is.
pub fn grey(fill: Fill) -> Option<f64> {
    match fill {
        Fill::None => None,
        Fill::Solid => Some(BLACK),
        Fill::Paper => Some(PAPER),
        Fill::Tint => Some(TINT),
    }
}

/// A step of a path, mm, y up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Begin here.
    Move(Point),
    /// Straight to here.
    Line(Point),
    /// Curve by two control points to here.
    Cubic(Point, Point, Point),
    /// Straight back to the beginning.
    Close,
}

/// A format that paints.
pub trait Canvas {
    /// Fills a path with a grey.
    fn fill(&mut self, path: &[Step], inside: Inside, grey: f64);
    /// Draws along a path in black, `width` mm wide; unbroken lines have round ends, broken ones flat ends.
    fn stroke(&mut self, path: &[Step], width: f64, dashes: &Dashes);
    /// Sets a text.
    fn text(&mut self, text: &Text);
}

/// Paints a whole drawing.
pub fn paint(drawing: &Drawing, canvas: &mut impl Canvas) {
    paint_items(&drawing.items, &drawing.pen, canvas);
}

fn paint_items(items: &[Item], pen: &Pen, canvas: &mut impl Canvas) {
    for item in items {
        match item {
            Item::Line { from, to, role } => paint_edge(&Edge::line(*from, *to), *role, pen, canvas),
            Item::Arc { arc, role } => paint_edge(&Edge::Arc(*arc), *role, pen, canvas),
            Item::Circle { centre, radius, role, fill } => {
                let path = circle(*centre, *radius);
                fill_path(&path, Inside::NonZero, *fill, canvas);
                canvas.stroke(&path, pen.width(*role), &dash::closed(pen, *role, TAU * radius));
            }
            Item::Contour { contour, role, fill } => paint_contour(contour.edges(), *role, *fill, pen, canvas),
            Item::Area { outlines, inside, fill } => {
                let path: Vec<Step> = outlines.iter().flat_map(|c| closed(c.edges())).collect();
                fill_path(&path, *inside, *fill, canvas);
            }
            Item::Hatch { lines } => {
                let path: Vec<Step> = lines.iter().flat_map(|&(a, b)| [Step::Move(a), Step::Line(b)]).collect();
                canvas.stroke(&path, pen.width(LineRole::Hatching), &Dashes::default());
            }
            Item::Text(text) => canvas.text(text),
            Item::Group(group) => paint_items(&group.items, pen, canvas),
        }
    }
}

fn paint_edge(edge: &Edge, role: LineRole, pen: &Pen, canvas: &mut impl Canvas) {
    let mut path = vec![Step::Move(edge.start())];
    push_edge(&mut path, edge);
    canvas.stroke(&path, pen.width(role), &dash::open(pen, role, edge.length()));
}

/// A broken contour is drawn edge by edge, so that its corners lie on dashes.
fn paint_contour(edges: &[Edge], role: Option<LineRole>, fill: Fill, pen: &Pen, canvas: &mut impl Canvas) {
    let path = closed(edges);
    fill_path(&path, Inside::NonZero, fill, canvas);
    match role {
        None => {}
        Some(role) if pen.dashes(role).is_empty() => canvas.stroke(&path, pen.width(role), &Dashes::default()),
        Some(role) => edges.iter().for_each(|edge| paint_edge(edge, role, pen, canvas)),
    }
}

fn closed(edges: &[Edge]) -> Vec<Step> {
    let mut path = vec![Step::Move(edges[0].start())];
    for edge in edges {
        push_edge(&mut path, edge);
    }
    path.push(Step::Close);
    path
}

fn fill_path(path: &[Step], inside: Inside, fill: Fill, canvas: &mut impl Canvas) {
    if let Some(grey) = grey(fill) {
        canvas.fill(path, inside, grey);
    }
}

fn push_edge(path: &mut Vec<Step>, edge: &Edge) {
    match edge {
        Edge::Line(line) => path.push(Step::Line(line.end)),
        Edge::Arc(arc) => push_arc(path, arc),
    }
}

fn push_arc(path: &mut Vec<Step>, arc: &Arc) {
    let pieces = (arc.sweep().abs() / FRAC_PI_4).ceil().max(1.0);
    let step = arc.sweep() / pieces;
    let mut from = arc.start();
    // at most eight pieces
    for i in 1..=pieces as u32 {
        let to = arc.at(f64::from(i) / pieces);
        path.push(curve(arc.centre(), from, to, step));
        from = to;
    }
}

/// The curve near the arc of `angle` about `centre`; its control points lie on the end tangents, 4/3·tan(angle/4) radii away.
fn curve(centre: Point, from: Point, to: Point, angle: f64) -> Step {
    let reach = 4.0 / 3.0 * (angle / 4.0).tan();
    let first = from + (from - centre).left() * reach;
    let second = to - (to - centre).left() * reach;
    Step::Cubic(first, second, to)
}

/// A full circle, begun at the right.
fn circle(centre: Point, radius: f64) -> Vec<Step> {
    let on = |i: u32| centre + Point::polar(radius, f64::from(i % 8) * FRAC_PI_4);
    let mut path = vec![Step::Move(on(0))];
    path.extend((0..8).map(|i| curve(centre, on(i), on(i + 1), FRAC_PI_4)));
    path.push(Step::Close);
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Turn;

    #[test]
    fn curves_stay_on_their_arc() {
        let centre = Point::new(3.0, -2.0);
        let (from, to) = (centre + Point::polar(50.0, 0.3), centre + Point::polar(50.0, 5.9));
        for turn in [Turn::Left, Turn::Right] {
            let arc = Arc::new(from, to, centre, 50.0, turn).unwrap();
            let mut path = vec![Step::Move(from)];
            push_arc(&mut path, &arc);
            let mut at = from;
            for step in &path[1..] {
                let Step::Cubic(b, c, d) = *step else { panic!("{step:?}") };
                for i in 0..=10 {
                    let (t, s) = (f64::from(i) / 10.0, 1.0 - f64::from(i) / 10.0);
                    let p = at * (s * s * s) + b * (3.0 * s * s * t) + c * (3.0 * s * t * t) + d * (t * t * t);
                    assert!((p.distance(centre) / 50.0 - 1.0).abs() < 5e-6, "{p:?}");
                }
                at = d;
            }
            assert_eq!(at, to);
        }
    }
}
