//! Edges that are conic sections: where an edge lies in a plane and on a cylinder or cone, it is an ellipse, a parabola or a hyperbola and nothing else.
//!
//! The surface's equation is written in the plane's own two coordinates; what its quadratic part comes to says which curve it is and where its axes
//! lie. What was found is held against both surfaces all along the edge before it is believed.

use super::{Curve, Surface, Vector};
use crate::tolerance::{ROUNDED, SAME_LENGTH};
use nalgebra::{Matrix2, Matrix3, Vector2};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Pieces of an edge at whose ends it is held against the surfaces.
const HELD_AT: usize = 16;
/// How many half axes an edge may reach along its curve's axes: beyond that the last digit they are written with would show at its ends.
const MOST_DRAWN_OUT: f64 = 1e5;

/// Which conic section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// centre + along · cos t + across · sin t, `along` not shorter than `across`.
    Ellipse,
    /// centre + along · t² + across · t: `centre` is the vertex, `along` as long as its focus is distant, `across` twice as long.
    Parabola,
    /// centre + along · cosh t + across · sinh t.
    Hyperbola,
}

/// A conic section run along with t.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conic {
    /// Which.
    pub shape: Shape,
    /// Its centre, or the parabola's vertex.
    pub centre: Vector,
    /// Its first half axis; into the parabola.
    pub along: Vector,
    /// Its second half axis, square to the first.
    pub across: Vector,
}

impl Conic {
    /// The place at a parameter.
    pub fn at(&self, t: f64) -> Vector {
        let (a, b) = match self.shape {
            Shape::Ellipse => (t.cos(), t.sin()),
            Shape::Parabola => (t * t, t),
            Shape::Hyperbola => (t.cosh(), t.sinh()),
        };
        self.centre + self.along * a + self.across * b
    }

    /// Half axes to a place, along and across.
    fn shares(&self, p: Vector) -> [f64; 2] {
        [self.along, self.across].map(|axis| (p - self.centre).dot(&axis) / axis.norm_squared())
    }

    /// The parameter of a place on it.
    fn parameter(&self, p: Vector) -> f64 {
        let [along, across] = self.shares(p);
        match self.shape {
            Shape::Ellipse => across.atan2(along),
            Shape::Parabola => across,
            Shape::Hyperbola => across.asinh(),
        }
    }

    /// Parameters at both ends of an edge along it, the second larger.
    pub fn reach(&self, [start, end]: [Vector; 2]) -> [f64; 2] {
        let [from, to] = [start, end].map(|p| self.parameter(p));
        match self.shape {
            Shape::Ellipse => [from, from + (to - from).rem_euclid(TAU)],
            _ => [from, to],
        }
    }

    /// The same run along the other way.
    fn reversed(self) -> Conic {
        Conic { across: -self.across, ..self }
    }

    /// Places along it from one end to the other, both left out, so many that chords lie nearer than `deviation`, mm.
    pub fn places(&self, ends: [Vector; 2], deviation: f64) -> Vec<Vector> {
        let [from, to] = self.reach(ends);
        // a chord of more than half an ellipse does not tell how far it lies off
        let parts = if self.shape == Shape::Ellipse { ((to - from) / FRAC_PI_2).ceil().max(1.0) as usize } else { 1 };
        let knot = |i: usize| from + (to - from) * i as f64 / parts as f64;
        let mut out = Vec::new();
        for i in 0..parts {
            self.between([knot(i), knot(i + 1)], deviation, &mut out);
            out.push(self.at(knot(i + 1)));
        }
        out.pop();
        out
    }

    /// Halves a piece until its chord is near enough: of every conic the place halfway in t lies farthest from the chord.
    fn between(&self, [from, to]: [f64; 2], deviation: f64, out: &mut Vec<Vector>) {
        let [a, b] = [from, to].map(|t| self.at(t));
        let t = (from + to) / 2.0;
        let (middle, chord) = (self.at(t), b - a);
        let off = (middle - a).cross(&chord).norm();
        if off > deviation * chord.norm() {
            self.between([from, t], deviation, out);
            out.push(middle);
            self.between([t, to], deviation, out);
        }
    }
}

/// The conic section that an edge on two surfaces runs along; `None` where it is none. `guides` are places near it in their order, more than two, the
/// first and the last on it.
pub fn of(surfaces: [&Surface; 2], guides: &[Vector]) -> Option<Curve> {
    let last = guides.len() - 1;
    let plane = |s: &Surface| if let Surface::Plane { origin, axis } = s { Some((*origin, *axis)) } else { None };
    let found = match surfaces.map(plane) {
        [Some(cut), None] => section(surfaces[1], cut),
        [None, Some(cut)] => section(surfaces[0], cut),
        _ => None,
    };
    let mut conic = found?;
    let is_backwards = match conic.shape {
        // the way on which the middle lies
        Shape::Ellipse => {
            let [from, to] = conic.reach([guides[0], guides[last]]);
            let [_, middle] = conic.reach([guides[0], guides[last / 2]]);
            middle - from > to - from
        }
        _ => {
            let [from, to] = conic.reach([guides[0], guides[last]]);
            to < from
        }
    };
    if is_backwards {
        conic = conic.reversed();
    }
    holds(&conic, surfaces, [guides[0], guides[last]]).then_some(Curve::Conic(conic))
}

/// Whether an edge along it begins and ends where it should, lies on both surfaces, and is not drawn out too far.
fn holds(conic: &Conic, surfaces: [&Surface; 2], ends: [Vector; 2]) -> bool {
    let [from, to] = conic.reach(ends);
    let is_plain = ends.iter().flat_map(|p| conic.shares(*p)).all(|share| share.abs() < MOST_DRAWN_OUT);
    let is_on = |i: usize| {
        let p = conic.at(from + (to - from) * i as f64 / HELD_AT as f64);
        surfaces.iter().all(|s| s.off(p).0.abs() < SAME_LENGTH)
    };
    let meets = (conic.at(from) - ends[0]).norm() < SAME_LENGTH && (conic.at(to) - ends[1]).norm() < SAME_LENGTH;
    is_plain && meets && (0..=HELD_AT).all(is_on)
}

/// The equation p · A p + 2 b · p + c = 0 of a surface about a place; `None` of those that are no quadrics.
fn quadric(surface: &Surface, about: Vector) -> Option<(Matrix3<f64>, Vector, f64)> {
    let round = |origin: Vector, linear: Matrix3<f64>| {
        let from = about - origin;
        (linear, linear * from, from.dot(&(linear * from)))
    };
    match surface {
        Surface::Cylinder { origin, axis, radius } => {
            let (a, b, c) = round(*origin, Matrix3::identity() - axis * axis.transpose());
            Some((a, b, c - radius * radius))
        }
        Surface::Cone { origin, axis, radius, half_angle } => {
            // square of the distance from the axis less that of the radius there, all times the square of the cosine
            let (sin, cos) = half_angle.sin_cos();
            let (a, b, c) = round(*origin, Matrix3::identity() * (cos * cos) - axis * axis.transpose());
            let height = (about - origin).dot(axis);
            Some((a, b - axis * (radius * sin * cos), c - 2.0 * radius * sin * cos * height - radius * radius * cos * cos))
        }
        Surface::Swept { centre, axis, radius, along } => {
            // what is left of a way when it is followed along the line back into the circle's plane
            let back = Matrix3::identity() - along * axis.transpose() / along.dot(axis);
            let (a, b, c) = round(*centre, back.transpose() * back);
            Some((a, b, c - radius * radius))
        }
        _ => None,
    }
}

/// The conic section in which a plane cuts a surface, that branch of a hyperbola on which the surface's own radius is not negative.
fn section(surface: &Surface, (origin, axis): (Vector, Vector)) -> Option<Conic> {
    let other = if axis.z.abs() < axis.x.abs() { Vector::z() } else { Vector::x() };
    let x = (other - axis * axis.dot(&other)).normalize();
    let ways = [x, axis.cross(&x)];
    let (a, b, c) = quadric(surface, origin)?;
    let part = |i: usize, j: usize| ways[i].dot(&(a * ways[j]));
    let (flat, pull) = (Matrix2::new(part(0, 0), part(0, 1), part(1, 0), part(1, 1)), Vector2::new(b.dot(&ways[0]), b.dot(&ways[1])));
    let eigen = flat.symmetric_eigen();
    let directions = [0, 1].map(|i| {
        let v = eigen.eigenvectors.column(i);
        (eigen.eigenvalues[i], Vector2::new(v[0], v[1]))
    });
    // the larger of both first: it is that of the parabola's way across
    let [(l, u), (m, v)] = if directions[0].0.abs() < directions[1].0.abs() { [directions[1], directions[0]] } else { directions };
    let space = |p: Vector2<f64>| ways[0] * p.x + ways[1] * p.y;
    if m.abs() < ROUNDED * l.abs() {
        return parabola(l, [u, v], (pull, c)).map(|[vertex, along, across]| Conic {
            shape: Shape::Parabola,
            centre: origin + space(vertex),
            along: space(along),
            across: space(across),
        });
    }
    let centre = u * (-pull.dot(&u) / l) + v * (-pull.dot(&v) / m);
    let level = -(c + pull.dot(&centre));
    let [first, second] = [(level / l, u), (level / m, v)];
    let half = |(square, way): (f64, Vector2<f64>)| space(way) * square.abs().sqrt();
    let middle = origin + space(centre);
    let (shape, along, across) = match (first.0 > 0.0, second.0 > 0.0) {
        (true, true) if first.0 >= second.0 => (Shape::Ellipse, half(first), half(second)),
        (true, true) => (Shape::Ellipse, half(second), half(first)),
        (true, false) => (Shape::Hyperbola, half(first), half(second)),
        (false, true) => (Shape::Hyperbola, half(second), half(first)),
        (false, false) => return None,
    };
    // of a double cone's two halves one is the surface
    let is_other = shape == Shape::Hyperbola && surface.off(middle + along).0.abs() > surface.off(middle - along).0.abs();
    Some(Conic { shape, centre: middle, along: if is_other { -along } else { along }, across })
}

/// Vertex, way in and way across of the parabola l (u·p)² + 2 pull·p + c = 0 with its axis along v; `None` where it is no curve.
fn parabola(l: f64, [u, v]: [Vector2<f64>; 2], (pull, c): (Vector2<f64>, f64)) -> Option<[Vector2<f64>; 3]> {
    let [pu, pv] = [pull.dot(&u), pull.dot(&v)];
    if pv.abs() < ROUNDED {
        return None;
    }
    let aside = -pu / l;
    let up = (pu * pu / l - c) / (2.0 * pv);
    // l x² = −2 pv y: the focus lies a quarter of −2 pv / l from the vertex
    let focus = -pv / (2.0 * l);
    Some([u * aside + v * up, v * focus, u * (2.0 * focus.abs())])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cone about z that widens upwards by `slope` for each mm, as a tapered side.
    fn cone(slope: f64) -> Surface {
        Surface::Cone { origin: Vector::zeros(), axis: Vector::z(), radius: 10.0, half_angle: slope.atan() }
    }

    fn plane(origin: Vector, axis: Vector) -> Surface {
        Surface::Plane { origin, axis: axis.normalize() }
    }

    fn conic(surface: &Surface, cut: &Surface, guides: &[Vector]) -> Conic {
        match of([surface, cut], guides) {
            Some(Curve::Conic(conic)) => conic,
            other => panic!("{other:?}"),
        }
    }

    /// A plane along the axis cuts a cone in a hyperbola whose half axes follow from similar triangles: d / slope and d.
    #[test]
    fn an_upright_wall_cuts_a_taper_in_a_hyperbola() {
        let (slope, d) = (2.0, 3.0);
        let at = |x: f64| Vector::new(x, d, (x.hypot(d) - 10.0) / slope);
        let found = conic(&cone(slope), &plane(Vector::new(0.0, d, 0.0), Vector::y()), &[at(20.0), at(15.0), at(9.0)]);
        assert_eq!(found.shape, Shape::Hyperbola);
        assert!((found.along.norm() - d / slope).abs() < 1e-12 && (found.across.norm() - d).abs() < 1e-12, "{found:?}");
        assert!((found.at(found.reach([at(20.0), at(9.0)])[1]) - at(9.0)).norm() < 1e-9);
    }

    /// A plane as steep as the cone cuts it in a parabola: x² = 4 f y with the focus half of the apex's distance times a sine away.
    #[test]
    fn a_floor_as_steep_as_the_taper_cuts_it_in_a_parabola() {
        // slope 1: the plane z = x holds the places with x² + y² = (10 + x)², so y² = 100 + 20 x
        let at = |y: f64| Vector::new((y * y - 100.0) / 20.0, y, (y * y - 100.0) / 20.0);
        let found = conic(&cone(1.0), &plane(Vector::zeros(), Vector::new(-1.0, 0.0, 1.0)), &[at(-3.0), at(1.0), at(8.0)]);
        assert_eq!(found.shape, Shape::Parabola);
        // along the plane's own way up, √2 times x, y² = 20/√2 · s
        assert!((found.along.norm() - 5.0 / 2.0_f64.sqrt()).abs() < 1e-9, "{found:?}");
        assert!((found.centre - at(0.0)).norm() < 1e-9);
    }

    /// A sloping plane cuts a cylinder in an ellipse whose half axes are the radius and the radius over the cosine of the slope.
    #[test]
    fn a_sloping_floor_cuts_the_outside_diameter_in_an_ellipse() {
        let rim = Surface::Cylinder { origin: Vector::zeros(), axis: Vector::z(), radius: 50.0 };
        let at = |t: f64| Vector::new(50.0 * t.cos(), 50.0 * t.sin(), 50.0 * t.cos() * 0.75);
        for turn in [1.0, -1.0] {
            let guides: Vec<Vector> = (0..=4).map(|i| at(turn * f64::from(i))).collect();
            let found = conic(&rim, &plane(Vector::zeros(), Vector::new(-0.75, 0.0, 1.0)), &guides);
            assert_eq!(found.shape, Shape::Ellipse);
            assert!((found.along.norm() - 62.5).abs() < 1e-9 && (found.across.norm() - 50.0).abs() < 1e-9, "{found:?}");
            // four radians of it, the long way round
            let places = found.places([guides[0], guides[4]], 0.01);
            assert!(places.iter().all(|p| rim.off(*p).0.abs() < 1e-9) && places.len() > 20);
            assert!(places.windows(2).all(|w| (w[1] - w[0]).norm() < 10.0));
        }
    }

    #[test]
    fn a_curve_in_no_plane_is_no_conic() {
        let [a, b] = [(Vector::z(), 50.0), (Vector::x(), 4.0)].map(|(axis, radius)| Surface::Cylinder { origin: Vector::zeros(), axis, radius });
        let at = |y: f64| Vector::new((2500.0 - y * y).sqrt(), y, (16.0 - y * y).sqrt());
        assert_eq!(of([&a, &b], &[at(-2.0), at(0.0), at(2.0)]), None);
    }
}
