//! The plan of a side: lines and circles cut where they meet, so that what lies between them is one thing.
//!
//! Plan coordinates are the solid's x and y. Angles of the order count the other way (see [`Frame`]).

use crate::geometry::Point;
use crate::tolerance::{NO_PIECE, SAME_LENGTH};
use std::collections::{BTreeMap, HashMap};
use std::f64::consts::TAU;
use std::rc::Rc;

/// Frame of a groove: u outwards along its direction, v across it, counter-clockwise as seen from outside side A.
///
/// With z from side A to side B, that is clockwise about the z axis of the solid: v runs the other way round there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    cos: f64,
    sin: f64,
}

impl Frame {
    /// Of a direction in the order's sense, radians.
    pub fn new(direction: f64) -> Frame {
        let (sin, cos) = direction.sin_cos();
        Frame { cos, sin }
    }

    /// In the plan.
    pub fn plan(&self, u: f64, v: f64) -> Point {
        Point::new(u * self.cos - v * self.sin, -(u * self.sin + v * self.cos))
    }

    /// Turned on in the order's sense, radians.
    pub fn rotated(&self, by: f64) -> Frame {
        let (sin, cos) = by.sin_cos();
        Frame { cos: self.cos * cos - self.sin * sin, sin: self.sin * cos + self.cos * sin }
    }

    /// What a place of this frame is in another.
    pub fn turned(&self, other: &Frame, p: Point) -> Point {
        let (u, v) = self.local(p);
        other.plan(u, v)
    }

    /// u and v of a place in the plan.
    pub fn local(&self, p: Point) -> (f64, f64) {
        (p.x * self.cos - p.y * self.sin, -(p.x * self.sin + p.y * self.cos))
    }
}

/// A curve of the plan that is evaluated place by place.
pub trait Course: std::fmt::Debug {
    /// The place a share `t` of the way along.
    fn at(&self, t: f64) -> Point;
}

/// A part of a course.
#[derive(Debug)]
struct Portion {
    of: Rc<dyn Course>,
    ends: [f64; 2],
}

impl Course for Portion {
    fn at(&self, t: f64) -> Point {
        self.of.at(self.ends[0] + (self.ends[1] - self.ends[0]) * t)
    }
}

/// What an edge of the plan runs along, from 0 to 1.
#[derive(Debug, Clone)]
pub enum Path {
    /// Straight.
    Line(Point, Point),
    /// About a centre, from an angle and over a sweep, positive counter-clockwise.
    Arc { centre: Point, radius: f64, from: f64, sweep: f64 },
    /// Where a floor meets the turned surface or another floor.
    Contact(Rc<dyn Course>),
}

impl Path {
    /// The place a share `t` of the way along.
    pub fn at(&self, t: f64) -> Point {
        match self {
            Path::Line(a, b) => a.lerp(*b, t),
            Path::Arc { centre, radius, from, sweep } => *centre + Point::polar(*radius, from + sweep * t),
            Path::Contact(course) => course.at(t),
        }
    }

    pub(super) fn between(&self, t: f64, end: f64) -> Path {
        match self {
            Path::Line(..) => Path::Line(self.at(t), self.at(end)),
            Path::Arc { centre, radius, from, sweep } => {
                Path::Arc { centre: *centre, radius: *radius, from: from + sweep * t, sweep: sweep * (end - t) }
            }
            Path::Contact(course) if t == 0.0 && end == 1.0 => Path::Contact(Rc::clone(course)),
            Path::Contact(course) => Path::Contact(Rc::new(Portion { of: Rc::clone(course), ends: [t, end] })),
        }
    }

    /// How far along a place of the path lies.
    fn share(&self, p: Point) -> f64 {
        match self {
            Path::Line(a, b) => {
                let along = *b - *a;
                (p - *a).dot(along) / along.dot(along)
            }
            Path::Arc { centre, from, sweep, .. } => {
                let turned = ((p - *centre).angle() - from) * sweep.signum();
                let turned = turned.rem_euclid(TAU);
                // just before the beginning, unless it is a whole circle
                let past = turned - TAU;
                if sweep.abs() < TAU && -past < turned - sweep.abs() { past / sweep.abs() } else { turned / sweep.abs() }
            }
            Path::Contact(_) => 0.0,
        }
    }

    fn length(&self) -> f64 {
        match self {
            Path::Line(a, b) => a.distance(*b),
            Path::Arc { radius, sweep, .. } => radius * sweep.abs(),
            Path::Contact(_) => 1.0,
        }
    }

    fn is_circle(&self) -> bool {
        matches!(self, Path::Arc { sweep, .. } if sweep.abs() >= TAU)
    }

    /// Places that two lines or arcs share; the ends of what runs along the other.
    fn meetings(&self, other: &Path) -> Vec<Point> {
        let found = match (self, other) {
            (Path::Line(a, b), Path::Line(c, d)) => lines(*a, *b, *c, *d),
            (Path::Line(a, b), Path::Arc { centre, radius, .. }) => line_and_circle(*a, *b, *centre, *radius),
            (Path::Arc { centre, radius, .. }, Path::Line(a, b)) => line_and_circle(*a, *b, *centre, *radius),
            (Path::Arc { centre, radius, .. }, Path::Arc { centre: other, radius: second, .. }) => {
                circles(*centre, *radius, *other, *second)
            }
            _ => Vec::new(),
        };
        found.into_iter().filter(|&p| self.reaches(p) && other.reaches(p)).collect()
    }

    /// Whether a place of the whole line or circle is on the path.
    fn reaches(&self, p: Point) -> bool {
        let slack = SAME_LENGTH / self.length();
        let t = self.share(p);
        self.is_circle() || (t > -slack && t < 1.0 + slack)
    }
}

fn lines(a: Point, b: Point, c: Point, d: Point) -> Vec<Point> {
    let (along, other) = ((b - a) * (1.0 / a.distance(b)), (d - c) * (1.0 / c.distance(d)));
    let sin = along.cross(other);
    if sin.abs() * a.distance(b).max(c.distance(d)) > SAME_LENGTH {
        return vec![a + along * ((c - a).cross(other) / sin)];
    }
    if along.cross(c - a).abs() > SAME_LENGTH { Vec::new() } else { vec![a, b, c, d] }
}

fn line_and_circle(a: Point, b: Point, centre: Point, radius: f64) -> Vec<Point> {
    let along = (b - a) * (1.0 / a.distance(b));
    let foot = a + along * (centre - a).dot(along);
    let away = foot.distance(centre);
    if (away - radius).abs() < NO_PIECE {
        return vec![foot];
    }
    if away > radius {
        return Vec::new();
    }
    let half = ((radius - away) * (radius + away)).sqrt();
    vec![foot - along * half, foot + along * half]
}

fn circles(centre: Point, radius: f64, other: Point, second: f64) -> Vec<Point> {
    let between = other - centre;
    let apart = between.length();
    let Some(along) = between.unit() else { return Vec::new() };
    if (apart - (radius - second).abs()).abs() < NO_PIECE || (apart - radius - second).abs() < NO_PIECE {
        let sign = if radius < second && apart < second { -1.0 } else { 1.0 };
        return vec![centre + along * (radius * sign)];
    }
    if apart > radius + second || apart < (radius - second).abs() {
        return Vec::new();
    }
    let x = (apart * apart + (radius - second) * (radius + second)) / (2.0 * apart);
    let y = ((radius - x) * (radius + x)).max(0.0).sqrt();
    vec![centre + along * x + along.left() * y, centre + along * x - along.left() * y]
}

/// What a curve of the plan is there for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Trace {
    /// One of the section's circles, by its index from the bore.
    Ring(usize),
    /// An element of the outline of a face groove: groove and element.
    Face(usize, usize),
    /// An element of the outline of a side groove: groove and element.
    Wall(usize, usize),
    /// Where a groove's floor meets the turned surface, or changes form.
    Floor(usize),
    /// Nothing but a connection from ring to ring, which becomes the seam of what goes round.
    Seam,
    /// A connection that leaves no trace.
    Bridge,
}

/// A curve that is going to be cut.
#[derive(Debug)]
struct Curve {
    path: Path,
    trace: Trace,
    cuts: Vec<(f64, usize)>,
}

/// An edge of the plan.
#[derive(Debug, Clone)]
pub struct PlanEdge {
    /// Where it begins and ends, by index.
    pub ends: [usize; 2],
    /// What it runs along.
    pub path: Path,
    /// What it is there for.
    pub trace: Trace,
}

/// Points that are told apart by more than [`SAME_LENGTH`].
#[derive(Debug, Default)]
pub struct Places {
    /// All of them.
    pub points: Vec<Point>,
    grid: HashMap<(i64, i64), Vec<usize>>,
}

impl Places {
    /// The point's index, a new one where none lies there yet.
    pub fn index(&mut self, p: Point) -> usize {
        const CELL: f64 = 1024.0;
        let key = |v: f64| (v * CELL).floor() as i64;
        let (i, j) = (key(p.x), key(p.y));
        for cell in (i - 1..=i + 1).flat_map(|i| (j - 1..=j + 1).map(move |j| (i, j))) {
            let near = self.grid.get(&cell).into_iter().flatten();
            if let Some(&found) = near.into_iter().find(|&&k| self.points[k].distance(p) < SAME_LENGTH) {
                return found;
            }
        }
        self.points.push(p);
        self.grid.entry((i, j)).or_default().push(self.points.len() - 1);
        self.points.len() - 1
    }
}

/// Curves of a plan, cut where they meet.
#[derive(Debug, Default)]
pub struct Net {
    /// The points.
    pub places: Places,
    curves: Vec<Curve>,
}

impl Net {
    /// Adds a curve; its index.
    pub fn add(&mut self, path: Path, trace: Trace) -> usize {
        let mut cuts = Vec::new();
        if !path.is_circle() {
            cuts = vec![(0.0, self.places.index(path.at(0.0))), (1.0, self.places.index(path.at(1.0)))];
        }
        self.curves.push(Curve { path, trace, cuts });
        self.curves.len() - 1
    }

    /// Cuts two curves where they meet.
    pub fn cross(&mut self, a: usize, b: usize) {
        for p in self.curves[a].path.meetings(&self.curves[b].path) {
            self.cut(a, p);
            self.cut(b, p);
        }
    }

    /// Cuts a curve at a place of it.
    pub fn cut(&mut self, curve: usize, p: Point) {
        self.cut_at(curve, self.curves[curve].path.share(p), p);
    }

    /// Cuts a curve at a place of it that lies this share of the way along.
    pub fn cut_at(&mut self, curve: usize, share: f64, p: Point) {
        let place = self.places.index(p);
        let curve = &mut self.curves[curve];
        if curve.cuts.iter().all(|c| c.1 != place) {
            curve.cuts.push((share, place));
        }
    }

    /// What a curve runs along, and what it is there for.
    pub fn curve(&self, curve: usize) -> (Path, Trace) {
        (self.curves[curve].path.clone(), self.curves[curve].trace)
    }

    /// The pieces between the cuts; of pieces that lie upon each other one, by the first of their traces.
    pub fn edges(&self) -> Vec<PlanEdge> {
        let mut found: BTreeMap<(usize, usize), Vec<PlanEdge>> = BTreeMap::new();
        for edge in self.curves.iter().flat_map(Curve::pieces) {
            let key = (edge.ends[0].min(edge.ends[1]), edge.ends[0].max(edge.ends[1]));
            let same = found.entry(key).or_default();
            let middle = edge.path.at(0.5);
            match same.iter_mut().find(|e| e.path.at(0.5).distance(middle) < SAME_LENGTH) {
                Some(other) if edge.trace < other.trace => *other = edge,
                Some(_) => {}
                None => same.push(edge),
            }
        }
        found.into_values().flatten().collect()
    }
}

impl Curve {
    fn pieces(&self) -> Vec<PlanEdge> {
        let mut cuts = self.cuts.clone();
        cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let (true, Some(&first)) = (self.path.is_circle(), cuts.first()) {
            cuts.push((first.0 + 1.0, first.1));
        }
        let pairs = cuts.windows(2).filter(|w| w[0].1 != w[1].1 || self.path.is_circle());
        let piece = |w: &[(f64, usize)]| PlanEdge {
            ends: [w[0].1, w[1].1],
            path: self.path.between(w[0].0, w[1].0),
            trace: self.trace,
        };
        pairs.map(piece).collect()
    }
}
