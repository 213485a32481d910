//! Where floors of grooves meet the turned side and each other: edges of the plan are cut there, and the curves between become edges of it.

use super::SolidError;
use super::cells;
use super::contact::{Alike, Contact, Meeting, Over};
use super::helix::Winding;
use super::plan::{Course, Net, Path, Places, PlanEdge, Trace};
use super::relief::Relief;
use crate::geometry::{Point, roots};
use crate::tolerance::{NO_PIECE, ROUNDED, SAME_LENGTH};
use std::collections::{BTreeMap, HashMap};
use std::f64::consts::{PI, TAU};
use std::rc::Rc;

/// Steps of the scan for places where a floor meets the surface along an edge of the plan.
const STEPS: usize = 12;
/// Shares of an edge at which both lie at one depth if it is where they meet.
const ALONG_IT: [f64; 3] = [0.2, 0.5, 0.8];
/// Shares of the way from an end to a root beside it at which both lie at one depth if they touch there.
const BESIDE: [f64; 4] = [0.0, 0.3, 0.6, 0.9];

/// Cuts of edges: of each edge the share and the place.
type Cuts = BTreeMap<usize, Vec<(f64, usize)>>;

/// What curves of a groove on the turned side are known by: the span, and the places between which they run in the groove's own frame.
type Like = (usize, Vec<[i64; 2]>);

/// Curves of the first groove of those that lie alike: the groove, and of each curve where it ends, as one of those places or as one of its own.
#[derive(Default)]
struct Known(HashMap<Like, (usize, Vec<Once>)>);

/// A curve that is known, and where it ends.
type Once = (Rc<Contact>, [End; 2]);

/// Where a known curve ends.
#[derive(Clone, Copy)]
enum End {
    /// At one of the places between which curves run, in the order of their coordinates.
    Place(usize),
    /// At a place of the curve in the first groove's plan.
    Own(Point),
}

/// A curve found: of which groove, and the other where it is one of two floors, or that it is where a groove of the face comes to the floor.
struct Traced {
    groove: usize,
    other: Option<usize>,
    is_wound: bool,
    edge: PlanEdge,
}

impl Relief<'_> {
    /// Grooves whose angles in the plan overlap, by groove.
    pub(super) fn near_each_other(&self) -> Vec<Vec<usize>> {
        let windows: Vec<(f64, f64)> = (0..self.grooves.len()).map(|k| self.angles(k)).collect();
        let mut order: Vec<usize> = (0..windows.len()).collect();
        let begin = |k: usize| windows[k].0.rem_euclid(TAU);
        order.sort_by(|&a, &b| begin(a).total_cmp(&begin(b)));
        let mut out = vec![Vec::new(); windows.len()];
        for (i, &k) in order.iter().enumerate() {
            let others = order[i + 1..].iter().chain(&order[..i]);
            for &j in others.take_while(|&&j| (windows[j].0 - windows[k].0).rem_euclid(TAU) <= windows[k].1) {
                out[k].push(j);
                out[j].push(k);
            }
        }
        for near in &mut out {
            near.sort_unstable();
            near.dedup();
        }
        out
    }

    /// Pairs of grooves that may run into each other, each once.
    pub(super) fn pairs(&self) -> Vec<(usize, usize)> {
        let of = |(k, near): (usize, &Vec<usize>)| near.iter().filter(|&&j| j > k).map(|&j| (k, j)).collect::<Vec<_>>();
        self.neighbours.iter().enumerate().flat_map(of).collect()
    }

    /// Adds what floors and the turned side have in common, and lays out the cells.
    pub(super) fn meet(&mut self, net: &mut Net) -> Result<(), SolidError> {
        let mut edges = net.edges();
        let by_angle = ByAngle::of(&edges);
        let is_in = |e: usize, k: usize| self.is_in_groove(edges[e].path.at(0.5), k);
        let own = |k: usize| by_angle.within(self.angles(k)).filter(|&e| is_in(e, k)).collect::<Vec<usize>>();
        let own: Vec<Vec<usize>> = (0..self.grooves.len()).map(own).collect();
        let (mut cuts, mut traced, mut known) = (Cuts::new(), Vec::new(), Known::default());
        for (k, own) in own.iter().enumerate() {
            for i in 0..self.spans.len() {
                let (span, edge, _) = &self.spans[i];
                let meeting = Meeting { floor: self.placed(k), over: Over::Turned(span, edge) };
                let inside = |p: Point| p.length() > span.inner - NO_PIECE && p.length() < span.outer + NO_PIECE;
                let own: Vec<usize> = own.iter().copied().filter(|&e| inside(edges[e].path.at(0.5))).collect();
                let what = || super::name::of(self.spans[i].2);
                let places = crossings(&meeting, net, (&edges, &own), &mut cuts);
                let found = known.of((i, k), self, &places, &mut net.places, |places_of| self.curves(&meeting, (&edges, &own), &places, places_of));
                let found = found.ok_or_else(|| self.lost(&what()))?;
                traced.extend(found.into_iter().map(|edge| Traced { groove: k, other: None, is_wound: false, edge }));
            }
        }
        for (k, j) in self.pairs() {
            let common: Vec<usize> = own[k].iter().copied().filter(|&e| is_in(e, j)).collect();
            let meeting = Meeting { floor: self.placed(k), over: Over::Groove(self.placed(j)) };
            let places = crossings(&meeting, net, (&edges, &common), &mut cuts);
            let found = self.curves(&meeting, (&edges, &common), &places, &mut net.places).ok_or_else(|| self.lost("floor beside it"))?;
            traced.extend(found.into_iter().map(|contact| Traced { groove: k, other: Some(j), is_wound: false, edge: edge_along(contact.ends, contact, Trace::Floor(k)) }));
        }
        for (&[k, j, part], places) in &self.ends_on_floors {
            let Some(winding) = self.windings(j).into_iter().find(|w| w.part == part) else { continue };
            let meeting = Meeting { floor: self.placed(k), over: Over::Helix(&winding, self.placed(k)) };
            let found = meeting.curves(places, &mut net.places).ok_or_else(|| self.lost("wall of a groove of the face"))?;
            let along = |contact: Contact| edge_along(contact.ends, contact, Trace::Face(j, part));
            traced.extend(found.into_iter().map(|contact| Traced { groove: k, other: None, is_wound: true, edge: along(contact) }));
        }
        let mut rest: Vec<PlanEdge> = cuts.into_iter().flat_map(|(e, cuts)| split(&mut edges[e], cuts)).collect();
        if self.winds() {
            edges.retain(|edge| self.is_in_sight(edge));
            rest.retain(|edge| self.is_in_sight(edge));
        }
        for found in traced {
            rest.extend(self.parted(found, net));
        }
        edges.extend(rest);
        self.points = net.places.points.clone();
        self.cells = cells::of(&self.points, &edges);
        self.edges = edges;
        (self.covers, self.bases) = self.cells.iter().map(|cell| self.cover(cell)).unzip();
        Ok(())
    }

    fn lost(&self, what: &str) -> SolidError {
        SolidError {
            feature: format!("the grooves of side {}", self.side.letter()),
            why: format!("where their floor meets the {what} cannot be followed"),
        }
    }

    /// The curves of a meeting between places on edges of its own, without those that lie on such an edge. `None` where one is lost.
    fn curves(&self, meeting: &Meeting, (edges, own): (&[PlanEdge], &[usize]), at: &[usize], places: &mut Places) -> Option<Vec<Contact>> {
        let is_new = |contact: &Contact| {
            let middle = contact.at(0.5);
            let is_on = |&e: &usize| edges[e].path.at(nearest_share(&edges[e].path, middle)).distance(middle) < SAME_LENGTH;
            !own.iter().any(is_on)
        };
        Some(meeting.curves(at, places)?.into_iter().filter(is_new).collect())
    }

    /// A curve parted where a third surface meets both of its own.
    fn parted(&self, found: Traced, net: &mut Net) -> Vec<PlanEdge> {
        let Traced { groove: k, other, is_wound, mut edge } = found;
        let path = edge.path.clone();
        let mut thirds: Vec<Over> = Vec::new();
        let known = [Some(k), other];
        let near = self.neighbours[k].iter().filter(|&&j| !known.contains(&Some(j)));
        thirds.extend(near.map(|&j| Over::Groove(self.placed(j))));
        let windings: Vec<Winding> = if is_wound || !self.winds() { Vec::new() } else { self.crossed[k].iter().flat_map(|&j| self.windings(j)).collect() };
        thirds.extend(windings.iter().map(|winding| Over::Helix(winding, self.placed(k))));
        if other.is_some() || is_wound {
            thirds.extend(self.spans.iter().map(|(span, edge, _)| Over::Turned(span, edge)));
        }
        let mut cuts: Vec<(f64, usize)> = Vec::new();
        for third in thirds {
            let meeting = Meeting { floor: self.placed(k), over: third };
            for t in roots::scan(0.0, 1.0, STEPS, |t| meeting.below(path.at(t))) {
                let p = path.at(t);
                let place = net.places.index(p);
                let is_known = edge.ends.contains(&place) || cuts.iter().any(|c| c.1 == place);
                if third.reaches(p) && !is_known {
                    cuts.push((t, place));
                }
            }
        }
        let mut pieces = split(&mut edge, cuts);
        pieces.push(edge);
        pieces.retain(|piece| !is_wound || self.is_floor_at(k, piece.path.at(0.5)));
        pieces
    }

    /// Angles in the plan between which a groove lies: where they begin, and how far they reach.
    fn angles(&self, k: usize) -> (f64, f64) {
        let (groove, frame) = &self.grooves[k];
        let middle = frame.plan(1.0, 0.0).angle();
        let rim = |v: f64| ((groove.outside_radius - v) * (groove.outside_radius + v)).max(0.0).sqrt();
        let corners = [-1.0, 1.0].map(|w| groove.offset + w * groove.half_width).into_iter().flat_map(|v| {
            [frame.plan(groove.inner_u, v), frame.plan(groove.outer_u.unwrap_or_else(|| rim(v)), v)]
        });
        let aside = corners.map(|p| (p.angle() - middle + PI).rem_euclid(TAU) - PI);
        let (low, high) = aside.fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)));
        (middle + low - ROUNDED, high - low + 2.0 * ROUNDED)
    }
}

fn edge_along(ends: [usize; 2], course: impl Course + 'static, trace: Trace) -> PlanEdge {
    PlanEdge { ends, path: Path::Contact(Rc::new(course)), trace }
}

impl Known {
    /// The curves of groove `k` on a span between these places: those of a groove that lies alike, turned, else those that `find` finds.
    fn of(
        &mut self,
        (span, k): (usize, usize),
        relief: &Relief,
        at: &[usize],
        places: &mut Places,
        find: impl FnOnce(&mut Places) -> Option<Vec<Contact>>,
    ) -> Option<Vec<PlanEdge>> {
        let frame = relief.grooves[k].1;
        let local = |&i: &usize| {
            let (u, v) = frame.local(places.points[i]);
            ([u, v].map(|x| (x / SAME_LENGTH).round() as i64), i)
        };
        let mut sorted: Vec<([i64; 2], usize)> = at.iter().map(local).collect();
        sorted.sort_unstable();
        let key = (span, sorted.iter().map(|s| s.0).collect());
        if let Some((first, curves)) = self.0.get(&key) {
            let frames = [relief.grooves[*first].1, frame];
            let mut end = |end: End| match end {
                End::Place(i) => sorted[i].1,
                End::Own(p) => places.index(frames[0].turned(&frames[1], p)),
            };
            return Some(curves.iter().map(|(of, ends)| edge_along(ends.map(&mut end), Alike { of: Rc::clone(of), frames }, Trace::Floor(k))).collect());
        }
        let found: Vec<Rc<Contact>> = find(places)?.into_iter().map(Rc::new).collect();
        let end = |i: usize| sorted.iter().position(|s| s.1 == i).map_or(End::Own(places.points[i]), End::Place);
        self.0.insert(key, (k, found.iter().map(|c| (Rc::clone(c), c.ends.map(end))).collect()));
        Some(found.into_iter().map(|c| PlanEdge { ends: c.ends, path: Path::Contact(c), trace: Trace::Floor(k) }).collect())
    }
}

/// Places on the edges of a meeting where both of its surfaces are; the edges are to be cut there.
fn crossings(meeting: &Meeting, net: &mut Net, (edges, own): (&[PlanEdge], &[usize]), cuts: &mut Cuts) -> Vec<usize> {
    let mut places: Vec<usize> = Vec::new();
    for &e in own {
        let edge = &edges[e];
        places.extend(edge.ends.iter().filter(|&&p| meeting.below(net.places.points[p]).abs() < NO_PIECE));
        let below = |t: f64| meeting.below(edge.path.at(t));
        if ALONG_IT.map(below).iter().all(|s| s.abs() < SAME_LENGTH) {
            continue;
        }
        // where both touch at an end of the edge, rounding puts a root beside it
        let touches = |t: f64| {
            let nearest = t.round();
            BESIDE.iter().all(|share| below(nearest + (t - nearest) * share).abs() < NO_PIECE)
        };
        for t in roots::scan(0.0, 1.0, STEPS, below).into_iter().filter(|&t| !touches(t)) {
            let place = net.places.index(edge.path.at(t));
            places.push(place);
            let known = cuts.entry(e).or_default();
            if !edge.ends.contains(&place) && known.iter().all(|c| c.1 != place) {
                known.push((t, place));
            }
        }
    }
    places.sort_unstable();
    places.dedup();
    places
}

/// Edges by the angle in which the middle of each lies.
struct ByAngle(Vec<(f64, usize)>);

impl ByAngle {
    fn of(edges: &[PlanEdge]) -> ByAngle {
        let angle = |edge: &PlanEdge| edge.path.at(0.5).angle().rem_euclid(TAU);
        let mut all: Vec<(f64, usize)> = edges.iter().enumerate().map(|(e, edge)| (angle(edge), e)).collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        ByAngle(all)
    }

    /// Those from an angle on as far as this, radians.
    fn within(&self, (from, reach): (f64, f64)) -> impl Iterator<Item = usize> {
        let from = from.rem_euclid(TAU);
        let first = self.0.partition_point(|e| e.0 < from);
        let onwards = self.0[first..].iter().chain(&self.0[..first]);
        onwards.take_while(move |e| (e.0 - from).rem_euclid(TAU) <= reach).map(|e| e.1)
    }
}

/// Share of a path nearest to a place, to the accuracy of a search.
fn nearest_share(path: &Path, p: Point) -> f64 {
    const LOOKS: usize = 64;
    let away = |t: f64| path.at(t).distance(p);
    let mut best = (0..=LOOKS).map(|i| i as f64 / LOOKS as f64).min_by(|a, b| away(*a).total_cmp(&away(*b))).unwrap_or(0.0);
    let mut width = 1.0 / LOOKS as f64;
    while width > NO_PIECE {
        for t in [best - width / 2.0, best + width / 2.0] {
            if (0.0..=1.0).contains(&t) && away(t) < away(best) {
                best = t;
            }
        }
        width /= 2.0;
    }
    best
}

/// Cuts an edge at rising shares; what remains of it, and the rest.
fn split(edge: &mut PlanEdge, mut cuts: Vec<(f64, usize)>) -> Vec<PlanEdge> {
    cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let whole = edge.clone();
    cuts.insert(0, (0.0, whole.ends[0]));
    cuts.push((1.0, whole.ends[1]));
    let mut pieces = cuts.windows(2).map(|w| PlanEdge {
        ends: [w[0].1, w[1].1],
        path: whole.path.between(w[0].0, w[1].0),
        trace: whole.trace,
    });
    if let Some(first) = pieces.next() {
        *edge = first;
    }
    pieces.collect()
}
