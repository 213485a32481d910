//! The boundary of a grooved wheel: both reliefs lifted into space, walls put between their steps, and what lies on one surface made one face.

use super::bottom;
use super::merge::{Key, Merger, Piece, Step, reverse};
use super::plan::{Frame, Path, Places, PlanEdge, Trace};
use super::bottom::Piece as BottomPiece;
use super::relief::{Cover, Relief};
use super::turned::revolved;
use super::{Curve, Edge, Solid, SolidError, Surface, Use, Vector, conic, curve, follow, name};
use crate::geometry::Point;
use crate::groove::{FaceGroove, Grooves};
use crate::section::{Feature, Section};
use crate::tolerance::{NO_PIECE, SAME_LENGTH, SOLID_VOLUME};
use crate::wheel::{Bottom, Job, SideName};
use std::collections::{BTreeMap, HashMap, HashSet};
use std::f64::consts::TAU;

/// Shares of an edge at which it must be level to be a circle of its own plan.
const LEVEL_AT: [f64; 8] = [0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 1.0];
/// Shares of an edge's plan over which it is first looked for.
const GUIDES: [f64; 3] = [0.25, 0.5, 0.75];

/// The boundary of a wheel with grooves.
///
/// # Errors
/// Where a feature cannot be made exactly.
pub fn solid(job: &Job, section: &Section, seam: f64) -> Result<Solid, SolidError> {
    // the same strip of the outside diameter on side B, where its grooves run on a helix
    let turn = FaceGroove::of(&job.wheel).map_or(0.0, |g| {
        let [rim_a, rim_b] = SideName::BOTH.map(|side| section.profile(side).end().y);
        g.twist * (job.wheel.thickness - rim_b - rim_a)
    });
    let seams = [seam, seam - turn];
    let [a, b] = [0, 1].map(|s| Relief::of(&job.wheel, section, SideName::BOTH[s], [seam, seams[s]]));
    let sides = [a?, b?];
    if !sides[0].winds() {
        measured(&sides, job, section)?;
    }
    let mut build = Build {
        known: HashMap::new(),
        job,
        seams,
        sides,
        places: Places::default(),
        columns: Default::default(),
        merger: Merger::default(),
        across: Default::default(),
    };
    build.merger.twist = FaceGroove::of(&job.wheel).map_or(0.0, |g| g.twist);
    build.stand();
    let lifted = [0, 1].map(|s| build.lift(s));
    let [a, b] = lifted;
    let lifted = [a?, b?];
    for (s, raised) in lifted.iter().enumerate() {
        build.cells(s, raised)?;
        build.steps(s, raised)?;
    }
    build.around(&lifted)?;
    build.merger.solid()
}

/// Holds the volume of the plans against that of the grooves' integrals: a floor that was not found would show.
fn measured(sides: &[Relief; 2], job: &Job, section: &Section) -> Result<(), SolidError> {
    let [(area, over_a), (_, over_b)] = sides.each_ref().map(Relief::cut_away);
    let wanted = section.revolved().volume - Grooves::of(&job.wheel, section).removed().together.volume;
    let found = area * job.wheel.thickness - over_a - over_b;
    if ((found - wanted) / wanted).abs() > SOLID_VOLUME {
        let why = "its plan does not come to the volume of the numbers".to_owned();
        return Err(SolidError { feature: "the pattern of grooves".to_owned(), why });
    }
    Ok(())
}

/// What a curve over an element of a groove's outline or on its bottom is known by: side, element and covers as the first groove has them, and both ends
/// and the middle in the groove's own frame.
type Like = (usize, Trace, [Cover; 2], Vec<i64>);

pub struct Build<'a> {
    /// Curves of grooves that lie alike, in the plan of the frame they were found in.
    known: HashMap<Like, (Frame, Curve)>,
    pub(super) job: &'a Job,
    /// Direction in the plan of either side where what goes round is closed.
    seams: [f64; 2],
    pub(super) sides: [Relief<'a>; 2],
    /// Places of the plan of both sides.
    places: Places,
    /// Of each side and place of its plan, the place of both.
    pub(super) columns: [Vec<usize>; 2],
    pub(super) merger: Merger,
    /// Of each side and edge of its plan, what grooves of the face on a helix cut out of the wall over it, from the side's surface downwards.
    pub(super) across: [BTreeMap<usize, Vec<Across>>; 2],
}

/// Where a part of the outline of a groove of the face on a helix passes through a wall, over the whole of an edge of the plan.
#[derive(Debug, Clone, Copy)]
pub struct Across {
    /// The groove and the part.
    pub of: [usize; 2],
    /// Depth at both ends of the edge, mm.
    pub depths: [f64; 2],
}

/// A side's plan in space.
pub struct Raised {
    /// Cell on the left and on the right of each edge.
    pub cells: Vec<[usize; 2]>,
    /// The edge in space over each edge of the plan as the cell on its left, on its right has it.
    pub edges: Vec<[Option<usize>; 2]>,
    /// Edges in space across the walls over edges of the plan, as [`Build::across`] has them.
    pub across: BTreeMap<usize, Vec<usize>>,
}

/// One edge of a wall that both sides bound: the edge in space, whether it is run along in its own direction, and where it begins and ends.
pub(super) struct Link {
    edge: usize,
    is_forward: bool,
    from: f64,
    ends: [usize; 2],
    /// z at both ends.
    z: [f64; 2],
    is_void_right: bool,
}

impl Build<'_> {
    pub(super) fn z(&self, s: usize, depth: f64) -> f64 {
        if s == 0 { depth } else { self.job.wheel.thickness - depth }
    }

    /// A place of a cover in space.
    fn place(&self, s: usize, cover: Cover, p: Point) -> Vector {
        Vector::new(p.x, p.y, self.z(s, self.sides[s].depth(cover, p)))
    }

    /// Gives every corner of every cell its vertex: corners above each other share a column.
    fn stand(&mut self) {
        for s in [0, 1] {
            self.columns[s] = self.sides[s].points.iter().map(|&p| self.places.index(p)).collect();
        }
        for s in [0, 1] {
            for (cell, &cover) in self.sides[s].cells.iter().zip(&self.sides[s].covers) {
                if cover == Cover::Void {
                    continue;
                }
                for &(e, is_forward) in &cell.edges {
                    let p = self.sides[s].edges[e].ends[usize::from(!is_forward)];
                    let z = self.place(s, cover, self.sides[s].points[p]).z;
                    self.merger.columns.add(self.columns[s][p], z);
                }
            }
        }
        self.cross_walls();
        self.merger.columns.settle(&self.places.points);
    }

    /// Cells on the left and on the right of each edge of a side's plan.
    pub(super) fn beside(&self, s: usize) -> Vec<[usize; 2]> {
        let mut cells = vec![[usize::MAX; 2]; self.sides[s].edges.len()];
        for (c, cell) in self.sides[s].cells.iter().enumerate() {
            cell.edges.iter().for_each(|&(e, is_forward)| cells[e][usize::from(!is_forward)] = c);
        }
        cells
    }

    /// Edges in space over those of the plan.
    fn lift(&mut self, s: usize) -> Result<Raised, SolidError> {
        let count = self.sides[s].edges.len();
        let cells = self.beside(s);
        let mut edges = vec![[None; 2]; count];
        for e in 0..count {
            let [left, right] = cells[e].map(|c| self.sides[s].covers[c]);
            if left == right {
                // nothing changes here: an edge that is going to be dropped, unless it is a seam
                if left != Cover::Void {
                    edges[e] = [Some(self.raise(s, e, left, right)?); 2];
                }
                continue;
            }
            if left != Cover::Void {
                edges[e][0] = Some(self.raise(s, e, left, right)?);
            }
            if right != Cover::Void {
                let same = left != Cover::Void && self.step(s, e, left, right)? == 0.0;
                edges[e][1] = if same { edges[e][0] } else { Some(self.raise(s, e, right, left)?) };
            }
        }
        let across = self.raise_across(s)?;
        Ok(Raised { cells, edges, across })
    }

    /// By how much the cover on the right lies deeper than that on the left along an edge: 0 where they meet, else the sign alone counts.
    pub(super) fn step(&self, s: usize, e: usize, left: Cover, right: Cover) -> Result<f64, SolidError> {
        let path = &self.sides[s].edges[e].path;
        let steps = [0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0].map(|t| {
            let p = path.at(t);
            self.sides[s].depth(right, p) - self.sides[s].depth(left, p)
        });
        let (least, most) = steps.iter().fold((0.0_f64, 0.0_f64), |(a, b), &x| (a.min(x), b.max(x)));
        if most < SAME_LENGTH && least > -SAME_LENGTH {
            return Ok(0.0);
        }
        if most >= SAME_LENGTH && least <= -SAME_LENGTH {
            return Err(self.lost(s, "a wall of a groove and the side's surface cross where they were not found to"));
        }
        Ok(if most > -least { most } else { least })
    }

    pub(super) fn lost(&self, s: usize, why: &str) -> SolidError {
        SolidError { feature: format!("the grooves of side {}", SideName::BOTH[s].letter()), why: why.to_owned() }
    }

    /// The edge in space over one of the plan on a cover; `other` is the cover on its other side.
    fn raise(&mut self, s: usize, e: usize, cover: Cover, other: Cover) -> Result<usize, SolidError> {
        let PlanEdge { ends, path, trace } = self.sides[s].edges[e].clone();
        let vertex = |p: usize| {
            let z = self.place(s, cover, self.sides[s].points[p]).z;
            self.merger.columns.vertex(self.columns[s][p], z)
        };
        let [start, end] = ends.map(vertex);
        // between pieces of one surface it falls away, whatever it runs along
        let is_kept = matches!((trace, cover), (Trace::Seam, _) | (Trace::Wall(_, 0 | 1), Cover::Turned(_)));
        let falls_away = cover == other && !is_kept;
        let curve = if falls_away { Curve::Line } else { self.curve(s, (&path, trace), [cover, other], [start, end])? };
        Ok(self.merger.edge(Edge { start, end, curve }))
    }

    /// What an edge over a path of the plan runs along, on the first cover.
    fn curve(&mut self, s: usize, (path, trace): (&Path, Trace), covers: [Cover; 2], ends: [usize; 2]) -> Result<Curve, SolidError> {
        let ends = ends.map(|v| self.merger.columns.place(v));
        let Some((frame, like)) = self.like(s, (path, trace), covers, ends) else { return self.found(s, (path, trace), covers, ends) };
        if let Some((of, curve)) = self.known.get(&like) {
            return Ok(curve::moved(curve, ends, |p| {
                let turned = of.turned(&frame, Point::new(p.x, p.y));
                Vector::new(turned.x, turned.y, p.z)
            }));
        }
        let curve = self.found(s, (path, trace), covers, ends)?;
        self.known.insert(like, (frame, curve.clone()));
        Ok(curve)
    }

    /// The frame of the groove that an edge of the plan belongs to, and what its curve is known by; `None` where it is of none, or of two.
    fn like(&self, s: usize, (path, trace): (&Path, Trace), mut covers: [Cover; 2], ends: [Vector; 2]) -> Option<(Frame, Like)> {
        let side = &self.sides[s];
        let (frame, own, trace) = match trace {
            Trace::Wall(k, i) => (side.grooves[k].1, Some(k), Trace::Wall(0, i)),
            Trace::Floor(k) => (side.grooves[k].1, Some(k), Trace::Floor(0)),
            Trace::Face(j, i) => (side.faces[j].1, None, Trace::Face(0, i)),
            // what a circle of the section cuts out of a groove's bottom
            Trace::Ring(_) => match covers {
                [Cover::Bottom(k, _), _] | [_, Cover::Bottom(k, _)] => (side.grooves[k].1, Some(k), trace),
                _ => return None,
            },
            _ => return None,
        };
        for cover in &mut covers {
            if let Cover::Bottom(k, piece) = *cover {
                if own != Some(k) {
                    return None;
                }
                *cover = Cover::Bottom(0, piece);
            }
        }
        let middle = path.at(0.5);
        let places = [ends[0], ends[1], Vector::new(middle.x, middle.y, 0.0)];
        let local = places.iter().flat_map(|p| {
            let (u, v) = frame.local(Point::new(p.x, p.y));
            [u, v, p.z].map(|x| (x / SAME_LENGTH).round() as i64)
        });
        Some((frame, (s, trace, covers, local.collect())))
    }

    /// The same as it is found.
    fn found(&self, s: usize, (path, trace): (&Path, Trace), covers: [Cover; 2], [start, end]: [Vector; 2]) -> Result<Curve, SolidError> {
        let at = |t: f64| self.place(s, covers[0], path.at(t));
        if let Path::Arc { centre, radius, sweep, .. } = path {
            let z = at(0.0).z;
            if LEVEL_AT.iter().all(|&t| (at(t).z - z).abs() < NO_PIECE) {
                let axis = Vector::z() * sweep.signum();
                return Ok(Curve::Circle { centre: Vector::new(centre.x, centre.y, z), axis, radius: *radius });
            }
        }
        if let Some(curve) = curve::of(&at) {
            return Ok(curve);
        }
        let own = self.cover(s, covers[0])?.0;
        let other = match trace {
            Trace::Floor(_) => self.cover(s, covers[1])?.0,
            _ => self.upright(s, trace, path, true).0,
        };
        let mut guides = vec![start];
        guides.extend(GUIDES.map(at));
        guides.push(end);
        let found = conic::of([&own, &other], &guides).or_else(|| follow::meeting([&own, &other], &guides));
        found.ok_or_else(|| self.lost(s, "an edge of them cannot be followed"))
    }

    /// Turned faces and bottoms of grooves, cell by cell.
    fn cells(&mut self, s: usize, raised: &Raised) -> Result<(), SolidError> {
        for c in 0..self.sides[s].cells.len() {
            let cover = self.sides[s].covers[c];
            if cover == Cover::Void {
                continue;
            }
            let uses = self.sides[s].cells[c].edges.iter().filter_map(|&(e, is_forward)| {
                Some(Use { edge: raised.edges[e][usize::from(!is_forward)]?, is_forward })
            });
            let mut uses: Vec<Use> = uses.collect();
            // side A is seen from below
            if s == 0 {
                reverse(&mut uses);
            }
            let key = match cover {
                Cover::Bottom(k, piece) if self.is_level(s, k, piece) => Key::Floor(s),
                Cover::Bottom(k, piece) => Key::Bottom(s, k, piece),
                Cover::Turned(i) => Key::Turned(s, i),
                Cover::Void => continue,
            };
            let (surface, is_outward, words, is_cut) = self.cover(s, cover)?;
            self.merger.piece(Piece { key, surface, is_outward, name: words, is_cut, uses });
        }
        for (e, edge) in self.sides[s].edges.iter().enumerate() {
            let over = raised.edges[e].iter().flatten();
            match edge.trace {
                Trace::Seam => self.merger.seams.extend(over),
                Trace::Wall(_, 0 | 1) if raised.edges[e][0] == raised.edges[e][1] && self.is_curved(s, raised.cells[e][0]) => {
                    self.merger.parts.extend(over);
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Whether a piece of a groove's bottom lies in the plane that all such pieces of its side share.
    fn is_level(&self, s: usize, k: usize, piece: BottomPiece) -> bool {
        let groove = &self.sides[s].grooves[k].0;
        groove.bottom == Bottom::Flat && groove.floor.slope == 0.0 && !piece.is_risen
    }

    /// Whether a cell lies on a turned surface that is no plane.
    fn is_curved(&self, s: usize, cell: usize) -> bool {
        match self.sides[s].covers[cell] {
            Cover::Turned(i) => !matches!(revolved(&self.sides[s].spans[i].1).0, Surface::Plane { .. }),
            _ => false,
        }
    }

    /// The surface of a cover, whether its own normal points outwards, its name, and whether altering made it.
    fn cover(&self, s: usize, cover: Cover) -> Result<(Surface, bool, String, Option<bool>), SolidError> {
        let side = SideName::BOTH[s];
        match cover {
            Cover::Bottom(k, piece) => {
                let (groove, frame) = &self.sides[s].grooves[k];
                let (surface, is_outward) = bottom::surface(groove, frame, piece, self.job.wheel.thickness);
                Ok((surface, is_outward, format!("side {} groove bottom", side.letter()), Some(true)))
            }
            Cover::Turned(i) => {
                let (_, edge, feature) = self.sides[s].spans[i];
                let edge = match side {
                    SideName::A => edge,
                    SideName::B => edge.reversed().mirrored_y().translated(Point::new(0.0, self.job.wheel.thickness)),
                };
                let (surface, is_outward) = revolved(&edge);
                Ok((surface, is_outward, name::of(feature), name::is_cut(feature, self.job)))
            }
            Cover::Void => Err(self.lost(s, "there is no stone")),
        }
    }

    /// Upright walls within a side: of grooves, and of recess steps.
    fn steps(&mut self, s: usize, raised: &Raised) -> Result<(), SolidError> {
        for e in 0..raised.edges.len() {
            let [left, right] = raised.edges[e];
            let [on_left, on_right] = raised.cells[e].map(|c| self.sides[s].bases[c]);
            let across = raised.across.get(&e);
            let is_whole = left.is_some() && right.is_some() && left != right;
            let may_be_parted = self.sides[s].winds() && matches!(self.sides[s].edges[e].trace, Trace::Ring(_) | Trace::Wall(..));
            if on_left == Cover::Void || on_right == Cover::Void || on_left == on_right || !(is_whole || may_be_parted) {
                continue;
            }
            let step = self.step(s, e, on_left, on_right)?;
            if step == 0.0 {
                continue;
            }
            let (shallow, deep) = if step > 0.0 { (left, right) } else { (right, left) };
            // where a groove of the face has taken the stone away, the wall ends at what it left
            let all: Vec<usize> = shallow.into_iter().chain(across.into_iter().flatten().copied()).chain(deep).collect();
            for pair in all.chunks(2) {
                let &[shallow, deep] = pair else { return Err(self.lost(s, "what a groove of the face leaves of their walls is not closed")) };
                self.wall(s, (e, step > 0.0), [shallow, deep])?;
            }
        }
        Ok(())
    }

    /// The wall between two edges over one of the plan.
    fn wall(&mut self, s: usize, (e, is_right_deeper): (usize, bool), [shallow, deep]: [usize; 2]) -> Result<(), SolidError> {
        let (ends, path, trace) = { let e = &self.sides[s].edges[e]; (e.ends, e.path.clone(), e.trace) };
        // travelled with the open side on the right: low edge on, high edge back
        let (low, high) = if s == 0 { (shallow, deep) } else { (deep, shallow) };
        let columns = if is_right_deeper { ends } else { [ends[1], ends[0]] }.map(|p| self.columns[s][p]);
        let uses = self.merger.upright(Use { edge: low, is_forward: is_right_deeper }, Use { edge: high, is_forward: is_right_deeper }, columns);
        let (key, words, is_cut) = match trace {
            Trace::Ring(i) => {
                let feature = self.sides[s].rings[i].1;
                (Key::Ring(s, i), feature.map_or_else(String::new, name::of), feature.and_then(|f| name::is_cut(f, self.job)))
            }
            Trace::Wall(k, i) => (Key::Wall(s, k, i), format!("side {} groove {}", SideName::BOTH[s].letter(), if i < 2 { "wall" } else { "end" }), Some(true)),
            _ => return Err(self.lost(s, "their floor has a step")),
        };
        let (surface, is_outward) = self.upright(s, trace, &path, is_right_deeper);
        self.merger.piece(Piece { key, surface, is_outward, name: words, is_cut, uses });
        Ok(())
    }

    /// The plane or cylinder over an edge of the plan with the open side on the right of it, or on the left.
    pub(super) fn upright(&self, s: usize, trace: Trace, path: &Path, is_right_open: bool) -> (Surface, bool) {
        if let Trace::Face(j, i) = trace
            && let Some(helicoid) = self.sides[s].helicoid(j, i)
        {
            // from smaller to larger v the stone lies to the right in the plan
            return (Surface::Helical(helicoid), false);
        }
        match path {
            Path::Arc { centre, radius, sweep, .. } => {
                let origin = Vector::new(centre.x, centre.y, 0.0);
                // to the right of what turns left lies the outside
                (Surface::Cylinder { origin, axis: Vector::z(), radius: *radius }, is_right_open == (*sweep > 0.0))
            }
            _ => {
                let (a, b) = (path.at(0.0), path.at(1.0));
                let across = self.across(s, trace).unwrap_or(b - a);
                let right = -across.left() * across.dot(b - a).signum();
                let normal = right.unit().unwrap_or(right) * if is_right_open { 1.0 } else { -1.0 };
                (Surface::Plane { origin: Vector::new(a.x, a.y, 0.0), axis: Vector::new(normal.x, normal.y, 0.0) }, true)
            }
        }
    }

    /// The direction of a straight element, from its frame, so that a short piece of it has it too.
    fn across(&self, s: usize, trace: Trace) -> Option<Point> {
        let (frame, is_along) = match trace {
            Trace::Wall(k, i) => (self.sides[s].grooves[k].1, i < 2),
            Trace::Face(j, i) => (self.sides[s].faces[j].1, i != 1),
            _ => return None,
        };
        Some(if is_along { frame.plan(1.0, 0.0) } else { frame.plan(0.0, 1.0) })
    }

    /// Walls that both sides bound: outside diameter, bore, face grooves.
    fn around(&mut self, raised: &[Raised; 2]) -> Result<(), SolidError> {
        let last = self.sides.each_ref().map(|r| r.rings.len() - 1);
        let rim = self.job.wheel.outside_radius();
        let [a, b] = [0, 1].map(|s| self.links(s, &raised[s], self.seams[s], |t| t == Trace::Ring(last[s])));
        let bore = [0, 1].map(|s| self.links(s, &raised[s], self.seams[0], |t| t == Trace::Ring(0)));
        self.round(Key::Bore, bore, cylinder(self.job.wheel.bore_radius()), Feature::Bore)?;
        if self.sides[0].winds() {
            return self.around_wound(raised, &cylinder(rim));
        }
        self.round(Key::Rim, [a, b], cylinder(rim), Feature::OutsideDiameter)?;
        for j in 0..self.sides[0].faces.len() {
            for i in 0..3 {
                let trace = Trace::Face(j, i);
                let links = [0, 1].map(|s| self.links(s, &raised[s], self.seams[s], |t| t == trace));
                let Some(path) = self.sides[0].edges.iter().find(|e| e.trace == trace).map(|e| e.path.clone()) else { continue };
                let is_right_open = links[0].first().is_none_or(|l| l.is_void_right);
                let (surface, is_outward) = self.upright(0, trace, &path, is_right_open);
                let [a, b] = links;
                let uses = self.strip(a, b)?;
                self.merger.piece(Piece { key: Key::Face(j, i), surface, is_outward, name: "face groove".to_owned(), is_cut: Some(true), uses });
            }
        }
        Ok(())
    }

    /// The edges of a side that stand on a wall both sides bound, in the order in which they follow each other from the seam, void on their right.
    fn links(&self, s: usize, raised: &Raised, seam: f64, is_on: impl Fn(Trace) -> bool) -> Vec<Link> {
        let side = &self.sides[s];
        let mut links = Vec::new();
        for (e, edge) in side.edges.iter().enumerate().filter(|(_, edge)| is_on(edge.trace)) {
            let covers = raised.cells[e].map(|c| side.covers[c]);
            let is_void_right = covers[1] == Cover::Void;
            if (covers[0] == Cover::Void) == is_void_right {
                continue;
            }
            let solid = covers[usize::from(!is_void_right)];
            let Some(over) = raised.edges[e][usize::from(!is_void_right)] else { continue };
            let ends = if is_void_right { edge.ends } else { [edge.ends[1], edge.ends[0]] };
            let middle = edge.path.at(if is_void_right { 0.0 } else { 1.0 });
            links.push(Link {
                edge: over,
                is_forward: is_void_right,
                from: (middle.angle() - seam).rem_euclid(TAU),
                ends: ends.map(|p| self.columns[s][p]),
                z: ends.map(|p| self.place(s, solid, side.points[p]).z),
                is_void_right,
            });
        }
        links
    }

    /// Chains of links: each link begins in the column where the one before ended.
    fn chains(links: Vec<Link>) -> Vec<Vec<Link>> {
        let ends: HashSet<usize> = links.iter().map(|l| l.ends[1]).collect();
        let mut by_start: HashMap<usize, Link> = HashMap::new();
        let mut starts = Vec::new();
        for link in links {
            if !ends.contains(&link.ends[0]) {
                starts.push(link.ends[0]);
            }
            by_start.insert(link.ends[0], link);
        }
        let mut starts = starts.into_iter();
        let mut chains = Vec::new();
        // what is left after the chains with a beginning goes round
        while let Some(start) = starts.next().or_else(|| by_start.keys().min().copied()) {
            let mut at = start;
            let mut chain = Vec::new();
            while let Some(link) = by_start.remove(&at) {
                at = link.ends[1];
                chain.push(link);
            }
            chains.push(chain);
        }
        chains
    }

    /// The loop of a wall between one chain of side A and one of side B.
    fn strip(&mut self, a: Vec<Link>, b: Vec<Link>) -> Result<Vec<Use>, SolidError> {
        let (a, b) = (Self::chains(a), Self::chains(b));
        let ([a], [b]) = (a.as_slice(), b.as_slice()) else {
            let feature = "the grooves of the face".to_owned();
            return Err(SolidError { feature, why: "a wall of theirs is parted by grooves of the sides".to_owned() });
        };
        Ok(self.merger.between(&Self::run(a), &Self::run(b)))
    }

    fn run(chain: &[Link]) -> Vec<Step> {
        chain
            .iter()
            .map(|l| Step { with: Use { edge: l.edge, is_forward: l.is_forward }, columns: l.ends, z: l.z })
            .collect()
    }

    /// The outside diameter or the bore, whole or in strips between face grooves.
    pub(super) fn round(&mut self, key: Key, links: [Vec<Link>; 2], surface: Surface, feature: Feature) -> Result<(), SolidError> {
        let is_outward = key == Key::Rim;
        let [mut a, mut b] = links.map(Self::chains);
        if a.len() != b.len() {
            return Err(self.lost(0, "the strips of the outside diameter do not match"));
        }
        // a chain that goes round begins at the seam
        let lap = |chain: &mut Vec<Link>| {
            let closed = chain.first().zip(chain.last()).is_some_and(|(f, l)| f.ends[0] == l.ends[1]);
            if closed {
                let at = (0..chain.len()).min_by(|&i, &j| near_zero(chain[i].from).total_cmp(&near_zero(chain[j].from))).unwrap_or(0);
                chain.rotate_left(at);
            }
        };
        a.iter_mut().chain(&mut b).for_each(lap);
        let begin = |chain: &Vec<Link>| chain.first().map_or(0.0, |l| l.from);
        a.sort_by(|p, q| begin(p).total_cmp(&begin(q)));
        b.sort_by(|p, q| begin(p).total_cmp(&begin(q)));
        for (a, b) in a.iter().zip(&b) {
            let uses = self.merger.between(&Self::run(a), &Self::run(b));
            let (words, is_cut) = (name::of(feature), name::is_cut(feature, self.job));
            self.merger.piece(Piece { key, surface: surface.clone(), is_outward, name: words, is_cut, uses });
        }
        Ok(())
    }
}

fn near_zero(angle: f64) -> f64 {
    angle.min(TAU - angle)
}

fn cylinder(radius: f64) -> Surface {
    Surface::Cylinder { origin: Vector::zeros(), axis: Vector::z(), radius }
}
