//! Where the floor of a groove meets the turned side.
//!
//! The curve is followed from place to place: from each, the next lies on a small circle about it where the floor changes from below the side's
//! surface to above it. What is kept is exact: at every share of the way the place is found anew as the root across the chord.

use super::plan::{Course, Frame};
use crate::geometry::{Point, roots};
use crate::groove::SideGroove;
use crate::section::Span;
use crate::tolerance::{NO_PIECE, SAME_LENGTH};
use crate::wheel::InnerEnd;
use std::f64::consts::PI;

/// Directions that are looked at around a place.
const LOOKS: usize = 48;
/// Half of the angle that is looked at ahead, radians.
const AHEAD: f64 = 2.0;
/// Most steps along one curve.
const STEPS: usize = 20_000;
/// Share of a step within which a curve is first looked for about where it should be, and how many times twice as far.
const NARROW: f64 = 0.001;
const WIDER: usize = 14;
/// Share of the way between the two nearest places that a step is long at most.
const SHORTEST: f64 = 0.4;
/// Share of a step by which a curve may miss a place that it is taken to come to.
const NEAR: f64 = 1.01;

/// The floor of one groove over one span of the turned side.
#[derive(Debug, Clone, Copy)]
pub struct Meeting {
    /// The groove.
    pub groove: SideGroove,
    /// Its frame.
    pub frame: Frame,
    /// The span.
    pub span: Span,
}

impl Meeting {
    /// By how much the floor lies deeper than the surface at a place, mm, whether or not either reaches there.
    pub fn below(&self, p: Point) -> f64 {
        floor_depth(&self.groove, &self.frame, p) - turned_depth(&self.span, p)
    }

    /// Whether a place lies in the groove's plan and the span.
    fn holds(&self, p: Point) -> bool {
        let (u, v) = self.frame.local(p);
        let r = p.length();
        let across = v - self.groove.offset;
        across.abs() < self.groove.half_width + NO_PIECE
            && u > begins(&self.groove, across) - NO_PIECE
            && self.groove.outer_u.is_none_or(|outer| u < outer + NO_PIECE)
            && r > self.span.inner - NO_PIECE
            && r < self.span.outer + NO_PIECE
    }

    /// Places on the circle about `p` where the floor crosses the surface, within `half` of a direction.
    fn around(&self, p: Point, radius: f64, direction: f64, half: f64) -> Vec<Point> {
        let at = |angle: f64| p + Point::polar(radius, direction + angle);
        roots::scan(-half, half, LOOKS, |a| self.below(at(a))).into_iter().map(at).collect()
    }

    /// The curves between these places, which all lie on it, each once; `step` is small against the groove and the span. `None` where one is lost.
    pub fn curves(&self, places: &[(usize, Point)], step: f64) -> Option<Vec<Contact>> {
        let mut found: Vec<Contact> = Vec::new();
        let apart = places.iter().enumerate().flat_map(|(i, p)| places[i + 1..].iter().map(move |q| p.1.distance(q.1)));
        let step = apart.fold(step, |least, d| least.min(d * SHORTEST));
        for &(start, from) in places {
            for next in self.around(from, step, 0.0, PI) {
                let known = |c: &Contact| c.ends.contains(&start) && c.passes(next, step);
                if !self.holds(next) || found.iter().any(known) {
                    continue;
                }
                found.push(self.followed((start, from), next, places, step)?);
            }
        }
        Some(found)
    }

    fn followed(&self, start: (usize, Point), next: Point, places: &[(usize, Point)], step: f64) -> Option<Contact> {
        let (mut before, mut at) = (start.1, next);
        let mut way = vec![start.1];
        // a place within the first step
        let near = |before: Point, at: Point, way: usize| {
            let along = at - before;
            let on = |p: Point| {
                let share = (p - before).dot(along) / along.dot(along);
                let off = p.distance(before + along * share);
                share > 0.0 && share <= NEAR && off < step / 4.0
            };
            let others = places.iter().filter(|(i, p)| (*i != start.0 || way > 2) && p.distance(before) > SAME_LENGTH);
            others.filter(|(_, p)| on(*p)).min_by(|a, b| a.1.distance(before).total_cmp(&b.1.distance(before))).copied()
        };
        for _ in 0..STEPS {
            if let Some((end, p)) = near(before, at, way.len()) {
                way.push(p);
                return Contact::of(*self, [start.0, end], way);
            }
            way.push(at);
            let ahead = (at - before).angle();
            let next = self.around(at, step, ahead, AHEAD).into_iter().filter(|&p| self.holds(p));
            let turned = |p: &Point| {
                let turn = ((*p - at).angle() - ahead).rem_euclid(2.0 * PI);
                turn.min(2.0 * PI - turn)
            };
            let Some(next) = next.min_by(|a, b| turned(a).total_cmp(&turned(b))) else {
                // it leaves the groove or the span within this step: at the place that is nearest
                let others = places.iter().filter(|(i, _)| *i != start.0 || way.len() > 2);
                let away = |p: &Point| p.distance(at);
                let &(end, p) = others.min_by(|a, b| away(&a.1).total_cmp(&away(&b.1)))?;
                way.push(p);
                return if away(&p) < NEAR * step { Contact::of(*self, [start.0, end], way) } else { None };
            };
            (before, at) = (at, next);
        }
        None
    }
}

/// Depth of a groove's floor at a place of the plan, mm. A place on a wall is on it whatever rounding says: a round bottom is upright there.
pub fn floor_depth(groove: &SideGroove, frame: &Frame, p: Point) -> f64 {
    let (u, v) = frame.local(p);
    let across = v - groove.offset;
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
    meeting: Meeting,
    /// Where it begins and ends, by index.
    pub ends: [usize; 2],
    from: Point,
    to: Point,
    /// How far it lies to the left of its chord at shares of the chord that rise from 0 to 1, mm.
    aside: Vec<(f64, f64)>,
}

impl Contact {
    fn of(meeting: Meeting, ends: [usize; 2], way: Vec<Point>) -> Option<Contact> {
        let (from, to) = (way[0], way[way.len() - 1]);
        let along = to - from;
        let length = along.length();
        let unit = along.unit()?;
        let aside = way.iter().map(|&p| ((p - from).dot(unit) / length, unit.cross(p - from)));
        let mut aside: Vec<(f64, f64)> = aside.collect();
        if let Some(last) = aside.last_mut() {
            last.0 = 1.0;
        }
        // it must not turn back on its chord
        aside.windows(2).all(|w| w[1].0 > w[0].0).then_some(Contact { meeting, ends, from, to, aside })
    }

    fn guess(&self, t: f64) -> (f64, f64) {
        let i = self.aside.partition_point(|a| a.0 <= t).clamp(1, self.aside.len() - 1);
        let (a, b) = (self.aside[i - 1], self.aside[i]);
        let share = (t - a.0) / (b.0 - a.0);
        let steepness = (b.1 - a.1).abs() + (b.0 - a.0) * self.from.distance(self.to);
        (a.1 + (b.1 - a.1) * share, steepness)
    }

    fn passes(&self, p: Point, step: f64) -> bool {
        let along = self.to - self.from;
        let t = (p - self.from).dot(along) / along.dot(along);
        (0.0..=1.0).contains(&t) && self.at(t).distance(p) < step / 4.0
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
        let along = self.to - self.from;
        let Some(unit) = along.unit() else { return self.from };
        let on = self.from + along * t;
        let (guess, slack) = self.guess(t);
        let below = |aside: f64| self.meeting.below(on + unit.left() * aside);
        let mut width = slack * NARROW;
        for _ in 0..WIDER {
            if let Some(aside) = roots::between(guess - width, guess + width, below) {
                return on + unit.left() * aside;
            }
            width *= 2.0;
        }
        on + unit.left() * guess
    }
}
