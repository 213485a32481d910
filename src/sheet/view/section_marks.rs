//! What stands around section A–A besides its dimensions: rings of corner details, view arrows, frames of run-out and parallelism.
//!
//! Everything keeps to places the diameters and the thickness leave free: letters to the upper corners, arrows and frames below.

use super::canvas::Canvas;
use super::{DetailOf, ViewKind, corner};
use crate::drawing::{Fill, Item, LineRole, Text, measure};
use crate::geometry::{Bounds, Point};
use crate::sheet::dimension::mark;
use crate::size::{SideName, Size};
use crate::wheel::Requirement;

/// Least and greatest radius of the ring around a corner, mm.
const RING: (f64, f64) = (2.5, 3.5);
/// Clear distance of a letter from its ring and from the part, mm.
const LETTER_GAP: f64 = 1.2;
/// View arrows lie this far below the part, mm.
const ARROW_BELOW: f64 = 6.0;
/// Length of a view arrow, mm, and of its head and its width.
const VIEW_ARROW: (f64, f64, f64) = (11.0, 5.0, 1.7);
/// The first frame lies this far below the part, mm; its middle.
const FRAME_BELOW: f64 = 18.0;
/// Distance of frames, mm.
const FRAME_PITCH: f64 = 10.0;
/// Height of a frame, and width of its first and last cells, mm.
const CELL: f64 = 7.0;
/// From a side's extension line to its frame, mm.
const FRAME_OFF: f64 = 9.0;
/// Letters of the datums: the axis of the bore, and side B; none of them stands for a size in ISO 525.
const AXIS_DATUM: &str = "L";
const SIDE_DATUM: &str = "S";

/// Rings around the corners that have details, with letters in the upper corners of the view.
pub(super) fn corner_rings(canvas: &mut Canvas, outline: Bounds) {
    let context = canvas.context;
    for side in SideName::BOTH {
        let letter = context.shown.iter().find_map(|r| match &r.kind {
            ViewKind::Detail { letter, of } if of.covers(DetailOf::Corner(side)) => Some(*letter),
            _ => None,
        });
        let Some((letter, disc)) = letter.zip(corner::disc(context, side)) else { continue };
        let s = canvas.factor;
        let centre = Point::new(disc.centre.y, disc.centre.x) * s;
        let radius = (disc.radius * s).clamp(RING.0, RING.1);
        let outwards = if side == SideName::A { -1.0 } else { 1.0 };
        let diagonal = (radius + LETTER_GAP) * std::f64::consts::FRAC_1_SQRT_2;
        let height = context.style.letter;
        let text = Text::new(letter, Point::ORIGIN, height).centred();
        let half = measure::advance(&text) / 2.0;
        let edge = if side == SideName::A { outline.min.x } else { outline.max.x };
        let off = outwards * (centre.x - edge) + diagonal;
        let x = edge + outwards * (off.max(LETTER_GAP) + half);
        let y = (centre.y + diagonal).max(outline.max.y + LETTER_GAP);
        let ring = Item::Circle { centre, radius, role: LineRole::Fine, fill: Fill::None };
        let letter = Item::Text(Text { at: Point::new(x, y), ..text });
        canvas.mark(of_side(side, ["ring-corner-a", "ring-corner-b"]), vec![ring, letter]);
    }
}

fn of_side(side: SideName, [a, b]: [&'static str; 2]) -> &'static str {
    if side == SideName::A { a } else { b }
}

/// The names of the sides below the part, and over them arrows in the directions in which the sides shown are seen.
pub(super) fn side_names(canvas: &mut Canvas, outline: Bounds) {
    let context = canvas.context;
    for side in SideName::BOTH {
        let (edge, sight) = if side == SideName::A { (outline.min.x, 1.0) } else { (outline.max.x, -1.0) };
        let y = outline.min.y - ARROW_BELOW;
        let mut items = Vec::new();
        if context.shown.iter().any(|r| r.kind == ViewKind::Side(side)) {
            let tip = Point::new(edge - sight * 2.0, y);
            items.push(mark::line(tip - Point::new(sight * VIEW_ARROW.0, 0.0), tip));
            items.extend(mark::sized_arrow(tip, Point::new(sight, 0.0), VIEW_ARROW.1, VIEW_ARROW.2));
        }
        let height = context.style.text;
        let at = Point::new(edge - sight * LETTER_GAP, y - height - 1.6);
        let text = Text::new(context.style.of_side("view.side", side), at, height);
        items.push(Item::Text(if sight > 0.0 { text.ended() } else { text }));
        canvas.mark(of_side(side, ["view-arrow-a", "view-arrow-b"]), items);
    }
}

/// Frames of the tolerances of form and place that the order gives (ISO 1101), below the lower rim.
pub(super) fn frames(canvas: &mut Canvas, outline: Bounds) {
    let [face, sides, parallel] =
        [Size::RunoutFace, Size::RunoutSide, Size::Parallelism].map(|size| canvas.requirement(size));
    let wheel = &canvas.context.job.wheel;
    let (t, r) = (wheel.thickness * canvas.factor, wheel.outside_radius() * canvas.factor);
    let mut y = outline.min.y - FRAME_BELOW;
    if let Some(runout) = sides {
        let mut items = side_plane(t, r, y);
        let tip = Point::new(t, y);
        items.push(mark::line(Point::new(t + FRAME_OFF, y), tip));
        items.extend(mark::arrow(tip, Point::new(-1.0, 0.0)));
        let (frame, width) = frame(canvas, Point::new(t + FRAME_OFF, y), Sign::RunOut, runout, AXIS_DATUM);
        items.extend(frame);
        let height = canvas.context.style.text;
        let at = Point::new(t + FRAME_OFF + width + 1.5, y - height / 2.0);
        items.push(Item::Text(Text::new(canvas.context.style.say("view.both_sides"), at, height)));
        canvas.framed(runout, items);
        y -= FRAME_PITCH;
    }
    if let Some(parallelism) = parallel {
        let mut items = side_plane(0.0, r, y);
        let tip = Point::new(0.0, y);
        let width = frame_width(canvas, parallelism);
        let start = Point::new(-FRAME_OFF - width, y);
        items.push(mark::line(Point::new(-FRAME_OFF, y), tip));
        items.extend(mark::arrow(tip, Point::new(1.0, 0.0)));
        items.extend(frame(canvas, start, Sign::Parallel, parallelism, SIDE_DATUM).0);
        canvas.framed(parallelism, items);
        let mut items = if sides.is_some() { Vec::new() } else { side_plane(t, r, y) };
        if sides.is_some() {
            items.push(mark::line(Point::new(t, y + FRAME_PITCH - 2.0), Point::new(t, y - 2.0)));
        }
        items.extend(datum(canvas, Point::new(t, y), SIDE_DATUM));
        canvas.mark("datum-side", items);
        y -= FRAME_PITCH;
    }
    if let Some(runout) = face {
        let x = t / 2.0;
        let top = Point::new(x, y + CELL / 2.0);
        let tip = Point::new(x, -r);
        let mut items = vec![mark::line(tip, top)];
        items.extend(mark::arrow(tip, Point::new(0.0, 1.0)));
        items.extend(frame(canvas, Point::new(x - CELL / 2.0, y), Sign::RunOut, runout, AXIS_DATUM).0);
        canvas.framed(runout, items);
        y -= FRAME_PITCH;
    }
    if sides.or(face).is_some() {
        let height = canvas.context.style.text;
        let words = canvas.context.style.put("view.axis_of_bore", &[("datum", AXIS_DATUM)]);
        let note = Text::new(words, Point::new(t / 2.0, y - height / 2.0), height);
        canvas.mark("datum-axis", vec![Item::Text(note.centred())]);
    }
}

/// The extension line of a side's plane from the lower rim down past a frame.
fn side_plane(x: f64, r: f64, y: f64) -> Vec<Item> {
    vec![mark::line(Point::new(x, -r - 1.0), Point::new(x, y - 2.0))]
}

/// The tolerances drawn here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sign {
    RunOut,
    Parallel,
}

fn written(canvas: &Canvas, form: &Requirement) -> Text {
    Text::new(canvas.context.style.length(form.nominal), Point::ORIGIN, canvas.context.style.text)
}

fn frame_width(canvas: &Canvas, form: &Requirement) -> f64 {
    2.0 * CELL + measure::advance(&written(canvas, form)) + 3.0
}

/// A frame with the middle of its left end at `at`: sign, value, datum; and its width.
fn frame(canvas: &Canvas, at: Point, sign: Sign, form: &Requirement, datum: &str) -> (Vec<Item>, f64) {
    let width = frame_width(canvas, form);
    let height = canvas.context.style.text;
    let p = |x: f64, y: f64| at + Point::new(x, y);
    let half = CELL / 2.0;
    let mut items = Vec::new();
    for y in [-half, half] {
        items.push(mark::line(p(0.0, y), p(width, y)));
    }
    for x in [0.0, CELL, width - CELL, width] {
        items.push(mark::line(p(x, -half), p(x, half)));
    }
    match sign {
        Sign::RunOut => {
            let (from, to) = (p(2.0, -1.8), p(5.2, 1.9));
            items.push(mark::line(from, to));
            items.extend((to - from).unit().and_then(|d| mark::sized_arrow(to, d, 2.2, 1.2)));
        }
        Sign::Parallel => {
            for x in [1.7, 3.5] {
                items.push(mark::line(p(x, -1.8), p(x + 1.8, 1.8)));
            }
        }
    }
    let baseline = -height / 2.0;
    let text = written(canvas, form);
    items.push(Item::Text(Text { at: p(CELL + 1.5, baseline), ..text }));
    items.push(Item::Text(Text::new(datum, p(width - half, baseline), height).centred()));
    (items, width)
}

/// A datum's triangle on an upright line, with its letter in a box to the right.
fn datum(canvas: &Canvas, on: Point, letter: &str) -> Vec<Item> {
    let p = |x: f64, y: f64| on + Point::new(x, y);
    let height = canvas.context.style.text;
    let half = CELL / 2.0;
    let mut items = Vec::new();
    let triangle = crate::geometry::Contour::polygon(&[p(0.0, -1.75), p(3.0, 0.0), p(0.0, 1.75)]);
    items.extend(triangle.ok().map(|contour| Item::Contour { contour, role: None, fill: Fill::Solid }));
    items.push(mark::line(p(3.0, 0.0), p(6.0, 0.0)));
    let corners = [p(6.0, -half), p(6.0 + CELL, -half), p(6.0 + CELL, half), p(6.0, half), p(6.0, -half)];
    items.extend(mark::chain(&corners));
    items.push(Item::Text(Text::new(letter, p(6.0 + half, -height / 2.0), height).centred()));
    items
}
