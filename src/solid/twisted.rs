//! Grooves of the face that run on a helix, in the plan of a side: their outline lies elsewhere on each depth, so that on a side's groove it is another than
//! on the turned surface beside it, and a wall between the two is cut by what lies between the two outlines.

use super::contact::turned_depth;
use super::helix::{Element, Helicoid, Winding};
use super::plan::{Course, Frame, Net, Path, PlanEdge, Trace};
use super::relief::Relief;
use crate::geometry::{Point, roots};
use crate::section::Span;
use crate::tolerance::{NO_PIECE, SAME_LENGTH};
use crate::wheel::{SideName, Wheel};
use std::rc::Rc;

/// Steps of the scan along a line for places where a part of an outline comes to it.
const STEPS: usize = 16;
/// The part of an outline that is the second half of its bottom; the first has the bottom's own number.
const SECOND_HALF: usize = 3;

/// An element where it meets a span of the turned side: the depth there turns it.
#[derive(Debug)]
pub struct Twisted {
    /// The element.
    pub element: Element,
    /// Its frame where the depth is 0.
    pub frame: Frame,
    /// Turn of the frame for each mm of depth, radians.
    pub twist: f64,
    /// The span.
    pub span: Span,
    /// Shares of the element at which it begins and ends.
    pub ends: [f64; 2],
}

impl Course for Twisted {
    fn at(&self, t: f64) -> Point {
        let (u, v) = self.element.at(self.ends[0] + (self.ends[1] - self.ends[0]) * t);
        let depth = turned_depth(&self.span, Point::new(u, v));
        self.frame.rotated(self.twist * depth).plan(u, v)
    }
}

/// The element that a part of an outline belongs to.
pub fn element_of(part: usize) -> usize {
    if part == SECOND_HALF { 1 } else { part }
}

/// Whether grooves of the face run on a helix where sides are cut too.
pub fn winds(wheel: &Wheel) -> bool {
    let is_cut = |side: SideName| wheel.side(side).grooves.is_some() || !wheel.side(side).recess.is_empty();
    wheel.face.as_ref().is_some_and(|f| f.twist(1.0, wheel.outside_radius()) != 0.0) && SideName::BOTH.into_iter().any(is_cut)
}

impl Relief<'_> {
    /// Whether grooves of the face run on a helix where sides are cut too.
    pub(super) fn winds(&self) -> bool {
        winds(self.wheel)
    }

    /// The parts of the outline of a groove of the face in their order, z being the depth.
    pub(super) fn windings(&self, j: usize) -> Vec<Winding> {
        let (groove, frame) = &self.faces[j];
        let part = |(i, element): (usize, Element)| {
            let surface = Helicoid { element, frame: *frame, twist: self.twist(), reach: [0.0, self.wheel.thickness] };
            let halves = if self.winds() && i == 1 { vec![(1, [0.0, 0.5]), (SECOND_HALF, [0.5, 1.0])] } else { vec![(i, [0.0, 1.0])] };
            halves.into_iter().map(move |(part, ends)| Winding { part, surface, ends })
        };
        Element::of(groove).into_iter().flat_map(part).collect()
    }

    /// Adds the outline on the turned side, parted at the rings, which are cut there: the curves, and the piece of a part that each is.
    pub(super) fn helical_outline(&self, net: &mut Net, rings: &[usize], j: usize) -> Vec<(usize, Winding)> {
        let mut out = Vec::new();
        for winding in self.windings(j) {
            let (element, [from, to]) = (winding.surface.element, winding.ends);
            let at = self.rings.iter().flat_map(|(r, _)| element.shares_at(*r));
            let mut shares: Vec<f64> = at.filter(|t| (from + NO_PIECE..to - NO_PIECE).contains(t)).chain([from, to]).collect();
            shares.sort_by(f64::total_cmp);
            for ends in shares.windows(2).map(|w| [w[0], w[1]]) {
                let (u, v) = element.at((ends[0] + ends[1]) / 2.0);
                let span = self.span_at(u.hypot(v));
                let course = Twisted { element, frame: winding.surface.frame, twist: self.twist(), span: self.spans[span].0, ends };
                let (start, end) = (course.at(0.0), course.at(1.0));
                for (ring, (r, _)) in rings.iter().zip(&self.rings) {
                    let on = [start, end].into_iter().filter(|p| (p.length() - r).abs() < SAME_LENGTH);
                    on.for_each(|p| net.cut(*ring, p));
                }
                let is_level = self.spans[span].1.start().y == self.spans[span].1.end().y;
                let path = if is_level && matches!(element, Element::Line(..)) { Path::Line(start, end) } else { Path::Contact(Rc::new(course)) };
                out.push((net.add(path, Trace::Face(j, winding.part)), Winding { ends, ..winding }));
            }
        }
        out
    }

    /// Cuts the lines of a side's groove where a groove of the face passes through them, at the turned surface, at the floor and where two parts of
    /// its outline meet between; notes where the outline on the floor ends.
    pub(super) fn wind(&mut self, net: &mut Net, (k, lines): (usize, &[usize]), (j, wound): (usize, &[(usize, Winding)]), rings: &[usize]) {
        for &line in lines {
            let (path, trace) = net.curve(line);
            if matches!(trace, Trace::Wall(..)) {
                self.bridge_over(net, line, wound);
                self.corners_on(net, k, (line, &path), j);
            }
            for (_, winding) in wound {
                for p in through(&path, winding, |p| self.placed(k).depth(p)) {
                    net.cut(line, p);
                    self.note([k, j, winding.part], p, net);
                }
            }
        }
        for (_, winding) in wound {
            for t in winding.ends {
                for p in self.on_floor(k, winding, t) {
                    let ring = rings.iter().zip(&self.rings).find(|(_, (r, _))| (p.length() - r).abs() < SAME_LENGTH);
                    if let Some((&ring, _)) = ring {
                        net.cut(ring, p);
                    }
                    self.note([k, j, winding.part], p, net);
                }
            }
        }
    }

    fn note(&mut self, on: [usize; 3], p: Point, net: &mut Net) {
        let place = net.places.index(p);
        let known = self.ends_on_floors.entry(on).or_default();
        if !known.contains(&place) {
            known.push(place);
        }
    }

    /// Cuts a line and the outline of a groove of the face on the turned side where they meet there.
    pub(super) fn bridge_over(&self, net: &mut Net, line: usize, wound: &[(usize, Winding)]) {
        let (path, _) = net.curve(line);
        for (curve, winding) in wound {
            let [low, high] = winding.radii();
            let span = self.spans[self.span_at((low + high) / 2.0)].0;
            for p in through(&path, winding, |p| turned_depth(&span, p)) {
                let Some((t, _)) = winding.over(p) else { continue };
                net.cut(line, p);
                net.cut_at(*curve, (t - winding.ends[0]) / (winding.ends[1] - winding.ends[0]), p);
            }
        }
    }

    /// Cuts a wall where the edge between two parts of an outline passes through it.
    fn corners_on(&self, net: &mut Net, k: usize, (line, path): (usize, &Path), j: usize) {
        for winding in self.windings(j) {
            for radius in winding.radii() {
                for t in roots::scan(0.0, 1.0, STEPS, |t| path.at(t).length() - radius) {
                    let p = path.at(t);
                    let Some((_, depth)) = winding.over(p) else { continue };
                    let surface = turned_depth(&self.spans[self.span_at(radius)].0, p);
                    if depth > surface + SAME_LENGTH && depth < self.placed(k).depth(p) - SAME_LENGTH {
                        net.cut(line, p);
                    }
                }
            }
        }
    }

    /// Places on the floor of a side's groove to which a share of an outline comes.
    fn on_floor(&self, k: usize, winding: &Winding, t: f64) -> Vec<Point> {
        let floor = self.placed(k);
        let at = |depth: f64| winding.place(t, depth);
        let found = roots::scan(-SAME_LENGTH, self.wheel.thickness, 2 * STEPS, |depth| floor.depth(at(depth)) - depth);
        found.into_iter().map(at).filter(|&p| self.is_in_groove(p, k)).collect()
    }

    /// Whether the floor of a groove is what is cut deepest at a place.
    pub(super) fn is_floor_at(&self, k: usize, p: Point) -> bool {
        let depth = self.placed(k).depth(p);
        let is_deeper = |&j: &usize| self.is_in_groove(p, j) && self.placed(j).depth(p) > depth + SAME_LENGTH;
        depth > turned_depth(&self.spans[self.span_at(p.length())].0, p) + SAME_LENGTH && !self.neighbours[k].iter().any(is_deeper)
    }

    /// Whether an edge of the plan on the turned side is not one of an outline where a groove has taken that side away.
    pub(super) fn is_in_sight(&self, edge: &PlanEdge) -> bool {
        let Trace::Face(j, _) = edge.trace else { return true };
        let p = edge.path.at(0.5);
        let surface = turned_depth(&self.spans[self.span_at(p.length())].0, p);
        let is_gone = |k: usize| self.is_in_groove(p, k) && self.placed(k).depth(p) > surface + SAME_LENGTH;
        !(0..self.grooves.len()).any(|k| self.crossed[k].contains(&j) && is_gone(k))
    }

    /// The surface over the element of a part of the outline of a face groove that runs on a helix; `None` of straight ones.
    pub(super) fn helicoid(&self, j: usize, i: usize) -> Option<Helicoid> {
        let (g, frame) = self.faces.get(j).filter(|(g, _)| g.twist != 0.0)?;
        let element = Element::of(g).into_iter().find(|(of, _)| *of == element_of(i))?.1;
        let to_datum = if self.side == SideName::A { 0.0 } else { -g.twist * self.wheel.thickness };
        Some(Helicoid { element, frame: frame.rotated(to_datum), twist: g.twist, reach: [0.0, self.wheel.thickness] })
    }

}

/// Places of a line at which a part of an outline comes to a surface of this depth.
fn through(path: &Path, winding: &Winding, depth: impl Fn(Point) -> f64) -> Vec<Point> {
    let [a, b] = winding.radii();
    let (low, high) = (a.min(b), a.max(b));
    let ends = [low, high].into_iter().flat_map(|r| roots::scan(0.0, 1.0, STEPS, |t| path.at(t).length() - r));
    let mut shares: Vec<f64> = ends.chain([0.0, 1.0]).collect();
    shares.sort_by(f64::total_cmp);
    let is_within = |w: &&[f64]| (low..high).contains(&path.at((w[0] + w[1]) / 2.0).length()) && w[1] - w[0] > NO_PIECE;
    let beyond = |t: f64| {
        let p = path.at(t);
        winding.over(p).map_or(f64::NAN, |(_, at)| at - depth(p))
    };
    shares.windows(2).filter(is_within).flat_map(|w| roots::scan(w[0], w[1], STEPS, beyond)).map(|t| path.at(t)).collect()
}
