//! Exact area integrals of a closed chain of lines and arcs.
//!
//! Each edge contributes the triangle from a reference point to its chord, and an arc the circular segment beyond its chord, both by closed
//! forms. The reference point is the middle of the contour, so a small contour far from the origin loses no digits to cancellation.

use super::{Arc, Edge, Point};

/// Integrals over the enclosed area: of 1, x, y, x², xy, y², x³ and xy². Unit: a power of the length's unit.
#[derive(Debug, Clone, Copy, PartialEq, Default, serde::Serialize)]
pub struct Moments {
    /// ∫ dA
    pub area: f64,
    /// ∫ x dA
    pub x: f64,
    /// ∫ y dA
    pub y: f64,
    /// ∫ x² dA
    pub xx: f64,
    /// ∫ xy dA
    pub xy: f64,
    /// ∫ y² dA
    pub yy: f64,
    /// ∫ x³ dA
    pub xxx: f64,
    /// ∫ x²y dA
    pub xxy: f64,
    /// ∫ xy² dA
    pub xyy: f64,
    /// ∫ y³ dA
    pub yyy: f64,
}

impl Moments {
    /// The integrals over what `edges`, a closed chain, enclose; negative where it runs clockwise.
    pub fn of(edges: &[Edge]) -> Moments {
        let Some(first) = edges.first() else { return Moments::default() };
        let bounds = edges.iter().fold(first.bounds(), |b, e| b.union(e.bounds()));
        let reference = bounds.centre();
        let mut sum = Moments::default();
        for edge in edges {
            sum = sum.plus(triangle(edge.start() - reference, edge.end() - reference));
            if let Edge::Arc(arc) = edge {
                sum = sum.plus(segment(arc, reference));
            }
        }
        sum.shifted(reference)
    }

    fn plus(self, o: Moments) -> Moments {
        Moments {
            area: self.area + o.area,
            x: self.x + o.x,
            y: self.y + o.y,
            xx: self.xx + o.xx,
            xy: self.xy + o.xy,
            yy: self.yy + o.yy,
            xxx: self.xxx + o.xxx,
            xxy: self.xxy + o.xxy,
            xyy: self.xyy + o.xyy,
            yyy: self.yyy + o.yyy,
        }
    }

    /// The integrals of the same area moved by a vector.
    pub fn shifted(self, by: Point) -> Moments {
        let Point { x: a, y: b } = by;
        let m = self;
        Moments {
            area: m.area,
            x: m.x + a * m.area,
            y: m.y + b * m.area,
            xx: m.xx + 2.0 * a * m.x + a * a * m.area,
            xy: m.xy + a * m.y + b * m.x + a * b * m.area,
            yy: m.yy + 2.0 * b * m.y + b * b * m.area,
            xxx: m.xxx + 3.0 * a * m.xx + 3.0 * a * a * m.x + a * a * a * m.area,
            xxy: m.xxy + b * m.xx + 2.0 * a * m.xy + 2.0 * a * b * m.x + a * a * m.y + a * a * b * m.area,
            xyy: m.xyy + a * m.yy + 2.0 * b * m.xy + 2.0 * a * b * m.y + b * b * m.x + a * b * b * m.area,
            yyy: m.yyy + 3.0 * b * m.yy + 3.0 * b * b * m.y + b * b * b * m.area,
        }
    }

    /// The integrals of the same area turned counter-clockwise about the origin; `cos` and `sin` of the angle.
    fn turned(self, cos: f64, sin: f64) -> Moments {
        let (c, s, m) = (cos, sin, self);
        Moments {
            area: m.area,
            x: c * m.x - s * m.y,
            y: s * m.x + c * m.y,
            xx: c * c * m.xx - 2.0 * c * s * m.xy + s * s * m.yy,
            xy: c * s * (m.xx - m.yy) + (c * c - s * s) * m.xy,
            yy: s * s * m.xx + 2.0 * c * s * m.xy + c * c * m.yy,
            xxx: c * c * c * m.xxx - 3.0 * c * c * s * m.xxy + 3.0 * c * s * s * m.xyy - s * s * s * m.yyy,
            xxy: c * c * s * m.xxx
                + c * (c * c - 2.0 * s * s) * m.xxy
                + s * (s * s - 2.0 * c * c) * m.xyy
                + c * s * s * m.yyy,
            xyy: c * s * s * m.xxx + s * (2.0 * c * c - s * s) * m.xxy + c * (c * c - 2.0 * s * s) * m.xyy
                - c * c * s * m.yyy,
            yyy: s * s * s * m.xxx + 3.0 * c * s * s * m.xxy + 3.0 * c * c * s * m.xyy + c * c * c * m.yyy,
        }
    }

    fn times(self, k: f64) -> Moments {
        Moments {
            area: k * self.area,
            x: k * self.x,
            y: k * self.y,
            xx: k * self.xx,
            xy: k * self.xy,
            yy: k * self.yy,
            xxx: k * self.xxx,
            xxy: k * self.xxy,
            xyy: k * self.xyy,
            yyy: k * self.yyy,
        }
    }
}

/// The integrals over the triangle (origin, p, q), positive where it runs counter-clockwise.
/// Exact for polynomials up to the third degree (simplex integration).
fn triangle(p: Point, q: Point) -> Moments {
    let area = p.cross(q) / 2.0;
    let second = |a1: f64, b1: f64, a2: f64, b2: f64| area / 12.0 * (2.0 * a1 * b1 + a1 * b2 + a2 * b1 + 2.0 * a2 * b2);
    let cube = |a: f64, b: f64| area / 10.0 * (a * a * a + a * a * b + a * b * b + b * b * b);
    // ∫ u²v over the triangle, u and v linear, zero at the origin, with values (u1, v1) at p and (u2, v2) at q
    let mixed = |u1: f64, v1: f64, u2: f64, v2: f64| {
        area / 30.0
            * (3.0 * u1 * u1 * v1 + u1 * u1 * v2 + 2.0 * u1 * u2 * (v1 + v2) + u2 * u2 * v1 + 3.0 * u2 * u2 * v2)
    };
    Moments {
        area,
        x: area / 3.0 * (p.x + q.x),
        y: area / 3.0 * (p.y + q.y),
        xx: second(p.x, p.x, q.x, q.x),
        xy: second(p.x, p.y, q.x, q.y),
        yy: second(p.y, p.y, q.y, q.y),
        xxx: cube(p.x, q.x),
        xxy: mixed(p.x, p.y, q.x, q.y),
        xyy: mixed(p.y, p.x, q.y, q.x),
        yyy: cube(p.y, q.y),
    }
}

/// The integrals over the circular segment between an arc and its chord, about `reference`; positive where the arc turns left.
fn segment(arc: &Arc, reference: Point) -> Moments {
    let r = arc.radius();
    let half = arc.sweep().abs() / 2.0;
    let (sin, cos) = half.sin_cos();
    let s = r * sin;
    let bare = half_minus_sin_cos(half);
    let about_centre = Moments {
        area: r * r * bare,
        x: 2.0 / 3.0 * s * s * s,
        xx: r.powi(4) / 4.0 * (bare + 2.0 * sin.powi(3) * cos),
        yy: r.powi(4) / 12.0 * (3.0 * bare - 2.0 * sin.powi(3) * cos),
        xxx: 2.0 * (r * r * s * s * s / 3.0 - s.powi(5) / 5.0),
        xyy: 2.0 / 15.0 * s.powi(5),
        ..Moments::default()
    };
    let towards = arc.at(0.5) - arc.centre();
    let (c, n) = (towards.x / r, towards.y / r);
    about_centre.turned(c, n).shifted(arc.centre() - reference).times(arc.turn().sign())
}

/// h − sin h · cos h without loss of digits for small h.
fn half_minus_sin_cos(h: f64) -> f64 {
    if h > 0.2 {
        return h - h.sin() * h.cos();
    }
    // (2h − sin 2h)/2 = Σ (−1)^(k+1) (2h)^(2k+1) / (2·(2k+1)!), k = 1, 2, …
    let x = 2.0 * h;
    let mut term = x * x * x / 6.0;
    let mut sum = 0.0;
    for k in 1..=8 {
        sum += term;
        let m = 2.0 * f64::from(k) + 2.0;
        term *= -x * x / (m * (m + 1.0));
    }
    sum / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Contour, Turn};

    /// A lopsided shape: a half disc of radius 2 about (5, 3) above y = 3 with a triangle hung below it.
    fn shape() -> Contour {
        let (right, left, tip) = (Point::new(7.0, 3.0), Point::new(3.0, 3.0), Point::new(6.5, 1.0));
        let arc = Edge::arc(right, left, Point::new(5.0, 3.0), 2.0, Turn::Left).unwrap();
        Contour::new(vec![arc, Edge::line(left, tip), Edge::line(tip, right)]).unwrap()
    }

    /// Independent values: sums along x of the closed inner integrals over y, by Simpson's rule in the angle of the half disc, on either side of the
    /// triangle's tip.
    fn by_sums() -> Moments {
        let tip = ((5.0_f64 - 6.5) / 2.0).acos();
        let (n, mut m) = (1000, Moments::default());
        for (from, to) in [(0.0, tip), (tip, std::f64::consts::PI)] {
            for i in 0..=n {
                let angle: f64 = from + (to - from) * f64::from(i) / f64::from(n);
                let weight = if i == 0 || i == n { 1.0 } else { 2.0 + 2.0 * f64::from(i % 2) };
                let (x, rise) = (5.0 - 2.0 * angle.cos(), 2.0 * angle.sin());
                let dx = rise * weight * (to - from) / f64::from(3 * n);
                let low = if from == 0.0 { 3.0 - 2.0 * (x - 3.0) / 3.5 } else { 1.0 + 4.0 * (x - 6.5) };
                m = m.plus(strip(x, dx, low, 3.0 + rise));
            }
        }
        m
    }

    /// The integrals over a strip of width `dx` at x from `low` to `top`.
    fn strip(x: f64, dx: f64, low: f64, top: f64) -> Moments {
        let y = |k: i32| (top.powi(k + 1) - low.powi(k + 1)) / f64::from(k + 1) * dx;
        Moments {
            area: y(0),
            x: x * y(0),
            y: y(1),
            xx: x * x * y(0),
            xy: x * y(1),
            yy: y(2),
            xxx: x.powi(3) * y(0),
            xxy: x * x * y(1),
            xyy: x * y(2),
            yyy: y(3),
        }
    }

    fn all(m: Moments) -> [f64; 10] {
        [m.area, m.x, m.y, m.xx, m.xy, m.yy, m.xxx, m.xxy, m.xyy, m.yyy]
    }

    #[test]
    fn moments_agree_with_sums_for_every_start_direction_and_turn() {
        let expected = by_sums();
        let contour = shape();
        for (got, want) in all(contour.moments()).into_iter().zip(all(expected)) {
            assert!((got / want - 1.0).abs() < 1e-11, "{got} against {want}");
        }
        for first in 0..3 {
            let started = all(contour.started_at(first).moments());
            let back = all(contour.started_at(first).reversed().moments());
            for (i, want) in all(contour.moments()).into_iter().enumerate() {
                assert!((started[i] / want - 1.0).abs() < 1e-13);
                assert!((back[i] / want + 1.0).abs() < 1e-13);
            }
        }
        let far = Point::new(-700.0, 300.0);
        let moved = contour.translated(far).rotated(1.1).moments();
        let want = contour.moments().shifted(far).turned(1.1_f64.cos(), 1.1_f64.sin());
        for (a, b) in all(moved).into_iter().zip(all(want)) {
            assert!((a / b - 1.0).abs() < 1e-12, "{a} against {b}");
        }
    }

    #[test]
    fn half_minus_sin_cos_joins_its_series() {
        let below = half_minus_sin_cos(0.2);
        let direct = 0.2 - 0.2_f64.sin() * 0.2_f64.cos();
        assert!((below / direct - 1.0).abs() < 1e-13);
    }
}
