//! The half-section divided into triangles of six nodes, finer where stress changes quickly. Places are chosen here, a library joins them.

use super::element::is_folded;
use super::material::Material;
use super::order::elimination;
use super::{Fineness, StressError, Triangle};
use crate::geometry::{Edge, Point};
use crate::section::Feature;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::SideName;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};
use std::collections::HashMap;

/// Growth of the elements' size with the distance from a place that needs small ones. Dimensionless.
const GROWTH: f64 = 0.6;
/// Nearest that a place inside may lie to one on an outline or floor, in sizes of an element.
const APART: f64 = 0.62;
/// Samples by which an edge's density of nodes is added up.
const SAMPLES: usize = 24;

/// The divided section.
pub(super) struct Mesh {
    /// Places of the nodes, (r, z) in mm.
    pub(super) nodes: Vec<Point>,
    pub(super) triangles: Vec<Triangle>,
    /// Stretches of the outline: ends and the node between, and what makes the edge.
    pub(super) outline: Vec<([usize; 3], Feature)>,
}

/// A place that asks for small elements, and how small.
type Demand = (Point, f64);

/// One stretch of the outline: from its own corner to the next one's, by way of a place between.
struct Stretch {
    between: Point,
    feature: Feature,
}

impl Mesh {
    pub(super) fn of(material: &Material<'_>, fineness: Fineness) -> Result<Mesh, StressError> {
        let sizes = Sizes::of(material, fineness);
        let (mut places, stretches) = outline(material, &sizes);
        let rim = places.len();
        if !places.iter().all(|p| p.is_finite()) || rim < 4 {
            return Err(StressError::NoSection);
        }
        let polygon = places.clone();
        let seams = add_floors(&mut places, material, &sizes);
        let inside = lattice(material, &sizes).into_iter().filter(|p| contains(&polygon, *p));
        add_apart(&mut places, inside.collect(), &sizes);
        let corners = joined(&places, rim, &seams).ok_or(StressError::NoSection)?;
        let corners = corners.into_iter().filter(|t| is_inside(&polygon, &places, t)).collect();
        Ok(Mesh::with_middles(places, corners, &stretches))
    }

    /// Adds the nodes between corners: on arcs of the outline on the arc itself.
    fn with_middles(mut nodes: Vec<Point>, corners: Vec<[usize; 3]>, stretches: &[Stretch]) -> Mesh {
        let rim = stretches.len();
        let mut middles: HashMap<(usize, usize), usize> = HashMap::new();
        let mut outline = Vec::with_capacity(rim);
        for (i, stretch) in stretches.iter().enumerate() {
            let next = (i + 1) % rim;
            middles.insert((i.min(next), i.max(next)), nodes.len());
            outline.push(([i, next, nodes.len()], stretch.feature));
            nodes.push(stretch.between);
        }
        let mut triangles = Vec::with_capacity(corners.len());
        for [a, b, c] in corners {
            let mut between = |i: usize, j: usize| {
                *middles.entry((i.min(j), i.max(j))).or_insert_with(|| {
                    nodes.push(nodes[i].lerp(nodes[j], 0.5));
                    nodes.len() - 1
                })
            };
            let (ab, bc, ca) = (between(a, b), between(b, c), between(c, a));
            triangles.push([a, b, c, ab, bc, ca]);
        }
        // sides that bulge so far that their element folds over are drawn straight
        for t in &triangles {
            if is_folded(&t.map(|i| nodes[i])) {
                (0..3).for_each(|k| nodes[t[3 + k]] = nodes[t[k]].lerp(nodes[t[(k + 1) % 3]], 0.5));
            }
        }
        Mesh { nodes, triangles, outline }.in_order()
    }

    /// Numbers the nodes in the order in which they are eliminated; nodes of no triangle go.
    fn in_order(self) -> Mesh {
        let mut is_used = vec![false; self.nodes.len()];
        self.triangles.iter().flatten().for_each(|&i| is_used[i] = true);
        let order = elimination(self.nodes.len(), &self.triangles).into_iter().filter(|i| is_used[*i]);
        let used: Vec<usize> = order.collect();
        let mut number = vec![usize::MAX; self.nodes.len()];
        used.iter().enumerate().for_each(|(new, &old)| number[old] = new);
        let outline = self.outline.into_iter().map(|(ends, f)| (ends.map(|i| number[i]), f));
        Mesh {
            nodes: used.iter().map(|&i| self.nodes[i]).collect(),
            triangles: self.triangles.into_iter().map(|t| t.map(|i| number[i])).collect(),
            outline: outline.filter(|(ends, _)| ends.iter().all(|i| *i != usize::MAX)).collect(),
        }
    }
}

/// How large elements may be, by place.
struct Sizes {
    largest: f64,
    demands: Vec<Demand>,
}

impl Sizes {
    fn of(material: &Material<'_>, fineness: Fineness) -> Sizes {
        let area = material.section.moments().area;
        let largest = (area / fineness.elements.max(1) as f64).sqrt();
        let mut demands = Vec::new();
        for (edge, feature) in material.section.edges() {
            let (length, on) = (edge.length(), |t: f64| edge.at(t));
            let wanted = match feature {
                Feature::RecessFillet(..) => length / fineness.of_fillet.max(1) as f64,
                // tension falls off over about the bore's own radius
                Feature::Bore => (largest / 2.0).min(edge.start().x / 3.0),
                _ if matches!(edge, Edge::Arc(_)) => length / 2.0,
                _ => length,
            };
            if wanted < largest {
                let count = (length / wanted).ceil().clamp(1.0, 64.0) as usize;
                demands.extend((0..count).map(|i| (on((i as f64 + 0.5) / count as f64), wanted)));
            }
        }
        Sizes { largest, demands }
    }

    /// Size of an element at a place, mm.
    fn at(&self, p: Point) -> f64 {
        self.demands.iter().map(|(q, h)| h + GROWTH * (p.distance(*q) - h / 2.0).max(0.0)).fold(self.largest, f64::min)
    }
}

/// Corners of the elements on the outline, counter-clockwise, and the stretches that begin at each.
fn outline(material: &Material<'_>, sizes: &Sizes) -> (Vec<Point>, Vec<Stretch>) {
    let (mut places, mut stretches) = (Vec::new(), Vec::new());
    for (edge, feature) in material.section.edges() {
        for part in split(edge, &breaks(material, edge, feature)) {
            let length = part.length();
            let density: Vec<f64> = (0..SAMPLES)
                .map(|i| length / SAMPLES as f64 / sizes.at(part.at((i as f64 + 0.5) / SAMPLES as f64)))
                .collect();
            let total: f64 = density.iter().sum();
            let count = total.round().max(1.0) as usize;
            let at = |share: f64| part.at(along_density(&density, total, share));
            for i in 0..count {
                let share = |k: f64| (i as f64 + k) / count as f64;
                places.push(if i == 0 { part.start() } else { at(share(0.0)) });
                let (from, to) =
                    (along_density(&density, total, share(0.0)), along_density(&density, total, share(1.0)));
                stretches.push(Stretch { between: part.at((from + to) / 2.0), feature });
            }
        }
    }
    (places, stretches)
}

/// Where along an edge a share of its density lies, 0 to 1.
fn along_density(density: &[f64], total: f64, share: f64) -> f64 {
    let (wanted, mut before) = (share * total, 0.0);
    for (i, d) in density.iter().enumerate() {
        if before + d >= wanted {
            return (i as f64 + (wanted - before) / d) / density.len() as f64;
        }
        before += d;
    }
    1.0
}

/// Shares of an edge at which grooves end or run out: on the outside diameter at their floors' depth, on the sides at their ends' radius.
fn breaks(material: &Material<'_>, edge: &Edge, feature: Feature) -> Vec<f64> {
    let (from, to) = (edge.start(), edge.end());
    let mut shares: Vec<f64> = match feature {
        Feature::OutsideDiameter => {
            let floors = SideName::BOTH
                .into_iter()
                .filter_map(|name| Some(on_side(material, name, material.floor(name, from.x)?.0)));
            floors.map(|z| (z - from.y) / (to.y - from.y)).collect()
        }
        Feature::Flat(name) | Feature::Taper(name) | Feature::TaperFlat(name) => {
            material.ends(name).map(|r| (r - from.x) / (to.x - from.x)).collect()
        }
        _ => Vec::new(),
    };
    shares.retain(|t| *t > LEAST_PART && *t < 1.0 - LEAST_PART);
    shares.sort_by(f64::total_cmp);
    shares.dedup_by(|b, a| *b - *a < LEAST_PART);
    shares
}

/// Shortest part of an edge that is divided off, as a share of it.
const LEAST_PART: f64 = 0.002;

/// z of a depth below a side's datum plane, mm.
fn on_side(material: &Material<'_>, name: SideName, depth: f64) -> f64 {
    if name == SideName::A { depth } else { material.wheel.thickness - depth }
}

/// An edge in parts.
fn split(edge: &Edge, shares: &[f64]) -> Vec<Edge> {
    let ends: Vec<f64> = [0.0].into_iter().chain(shares.iter().copied()).chain([1.0]).collect();
    ends.windows(2).filter_map(|w| edge.part(w[0], w[1])).collect()
}

/// Adds places along the floors and ends of grooves, and gives the pairs of neighbours that elements must not cross.
fn add_floors(places: &mut Vec<Point>, material: &Material<'_>, sizes: &Sizes) -> Vec<[usize; 2]> {
    let mut seams = Vec::new();
    let inside = |p: &Point| material.section.contour().contains(*p);
    for name in SideName::BOTH {
        let ends: Vec<f64> = material.ends(name).collect();
        let &[inner, outer] = ends.as_slice() else { continue };
        let mut floor = Vec::new();
        let mut r = inner;
        while r < outer {
            let Some((depth, _)) = material.floor(name, r) else {
                floor.push(None);
                r += sizes.largest / 4.0;
                continue;
            };
            let p = Point::new(r, on_side(material, name, depth));
            floor.push(Some(p).filter(inside));
            r += sizes.at(p).min((outer - r).max(sizes.largest / 64.0));
        }
        // its end and where it meets the surface are places of the outline, or lie beyond it
        let surface = |r: f64| Point::new(r, on_side(material, name, material.section.profile(name).depth_at(r)));
        let last = material.floor(name, outer).map(|(depth, _)| Point::new(outer, on_side(material, name, depth)));
        seam(places, [Some(surface(inner))].into_iter().chain(floor).chain([last]), sizes, &mut seams);
        if outer < material.wheel.outside_radius() - SAME_LENGTH {
            seam(places, [last, Some(surface(outer))].into_iter(), sizes, &mut seams);
        }
    }
    if let Some(r) = material.face_floor() {
        let thickness = material.wheel.thickness;
        let count = (thickness / sizes.largest).ceil().max(1.0) as usize;
        let line = (0..count).map(|i| Some(Point::new(r, thickness * (i as f64 + 0.5) / count as f64)).filter(inside));
        seam(places, line, sizes, &mut seams);
    }
    seams
}

/// Adds places along a line that is broken where there is `None`; a place too near to one there is gives way to it.
fn seam(
    places: &mut Vec<Point>,
    line: impl Iterator<Item = Option<Point>>,
    sizes: &Sizes,
    seams: &mut Vec<[usize; 2]>,
) {
    let mut before: Option<usize> = None;
    for p in line {
        let Some(p) = p else {
            before = None;
            continue;
        };
        let near = places.iter().enumerate().min_by(|a, b| a.1.distance(p).total_cmp(&b.1.distance(p)));
        let at = match near {
            Some((i, q)) if q.distance(p) < sizes.at(p) / 4.0 => i,
            _ => {
                places.push(p);
                places.len() - 1
            }
        };
        seams.extend(before.filter(|b| *b != at).map(|b| [b, at]));
        before = Some(at);
    }
}

/// Centres of squares that are halved until each is as small as its place asks.
fn lattice(material: &Material<'_>, sizes: &Sizes) -> Vec<Point> {
    let bounds = material.section.contour().bounds();
    let count = |length: f64| (length / sizes.largest).ceil().max(1.0) as usize;
    let (across, up) = (count(bounds.width()), count(bounds.height()));
    let (dx, dy) = (bounds.width() / across as f64, bounds.height() / up as f64);
    let mut open: Vec<(Point, f64, f64)> = Vec::new();
    for i in 0..across {
        for j in 0..up {
            let centre = Point::new(bounds.min.x + dx * (i as f64 + 0.5), bounds.min.y + dy * (j as f64 + 0.5));
            open.push((centre, dx, dy));
        }
    }
    let mut places = Vec::new();
    while let Some((centre, w, h)) = open.pop() {
        if w.max(h) <= 1.2 * sizes.at(centre) {
            places.push(centre);
            continue;
        }
        for (x, y) in [(-0.25, -0.25), (0.25, -0.25), (-0.25, 0.25), (0.25, 0.25)] {
            open.push((centre + Point::new(x * w, y * h), w / 2.0, h / 2.0));
        }
    }
    places
}

/// Adds places that lie clear of all there are.
fn add_apart(places: &mut Vec<Point>, more: Vec<Point>, sizes: &Sizes) {
    for p in more {
        let clear = APART * sizes.at(p);
        if places.iter().all(|q| q.distance(p) >= clear) {
            places.push(p);
        }
    }
}

/// The triangles between places, the first `rim` of which run round the outline; none crosses the outline, nor a seam where that can be.
fn joined(places: &[Point], rim: usize, seams: &[[usize; 2]]) -> Option<Vec<[usize; 3]>> {
    let round: Vec<[usize; 2]> = (0..rim).map(|i| [i, (i + 1) % rim]).collect();
    let is_round = |[a, b]: [usize; 2]| a.max(b) < rim && ((a + 1) % rim == b || (b + 1) % rim == a);
    let seamed = round.iter().chain(seams.iter().filter(|s| !is_round(**s))).copied().collect();
    let net = net(places, seamed).or_else(|| net(places, round))?;
    Some(net.inner_faces().map(|f| f.vertices().map(|v| v.fix().index())).collect())
}

type Net = ConstrainedDelaunayTriangulation<Point2<f64>>;

/// The triangulation with these edges; `None` where they cross each other or places coincide.
fn net(places: &[Point], edges: Vec<[usize; 2]>) -> Option<Net> {
    let vertices = places.iter().map(|p| Point2::new(p.x, p.y)).collect();
    let mut do_cross = false;
    let net = Net::try_bulk_load_cdt(vertices, edges, |_| do_cross = true).ok()?;
    (!do_cross && net.num_vertices() == places.len()).then_some(net)
}

/// Whether a triangle has an area and lies inside the outline.
fn is_inside(polygon: &[Point], places: &[Point], corners: &[usize; 3]) -> bool {
    let [a, b, c] = corners.map(|i| places[i]);
    let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
    let area = (b - a).cross(c - a) / 2.0;
    area > SAME_LENGTH * longest && contains(polygon, (a + b + c) * (1.0 / 3.0))
}

/// Whether a point lies inside a polygon.
fn contains(polygon: &[Point], p: Point) -> bool {
    let mut inside = false;
    for (i, a) in polygon.iter().enumerate() {
        let b = polygon[(i + 1) % polygon.len()];
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
            inside = !inside;
        }
    }
    inside
}
