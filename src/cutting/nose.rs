//! The path of a diamond's round nose along the profile, and what it cannot reach.
//!
//! The path is that of the nose's centre: the profile's parallel curve outside the material. Convex corners are turned about, arcs stay arcs. In
//! concave corners tighter than the nose the path has a corner, and material is left behind the nose standing there.

use super::frame::{chain, closed, drawing, layer, mm};
use super::profile::{Operation, Profile, axis, frame_comments, runs};
use super::{CuttingError, Part};
use crate::drawing::{Drawing, LineRole};
use crate::geometry::offset::{self, Source};
use crate::geometry::{Contour, Edge, Turn};
use crate::language::Language;
use crate::quantity::{LengthUnit, Written};
use crate::reach::{self, Leftover};
use crate::tolerance::WRITTEN_PATH;
use crate::wheel::Job;

/// The path of a nose's centre, in the profile's frame.
#[derive(Debug, Clone, PartialEq)]
pub struct NosePath {
    /// Radius of the nose, mm.
    pub radius: f64,
    /// The closed path, counter-clockwise around the half-section.
    pub path: Contour,
    /// The operation of each of its edges; the turn about a corner belongs to the operation that comes before it in the path.
    pub operations: Vec<Operation>,
    /// Where material is left.
    pub leftovers: Vec<Leftover>,
}

impl NosePath {
    /// The path of a nose of this radius around a profile.
    ///
    /// # Errors
    /// Where the radius is no length above 0, or no trustworthy path was found.
    pub fn of(profile: &Profile, radius: f64) -> Result<NosePath, CuttingError> {
        let refused = |why| CuttingError::Offset { nose: radius, why };
        let curves = offset::parallel(&profile.contour, -radius).map_err(refused)?;
        let Some(curve) = curves.into_iter().next().filter(|_| radius > 0.0) else {
            return Err(refused(offset::OffsetError::Distance(radius)));
        };
        if curve.contour.bounds().min.y < 0.0 {
            return Err(CuttingError::Needs {
                message: format!("a nose radius of {} mm does not fit into the bore", mm(radius)),
                hint: String::from("give a nose radius below that of the bore"),
            });
        }
        let made: Vec<Operation> = profile.operations().collect();
        let n = made.len();
        let operation = |source: &Source| match *source {
            Source::Edge(i) => made[i],
            Source::Corner(i) => made[(i + n - 1) % n],
        };
        let operations = curve.sources.iter().map(operation).collect();
        let leftovers = reach::leftovers(&profile.shape(), radius, &curve);
        Ok(NosePath { radius, path: curve.contour, operations, leftovers })
    }

    /// The same, refused where the nose leaves stone in something that was ordered; what is left is said in `unit`.
    ///
    /// # Errors
    /// As [`NosePath::of`], and with feature, amount and the largest nose that fits where an ordered feature is missed.
    pub fn fitting(profile: &Profile, radius: f64, unit: LengthUnit) -> Result<NosePath, CuttingError> {
        let path = NosePath::of(profile, radius)?;
        let worst = path.leftovers.iter().filter(|l| l.ordered).max_by(|a, b| a.most.total_cmp(&b.most));
        let Some(worst) = worst else { return Ok(path) };
        Err(CuttingError::Nose {
            message: worst.words(radius, &Written::plain_in(unit), Language::En),
            largest: reach::largest_fitting(&profile.shape(), radius).map_or_else(|| String::from("none fits"), |r| mm(r) + " mm"),
        })
    }

    /// What is left, a sentence each, lengths in this unit.
    pub fn said(&self, unit: LengthUnit) -> Vec<String> {
        self.leftovers.iter().map(|l| l.words(self.radius, &Written::plain_in(unit), Language::En)).collect()
    }

    /// The path of one operation, as runs that hang together.
    pub fn runs(&self, of: Operation) -> Vec<Vec<Edge>> {
        runs(self.path.edges(), &self.operations, of)
    }
}

impl NosePath {
    /// The path of one operation without the turns about corners at its ends, which cut nothing.
    pub fn cuts(&self, of: Operation) -> Vec<Vec<Edge>> {
        let turn = |e: &Edge| matches!(e, Edge::Arc(a) if a.turn() == Turn::Left && a.radius() == self.radius);
        let mut runs = self.runs(of);
        for run in &mut runs {
            while run.last().is_some_and(turn) {
                run.pop();
            }
            let idle = run.iter().take_while(|e| turn(e)).count();
            run.drain(..idle);
        }
        runs.retain(|run| !run.is_empty());
        runs
    }
}

/// The compensated profile: the nose centre's path by operation on `NOSE_…`, the finished half-section on `REF_SECTION`.
///
/// # Errors
/// Where a straight piece of the path is shorter than can be written. The turn about the corner of a shallow taper is short by nature, and so is the way
/// along a wall that the nose just fills; both are fine.
pub fn compensated(job: &Job, profile: &Profile, nose: &NosePath) -> Result<Drawing, CuttingError> {
    let straight = |e: &&Edge| matches!(e, Edge::Line(_));
    if let Some(short) = nose.path.edges().iter().filter(straight).find(|e| e.length() < WRITTEN_PATH) {
        return Err(CuttingError::Short { length: short.length(), diameter: 2.0 * short.start().y });
    }
    let mut groups: Vec<_> = Operation::ALL
        .into_iter()
        .map(|of| layer(format!("NOSE_{}", of.layer_end()), chain(&nose.runs(of).concat(), LineRole::Path)))
        .collect();
    groups.push(layer("REF_SECTION", vec![closed(profile.contour.clone(), LineRole::Reference)]));
    groups.push(axis(&job.wheel));
    let mut comments = frame_comments();
    comments.push(format!("Compensated: the path of the centre of a diamond's nose of radius {} mm.", mm(nose.radius)));
    comments.push(String::from(
        "Layers: NOSE_SIDE_A, NOSE_FACE, NOSE_SIDE_B, NOSE_BORE are the path by operation, end to end; REF_SECTION is the finished shape.",
    ));
    comments.extend(nose.said(job.units));
    Ok(drawing(job, Part::Profile, &comments, groups))
}
