//! The geometry of the wheel after altering.

use crate::size::{GrooveSet, SideName};
use serde::Serialize;

/// The wheel after altering, mm and degrees.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wheel {
    /// Outside diameter D.
    pub outside_diameter: f64,
    /// Overall thickness T.
    pub thickness: f64,
    /// Bore diameter H.
    pub bore: f64,
    /// Legs of the 45° chamfer at both ends of the bore; 0 for none.
    pub bore_chamfer: f64,
    /// The side at z = 0.
    pub side_a: Side,
    /// The side at z = thickness.
    pub side_b: Side,
    /// Grooves across the periphery.
    pub face: Option<FaceGrooves>,
}

impl Wheel {
    /// One of the sides.
    pub fn side(&self, name: SideName) -> &Side {
        match name {
            SideName::A => &self.side_a,
            SideName::B => &self.side_b,
        }
    }

    pub(crate) fn side_mut(&mut self, name: SideName) -> &mut Side {
        match name {
            SideName::A => &mut self.side_a,
            SideName::B => &mut self.side_b,
        }
    }

    /// Where the grooves of a set lie; `None` where it has none.
    pub fn pattern(&self, set: GrooveSet) -> Option<&Pattern> {
        match set {
            GrooveSet::Side(name) => self.side(name).grooves.as_ref().map(|g| &g.pattern),
            GrooveSet::Face => self.face.as_ref().map(|g| &g.pattern),
        }
    }

    /// Thickness at the bore E (ISO 525), between the floors of recesses or, on a side without one, its nominal side line, mm.
    pub fn hub_thickness(&self) -> f64 {
        let r = self.bore_radius();
        self.thickness - self.side_a.depth_at_bore(r) - self.side_b.depth_at_bore(r)
    }

    /// Thickness at the rim U (ISO 525), between the nominal side lines, mm.
    pub fn rim_thickness(&self) -> f64 {
        let r = self.outside_radius();
        self.thickness - self.side_a.nominal_depth(r) - self.side_b.nominal_depth(r)
    }

    /// Whether the order gives a side's taper by its angle.
    pub fn taper_by_angle(&self, side: SideName) -> bool {
        self.side(side).taper.is_some_and(|t| t.ordered_angle_deg.is_some())
    }

    /// Outside radius, mm.
    pub fn outside_radius(&self) -> f64 {
        self.outside_diameter / 2.0
    }

    /// Bore radius, mm.
    pub fn bore_radius(&self) -> f64 {
        self.bore / 2.0
    }
}

/// One side of the wheel; depths are below its datum plane, into the wheel.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Side {
    /// Recess steps from the outermost in.
    pub recess: Vec<RecessStep>,
    /// The taper-dressed part.
    pub taper: Option<Taper>,
    /// The corner at the outside diameter; `None` is sharp.
    pub corner: Option<Corner>,
    /// The coolant grooves.
    pub grooves: Option<SideGrooves>,
}

impl Side {
    /// The nominal side line: depth below the datum plane at radius `r`, mm, without recess, corners and grooves.
    pub fn nominal_depth(&self, r: f64) -> f64 {
        self.taper.as_ref().map_or(0.0, |t| t.depth_at(r))
    }

    /// Depth below the datum plane at a radius at or near the bore, its chamfer left aside, mm: the deepest recess floor, or else the nominal
    /// side line.
    pub fn depth_at_bore(&self, r: f64) -> f64 {
        self.recess.last().map_or_else(|| self.nominal_depth(r), |s| s.depth)
    }

    /// Whether nothing at all is cut into this side.
    pub fn is_plain(&self) -> bool {
        self.recess.is_empty() && self.taper.is_none() && self.corner.is_none() && self.grooves.is_none()
    }
}

/// One step of a recess.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RecessStep {
    /// Diameter of the wall.
    pub diameter: f64,
    /// Depth of the flat floor.
    pub depth: f64,
    /// Radius between wall and floor; 0 is sharp.
    pub fillet_radius: f64,
}

/// A taper-dressed side: 0 deep at one diameter, `depth` at the other, straight between, constant beyond.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Taper {
    /// Diameter where the depth is 0.
    pub from_diameter: f64,
    /// Diameter where the depth is `depth`.
    pub to_diameter: f64,
    /// Depth at `to_diameter`, above 0.
    pub depth: f64,
    /// Angle from the datum plane, degrees, where the order gives it in place of the depth, which then follows from it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ordered_angle_deg: Option<f64>,
}

impl Taper {
    /// Depth at radius `r`, mm.
    pub fn depth_at(&self, r: f64) -> f64 {
        let (from, to) = (self.from_diameter / 2.0, self.to_diameter / 2.0);
        self.depth * ((r - from) / (to - from)).clamp(0.0, 1.0)
    }

    /// Radii between which the side slopes, the smaller first.
    pub fn sloped(&self) -> (f64, f64) {
        let (from, to) = (self.from_diameter / 2.0, self.to_diameter / 2.0);
        (from.min(to), from.max(to))
    }

    /// Angle from the datum plane, degrees, above 0.
    pub fn angle_deg(&self) -> f64 {
        if let Some(ordered) = self.ordered_angle_deg {
            return ordered;
        }
        let (inner, outer) = self.sloped();
        (self.depth / (outer - inner)).atan().to_degrees()
    }
}

/// The corner of a side at the outside diameter.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Corner {
    /// Convex arc of this radius, tangent to the nominal side line and to the outside diameter.
    Radius(f64),
    /// Straight: `run` along r, and run·tan(angle) along the axis from the nominal side line's point at the outside diameter.
    Chamfer {
        /// Radial run.
        run: f64,
        /// Angle from the side, degrees.
        angle_deg: f64,
    },
}

/// Which of n evenly pitched grooves are cut, and where they lie.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pattern {
    /// Places on the full circle, at least 1.
    pub places: u32,
    /// Direction of place 1, degrees.
    pub start_deg: f64,
    /// Places left uncut, from 1, rising.
    pub omit: Vec<u32>,
}

impl Pattern {
    /// Angle from place to place, degrees.
    pub fn pitch_deg(&self) -> f64 {
        360.0 / f64::from(self.places)
    }

    /// Direction of place k (from 1), degrees: from the index, never summed.
    pub fn angle_deg(&self, k: u32) -> f64 {
        self.start_deg + f64::from(k - 1) * 360.0 / f64::from(self.places)
    }

    /// Grooves cut: the places less the omitted ones.
    pub fn count(&self) -> u32 {
        self.places - self.omit.len() as u32
    }

    /// The places cut, rising.
    pub fn cut(&self) -> impl Iterator<Item = u32> + '_ {
        (1..=self.places).filter(|k| self.omit.binary_search(k).is_err())
    }

    /// How often these together repeat on the full circle, at least once.
    pub fn repeats<'a>(patterns: impl Iterator<Item = &'a Pattern>) -> u32 {
        patterns.map(|p| if p.omit.is_empty() { p.places } else { 1 }).fold(0, gcd).max(1)
    }
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// Straight grooves of one side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SideGrooves {
    /// Which are cut, and where.
    pub pattern: Pattern,
    /// Distance between the parallel walls.
    pub width: f64,
    /// Depth below the nominal side line, along the axis.
    pub depth: f64,
    /// Shape of the bottom.
    pub bottom: Bottom,
    /// Where the centre line begins.
    pub inner_diameter: f64,
    /// Shape of the inner end.
    pub inner_end: InnerEnd,
    /// Where the centre line ends; `None` runs out through the outside diameter.
    pub outer_diameter: Option<f64>,
    /// Turn of the centre line about its point at the outside diameter, degrees counter-clockwise.
    pub skew_deg: f64,
}

/// Shape of a side groove's bottom.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Bottom {
    /// Flat across.
    Flat,
    /// A half circle as wide as the groove.
    Round,
    /// Two flanks with this included angle, degrees, that meet in a tip at full depth.
    Vee {
        /// Included angle, degrees.
        angle_deg: f64,
    },
}

/// Shape of a side groove's inner end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum InnerEnd {
    /// A plane across the centre line.
    Square,
    /// A half circle in plan, as wide as the groove, whose tip touches the inner radius.
    Round,
    /// The floor rises along the arc of a disc cutter, from full depth to 0 at the inner radius.
    Runout {
        /// Diameter of the cutter.
        cutter_diameter: f64,
    },
}

/// Grooves across the periphery, over the whole thickness.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceGrooves {
    /// Which are cut, and where they lie at z = 0.
    pub pattern: Pattern,
    /// Width measured across the groove.
    pub width: f64,
    /// Radial depth from the outside diameter at the centre line.
    pub depth: f64,
    /// Shape of the bottom.
    pub bottom: FaceBottom,
    /// Angle to the axis at the outside diameter, degrees; positive turns counter-clockwise (seen from outside side A) with growing z.
    pub helix_deg: f64,
}

impl FaceGrooves {
    /// The same, at least so wide, mm: as a disc leaves them that is wider within the tolerance.
    #[cfg(feature = "pdf")]
    pub fn at_least(&self, width: f64) -> FaceGrooves {
        FaceGrooves { width: self.width.max(width), ..self.clone() }
    }

    /// Width in a plane across the wheel's axis, mm: width / cos(helix).
    pub fn transverse_width(&self) -> f64 {
        self.width / self.helix_deg.to_radians().cos()
    }

    /// Turn of the groove between z = 0 and depth z, radians, on a wheel of this outside radius.
    pub fn twist(&self, z: f64, outside_radius: f64) -> f64 {
        z * self.helix_deg.to_radians().tan() / outside_radius
    }
}

/// Shape of a face groove's bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum FaceBottom {
    /// A plane across the radius.
    Flat,
    /// A half circle of the groove's width, across the groove.
    Round,
}
