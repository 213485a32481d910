//! Grooves of a side: centre lines for a slitting disc, closed edges for a milling or water-jet path.
//!
//! The drawing is seen from outside the side that is cut. The order counts the angles of both sides from outside side A, so side B is mirrored in
//! the line through groove 1: there the angles, and a skew, run the other way.

use super::frame::{closed, drawing, layer, mm, reference, reference_circle};
use super::{CuttingError, Part};
use crate::drawing::{Drawing, Item, LineRole};
use crate::geometry::{Contour, Edge, Point};
use crate::groove::{SideGroove, plan};
use crate::quantity::fixed;
use crate::wheel::{Job, Pattern, SideGrooves, SideName};

/// The grooves of one side, ready to be laid into the file's frame.
#[derive(Debug, Clone)]
pub struct Grooved<'a> {
    /// As ordered.
    pub grooves: &'a SideGrooves,
    /// One groove in the frame of its centre line.
    pub one: SideGroove,
}

impl<'a> Grooved<'a> {
    /// Those of a side; `None` where it has none.
    pub fn of(job: &'a Job, side: SideName) -> Option<Grooved<'a>> {
        let grooves = job.wheel.side(side).grooves.as_ref()?;
        Some(Grooved { grooves, one: SideGroove::of(&job.wheel, side)? })
    }

    /// Direction of the frame of the groove at place k in the file, before side B is mirrored, radians.
    fn turn(&self, k: u32) -> f64 {
        (place_deg(&self.grooves.pattern, k) + self.grooves.skew_deg).to_radians()
    }

    /// The centre line in the groove's own frame, from its inner to its outer end.
    pub fn centre_line(&self) -> (Point, Point) {
        let g = &self.one;
        let rim = ((g.outside_radius - g.offset) * (g.outside_radius + g.offset)).max(0.0).sqrt();
        (Point::new(g.inner_u, g.offset), Point::new(g.outer_u.unwrap_or(rim), g.offset))
    }

    /// A point of the groove's own frame, laid to place k as the file shows it.
    pub fn laid(&self, p: Point, k: u32) -> Point {
        let p = p.rotated(self.turn(k));
        match self.one.side {
            SideName::A => p,
            SideName::B => Point::new(p.x, -p.y),
        }
    }

    /// The closed outline of the groove at place k as the file shows it, counter-clockwise.
    pub fn outline(&self, k: u32) -> Result<Contour, CuttingError> {
        let why = |why| CuttingError::Open { part: Part::Grooves(self.one.side), why };
        let outline = plan::outline(&self.one).map_err(why)?.rotated(self.turn(k));
        Ok(match self.one.side {
            SideName::A => outline,
            SideName::B => outline.mirrored_y(),
        })
    }
}

/// Angle of place k from place 1, degrees: from the place's number, never summed.
pub fn place_deg(pattern: &Pattern, k: u32) -> f64 {
    f64::from(k - 1) * 360.0 / f64::from(pattern.places)
}

/// Angle of the order's direction 0 in the file of a side, degrees in [0, 360).
pub fn order_zero_deg(pattern: &Pattern, side: SideName) -> f64 {
    match side {
        SideName::A => (-pattern.start_deg).rem_euclid(360.0),
        SideName::B => pattern.start_deg.rem_euclid(360.0),
    }
}

/// The grooves of a side as ordered; `None` where it has none. Centre lines lie on `GROOVE_CENTRE_SIDE_…`, closed edges on `GROOVE_EDGE_SIDE_…`;
/// the outside diameter, the bore, the axes and the order's direction 0 are for reference.
///
/// # Errors
/// Where an outline does not close, which a resolved wheel's do.
pub fn nominal(job: &Job, side: SideName) -> Result<Option<Drawing>, CuttingError> {
    let Some(grooved) = Grooved::of(job, side) else { return Ok(None) };
    let part = Part::Grooves(side);
    let (inner, outer) = grooved.centre_line();
    let pattern = &grooved.grooves.pattern;
    let line = |k| Item::Line { from: grooved.laid(inner, k), to: grooved.laid(outer, k), role: LineRole::Path };
    let centres: Vec<Item> = pattern.cut().map(line).collect();
    let edges = pattern.cut().map(|k| Ok(closed(grooved.outline(k)?, LineRole::Path)));
    let edges: Vec<Item> = edges.collect::<Result<_, CuttingError>>()?;
    let mut groups = vec![
        layer(format!("GROOVE_CENTRE_{}", part.layer_end()), centres),
        layer(format!("GROOVE_EDGE_{}", part.layer_end()), edges),
    ];
    groups.extend(references(job, side));
    let mut comments = comments(&grooved, side);
    comments.push(format!(
        "Layers: GROOVE_CENTRE_{0} centre lines for a slitting disc, GROOVE_EDGE_{0} closed edges for milling or water jet: use one of the two. \
         REF_ layers are not cut.",
        part.layer_end()
    ));
    comments.push(String::from("Nominal shape without tool compensation or over-run."));
    if runs_into_neighbour(&grooved) {
        comments
            .push(String::from("Neighbouring grooves run into each other near their inner ends; each is drawn whole."));
    }
    Ok(Some(drawing(job, part, &comments, groups)))
}

/// Outside diameter, bore, axes and the order's direction 0.
pub(super) fn references(job: &Job, side: SideName) -> Vec<crate::drawing::Group> {
    let (outside, bore) = (job.wheel.outside_radius(), job.wheel.bore_radius());
    let half = 0.6 * bore;
    let axes = vec![
        reference(Point::new(-half, 0.0), Point::new(half, 0.0)),
        reference(Point::new(0.0, -half), Point::new(0.0, half)),
    ];
    let mut groups = vec![
        layer("REF_OUTSIDE_DIAMETER", vec![reference_circle(outside)]),
        layer("REF_BORE", vec![reference_circle(bore)]),
        layer(format!("REF_AXES_SEEN_FROM_SIDE_{}", side.letter()), axes),
    ];
    let pattern = job.wheel.side(side).grooves.as_ref().map(|g| &g.pattern);
    if let Some(zero) = pattern.map(|p| order_zero_deg(p, side)).filter(|&zero| zero != 0.0) {
        let direction = Point::polar(1.0, zero.to_radians());
        groups
            .push(layer("REF_ORDER_ZERO", vec![reference(direction * (outside + 3.0), direction * (outside + 13.0))]));
    }
    groups
}

/// What the frame is, and what is cut.
pub(super) fn comments(grooved: &Grooved, side: SideName) -> Vec<String> {
    let g = grooved.grooves;
    let letter = side.letter();
    let mut lines = vec![format!(
        "Seen from outside side {letter}, the side that is cut. Origin: bore's centre; +x through groove 1 where it meets the outside diameter; \
         counter-clockwise positive."
    )];
    let from_a = fixed(g.pattern.start_deg, 6);
    lines.push(match side {
        SideName::A => format!("Groove 1 lies at {from_a} deg of the order."),
        SideName::B => format!(
            "Groove 1 lies at {from_a} deg of the order, which counts angles from outside side A: here they run the other way round."
        ),
    });
    if order_zero_deg(&g.pattern, side) != 0.0 {
        lines.push(format!(
            "REF_ORDER_ZERO marks the order's direction 0, at {} deg in this file: the position against the other side hangs on it.",
            fixed(order_zero_deg(&g.pattern, side), 6)
        ));
    }
    let floor = &grooved.one.floor;
    let (inner, outer) = grooved.centre_line();
    lines.push(format!(
        "{} grooves, pitch {} deg, width {} mm; floor {} mm below side {letter}'s datum plane at the inner end, {} mm at the outer.",
        g.pattern.count(),
        fixed(g.pattern.pitch_deg(), 6),
        mm(g.width),
        mm(floor.at_axis + floor.slope * inner.x),
        mm(floor.at_axis + floor.slope * outer.x)
    ));
    lines
}

/// Whether neighbouring outlines overlap: their corners at the inner end are nearer to the half-way line than allowed.
fn runs_into_neighbour(grooved: &Grooved) -> bool {
    let pattern = &grooved.grooves.pattern;
    let cut: Vec<u32> = pattern.cut().collect();
    let neighbours = cut.windows(2).any(|w| w[1] == w[0] + 1)
        || cut.len() > 1 && cut.first() == Some(&1) && cut.last() == Some(&pattern.places);
    if !neighbours {
        return false;
    }
    let Ok(first) = grooved.outline(1) else { return false };
    let Ok(second) = grooved.outline(if pattern.places > 1 { 2 } else { 1 }) else { return false };
    let inside = |of: &Contour, edges: &[Edge]| {
        edges.iter().any(|e| [0.0, 0.25, 0.5, 0.75].iter().any(|&t| of.contains(e.at(t))))
    };
    inside(&first, second.edges()) || inside(&second, first.edges())
}
