//! One face as triangles: it is triangulated where it lies flat (`laid.rs`); where a triangle's side leaves the surface too far, a point of the surface is
//! put there.

use super::laid::Laid;
use super::{Surface, Vector};
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};
use std::collections::{BTreeMap, HashMap, HashSet};

/// How often points are put where triangles leave the surface.
const ROUNDS: usize = 24;

/// A face's triangles.
#[derive(Debug, Clone, Default)]
pub struct Parted {
    /// Points within it, mm.
    pub within: Vec<Vector>,
    /// Corners, counter-clockwise as seen from outside: points of its loops by their order there, then those within.
    pub triangles: Vec<[usize; 3]>,
}

/// Of a face on a surface with these loops, by index of their points; `deviation`, mm, is how far triangles may lie off. `None` where its loops cross.
pub fn parted(surface: &Surface, loops: &[Vec<usize>], points: &[Vector], deviation: f64) -> Option<Parted> {
    let at: Vec<Vec<Vector>> = loops.iter().map(|l| l.iter().map(|&i| points[i]).collect()).collect();
    Sheet::of(surface, loops, &at, deviation).parted(at.concat(), deviation)
}

/// A point of a face where it lies flat.
#[derive(Clone, Copy)]
struct Spot {
    at: Point2<f64>,
    /// Its point, by the order of the loops; those within follow.
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
    fn of<'a>(surface: &'a Surface, loops: &[Vec<usize>], at: &[Vec<Vector>], deviation: f64) -> Sheet<'a> {
        let laid = Laid::of(surface, at, deviation);
        // a point that the loops run through twice is one
        let mut first: HashMap<usize, usize> = HashMap::new();
        let indices: Vec<usize> = loops.iter().flatten().enumerate().map(|(i, &point)| *first.entry(point).or_insert(i)).collect();
        let mut indices = indices.into_iter();
        let spot = |([x, y], index): ([f64; 2], usize)| Spot { at: Point2::new(x, y), index };
        let loops = laid.loops(at).into_iter().map(|flat| flat.into_iter().zip(&mut indices).map(spot).collect()).collect();
        Sheet { surface, laid, loops }
    }

    /// `points` are those of the loops.
    fn parted(&self, mut points: Vec<Vector>, deviation: f64) -> Option<Parted> {
        let mut net = self.net()?;
        let outlines = points.len();
        if !matches!(self.surface, Surface::Plane { .. }) {
            let bounds = self.bounds();
            for _ in 0..ROUNDS {
                let wanted = self.too_far(&net, &points, &bounds, deviation);
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
        let corners = |[a, b, c]: [Spot; 3]| if area > 0.0 { [a.index, b.index, c.index] } else { [a.index, c.index, b.index] };
        Some(Parted { triangles: inside(&net).into_iter().map(corners).collect(), within: points.split_off(outlines) })
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
    fn too_far(&self, net: &Net, points: &[Vector], bounds: &HashSet<(usize, usize)>, deviation: f64) -> Vec<[f64; 2]> {
        let middle = |spots: &[Spot]| {
            let share = 1.0 / spots.len() as f64;
            let flat = spots.iter().fold([0.0, 0.0], |[x, y], s| [x + s.at.x * share, y + s.at.y * share]);
            let space = spots.iter().fold(Vector::zeros(), |sum, s| sum + points[s.index] * share);
            (flat, (self.laid.raised(flat) - space).norm())
        };
        let mut sides: HashMap<(usize, usize), u32> = HashMap::new();
        let mut out = Vec::new();
        for [a, b, c] in inside(net) {
            let mut far = false;
            for (p, q) in [(a, b), (b, c), (c, a)] {
                let key = (p.index.min(q.index), p.index.max(q.index));
                if bounds.contains(&key) {
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
    fn bounds(&self) -> HashSet<(usize, usize)> {
        let pairs = self.loops.iter().flat_map(|l| l.iter().zip(l.iter().cycle().skip(1)));
        pairs.map(|(a, b)| (a.index.min(b.index), a.index.max(b.index))).collect()
    }
}

fn signed_area(spots: &[Spot]) -> f64 {
    let pairs = spots.iter().zip(spots.iter().cycle().skip(1));
    pairs.map(|(p, q)| p.at.x * q.at.y - q.at.x * p.at.y).sum::<f64>() / 2.0
}

/// The triangles of a net that lie within its constraints, counter-clockwise there.
fn inside(net: &Net) -> Vec<[Spot; 3]> {
    let mut is_in: Vec<Option<bool>> = vec![None; net.num_all_faces()];
    let mut across: Vec<(_, bool)> = net.directed_edges().filter(|edge| edge.face().is_outer()).map(|edge| (edge, false)).collect();
    while let Some((edge, is_from_in)) = across.pop() {
        let Some(other) = edge.rev().face().as_inner() else { continue };
        let index = other.fix().index();
        if is_in[index].is_none() {
            let is_other_in = is_from_in != edge.as_undirected().is_constraint_edge();
            is_in[index] = Some(is_other_in);
            across.extend(other.adjacent_edges().map(|edge| (edge, is_other_in)));
        }
    }
    let kept = net.inner_faces().filter(|f| is_in[f.fix().index()] == Some(true));
    kept.map(|f| f.vertices().map(|v| *v.data())).collect()
}
