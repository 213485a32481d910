//! The boundary as triangles: edges are parted once and shared by the faces on both sides, so that the mesh is closed; no triangle lies farther from
//! the true surface than asked.
//!
//! A face is triangulated where it lies flat (`laid.rs`); where a triangle's side leaves the surface too far, a point of the surface is put there.

use super::laid::{Laid, arc_step};
use super::{Curve, Edge, Face, Solid, SolidError, Surface, Use, Vector, curve};
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};
use crate::tolerance::ONE_POINT;
use std::collections::{BTreeMap, HashMap, VecDeque};
use std::f64::consts::TAU;

/// How often points are put where triangles leave the surface.
const ROUNDS: usize = 24;

/// A closed mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Mesh {
    /// The points, mm.
    pub points: Vec<Vector>,
    /// Triangles, counter-clockwise as seen from outside the wheel, each with its face.
    pub triangles: Vec<([usize; 3], usize)>,
    /// The solid's edges as chains of points, without those that only close what goes round.
    pub edges: Vec<Vec<usize>>,
}

impl Mesh {
    /// Of a solid; `deviation` in mm is how far triangles may lie from the true surfaces.
    ///
    /// # Errors
    /// Where a face cannot be triangulated.
    pub fn of(solid: &Solid, deviation: f64) -> Result<Mesh, SolidError> {
        // chords of edges and triangles between them share what is allowed
        let deviation = deviation / 2.0;
        let mut points = solid.vertices.clone();
        let edges: Vec<Vec<usize>> = solid.edges.iter().map(|e| parted(e, solid, deviation, &mut points)).collect();
        let mut mesh = Mesh { points, triangles: Vec::new(), edges };
        for (f, face) in solid.faces.iter().enumerate() {
            let found = Sheet::of(face, &mesh, deviation).triangles(&mut mesh.points, deviation).ok_or_else(|| SolidError {
                feature: face.name.clone(),
                why: "it cannot be parted into triangles".to_owned(),
            })?;
            mesh.triangles.extend(found.into_iter().map(|t| (t, f)));
        }
        let mut is_seam = vec![false; solid.edges.len()];
        for uses in solid.faces.iter().flat_map(|f| &f.loops) {
            for u in uses {
                is_seam[u.edge] |= uses.iter().any(|other| other.edge == u.edge && other.is_forward != u.is_forward);
            }
        }
        let mut seams = is_seam.iter();
        mesh.edges.retain(|_| seams.next() == Some(&false));
        Ok(mesh.joined())
    }

    /// The same with points joined that a side of no length to speak of parts, or that 32-bit numbers cannot tell apart: files and their readers take
    /// them for one. Of triangles that then lie on each other, back to back, both go.
    fn joined(self) -> Mesh {
        let mut first: HashMap<[u32; 3], usize> = HashMap::new();
        // adding 0 makes the negative zero the other one
        let rounded = |p: &Vector| [p.x, p.y, p.z].map(|v| (v as f32 + 0.0).to_bits());
        let mut same: Vec<usize> = self.points.iter().enumerate().map(|(i, p)| *first.entry(rounded(p)).or_insert(i)).collect();
        for (t, _) in &self.triangles {
            for k in 0..3 {
                let (a, b) = (root(&same, t[k]), root(&same, t[(k + 1) % 3]));
                if a != b && (self.points[a] - self.points[b]).norm() < ONE_POINT {
                    same[a.max(b)] = a.min(b);
                }
            }
        }
        let one = |i: usize| root(&same, i);
        let triangles = self.triangles.iter().map(|(t, f)| (t.map(one), *f));
        let edges = self.edges.iter().map(|edge| {
            let mut chain: Vec<usize> = edge.iter().copied().map(one).collect();
            chain.dedup();
            chain
        });
        let mut kept: BTreeMap<[usize; 3], Vec<([usize; 3], usize)>> = BTreeMap::new();
        for (t, f) in triangles.filter(|([a, b, c], _)| a != b && b != c && c != a) {
            let mut corners = t;
            corners.sort_unstable();
            let here = kept.entry(corners).or_default();
            match here.iter().position(|(other, _)| is_even(other) != is_even(&t)) {
                Some(back) => drop(here.remove(back)),
                None => here.push((t, f)),
            }
        }
        let mut triangles: Vec<([usize; 3], usize)> = kept.into_values().flatten().collect();
        triangles.sort_by_key(|(_, face)| *face);
        Mesh {
            triangles,
            edges: edges.filter(|chain| chain.len() > 1).collect(),
            points: self.points,
        }
    }
}

/// Whether a triangle's corners run round as their numbers do.
fn is_even([a, b, c]: &[usize; 3]) -> bool {
    // two of the three rise all the same when they are turned round, one when they are taken backwards
    [a < b, b < c, c < a].into_iter().filter(|rises| *rises).count() == 2
}

/// The point that stands for another.
fn root(same: &[usize], mut i: usize) -> usize {
    while same[i] != i {
        i = same[i];
    }
    i
}

/// The points of an edge, its ends included.
fn parted(edge: &Edge, solid: &Solid, deviation: f64, points: &mut Vec<Vector>) -> Vec<usize> {
    let first = points.len();
    points.extend(inner(edge, solid, deviation));
    [edge.start].into_iter().chain(first..points.len()).chain([edge.end]).collect()
}

/// Places along an edge, its ends left out, so many that chords lie near enough.
pub fn inner(edge: &Edge, solid: &Solid, deviation: f64) -> Vec<Vector> {
    let (start, end) = (solid.vertices[edge.start], solid.vertices[edge.end]);
    match &edge.curve {
        Curve::Line => Vec::new(),
        Curve::Circle { centre, axis, radius } => {
            let from = start - centre;
            let aside = axis.cross(&from);
            let swept = (end - centre).dot(&aside).atan2((end - centre).dot(&from)).rem_euclid(TAU);
            let swept = if edge.start == edge.end { TAU } else { swept };
            let pieces = (swept / arc_step(*radius, deviation)).ceil().max(1.0) as usize;
            let at = |i: usize| {
                let (sin, cos) = (swept * i as f64 / pieces as f64).sin_cos();
                centre + from * cos + aside * sin
            };
            (1..pieces).map(at).collect()
        }
        Curve::Conic(conic) => conic.places([start, end], deviation),
        Curve::Spline { points, knots } => {
            let places = curve::cubics(points, knots).into_iter().flat_map(|cubic| cubic_places(cubic, deviation));
            let mut places: Vec<Vector> = places.collect();
            places.pop();
            places
        }
    }
}

/// Places of a cubic piece, its beginning left out, so many that chords lie near enough.
fn cubic_places([a, b, c, d]: [Vector; 4], deviation: f64) -> Vec<Vector> {
    // a chord of 1/n of a cubic lies off by at most 3/4 of the larger second difference of its control points over n²
    let bend = (a - b * 2.0 + c).norm().max((b - c * 2.0 + d).norm());
    let pieces = (bend * 0.75 / deviation).sqrt().ceil().max(1.0) as usize;
    let at = |i: usize| {
        let t = i as f64 / pieces as f64;
        let s = 1.0 - t;
        a * (s * s * s) + b * (3.0 * s * s * t) + c * (3.0 * s * t * t) + d * (t * t * t)
    };
    (1..=pieces).map(at).collect()
}

/// A point of a face where it lies flat.
#[derive(Clone, Copy)]
struct Spot {
    at: Point2<f64>,
    index: usize,
}

impl HasPosition for Spot {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.at
    }
}

/// A face laid flat.
struct Sheet<'a> {
    surface: &'a Surface,
    laid: Laid,
    /// Its loops.
    loops: Vec<Vec<Spot>>,
}

type Net = ConstrainedDelaunayTriangulation<Spot>;

impl Sheet<'_> {
    fn of<'a>(face: &'a Face, mesh: &Mesh, deviation: f64) -> Sheet<'a> {
        let places: Vec<Vec<usize>> = face.loops.iter().map(|uses| run(uses, mesh)).collect();
        let at = |loops: &[usize]| loops.iter().map(|&i| mesh.points[i]).collect::<Vec<Vector>>();
        let all: Vec<Vec<Vector>> = places.iter().map(|l| at(l)).collect();
        let laid = Laid::of(&face.surface, &all, deviation);
        let flat = laid.loops(&all);
        let spot = |(&index, &[x, y]): (&usize, &[f64; 2])| Spot { at: Point2::new(x, y), index };
        let loops = places.iter().zip(&flat).map(|(indices, flat)| indices.iter().zip(flat).map(spot).collect()).collect();
        Sheet { surface: &face.surface, laid, loops }
    }

    /// The triangles, corners counter-clockwise from outside; points within are added.
    fn triangles(&self, points: &mut Vec<Vector>, deviation: f64) -> Option<Vec<[usize; 3]>> {
        let mut net = self.net()?;
        if !matches!(self.surface, Surface::Plane { .. }) {
            for _ in 0..ROUNDS {
                let wanted = self.too_far(&net, points, deviation);
                if wanted.is_empty() {
                    break;
                }
                for at in wanted {
                    points.push(self.laid.raised(at));
                    net.insert(Spot { at: Point2::new(at[0], at[1]), index: points.len() - 1 }).ok()?;
                }
            }
        }
        let area: f64 = self.loops.iter().map(|l| signed_area(l)).sum();
        Some(inside(&net).into_iter().map(|[a, b, c]| [a.index, b.index, c.index]).map(|[a, b, c]| if area > 0.0 { [a, b, c] } else { [a, c, b] }).collect())
    }

    /// The loops as constraints.
    fn net(&self) -> Option<Net> {
        let mut net = Net::new();
        // an edge that is run along both ways bounds nothing
        let mut sides: BTreeMap<(usize, usize), u32> = BTreeMap::new();
        let mut lines = Vec::new();
        for spots in &self.loops {
            let handles: Vec<_> = spots.iter().map(|s| net.insert(*s).ok()).collect::<Option<_>>()?;
            for (&a, &b) in handles.iter().zip(handles.iter().cycle().skip(1)) {
                if a != b {
                    *sides.entry((a.index().min(b.index()), a.index().max(b.index()))).or_default() += 1;
                    lines.push((a, b));
                }
            }
        }
        for (a, b) in lines {
            if sides.get(&(a.index().min(b.index()), a.index().max(b.index()))).is_some_and(|n| n % 2 == 1) {
                if !net.can_add_constraint(a, b) {
                    return None;
                }
                net.add_constraint(a, b);
            }
        }
        Some(net)
    }

    /// Where sides or middles of triangles lie too far from the surface, each place once.
    fn too_far(&self, net: &Net, points: &[Vector], deviation: f64) -> Vec<[f64; 2]> {
        let middle = |spots: &[Spot]| {
            let share = 1.0 / spots.len() as f64;
            let flat = spots.iter().fold([0.0, 0.0], |[x, y], s| [x + s.at.x * share, y + s.at.y * share]);
            let space = spots.iter().fold(Vector::zeros(), |sum, s| sum + points[s.index] * share);
            (flat, (self.laid.raised(flat) - space).norm())
        };
        let mut sides: HashMap<(usize, usize), u32> = HashMap::new();
        let mut out = Vec::new();
        let bounds = self.bounds();
        for [a, b, c] in inside(net) {
            let mut far = false;
            for (p, q) in [(a, b), (b, c), (c, a)] {
                let key = (p.index.min(q.index), p.index.max(q.index));
                if bounds.contains_key(&key) {
                    continue;
                }
                let (flat, off) = middle(&[p, q]);
                if off > deviation {
                    far = true;
                    let times = sides.entry(key).or_default();
                    *times += 1;
                    if *times == 1 {
                        out.push(flat);
                    }
                }
            }
            let (flat, off) = middle(&[a, b, c]);
            if !far && off > deviation {
                out.push(flat);
            }
        }
        out
    }

    /// Sides of triangles that are pieces of the face's edges: they stay.
    fn bounds(&self) -> HashMap<(usize, usize), ()> {
        let pairs = self.loops.iter().flat_map(|l| l.iter().zip(l.iter().cycle().skip(1)));
        pairs.map(|(a, b)| ((a.index.min(b.index), a.index.max(b.index)), ())).collect()
    }
}

fn signed_area(spots: &[Spot]) -> f64 {
    let pairs = spots.iter().zip(spots.iter().cycle().skip(1));
    pairs.map(|(p, q)| p.at.x * q.at.y - q.at.x * p.at.y).sum::<f64>() / 2.0
}

/// The triangles of a net that lie within its constraints, counter-clockwise there.
fn inside(net: &Net) -> Vec<[Spot; 3]> {
    let outer = net.outer_face().fix().index();
    let mut is_in: Vec<Option<bool>> = vec![None; net.num_all_faces()];
    is_in[outer] = Some(false);
    let mut across: Vec<Vec<(usize, bool)>> = vec![Vec::new(); net.num_all_faces()];
    for edge in net.undirected_edges() {
        let half = edge.as_directed();
        let (a, b) = (half.face().fix().index(), half.rev().face().fix().index());
        across[a].push((b, edge.is_constraint_edge()));
        across[b].push((a, edge.is_constraint_edge()));
    }
    let mut waiting = VecDeque::from([outer]);
    while let Some(face) = waiting.pop_front() {
        for &(other, is_bound) in &across[face] {
            if is_in[other].is_none() {
                is_in[other] = is_in[face].map(|inside| inside != is_bound);
                waiting.push_back(other);
            }
        }
    }
    let kept = net.inner_faces().filter(|f| is_in[f.fix().index()] == Some(true));
    kept.map(|f| f.vertices().map(|v| *v.data())).collect()
}

/// The points of a loop, each edge without its last.
fn run(uses: &[Use], mesh: &Mesh) -> Vec<usize> {
    let chain = |u: &Use| {
        let points = &mesh.edges[u.edge];
        let last = points.len() - 1;
        if u.is_forward { points[..last].to_vec() } else { points[1..].iter().rev().copied().collect::<Vec<usize>>() }
    };
    uses.iter().flat_map(chain).collect()
}
