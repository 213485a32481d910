//! Directed edges: straight lines and circular arcs.
//!
//! The ends are stored, so neighbours of a contour share equal numbers and no epsilon is needed to close it.
//! An arc stores its centre and its radius as ordered as well, so neither has to be recomputed from the other.

use super::{Bounds, Point};
use crate::tolerance::ARC_FIT;
use std::f64::consts::{PI, TAU};

/// Which way an arc turns from its start to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
pub enum Turn {
    /// Counter-clockwise.
    Left,
    /// Clockwise.
    Right,
}

impl Turn {
    /// The other way round.
    pub fn flipped(self) -> Turn {
        match self {
            Turn::Left => Turn::Right,
            Turn::Right => Turn::Left,
        }
    }

    /// +1 counter-clockwise, −1 clockwise.
    pub fn sign(self) -> f64 {
        match self {
            Turn::Left => 1.0,
            Turn::Right => -1.0,
        }
    }
}

/// A straight edge.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Line {
    /// Where it begins.
    pub start: Point,
    /// Where it ends.
    pub end: Point,
}

/// A circular edge, shorter than a full turn. Made by [`Arc::new`] only, which refuses what is not an arc.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Arc {
    start: Point,
    end: Point,
    centre: Point,
    radius: f64,
    turn: Turn,
}

/// Why four numbers are not an arc.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ArcError {
    /// A coordinate or the radius is not a finite number.
    #[error("an arc needs finite numbers")]
    NotFinite,
    /// The radius is zero or negative.
    #[error("an arc needs a radius above 0, not {0}")]
    Radius(f64),
    /// An end is not at the radius from the centre.
    #[error("an end of the arc is {distance} from the centre, not {radius}")]
    OffCircle {
        /// From the end to the centre.
        distance: f64,
        /// As given.
        radius: f64,
    },
    /// Both ends are the same point.
    #[error("an arc needs two different ends")]
    NoLength,
}

impl Arc {
    /// The arc about `centre` from `start` to `end` in the sense of `turn`.
    ///
    /// # Errors
    /// Where a number is not finite, the radius is not positive, the ends coincide, or an end is off the circle by more than
    /// [`ARC_FIT`] of the radius.
    pub fn new(start: Point, end: Point, centre: Point, radius: f64, turn: Turn) -> Result<Arc, ArcError> {
        if !(start.is_finite() && end.is_finite() && centre.is_finite() && radius.is_finite()) {
            return Err(ArcError::NotFinite);
        }
        if radius <= 0.0 {
            return Err(ArcError::Radius(radius));
        }
        if start == end {
            return Err(ArcError::NoLength);
        }
        let slack = ARC_FIT * (radius + centre.length());
        for p in [start, end] {
            let distance = p.distance(centre);
            if (distance - radius).abs() > slack {
                return Err(ArcError::OffCircle { distance, radius });
            }
        }
        Ok(Arc { start, end, centre, radius, turn })
    }

    /// Where it begins.
    pub fn start(&self) -> Point {
        self.start
    }

    /// Where it ends.
    pub fn end(&self) -> Point {
        self.end
    }

    /// Centre of its circle.
    pub fn centre(&self) -> Point {
        self.centre
    }

    /// Radius of its circle, as ordered.
    pub fn radius(&self) -> f64 {
        self.radius
    }

    /// The sense from start to end.
    pub fn turn(&self) -> Turn {
        self.turn
    }

    /// Direction of the start from the centre, radians.
    pub fn start_angle(&self) -> f64 {
        (self.start - self.centre).angle()
    }

    /// Direction of the end from the centre, radians.
    pub fn end_angle(&self) -> f64 {
        (self.end - self.centre).angle()
    }

    /// Included angle from start to end, radians, positive counter-clockwise; its size lies in (0, 2π).
    pub fn sweep(&self) -> f64 {
        self.sweep_from(self.start_angle())
    }

    fn sweep_from(&self, start_angle: f64) -> f64 {
        let raw = (self.end_angle() - start_angle) * self.turn.sign();
        let turned = if raw <= 0.0 { raw + TAU } else { raw };
        turned * self.turn.sign()
    }

    /// tan(included angle / 4), positive counter-clockwise: the bulge of a polyline vertex in the DXF reference.
    pub fn bulge(&self) -> f64 {
        (self.sweep() / 4.0).tan()
    }

    /// The point a share `t` of the way along (0 start, 1 end); the stored ends are returned exactly.
    pub fn at(&self, t: f64) -> Point {
        if t <= 0.0 {
            return self.start;
        }
        if t >= 1.0 {
            return self.end;
        }
        let start_angle = self.start_angle();
        self.centre + Point::polar(self.radius, start_angle + self.sweep_from(start_angle) * t)
    }

    /// Points along it that part it into `n` equal pieces, from its start to its end: `n` + 1 of them, those of [`Arc::at`].
    pub fn points(&self, n: usize) -> impl Iterator<Item = Point> + use<> {
        let arc = *self;
        let start_angle = arc.start_angle();
        let sweep = arc.sweep_from(start_angle);
        (0..=n).map(move |i| match i {
            0 => arc.start,
            i if i == n => arc.end,
            i => arc.centre + Point::polar(arc.radius, start_angle + sweep * (i as f64 / n as f64)),
        })
    }

    /// Whether the direction `angle` (radians, from the centre) is swept, ends included.
    pub fn sweeps(&self, angle: f64) -> bool {
        let start_angle = self.start_angle();
        self.is_within(self.sweep_from(start_angle).abs(), angle - start_angle)
    }

    fn bounds(&self) -> Bounds {
        let mut bounds = Bounds::of(self.start, self.end);
        let start_angle = self.start_angle();
        let sweep = self.sweep_from(start_angle).abs();
        for quarter in [0.0, PI / 2.0, PI, -PI / 2.0] {
            if self.is_within(sweep, quarter - start_angle) {
                let p = self.centre + Point::polar(self.radius, quarter);
                bounds = bounds.union(Bounds::of(p, p));
            }
        }
        bounds
    }

    /// Whether the sweep reaches as far as `from_start`, an angle counter-clockwise from the start.
    fn is_within(&self, sweep: f64, from_start: f64) -> bool {
        (from_start * self.turn.sign()).rem_euclid(TAU) <= sweep
    }
}

/// A directed edge of a contour.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub enum Edge {
    /// Straight.
    Line(Line),
    /// Circular.
    Arc(Arc),
}

impl Edge {
    /// The straight edge between two points.
    pub fn line(start: Point, end: Point) -> Edge {
        Edge::Line(Line { start, end })
    }

    /// The circular edge of [`Arc::new`].
    ///
    /// # Errors
    /// As [`Arc::new`].
    pub fn arc(start: Point, end: Point, centre: Point, radius: f64, turn: Turn) -> Result<Edge, ArcError> {
        Arc::new(start, end, centre, radius, turn).map(Edge::Arc)
    }

    /// Where it begins.
    pub fn start(&self) -> Point {
        match self {
            Edge::Line(l) => l.start,
            Edge::Arc(a) => a.start,
        }
    }

    /// Where it ends.
    pub fn end(&self) -> Point {
        match self {
            Edge::Line(l) => l.end,
            Edge::Arc(a) => a.end,
        }
    }

    /// Length along the edge.
    pub fn length(&self) -> f64 {
        match self {
            Edge::Line(l) => l.start.distance(l.end),
            Edge::Arc(a) => a.radius * a.sweep().abs(),
        }
    }

    /// The point a share `t` of the way along (0 start, 1 end).
    pub fn at(&self, t: f64) -> Point {
        match self {
            Edge::Line(l) => l.start.lerp(l.end, t),
            Edge::Arc(a) => a.at(t),
        }
    }

    /// The part of it between two shares of its length, `a` below `b`; stored ends are kept exactly. `None` where nothing is left.
    pub fn part(&self, a: f64, b: f64) -> Option<Edge> {
        let (start, end) = (self.at(a), self.at(b));
        match self {
            Edge::Line(_) => (start != end).then(|| Edge::line(start, end)),
            Edge::Arc(arc) => Edge::arc(start, end, arc.centre, arc.radius, arc.turn).ok(),
        }
    }

    /// Direction of travel at the start (`t` = 0) to the end (`t` = 1), of length 1; `None` for an edge of no length.
    pub fn direction(&self, t: f64) -> Option<Point> {
        match self {
            Edge::Line(l) => (l.end - l.start).unit(),
            Edge::Arc(a) => ((a.at(t) - a.centre).left() * a.turn.sign()).unit(),
        }
    }

    /// The same edge travelled the other way.
    pub fn reversed(&self) -> Edge {
        match *self {
            Edge::Line(l) => Edge::line(l.end, l.start),
            Edge::Arc(a) => Edge::Arc(Arc { start: a.end, end: a.start, turn: a.turn.flipped(), ..a }),
        }
    }

    /// The edge with every point mapped by a motion that keeps lengths; `flips` says whether it mirrors.
    fn mapped(&self, map: impl Fn(Point) -> Point, flips: bool) -> Edge {
        match *self {
            Edge::Line(l) => Edge::line(map(l.start), map(l.end)),
            Edge::Arc(a) => Edge::Arc(Arc {
                start: map(a.start),
                end: map(a.end),
                centre: map(a.centre),
                radius: a.radius,
                turn: if flips { a.turn.flipped() } else { a.turn },
            }),
        }
    }

    /// Moved by a vector.
    pub fn translated(&self, by: Point) -> Edge {
        self.mapped(|p| p + by, false)
    }

    /// Turned counter-clockwise about the origin, radians.
    pub fn rotated(&self, angle: f64) -> Edge {
        self.mapped(|p| p.rotated(angle), false)
    }

    /// Mirrored in the y axis (x changes sign).
    pub fn mirrored_x(&self) -> Edge {
        self.mapped(|p| Point::new(-p.x, p.y), true)
    }

    /// Mirrored in the x axis (y changes sign).
    pub fn mirrored_y(&self) -> Edge {
        self.mapped(|p| Point::new(p.x, -p.y), true)
    }

    /// With x and y exchanged: mirrored in the line x = y.
    pub fn transposed(&self) -> Edge {
        self.mapped(|p| Point::new(p.y, p.x), true)
    }

    /// Scaled about the origin by a factor above 0.
    pub fn scaled(&self, factor: f64) -> Edge {
        match self.mapped(|p| p * factor, false) {
            Edge::Arc(a) => Edge::Arc(Arc { radius: a.radius * factor, ..a }),
            line => line,
        }
    }

    /// The smallest upright box around it.
    pub fn bounds(&self) -> Bounds {
        match self {
            Edge::Line(l) => Bounds::of(l.start, l.end),
            Edge::Arc(a) => a.bounds(),
        }
    }
}
