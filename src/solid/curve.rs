//! Curves in space, told from places along them: straight, round, or else a spline as near as [`FIT`].

use super::{Curve, Vector};
use crate::tolerance::{ROUNDED, SOLID_FIT};

/// Places that must lie on a line or circle.
const LOOKS: usize = 8;
/// Step of the differences that give directions, as a share of the curve.
const STEP: f64 = 0.0001;
/// Pieces of a spline: at first, and at most.
const PIECES: usize = 4;
const MOST_PIECES: usize = 512;

/// The curve through `at(0)` … `at(1)`, which must not close; `None` where it cannot be followed.
pub fn of(at: &dyn Fn(f64) -> Vector) -> Option<Curve> {
    let places: Vec<Vector> = (0..=LOOKS).map(|i| at(i as f64 / LOOKS as f64)).collect();
    let (start, middle, end) = (places[0], places[LOOKS / 2], places[LOOKS]);
    let along = (end - start).normalize();
    if places.iter().all(|p| (p - start).cross(&along).norm() < ROUNDED) {
        return Some(Curve::Line);
    }
    if let Some((centre, axis)) = circle(start, middle, end) {
        let radius = (start - centre).norm();
        let on = |p: &Vector| ((p - centre).norm() - radius).abs() < ROUNDED && (p - centre).dot(&axis).abs() < ROUNDED;
        if places.iter().all(on) {
            return Some(Curve::Circle { centre, axis, radius });
        }
    }
    let mut pieces = PIECES;
    while pieces <= MOST_PIECES {
        let points = spline(at, pieces);
        let middles = (0..pieces).map(|i| {
            let [a, b, c, d] = [0, 1, 2, 3].map(|k| control(&points, i, k));
            ((a + d + (b + c) * 3.0) / 8.0 - at((i as f64 + 0.5) / pieces as f64)).norm()
        });
        if middles.fold(0.0, f64::max) < SOLID_FIT {
            return Some(Curve::Spline { points });
        }
        pieces *= 2;
    }
    None
}

/// Centre and axis of the circle from the first place through the second to the third.
fn circle(a: Vector, b: Vector, c: Vector) -> Option<(Vector, Vector)> {
    let (p, q) = (b - a, c - a);
    let normal = p.cross(&q);
    let square = normal.norm_squared();
    if square <= ROUNDED * p.norm_squared() * q.norm_squared() {
        return None;
    }
    let centre = a + (normal.cross(&p) * q.norm_squared() + q.cross(&normal) * p.norm_squared()) / (2.0 * square);
    Some((centre, normal.normalize()))
}

/// The control points of cubic pieces that share ends and directions: both ends and, for each piece, the two between.
fn spline(at: &dyn Fn(f64) -> Vector, pieces: usize) -> Vec<Vector> {
    let width = 1.0 / pieces as f64;
    let way = |t: f64| {
        if t < STEP {
            (at(t + STEP) * 4.0 - at(t) * 3.0 - at(t + 2.0 * STEP)) / (2.0 * STEP)
        } else if t > 1.0 - STEP {
            (at(t) * 3.0 - at(t - STEP) * 4.0 + at(t - 2.0 * STEP)) / (2.0 * STEP)
        } else {
            (at(t + STEP) - at(t - STEP)) / (2.0 * STEP)
        }
    };
    let knots: Vec<(Vector, Vector)> = (0..=pieces).map(|i| i as f64 * width).map(|t| (at(t), way(t) * (width / 3.0))).collect();
    let mut points = vec![knots[0].0];
    for pair in knots.windows(2) {
        points.extend([pair[0].0 + pair[0].1, pair[1].0 - pair[1].1]);
    }
    points.push(knots[pieces].0);
    points
}

/// Control point k of piece i: at the knots within, the middle of its neighbours.
fn control(points: &[Vector], i: usize, k: usize) -> Vector {
    let last = points.len() - 1;
    let inner = |j: usize| points[1 + j];
    let knot = |i: usize| match i {
        0 => points[0],
        i if 2 * i == last - 1 => points[last],
        i => (inner(2 * i - 1) + inner(2 * i)) / 2.0,
    };
    match k {
        0 => knot(i),
        3 => knot(i + 1),
        k => inner(2 * i + k - 1),
    }
}
