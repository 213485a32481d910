//! The path of a diamond's round nose along the profile, and what it cannot reach.
//!
//! The path is that of the nose's centre: the profile's parallel curve outside the material. Convex corners are turned about, arcs stay arcs. In
//! concave corners tighter than the nose the path has a corner, and material is left behind the nose standing there.

use super::frame::{chain, closed, drawing, layer, mm};
use super::profile::{Operation, Profile, axis, frame_comments, runs};
use super::{CuttingError, Part};
use crate::drawing::{Drawing, LineRole};
use crate::geometry::offset::{self, Source};
use crate::geometry::{Contour, Edge, Moments, Point, Turn};
use crate::section::{Feature, sharp_corner};
use crate::tolerance::{LEAST_LEFT, LEAST_PATH, SAME_LENGTH, WRITTEN_PATH};
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

/// Material the nose cannot reach.
#[derive(Debug, Clone, PartialEq)]
pub struct Leftover {
    /// What is not finished there.
    pub features: Vec<Feature>,
    /// The finished shape's point farthest from the nose, in the profile's frame (x along the axis, y the radius).
    pub at: Point,
    /// How much is left there, mm.
    pub most: f64,
    /// Area left in the half-section, mm².
    pub area: f64,
    /// Whether something that was ordered is missed: a fillet, or a whole wall or floor. A sharp inner corner keeps the nose's radius and is none.
    pub ordered: bool,
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
        let m = curve.sources.len();
        let corners = (0..m).filter_map(|i| {
            let before = curve.sources[(i + m - 1) % m];
            leftover(profile, radius, curve.contour.edges()[i].start(), (before, curve.sources[i]))
        });
        let leftovers = corners.collect();
        Ok(NosePath { radius, path: curve.contour, operations, leftovers })
    }

    /// The same, refused where the nose leaves stone in something that was ordered.
    ///
    /// # Errors
    /// As [`NosePath::of`], and with feature, amount and the largest nose that fits where an ordered feature is missed.
    pub fn fitting(profile: &Profile, radius: f64) -> Result<NosePath, CuttingError> {
        let path = NosePath::of(profile, radius)?;
        let worst = path.leftovers.iter().filter(|l| l.ordered).max_by(|a, b| a.most.total_cmp(&b.most));
        let Some(worst) = worst else { return Ok(path) };
        Err(CuttingError::Nose {
            message: worst.message(radius),
            largest: largest_fitting(profile, radius).map_or_else(|| String::from("none fits"), |r| mm(r) + " mm"),
        })
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

/// The largest nose below `radius` that leaves nothing of what was ordered, mm, to a ten-thousandth downwards; `None` where none was found.
fn largest_fitting(profile: &Profile, radius: f64) -> Option<f64> {
    let fits = |r: f64| NosePath::of(profile, r).is_ok_and(|p| p.leftovers.iter().all(|l| !l.ordered));
    // where a fillet decides, its radius is the answer, and exact
    let fillets = profile.contour.edges().iter().zip(&profile.features).filter_map(|(e, f)| match (e, f) {
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

/// Where on the profile the nose about `centre` touches a part: edge and point.
fn touch(profile: &Profile, centre: Point, source: Source) -> (usize, Point) {
    let edges = profile.contour.edges();
    match source {
        Source::Edge(i) => (i, edges[i].nearest(centre)),
        Source::Corner(i) => (i, edges[i].start()),
    }
}

/// What is left behind a nose that touches the profile in two places at once; `None` where it is one place.
fn leftover(profile: &Profile, radius: f64, centre: Point, between: (Source, Source)) -> Option<Leftover> {
    let (first, from) = touch(profile, centre, between.0);
    let (last, to) = touch(profile, centre, between.1);
    let missed = stretch(profile, (first, from), (last, to));
    let over_a_whole_edge = missed.iter().any(|(missed, i)| {
        missed.length() >= profile.contour.edges()[*i].length() - SAME_LENGTH
    });
    let missed: Vec<(Edge, Feature)> = missed.into_iter().map(|(e, i)| (e, profile.features[i])).collect();
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

/// The profile from one place to another, onwards, each piece with the number of its edge.
fn stretch(profile: &Profile, from: (usize, Point), to: (usize, Point)) -> Vec<(Edge, usize)> {
    let edges = profile.contour.edges();
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

impl Leftover {
    /// In words: what, where and how much.
    pub fn message(&self, radius: f64) -> String {
        let mut words: Vec<String> = self.features.iter().map(|f| f.words()).collect();
        words.dedup();
        let sharp = match self.features.iter().find(|_| !self.ordered) {
            Some(&Feature::RecessWall(side, i) | &Feature::RecessFloor(side, i)) => {
                sharp_corner(side, i, &format!("{} mm", mm(radius))) + " "
            }
            _ => String::new(),
        };
        format!(
            "{sharp}A nose radius of {} mm does not reach {} at diameter {} mm, {} mm from side A: {} mm is left ({} mm2 of the section).",
            mm(radius),
            words.join(", "),
            mm(2.0 * self.at.y),
            mm(self.at.x),
            mm(self.most),
            mm(self.area)
        )
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
    comments.extend(nose.leftovers.iter().map(|l| l.message(nose.radius)));
    Ok(drawing(job, Part::Profile, &comments, groups))
}
