//! Every number of the wheel that a paper may print or a person may measure, as one type: the only key between rooms.
//!
//! What a [`Size`] is worth on a wheel, its letter and its words are worked out where wheels are known, in `wheel`; this room knows only which
//! sizes there are. Their names as text (`side_a.recess.0.depth`) are for files and for messages.

use serde::Serialize;
use std::fmt;

/// Which side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SideName {
    /// At z = 0.
    A,
    /// At z = thickness.
    B,
}

impl SideName {
    /// Both, A first.
    pub const BOTH: [SideName; 2] = [SideName::A, SideName::B];

    /// The opposite side.
    ///
    /// ```
    /// use wheeldraft::SideName;
    ///
    /// assert_eq!(SideName::A.other(), SideName::B);
    /// ```
    pub fn other(self) -> SideName {
        match self {
            SideName::A => SideName::B,
            SideName::B => SideName::A,
        }
    }

    /// `A` or `B`.
    pub fn letter(self) -> &'static str {
        match self {
            SideName::A => "A",
            SideName::B => "B",
        }
    }

    /// Its key in the order file and in file names: `side_a` or `side_b`.
    pub fn key(self) -> &'static str {
        match self {
            SideName::A => "side_a",
            SideName::B => "side_b",
        }
    }
}

/// One of the up to three sets of grooves of a wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum GrooveSet {
    /// In a side.
    Side(SideName),
    /// Across the periphery.
    Face,
}

impl GrooveSet {
    /// All of them, the sides first.
    pub const ALL: [GrooveSet; 3] = [GrooveSet::Side(SideName::A), GrooveSet::Side(SideName::B), GrooveSet::Face];

    /// Key of what it is cut into: `side_a`, `side_b` or `face`.
    pub fn key(self) -> &'static str {
        match self {
            GrooveSet::Side(side) => side.key(),
            GrooveSet::Face => "face",
        }
    }

    /// `side A`, `side B` or `face`.
    pub fn words(self) -> &'static str {
        match self {
            GrooveSet::Side(SideName::A) => "side A",
            GrooveSet::Side(SideName::B) => "side B",
            GrooveSet::Face => "face",
        }
    }
}

/// A number of one set of grooves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum GrooveSize {
    /// Grooves cut.
    Count,
    /// Angle from place to place.
    Pitch,
    /// Direction of the first place.
    Start,
    /// Distance of the walls.
    Width,
    /// Depth below the nominal side line, or from the outside diameter.
    Depth,
    /// Where a side's groove begins.
    InnerDiameter,
    /// Where a side's groove ends, unless it runs out through the outside diameter.
    OuterDiameter,
    /// Included angle of a vee.
    VeeAngle,
    /// Diameter of the cutter that leaves a run-out.
    Cutter,
    /// Turn of a side's groove about its point at the outside diameter.
    Skew,
    /// Angle of a face groove to the axis.
    Helix,
    /// Radius of a round bottom: half of the width.
    BottomRadius,
    /// Arc length left between neighbours at the outside diameter.
    LandOuter,
    /// Arc length left between neighbours at the inner end.
    LandInner,
}

impl GrooveSize {
    /// Those an order gives, in the order in which a paper numbers them.
    pub const ORDERED: [GrooveSize; 11] = [
        GrooveSize::Count,
        GrooveSize::Pitch,
        GrooveSize::Start,
        GrooveSize::Width,
        GrooveSize::Depth,
        GrooveSize::InnerDiameter,
        GrooveSize::OuterDiameter,
        GrooveSize::VeeAngle,
        GrooveSize::Cutter,
        GrooveSize::Skew,
        GrooveSize::Helix,
    ];

    fn key(self) -> &'static str {
        match self {
            GrooveSize::Count => "count",
            GrooveSize::Pitch => "pitch_deg",
            GrooveSize::Start => "start_deg",
            GrooveSize::Width => "width",
            GrooveSize::Depth => "depth",
            GrooveSize::InnerDiameter => "inner_diameter",
            GrooveSize::OuterDiameter => "outer_diameter",
            GrooveSize::VeeAngle => "vee_angle_deg",
            GrooveSize::Cutter => "cutter_diameter",
            GrooveSize::Skew => "skew_deg",
            GrooveSize::Helix => "helix_deg",
            GrooveSize::BottomRadius => "bottom_radius",
            GrooveSize::LandOuter => "land_outer",
            GrooveSize::LandInner => "land_inner",
        }
    }
}

/// One number of the wheel. Recess steps count from 0, the outermost.
///
/// ```
/// use wheeldraft::{SideName, Size};
///
/// assert_eq!(Size::RecessDepth(SideName::A, 0).to_string(), "side_a.recess.0.depth");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Size {
    /// Outside diameter D.
    OutsideDiameter,
    /// Overall thickness T.
    Thickness,
    /// Bore H.
    Bore,
    /// Chamfer at both ends of the bore.
    BoreChamfer,
    /// Thickness at the bore E, between the nominal side lines or the floors of recesses.
    HubThickness,
    /// Thickness at the rim U, between the nominal side lines.
    RimThickness,
    /// Radius of a side's corner at the outside diameter.
    CornerRadius(SideName),
    /// Radial run of a side's corner chamfer.
    CornerChamfer(SideName),
    /// Angle of a side's corner chamfer.
    CornerAngle(SideName),
    /// Diameter where a side's taper is 0 deep.
    TaperFrom(SideName),
    /// Diameter where a side's taper is fully deep.
    TaperTo(SideName),
    /// Depth of a side's taper at its deep end, or at the wheel's edge where that comes first.
    TaperDepth(SideName),
    /// Depth of a side's taper at its other end, where it begins beyond the wheel's edge.
    TaperStart(SideName),
    /// Angle of a side's taper from its datum plane.
    TaperAngle(SideName),
    /// Diameter of a recess step.
    RecessDiameter(SideName, usize),
    /// Depth of a recess step.
    RecessDepth(SideName, usize),
    /// Fillet of a recess step.
    RecessFillet(SideName, usize),
    /// A number of a set of grooves.
    Groove(GrooveSet, GrooveSize),
    /// Permitted run-out of the face.
    RunoutFace,
    /// Permitted run-out of both sides.
    RunoutSide,
    /// Permitted parallelism of the sides.
    Parallelism,
}

/// What a size measures, and so how it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// A diameter, mm: `Ø` before it.
    Diameter,
    /// A distance, mm.
    Length,
    /// A radius, mm: `R` before it.
    Radius,
    /// Leg of a chamfer along the radius, mm; its angle is a number of its own unless 45°.
    Chamfer,
    /// An angle, degrees.
    Angle,
    /// A whole number.
    Count,
    /// Greatest amount of a run-out or of a difference, mm: 0 is best, `≤` before it.
    Form,
}

/// Where a size comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SizeKind {
    /// The order gives it; the wheel must meet it.
    Ordered,
    /// The order gives it as a whole number.
    Counted,
    /// It follows from ordered ones; papers print it in parentheses.
    Derived,
}

impl Size {
    /// What it measures.
    ///
    /// ```
    /// use wheeldraft::{Measure, Size};
    ///
    /// assert_eq!((Size::Bore.measure(), Size::Thickness.measure()), (Measure::Diameter, Measure::Length));
    /// ```
    pub fn measure(self) -> Measure {
        use GrooveSize as G;
        match self {
            Size::OutsideDiameter | Size::Bore | Size::TaperFrom(_) | Size::TaperTo(_) | Size::RecessDiameter(..) => {
                Measure::Diameter
            }
            Size::Thickness | Size::HubThickness | Size::RimThickness | Size::RecessDepth(..) => Measure::Length,
            Size::TaperDepth(_) | Size::TaperStart(_) => Measure::Length,
            Size::BoreChamfer | Size::CornerChamfer(_) => Measure::Chamfer,
            Size::CornerRadius(_) | Size::RecessFillet(..) => Measure::Radius,
            Size::CornerAngle(_) | Size::TaperAngle(_) => Measure::Angle,
            Size::Groove(_, groove) => match groove {
                G::Count => Measure::Count,
                G::Pitch | G::Start | G::VeeAngle | G::Skew | G::Helix => Measure::Angle,
                G::Width | G::Depth | G::LandOuter | G::LandInner => Measure::Length,
                G::InnerDiameter | G::OuterDiameter | G::Cutter => Measure::Diameter,
                G::BottomRadius => Measure::Radius,
            },
            Size::RunoutFace | Size::RunoutSide | Size::Parallelism => Measure::Form,
        }
    }

    /// Where it comes from.
    ///
    /// ```
    /// use wheeldraft::{Size, SizeKind};
    ///
    /// assert_eq!((Size::Bore.kind(), Size::HubThickness.kind()), (SizeKind::Ordered, SizeKind::Derived));
    /// ```
    pub fn kind(self) -> SizeKind {
        use GrooveSize as G;
        match self {
            Size::HubThickness | Size::RimThickness | Size::TaperAngle(_) => SizeKind::Derived,
            Size::Groove(_, G::BottomRadius | G::LandOuter | G::LandInner) => SizeKind::Derived,
            Size::Groove(_, G::Count) => SizeKind::Counted,
            _ => SizeKind::Ordered,
        }
    }

    /// The set of grooves it belongs to; `None` for a size of the turned wheel.
    ///
    /// ```
    /// use wheeldraft::{GrooveSet, GrooveSize, Size};
    ///
    /// assert_eq!(Size::Groove(GrooveSet::Face, GrooveSize::Width).pattern(), Some(GrooveSet::Face));
    /// assert_eq!(Size::Bore.pattern(), None);
    /// ```
    pub fn pattern(self) -> Option<GrooveSet> {
        match self {
            Size::Groove(set, _) => Some(set),
            _ => None,
        }
    }

    /// How many places of the wheel it holds for.
    ///
    /// ```
    /// assert_eq!(wheeldraft::Size::BoreChamfer.places(), 2);
    /// ```
    ///
    /// It is 2 for the chamfer at both ends of the bore and for the run-out of both sides.
    pub fn places(self) -> u32 {
        if matches!(self, Size::BoreChamfer | Size::RunoutSide) { 2 } else { 1 }
    }

    /// The same size of the other side; `None` for what belongs to no side.
    pub(crate) fn on_other_side(self) -> Option<Size> {
        Some(match self {
            Size::CornerRadius(side) => Size::CornerRadius(side.other()),
            Size::CornerChamfer(side) => Size::CornerChamfer(side.other()),
            Size::CornerAngle(side) => Size::CornerAngle(side.other()),
            Size::Groove(GrooveSet::Side(side), size) => Size::Groove(GrooveSet::Side(side.other()), size),
            _ => return None,
        })
    }

    /// The order's field it comes from, as a JSON pointer; of a derived size the one it follows from first.
    ///
    /// ```
    /// use wheeldraft::{SideName, Size};
    ///
    /// assert_eq!(Size::CornerRadius(SideName::B).pointer(), "/wheel/side_b/corner/radius");
    /// ```
    pub fn pointer(self) -> String {
        match self {
            Size::HubThickness | Size::RimThickness => "/wheel/thickness".to_owned(),
            Size::TaperStart(side) => format!("/wheel/{}/taper/from_diameter", side.key()),
            Size::Groove(set, GrooveSize::BottomRadius) => format!("/wheel/{}/grooves/bottom", set.key()),
            Size::Groove(set, GrooveSize::LandOuter | GrooveSize::LandInner) => format!("/wheel/{}/grooves", set.key()),
            Size::RunoutFace | Size::RunoutSide | Size::Parallelism => format!("/tolerances/{self}"),
            _ => format!("/wheel/{}", self.to_string().replace('.', "/")),
        }
    }
}

/// Its name in files: `outside_diameter`, `side_a.recess.0.depth`.
impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut of = |side: SideName, what: &str| write!(f, "{}.{what}", side.key());
        match *self {
            Size::OutsideDiameter => f.write_str("outside_diameter"),
            Size::Thickness => f.write_str("thickness"),
            Size::Bore => f.write_str("bore"),
            Size::BoreChamfer => f.write_str("bore_chamfer"),
            Size::HubThickness => f.write_str("hub_thickness"),
            Size::RimThickness => f.write_str("rim_thickness"),
            Size::CornerRadius(side) => of(side, "corner.radius"),
            Size::CornerChamfer(side) => of(side, "corner.chamfer"),
            Size::CornerAngle(side) => of(side, "corner.angle_deg"),
            Size::TaperFrom(side) => of(side, "taper.from_diameter"),
            Size::TaperTo(side) => of(side, "taper.to_diameter"),
            Size::TaperDepth(side) => of(side, "taper.depth"),
            Size::TaperStart(side) => of(side, "taper.from_depth"),
            Size::TaperAngle(side) => of(side, "taper.angle_deg"),
            Size::RecessDiameter(side, step) => of(side, &format!("recess.{step}.diameter")),
            Size::RecessDepth(side, step) => of(side, &format!("recess.{step}.depth")),
            Size::RecessFillet(side, step) => of(side, &format!("recess.{step}.fillet_radius")),
            Size::Groove(set, size) => write!(f, "{}.grooves.{}", set.key(), size.key()),
            Size::RunoutFace => f.write_str("runout_face"),
            Size::RunoutSide => f.write_str("runout_side"),
            Size::Parallelism => f.write_str("parallelism"),
        }
    }
}

/// What a group of a drawing shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Subject {
    /// A size the wheel must meet, with everything that dimensions it.
    Size(Size),
    /// A size that is the same on both sides, named as that of side A, in one dimension for both.
    Both(Size),
    /// A size given for information, in parentheses.
    Reference(Size),
    /// No size: a caption, a ring with its letter, an arrow. It owns its texts and lines as a dimension does.
    Mark(&'static str),
}

impl Subject {
    /// Whether it is the dimension of a required size.
    pub(crate) fn shows(self, size: Size) -> bool {
        match self {
            Subject::Size(own) => own == size,
            Subject::Both(own) => own == size || own.on_other_side() == Some(size),
            Subject::Reference(_) | Subject::Mark(_) => false,
        }
    }

    /// The size it shows; `None` for a mark.
    pub fn size(self) -> Option<Size> {
        match self {
            Subject::Size(size) | Subject::Both(size) | Subject::Reference(size) => Some(size),
            Subject::Mark(_) => None,
        }
    }
}

/// Its name in files: that of a required size, or `reference:…`, or `mark:…`.
impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Subject::Size(size) => size.fmt(f),
            Subject::Both(size) => match size.on_other_side() {
                Some(other) => write!(f, "{size} {other}"),
                None => size.fmt(f),
            },
            Subject::Reference(size) => write!(f, "reference:{size}"),
            Subject::Mark(name) => write!(f, "mark:{name}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_pointers_are_those_of_the_order_file() {
        let depth = Size::RecessDepth(SideName::A, 1);
        assert_eq!(
            (depth.to_string(), depth.pointer()),
            ("side_a.recess.1.depth".into(), "/wheel/side_a/recess/1/depth".into())
        );
        let pitch = Size::Groove(GrooveSet::Face, GrooveSize::Pitch);
        assert_eq!(pitch.pointer(), "/wheel/face/grooves/pitch_deg");
        assert_eq!(Size::Parallelism.pointer(), "/tolerances/parallelism");
        assert_eq!(Subject::Reference(Size::HubThickness).to_string(), "reference:hub_thickness");
    }

    #[test]
    fn derived_sizes_say_so() {
        let land = Size::Groove(GrooveSet::Side(SideName::B), GrooveSize::LandInner);
        assert_eq!((land.kind(), land.pattern()), (SizeKind::Derived, Some(GrooveSet::Side(SideName::B))));
        assert_eq!(Size::Groove(GrooveSet::Face, GrooveSize::Count).kind(), SizeKind::Counted);
        assert_eq!((Size::Bore.kind(), Size::Bore.pattern()), (SizeKind::Ordered, None));
    }
}
