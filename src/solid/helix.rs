//! Grooves of the face that run on a helix: their outline in a plane across the axis, turned with z.

use super::plan::Frame;
use super::{Curve, Vector};
use crate::geometry::{Point, roots};
use crate::groove::FaceGroove;
use crate::tolerance::{NO_PIECE, SAME_LENGTH};
use crate::wheel::FaceBottom;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Most turn of one cubic piece, radians: it lies off by its fourth power over 384 of the radius, 4e-10 of it.
const PIECE_TURN: f64 = 0.02;
/// Steps of the scan for places of an outline at a distance from the axis.
const STEPS: usize = 12;

/// An element of the outline, in the groove's own frame, from smaller v to larger or along a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Element {
    /// Straight from one (u, v) to another.
    Line([f64; 2], [f64; 2]),
    /// The bottom: half axes along u and v about (`centre`, 0), `reach` radians to either side of the deepest.
    Ellipse {
        /// u of the centre, mm.
        centre: f64,
        /// Half axes along u and v, mm.
        half: [f64; 2],
        /// Radians of the ellipse to either side.
        reach: f64,
    },
}

impl Element {
    /// Those of a groove, in the order of its outline: wall, bottom, wall.
    pub fn of(g: &FaceGroove) -> Vec<(usize, Element)> {
        let (h, rim) = (g.half_width, g.outside_radius);
        let at_rim = ((rim - h) * (rim + h)).sqrt();
        let with_walls = |u: f64, bottom: Element| {
            vec![(0, Element::Line([at_rim, -h], [u, -h])), (1, bottom), (2, Element::Line([u, h], [at_rim, h]))]
        };
        if g.bottom == FaceBottom::Flat {
            return with_walls(g.floor_u, Element::Line([g.floor_u, -h], [g.floor_u, h]));
        }
        let centre = g.floor_u + g.half_across;
        let ellipse = |reach: f64| Element::Ellipse { centre, half: [g.half_across, h], reach };
        if centre < at_rim {
            return with_walls(centre, ellipse(FRAC_PI_2));
        }
        let (whole, beyond) = (ellipse(FRAC_PI_2), |(u, v): (f64, f64)| u.hypot(v) - rim);
        let share = roots::between(0.5, 1.0, |t| beyond(whole.at(t))).unwrap_or(1.0);
        vec![(1, ellipse(FRAC_PI_2 * (2.0 * share - 1.0)))]
    }

    /// (u, v) a share of the way along.
    pub fn at(&self, t: f64) -> (f64, f64) {
        match self {
            Element::Line(a, b) => (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t),
            Element::Ellipse { centre, half, reach } => {
                let (sin, cos) = (reach * (2.0 * t - 1.0)).sin_cos();
                (centre - half[0] * cos, half[1] * sin)
            }
        }
    }

    /// How far along the way of a place of it, beyond its ends too.
    pub fn share(&self, u: f64, v: f64) -> f64 {
        match self {
            Element::Line(a, b) => {
                let along = [b[0] - a[0], b[1] - a[1]];
                ((u - a[0]) * along[0] + (v - a[1]) * along[1]) / (along[0] * along[0] + along[1] * along[1])
            }
            Element::Ellipse { centre, half, reach } => {
                let angle = (v / half[1]).atan2((centre - u) / half[0]);
                (angle / reach + 1.0) / 2.0
            }
        }
    }

    /// Distance of a place near it, and how that grows along u and v.
    pub fn off(&self, u: f64, v: f64) -> (f64, [f64; 2]) {
        match self {
            Element::Line(a, b) => {
                let along = [b[0] - a[0], b[1] - a[1]];
                let length = along[0].hypot(along[1]);
                let normal = [along[1] / length, -along[0] / length];
                ((u - a[0]) * normal[0] + (v - a[1]) * normal[1], normal)
            }
            Element::Ellipse { centre, half, .. } => {
                let (x, y) = ((u - centre) / half[0], v / half[1]);
                let out = x.hypot(y);
                let way = [x / out / half[0], y / out / half[1]];
                let steep = way[0].hypot(way[1]);
                ((out - 1.0) / steep, [way[0] / steep, way[1] / steep])
            }
        }
    }

    /// Shares at which it is so far from the axis.
    pub fn shares_at(&self, radius: f64) -> Vec<f64> {
        roots::scan(0.0, 1.0, STEPS, |t| {
            let (u, v) = self.at(t);
            u.hypot(v) - radius
        })
    }
}

/// An element turned with z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Helicoid {
    /// The element.
    pub element: Element,
    /// Its frame at z = 0.
    pub frame: Frame,
    /// Turn of the frame for each mm of z, radians.
    pub twist: f64,
    /// z between which it is wanted, mm.
    pub reach: [f64; 2],
}

impl Helicoid {
    /// (u, v) of a place in the frame at its z.
    pub fn local(&self, p: Vector) -> (f64, f64) {
        self.frame.rotated(self.twist * p.z).local(Point::new(p.x, p.y))
    }

    /// The place of (u, v) at a z.
    pub fn place(&self, (u, v): (f64, f64), z: f64) -> Vector {
        let p = self.frame.rotated(self.twist * z).plan(u, v);
        Vector::new(p.x, p.y, z)
    }

    /// How far a place lies off, and how that grows from there.
    pub fn off(&self, p: Vector) -> (f64, Vector) {
        let (u, v) = self.local(p);
        let (off, [du, dv]) = self.element.off(u, v);
        let frame = self.frame.rotated(self.twist * p.z);
        let way = frame.plan(du, dv);
        (off, Vector::new(way.x, way.y, self.twist * (du * v - dv * u)))
    }

    /// Control points of (u, v) turned from one z to another, in cubic pieces that share their ends.
    pub fn turned(&self, at: (f64, f64), [from, to]: [f64; 2]) -> Vec<Vector> {
        let along = |z: f64| {
            // the frame's own turn takes u to v
            let way = self.frame.rotated(self.twist * z).plan(-at.1, at.0) * self.twist;
            Vector::new(way.x, way.y, 1.0)
        };
        cubics(|z| self.place(at, z), along, [from, to], self.twist)
    }
}

/// A part of a groove's outline along which the distance from the axis only grows or only shrinks: a wall, or half of a bottom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winding {
    /// Which of the outline, from one wall over the halves of the bottom to the other.
    pub part: usize,
    /// The surface that it is turned into, z being the depth of a side.
    pub surface: Helicoid,
    /// Shares of its element at which it begins and ends.
    pub ends: [f64; 2],
}

impl Winding {
    /// Distances from the axis at its ends, mm.
    pub fn radii(&self) -> [f64; 2] {
        self.ends.map(|t| self.radius(t))
    }

    fn radius(&self, t: f64) -> f64 {
        let (u, v) = self.surface.element.at(t);
        u.hypot(v)
    }

    /// Share of the element and depth, mm, at which it comes over a place of the plan; `None` where that is too far from the axis or too near.
    pub fn over(&self, p: Point) -> Option<(f64, f64)> {
        let beyond = |t: f64| self.radius(t) - p.length();
        let at_end = self.ends.into_iter().find(|&t| beyond(t).abs() < SAME_LENGTH);
        let t = at_end.or_else(|| roots::between(self.ends[0], self.ends[1], beyond))?;
        let (at, to) = (self.surface.element.at(t), self.surface.frame.local(p));
        let turn = to.1.atan2(to.0) - at.1.atan2(at.0);
        Some((t, ((turn + PI).rem_euclid(TAU) - PI) / self.surface.twist))
    }

    /// Where a share of the element lies at a depth.
    pub fn place(&self, t: f64, depth: f64) -> Point {
        let p = self.surface.place(self.surface.element.at(t), depth);
        Point::new(p.x, p.y)
    }

    /// How far a place at a depth lies off, mm.
    pub fn off(&self, p: Point, depth: f64) -> f64 {
        self.surface.off(Vector::new(p.x, p.y, depth)).0
    }

    /// Whether a place near its surface lies between its ends.
    pub fn reaches(&self, p: Point, depth: f64) -> bool {
        let (u, v) = self.surface.local(Vector::new(p.x, p.y, depth));
        let t = self.surface.element.share(u, v);
        t > self.ends[0] - NO_PIECE.sqrt() && t < self.ends[1] + NO_PIECE.sqrt()
    }
}

/// Control points of a curve over z, in cubic pieces that share their ends and turn no more than they may.
fn cubics(place: impl Fn(f64) -> Vector, along: impl Fn(f64) -> Vector, [from, to]: [f64; 2], twist: f64) -> Vec<Vector> {
    let pieces = pieces(twist * (to - from));
    let step = (to - from) / pieces as f64;
    let mut out = vec![place(from)];
    for i in 0..pieces {
        let [a, b] = [i, i + 1].map(|i| from + step * i as f64);
        out.extend([place(a) + along(a) * (step / 3.0), place(b) - along(b) * (step / 3.0), place(b)]);
    }
    out
}

/// How many cubic pieces a turn takes.
fn pieces(turn: f64) -> usize {
    (turn.abs() / PIECE_TURN).ceil().max(1.0) as usize
}

/// The edge about the wheel's axis from one place to another, which turns as a frame does for each mm of z.
pub fn edge(start: Vector, end: Vector, twist: f64) -> Curve {
    let frame = Frame::new(0.0);
    let at = frame.rotated(twist * start.z).local(Point::new(start.x, start.y));
    let helix = Helicoid { element: Element::Line([0.0; 2], [0.0; 2]), frame, twist, reach: [start.z, end.z] };
    let all = helix.turned(at, [start.z, end.z]);
    let last = all.len() - 1;
    // where pieces meet the neighbours tell the place
    let mut points: Vec<Vector> = all.iter().enumerate().filter(|(i, _)| i % 3 != 0 || *i == 0 || *i == last).map(|(_, p)| *p).collect();
    let end_index = points.len() - 1;
    (points[0], points[end_index]) = (start, end);
    Curve::Spline { points, knots: (0..=last / 3).map(|i| i as f64).collect() }
}
