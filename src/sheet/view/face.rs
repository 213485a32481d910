//! The periphery, developed: x is z on paper with side A to the left, y the arc length along the outside diameter, counter-clockwise upwards as seen
//! from side A, 0 where groove 1 meets side A.

use super::canvas::Canvas;
use super::half_section::break_points;
use super::side::pitch_note;
use super::section::AXIS_OVERSHOOT;
use super::{Context, DetailOf, Scale, View, ViewError, ViewKind};
use crate::drawing::{Fill, Item, LineRole};
use crate::geometry::{Bounds, Edge, Point};
use crate::section::Feature;
use crate::sheet::acceptance;
use crate::sheet::dimension::{Called, Column, Foot, Label};
use crate::size::{GrooveSet, GrooveSize, SideName, Size, Subject};
use crate::wheel::FaceGrooves;

/// Half height of the part shown, mm of paper, unless three pitches need less or more.
const HALF_HEIGHT: (f64, f64) = (14.0, 45.0);
/// Half height of the break lines' zigzag, mm.
const ZIGZAG: f64 = 1.5;
/// Grooves narrower than this on paper are single lines, mm.
const NARROWEST: f64 = 1.2;
/// Radius of the ring around a groove that a detail shows, mm.
const RING: f64 = 3.0;
/// Least distance of neighbouring lines, mm.
const LINE_GAP: f64 = 0.95;

/// Clear height between the part shown and the values under it, mm.
const FOOT_GAP: f64 = 3.0;

/// How many of the grooves are tried for the ring of their detail.
const RINGED: usize = 4;

/// The developed face at one scale, its values under it or, where they would meet something there, beside it; the ring about the groove where it
/// meets none of them.
pub(super) fn build(scale: Scale, context: &Context) -> Result<View, ViewError> {
    for nth in 0..RINGED {
        for below in [true, false] {
            let Ok(view) = drawn(scale, context, below, nth) else { continue };
            if acceptance::check_view(&view, context.style).is_empty() {
                return Ok(View { checked: true, ..view });
            }
        }
    }
    drawn(scale, context, false, 0)
}

fn drawn(scale: Scale, context: &Context, below: bool, nth: usize) -> Result<View, ViewError> {
    let title = context.style.say("view.face_title");
    let mut canvas = Canvas::new(context, scale, "view-face", title);
    let wheel = &context.job.wheel;
    let Some(grooves) = &wheel.face else { return Err(canvas.geometry("the face has no grooves")) };
    let s = canvas.factor;
    let (r, t) = (wheel.outside_radius(), wheel.thickness);
    let pitch = std::f64::consts::TAU * r / f64::from(grooves.pattern.places);
    let half = (1.6 * pitch * s).clamp(HALF_HEIGHT.0, HALF_HEIGHT.1);
    outline(&mut canvas, half);
    let lines = groove_lines(grooves, r, t, s, half);
    canvas.edges(lines.edges.iter().copied(), lines.role);
    let first = grooves.pattern.start_deg.to_radians() * r * s;
    let zero = (first.abs() < half).then_some(-first).filter(|_| first != 0.0);
    if let Some(y) = zero {
        canvas.line(Point::new(-AXIS_OVERSHOOT, y), Point::new(t * s + AXIS_OVERSHOOT, y), LineRole::Axis);
    }
    let outline = Bounds::of(Point::new(0.0, -half - ZIGZAG), Point::new(t * s, half + ZIGZAG));
    let mut right = called(&mut canvas, grooves, &lines);
    if below {
        let (radius, top) = (t * s / 2.0, canvas.bounds().min.y - FOOT_GAP);
        let foot = Foot { middle: radius, radius, low: f64::MIN, top, called: std::mem::take(&mut right) };
        canvas.put_groups(foot.groups());
    }
    let left = called_left(&mut canvas, grooves, &lines, (zero, nth));
    for (towards, edge, called) in [(1.0, t * s, right), (-1.0, 0.0, left)] {
        let column = Column { towards, edge, low: -half, high: half, called };
        let Some(groups) = column.fill() else { return Err(canvas.crowded("the grooves' values do not fit beside it")) };
        canvas.put_groups(groups);
    }
    let style = context.style;
    let caption = style.put("view.face_caption", &[("scale", &scale.to_string())]);
    let below = ["view.a_left", "view.angles_up"].map(|key| style.say(key));
    Ok(canvas.finish(ViewKind::Face, &caption, &below, t * s / 2.0, outline))
}

/// Rims, corners and break lines.
fn outline(canvas: &mut Canvas, half: f64) {
    let (context, s) = (canvas.context, canvas.factor);
    let t = context.job.wheel.thickness;
    // rims: where the outside diameter itself ends, and where the corner meets the side
    let mut xs: Vec<(f64, LineRole)> = Vec::new();
    for side in SideName::BOTH {
        let depth = context.job.wheel.side(side).nominal_depth(context.job.wheel.outside_radius());
        let z = if side == SideName::A { depth } else { t - depth };
        xs.push((z * s, LineRole::Visible));
        let corner = context.section.edges().find(|(_, f)| *f == Feature::Corner(side)).map(|(e, _)| *e);
        let ends = corner.iter().flat_map(|e| [e.start(), e.end()]);
        let edge = ends.map(|p| p.y).max_by(|a, b| (a - z).abs().total_cmp(&(b - z).abs()));
        let role = if matches!(corner, Some(Edge::Arc(_))) { LineRole::Fine } else { LineRole::Visible };
        xs.extend(edge.filter(|y| (y - z).abs() * s >= LINE_GAP).map(|y| (y * s, role)));
    }
    for (x, role) in xs {
        canvas.line(Point::new(x, -half), Point::new(x, half), role);
    }
    for y in [-half, half] {
        for pair in break_points(-2.0, t * s + 2.0, ZIGZAG).windows(2) {
            canvas.line(pair[0] + Point::new(0.0, y), pair[1] + Point::new(0.0, y), LineRole::Fine);
        }
    }
}

struct GrooveLines {
    /// Half height of the part shown, mm.
    half: f64,
    edges: Vec<Edge>,
    role: LineRole,
    /// Where the middles of the grooves meet side A and side B, those nearest to the view's middle first.
    starts: Vec<Point>,
    ends: Vec<Point>,
}

fn groove_lines(grooves: &FaceGrooves, r: f64, t: f64, s: f64, half: f64) -> GrooveLines {
    let width = grooves.transverse_width() * s;
    let slope = grooves.helix_deg.to_radians().tan();
    let single = width < NARROWEST;
    let offsets: &[f64] = if single { &[0.0] } else { &[-0.5, 0.5] };
    let turn = std::f64::consts::TAU;
    let mut edges = Vec::new();
    let mut feet: Vec<f64> = Vec::new();
    for k in grooves.pattern.cut() {
        let angle = (grooves.pattern.angle_deg(k) - grooves.pattern.start_deg).to_radians().rem_euclid(turn);
        // a groove may enter the part shown from the other end of the development
        for angle in [angle - turn, angle] {
            let y = angle * r * s;
            for off in offsets {
                let from = Point::new(0.0, y + off * width);
                let to = Point::new(t * s, from.y + t * s * slope);
                edges.extend(within(from, to, half));
            }
            feet.push(y);
        }
    }
    let nearest = |rise: f64, x: f64| {
        let mut ys: Vec<f64> = feet.iter().map(|y| y + rise).filter(|y| y.abs() < half).collect();
        ys.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        ys.into_iter().map(|y| Point::new(x, y)).collect::<Vec<Point>>()
    };
    let (starts, ends) = (nearest(0.0, 0.0), nearest(t * s * slope, t * s));
    let role = if single { LineRole::Fine } else { LineRole::Visible };
    GrooveLines { half, edges, role, starts, ends }
}

/// The part of a line with |y| ≤ half.
fn within(from: Point, to: Point, half: f64) -> Option<Edge> {
    let share = |y: f64| (y - from.y) / (to.y - from.y);
    let (mut a, mut b) = (0.0_f64, 1.0_f64);
    if from.y == to.y {
        if from.y.abs() > half {
            return None;
        }
    } else {
        let (p, q) = (share(-half), share(half));
        (a, b) = (a.max(p.min(q)), b.min(p.max(q)));
    }
    (b > a).then(|| Edge::line(from.lerp(to, a), from.lerp(to, b)))
}

fn called(canvas: &mut Canvas, grooves: &FaceGrooves, lines: &GrooveLines) -> Vec<Called> {
    let mut out = Vec::new();
    let Some(&first) = lines.ends.first() else { return out };
    if let Some(count) = canvas.requirement(Size::Groove(GrooveSet::Face, GrooveSize::Count)) {
        out.push(pitch_note(canvas, count, GrooveSet::Face, &grooves.pattern, first, None));
    }
    let helix = canvas.requirement(Size::Groove(GrooveSet::Face, GrooveSize::Helix));
    if let Some((requirement, edge)) = helix.zip(lines.edges.first()) {
        let along = edge.end() - edge.start();
        // away from side A a right-hand thread turns clockwise
        let hand = if requirement.nominal > 0.0 { "view.helix_left" } else { "view.helix_right" };
        let style = canvas.context.style;
        let label = canvas.label(requirement).followed_by(style.say(hand), style);
        let target = lines.ends.get(1).copied().unwrap_or(first);
        out.push(canvas.called(requirement, target, along.y.atan2(along.x).to_degrees(), label));
    }
    out
}

/// Left of the face: the ring of the grooves' detail, about the nth groove that may have it, where angles are counted from, and the direction of groove 1.
fn called_left(canvas: &mut Canvas, grooves: &FaceGrooves, lines: &GrooveLines, (zero, nth): (Option<f64>, usize)) -> Vec<Called> {
    let (style, s) = (canvas.context.style, canvas.factor);
    let r = canvas.context.job.wheel.outside_radius();
    let mut out = Vec::new();
    let letter = canvas.context.shown.iter().find_map(|request| match request.kind {
        ViewKind::Detail { letter, of: DetailOf::Groove(GrooveSet::Face) } => Some(letter),
        _ => None,
    });
    // as far as may be from the groove whose direction is called out, or the nth from there on
    let inside = |p: &&Point| p.y.abs() + 2.0 * RING < lines.half;
    let ringed = lines.starts.iter().rev().filter(inside).nth(nth).or(lines.starts.first());
    if let Some((letter, &foot)) = letter.zip(ringed) {
        // inside the outline, where the column's leaders begin
        let centre = foot + Point::new(1.0, grooves.helix_deg.to_radians().tan()) * RING;
        let ring = Item::Circle { centre, radius: RING, role: LineRole::Dimension, fill: Fill::None };
        canvas.mark("ring-groove", vec![ring]);
        let target = centre - Point::new(RING, 0.0);
        let (group, subject) = (format!("{}-ring-letter", canvas.id), Subject::Mark("ring-letter"));
        out.push(Called { group, subject, target, rise: 0.0, label: Label::letter(letter, style), second: None, stacked: false });
    }
    if let Some(start) = canvas.requirement(Size::Groove(GrooveSet::Face, GrooveSize::Start)) {
        let cut = grooves.pattern.omit.binary_search(&1).is_err();
        let words = if cut { "view.groove_1_from" } else { "view.place_1_from" };
        let label = canvas.label(start).followed_by(style.say(words), style);
        let measured = zero.map_or(start.nominal, |y| (-y / (r * s)).to_degrees());
        out.push(canvas.called(start, Point::ORIGIN, measured, label));
        if let Some(y) = zero {
            let (group, subject) = (format!("{}-zero", canvas.id), Subject::Mark("zero"));
            let target = Point::new(-AXIS_OVERSHOOT, y);
            out.push(Called { group, subject, target, rise: 0.0, label: Label::text("0°", style), second: None, stacked: false });
        }
    }
    out
}
