//! Hatching of cut faces: parallel narrow lines clipped to the area.

use crate::geometry::{Bounds, Contour, Edge, Point};
use std::f64::consts::PI;

/// Usual distance of hatching lines, mm.
const PITCH: f64 = 3.0;
/// Smallest distance of hatching lines, mm.
const FINEST: f64 = 1.4;
/// Hatching lines that a narrow area should show at least, across its width.
const LEAST_LINES: f64 = 4.0;
/// Pieces shorter than this are left out, mm: they would look like dirt.
const SHORTEST: f64 = 0.3;
/// Areas larger than this both ways are hatched only in a band along their contour, mm.
const LARGE: f64 = 70.0;
/// Width of that band, mm.
const BAND: f64 = 15.0;
/// Edges longer than this decide whether the hatching would be nearly parallel to them, mm.
const LONG_EDGE: f64 = 4.0;
/// Hatching stays this far from the direction of long edges, radians.
const NEARLY_PARALLEL: f64 = 15.0 * PI / 180.0;

/// An area to hatch, on paper.
pub(super) struct Area<'a> {
    /// Its outer contour.
    pub contour: &'a Contour,
    /// Edges inside it at which hatching may begin or end.
    pub inner: &'a [Edge],
    /// Whether a point inside the contour is not cut after all (inside a groove).
    pub is_void: &'a dyn Fn(Point) -> bool,
    /// Boxes kept free, such as those of texts.
    pub blank: &'a [Bounds],
}

/// The direction of hatching of an area and its mirror image, radians: 45° unless that is nearly parallel to a long edge of either.
pub(super) fn direction(contour: &Contour) -> f64 {
    let parallel = |angle: f64| {
        contour.edges().iter().any(|e| {
            let long = matches!(e, Edge::Line(_)) && e.length() > LONG_EDGE;
            let apart = |angle: f64| {
                e.direction(0.0).map_or(PI / 2.0, |d| {
                    let turn = (d.angle() - angle).rem_euclid(PI);
                    turn.min(PI - turn)
                })
            };
            long && apart(angle).min(apart(-angle)) < NEARLY_PARALLEL
        })
    };
    let candidates = [45.0, 30.0, 60.0, 20.0, 70.0].map(f64::to_radians);
    candidates.into_iter().find(|&a| !parallel(a)).unwrap_or(candidates[0])
}

/// The same beside one straight edge, such as a chamfer.
pub(super) fn direction_beside(edge: Option<&Edge>) -> f64 {
    let parallel = |angle: f64| {
        edge.filter(|e| matches!(e, Edge::Line(_))).and_then(|e| e.direction(0.0)).is_some_and(|d| {
            let turn = (d.angle() - angle).rem_euclid(PI);
            turn.min(PI - turn) < NEARLY_PARALLEL
        })
    };
    let candidates = [45.0, 30.0, 60.0, -45.0].map(f64::to_radians);
    candidates.into_iter().find(|&a| !parallel(a)).unwrap_or(candidates[0])
}

/// The hatching lines of an area in this direction.
pub(super) fn lines(area: &Area, angle: f64) -> Vec<(Point, Point)> {
    let bounds = area.contour.bounds();
    let thin = bounds.width().min(bounds.height());
    let pitch = (thin / LEAST_LINES * angle.cos().abs()).clamp(FINEST, PITCH);
    let along = Point::polar(1.0, angle);
    let across = along.left();
    let corners =
        [bounds.min, bounds.max, Point::new(bounds.min.x, bounds.max.y), Point::new(bounds.max.x, bounds.min.y)];
    let offsets = corners.map(|c| c.dot(across));
    let (low, high) =
        (offsets.iter().copied().fold(f64::MAX, f64::min), offsets.iter().copied().fold(f64::MIN, f64::max));
    let first = (low / pitch).ceil() as i64;
    let last = (high / pitch).floor() as i64;
    let core = core(bounds);
    let mut out = Vec::new();
    for k in first..=last {
        let base = across * (k as f64 * pitch);
        out.extend(pieces(area, base, along, core));
    }
    out
}

/// The middle of a large area, left blank.
fn core(bounds: Bounds) -> Option<Bounds> {
    (bounds.width() > LARGE && bounds.height() > LARGE).then(|| bounds.grown(-BAND))
}

fn pieces(area: &Area, base: Point, along: Point, core: Option<Bounds>) -> Vec<(Point, Point)> {
    let mut cuts: Vec<f64> = Vec::new();
    for edge in area.contour.edges().iter().chain(area.inner) {
        crossings(edge, base, along, &mut cuts);
    }
    for blank in area.blank.iter().chain(&core) {
        box_crossings(*blank, base, along, &mut cuts);
    }
    cuts.sort_by(f64::total_cmp);
    let mut out: Vec<(f64, f64)> = Vec::new();
    for pair in cuts.windows(2) {
        let middle = base + along * ((pair[0] + pair[1]) / 2.0);
        let inside = |b: &Bounds| b.contains(Bounds::of(middle, middle));
        let free = area.blank.iter().chain(&core).any(inside);
        if pair[1] <= pair[0] || free || !area.contour.contains(middle) || (area.is_void)(middle) {
            continue;
        }
        match out.last_mut() {
            Some(last) if last.1 == pair[0] => last.1 = pair[1],
            _ => out.push((pair[0], pair[1])),
        }
    }
    out.retain(|(a, b)| b - a >= SHORTEST);
    out.into_iter().map(|(a, b)| (base + along * a, base + along * b)).collect()
}

/// Where an edge crosses the line through `base`, as distances along it.
fn crossings(edge: &Edge, base: Point, along: Point, out: &mut Vec<f64>) {
    match edge {
        Edge::Line(l) => {
            let (from, to) = (along.cross(l.start - base), along.cross(l.end - base));
            if (from > 0.0) != (to > 0.0) {
                let p = l.start.lerp(l.end, from / (from - to));
                out.push(along.dot(p - base));
            }
        }
        Edge::Arc(arc) => {
            let to_centre = arc.centre() - base;
            let (foot, off) = (along.dot(to_centre), along.cross(to_centre));
            let half = arc.radius() * arc.radius() - off * off;
            if half <= 0.0 {
                return;
            }
            for t in [foot - half.sqrt(), foot + half.sqrt()] {
                if arc.sweeps((base + along * t - arc.centre()).angle()) {
                    out.push(t);
                }
            }
        }
    }
}

fn box_crossings(b: Bounds, base: Point, along: Point, out: &mut Vec<f64>) {
    let corners = [b.min, Point::new(b.max.x, b.min.y), b.max, Point::new(b.min.x, b.max.y)];
    for i in 0..4 {
        crossings(&Edge::line(corners[i], corners[(i + 1) % 4]), base, along, out);
    }
}
