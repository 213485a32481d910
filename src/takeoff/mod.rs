//! An order from a drawn section: what a draughtsman left of lines and arcs becomes bore, outside diameter, thickness, recess, taper, corners.
//!
//! ```text
//! lines and arcs ─▶ net of ends that meet ─▶ closed faces ─▶ a face and its axis ─▶ sizes ─▶ wheel, held against what was drawn
//! ```
//!
//! Nothing is guessed in silence: which axis was taken, which sizes were rounded, which lines were not understood is told. What is read is held
//! against the drawing by the section that the order itself gives.

mod axis;
mod faces;
mod grooves;
mod net;
mod order;
mod picture;
mod recognise;
mod sizes;

pub use axis::{Axis, AxisKind};
pub use grooves::{GroovePlan, groove_plan};
pub use order::{Head, order};
pub use picture::picture;
pub use sizes::{Rounded, Snap};

use crate::geometry::{Edge, Point};
use crate::section::Section;
use crate::tolerance::{DRAWN_EXACT, DRAWN_GAP};
use crate::wheel::Wheel;
use faces::Face;

/// One line or arc that was drawn, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Its layer.
    pub layer: String,
    /// Its geometry.
    pub edge: Edge,
    /// Whether it is an outline or an axis.
    pub role: Role,
}

/// What a drawn line means, by its line type and layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// An edge of the wheel, as far as its line type says.
    Outline,
    /// A centre line.
    Axis,
    /// Hidden edges, hatching, dimensions and frames by their layer or line type.
    Aside,
}

impl Role {
    /// Of a line of this layer and line type. Both are words of the draughtsman's own; the usual ones of four languages are known.
    pub fn of(layer: &str, line_type: &str) -> Role {
        let (layer, line_type) = (layer.to_uppercase(), line_type.to_uppercase());
        let has = |text: &str, words: &[&str]| words.iter().any(|w| text.contains(w));
        if has(&line_type, &["CENTER", "CENTRE", "DASHDOT", "MITTE", "ACAD_ISO10", "CHAIN"]) || has(&layer, AXES) {
            return Role::Axis;
        }
        if has(&line_type, &["HIDDEN", "DASHED", "PHANTOM", "DIVIDE", "DOT"]) || has(&layer, ASIDE) {
            return Role::Aside;
        }
        Role::Outline
    }
}

/// Parts of layer names that say axis.
const AXES: &[&str] = &["AXIS", "AXES", "ACHSE", "AXE", "EJE", "CENTER", "CENTRE", "MITTEL"];

/// Parts of layer names that say anything but an edge of the wheel.
const ASIDE: &[&str] = &[
    "DIM",
    "BEMASS",
    "MASS",
    "COTE",
    "COTA",
    "HATCH",
    "SCHRAFF",
    "HACH",
    "RAYADO",
    "FRAME",
    "RAHMEN",
    "TITLE",
    "BORDER",
    "CADRE",
    "HIDDEN",
    "VERDECKT",
    "TEXT",
    "REF_SECTION",
    "REF_BLANK",
];

/// How to read a drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Wishes {
    /// Ends nearer than this meet, mm.
    pub gap: f64,
    /// The shop sizes that sizes are rounded to.
    pub snap: Snap,
    /// The axis, where the person names it.
    pub axis: Option<Axis>,
    /// Whether the side that is drawn first along the axis is side B.
    pub flip: bool,
}

impl Wishes {
    /// Sizes as drawn, with plain numbers of this unit where they are that near.
    #[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
    pub fn plain(snap: Snap) -> Wishes {
        Wishes { gap: DRAWN_GAP, snap, axis: None, flip: false }
    }
}

/// What was read.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenOff {
    /// The wheel, its grooves left out.
    pub wheel: Wheel,
    /// The section it gives.
    pub section: Section,
    /// The axis that was taken.
    pub axis: Axis,
    /// The face that was read, in (r, z).
    pub face: Vec<Edge>,
    /// Every size with what was drawn and what it became.
    pub sizes: Vec<Rounded>,
    /// Greatest distance between what was drawn and the wheel's section, mm.
    pub deviation: f64,
    /// What is to be minded: an axis that was guessed, a size that is near no shop size.
    pub remarks: Vec<String>,
}

/// Why nothing was read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TakeoffError {
    /// No lines or arcs that could be edges.
    #[error("the drawing holds no lines or arcs that could be edges of a wheel")]
    Empty,
    /// Nothing closes.
    #[error("nothing that is drawn closes: an end at {0} meets no other within {1} mm")]
    Open(String, String),
    /// No axis.
    #[error(
        "nothing says where the axis is: no centre line beside the section, no second half, and it does not lie on one side of x = 0 or y = 0"
    )]
    NoAxis,
    /// A face that is no section of a wheel.
    #[error("the section could not be understood: {0}")]
    NotUnderstood(String),
}

/// Reads a section.
///
/// # Errors
/// Where nothing closes, no axis can be told, or the closed shape is none that an order can describe.
pub fn takeoff(drawn: &[Drawn], wishes: &Wishes) -> Result<TakenOff, TakeoffError> {
    let outline: Vec<Edge> = drawn.iter().filter(|d| d.role == Role::Outline).map(|d| d.edge).collect();
    if outline.is_empty() {
        return Err(TakeoffError::Empty);
    }
    // a drawing made by a machine is read to its last digit before ends are let apart
    let exact = attempt(&outline, drawn, &Wishes { gap: wishes.gap.min(DRAWN_EXACT), ..wishes.clone() });
    exact.or_else(|_| attempt(&outline, drawn, wishes))
}

fn attempt(outline: &[Edge], drawn: &[Drawn], wishes: &Wishes) -> Result<TakenOff, TakeoffError> {
    let net = net::Net::of(outline, wishes.gap);
    let faces = faces::faces(&net);
    if faces.is_empty() {
        let at = net.loose_end().unwrap_or(Point::ORIGIN);
        return Err(TakeoffError::Open(place(at), crate::quantity::trimmed(wishes.gap, 3)));
    }
    let candidates = axis::candidates(&faces, drawn, wishes);
    let mut first_reason = None;
    for (face, axis) in candidates {
        match read(face, axis, wishes) {
            Ok(taken) => return Ok(taken),
            Err(why) => first_reason = first_reason.or(Some(why)),
        }
    }
    Err(first_reason.unwrap_or(TakeoffError::NoAxis))
}

/// Reads one face about one axis.
fn read(face: &Face, axis: Axis, wishes: &Wishes) -> Result<TakenOff, TakeoffError> {
    let laid = axis.laid(&face.edges, wishes.flip).ok_or_else(|| not("it lies on both sides of its axis"))?;
    let shape = recognise::recognise(&laid, wishes.gap)?;
    let (wheel, sizes) = sizes::rounded(&shape, &wishes.snap);
    let section = Section::of(&wheel).map_err(|e| not(&format!("the sizes that were read make no section: {e}")))?;
    let deviation = recognise::deviation(&laid, &section, &shape);
    let allowed = wishes.gap.max(2.0 * wishes.snap.within);
    if deviation > allowed {
        let by = crate::quantity::trimmed(deviation, 3);
        return Err(not(&format!("an order of bore, recess, taper and corners comes no nearer to it than {by} mm")));
    }
    let mut remarks = Vec::new();
    if let Some(guess) = axis.remark() {
        remarks.push(guess);
    }
    remarks.extend(sizes.iter().filter_map(Rounded::remark));
    Ok(TakenOff { wheel, section, axis, face: laid, sizes, deviation, remarks })
}

fn not(why: &str) -> TakeoffError {
    TakeoffError::NotUnderstood(why.to_owned())
}

/// A place of the drawing in words.
fn place(p: Point) -> String {
    format!("x {} mm, y {} mm", crate::quantity::trimmed(p.x, 3), crate::quantity::trimmed(p.y, 3))
}
