//! Where the floor of a groove meets the turned side, or the floor of another groove.
//!
//! Each curve is walked from a place where it crosses an edge of the plan to the next, on both surfaces at once, with steps as long as its turning
//! allows. What is kept is exact: at every share of the way the place is found anew on both.

use super::plan::{Course, Frame, Places};
use super::bottom::Piece;
use super::helix::Winding;
use super::{Surface, Vector, bottom, follow, turned};
use crate::geometry::{Edge, Point};
use crate::groove::SideGroove;
use crate::section::Span;
use crate::tolerance::{NO_PIECE, SAME_LENGTH};
use crate::wheel::{Bottom, InnerEnd, SideName};
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

/// Most steps along one curve.
const STEPS: usize = 4000;
/// Most turning within one step, and of one curve before it is parted, radians.
const STEP_TURN: f64 = 0.2;
const MOST_TURN: f64 = 1.0;
/// How many times a first step is shortened to a quarter to find whether a curve runs into the plan of the groove at all.
const SHORTER: usize = 6;
/// How far a place may lie off a curve that comes to it, mm.
const COMES_TO: f64 = 10.0 * SAME_LENGTH;
/// By how much floor and side may lie apart at a place of the curve, mm: rounding where both stand upright, far less than where the other half of a
/// tube or torus lies.
const TRUE_HALF: f64 = 100.0 * SAME_LENGTH;

/// A groove of a side where it lies.
#[derive(Debug, Clone, Copy)]
pub struct Placed<'a> {
    /// The groove.
    pub groove: &'a SideGroove,
    /// Its frame.
    pub frame: &'a Frame,
}

/// What the floor of a groove meets.
#[derive(Debug, Clone, Copy)]
pub enum Over<'a> {
    /// A span of the turned side, and its edge in the plane of radius and depth.
    Turned(&'a Span, &'a Edge),
    /// Another groove.
    Groove(Placed<'a>),
    /// A part of the outline of a groove of the face that runs on a helix, where it comes to the floor itself.
    Helix(&'a Winding, Placed<'a>),
}

/// The floor of one groove over what it meets.
#[derive(Debug, Clone, Copy)]
pub struct Meeting<'a> {
    /// The groove.
    pub floor: Placed<'a>,
    /// The other surface.
    pub over: Over<'a>,
}

impl Placed<'_> {
    /// Depth of its floor, mm.
    pub fn depth(&self, p: Point) -> f64 {
        floor_depth(self.groove, self.frame, p)
    }

    fn pieces(&self) -> Vec<Piece> {
        let risen = self.groove.floor.rise.is_some_and(|rise| rise.tangent_u > self.groove.inner_u);
        let is_vee = matches!(self.groove.bottom, Bottom::Vee { .. });
        let all = [(false, false), (true, false), (false, true), (true, true)];
        let kept = all.into_iter().filter(|(is_risen, is_upper)| (!is_risen || risen) && (!is_upper || is_vee));
        kept.map(|(is_risen, is_upper)| Piece { is_risen, is_upper }).collect()
    }

    /// Whether a place lies in the plan of a piece of the groove's bottom.
    fn holds(&self, p: Point, piece: Piece) -> bool {
        let g = self.groove;
        let (u, v) = self.frame.local(p);
        let across = v - g.offset;
        let is_beside = match g.bottom {
            Bottom::Vee { .. } if piece.is_upper => across > -NO_PIECE,
            Bottom::Vee { .. } => across < NO_PIECE,
            _ => true,
        };
        let is_on_rise = g.floor.rise.is_none_or(|rise| {
            if piece.is_risen { u < rise.tangent_u + NO_PIECE } else { u > rise.tangent_u - NO_PIECE }
        });
        is_beside
            && is_on_rise
            && across.abs() < g.half_width + NO_PIECE
            && u > begins(g, across) - NO_PIECE
            && g.outer_u.is_none_or(|outer| u < outer + NO_PIECE)
    }

    /// The surface of a piece of its bottom, z being the depth.
    fn surface(&self, piece: Piece) -> Surface {
        let in_depth = SideGroove { side: SideName::A, ..*self.groove };
        bottom::surface(&in_depth, self.frame, piece, 0.0).0
    }
}

impl Over<'_> {
    /// Its depth, mm, whether or not it reaches there.
    pub fn depth(&self, p: Point) -> f64 {
        match self {
            Over::Turned(span, _) => turned_depth(span, p),
            Over::Groove(other) | Over::Helix(_, other) => other.depth(p),
        }
    }

    fn pieces(&self) -> Vec<Piece> {
        match self {
            Over::Turned(..) | Over::Helix(..) => vec![Piece::default()],
            Over::Groove(other) => other.pieces(),
        }
    }

    fn holds(&self, p: Point, piece: Piece) -> bool {
        match self {
            Over::Turned(span, _) => {
                let r = p.length();
                r > span.inner - NO_PIECE && r < span.outer + NO_PIECE
            }
            Over::Groove(other) => other.holds(p, piece),
            Over::Helix(winding, floor) => winding.reaches(p, floor.depth(p)),
        }
    }

    fn surface(&self, piece: Piece) -> Surface {
        match self {
            Over::Turned(_, edge) => turned::revolved(edge).0,
            Over::Groove(other) => other.surface(piece),
            Over::Helix(winding, _) => Surface::Helical(winding.surface),
        }
    }

    /// Whether its plan has a place.
    pub fn reaches(&self, p: Point) -> bool {
        self.pieces().into_iter().any(|piece| self.holds(p, piece))
    }

    /// Its least extent, mm.
    fn extent(&self) -> f64 {
        match self {
            Over::Turned(span, _) => span.outer - span.inner,
            Over::Groove(other) | Over::Helix(_, other) => other.groove.half_width,
        }
    }
}

impl Meeting<'_> {
    /// By how much the floor lies deeper than the other surface at a place, or beyond the helix, mm, whether or not either reaches there.
    pub fn below(&self, p: Point) -> f64 {
        match self.over {
            Over::Helix(winding, floor) => winding.off(p, floor.depth(p)),
            _ => self.floor.depth(p) - self.over.depth(p),
        }
    }

    /// The curves between these places, which all lie on it, each once; a curve that turns far is parted at places of its own. `None` where one is lost.
    pub fn curves(&self, at: &[usize], places: &mut Places) -> Option<Vec<Contact>> {
        let mut found: Vec<Contact> = Vec::new();
        let known: Vec<(usize, Vector)> = at.iter().map(|&i| (i, self.raised(places.points[i]))).collect();
        let over = self.over.pieces();
        for pieces in self.floor.pieces().into_iter().flat_map(|piece| over.iter().map(move |&other| [piece, other])) {
            let surfaces = [self.floor.surface(pieces[0]), self.over.surface(pieces[1])];
            let walk = Walk { meeting: *self, pieces, surfaces, places: &known };
            for &(start, from) in &known {
                let is_on = walk.surfaces.iter().all(|surface| surface.off(from).0.abs() < COMES_TO);
                let Some(way) = follow::crossing(walk.both(), from, Vector::x()).filter(|_| is_on) else { continue };
                for way in [way, -way] {
                    let Some((step, next)) = walk.first_step(from, way) else { continue };
                    if found.iter().any(|c| c.passes(next)) {
                        continue;
                    }
                    let (end, knots) = walk.on((start, from), way, step)?;
                    found.extend(walk.parted([start, end], knots, places)?);
                }
            }
        }
        Some(found)
    }

    fn raised(&self, p: Point) -> Vector {
        Vector::new(p.x, p.y, self.over.depth(p))
    }
}

/// A walk along the curves of one piece of a groove's bottom on one of the other surface.
struct Walk<'a> {
    meeting: Meeting<'a>,
    pieces: [Piece; 2],
    surfaces: [Surface; 2],
    places: &'a [(usize, Vector)],
}

/// A place of a curve and its direction there.
type Knot = (Vector, Vector);

impl Walk<'_> {
    fn both(&self) -> [&Surface; 2] {
        self.surfaces.each_ref()
    }

    /// Whether a place is one of the groove's: a tube and a torus go on where walls or other spans stand.
    fn holds(&self, p: Vector) -> bool {
        let (depth, p) = (p.z, Point::new(p.x, p.y));
        let meeting = &self.meeting;
        meeting.floor.holds(p, self.pieces[0])
            && meeting.over.holds(p, self.pieces[1])
            && (meeting.floor.depth(p) - depth).abs() < TRUE_HALF
            && (meeting.over.depth(p) - depth).abs() < TRUE_HALF
    }

    /// The next place and direction a step on.
    fn step(&self, (p, way): Knot, step: f64) -> Option<Knot> {
        let next = follow::on_both(self.both(), p + way * step, way)?;
        let on = follow::crossing(self.both(), next, way)?;
        let turned = on.dot(&way).clamp(-1.0, 1.0).acos();
        ((next - p).norm() < 2.0 * step && turned < STEP_TURN).then_some((next, on))
    }

    /// The longest step that stays in the groove and the place it leads to; `None` where the way does not lead into it.
    fn first_step(&self, from: Vector, way: Vector) -> Option<(f64, Vector)> {
        let longest = self.meeting.floor.groove.half_width.min(self.meeting.over.extent());
        let steps = (0..SHORTER).map(|i| longest / 4.0_f64.powi(i as i32));
        let mut found = steps.into_iter().filter_map(|step| Some((step, self.step((from, way), step)?.0)));
        found.find(|(_, next)| self.holds(*next))
    }

    /// From a place on to the next: which it is, and the knots on the way, both ends included.
    fn on(&self, start: (usize, Vector), way: Vector, mut step: f64) -> Option<(usize, Vec<Knot>)> {
        let mut at = (start.1, way);
        let mut knots = vec![at];
        for _ in 0..STEPS {
            let Some(next) = self.step(at, step) else {
                step /= 2.0;
                continue;
            };
            let others = self.places.iter().filter(|p| p.0 != start.0 || knots.len() > 2);
            if let Some((end, place)) = self.passed(at, next, others) {
                let way = follow::crossing(self.both(), place, next.1).unwrap_or(next.1);
                knots.push((place, way));
                return Some((end, knots));
            }
            if self.holds(next.0) {
                knots.push(next);
                at = next;
                step *= 2.0;
            } else if step > COMES_TO {
                step /= 2.0;
            } else {
                return None;
            }
        }
        None
    }

    /// The first of these places that the curve comes to within a step.
    fn passed<'p>(&self, at: Knot, next: Knot, places: impl Iterator<Item = &'p (usize, Vector)>) -> Option<(usize, Vector)> {
        let reach = (next.0 - at.0).dot(&at.1) + COMES_TO;
        let ahead = places.map(|&(i, p)| ((p - at.0).dot(&at.1), i, p)).filter(|(along, ..)| *along > COMES_TO && *along <= reach);
        let on = ahead.filter(|&(along, _, p)| {
            let curve = follow::on_both(self.both(), at.0 + at.1 * along, at.1);
            curve.is_some_and(|c| (c - p).norm() < COMES_TO) || (next.0 - p).norm() < COMES_TO
        });
        on.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, i, p)| (i, p))
    }

    /// Curves of little turning each.
    fn parted(&self, ends: [usize; 2], knots: Vec<Knot>, places: &mut Places) -> Option<Vec<Contact>> {
        let mut out = Vec::new();
        let (mut first, mut begin) = (0, ends[0]);
        for i in 1..knots.len() {
            let is_last = i + 1 == knots.len();
            if !is_last && knots[i].1.dot(&knots[first].1) > MOST_TURN.cos() {
                continue;
            }
            let p = knots[i].0;
            let end = if is_last { ends[1] } else { places.index(Point::new(p.x, p.y)) };
            out.push(Contact::of(self.surfaces.clone(), [begin, end], &knots[first..=i])?);
            (first, begin) = (i, end);
        }
        Some(out)
    }
}

/// Depth of a groove's floor at a place of the plan, mm. A place on a wall is on it whatever rounding says: a round bottom is upright there.
pub fn floor_depth(groove: &SideGroove, frame: &Frame, p: Point) -> f64 {
    let (u, v) = frame.local(p);
    let across = v - groove.offset;
    // a run-out may be upright where it begins
    let u = if (u - groove.inner_u).abs() < NO_PIECE { groove.inner_u } else { u };
    let is_at_wall = (across.abs() - groove.half_width).abs() < NO_PIECE;
    if is_at_wall { groove.floor.depth(u) - groove.lift(groove.half_width) } else { groove.depth(u, v) }
}

/// Depth of the turned side at a place of the plan, mm; at an end of the span it is that of the end, where a fillet or a corner may be upright.
pub fn turned_depth(span: &Span, p: Point) -> f64 {
    let r = p.length();
    let ends = [span.inner, span.outer].into_iter().find(|end| (r - end).abs() < NO_PIECE);
    span.depth(ends.unwrap_or(r))
}

/// u at which the plan of a groove begins at a distance from its centre line.
pub fn begins(groove: &SideGroove, across: f64) -> f64 {
    let w = groove.half_width;
    match groove.inner_end {
        InnerEnd::Round => {
            let across = across.abs().min(w);
            groove.inner_u + w - ((w - across) * (w + across)).max(0.0).sqrt()
        }
        _ => groove.inner_u,
    }
}

/// One curve along which a floor meets the surface.
#[derive(Debug, Clone)]
pub struct Contact {
    surfaces: [Surface; 2],
    /// Where it begins and ends, by index.
    pub ends: [usize; 2],
    from: Point,
    to: Point,
    /// Places of it, by shares of the chord that rise from 0 to 1.
    knots: Vec<(f64, Vector)>,
    /// Places asked for before, by the share.
    known: RefCell<HashMap<u64, Point>>,
}

impl Contact {
    fn of(surfaces: [Surface; 2], ends: [usize; 2], knots: &[Knot]) -> Option<Contact> {
        let plan = |p: Vector| Point::new(p.x, p.y);
        let (first, last) = (knots.first()?, knots.last()?);
        let (from, to) = (plan(first.0), plan(last.0));
        let along = to - from;
        let share = |p: Vector| (plan(p) - from).dot(along) / along.dot(along);
        let knots: Vec<(f64, Vector)> = knots.iter().map(|k| (share(k.0), k.0)).collect();
        // it must not turn back on its chord
        let rises = knots.windows(2).all(|w| w[1].0 > w[0].0);
        rises.then_some(Contact { surfaces, ends, from, to, knots, known: RefCell::default() })
    }

    /// Whether it goes through a place.
    fn passes(&self, place: Vector) -> bool {
        let p = Point::new(place.x, place.y);
        let along = self.to - self.from;
        let t = (p - self.from).dot(along) / along.dot(along);
        (0.0..1.0).contains(&t) && Course::at(self, t).distance(p) < COMES_TO
    }
}

impl Course for Contact {
    fn at(&self, t: f64) -> Point {
        if t <= 0.0 {
            return self.from;
        }
        if t >= 1.0 {
            return self.to;
        }
        if let Some(&place) = self.known.borrow().get(&t.to_bits()) {
            return place;
        }
        let i = self.knots.partition_point(|k| k.0 <= t).clamp(1, self.knots.len() - 1);
        let (a, b) = (self.knots[i - 1], self.knots[i]);
        let guess = a.1 + (b.1 - a.1) * ((t - a.0) / (b.0 - a.0));
        let along = self.to - self.from;
        let place = follow::on_both(self.surfaces.each_ref(), guess, Vector::new(along.x, along.y, 0.0)).unwrap_or(guess);
        let place = Point::new(place.x, place.y);
        self.known.borrow_mut().insert(t.to_bits(), place);
        place
    }
}

/// The curve of one groove as another that lies alike has it.
#[derive(Debug)]
pub struct Alike {
    /// The curve.
    pub of: Rc<Contact>,
    /// Frame of its groove, and of the other.
    pub frames: [Frame; 2],
}

impl Course for Alike {
    fn at(&self, t: f64) -> Point {
        self.frames[0].turned(&self.frames[1], self.of.at(t))
    }
}
