//! Groove passes: where a slitting disc runs, beside each other where it is narrower than the groove, above each other where the depth takes
//! several, with approach and over-run beyond the outside diameter.
//!
//! A disc is programmed by its lowest point. It never cuts beyond the ordered outline: at an inner end it stops where its rim touches the side at
//! the inner radius, so a square end keeps material that its run-out leaves; that is reported.

use super::face::Rolled;
use super::frame::{closed, drawing, layer, mm};
use super::grooves::Grooved;
use super::{CuttingError, Part, face, grooves};
use crate::drawing::{Drawing, Item, LineRole};
use crate::geometry::Point;
use crate::tolerance::{ROUNDED, SAME_LENGTH};
use crate::wheel::{Bottom, FaceBottom, InnerEnd, Job, SideName};

/// Clearance beyond the wheel at which passes begin and end unless asked otherwise, mm: a choice made here.
pub const OVER_RUN: f64 = 2.0;

/// Greatest share of the cutter's width from one pass to the next, so that no ridge stays between them: a choice made here.
const OVERLAP: f64 = 0.9;

/// The disc and how it is to be led.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutter {
    /// Width, mm.
    pub width: f64,
    /// Diameter; `None` where it is not known, then run-outs are left aside.
    pub diameter: Option<f64>,
    /// Clearance beyond the wheel at which passes begin and end, mm.
    pub over_run: f64,
    /// Greatest depth of one pass, mm; `None` cuts to depth at once.
    pub depth_per_pass: Option<f64>,
}

impl Cutter {
    /// That of an order; `None` where the order names no width.
    pub fn of(job: &Job, over_run: Option<f64>, depth_per_pass: Option<f64>) -> Option<Cutter> {
        let width = job.tooling.groove_cutter_width?;
        let over_run = over_run.unwrap_or(OVER_RUN);
        Some(Cutter { width, diameter: job.tooling.groove_cutter_diameter, over_run, depth_per_pass })
    }

    /// Distances of the cutter's middle from the groove's centre line that sweep `width`; `None` where the cutter is wider.
    fn across(&self, width: f64) -> Option<Vec<f64>> {
        let spare = width - self.width;
        if spare < -SAME_LENGTH {
            return None;
        }
        if spare <= SAME_LENGTH {
            return Some(vec![0.0]);
        }
        let steps = (spare / (OVERLAP * self.width)).ceil().max(1.0) as u32;
        Some((0..=steps).map(|i| spare * (f64::from(i) / f64::from(steps) - 0.5)).collect())
    }

    /// Heights above the floor of the passes above each other, from the first cut to 0.
    pub fn heights(&self, depth: f64) -> Vec<f64> {
        let n = self.depth_per_pass.map_or(1.0, |p| (depth / p - ROUNDED).ceil().max(1.0)) as u32;
        (1..=n).map(|i| depth * f64::from(n - i) / f64::from(n)).collect()
    }

    /// How much higher the disc's lowest point runs than a floor of this slope it touches, mm.
    pub fn slope_lift(&self, slope: f64) -> f64 {
        self.diameter.map_or(0.0, |d| d / 2.0 * ((1.0 + slope * slope).sqrt() - 1.0))
    }

    /// How far the lowest point stays from the end of a floor of this slope (growth of the depth away from that end), and how far from it the
    /// floor is at full depth; `depth` is that of the floor below the surface at the end.
    fn stays_away(&self, depth: f64, slope: f64) -> (f64, f64) {
        let Some(radius) = self.diameter.map(|d| d / 2.0) else { return (0.0, 0.0) };
        let c = 1.0 / (1.0 + slope * slope).sqrt();
        let s = slope * c;
        let height = (depth * c).min(radius);
        let along = (height * (2.0 * radius - height)).max(0.0).sqrt();
        let full = along * c - height * s;
        (full + radius * s, full)
    }
}

/// One pass of the lowest point, in the frame of the groove's centre line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pass {
    /// Where it begins, outside the wheel where the groove is open there.
    pub from: Point,
    /// Where it ends, inside.
    pub to: Point,
    /// Height above the floor that the bottom's form asks of it, mm.
    pub raised: f64,
}

/// How the grooves of a part are cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Passes {
    /// The passes of one groove beside each other.
    pub passes: Vec<Pass>,
    /// Whether they begin outside the wheel; else the cutter plunges.
    pub open: bool,
    /// What is left, and what the setter must know.
    pub remarks: Vec<String>,
}

/// The passes of a side's grooves; the remarks alone where this cutter cannot make them.
pub fn side(job: &Job, side: SideName, cutter: &Cutter) -> Option<Passes> {
    let grooved = Grooved::of(job, side)?;
    let (g, one) = (grooved.grooves, &grooved.one);
    let what = Part::Grooves(side);
    let Some(across) = cutter.across(g.width) else { return Some(too_wide(what, cutter, g.width)) };
    let (inner, outer) = grooved.centre_line();
    let depth_at = |u: f64, r: f64| one.floor.at_axis + one.floor.slope * u - job.wheel.side(side).nominal_depth(r);
    let (stay, full) = cutter.stays_away(depth_at(inner.x, inner.length()), one.floor.slope);
    let (outer_stay, _) = cutter.stays_away(depth_at(outer.x, outer.length()), -one.floor.slope);
    let open = one.outer_u.is_none();
    let from_u = if open { outer.x + outer_stay.max(0.0) + cutter.over_run } else { outer.x - outer_stay };
    let single = across.len() == 1;
    let pass = |&v: &f64| {
        let reach = v.abs() + cutter.width / 2.0;
        let round = if g.inner_end == InnerEnd::Round { round_end(one.half_width, reach) } else { 0.0 };
        Pass {
            from: Point::new(from_u, one.offset + v),
            to: Point::new(inner.x + round + stay, one.offset + v),
            // a cutter as wide as the groove is ground to the bottom's form
            raised: if single { 0.0 } else { one.lift(reach.min(one.half_width)) },
        }
    };
    let passes: Vec<Pass> = across.iter().map(pass).collect();
    if passes.iter().any(|p| p.to.x > p.from.x) {
        let remark = format!("The {what} are shorter than the run-outs of the disc: this cutter cannot make them.");
        return Some(Passes { passes: Vec::new(), open, remarks: vec![remark] });
    }
    let mut remarks = bottom_remarks(what, g.bottom != Bottom::Flat, &passes);
    remarks.extend(end_remarks(what, g.inner_end, cutter, full));
    if !open && cutter.diameter.is_some() {
        remarks.push(format!("The {what} end inside the wheel: the disc plunges, and its run-out stays at both ends."));
    }
    Some(Passes { passes, open, remarks })
}

/// The passes of the face's grooves, in the frame of a groove that starts at the origin and runs along x; both ends lie outside the wheel.
pub fn face(job: &Job, cutter: &Cutter) -> Option<Passes> {
    let rolled = Rolled::of(job)?;
    let g = rolled.grooves;
    let Some(across) = cutter.across(g.width) else { return Some(too_wide(Part::FaceGrooves, cutter, g.width)) };
    let (stay, _) = cutter.stays_away(g.depth, 0.0);
    let (beyond, slope) = (stay + cutter.over_run, g.helix_deg.to_radians().tan());
    let single = across.len() == 1;
    let pass = |&v: &f64| {
        let reach = (v.abs() + cutter.width / 2.0).min(g.width / 2.0);
        let aside = v * (1.0 + slope * slope).sqrt();
        let at = |x: f64| Point::new(x, aside + slope * x);
        let half = g.width / 2.0;
        let lift = half - ((half - reach) * (half + reach)).max(0.0).sqrt();
        let raised = if single || g.bottom == FaceBottom::Flat { 0.0 } else { lift };
        Pass { from: at(-beyond), to: at(rolled.thickness + beyond), raised }
    };
    let passes: Vec<Pass> = across.iter().map(pass).collect();
    let mut remarks = bottom_remarks(Part::FaceGrooves, g.bottom != FaceBottom::Flat, &passes);
    if g.helix_deg != 0.0 {
        remarks.push(String::from("The face grooves are helical: the cutter's head is turned to the helix angle."));
    }
    Some(Passes { passes, open: true, remarks })
}

/// How much later than the tip of a round end a cutter must stop whose farther corner is `reach` from the centre line.
fn round_end(half_width: f64, reach: f64) -> f64 {
    half_width - ((half_width - reach) * (half_width + reach)).max(0.0).sqrt()
}

fn too_wide(what: Part, cutter: &Cutter, width: f64) -> Passes {
    let remark =
        format!("The cutter is {} mm wide, the {what} only {} mm: it cannot make them.", mm(cutter.width), mm(width));
    Passes { passes: Vec::new(), open: true, remarks: vec![remark] }
}

fn bottom_remarks(what: Part, shaped: bool, passes: &[Pass]) -> Vec<String> {
    if !shaped {
        return Vec::new();
    }
    let raised = passes.iter().map(|p| p.raised).fold(0.0, f64::max);
    vec![if passes.len() == 1 {
        format!("The {what} have a shaped bottom: the cutter must be ground to its form.")
    } else {
        format!(
            "The {what} have a shaped bottom: passes beside each other leave steps in it, up to {} mm high.",
            mm(raised)
        )
    }]
}

fn end_remarks(what: Part, end: InnerEnd, cutter: &Cutter, full: f64) -> Vec<String> {
    let mut remarks = Vec::new();
    match (end, cutter.diameter) {
        (_, None) => remarks.push(format!(
            "No diameter of the disc is given: the passes of the {what} end at the inner end, without room for a disc's run-out."
        )),
        (InnerEnd::Runout { cutter_diameter }, Some(d)) => {
            if (d - cutter_diameter).abs() > SAME_LENGTH {
                remarks.push(format!(
                    "The run-out of the {what} is ordered for a disc of {} mm, the passes are for one of {} mm.",
                    mm(cutter_diameter),
                    mm(d)
                ));
            }
        }
        (InnerEnd::Square | InnerEnd::Round, Some(d)) => remarks.push(format!(
            "A disc of {} mm does not reach the inner end of the {what}: full depth begins {} mm farther out; what is left must be cut by \
             another tool.",
            mm(d),
            mm(full)
        )),
    }
    remarks
}

/// The passes of a side's grooves as a drawing: `GROOVE_PASS_SIDE_…`, the ordered edges on `REF_GROOVE_EDGE_SIDE_…`; `None` where there are no
/// grooves or this cutter cannot make them.
///
/// # Errors
/// Where an outline does not close, which a resolved wheel's do.
pub fn side_drawing(
    job: &Job,
    side: SideName,
    cutter: &Cutter,
    made: &Passes,
) -> Result<Option<Drawing>, CuttingError> {
    let Some(grooved) = Grooved::of(job, side).filter(|_| !made.passes.is_empty()) else { return Ok(None) };
    let part = Part::Grooves(side);
    let places: Vec<u32> = grooved.grooves.pattern.cut().collect();
    let lines = places.iter().flat_map(|&k| {
        let line = |p: &Pass| (grooved.laid(p.from, k), grooved.laid(p.to, k));
        made.passes.iter().map(line).collect::<Vec<_>>()
    });
    let lines = lines.map(|(from, to)| Item::Line { from, to, role: LineRole::Path });
    let edges = places.iter().map(|&k| Ok(closed(grooved.outline(k)?, LineRole::Reference)));
    let mut groups = vec![
        layer(format!("GROOVE_PASS_{}", part.layer_end()), lines.collect()),
        layer(format!("REF_GROOVE_EDGE_{}", part.layer_end()), edges.collect::<Result<_, CuttingError>>()?),
    ];
    groups.extend(grooves::references(job, side));
    let mut comments = grooves::comments(&grooved, side);
    comments.push(cutter_comment(cutter, made));
    comments.extend(made.remarks.clone());
    Ok(Some(drawing(job, part, &comments, groups)))
}

/// The passes of the face's grooves as a drawing: `GROOVE_PASS_FACE`, the ordered edges on `REF_GROOVE_EDGE_FACE`.
///
/// # Errors
/// Where an outline does not close, which a resolved wheel's do.
pub fn face_drawing(job: &Job, cutter: &Cutter, made: &Passes) -> Result<Option<Drawing>, CuttingError> {
    let Some(rolled) = Rolled::of(job).filter(|_| !made.passes.is_empty()) else { return Ok(None) };
    let places: Vec<u32> = rolled.grooves.pattern.cut().collect();
    let lines = places.iter().flat_map(|&k| {
        let start = rolled.centre_line(k).0;
        made.passes.iter().map(move |p| Item::Line { from: p.from + start, to: p.to + start, role: LineRole::Path })
    });
    let edges = places.iter().map(|&k| Ok(closed(rolled.outline(k)?, LineRole::Reference)));
    let mut groups = vec![
        layer("GROOVE_PASS_FACE", lines.collect()),
        layer("REF_GROOVE_EDGE_FACE", edges.collect::<Result<_, CuttingError>>()?),
    ];
    groups.extend(face::references(&rolled));
    let mut comments = face::comments(&rolled);
    comments.push(cutter_comment(cutter, made));
    comments.extend(made.remarks.clone());
    Ok(Some(drawing(job, Part::FaceGrooves, &comments, groups)))
}

fn cutter_comment(cutter: &Cutter, made: &Passes) -> String {
    let diameter = cutter.diameter.map_or_else(|| String::from("not given"), |d| format!("{} mm", mm(d)));
    let depth = cutter.depth_per_pass.map_or_else(|| String::from("to be set"), |d| format!("at most {} mm", mm(d)));
    format!(
        "Compensated: {} pass(es) beside each other for a cutter {} mm wide, diameter {diameter}; lines are those of its lowest point, with {} mm \
         beyond the wheel; depth per pass {depth}.",
        made.passes.len(),
        mm(cutter.width),
        mm(cutter.over_run)
    )
}
