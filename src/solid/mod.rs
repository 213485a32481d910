//! The finished wheel as one boundary: faces on their true surfaces, edges on their true curves, vertices shared by all that meet there.
//!
//! Millimetres in the wheel's own axes: z from side A's datum plane to side B's, x and y in the plane of the sides. Every loop of a face runs
//! counter-clockwise as seen from outside the wheel. A face that goes round the axis without an end is closed by a seam, an edge that its loop
//! uses both ways; a plane needs none and has a loop for each of its circles.

mod bottom;
mod build;
mod cells;
mod conic;
mod contact;
mod copies;
mod curve;
mod flat;
mod follow;
mod helix;
mod laid;
mod meet;
mod merge;
mod mesh;
mod name;
pub mod picture;
mod plan;
mod relief;
mod sectors;
mod surface;
mod turned;
mod twisted;
mod volume;
mod wound;

pub use conic::{Conic, Shape};
pub use helix::{Element, Helicoid};
pub use mesh::Mesh;
pub use name::field;

use crate::groove::Grooves;
use crate::section::Section;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Job, Pattern, SideName, Wheel};
use nalgebra::Vector3;
use std::f64::consts::TAU;
use thiserror::Error;

/// Places nearer than this are one place, mm.
pub const CLOSENESS: f64 = SAME_LENGTH;

/// A place or a direction in space.
pub type Vector = Vector3<f64>;

/// A wheel's boundary.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid {
    /// Places where edges end.
    pub vertices: Vec<Vector>,
    /// Edges, each between two faces, or twice in the loop of one.
    pub edges: Vec<Edge>,
    /// Faces; together they enclose the wheel.
    pub faces: Vec<Face>,
    /// How many sectors it has that are alike as far as its patterns say, at least 1.
    pub sectors: usize,
}

/// A directed edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// Vertex where it begins.
    pub start: usize,
    /// Vertex where it ends; the same for a full circle.
    pub end: usize,
    /// What it runs along.
    pub curve: Curve,
}

/// What an edge runs along, from its start to its end.
#[derive(Debug, Clone, PartialEq)]
pub enum Curve {
    /// The straight line.
    Line,
    /// Counter-clockwise about the axis (of length 1) through the centre.
    Circle {
        /// The centre.
        centre: Vector,
        /// Direction of its axis.
        axis: Vector,
        /// The radius.
        radius: f64,
    },
    /// An ellipse, a parabola or a hyperbola.
    Conic(Conic),
    /// Cubic pieces that keep their direction where they meet: both ends and, for each piece, the two control points between.
    Spline {
        /// The control points.
        points: Vec<Vector>,
        /// The parameter where pieces begin and end, about the length so far; where two meet, the curve parts their neighbours as these do.
        knots: Vec<f64>,
    },
}

/// A face.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// In words of the trade.
    pub name: String,
    /// Whether altering made it; `None` where the order does not say what the blank was.
    pub is_cut: Option<bool>,
    /// What it lies on.
    pub surface: Surface,
    /// Whether the surface's own normal points out of the wheel.
    pub is_outward: bool,
    /// Its loops, the outermost first.
    pub loops: Vec<Vec<Use>>,
}

/// An edge as a loop runs along it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Use {
    /// Index of the edge.
    pub edge: usize,
    /// Whether it is run along in its own direction.
    pub is_forward: bool,
}

/// What a face lies on. Directions have length 1; own normals are those of ISO 10303-42: of a plane its axis, of all else away from the axis or, of a
/// torus, from the middle of its tube.
#[derive(Debug, Clone, PartialEq)]
pub enum Surface {
    /// A plane.
    Plane {
        /// A point of it.
        origin: Vector,
        /// Its normal.
        axis: Vector,
    },
    /// A circular cylinder.
    Cylinder {
        /// A point of its axis.
        origin: Vector,
        /// Direction of its axis.
        axis: Vector,
        /// The radius.
        radius: f64,
    },
    /// A circular cone that widens along its axis.
    Cone {
        /// A point of its axis.
        origin: Vector,
        /// Direction of its axis.
        axis: Vector,
        /// Radius at the origin.
        radius: f64,
        /// Half of its angle, radians, above 0 and below a quarter turn.
        half_angle: f64,
    },
    /// A circle, counter-clockwise about its axis, moved along a straight line: its own normal is the circle's way across that line.
    Swept {
        /// Centre of the circle.
        centre: Vector,
        /// Direction of the circle's axis.
        axis: Vector,
        /// Radius of the circle.
        radius: f64,
        /// Direction of the line.
        along: Vector,
    },
    /// A circle moved along another square to it without turning: the tube that a round bottom has under the rise of a run-out. Its own normal
    /// points out of the tube.
    Tube {
        /// Centre of the circle that the middle of the tube lies on.
        centre: Vector,
        /// Direction in which that circle's arc runs.
        along: Vector,
        /// Direction across it.
        across: Vector,
        /// Direction from the centre to the middle of the arc, square to both.
        deeper: Vector,
        /// Radius of that circle.
        radius: f64,
        /// Radius of the tube.
        minor: f64,
        /// Way along at which the arc begins and ends, mm from the centre.
        reach: [f64; 2],
    },
    /// A wall or bottom of a groove that runs on a helix. Its own normal is the element's way across that of z.
    Helical(Helicoid),
    /// A torus about the wheel's axis.
    Torus {
        /// Its centre.
        centre: Vector,
        /// Radius of the circle in the middle of its tube.
        major: f64,
        /// Radius of its tube.
        minor: f64,
    },
}

/// Why a wheel has no solid.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{feature} cannot be made as a solid yet: {why}")]
pub struct SolidError {
    /// What it is about, in words of the trade.
    pub feature: String,
    /// What is missing.
    pub why: String,
}

impl Solid {
    /// The finished wheel of an order.
    ///
    /// # Errors
    /// Where a feature cannot be made exactly.
    pub fn of(job: &Job, section: &Section) -> Result<Solid, SolidError> {
        let wheel = &job.wheel;
        if SideName::BOTH.iter().all(|&side| wheel.side(side).grooves.is_none()) && wheel.face.is_none() {
            return Ok(turned::solid(job, section));
        }
        refuse(wheel, section)?;
        let solid = build::solid(job, section, clear_direction(wheel))?;
        Ok(Solid { sectors: Pattern::repeats(patterns(wheel)) as usize, ..solid })
    }
}

/// What cannot be made.
fn refuse(wheel: &Wheel, section: &Section) -> Result<(), SolidError> {
    let refused = |feature: String, why: &str| Err(SolidError { feature, why: why.to_owned() });
    let [rim_a, rim_b] = SideName::BOTH.map(|side| section.profile(side).end().y);
    if rim_a + rim_b > wheel.thickness - SAME_LENGTH {
        return refused("the outside diameter".to_owned(), "nothing is left of it between the corners that the grooves cut");
    }
    let grooves = Grooves::of(wheel, section);
    let mut deepest = SideName::BOTH.map(|side| section.profile(side).edges().iter().map(|(e, _)| e.bounds().max.y).fold(0.0, f64::max));
    for (side, deep) in SideName::BOTH.into_iter().zip(&mut deepest) {
        let Some(groove) = grooves.side(side) else { continue };
        let ends = [groove.inner_u, groove.outer_u.unwrap_or(groove.outside_radius)];
        *deep = ends.map(|u| groove.floor.at_axis + groove.floor.slope * u).into_iter().fold(*deep, f64::max);
    }
    let has_side = SideName::BOTH.into_iter().any(|side| grooves.side(side).is_some());
    if has_side && deepest[0] + deepest[1] > wheel.thickness - SAME_LENGTH {
        return refused("the grooves of the sides".to_owned(), "they may reach through to what is cut into the other side");
    }
    Ok(())
}

/// The patterns of all its grooves.
fn patterns(wheel: &Wheel) -> impl Iterator<Item = &Pattern> {
    let side = |s: SideName| wheel.side(s).grooves.as_ref().map(|g| &g.pattern);
    [side(SideName::A), side(SideName::B), wheel.face.as_ref().map(|f| &f.pattern)].into_iter().flatten()
}

/// The direction in the plan at the outside diameter that is farthest from every groove there.
fn clear_direction(wheel: &Wheel) -> f64 {
    const TRIES: u32 = 997;
    let angles = patterns(wheel).flat_map(|p| p.cut().map(|k| (-p.angle_deg(k).to_radians()).rem_euclid(TAU)));
    let mut at: Vec<f64> = angles.collect();
    at.sort_by(f64::total_cmp);
    let clear = |a: f64| {
        let after = at.partition_point(|b| *b < a);
        let beside = [after % at.len(), (after + at.len() - 1) % at.len()].map(|i| (a - at[i]).rem_euclid(TAU));
        beside.into_iter().map(|d| d.min(TAU - d)).fold(TAU, f64::min)
    };
    // the farthest of a few hundred in the first pitch and beyond: an odd count meets no pattern
    let tries = (0..TRIES).map(|i| TAU * (f64::from(i) + 0.5) / f64::from(TRIES));
    tries.max_by(|a, b| clear(*a).total_cmp(&clear(*b))).unwrap_or(0.0)
}
