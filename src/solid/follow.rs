//! Edges on which two surfaces meet: cubic pieces through places that lie on both, run along the direction that both allow.
//!
//! A place is found by Newton's steps within a plane across the edge, so that neither a steep surface nor an upright one costs digits.

use super::{Curve, Surface, Vector};
use crate::tolerance::{ROUNDED, SAME_LENGTH, SOLID_FIT, SURFACES_TOUCH};
use nalgebra::Matrix3;

/// Newton's steps at most.
const STEPS: usize = 30;
/// Halvings of one piece at most.
const HALVINGS: usize = 12;
/// Shares of a piece at which it is held against the surfaces.
const HELD_AT: [f64; 3] = [0.5, 0.2, 0.8];
/// Share of the way to the next place at which the direction is taken where surfaces touch.
const NEAR_END: f64 = 1.0 / 64.0;

/// A place of the edge and its direction there, of length 1.
#[derive(Debug, Clone, Copy)]
struct Knot {
    place: Vector,
    way: Vector,
}

/// The curve of an edge on two surfaces through places that lie near it in their order, the first and the last on it; `None` where it is lost.
pub fn meeting(surfaces: [&Surface; 2], guides: &[Vector]) -> Option<Curve> {
    let places = along(surfaces, guides)?;
    let mut knots = Vec::with_capacity(places.len());
    for i in 0..places.len() {
        let (before, after) = (places[i.saturating_sub(1)], places[(i + 1).min(places.len() - 1)]);
        knots.push(Knot { place: places[i], way: direction(surfaces, &places, i, after - before)? });
    }
    let mut pieces = Vec::new();
    for pair in knots.windows(2) {
        part(surfaces, pair[0], pair[1], HALVINGS, &mut pieces)?;
    }
    Some(spline(&pieces))
}

/// The guides moved onto both surfaces, the first and the last as they are.
fn along(surfaces: [&Surface; 2], guides: &[Vector]) -> Option<Vec<Vector>> {
    let last = guides.len() - 1;
    let moved = |i: usize| {
        if i == 0 || i == last { Some(guides[i]) } else { on_both(surfaces, guides[i], guides[i + 1] - guides[i - 1]) }
    };
    (0..=last).map(moved).collect()
}

/// The place on both surfaces in the plane through a place across a direction; `None` where there is none near.
pub fn on_both(surfaces: [&Surface; 2], from: Vector, across: Vector) -> Option<Vector> {
    let normal = across.try_normalize(f64::MIN_POSITIVE)?;
    let mut p = from;
    for _ in 0..STEPS {
        let [(f, df), (g, dg)] = surfaces.map(|s| s.off(p));
        let rows = Matrix3::from_rows(&[df.transpose(), dg.transpose(), normal.transpose()]);
        let step = rows.try_inverse()? * Vector::new(f, g, normal.dot(&(p - from)));
        p -= step;
        if step.norm() <= ROUNDED * SAME_LENGTH.max(p.norm() * ROUNDED) {
            break;
        }
    }
    let is_on = surfaces.iter().all(|s| s.off(p).0.abs() < SAME_LENGTH);
    (is_on && p.iter().all(|x| x.is_finite())).then_some(p)
}

/// Direction of the edge at a place, towards `on`.
fn direction(surfaces: [&Surface; 2], places: &[Vector], i: usize, on: Vector) -> Option<Vector> {
    if let Some(way) = crossing(surfaces, places[i], on) {
        return Some(way);
    }
    // the surfaces touch at an end: the direction there is what those just beside it come to
    let (at, other, sign) = if i == 0 { (places[0], places[1], 1.0) } else { (places[i], places[i - 1], -1.0) };
    let chord = other - at;
    let [near, far] = [NEAR_END, 2.0 * NEAR_END].map(|share| on_both(surfaces, at + chord * share, chord));
    let [near, far] = [near? - at, far? - at].map(|d| d.normalize() * sign);
    (near * 2.0 - far).try_normalize(f64::MIN_POSITIVE)
}

/// Direction in which two surfaces cross at a place, towards `on`; `None` where they touch.
pub fn crossing(surfaces: [&Surface; 2], p: Vector, on: Vector) -> Option<Vector> {
    let [(_, df), (_, dg)] = surfaces.map(|s| s.off(p));
    let way = df.normalize().cross(&dg.normalize());
    let sine = way.norm();
    (sine > SURFACES_TOUCH).then(|| way * (way.dot(&on).signum() / sine))
}

/// A cubic piece and its length.
#[derive(Debug, Clone, Copy)]
struct Cubic {
    ends: [Knot; 2],
    length: f64,
}

impl Cubic {
    /// Between two knots; `middle` is a place about halfway.
    fn new(a: Knot, b: Knot, middle: Vector) -> Cubic {
        let (whole, halves) = ((b.place - a.place).norm(), (middle - a.place).norm() + (b.place - middle).norm());
        Cubic { ends: [a, b], length: halves + (halves - whole) / 3.0 }
    }

    fn control(&self) -> [Vector; 4] {
        let [a, b] = self.ends;
        let third = self.length / 3.0;
        [a.place, a.place + a.way * third, b.place - b.way * third, b.place]
    }

    /// Place and direction at a share of the way.
    fn at(&self, t: f64) -> (Vector, Vector) {
        let ([a, b, c, d], s) = (self.control(), 1.0 - t);
        let place = a * (s * s * s) + b * (3.0 * s * s * t) + c * (3.0 * s * t * t) + d * (t * t * t);
        let way = (b - a) * (s * s) + (c - b) * (2.0 * s * t) + (d - c) * (t * t);
        (place, way)
    }
}

/// Adds cubic pieces from one knot to the next, as many as lie near enough to both surfaces.
fn part(surfaces: [&Surface; 2], a: Knot, b: Knot, halvings: usize, pieces: &mut Vec<Cubic>) -> Option<()> {
    let chord = b.place - a.place;
    let rough = Cubic::new(a, b, (a.place + b.place) / 2.0);
    let middle = on_both(surfaces, rough.at(0.5).0, chord)?;
    let piece = Cubic::new(a, b, middle);
    let is_near = |t: &f64| {
        let (p, way) = piece.at(*t);
        on_both(surfaces, p, way).is_some_and(|q| (p - q).norm() < SOLID_FIT)
    };
    if HELD_AT.iter().all(is_near) {
        pieces.push(piece);
        return Some(());
    }
    let knot = Knot { place: middle, way: crossing(surfaces, middle, chord)? };
    let halvings = halvings.checked_sub(1)?;
    part(surfaces, a, knot, halvings, pieces)?;
    part(surfaces, knot, b, halvings, pieces)
}

fn spline(pieces: &[Cubic]) -> Curve {
    let mut points = vec![pieces[0].ends[0].place];
    let mut knots = vec![0.0];
    for piece in pieces {
        let [_, b, c, _] = piece.control();
        points.extend([b, c]);
        knots.push(knots[knots.len() - 1] + piece.length);
    }
    points.push(pieces[pieces.len() - 1].ends[1].place);
    Curve::Spline { points, knots }
}
