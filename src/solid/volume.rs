//! The volume of a wheel by the plans of its sides alone, as a check of them before anything is built: each cell's share is an integral along
//! its edges.

use super::plan::Path;
use super::relief::{Cover, Relief};
use crate::geometry::Point;
use crate::geometry::quadrature::{gauss, smooth_ends};

/// Nodes along an edge, and across it.
const ALONG: usize = 16;
const ACROSS: usize = 8;
/// Step of the differences that give the direction of a traced curve, as a share of it.
const STEP: f64 = 0.00001;

impl Relief<'_> {
    /// Plan area of the stone, mm², and the volume between the datum plane and the side's surface over it, mm³.
    pub fn cut_away(&self) -> (f64, f64) {
        let (mut area, mut volume) = (0.0, 0.0);
        for (cell, &cover) in self.cells.iter().zip(&self.covers) {
            if cover == Cover::Void {
                continue;
            }
            for &(e, is_forward) in &cell.edges {
                let path = &self.edges[e].path;
                let sign = if is_forward { 1.0 } else { -1.0 };
                for &(t, weight) in gauss(ALONG).nodes() {
                    let (t, scale) = smooth_ends(0.0, 1.0, t);
                    let (p, way) = (path.at(t), direction(path, t));
                    let weight = sign * weight * scale;
                    area += weight * p.cross(way) / 2.0;
                    volume += weight * self.flow(cover, p, way);
                }
            }
        }
        (area, volume)
    }

    /// What an element of a cell's edge adds to the integral of the cell's depth: Green's theorem.
    fn flow(&self, cover: Cover, p: Point, way: Point) -> f64 {
        match cover {
            Cover::Void => 0.0,
            Cover::Turned(i) => {
                let span = &self.spans[i].0;
                let within = integral(span.inner, p.length(), |r| span.depth(r) * r);
                within * p.cross(way) / p.dot(p)
            }
            Cover::Bottom(k, _) => {
                let (groove, frame) = &self.grooves[k];
                let (u, v) = frame.local(p);
                let (du, dv) = frame.local(way);
                let base = groove.floor.rise.map_or(groove.inner_u, |rise| rise.tangent_u);
                let floor = integral(base, u, |u| groove.floor.depth(u));
                let lift = integral(0.0, v - groove.offset, |across| groove.lift(across));
                // the frame turns the other way than the plan
                -(floor * dv + lift * du)
            }
        }
    }
}

fn integral(a: f64, b: f64, f: impl Fn(f64) -> f64) -> f64 {
    let at = |&(t, weight): &(f64, f64)| {
        let (x, scale) = smooth_ends(a, b, t);
        weight * scale * f(x)
    };
    gauss(ACROSS).nodes().iter().map(at).sum()
}

fn direction(path: &Path, t: f64) -> Point {
    match path {
        Path::Line(a, b) => *b - *a,
        Path::Arc { centre, sweep, .. } => (path.at(t) - *centre).left() * *sweep,
        Path::Contact(_) => {
            let (low, high) = ((t - STEP).max(0.0), (t + STEP).min(1.0));
            (path.at(high) - path.at(low)) * (1.0 / (high - low))
        }
    }
}
