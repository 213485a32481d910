//! What a diamond's round nose leaves of a half-section.

use super::{Left, Leftover};
use crate::geometry::offset::{self, Offset, Source};
use crate::geometry::{Contour, Edge, Moments, Point, Turn};
use crate::section::{Feature, Section};
use crate::tolerance::{LEAST_LEFT, LEAST_PATH, SAME_LENGTH, WRITTEN_PATH};


/// A half-section as a tool sees it: x along the axis from side A, y the radius, counter-clockwise; the feature of each edge.
#[derive(Debug, Clone, Copy)]
pub struct Shape<'a> {
    /// The closed section.
    pub contour: &'a Contour,
    /// What each of its edges is.
    pub features: &'a [Feature],
}

/// What a nose of this radius leaves of a section.
pub fn of_nose(section: &Section, radius: f64) -> Vec<Left> {
    let edges: Vec<(Edge, Feature)> = section.edges().map(|(e, f)| (e.transposed().reversed(), f)).collect();
    let (edges, features): (Vec<Edge>, Vec<Feature>) = edges.into_iter().rev().unzip();
    let Ok(contour) = Contour::new(edges) else { return Vec::new() };
    let shape = Shape { contour: &contour, features: &features };
    let Some(curve) = curve(&shape, radius) else { return vec![Left::NoPath(radius)] };
    leftovers(&shape, radius, &curve).into_iter().map(|left| Left::Nose(radius, left)).collect()
}

/// The curve of the nose's centre, where it has one outside the axis.
fn curve(shape: &Shape, radius: f64) -> Option<Offset> {
    let curves = offset::parallel(shape.contour, -radius).ok()?;
    curves.into_iter().next().filter(|curve| radius > 0.0 && curve.contour.bounds().min.y >= 0.0)
}

/// What a nose leaves whose centre runs along this curve.
pub fn leftovers(shape: &Shape, radius: f64, curve: &Offset) -> Vec<Leftover> {
    let m = curve.sources.len();
    let corner = |i: usize| {
        let before = curve.sources[(i + m - 1) % m];
        leftover(shape, radius, curve.contour.edges()[i].start(), (before, curve.sources[i]))
    };
    (0..m).filter_map(corner).collect()
}

/// The largest nose below `radius` that leaves nothing of what was ordered, mm, to a ten-thousandth downwards; `None` where none was found.
pub fn largest_fitting(shape: &Shape, radius: f64) -> Option<f64> {
    let fits = |r: f64| curve(shape, r).is_some_and(|c| leftovers(shape, r, &c).iter().all(|l| !l.ordered));
    // where a fillet decides, its radius is the answer, and exact
    let fillets = shape.contour.edges().iter().zip(shape.features).filter_map(|(e, f)| match (e, f) {
        (Edge::Arc(a), Feature::RecessFillet(..)) => Some(a.radius()),
        _ => None,
    });
    let tightest = fillets.fold(radius, f64::min);
    if fits(tightest) {
        return Some(tightest);
    }
    let (mut low, mut high) = (LEAST_PATH, tightest);
    if !fits(low) {
        return None;
    }
    while high - low > LEAST_PATH / 200.0 {
        let middle = (low + high) / 2.0;
        if fits(middle) { low = middle } else { high = middle }
    }
    // a wall that just holds it leaves a piece of path that can still be written
    Some(((low - WRITTEN_PATH) / LEAST_PATH * 100.0).floor() * LEAST_PATH / 100.0)
}

/// Where on the section the nose about `centre` touches a part: edge and point.
fn touch(shape: &Shape, centre: Point, source: Source) -> (usize, Point) {
    let edges = shape.contour.edges();
    match source {
        Source::Edge(i) => (i, edges[i].nearest(centre)),
        Source::Corner(i) => (i, edges[i].start()),
    }
}

/// What is left behind a nose that touches the profile in two places at once; `None` where it is one place.
fn leftover(shape: &Shape, radius: f64, centre: Point, between: (Source, Source)) -> Option<Leftover> {
    let (first, from) = touch(shape, centre, between.0);
    let (last, to) = touch(shape, centre, between.1);
    let missed = stretch(shape, (first, from), (last, to));
    let over_a_whole_edge = missed.iter().any(|(missed, i)| {
        let whole = shape.contour.edges()[*i].length();
        // a shorter one is left out of every path
        whole >= LEAST_PATH && missed.length() >= whole - SAME_LENGTH
    });
    let missed: Vec<(Edge, Feature)> = missed.into_iter().map(|(e, i)| (e, shape.features[i])).collect();
    let fillet = missed.iter().any(|(_, f)| matches!(f, Feature::RecessFillet(..)));
    let at = missed
        .iter()
        .map(|(e, _)| farthest(e, centre))
        .max_by(|a, b| a.distance(centre).total_cmp(&b.distance(centre)))?;
    // a nose exactly as tight as the fillet touches it all along
    if at.distance(centre) - radius <= LEAST_LEFT {
        return None;
    }
    let mut features: Vec<Feature> = missed.iter().map(|(_, f)| *f).collect();
    features.dedup();
    let mut around: Vec<Edge> = missed.into_iter().map(|(e, _)| e).collect();
    // back along the nose, which turns the other way than the path around it
    let on_nose = |p: Point| (p - centre).unit().map(|u| centre + u * radius);
    let back = Edge::arc(on_nose(to)?, on_nose(from)?, centre, radius, Turn::Left).ok()?;
    around.push(back);
    let area = Moments::of(&around).area.abs();
    Some(Leftover { features, at, most: at.distance(centre) - radius, area, ordered: over_a_whole_edge || fillet })
}

/// The section from one place to another, onwards, each piece with the number of its edge.
fn stretch(shape: &Shape, from: (usize, Point), to: (usize, Point)) -> Vec<(Edge, usize)> {
    let edges = shape.contour.edges();
    let n = edges.len();
    let steps = (to.0 + n - from.0) % n;
    (0..=steps)
        .filter_map(|step| {
            let i = (from.0 + step) % n;
            let start = if step == 0 { from.1 } else { edges[i].start() };
            let end = if step == steps { to.1 } else { edges[i].end() };
            part(&edges[i], start, end).map(|e| (e, i))
        })
        .collect()
}

/// The part of an edge between two of its points; `None` where it has no length.
fn part(edge: &Edge, start: Point, end: Point) -> Option<Edge> {
    if start.distance(end) <= SAME_LENGTH {
        return None;
    }
    match edge {
        Edge::Line(_) => Some(Edge::line(start, end)),
        Edge::Arc(a) => Edge::arc(start, end, a.centre(), a.radius(), a.turn()).ok(),
    }
}

/// The point of an edge farthest from `p`.
fn farthest(edge: &Edge, p: Point) -> Point {
    let ends = [edge.start(), edge.end()];
    let beyond = match edge {
        Edge::Arc(a) if a.sweeps((a.centre() - p).angle()) => {
            (a.centre() - p).unit().map(|unit| a.centre() + unit * a.radius())
        }
        _ => None,
    };
    let all = ends.into_iter().chain(beyond);
    all.max_by(|a, b| a.distance(p).total_cmp(&b.distance(p))).unwrap_or(edge.start())
}

