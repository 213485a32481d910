//! The boundary as triangles: edges are parted once and shared by the faces on both sides, so that the mesh is closed; no triangle lies farther from
//! the true surface than asked.
//!
//! Faces that are others turned have the triangles of one of those turned (`copies.rs`).

use super::copies::Copies;
use super::laid::arc_step;
use super::{Curve, Edge, Face, Solid, SolidError, Use, Vector, curve, sectors};
use crate::tolerance::ONE_POINT;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::f64::consts::TAU;

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

/// So many finer meshes are tried where one does not close, each with this share of the deviation before.
const TRIES: u32 = 6;
const FINER: f64 = 0.93;

impl Mesh {
    /// The same, held to being closed: where rounding laid two triangles on each other, a slightly finer mesh is taken, never a coarser one.
    ///
    /// # Errors
    /// Where no such mesh closes, and as [`Mesh::of`].
    pub fn closed(solid: &Solid, deviation: f64) -> Result<Mesh, SolidError> {
        for n in 0..TRIES {
            let mut mesh = Mesh::of(solid, deviation * FINER.powi(n as i32))?;
            let is_mended = |mesh: &mut Mesh| {
                mesh.turn_sides();
                mesh.is_closed()
            };
            if mesh.is_closed() || is_mended(&mut mesh) {
                return Ok(mesh);
            }
        }
        let why = "its triangles do not close; ask for another deviation".to_owned();
        Err(SolidError { feature: "the mesh".to_owned(), why })
    }

    /// Where rounding makes points along one line of two faces seem to bend towards both, either face has a triangle of no height upon the same side:
    /// the side between it and the next triangle of one of the faces is put across.
    fn turn_sides(&mut self) {
        let mut users: HashMap<[usize; 2], Vec<usize>> = HashMap::new();
        for (t, ([a, b, c], _)) in self.triangles.iter().enumerate() {
            for [p, q] in [[a, b], [b, c], [c, a]] {
                users.entry([*p.min(q), *p.max(q)]).or_default().push(t);
            }
        }
        let mut shared: Vec<([usize; 2], Vec<usize>)> = users.into_iter().filter(|(_, of)| of.len() > 2).collect();
        shared.sort_unstable();
        for (side, of) in shared {
            let third = |t: usize| self.triangles[t].0.into_iter().find(|p| !side.contains(p));
            let height = |t: usize| {
                let [a, b] = side.map(|p| self.points[p]);
                third(t).map_or(f64::INFINITY, |m| (self.points[m] - a).cross(&(b - a)).norm())
            };
            let Some(&flat) = of.iter().min_by(|s, t| height(**s).total_cmp(&height(**t))) else { continue };
            let other = of.iter().copied().find(|&t| t != flat && self.triangles[t].1 == self.triangles[flat].1);
            let Some((other, m, c)) = other.and_then(|t| Some((t, third(flat)?, third(t)?))) else { continue };
            // the other triangle goes from a to b, the flat one back
            let corners = self.triangles[other].0;
            let at = corners.iter().position(|&p| p == c).unwrap_or(0);
            let (a, b) = (corners[(at + 1) % 3], corners[(at + 2) % 3]);
            self.triangles[flat].0 = [a, m, c];
            self.triangles[other].0 = [m, b, c];
        }
    }

    /// Whether every side of a triangle is one of exactly one other, the other way round.
    pub fn is_closed(&self) -> bool {
        let ways = |&([a, b, c], _): &([usize; 3], usize)| [[a, b], [b, c], [c, a]];
        let mut sides: Vec<[usize; 2]> = self.triangles.iter().flat_map(ways).collect();
        sides.sort_unstable();
        let is_alone = sides.windows(2).all(|pair| pair[0] != pair[1]);
        is_alone && sides.iter().all(|&[a, b]| sides.binary_search(&[b, a]).is_ok())
    }

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
        let mut copies = Copies::default();
        for (f, face) in solid.faces.iter().enumerate() {
            let in_sectors = chains(face, &mesh).and_then(|[one, other]| {
                sectors::triangles(&face.surface, [&one, &other], solid.sectors, &mut mesh.points, deviation)
            });
            let found = in_sectors.or_else(|| {
                let loops = face.loops.iter().map(|uses| run(uses, &mesh)).collect();
                copies.triangles(face, loops, &mut mesh.points, deviation)
            });
            let found = found.ok_or_else(|| SolidError {
                feature: face.name.clone(),
                why: "it cannot be parted into triangles".to_owned(),
            })?;
            mesh.triangles.extend(found.into_iter().map(|t| (t, f)));
        }
        let mut is_seam = vec![false; solid.edges.len()];
        let mut used_by = vec![None; solid.edges.len()];
        for (f, face) in solid.faces.iter().enumerate() {
            for u in face.loops.iter().flatten() {
                is_seam[u.edge] |= used_by[u.edge].replace(f) == Some(f);
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
        let triangles: Vec<([usize; 3], usize)> = self.triangles.iter().map(|(t, f)| (t.map(one), *f)).collect();
        let edges = self.edges.iter().map(|edge| {
            let mut chain: Vec<usize> = edge.iter().copied().map(one).collect();
            chain.dedup();
            chain
        });
        let is_whole = self.whole(&same);
        let mut at_joined: BTreeMap<[usize; 3], Vec<usize>> = BTreeMap::new();
        let mut gone: HashSet<usize> = HashSet::new();
        for (i, (t, _)) in triangles.iter().enumerate().filter(|(_, (t, _))| !t.iter().all(|&p| is_whole[p])) {
            let mut corners = *t;
            corners.sort_unstable();
            let here = at_joined.entry(corners).or_default();
            let back = here.iter().position(|&other| is_even(&triangles[other].0) != is_even(t));
            if corners[0] == corners[1] || corners[1] == corners[2] {
                gone.insert(i);
            } else if let Some(back) = back {
                gone.extend([here.remove(back), i]);
            } else {
                here.push(i);
            }
        }
        Mesh {
            edges: edges.filter(|chain| chain.len() > 1).collect(),
            triangles: triangles.iter().enumerate().filter(|(i, _)| !gone.contains(i)).map(|(_, t)| *t).collect(),
            points: self.points,
        }
    }
}

impl Mesh {
    /// Points at which no two triangles can lie on each other: none was joined with them, and no two edges run alike there.
    fn whole(&self, same: &[usize]) -> Vec<bool> {
        let mut is_whole = vec![true; same.len()];
        for i in (0..same.len()).filter(|&i| same[i] != i) {
            is_whole[i] = false;
            is_whole[root(same, i)] = false;
        }
        let mut chords: HashSet<(usize, usize)> = HashSet::new();
        for pair in self.edges.iter().flat_map(|edge| edge.windows(2)) {
            let (a, b) = (root(same, pair[0]), root(same, pair[1]));
            if !chords.insert((a.min(b), a.max(b))) {
                is_whole[a] = false;
                is_whole[b] = false;
            }
        }
        is_whole
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
    points.extend(inner(edge, solid, deviation, solid.sectors));
    [edge.start].into_iter().chain(first..points.len()).chain([edge.end]).collect()
}

/// Places along an edge, its ends left out, so many that chords lie near enough; each sector has as many of a whole circle.
pub fn inner(edge: &Edge, solid: &Solid, deviation: f64, sectors: usize) -> Vec<Vector> {
    let (start, end) = (solid.vertices[edge.start], solid.vertices[edge.end]);
    match &edge.curve {
        Curve::Line => Vec::new(),
        Curve::Circle { centre, axis, radius } => {
            let from = start - centre;
            let aside = axis.cross(&from);
            let swept = (end - centre).dot(&aside).atan2((end - centre).dot(&from)).rem_euclid(TAU);
            let swept = if edge.start == edge.end { TAU } else { swept };
            let pieces = (swept / arc_step(*radius, deviation)).ceil().max(1.0) as usize;
            let pieces = if edge.start == edge.end { pieces.next_multiple_of(sectors) } else { pieces };
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

/// The two chains of points that bound a face which goes round, without what closes it; `None` of any other.
fn chains(face: &Face, mesh: &Mesh) -> Option<[Vec<usize>; 2]> {
    if let [one, other] = face.loops.as_slice() {
        return Some([run(one, mesh), run(other, mesh)]);
    }
    let [uses] = face.loops.as_slice() else { return None };
    let mut times: HashMap<usize, u32> = HashMap::new();
    uses.iter().for_each(|u| *times.entry(u.edge).or_default() += 1);
    let is_seam = |u: &Use| times.get(&u.edge) == Some(&2);
    let first = uses.iter().position(is_seam)?;
    let from_seam: Vec<Use> = uses[first..].iter().chain(&uses[..first]).copied().collect();
    let parts: Vec<Vec<usize>> = from_seam.split(is_seam).filter(|part| !part.is_empty()).map(|part| run(part, mesh)).collect();
    let is_straight = from_seam.iter().filter(|u| is_seam(u)).all(|u| mesh.edges[u.edge].len() == 2);
    <[Vec<usize>; 2]>::try_from(parts).ok().filter(|_| is_straight)
}

/// The points of a loop, each edge without its last.
fn run(uses: &[Use], mesh: &Mesh) -> Vec<usize> {
    let mut out = Vec::with_capacity(uses.len());
    for u in uses {
        let points = &mesh.edges[u.edge];
        let last = points.len() - 1;
        if u.is_forward { out.extend_from_slice(&points[..last]) } else { out.extend(points[1..].iter().rev()) }
    }
    out
}
