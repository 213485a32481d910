//! The wheel's shape as ISO 525 designates it, where it has a type of that standard (types 1, 3, 4, 5, 7; from a digest of the standard).

use super::{Job, Side, SideName, Taper, Wheel, Written};
use crate::quantity::LengthUnit;
use crate::tolerance::SAME_LENGTH;
use serde::Serialize;

/// Type and designation of a wheel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Designation {
    /// The type's number; `None` where the shape has none among the types known here.
    pub shape: Option<u32>,
    /// The type in words.
    pub name: String,
    /// The designation, sizes in mm with the decimal sign of the order's papers: `7-400×50×127-P200F15G10`; plain sizes where there is no type.
    pub text: String,
    /// Whether the drawing shows more than the designation can say: steps, corners, grooves.
    pub has_more: bool,
}

/// The designation of an order's wheel. Corners, chamfers and grooves have no letter in it; of a stepped recess only the outermost step has.
pub fn designation(job: &Job) -> Designation {
    let wheel = &job.wheel;
    let written = Written::of(job);
    let mm = |x: f64| written.length_in(x, LengthUnit::Millimetre);
    let [d, t, h] = [wheel.outside_diameter, wheel.thickness, wheel.bore].map(mm);
    let recessed: Vec<&Side> = SideName::BOTH.iter().map(|s| wheel.side(*s)).filter(|s| !s.recess.is_empty()).collect();
    let tapered: Vec<&Taper> = SideName::BOTH.iter().filter_map(|s| wheel.side(*s).taper.as_ref()).collect();
    let depth = |side: &Side| side.recess.first().map_or(0.0, |step| step.depth);
    let wide = |side: &Side| side.recess.first().map_or(0.0, |step| step.diameter);
    let (shape, name, text) = match (recessed.as_slice(), tapered.as_slice()) {
        ([], []) => (Some(1), "straight", format!("1-{d}×{t}×{h}")),
        ([one], []) => {
            let (p, f) = (mm(wide(one)), mm(depth(one)));
            (Some(5), "recessed one side", format!("5-{d}×{t}×{h}-P{p}F{f}"))
        }
        // one P stands for both sides
        ([a, b], []) if (wide(a) - wide(b)).abs() < SAME_LENGTH => {
            let (p, f, g) = (mm(wide(a)), mm(depth(a)), mm(depth(b)));
            (Some(7), "recessed both sides", format!("7-{d}×{t}×{h}-P{p}F{f}G{g}"))
        }
        ([], tapers) if tapers_to_rim(tapers) => {
            let (number, name) = if tapers.len() == 1 { (3, "tapered one side") } else { (4, "tapered both sides") };
            let (j, u) = (mm(tapers[0].from_diameter), mm(rim_thickness(wheel)));
            (Some(number), name, format!("{number}-{d}/{j}×{t}/{u}×{h}"))
        }
        _ => (None, "altered, see drawing", format!("{d}×{t}×{h}")),
    };
    let steps = |s: &Side| s.recess.len() > 1 || s.recess.iter().any(|r| r.fillet_radius > 0.0);
    let more = |s: &Side| steps(s) || s.corner.is_some() || s.grooves.is_some();
    let has_more = shape.is_none() || wheel.face.is_some() || more(&wheel.side_a) || more(&wheel.side_b);
    Designation { shape, name: name.to_owned(), text, has_more }
}

/// Types 3 and 4: every taper thins the rim, all from one diameter.
fn tapers_to_rim(tapers: &[&Taper]) -> bool {
    let first = tapers.first().map_or(0.0, |t| t.from_diameter);
    tapers.iter().all(|t| t.from_diameter < t.to_diameter && (t.from_diameter - first).abs() < SAME_LENGTH)
}

/// Thickness between the nominal side lines at the outside diameter, U.
fn rim_thickness(wheel: &Wheel) -> f64 {
    let depth = |s: SideName| wheel.side(s).nominal_depth(wheel.outside_radius());
    wheel.thickness - depth(SideName::A) - depth(SideName::B)
}
