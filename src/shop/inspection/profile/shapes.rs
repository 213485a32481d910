//! The best line and the best circle of points, by least squares of their distances.

use crate::geometry::Point;
use crate::tolerance::{FIT_HOLD, FIT_STEP};
use nalgebra::{DMatrix, DVector};

/// A line: its middle and its direction, of length 1, towards larger r, or larger z where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestLine {
    pub middle: Point,
    pub direction: Point,
}

impl BestLine {
    /// The line of least squared distances; `None` for fewer than two places.
    pub fn of(points: &[Point]) -> Option<BestLine> {
        if points.len() < 2 {
            return None;
        }
        let middle = points.iter().fold(Point::ORIGIN, |sum, p| sum + *p) * (1.0 / points.len() as f64);
        let rows = DMatrix::from_fn(points.len(), 2, |i, j| if j == 0 { points[i].x - middle.x } else { points[i].y - middle.y });
        let singular = rows.svd(false, true);
        let along = singular.v_t?;
        let first = singular.singular_values.imax();
        let direction = Point::new(along[(first, 0)], along[(first, 1)]);
        let back = if direction.x.abs() >= direction.y.abs() { direction.x < 0.0 } else { direction.y < 0.0 };
        Some(BestLine { middle, direction: if back { direction * -1.0 } else { direction } })
    }

    /// z at a radius.
    pub fn z_at(&self, r: f64) -> f64 {
        self.middle.y + (r - self.middle.x) * self.direction.y / self.direction.x
    }

    /// r at a height.
    pub fn r_at(&self, z: f64) -> f64 {
        self.middle.x + (z - self.middle.y) * self.direction.x / self.direction.y
    }

    /// Where it meets another; `None` for parallel ones.
    pub fn meets(&self, other: &BestLine) -> Option<Point> {
        let cross = self.direction.cross(other.direction);
        let t = (other.middle - self.middle).cross(other.direction) / cross;
        t.is_finite().then(|| self.middle + self.direction * t)
    }
}

const STEPS: usize = 50;

/// Radius of the circle of least squared distances, beginning from a centre and a radius; `None` where the points show too little of it.
pub fn best_radius(points: &[Point], centre: Point, radius: f64, least_turn: f64) -> Option<f64> {
    let angles: Vec<f64> = points.iter().map(|p| (*p - centre).angle()).collect();
    let first = *angles.first()?;
    let turned = angles.iter().map(|a| (a - first + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI);
    let (low, high) = turned.fold((0.0_f64, 0.0_f64), |(l, h), a| (l.min(a), h.max(a)));
    if points.len() < 4 || high - low < least_turn {
        return None;
    }
    let (mut centre, mut radius) = (centre, radius);
    for _ in 0..STEPS {
        let rows = DMatrix::from_fn(points.len(), 3, |i, j| {
            let out = (points[i] - centre).unit().unwrap_or(Point::new(1.0, 0.0));
            [-out.x, -out.y, -1.0][j]
        });
        let off = DVector::from_iterator(points.len(), points.iter().map(|p| radius - p.distance(centre)));
        let step = rows.svd(true, true).solve(&off, FIT_HOLD * FIT_HOLD).ok()?;
        centre = centre + Point::new(step[0], step[1]);
        radius += step[2];
        if step.norm() <= FIT_STEP {
            break;
        }
    }
    (radius.is_finite() && radius > 0.0).then_some(radius)
}
