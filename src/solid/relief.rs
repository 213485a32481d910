//! One side of the wheel as a relief: over every place of the plan one depth, cell by cell on one surface.

use super::SolidError;
use super::bottom::Piece;
use super::cells::Cell;
use super::contact::{Meeting, Over, Placed, begins, floor_depth, turned_depth};
use super::helix::Winding;
use super::plan::{Frame, Net, Path, PlanEdge, Trace};
use crate::geometry::{Edge, Point};
use crate::groove::{FaceGroove, Grooves, SideGroove, plan::direction};
use crate::section::{Feature, Section, Span};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Bottom, FaceBottom, InnerEnd, SideName, Wheel};
use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

/// One side.
#[derive(Debug)]
pub struct Relief<'a> {
    /// Which.
    pub side: SideName,
    /// Spans of the turned side and the edge and feature of each, from the bore outwards.
    pub spans: Vec<(Span, Edge, Feature)>,
    /// Radii between the spans, the bore's and the outside radius at the ends, each with what makes a wall there.
    pub rings: Vec<(f64, Option<Feature>)>,
    /// Grooves of the side.
    pub grooves: Vec<(SideGroove, Frame)>,
    /// Grooves of the face.
    pub faces: Vec<(FaceGroove, Frame)>,
    pub(super) wheel: &'a Wheel,
    /// Of each groove, those that may run into it.
    pub neighbours: Vec<Vec<usize>>,
    /// Of each groove, the grooves of the face that may run into it.
    pub(super) crossed: Vec<Vec<usize>>,
    /// Places on a groove's floor where parts of the outline of a face groove on a helix end or meet what bounds the floor, by groove, face groove and part.
    pub(super) ends_on_floors: BTreeMap<[usize; 3], Vec<usize>>,
    /// Places of the plan.
    pub points: Vec<Point>,
    /// Edges of the plan.
    pub edges: Vec<PlanEdge>,
    /// Cells of the plan.
    pub cells: Vec<Cell>,
    /// What each cell lies on.
    pub covers: Vec<Cover>,
    /// The same if there were no grooves of the face.
    pub bases: Vec<Cover>,
}

/// What bounds the wheel over a cell of the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cover {
    /// There is no stone.
    Void,
    /// A span of the turned side.
    Turned(usize),
    /// A piece of a groove's bottom.
    Bottom(usize, Piece),
}

impl<'a> Relief<'a> {
    /// Of one side of a wheel; `seams` are the directions in the plan where the bore and what goes round on the side are closed.
    ///
    /// # Errors
    /// Where a floor's meeting with the side is lost.
    pub fn of(wheel: &'a Wheel, section: &Section, side: SideName, seams: [f64; 2]) -> Result<Relief<'a>, SolidError> {
        let profile = section.profile(side);
        let wide = profile.edges().iter().filter(|(e, _)| e.end().x > e.start().x);
        let spans: Vec<(Span, Edge, Feature)> =
            profile.spans().iter().zip(wide).map(|(span, (edge, feature))| (*span, *edge, *feature)).collect();
        let wall = |r: f64| {
            let upright = profile.edges().iter().find(|(e, _)| e.start().x == e.end().x && e.start().x == r);
            upright.map(|(_, feature)| *feature)
        };
        let mut rings: Vec<(f64, Option<Feature>)> = spans.iter().map(|(s, ..)| (s.inner, wall(s.inner))).collect();
        rings.push((wheel.outside_radius(), None));
        let set = wheel.side(side).grooves.as_ref();
        let places = set.map_or(Vec::new(), |g| g.pattern.cut().map(|k| Frame::new(direction(g, k))).collect());
        let grooves = SideGroove::of(wheel, side).map_or(Vec::new(), |g| places.into_iter().map(|f| (g, f)).collect());
        let face = FaceGroove::of(wheel);
        // where the side's depth is 0
        let turn = face.as_ref().map_or(0.0, |g| if side == SideName::A { 0.0 } else { g.twist * wheel.thickness });
        let at = |k: u32, f: &crate::wheel::FaceGrooves| Frame::new(f.pattern.angle_deg(k).to_radians() + turn);
        let places = wheel.face.as_ref().map_or(Vec::new(), |f| f.pattern.cut().map(|k| at(k, f)).collect());
        let faces = face.map_or(Vec::new(), |g| places.into_iter().map(|f| (g, f)).collect());
        let mut relief = Relief {
            side,
            spans,
            rings,
            grooves,
            faces,
            wheel,
            neighbours: Vec::new(),
            crossed: Vec::new(),
            ends_on_floors: BTreeMap::new(),
            points: Vec::new(),
            edges: Vec::new(),
            cells: Vec::new(),
            covers: Vec::new(),
            bases: Vec::new(),
        };
        let is_crowded = Grooves::of(wheel, section).neighbours_meet(side);
        relief.neighbours = if is_crowded { relief.near_each_other() } else { vec![Vec::new(); relief.grooves.len()] };
        let crossed = |k| (0..relief.faces.len()).filter(|&j| relief.may_meet(k, j)).collect();
        relief.crossed = (0..relief.grooves.len()).map(crossed).collect();
        relief.draw(seams)?;
        Ok(relief)
    }

    /// Depth of a cover below the side's datum plane at a place, mm.
    pub fn depth(&self, cover: Cover, p: Point) -> f64 {
        match cover {
            Cover::Void => f64::NAN,
            Cover::Turned(i) => turned_depth(&self.spans[i].0, p),
            Cover::Bottom(k, _) => floor_depth(&self.grooves[k].0, &self.grooves[k].1, p),
        }
    }

    /// Turn of the face's grooves for each mm of the side's depth, radians; 0 for straight ones.
    pub(super) fn twist(&self) -> f64 {
        let twist = self.faces.first().map_or(0.0, |(g, _)| g.twist);
        if self.side == SideName::A { twist } else { -twist }
    }

    fn draw(&mut self, [bore, seam]: [f64; 2]) -> Result<(), SolidError> {
        let mut net = Net::default();
        let rings: Vec<usize> = self.rings.iter().enumerate().map(|(i, (r, _))| net.add(ring(*r), Trace::Ring(i))).collect();
        for (end, direction) in [(0, bore), (rings.len() - 1, seam)] {
            net.cut(rings[end], Point::polar(self.rings[end].0, direction));
        }
        let is_straight = self.twist() == 0.0;
        let faces: Vec<Vec<usize>> = (0..self.faces.len()).filter(|_| is_straight).map(|j| self.face_outline(&mut net, j)).collect();
        let wound: Vec<Vec<(usize, Winding)>> =
            (0..self.faces.len()).filter(|_| !is_straight).map(|j| self.helical_outline(&mut net, &rings, j)).collect();
        let grooves: Vec<Vec<usize>> = (0..self.grooves.len()).map(|k| self.side_outline(&mut net, k)).collect();
        let (mut bridges, mut bridged): (Vec<Vec<usize>>, Vec<usize>) = Default::default();
        for (k, a, b, trace) in self.bridges() {
            let bridge = net.add(Path::Line(a, b), trace);
            let others = self.neighbours[k].iter().flat_map(|&j| &grooves[j]);
            grooves[k].iter().chain(others).for_each(|&outline| net.cross(bridge, outline));
            bridges.push(vec![bridge]);
            bridged.push(k);
        }
        if self.grooves.is_empty() {
            let (a, b) = (self.rings[0].0, self.wheel.outside_radius());
            let line = Path::Line(Point::polar(a, seam), Point::polar(b, seam));
            bridges.push(vec![net.add(line, Trace::Seam)]);
        }
        for set in faces.iter().chain(&grooves).chain(&bridges) {
            for (i, &curve) in set.iter().enumerate() {
                rings.iter().for_each(|&r| net.cross(curve, r));
                set[i + 1..].iter().for_each(|&other| net.cross(curve, other));
            }
        }
        for (k, j) in self.pairs() {
            grooves[k].iter().for_each(|&a| grooves[j].iter().for_each(|&b| net.cross(a, b)));
        }
        for (k, set) in grooves.iter().enumerate() {
            for j in self.crossed[k].clone() {
                if is_straight {
                    set.iter().for_each(|&a| faces[j].iter().for_each(|&b| net.cross(a, b)));
                } else {
                    self.wind(&mut net, (k, set), (j, &wound[j]), &rings);
                }
            }
        }
        for (bridge, of) in bridges.iter().zip(bridged) {
            let near = self.crossed.get(of).into_iter().flatten();
            near.filter(|_| !is_straight).for_each(|&j| self.bridge_over(&mut net, bridge[0], &wound[j]));
        }
        for bridge in &bridges {
            faces.iter().flatten().for_each(|&f| net.cross(bridge[0], f));
        }
        self.meet(&mut net)
    }

    /// Whether a side's groove and one of the face may come near each other.
    fn may_meet(&self, k: usize, j: usize) -> bool {
        let (groove, frame) = &self.grooves[k];
        let (face, other) = &self.faces[j];
        let low = face.floor_u - face.half_width;
        let ends = [low, self.wheel.outside_radius()].map(|r| {
            let v = groove.offset;
            let u = ((r - v) * (r + v)).max(0.0).sqrt();
            other.local(frame.plan(u, v))
        });
        let deep = [groove.inner_u, groove.outer_u.unwrap_or(groove.outside_radius)].map(|u| groove.floor.depth(u));
        let swing = face.twist.abs() * groove.outside_radius * deep[0].max(deep[1]);
        let reach = groove.half_width + face.half_width + swing;
        // the face's groove lies about its own u axis, the side's runs from one end to the other
        let (least, most) = (ends[0].1.min(ends[1].1), ends[0].1.max(ends[1].1));
        ends.iter().any(|e| e.0 > 0.0) && least < 2.0 * reach && most > -2.0 * reach
    }

    /// Connections from grooves to the rings within them, so that all hangs together: the groove, from, to, and what they leave.
    fn bridges(&self) -> Vec<(usize, Point, Point, Trace)> {
        let mut out = Vec::new();
        for (k, (groove, frame)) in self.grooves.iter().enumerate() {
            if k > 0 && groove.outer_u.is_none() {
                continue;
            }
            let inner = frame.plan(groove.inner_u, groove.offset);
            let trace = if k == 0 { Trace::Seam } else { Trace::Bridge };
            let to = |p: Point, r: f64| p * (r / p.length());
            let below = self.rings.iter().map(|r| r.0).filter(|r| *r < inner.length() - SAME_LENGTH).fold(self.rings[0].0, f64::max);
            if inner.length() > self.rings[0].0 + SAME_LENGTH {
                out.push((k, to(inner, if k == 0 { self.rings[0].0 } else { below }), inner, trace));
            }
            if let (0, Some(u)) = (k, groove.outer_u) {
                let outer = frame.plan(u, groove.offset);
                out.push((k, outer, to(outer, self.wheel.outside_radius()), trace));
            }
        }
        out
    }

    fn side_outline(&self, net: &mut Net, k: usize) -> Vec<usize> {
        let (g, frame) = &self.grooves[k];
        let (low, high) = (g.offset - g.half_width, g.offset + g.half_width);
        let rim = |v: f64| ((g.outside_radius - v) * (g.outside_radius + v)).max(0.0).sqrt();
        let outer = |v: f64| g.outer_u.unwrap_or(f64::MAX).min(rim(v));
        let centre = (g.inner_end == InnerEnd::Round).then_some(g.inner_u + g.half_width);
        let inner = centre.unwrap_or(g.inner_u);
        let line = |a: (f64, f64), b: (f64, f64)| Path::Line(frame.plan(a.0, a.1), frame.plan(b.0, b.1));
        let mut out = vec![
            net.add(line((inner, low), (outer(low), low)), Trace::Wall(k, 0)),
            net.add(line((inner, high), (outer(high), high)), Trace::Wall(k, 1)),
        ];
        match centre {
            Some(u) => {
                let centre = frame.plan(u, g.offset);
                let from = (frame.plan(u, high) - centre).angle();
                let arc = Path::Arc { centre, radius: g.half_width, from, sweep: -PI };
                out.push(net.add(arc, Trace::Wall(k, 2)));
            }
            None => {
                // the middle is a corner: there a run-out touches the surface
                out.push(net.add(line((inner, low), (inner, g.offset)), Trace::Wall(k, 2)));
                out.push(net.add(line((inner, g.offset), (inner, high)), Trace::Wall(k, 2)));
            }
        }
        // across the groove, within the outside diameter
        let across = |u: f64| {
            let reach = ((g.outside_radius - u) * (g.outside_radius + u)).max(0.0).sqrt();
            line((u, low.max(-reach)), (u, high.min(reach)))
        };
        if let Some(u) = g.outer_u {
            out.push(net.add(across(u), Trace::Wall(k, 3)));
        }
        if let Some(rise) = g.floor.rise.filter(|r| r.tangent_u > g.inner_u && r.tangent_u < g.outside_radius) {
            out.push(net.add(across(rise.tangent_u), Trace::Floor(k)));
        }
        if matches!(g.bottom, Bottom::Vee { .. }) {
            out.push(net.add(line((g.inner_u, g.offset), (outer(g.offset), g.offset)), Trace::Floor(k)));
        }
        out
    }

    fn face_outline(&self, net: &mut Net, j: usize) -> Vec<usize> {
        let (g, frame) = &self.faces[j];
        let (h, rim) = (g.half_width, g.outside_radius);
        let at_rim = ((rim - h) * (rim + h)).sqrt();
        let line = |a: (f64, f64), b: (f64, f64)| Path::Line(frame.plan(a.0, a.1), frame.plan(b.0, b.1));
        if g.bottom == FaceBottom::Flat {
            return vec![
                net.add(line((at_rim, -h), (g.floor_u, -h)), Trace::Face(j, 0)),
                net.add(line((g.floor_u, -h), (g.floor_u, h)), Trace::Face(j, 1)),
                net.add(line((g.floor_u, h), (at_rim, h)), Trace::Face(j, 2)),
            ];
        }
        let middle = g.floor_u + h;
        let centre = frame.plan(middle, 0.0);
        let arc = |low: Point, half: f64| {
            Path::Arc { centre, radius: h, from: (low - centre).angle(), sweep: 2.0 * half }
        };
        if middle < at_rim {
            return vec![
                net.add(line((at_rim, -h), (middle, -h)), Trace::Face(j, 0)),
                net.add(arc(frame.plan(middle, -h), PI / 2.0), Trace::Face(j, 1)),
                net.add(line((middle, h), (at_rim, h)), Trace::Face(j, 2)),
            ];
        }
        // the outside diameter cuts the half circle
        let x = (middle * middle + (rim - h) * (rim + h)) / (2.0 * middle);
        let y = ((rim - x) * (rim + x)).max(0.0).sqrt();
        let half = y.atan2(middle - x);
        vec![net.add(arc(frame.plan(x, -y), half), Trace::Face(j, 1))]
    }

    /// The span at a distance from the axis.
    pub(super) fn span_at(&self, r: f64) -> usize {
        self.spans.iter().position(|(s, ..)| r < s.outer).unwrap_or(self.spans.len() - 1)
    }

    /// Whether a place lies in the plan of a groove or on its outline.
    pub(super) fn is_in_groove(&self, p: Point, k: usize) -> bool {
        let (groove, frame) = &self.grooves[k];
        let (u, v) = frame.local(p);
        let across = v - groove.offset;
        u > 0.0
            && across.abs() < groove.half_width + SAME_LENGTH
            && u > begins(groove, across) - SAME_LENGTH
            && groove.outer_u.is_none_or(|outer| u < outer + SAME_LENGTH)
            && p.length() < groove.outside_radius + SAME_LENGTH
    }

    /// Whether a place of a cover lies in a groove of the face.
    fn is_in_face(&self, cover: Cover, p: Point, j: usize) -> bool {
        let (groove, frame) = &self.faces[j];
        let frame = if groove.twist == 0.0 { *frame } else { frame.rotated(self.twist() * self.depth(cover, p)) };
        let (u, v) = frame.local(p);
        let v = v.clamp(-groove.half_width - SAME_LENGTH, groove.half_width + SAME_LENGTH);
        let inside = v.clamp(-groove.half_width, groove.half_width);
        (frame.local(p).1 - inside).abs() < SAME_LENGTH && groove.floor_at(inside).is_some_and(|floor| u > floor - SAME_LENGTH)
    }

    /// A groove where it lies.
    pub(super) fn placed(&self, k: usize) -> Placed<'_> {
        let (groove, frame) = &self.grooves[k];
        Placed { groove, frame }
    }

    /// What a cell lies on, and what it would lie on if there were no grooves of the face: its edges and corners tell, since nothing changes within it.
    pub(super) fn cover(&self, cell: &Cell) -> (Cover, Cover) {
        let samples: Vec<Point> = cell
            .edges
            .iter()
            .flat_map(|(e, _)| [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| self.edges[*e].path.at(t)))
            .collect();
        let r = |f: fn(f64, f64) -> f64, start: f64| samples.iter().map(|p| p.length()).fold(start, f);
        let (least, most) = (r(f64::min, f64::MAX), r(f64::max, 0.0));
        let middle = (least + most) / 2.0;
        let (bore, rim) = (self.rings[0].0, self.wheel.outside_radius());
        if middle < bore + SAME_LENGTH || middle > rim - SAME_LENGTH && most - least < SAME_LENGTH {
            return (Cover::Void, Cover::Void);
        }
        let touched = |trace: Trace| match trace {
            Trace::Face(j, _) => Some((true, j)),
            Trace::Wall(k, _) | Trace::Floor(k) => Some((false, k)),
            _ => None,
        };
        let mut near: Vec<(bool, usize)> = cell.edges.iter().filter_map(|(e, _)| touched(self.edges[*e].trace)).collect();
        near.sort_unstable();
        near.dedup();
        let base = self.base(&near, &samples, self.span_at(middle));
        let beside = |&(is_face, i): &(bool, usize)| {
            let others: &[usize] = if is_face { &[] } else { &self.crossed[i] };
            others.iter().map(|&j| (true, j)).chain([(is_face, i)]).collect::<Vec<_>>()
        };
        let all_in = |j: usize| samples.iter().all(|&p| self.is_in_face(base, p, j));
        let is_void = near.iter().flat_map(beside).any(|(is_face, j)| is_face && all_in(j));
        (if is_void { Cover::Void } else { base }, base)
    }

    /// The deepest of the side's grooves near a cell that hold all of these places of it, or a span of the turned side.
    fn base(&self, near: &[(bool, usize)], samples: &[Point], span: usize) -> Cover {
        // a wall of the face may lie on one of a side's groove
        let near = near.iter().flat_map(|&(is_face, i)| {
            let aside: Vec<usize> = if is_face { (0..self.grooves.len()).filter(|&k| self.crossed[k].contains(&i)).collect() } else { vec![i] };
            aside
        });
        let mut near: Vec<usize> = near.flat_map(|k| self.neighbours[k].iter().copied().chain([k])).collect();
        near.sort_unstable();
        near.dedup();
        let mut deepest: Option<usize> = None;
        for k in near.into_iter().filter(|&k| samples.iter().all(|&p| self.is_in_groove(p, k))) {
            let over = deepest.map_or(Over::Turned(&self.spans[span].0, &self.spans[span].1), |k| Over::Groove(self.placed(k)));
            let meeting = Meeting { floor: self.placed(k), over };
            let below = samples.iter().map(|&p| meeting.below(p));
            let greatest = below.fold(0.0, |most: f64, b| if b.abs() > most.abs() { b } else { most });
            if greatest > SAME_LENGTH {
                deepest = Some(k);
            }
        }
        let Some(k) = deepest else { return Cover::Turned(span) };
        let (groove, frame) = self.grooves[k];
        let mean = |f: &dyn Fn(Point) -> f64| samples.iter().map(|&p| f(p)).sum::<f64>() / samples.len() as f64;
        let (u, v) = (mean(&|p| frame.local(p).0), mean(&|p| frame.local(p).1));
        let is_risen = groove.floor.rise.is_some_and(|rise| u < rise.tangent_u);
        let is_upper = matches!(groove.bottom, Bottom::Vee { .. }) && v > groove.offset;
        Cover::Bottom(k, Piece { is_risen, is_upper })
    }
}

fn ring(radius: f64) -> Path {
    Path::Arc { centre: Point::ORIGIN, radius, from: 0.0, sweep: TAU }
}
