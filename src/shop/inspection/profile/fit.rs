//! The least-squares fit of points to a section: where the datum they were measured from lies, how it is turned, and which way z counts.
//!
//! Gauss's and Newton's steps: each linear problem is solved by the singular values of a library, so that a direction in which the points say nothing
//! stays as it began. As a point has one nearest place only near the truth, the fit begins from many places, and the best end is taken.

use crate::geometry::{Edge, Point};
use crate::section::{Feature, Section};
use crate::tolerance::{FIT_HOLD, FIT_STEP, SAME_LENGTH};
use nalgebra::{DMatrix, DVector};
use serde::Serialize;

/// How measured points are moved onto the section: turned over where z counts the other way, turned about their centre, then shifted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pose {
    /// What is added to r, mm.
    pub shift_r: f64,
    /// What is added to z, mm, after it is turned over.
    pub shift_z: f64,
    /// By how much the points are turned, degrees, counter-clockwise in (r, z).
    pub turn_deg: f64,
    /// Whether z counts from side B to side A.
    pub turned_over: bool,
    #[serde(skip)]
    centre: Point,
}

impl Pose {
    /// A measured point on the section.
    pub fn moved(&self, p: Point) -> Point {
        let sense = if self.turned_over { -1.0 } else { 1.0 };
        let out = (Point::new(p.x, sense * p.y) - self.centre).rotated(self.turn_deg.to_radians());
        self.centre + out + Point::new(self.shift_r, self.shift_z)
    }
}

/// The place of a section nearest to a point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near {
    pub edge: usize,
    pub feature: Feature,
    pub foot: Point,
    /// Outward normal.
    normal: Point,
    /// Above 0 outside of the material.
    pub deviation: f64,
}

/// Finds it. The normal is that of the edge, so that a point on it has one too.
pub(super) fn nearest(section: &Section, p: Point) -> Near {
    let mut best: Option<(usize, Feature, Point, f64)> = None;
    for (i, (edge, feature)) in section.edges().enumerate() {
        let foot = edge.nearest(p);
        let distance = foot.distance(p);
        if best.is_none_or(|(.., least)| distance < least) {
            best = Some((i, feature, foot, distance));
        }
    }
    let (edge, feature, foot, distance) = best.unwrap_or((0, Feature::Bore, p, 0.0));
    let side = if section.contour().contains(p) { -1.0 } else { 1.0 };
    // beyond an edge's end the nearest place is a corner, whose normal is the way to the point
    let away = ((p - foot) * side).unit().filter(|_| distance > SAME_LENGTH);
    let normal = away.or(section.contour().edges().get(edge).and_then(|e| outward(e, foot))).unwrap_or(Point::new(0.0, 1.0));
    Near { edge, feature, foot, normal, deviation: side * distance }
}

/// The outward normal of an edge of a counter-clockwise contour.
fn outward(edge: &Edge, at: Point) -> Option<Point> {
    let along = match edge {
        Edge::Line(l) => l.end - l.start,
        Edge::Arc(a) => (at - a.centre()).left() * a.turn().sign(),
    };
    Some(along.unit()?.left() * -1.0)
}

/// Points a beginning is tried with.
const FEW: usize = 120;
/// Steps from each beginning, and from the best of them.
const STEPS: [usize; 2] = [8, 60];
/// Beginnings that are followed to their end.
const FOLLOWED: usize = 3;

/// The best pose of the points; with `axis` only where z begins is free.
pub(super) fn fit(section: &Section, points: &[Point], axis: bool) -> Pose {
    let every = points.len().div_ceil(FEW).max(1);
    let few: Vec<Point> = points.iter().copied().step_by(every).collect();
    let free = if axis { [false, true, false] } else { [true; 3] };
    let mut tried: Vec<(f64, Pose)> = beginnings(section, points, axis).into_iter().map(|pose| ended(section, &few, pose, free, STEPS[0])).collect();
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    tried.truncate(FOLLOWED);
    let mut best: Option<(f64, Pose)> = None;
    for (_, pose) in tried {
        let (sum, pose) = ended(section, points, pose, free, STEPS[1]);
        // of two that fit alike the one that is not turned over
        let alike = best.is_some_and(|(least, _)| (sum - least).abs() <= SAME_LENGTH * (1.0 + least));
        if best.is_none_or(|(least, earlier)| if alike { earlier.turned_over && !pose.turned_over } else { sum < least }) {
            best = Some((sum, pose));
        }
    }
    best.map_or(Pose { shift_r: 0.0, shift_z: 0.0, turn_deg: 0.0, turned_over: false, centre: Point::ORIGIN }, |(_, pose)| pose)
}

/// Every way the points may lie at first: z either way, their ends at one of the section's levels, r as it is or with an end at the rim or the bore.
fn beginnings(section: &Section, points: &[Point], axis: bool) -> Vec<Pose> {
    let around = section.contour().bounds();
    let mut levels: Vec<f64> = section.edges().map(|(e, _)| e.start().y).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|a, b| (*a - *b).abs() < SAME_LENGTH);
    let mut poses = Vec::new();
    for turned_over in [false, true] {
        let sense = if turned_over { -1.0 } else { 1.0 };
        let seen: Vec<Point> = points.iter().map(|p| Point::new(p.x, sense * p.y)).collect();
        let ends = |of: fn(&Point) -> f64| {
            let all = || seen.iter().map(of);
            [all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max)]
        };
        let (r, z) = (ends(|p| p.x), ends(|p| p.y));
        let centre = seen.iter().fold(Point::ORIGIN, |sum, p| sum + *p) * (1.0 / seen.len().max(1) as f64);
        let shifts_r = if axis { vec![0.0] } else { vec![0.0, around.max.x - r[1], around.min.x - r[0]] };
        for shift_r in shifts_r {
            for shift_z in levels.iter().flat_map(|level| [level - z[0], level - z[1]]) {
                poses.push(Pose { shift_r, shift_z, turn_deg: 0.0, turned_over, centre });
            }
        }
    }
    poses
}

/// Where the steps from a pose end, with the sum of squares there, mm².
fn ended(section: &Section, points: &[Point], mut pose: Pose, free: [bool; 3], steps: usize) -> (f64, Pose) {
    let mut sum = f64::INFINITY;
    // turns count by what they move at the section's reach, so that all three columns are of one kind
    let around = section.contour().bounds();
    let arm = around.width().hypot(around.height());
    for _ in 0..steps {
        let near: Vec<(Point, Near)> = points.iter().map(|p| pose.moved(*p)).map(|q| (q, nearest(section, q))).collect();
        sum = near.iter().map(|(_, n)| n.deviation * n.deviation).sum();
        let centre = pose.centre + Point::new(pose.shift_r, pose.shift_z);
        let rows = DMatrix::from_fn(near.len(), 3, |i, j| {
            let (q, n) = near[i];
            let column = [n.normal.x, n.normal.y, n.normal.dot((q - centre).left()) / arm][j];
            if free[j] { column } else { 0.0 }
        });
        let off = DVector::from_iterator(near.len(), near.iter().map(|(_, n)| -n.deviation));
        let singular = rows.svd(true, true);
        let least = FIT_HOLD * singular.singular_values.max();
        let Ok(step) = singular.solve(&off, least) else { break };
        pose.shift_r += step[0];
        pose.shift_z += step[1];
        pose.turn_deg += (step[2] / arm).to_degrees();
        if step.norm() <= FIT_STEP {
            break;
        }
    }
    (sum, pose)
}
