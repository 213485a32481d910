//! Views of the wheel ready for paper, each with its dimensions.
//!
//! A view is drawn at paper scale in mm, y up, in coordinates of its own. In section A–A, the side views and the face view y = 0 is the wheel's
//! axis (or passes through its centre), so that views in projection line up by their origins. The sheet asks [`plan`] what is worth showing,
//! chooses scales, and asks [`build`] for each view; it moves views as a whole and changes nothing inside.
//!
//! The acceptance check of the finished sheet reads these conventions:
//! - a view's group has the id `view-…` and is the only thing of the view on the sheet;
//! - every dimension, with its extension lines, arrowheads, leaders, texts and letter, is one group whose [`Subject`] is the size it shows, or a
//!   reference to one; two dimensions that share an extension line draw it once, in the group of one of them;
//! - lines and arcs of a dimension have the role [`LineRole::Dimension`](crate::drawing::LineRole::Dimension), arrowheads are filled contours;
//! - a group whose subject is a mark owns its texts and lines in the same way without being a dimension: a detail's ring with its letter, a
//!   section's arrows, a caption, a view arrow.
//!
//! Distances count from ink to ink: a line reaches half its width to either side, a text as far as `drawing::measure::ink` says. Numbers are
//! written by the methods of [`Style`] (`length`, `angle`, `nominal`, `deviations`), so that views and tables agree.

mod canvas;
mod clip;
mod corner;
mod corner_detail;
mod face;
mod groove_detail;
mod groove_section;
mod half_section;
mod hatch;
mod outline;
mod pictorial;
mod plan;
mod plane;
mod runout_detail;
mod section;
mod section_marks;
mod side;

pub use plan::plan;

use crate::drawing::{Group, Pen};
use crate::geometry::Bounds;
use crate::language::Language;
use crate::order::{DrawingStyle, Projection};
use crate::quantity::LengthUnit;
use crate::section::Section;
use crate::size::{GrooveSet, SideName, Subject};
use crate::wheel::{Job, Requirement};

/// Stands in the caption of a detail until its ring's place is known.
pub const ON_SHEET: &str = "ring: sheet 1, A12";

/// A view ready for paper: items at paper scale, mm, y up, in its own coordinates.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    /// Which view it is.
    pub kind: ViewKind,
    /// Its group's id, `view-…`.
    pub id: String,
    /// Its caption as drawn above it, such as `A–A (1:2)`; empty where none is drawn.
    pub caption: String,
    /// Everything of it.
    pub group: Group,
    /// The box around everything, dimensions and caption included, with nothing to spare.
    pub bounds: Bounds,
    /// The box around the part itself.
    pub outline: Bounds,
    /// The scale it is drawn at.
    pub scale: Scale,
    /// Its dimensions.
    pub drawn: Vec<DrawnDimension>,
    /// Whether it has been checked alone and found without fault.
    pub checked: bool,
    /// Whether it shows lines of the blank before altering.
    pub shows_blank: bool,
}

/// One dimension of a view, for the tables and the acceptance check.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnDimension {
    /// What its group shows.
    pub subject: Subject,
    /// What the order asks: mm, degrees or a count.
    pub nominal: f64,
    /// The same, measured from the geometry drawn (between its arrow tips, or the drawn circle) and divided by the scale; equal to `nominal`
    /// where nothing is drawn to measure (a count).
    pub measured: f64,
    /// Its value as printed, without tolerance and other unit: `Ø660,4`, `R3`, `1,5×45°`, `180× 2°`; its letter where the table has the value.
    pub printed: String,
    /// The id of its group.
    pub group: String,
    /// Whether its extension lines are bent, so that its arrows are not as far apart as the size is on paper.
    pub bent: bool,
}

/// A scale: so many mm on paper for so many mm of the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Scale {
    /// On paper.
    pub paper: u32,
    /// On the part.
    pub real: u32,
}

impl Scale {
    /// The scales of ISO 5455, the largest first.
    pub const ISO: [Scale; 12] = [
        Scale::new(50, 1),
        Scale::new(20, 1),
        Scale::new(10, 1),
        Scale::new(5, 1),
        Scale::new(2, 1),
        Scale::new(1, 1),
        Scale::new(1, 2),
        Scale::new(1, 5),
        Scale::new(1, 10),
        Scale::new(1, 20),
        Scale::new(1, 50),
        Scale::new(1, 100),
    ];

    /// `paper : real`.
    pub const fn new(paper: u32, real: u32) -> Scale {
        Scale { paper, real }
    }

    /// Paper mm for one mm of the part.
    pub fn factor(self) -> f64 {
        f64::from(self.paper) / f64::from(self.real)
    }
}

impl std::fmt::Display for Scale {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}", self.paper, self.real)
    }
}

/// How everything on the sheets of one order is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Style {
    /// Decimal comma (ISO) or point, inches without a zero before it (US).
    pub dimensioning: DrawingStyle,
    /// First or third angle.
    pub projection: Projection,
    /// The unit lengths are printed in.
    pub unit: LengthUnit,
    /// Whether the other unit follows in square brackets.
    pub dual_units: bool,
    /// The language of what is written.
    pub language: Language,
    /// Line widths.
    pub pen: Pen,
    /// Capital height of dimensions, tables and notes, mm.
    pub text: f64,
    /// Capital height of letters of sections and details, mm.
    pub letter: f64,
    /// Capital height of field labels, mm.
    pub small: f64,
}

impl Style {
    /// As the order asks, in line group 0.5 and with 3.5 mm dimensions.
    pub fn of(job: &Job) -> Style {
        Style {
            dimensioning: job.sheets.style,
            projection: job.sheets.projection,
            unit: job.units,
            dual_units: job.sheets.dual_units,
            language: job.sheets.language,
            ..Style::usual()
        }
    }

    /// Of a sheet that belongs to no order: millimetres, ISO style, English.
    pub fn usual() -> Style {
        Style {
            dimensioning: DrawingStyle::Iso,
            projection: Projection::First,
            unit: LengthUnit::Millimetre,
            dual_units: false,
            language: Language::En,
            pen: Pen::GROUP_05,
            text: 3.5,
            letter: 5.0,
            small: 2.5,
        }
    }
}

/// Which view.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum ViewKind {
    /// Section A–A through the axis, the axis horizontal, side A to the left.
    Section,
    /// Section A–A once more, without sizes, for side views to stand in line with on a sheet that the section itself is not on.
    PlainSection,
    /// The upper half of section A–A at a larger scale of its own.
    HalfSection,
    /// What is seen from outside a side.
    Side(SideName),
    /// What is seen of the periphery, the axis horizontal, side A to the left.
    Face,
    /// An enlarged detail with its letter.
    Detail {
        /// Its letter: Z, Y, X …
        letter: char,
        /// What it shows.
        of: DetailOf,
    },
    /// An axonometric picture.
    Pictorial,
}

/// What a detail shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DetailOf {
    /// A groove cut across.
    Groove(GrooveSet),
    /// The inner end of a side's groove, cut along it.
    InnerEnd(SideName),
    /// The corner of a side at the outside diameter.
    Corner(SideName),
    /// A groove cut across, the same on both sides.
    BothGrooves,
    /// The corner at the outside diameter, the same on both sides.
    BothCorners,
    /// The inner end of a groove, the same on both sides.
    BothInnerEnds,
}

impl DetailOf {
    /// The side it belongs to, side A where it belongs to both; `None` for the face.
    pub fn side(self) -> Option<SideName> {
        match self {
            DetailOf::Groove(GrooveSet::Side(side)) | DetailOf::InnerEnd(side) | DetailOf::Corner(side) => Some(side),
            DetailOf::BothGrooves | DetailOf::BothCorners | DetailOf::BothInnerEnds => Some(SideName::A),
            DetailOf::Groove(GrooveSet::Face) => None,
        }
    }

    /// Whether it belongs to a side, alone or with the other one.
    pub fn is_of(self, side: SideName) -> bool {
        self.is_of_both() || self.side() == Some(side)
    }

    /// Whether it shows what is the same on both sides.
    fn is_of_both(self) -> bool {
        matches!(self, DetailOf::BothGrooves | DetailOf::BothCorners | DetailOf::BothInnerEnds)
    }

    /// Whether it shows what another would.
    fn covers(self, other: DetailOf) -> bool {
        self == other
            || match self {
                DetailOf::BothGrooves => matches!(other, DetailOf::Groove(GrooveSet::Side(_))),
                DetailOf::BothCorners => matches!(other, DetailOf::Corner(_)),
                DetailOf::BothInnerEnds => matches!(other, DetailOf::InnerEnd(_)),
                _ => false,
            }
    }
}

/// A view worth showing.
#[derive(Debug, Clone, PartialEq)]
pub struct ViewRequest {
    /// Which view.
    pub kind: ViewKind,
    /// 0 must be shown; among the others the smallest is the dearest.
    pub priority: u8,
    /// The scales it may be drawn at, the largest first. Section, side and face views of one order share one scale.
    pub scales: Vec<Scale>,
}

/// Whether a side is among the views shown: then the cutting plane of the section stands on it.
pub(super) fn shows_side(shown: &[ViewRequest]) -> bool {
    shown.iter().any(|r| matches!(r.kind, ViewKind::Side(_)))
}

/// How the sizes of a view are written, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Writing {
    /// Diameters on dimension lines.
    Lines,
    /// Diameters by leaders where dimension lines have no room.
    Leaders,
    /// By their letters alone, values and deviations in the tables: the plain layout.
    Letters,
}

/// What a view is built from besides its request.
#[derive(Debug, Clone)]
pub struct Context<'a> {
    /// The order.
    pub job: &'a Job,
    /// Its section.
    pub section: &'a Section,
    /// How things are written.
    pub style: &'a Style,
    /// Every number the drawing must show.
    pub requirements: &'a [Requirement],
    /// All views that will be on the sheets: a detail that is not among them is not ringed, and what only it would show must be shown elsewhere.
    pub shown: &'a [ViewRequest],
    /// How sizes are written.
    pub writing: Writing,
    /// Whether reference sizes are drawn; dropping them is the first way to make room.
    pub references: bool,
}

/// Why a view cannot be drawn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ViewError {
    /// Its dimensions cannot be placed at this scale: a smaller or larger one, or another view, must show them.
    #[error("{view} cannot be dimensioned at {scale}: {why}")]
    Crowded {
        /// The view's id.
        view: String,
        /// The scale tried.
        scale: Scale,
        /// What collides.
        why: String,
    },
    /// Geometry that cannot be drawn.
    #[error("{view} cannot be drawn: {why}")]
    Geometry {
        /// The view's id.
        view: String,
        /// What went wrong.
        why: String,
    },
}

/// Whether section A–A shows lines of the blank before altering at a scale.
pub(super) fn section_shows_blank(scale: Scale, job: &Job) -> bool {
    section::shows_blank(scale, job)
}

/// Draws one view at one scale.
///
/// # Errors
/// Where its dimensions cannot be placed without touching each other, or its geometry cannot be drawn.
pub fn build(request: &ViewRequest, scale: Scale, context: &Context) -> Result<View, ViewError> {
    match &request.kind {
        ViewKind::Section => section::build(scale, context),
        ViewKind::PlainSection => section::plain(scale, context),
        ViewKind::HalfSection => half_section::build(scale, context),
        ViewKind::Detail { letter, of } => detail(*letter, *of, scale, context),
        ViewKind::Side(name) => side::build(*name, scale, context),
        ViewKind::Face => face::build(scale, context),
        ViewKind::Pictorial => pictorial::build(scale, context),
    }
}

fn detail(letter: char, of: DetailOf, scale: Scale, context: &Context) -> Result<View, ViewError> {
    match of {
        DetailOf::Groove(_) | DetailOf::BothGrooves => groove_detail::build(letter, of, scale, context),
        DetailOf::InnerEnd(_) | DetailOf::BothInnerEnds => runout_detail::build(letter, of, scale, context),
        DetailOf::Corner(_) | DetailOf::BothCorners => corner_detail::build(letter, of, scale, context),
    }
}
