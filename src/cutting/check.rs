//! The check before a machine file is handed over: what was read back from its bytes against the model.
//!
//! Contours are rebuilt from the loose edges as a receiver would join them, and compared in area, extents, number and pitch with the wheel itself,
//! not with the drawing that was written.

use super::face::Rolled;
use super::grooves::{Grooved, place_deg};
use super::nose::NosePath;
use super::passes::Passes;
use super::profile::Profile;
use super::{CuttingError, Part};
use crate::geometry::{Bounds, Contour, Edge, Moments, Point};
use crate::section::Section;
use crate::tolerance::{LEAST_PATH, WRITTEN_AREA, WRITTEN_PATH, WRITTEN_POINT};
use crate::wheel::{Job, SideName};

/// One entity as read back.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// Its layer.
    pub layer: String,
    /// Its edges in order.
    pub edges: Vec<Edge>,
}

/// Why a file is not handed over.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Mismatch {
    /// The paths are not what the model has.
    #[error("the written {part} is not the ordered one: {what} is {written}, not {model}")]
    Differs {
        /// The part.
        part: Part,
        /// What was compared.
        what: String,
        /// As read back.
        written: f64,
        /// As it should be.
        model: f64,
    },
    /// A path does not close, or has a flaw that machines stumble over.
    #[error("the written {part} has {what} at ({}, {})", .at.x, .at.y)]
    Flaw {
        /// The part.
        part: Part,
        /// The flaw.
        what: &'static str,
        /// Where.
        at: Point,
    },
    /// The model itself could not be computed again.
    #[error(transparent)]
    Model(#[from] CuttingError),
}

/// What kind of file was written.
#[derive(Debug, Clone, Copy)]
pub enum Made<'a> {
    /// The nominal profile.
    Profile(&'a Profile),
    /// The path of a nose.
    Nose(&'a Profile, &'a NosePath),
    /// Nominal grooves of this part.
    Grooves(Part),
    /// Groove passes of this part.
    Passes(Part, &'a Passes),
}

impl Made<'_> {
    fn part(&self) -> Part {
        match self {
            Made::Profile(_) | Made::Nose(..) => Part::Profile,
            Made::Grooves(part) | Made::Passes(part, _) => *part,
        }
    }
}

/// Compares what was read back with the model of the job.
///
/// # Errors
/// Where anything differs by more than writing and reading may (see [`WRITTEN_POINT`] and [`WRITTEN_AREA`]), an edge to be cut is shorter than
/// [`LEAST_PATH`] or there twice, or a contour does not close.
pub fn against(job: &Job, made: Made, written: &[Written]) -> Result<(), Mismatch> {
    let check = Check { job, part: made.part() };
    let cut: Vec<&Written> = written.iter().filter(|w| !w.layer.starts_with("REF_")).collect();
    check.flaws(&cut, matches!(made, Made::Nose(..)))?;
    match made {
        Made::Profile(profile) => check.profile(profile, &cut),
        Made::Nose(profile, nose) => check.nose(profile, nose, &cut),
        Made::Grooves(part) => check.grooves(part, &cut),
        Made::Passes(part, passes) => check.passes(part, passes, &cut),
    }
}

struct Check<'a> {
    job: &'a Job,
    part: Part,
}

impl Check<'_> {
    fn flaw(&self, what: &'static str, at: Point) -> Mismatch {
        Mismatch::Flaw { part: self.part, what, at }
    }

    fn same(&self, what: impl Into<String>, written: f64, model: f64, slack: f64) -> Result<(), Mismatch> {
        // written so that what is no number differs
        if (written - model).abs() <= slack {
            return Ok(());
        }
        Err(Mismatch::Differs { part: self.part, what: what.into(), written, model })
    }

    /// Short edges, of which those of a nose's path are none where they can be told apart, and edges that are there twice.
    fn flaws(&self, cut: &[&Written], nose: bool) -> Result<(), Mismatch> {
        let mut edges: Vec<(&Edge, &str)> =
            cut.iter().flat_map(|w| w.edges.iter().map(|e| (e, w.layer.as_str()))).collect();
        let judged = |(e, _): &&(&Edge, &str)| !(nose && matches!(e, Edge::Arc(_)));
        let least = if nose { WRITTEN_PATH } else { LEAST_PATH };
        if let Some((short, _)) = edges.iter().filter(judged).find(|(e, _)| e.length() < least - WRITTEN_POINT) {
            return Err(self.flaw("an edge shorter than a machine takes", short.start()));
        }
        // edges that are there twice have the same middle, so they are neighbours once sorted by it
        edges.sort_by(|a, b| a.0.at(0.5).x.total_cmp(&b.0.at(0.5).x));
        for (i, (edge, _)) in edges.iter().enumerate() {
            let middle = edge.at(0.5);
            let near = edges[i + 1..].iter().take_while(|(e, _)| e.at(0.5).x - middle.x <= WRITTEN_POINT);
            for (other, _) in near {
                let ends = |a: Point, b: Point| a.distance(b) <= WRITTEN_POINT;
                let along = ends(edge.start(), other.start()) && ends(edge.end(), other.end());
                let against = ends(edge.start(), other.end()) && ends(edge.end(), other.start());
                if (along || against) && other.at(0.5).distance(middle) <= WRITTEN_POINT {
                    return Err(self.flaw("an edge that is there twice", middle));
                }
            }
        }
        Ok(())
    }

    fn extents(&self, found: Bounds, model: Bounds) -> Result<(), Mismatch> {
        let pairs = [
            ("the least x", found.min.x, model.min.x),
            ("the greatest x", found.max.x, model.max.x),
            ("the least y", found.min.y, model.min.y),
            ("the greatest y", found.max.y, model.max.y),
        ];
        pairs.into_iter().try_for_each(|(what, written, model)| self.same(what, written, model, WRITTEN_POINT))
    }

    /// The one contour that all edges together make.
    fn one_contour(&self, cut: &[&Written]) -> Result<Vec<Edge>, Mismatch> {
        let edges: Vec<Edge> = cut.iter().flat_map(|w| w.edges.iter().copied()).collect();
        let mut loops = joined(edges).map_err(|at| self.flaw("an open end", at))?;
        self.same("the number of contours", loops.len() as f64, 1.0, 0.0)?;
        Ok(loops.remove(0))
    }

    fn profile(&self, profile: &Profile, cut: &[&Written]) -> Result<(), Mismatch> {
        let found = self.one_contour(cut)?;
        let section = Section::of(&self.job.wheel).map_err(CuttingError::from)?;
        let model = section.moments().area;
        let healed: f64 = profile.healed.iter().map(|h| h.off).sum::<f64>() * section.contour().length();
        self.same("the area", Moments::of(&found).area.abs(), model, WRITTEN_AREA * model + healed)?;
        let wheel = &self.job.wheel;
        if profile.healed.is_empty() {
            let model = section.contour().bounds();
            let turned = Bounds::of(Point::new(model.min.y, model.min.x), Point::new(model.max.y, model.max.x));
            self.same("the greatest radius", turned.max.y, wheel.outside_radius(), WRITTEN_POINT)?;
            self.same("the least radius", turned.min.y, wheel.bore_radius(), WRITTEN_POINT)?;
            self.extents(bounds(&found), turned)?;
            // area and extents stay the same where the sides are exchanged; the centroid does not
            let (written, model) = (Moments::of(&found), section.moments());
            let along = (written.x / written.area, model.y / model.area);
            self.same("the centroid's distance from side A", along.0, along.1, WRITTEN_POINT)?;
        }
        Ok(())
    }

    fn nose(&self, profile: &Profile, nose: &NosePath, cut: &[&Written]) -> Result<(), Mismatch> {
        let found = self.one_contour(cut)?;
        let model = nose.path.area();
        self.same("the area", Moments::of(&found).area.abs(), model, WRITTEN_AREA * model)?;
        for edge in &found {
            for t in [0.0, 0.25, 0.5, 0.75] {
                let distance = profile.contour.distance(edge.at(t));
                self.same("the nose's distance from the shape", distance, nose.radius, WRITTEN_POINT)?;
            }
        }
        let shape = profile.contour.bounds();
        self.extents(bounds(&found), shape.grown(nose.radius))
    }

    fn grooves(&self, part: Part, cut: &[&Written]) -> Result<(), Mismatch> {
        let centres: Vec<&Edge> =
            cut.iter().filter(|w| w.layer.starts_with("GROOVE_CENTRE")).flat_map(|w| w.edges.iter()).collect();
        let edges = cut.iter().filter(|w| w.layer.starts_with("GROOVE_EDGE")).flat_map(|w| w.edges.iter().copied());
        let loops = joined(edges.collect()).map_err(|at| self.flaw("an open end", at))?;
        let laid = Laid::of(self.job, part).ok_or_else(|| self.flaw("no grooves", Point::ORIGIN))?;
        self.same("the number of centre lines", centres.len() as f64, laid.places.len() as f64, 0.0)?;
        self.same("the number of outlines", loops.len() as f64, laid.places.len() as f64, 0.0)?;
        for ((line, around), &k) in centres.iter().zip(&loops).zip(&laid.places) {
            let model = laid.expected(k);
            // −180° and 180° are one direction
            let written = model + turned_apart(laid.angle(line.end()) - model);
            self.same(format!("the angle of groove {k} in degrees"), written, model, laid.slack())?;
            let model = laid.outline(k)?;
            let area = model.area();
            self.same(
                format!("the area of groove {k}"),
                Moments::of(around).area.abs(),
                area,
                laid.area_slack(&model),
            )?;
            self.extents(bounds(around), model.bounds())?;
        }
        Ok(())
    }

    fn passes(&self, part: Part, passes: &Passes, cut: &[&Written]) -> Result<(), Mismatch> {
        let laid = Laid::of(self.job, part).ok_or_else(|| self.flaw("no grooves", Point::ORIGIN))?;
        let lines: Vec<&Edge> = cut.iter().flat_map(|w| w.edges.iter()).collect();
        let each = passes.passes.len();
        self.same("the number of passes", lines.len() as f64, (laid.places.len() * each) as f64, 0.0)?;
        for (lines, &k) in lines.chunks(each).zip(&laid.places) {
            for (line, pass) in lines.iter().zip(&passes.passes) {
                for (written, model) in [(line.start(), pass.from), (line.end(), pass.to)] {
                    let model = laid.point(model, k);
                    self.same(format!("an end of a pass of groove {k}"), written.distance(model), 0.0, WRITTEN_POINT)?;
                }
            }
        }
        Ok(())
    }
}

/// The grooves of a part, laid into the frame of its file.
enum LaidGrooves<'a> {
    Side(Grooved<'a>),
    Face(Rolled<'a>),
}

struct Laid<'a> {
    grooves: LaidGrooves<'a>,
    places: Vec<u32>,
}

impl<'a> Laid<'a> {
    fn of(job: &'a Job, part: Part) -> Option<Laid<'a>> {
        let grooves = match part {
            Part::Profile => return None,
            Part::Grooves(side) => LaidGrooves::Side(Grooved::of(job, side)?),
            Part::FaceGrooves => LaidGrooves::Face(Rolled::of(job)?),
        };
        let places = match &grooves {
            LaidGrooves::Side(g) => g.grooves.pattern.cut().collect(),
            LaidGrooves::Face(r) => r.grooves.pattern.cut().collect(),
        };
        Some(Laid { grooves, places })
    }

    /// The angle that a written centre line stands at by its outer end, degrees from groove 1.
    fn angle(&self, end: Point) -> f64 {
        match &self.grooves {
            LaidGrooves::Side(_) => end.angle().to_degrees(),
            LaidGrooves::Face(r) => ((end.y - r.rise()) / r.outside_radius).to_degrees(),
        }
    }

    /// The angle of place k as [`Laid::angle`] has it, straight from the place's number.
    fn expected(&self, k: u32) -> f64 {
        match &self.grooves {
            LaidGrooves::Face(r) => place_deg(&r.grooves.pattern, k),
            LaidGrooves::Side(g) => {
                let outer = g.centre_line().1;
                let from_one = place_deg(&g.grooves.pattern, k) + g.grooves.skew_deg + outer.angle().to_degrees();
                turned_apart(if g.one.side == SideName::B { -from_one } else { from_one })
            }
        }
    }

    /// By how much a written angle may be off, degrees.
    fn slack(&self) -> f64 {
        let radius = match &self.grooves {
            LaidGrooves::Side(g) => g.centre_line().1.length(),
            LaidGrooves::Face(r) => r.outside_radius,
        };
        (WRITTEN_POINT / radius).to_degrees()
    }

    fn outline(&self, k: u32) -> Result<Contour, CuttingError> {
        match &self.grooves {
            LaidGrooves::Side(g) => g.outline(k),
            LaidGrooves::Face(r) => r.outline(k),
        }
    }

    /// Ends that may each be off by [`WRITTEN_POINT`] move the area by that times the length.
    fn area_slack(&self, model: &Contour) -> f64 {
        WRITTEN_AREA * model.area() + 0.01 * WRITTEN_POINT * model.length()
    }

    fn point(&self, p: Point, k: u32) -> Point {
        match &self.grooves {
            LaidGrooves::Side(g) => g.laid(p, k),
            LaidGrooves::Face(r) => p + r.centre_line(k).0,
        }
    }
}

/// An angle in degrees as one in [−180, 180).
fn turned_apart(degrees: f64) -> f64 {
    (degrees + 180.0).rem_euclid(360.0) - 180.0
}

fn bounds(edges: &[Edge]) -> Bounds {
    let start = edges.first().map_or(Point::ORIGIN, Edge::start);
    edges.iter().map(Edge::bounds).fold(Bounds::of(start, start), Bounds::union)
}

/// Closed chains of loose edges, each edge turned as its chain runs; the place of an end that meets no other where one stays open.
pub fn joined(mut edges: Vec<Edge>) -> Result<Vec<Vec<Edge>>, Point> {
    edges.reverse();
    let mut loops = Vec::new();
    while let Some(first) = edges.pop() {
        let (begin, mut end) = (first.start(), first.end());
        let mut chain = vec![first];
        while end.distance(begin) > WRITTEN_POINT {
            // files keep their order, so the next edge is nearly always the last of those left
            let next = edges
                .iter()
                .rposition(|e| e.start().distance(end) <= WRITTEN_POINT || e.end().distance(end) <= WRITTEN_POINT);
            let edge = edges.remove(next.ok_or(end)?);
            let edge = if edge.start().distance(end) <= WRITTEN_POINT { edge } else { edge.reversed() };
            end = edge.end();
            chain.push(edge);
        }
        loops.push(chain);
    }
    Ok(loops)
}
