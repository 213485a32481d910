//! A measured section: points of the turned wheel, in any order and from any datum, fitted to the ordered section by least squares; what sizes they
//! come to, and how far each point lies off.

mod fit;
mod paper;
mod points;
mod shapes;
mod sizes;

pub use fit::Pose;
pub use paper::{part, sheets};
pub use points::{Touch, read};

use super::verdict::{Judged, Verdict};
use crate::geometry::{Edge, Point};
use crate::section::{Feature, Section};
use crate::wheel::Job;
use serde::Serialize;

/// Fewest points a section can be fitted to.
pub const LEAST_POINTS: usize = 5;

/// How the points are to be taken.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Wishes {
    /// Whether r counts from the wheel's axis and z along it: then diameters are judged too, and only where z begins is free.
    pub axis: bool,
    /// How far a point may lie off the section to either side, mm; `None` asks nothing of single points.
    pub band: Option<f64>,
}

/// One measured point beside the ordered section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Off {
    /// Where it lies, in the section's (r, z), mm.
    pub at: Point,
    /// How far off the section, mm: above 0 there is too much material.
    pub deviation: f64,
    /// What it lies on.
    pub feature: Feature,
    /// Which edge of the section that is.
    edge: usize,
    /// Way along the section's contour to it, mm.
    pub along: f64,
    /// Which of several sections round the wheel it belongs to.
    section: usize,
}

/// A measured section.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Profile {
    /// How the points were moved onto the section.
    pub pose: Pose,
    /// Root mean square of the deviations, mm.
    pub rms: f64,
    /// The deviation farthest from 0, mm.
    pub worst: f64,
    /// How far a point may lie off, mm; null where nothing is asked of single points.
    pub band: Option<f64>,
    /// Points outside the band.
    pub outside: usize,
    /// The sizes the points come to, beside the ordered ones.
    pub sizes: Vec<Judged>,
    /// Sizes of the section that the points do not show.
    pub not_measured: Vec<String>,
    /// Every point, in the order of the file.
    #[serde(skip)]
    pub points: Vec<Off>,
    /// Length of the section's contour, mm.
    #[serde(skip)]
    length: f64,
    /// Where each feature begins along it, mm.
    #[serde(skip)]
    features: Vec<(f64, Feature)>,
}

/// Fits the points and measures what they show.
pub fn profile(job: &Job, section: &Section, points: &[Touch], wishes: Wishes) -> Profile {
    let raw: Vec<Point> = points.iter().map(|p| p.at).collect();
    let pose = fit::fit(section, &raw, wishes.axis);
    let along = Along::of(section);
    let offs: Vec<Off> = points.iter().map(|p| along.off(section, pose.moved(p.at), p.section)).collect();
    let squares: f64 = offs.iter().map(|o| o.deviation * o.deviation).sum();
    let worst = offs.iter().map(|o| o.deviation).fold(0.0, |worst: f64, d| if d.abs() > worst.abs() { d } else { worst });
    let (sizes, not_measured) = sizes::sizes(job, section, &offs, wishes.axis);
    Profile {
        rms: (squares / offs.len().max(1) as f64).sqrt(),
        worst,
        band: wishes.band,
        outside: wishes.band.map_or(0, |band| offs.iter().filter(|o| o.deviation.abs() > band).count()),
        sizes,
        not_measured,
        pose,
        length: along.length,
        features: along.features(section),
        points: offs,
    }
}

impl Profile {
    /// Whether every size is within its limits and every point within the band.
    pub fn is_passed(&self) -> bool {
        self.outside == 0 && self.sizes.iter().all(|j| j.verdict != Verdict::Fail)
    }

    /// What speaks against the wheel, a sentence each.
    pub fn refusals(&self) -> Vec<String> {
        let failed = self.sizes.iter().filter(|j| j.verdict == Verdict::Fail).count();
        let sizes = match failed {
            0 => None,
            1 => Some("1 size of the measured section is outside its limits".to_owned()),
            n => Some(format!("{n} sizes of the measured section are outside their limits")),
        };
        let points = (self.outside > 0).then(|| format!("{} points of the measured section lie outside the band", self.outside));
        sizes.into_iter().chain(points).collect()
    }
}

/// The length along the section's contour, edge by edge.
struct Along {
    /// Where each edge begins, mm.
    starts: Vec<f64>,
    length: f64,
}

impl Along {
    fn of(section: &Section) -> Along {
        let mut length = 0.0;
        let mut starts = Vec::new();
        for (edge, _) in section.edges() {
            starts.push(length);
            length += edge.length();
        }
        Along { starts, length }
    }

    fn features(&self, section: &Section) -> Vec<(f64, Feature)> {
        let mut all: Vec<(f64, Feature)> = self.starts.iter().copied().zip(section.edges().map(|(_, f)| f)).collect();
        all.dedup_by_key(|(_, feature)| *feature);
        all
    }

    /// The nearest place of the section to a point.
    fn off(&self, section: &Section, at: Point, of: usize) -> Off {
        let near = fit::nearest(section, at);
        let along = self.starts[near.edge] + share(&section.contour().edges()[near.edge], near.foot);
        Off { at, deviation: near.deviation, feature: near.feature, edge: near.edge, along, section: of }
    }
}

/// Length of an edge from its start to a point on it, mm.
fn share(edge: &Edge, at: Point) -> f64 {
    match edge {
        Edge::Line(l) => l.start.distance(at),
        Edge::Arc(a) => {
            let turned = (at - a.centre()).angle() - a.start_angle();
            a.radius() * (a.turn().sign() * turned).rem_euclid(std::f64::consts::TAU).min(a.sweep().abs())
        }
    }
}
