//! Lines and circles in space, told from places along them.

use super::{Conic, Curve, Vector};
use crate::tolerance::ROUNDED;

/// Places that must lie on a line or circle.
const LOOKS: usize = 8;
/// The line or circle through `at(0)` … `at(1)`, which must not close; `None` where it is neither.
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

/// A curve turned about the wheel's axis, between these ends.
pub fn moved(curve: &Curve, ends: [Vector; 2], turned: impl Fn(Vector) -> Vector) -> Curve {
    match curve {
        Curve::Line => Curve::Line,
        Curve::Circle { centre, axis, radius } => Curve::Circle { centre: turned(*centre), axis: turned(*axis), radius: *radius },
        Curve::Conic(of) => {
            let [centre, along, across] = [of.centre, of.along, of.across].map(turned);
            Curve::Conic(Conic { centre, along, across, ..*of })
        }
        Curve::Spline { points, knots } => {
            let mut points: Vec<Vector> = points.iter().map(|&p| turned(p)).collect();
            let last = points.len() - 1;
            (points[0], points[last]) = (ends[0], ends[1]);
            Curve::Spline { points, knots: knots.clone() }
        }
    }
}

/// The control points of each cubic piece of a spline.
pub fn cubics(points: &[Vector], knots: &[f64]) -> Vec<[Vector; 4]> {
    let pieces = knots.len() - 1;
    let length = |i: usize| knots[i + 1] - knots[i];
    let knot = |i: usize| match i {
        0 => points[0],
        i if i == pieces => points[points.len() - 1],
        i => (points[2 * i] * length(i) + points[2 * i + 1] * length(i - 1)) / (length(i - 1) + length(i)),
    };
    (0..pieces).map(|i| [knot(i), points[1 + 2 * i], points[2 + 2 * i], knot(i + 1)]).collect()
}
