//! The volume of a wheel by the plans of its sides alone, as a check of them before anything is built: each cell's share is an integral along
//! its edges, closed across them.

use super::plan::Path;
use super::relief::{Cover, Relief};
use crate::geometry::{Edge, Point};
use crate::geometry::quadrature::{gauss, smooth_ends};
use crate::groove::{Floor, SideGroove};
use crate::wheel::Bottom;

/// Nodes along an edge.
const ALONG: usize = 16;
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
                let (span, edge, _) = &self.spans[i];
                let within = turned(edge, p.length()) - turned(edge, span.inner);
                within * p.cross(way) / p.dot(p)
            }
            Cover::Bottom(k, _) => {
                let (groove, frame) = &self.grooves[k];
                let (u, v) = frame.local(p);
                let (du, dv) = frame.local(way);
                // the frame turns the other way than the plan
                -(floor(&groove.floor, u) * dv + lift(groove, v - groove.offset) * du)
            }
        }
    }
}

/// An integral of √(radius² − x²).
fn round(radius: f64, x: f64) -> f64 {
    let x = x.clamp(-radius, radius);
    (x * ((radius - x) * (radius + x)).sqrt() + radius * radius * (x / radius).asin()) / 2.0
}

/// An integral over the radius of a turned edge's depth times the radius.
fn turned(edge: &Edge, r: f64) -> f64 {
    let (start, end) = (edge.start(), edge.end());
    match edge {
        Edge::Line(_) => {
            let slope = (end.y - start.y) / (end.x - start.x);
            (start.y - slope * start.x) * r * r / 2.0 + slope * r * r * r / 3.0
        }
        Edge::Arc(arc) => {
            let (centre, radius) = (arc.centre(), arc.radius());
            let x = (r - centre.x).clamp(-radius, radius);
            let height = ((radius - x) * (radius + x)).sqrt();
            let half = if (start.y + end.y) / 2.0 > centre.y { 1.0 } else { -1.0 };
            centre.y * r * r / 2.0 + half * (centre.x * round(radius, x) - height * height * height / 3.0)
        }
    }
}

/// The integral of a floor's depth from where its rise ends, or from the axis.
fn floor(floor: &Floor, u: f64) -> f64 {
    let straight = |u: f64| floor.at_axis * u + floor.slope * u * u / 2.0;
    let Some(rise) = floor.rise else { return straight(u) };
    let risen = |u: f64| rise.centre_depth * u + round(rise.radius, u - rise.centre_u);
    let base = rise.tangent_u;
    if u < base { risen(u) - risen(base) } else { straight(u) - straight(base) }
}

/// The integral of a bottom's lift from the centre line.
fn lift(groove: &SideGroove, across: f64) -> f64 {
    let w = groove.half_width;
    match groove.bottom {
        Bottom::Flat => 0.0,
        Bottom::Round => w * across - round(w, across),
        Bottom::Vee { angle_deg } => across * across.abs() / 2.0 / (angle_deg / 2.0).to_radians().tan(),
    }
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
