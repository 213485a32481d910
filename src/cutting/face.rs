//! Grooves across the face, on the periphery rolled out flat.
//!
//! Seen from outside the wheel with side A on the left: x runs along the axis from side A's datum plane, y around the outside diameter, counter-clockwise
//! as seen from outside side A. Groove 1 leaves the origin along +x (at its helix angle). y ÷ outside radius is the angle on the indexing head.

use super::frame::{closed, drawing, layer, mm, reference};
use super::{CuttingError, Part};
use crate::drawing::{Drawing, Item, LineRole};
use crate::geometry::{Contour, Point};
use crate::quantity::fixed;
use crate::wheel::{FaceGrooves, Job};
use std::f64::consts::TAU;

/// The face grooves on the rolled-out periphery.
#[derive(Debug, Clone, Copy)]
pub struct Rolled<'a> {
    /// As ordered.
    pub grooves: &'a FaceGrooves,
    /// Outside radius, mm.
    pub outside_radius: f64,
    /// Thickness, mm.
    pub thickness: f64,
}

impl<'a> Rolled<'a> {
    /// Those of a job; `None` where it has none.
    pub fn of(job: &'a Job) -> Option<Rolled<'a>> {
        let grooves = job.wheel.face.as_ref()?;
        Some(Rolled { grooves, outside_radius: job.wheel.outside_radius(), thickness: job.wheel.thickness })
    }

    /// Where groove k starts around the wheel, mm: from the place's number.
    fn y(&self, k: u32) -> f64 {
        TAU * self.outside_radius * f64::from(k - 1) / f64::from(self.grooves.pattern.places)
    }

    /// How far the helix carries a groove around the wheel over the thickness, mm.
    pub fn rise(&self) -> f64 {
        self.thickness * self.grooves.helix_deg.to_radians().tan()
    }

    /// The centre line of groove k, from side A to side B.
    pub fn centre_line(&self, k: u32) -> (Point, Point) {
        let y = self.y(k);
        (Point::new(0.0, y), Point::new(self.thickness, y + self.rise()))
    }

    /// The closed edges of groove k, counter-clockwise; the ordered width is measured across it.
    pub fn outline(&self, k: u32) -> Result<Contour, CuttingError> {
        let (from, to) = self.centre_line(k);
        let half = Point::new(0.0, self.grooves.transverse_width() / 2.0);
        Contour::polygon(&[from - half, to - half, to + half, from + half])
            .map_err(|why| CuttingError::Open { part: Part::FaceGrooves, why })
    }
}

/// The face grooves; `None` where the wheel has none. Centre lines lie on `GROOVE_CENTRE_FACE`, closed edges on `GROOVE_EDGE_FACE`.
///
/// # Errors
/// Where an outline does not close, which a resolved wheel's do.
pub fn nominal(job: &Job) -> Result<Option<Drawing>, CuttingError> {
    let Some(rolled) = Rolled::of(job) else { return Ok(None) };
    let pattern = &rolled.grooves.pattern;
    let line = |k| {
        let (from, to) = rolled.centre_line(k);
        Item::Line { from, to, role: LineRole::Path }
    };
    let edges = pattern.cut().map(|k| Ok(closed(rolled.outline(k)?, LineRole::Path)));
    let mut groups = vec![
        layer("GROOVE_CENTRE_FACE", pattern.cut().map(line).collect()),
        layer("GROOVE_EDGE_FACE", edges.collect::<Result<_, CuttingError>>()?),
    ];
    groups.extend(references(&rolled));
    let mut comments = comments(&rolled);
    comments.push(String::from(
        "Layers: GROOVE_CENTRE_FACE centre lines for a slitting disc, GROOVE_EDGE_FACE closed edges for milling: use one of the two. REF_ \
         layers are not cut.",
    ));
    comments.push(String::from("Nominal shape without tool compensation or over-run."));
    Ok(Some(drawing(job, Part::FaceGrooves, &comments, groups)))
}

/// Both datum planes, once around the wheel, beyond the ends of the grooves.
pub(super) fn references(rolled: &Rolled) -> Vec<crate::drawing::Group> {
    let around = TAU * rolled.outside_radius;
    let plane = |x: f64| vec![reference(Point::new(x, 0.0), Point::new(x, around))];
    vec![layer("REF_SIDE_A", plane(0.0)), layer("REF_SIDE_B", plane(rolled.thickness))]
}

pub(super) fn comments(rolled: &Rolled) -> Vec<String> {
    let g = rolled.grooves;
    vec![
        format!(
            "Periphery rolled out at the outside diameter {} mm, seen from outside: x along the axis from side A's datum plane, y around the wheel, \
             counter-clockwise as seen from outside side A. Origin: groove 1 at side A; +x through groove 1 (turned by its helix angle).",
            mm(2.0 * rolled.outside_radius)
        ),
        format!("Groove 1 lies at {} deg of the order.", fixed(g.pattern.start_deg, 6)),
        format!(
            "{} grooves, pitch {} deg, width {} mm across the groove, {} mm deep from the outside diameter, helix {} deg.",
            g.pattern.count(),
            fixed(g.pattern.pitch_deg(), 6),
            mm(g.width),
            mm(g.depth),
            fixed(g.helix_deg, 4)
        ),
    ]
}
