//! The boundary as it is seen: its edges and outlines in an isometric picture (ISO 5456-3), without what stone hides.
//!
//! The side shown faces the reader to the lower left. Places are looked at along the ray to the reader, in steps of a dot of the paper, and where a line
//! comes into sight or is lost is found by halving. Edges of grooves that lie alike are taken from the boundary of one of them and turned; lines nearer
//! than a pen can part are one, and a groove whose edges would nearly touch is the line along its middle.

mod edges;
mod merged;
mod stone;

use super::turned::{revolved, solid as turned};
use super::plan::Frame;
use super::{Solid, Vector};
use crate::geometry::{Arc, Edge, Point, Turn};
use crate::groove::{FaceGroove, Grooves, SideGroove, plan::direction};
use crate::section::Section;
use crate::wheel::{FaceGrooves, Job, Pattern, SideGrooves, SideName};
use edges::Chain;
use merged::Merged;
pub use merged::Line;
use std::f64::consts::{FRAC_PI_4, PI, SQRT_2, TAU};
use stone::Stone;

/// Grooves up to which the boundary is taken whole, with all that grooves do to each other.
const FEW: u32 = 48;
/// Dots of the outside diameter beyond which nothing is found more exactly: no sheet has more.
const MOST_DOTS: f64 = 2000.0;
/// Dots below which lines that run alike are one.
const PEN: f64 = 2.4;
/// Dots below which a groove is one fine line: the edges of a narrower one would leave no paper between them.
const WIDE: f64 = 5.0;
/// Dots below which grooves that follow each other are thinned out.
const PITCH: f64 = 3.6;
/// Share of a pitch that is left of it where the picture foreshortens it most.
const FORESHORTENED: f64 = 0.6;
/// Dots between places at which a line is looked at.
const LOOKED_AT: f64 = 4.0;
/// Share of a dot at which a ray is first looked at, and by which stone may be missed.
const FIRST: f64 = 0.25;
const SLACK: f64 = 0.2;
/// Halvings by which the end of what is seen is found.
const HALVINGS: usize = 5;
/// Share of a pen's width below which a line is none.
const SPECK: f64 = 0.5;

/// How the picture is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// The side shown.
    pub side: SideName,
    /// What of the wheel is a dot of the paper, mm.
    pub dot: f64,
}

/// The lines of a wheel's picture.
pub fn lines(job: &Job, section: &Section, look: Look) -> Vec<Line> {
    let look = Look { dot: look.dot.max(job.wheel.outside_diameter / MOST_DOTS), ..look };
    let stone = Stone::of(&job.wheel, section, (look.dot * SLACK, look.dot * PEN));
    let view = View { job, section, look, stone };
    view.lines()
}

struct View<'a> {
    job: &'a Job,
    section: &'a Section,
    look: Look,
    stone: Stone<'a>,
}

/// The grooves of a side, or of the face.
#[derive(Debug, Clone, Copy)]
enum Set<'a> {
    Side(SideGroove, &'a Pattern, f64),
    Face(FaceGroove, &'a Pattern),
}

impl Set<'_> {
    fn pattern(&self) -> &Pattern {
        match self {
            Set::Side(_, pattern, _) | Set::Face(_, pattern) => pattern,
        }
    }

    /// Width and the radius at which they lie nearest to each other, mm.
    fn narrow(&self) -> (f64, f64) {
        match self {
            Set::Side(groove, ..) => (2.0 * groove.half_width, groove.inner_u.hypot(groove.offset)),
            Set::Face(groove, _) => (2.0 * groove.half_width, groove.outside_radius),
        }
    }
}

impl View<'_> {
    fn lines(&self) -> Vec<Line> {
        let sets = self.sets();
        let is_wide = |set: &Set| set.narrow().0 > WIDE * self.look.dot;
        let count: u32 = sets.iter().map(|s| s.pattern().count()).sum();
        let whole = (count <= FEW && sets.iter().any(is_wide)).then(|| Solid::of(self.job, self.section).ok()).flatten();
        let pen = PEN * self.look.dot;
        let mut merged = Merged::new(pen, pen * SPECK);
        let rings = self.rings();
        let round: Vec<Chain> = rings.iter().map(|&(r, z)| edges::ring(r, z, self.look.dot)).collect();
        merged.all(self.seen(&round, true));
        merged.all(self.seen(&self.outlines(), true));
        let smooth: Vec<Chain> = self.smooth(&rings).iter().map(|&(r, z)| edges::ring(r, z, self.look.dot)).collect();
        merged.fine(self.seen(&smooth, true));
        match &whole {
            Some(solid) => {
                let is_ring = |c: &Chain| c.ring.is_some_and(|ring| rings.iter().any(|k| near(ring, *k, PITCH * self.look.dot)));
                let others: Vec<Chain> = edges::all(solid, self.look.dot).into_iter().filter(|c| !is_ring(c)).collect();
                merged.longest_first(self.seen(&others, true));
            }
            None => {
                for set in &sets {
                    self.set(set, is_wide(set), &mut merged);
                }
            }
        }
        merged.lines
    }

    fn sets(&self) -> Vec<Set<'_>> {
        let wheel = &self.job.wheel;
        let of_side = |side: SideName| {
            let set = wheel.side(side).grooves.as_ref()?;
            let first = direction(set, 1);
            Some(Set::Side(SideGroove::of(wheel, side)?, &set.pattern, first))
        };
        let sides = SideName::BOTH.into_iter().filter_map(of_side);
        let face = FaceGroove::of(wheel).zip(wheel.face.as_ref()).map(|(groove, face)| Set::Face(groove, &face.pattern));
        sides.chain(face).collect()
    }

    /// Whether a rounding is too small to show as such.
    fn is_small(&self, arc: &Arc) -> bool {
        arc.radius() * arc.sweep().abs() < 2.0 * PITCH * self.look.dot
    }

    fn roundings(&self) -> impl Iterator<Item = &Arc> {
        self.section.edges().filter_map(|(edge, _)| if let Edge::Arc(arc) = edge { Some(arc) } else { None })
    }

    /// Radius and z of the edges of the turned wheel that are far enough apart to be drawn, with small roundings as the edges they break: those of the
    /// side shown and the outermost first.
    fn rings(&self) -> Vec<(f64, f64)> {
        let solid = turned(self.job, self.section);
        let broken = self.roundings().filter(|arc| self.is_small(arc)).map(|arc| {
            let middle = arc.at(0.5);
            // where a bulging one's tangents meet, outside of the stone
            let beyond = if arc.turn() == Turn::Left { 1.0 / (arc.sweep().abs() / 2.0).min(FRAC_PI_4).cos() } else { 1.0 };
            let p = arc.centre() + (middle - arc.centre()) * beyond;
            (p.x, p.y)
        });
        self.apart(edges::all(&solid, self.look.dot).iter().filter_map(|c| c.ring).chain(broken).collect(), &[])
    }

    /// The same of where the other roundings begin and end.
    fn smooth(&self, sharp: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let ends = self.roundings().filter(|arc| !self.is_small(arc)).flat_map(|arc| [arc.start(), arc.end()]);
        self.apart(ends.map(|p| (p.x, p.y)).collect(), sharp)
    }

    /// Those that lie far enough from others and from each other.
    fn apart(&self, mut all: Vec<(f64, f64)>, others: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let depth = |z: f64| if self.look.side == SideName::A { z } else { self.job.wheel.thickness - z };
        all.sort_by(|a, b| b.0.total_cmp(&a.0).then(depth(a.1).total_cmp(&depth(b.1))));
        let mut kept: Vec<(f64, f64)> = Vec::new();
        for ring in all {
            if kept.iter().chain(others).all(|k| !near(ring, *k, PITCH * self.look.dot)) {
                kept.push(ring);
            }
        }
        kept
    }

    /// Where surfaces that bulge turn away from the reader.
    fn outlines(&self) -> Vec<Chain> {
        let mut out = Vec::new();
        for (edge, _) in self.section.edges().filter(|(edge, _)| revolved(edge).1) {
            match edge {
                Edge::Line(_) => out.extend(self.straight_outlines(edge)),
                Edge::Arc(arc) if !self.is_small(arc) => out.extend(self.round_outlines(arc)),
                Edge::Arc(_) => {}
            }
        }
        out
    }

    /// Of a cylinder or cone: the two lines on which its normal is square to the ray.
    fn straight_outlines(&self, edge: &Edge) -> Vec<Chain> {
        let w = self.to_reader();
        let Some(way) = edge.direction(0.0) else { return Vec::new() };
        // the normal is (way.y, −way.x) turned about the axis
        let cos = way.x * w.z / (way.y * SQRT_2);
        if !(-1.0..=1.0).contains(&cos) {
            return Vec::new();
        }
        let at = |turn: f64, p: Point| Vector::new(p.x * turn.cos(), p.x * turn.sin(), p.y);
        let turns = [-1.0, 1.0].map(|sign| w.y.atan2(w.x) + sign * cos.acos());
        turns.map(|turn| Chain { places: vec![at(turn, edge.start()), at(turn, edge.end())], ring: None }).into()
    }

    /// Of a torus: on each half-plane through the axis the place of the arc whose normal is square to the ray.
    fn round_outlines(&self, arc: &Arc) -> Vec<Chain> {
        let w = self.to_reader();
        let pieces = (TAU / edges::step(self.job.wheel.outside_radius(), self.look.dot)).ceil() as usize;
        let mut out = Vec::new();
        for half_turn in [0.0, PI] {
            let mut places = Vec::new();
            for i in 0..=pieces {
                let turn = TAU * i as f64 / pieces as f64;
                let across = w.x * turn.cos() + w.y * turn.sin();
                let tube = (-across / w.z).atan() + half_turn;
                if arc.sweeps(tube) {
                    // off the stone by what chords cut into it
                    let p = arc.centre() + Point::polar(arc.radius() + self.look.dot * SLACK, tube);
                    places.push(Vector::new(p.x * turn.cos(), p.x * turn.sin(), p.y));
                } else {
                    out.push(std::mem::take(&mut places));
                }
            }
            out.push(places);
        }
        out.into_iter().filter(|places| places.len() > 1).map(|places| Chain { places, ring: None }).collect()
    }

    /// Adds the lines of grooves that lie alike.
    fn set(&self, set: &Set, is_wide: bool, merged: &mut Merged) {
        let pattern = set.pattern();
        let pitch = TAU * set.narrow().1 * FORESHORTENED / f64::from(pattern.places);
        let step = (PITCH * self.look.dot / pitch).ceil().max(1.0) as usize;
        let alone = if is_wide { self.alone(set) } else { None };
        let (chains, from) = alone.unwrap_or_else(|| (self.middle(set), 1));
        for k in pattern.cut().step_by(step) {
            // in the order's sense, which is clockwise about z
            let by = -(pattern.angle_deg(k) - pattern.angle_deg(from)).to_radians();
            let turned: Vec<Chain> = chains.iter().map(|c| c.turned(by)).collect();
            let seen = self.seen(&turned, is_wide);
            if is_wide {
                merged.longest_first(seen);
            } else {
                merged.fine(seen);
            }
        }
    }

    /// Edges of one groove, from the boundary of a wheel that has no others but those beside it, and its place; `None` where that cannot be made.
    fn alone(&self, set: &Set) -> Option<(Vec<Chain>, u32)> {
        let mut job = self.job.clone();
        let is_crowded = match set {
            Set::Side(groove, ..) => Grooves::of(&self.job.wheel, self.section).neighbours_meet(groove.side),
            Set::Face(..) => false,
        };
        let cut: Vec<u32> = set.pattern().cut().take(if is_crowded { 3 } else { 1 }).collect();
        let one = cut[cut.len() / 2];
        let kept = |pattern: &Pattern| Pattern { omit: (1..=pattern.places).filter(|k| !cut.contains(k)).collect(), ..pattern.clone() };
        for side in SideName::BOTH {
            let is_it = matches!(set, Set::Side(groove, ..) if groove.side == side);
            let grooves = &mut job.wheel.side_mut(side).grooves;
            *grooves = grooves.take().filter(|_| is_it).map(|g| SideGrooves { pattern: kept(&g.pattern), ..g });
        }
        let face = job.wheel.face.take().filter(|_| matches!(set, Set::Face(..)));
        job.wheel.face = face.map(|f| FaceGrooves { pattern: kept(&f.pattern), ..f });
        let solid = Solid::of(&job, self.section).ok()?;
        Some((edges::of_grooves(&solid, self.look.dot), one))
    }

    /// The line along the middle of the groove at place 1, on the turned surface, and down to its floor where it runs out.
    fn middle(&self, set: &Set) -> Vec<Chain> {
        let thickness = self.job.wheel.thickness;
        let chain = |places: Vec<Vector>| Chain { places, ring: None };
        match set {
            Set::Side(groove, _, first) => {
                let (frame, profile) = (Frame::new(*first), self.section.profile(groove.side));
                let z = |depth: f64| if groove.side == SideName::A { depth } else { thickness - depth };
                let outer = groove.outer_u.unwrap_or(((groove.outside_radius - groove.offset) * (groove.outside_radius + groove.offset)).max(0.0).sqrt());
                let place = |u: f64, depth: f64| {
                    let p = frame.plan(u, groove.offset);
                    Vector::new(p.x, p.y, z(depth))
                };
                let lifted = self.look.dot * SLACK;
                let surface = |u: f64| profile.depth_at(u.hypot(groove.offset).min(groove.outside_radius)) - lifted;
                let bends = profile.spans().iter().map(|s| ((s.inner - groove.offset) * (s.inner + groove.offset)).max(0.0).sqrt());
                let pieces = ((outer - groove.inner_u) / (LOOKED_AT * self.look.dot)).ceil().max(1.0) as usize;
                let even = (0..=pieces).map(|i| groove.inner_u + (outer - groove.inner_u) * i as f64 / pieces as f64);
                let mut at: Vec<f64> = bends.filter(|u| (groove.inner_u..outer).contains(u)).chain(even).collect();
                at.sort_by(f64::total_cmp);
                let over: Vec<Vector> = at.into_iter().filter(|&u| surface(u) <= groove.floor.depth(u)).map(|u| place(u, surface(u))).collect();
                let mut out = vec![chain(over)];
                if groove.outer_u.is_none() {
                    out.push(chain(vec![place(outer, surface(outer)), place(outer, groove.floor.depth(outer))]));
                }
                out.retain(|c| c.places.len() > 1);
                out
            }
            Set::Face(groove, pattern) => {
                let rim = |side: SideName| self.section.profile(side).end().y;
                let first = pattern.start_deg.to_radians();
                let place = |u: f64, z: f64| {
                    let p = Frame::new(first + groove.twist * z).plan(u, 0.0);
                    Vector::new(p.x, p.y, z)
                };
                let (from, to) = (rim(SideName::A), thickness - rim(SideName::B));
                let pieces = ((groove.twist * (to - from)).abs() / edges::step(groove.outside_radius, self.look.dot)).ceil().max(1.0) as usize;
                let across = (0..=pieces).map(|i| place(groove.outside_radius, from + (to - from) * i as f64 / pieces as f64));
                let depth = |r: f64| self.section.profile(self.look.side).depth_at(r);
                let near = |r: f64| if self.look.side == SideName::A { depth(r) } else { thickness - depth(r) };
                let inward = [groove.outside_radius, groove.floor_u].map(|r| place(r, near(r)));
                vec![chain(across.collect()), chain(inward.to_vec())]
            }
        }
    }

    /// Direction to the reader, of length √3.
    fn to_reader(&self) -> Vector {
        if self.look.side == SideName::A { Vector::new(1.0, -1.0, -1.0) } else { Vector::new(-1.0, -1.0, 1.0) }
    }

    /// Where a place is seen in the picture.
    fn projected(&self, p: Vector) -> Point {
        let (x, depth) = if self.look.side == SideName::A { (p.x, p.z) } else { (-p.x, self.job.wheel.thickness - p.z) };
        let cos = 3.0_f64.sqrt() / 2.0;
        Point::new((x + depth) * cos, -p.y + (depth - x) / 2.0)
    }

    /// Whether nothing stands between a place and the reader.
    fn is_seen(&self, p: Vector) -> bool {
        let w = self.to_reader();
        let depth = if self.look.side == SideName::A { p.z } else { self.job.wheel.thickness - p.z };
        let steps = (depth / self.look.dot).floor().max(0.0) as usize;
        let rays = [FIRST].into_iter().chain((1..=steps).map(|i| i as f64)).map(|dots| dots * self.look.dot);
        rays.filter(|t| *t < depth).all(|t| !self.stone.is_at(p + w * t))
    }

    /// What is seen of chains; where they must be on the boundary, what other grooves took of them is not.
    fn seen<'c>(&self, chains: impl IntoIterator<Item = &'c Chain>, is_boundary: bool) -> Vec<Vec<Point>> {
        let within = self.look.dot * SLACK;
        let is_shown = |p: Vector| !(is_boundary && self.stone.is_taken(p, within)) && self.is_seen(p);
        let parts = |c: &'c Chain| c.parts(self.look.dot * LOOKED_AT, HALVINGS, &is_shown);
        chains.into_iter().flat_map(parts).map(|places| places.into_iter().map(|p| self.projected(p)).collect()).collect()
    }
}

fn near(a: (f64, f64), b: (f64, f64), distance: f64) -> bool {
    (a.0 - b.0).abs() + (a.1 - b.1).abs() < distance
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::ShopRules;
    use serde_json::{Value, json};

    /// The lines of a picture from side A in dots of half a millimetre.
    fn picture(wheel: Value) -> Vec<Line> {
        let order = json!({"order": {"number": "P", "revision": "A"}, "units": "mm", "wheel": wheel}).to_string();
        let job = ShopRules::built_in().open(order.as_bytes()).unwrap();
        let section = Section::of(&job.wheel).unwrap();
        lines(&job, &section, Look { side: SideName::A, dot: 0.5 })
    }

    fn long(line: &Line) -> f64 {
        line.places.windows(2).map(|w| (w[1] - w[0]).length()).sum()
    }

    /// Of a plain wheel are seen the near rim, the half of the far rim beyond the outline, both outlines, the near end of the bore, and what it shows of
    /// the far end. A circle is drawn as an ellipse with half axes r√(3/2) and r/√2 (ISO 5456-3, not foreshortened).
    #[test]
    fn a_plain_wheel_hides_half_of_its_far_rim() {
        let found = picture(json!({"outside_diameter": 200, "thickness": 20, "bore": 100}));
        // the ellipse's length by Ramanujan's second formula
        let round = |r: f64| {
            let (a, b) = (r * 1.5_f64.sqrt(), r / 2.0_f64.sqrt());
            let h = ((a - b) / (a + b)).powi(2);
            PI * (a + b) * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()))
        };
        let far = Point::new(20.0 * 3.0_f64.sqrt() / 2.0, 10.0);
        // of an ellipse about a centre every place has this radius when it is laid flat again
        let flat = |p: Point| {
            let x = p.x * 2.0 / 3.0_f64.sqrt();
            Point::new(x, p.y + x / 2.0).length()
        };
        let on = |centre: Point, r: f64| -> f64 {
            found.iter().filter(|l| l.places.iter().all(|&p| (flat(p - centre) - r).abs() < 0.1)).map(long).sum()
        };
        let [near_rim, far_rim] = [Point::ORIGIN, far].map(|c| on(c, 100.0));
        let [near_bore, far_bore] = [Point::ORIGIN, far].map(|c| on(c, 50.0));
        assert!((near_rim - round(100.0)).abs() < 1.0, "{near_rim}");
        // a little more than half: what stone hides by less than a fifth of a dot is seen
        assert!((far_rim - round(100.0) / 2.0).abs() < 10.0, "{far_rim}");
        assert!((near_bore - round(50.0)).abs() < 1.0, "{near_bore}");
        assert!(far_bore > 0.3 * near_bore && far_bore < 0.5 * near_bore, "{far_bore}");
        let all: f64 = found.iter().map(long).sum();
        assert!((all - near_rim - far_rim - near_bore - far_bore - 40.0).abs() < 1.0, "two outlines of the thickness");
    }

    /// A groove is drawn the same whether its wheel's boundary is taken whole or one groove of it is turned.
    #[test]
    fn turned_grooves_are_those_of_the_whole_boundary() {
        let wheel = |count: u32| {
            json!({"outside_diameter": 400, "thickness": 30, "bore": 100, "side_a": {"grooves": {"count": count, "width": 6, "depth": 8, "inner_diameter": 300}}})
        };
        let (few, many) = (picture(wheel(12)), picture(wheel(60)));
        let straight = |lines: &[Line]| -> Vec<[Point; 2]> {
            lines.iter().filter(|l| l.places.len() == 2 && long(l) > 5.0).map(|l| [l.places[0], l.places[1]]).collect()
        };
        let (few, many) = (straight(&few), straight(&many));
        let is_same = |a: &[Point; 2], b: &[Point; 2]| {
            let ends = |i: usize, j: usize| (a[i] - b[j]).length();
            (ends(0, 0) + ends(1, 1)).min(ends(0, 1) + ends(1, 0)) < 1.0
        };
        let missing = few.iter().filter(|line| many.iter().all(|other| !is_same(line, other))).count();
        assert!(few.len() > 24 && missing * 20 <= few.len(), "{missing} of {}", few.len());
    }

    #[test]
    fn a_groove_narrower_than_a_pen_is_one_line() {
        let found = picture(json!({"outside_diameter": 400, "thickness": 30, "bore": 100, "side_a": {"grooves": {"count": 36, "width": 1, "depth": 0.4, "inner_diameter": 300}}}));
        assert_eq!(found.iter().filter(|l| l.is_fine).count(), 36);
        assert!(found.iter().filter(|l| !l.is_fine).count() <= 8);
    }
}
