//! The finished wheel as one boundary: faces on their true surfaces, edges on their true curves, vertices shared by all that meet there.
//!
//! Millimetres in the wheel's own axes: z from side A's datum plane to side B's, x and y in the plane of the sides. Every loop of a face runs
//! counter-clockwise as seen from outside the wheel. A face that goes round the axis without an end is closed by a seam, an edge that its loop
//! uses both ways; a plane needs none and has a loop for each of its circles.

mod name;
mod turned;

use crate::section::Section;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Job, Wheel};
use nalgebra::Vector3;
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
        if let Some(feature) = grooves(&job.wheel) {
            return Err(SolidError { feature, why: "only turned wheels are made".to_owned() });
        }
        Ok(turned::solid(job, section))
    }
}

/// The first set of grooves, in words.
fn grooves(wheel: &Wheel) -> Option<String> {
    let side = wheel.side_a.grooves.as_ref().map(|_| "the grooves of side A");
    let other = wheel.side_b.grooves.as_ref().map(|_| "the grooves of side B");
    side.or(other).or(wheel.face.as_ref().map(|_| "the grooves of the face")).map(str::to_owned)
}
