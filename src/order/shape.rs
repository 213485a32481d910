//! The `wheel` part of the order file: the wheel after altering.
//!
//! A recess step, a taper or a groove set may lack sizes: each is then a question, as if it were `"?"`.

use crate::quantity::{Count, Degrees, Length, Speed};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The wheel after altering.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Shape {
    /// Outside diameter (D of ISO 525).
    pub outside_diameter: Length,
    /// Overall thickness (T of ISO 525), from side A's datum plane to side B's.
    pub thickness: Length,
    /// Bore diameter (H of ISO 525).
    pub bore: Length,
    /// Legs of the 45° chamfer at both ends of the bore.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub bore_chamfer: Option<Length>,
    /// The side at z = 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Side")]
    pub side_a: Option<Side>,
    /// The side at z = thickness.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Side")]
    pub side_b: Option<Side>,
    /// The periphery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Face")]
    pub face: Option<Face>,
    /// A lower maximum operating speed than the blank's, such as `30 m/s`, that the altered wheel is marked with because the engineer decides it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Speed")]
    pub max_operating_speed: Option<Speed>,
}

/// One side of the wheel.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Side {
    /// Recess steps from the outermost in: diameters fall, depths grow.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub recess: Vec<RecessStep>,
    /// The taper-dressed part of the side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Taper")]
    pub taper: Option<Taper>,
    /// The corner at the outside diameter: a radius or a chamfer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Corner")]
    pub corner: Option<Corner>,
    /// The coolant grooves of this side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SideGrooves")]
    pub grooves: Option<SideGrooves>,
}

/// One step of a recess.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RecessStep {
    /// Diameter of the step's wall (P of ISO 525 for the outermost).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub diameter: Option<Length>,
    /// Depth of the flat floor below the side's datum plane (F, G of ISO 525 for the outermost).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub depth: Option<Length>,
    /// Radius of the inner corner between the wall and the floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub fillet_radius: Option<Length>,
}

/// A taper-dressed side: flat up to one diameter, falling straight to another, flat again beyond.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Taper {
    /// Diameter at which the side begins to fall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub from_diameter: Option<Length>,
    /// Diameter at which it has fallen by the depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub to_diameter: Option<Length>,
    /// Depth below the datum plane at `to_diameter`. Give this or the angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub depth: Option<Length>,
    /// Angle from the datum plane, degrees. Give this or the depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub angle_deg: Option<f64>,
}

/// The corner of a side at the outside diameter: either a radius or a chamfer.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Corner {
    /// Convex arc tangent to the side and to the outside diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub radius: Option<Length>,
    /// Radial run of a chamfer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub chamfer: Option<Length>,
    /// Angle of the chamfer from the side, degrees; 45 if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub angle_deg: Option<f64>,
}

/// Straight coolant grooves of one side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SideGrooves {
    /// How many grooves the full circle has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Count")]
    pub count: Option<Count>,
    /// Angle from groove to groove, degrees; it must divide 360.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Degrees")]
    pub pitch_deg: Option<Degrees>,
    /// Direction of groove 1, degrees counter-clockwise from +x, seen from outside side A; 0 if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub start_deg: Option<f64>,
    /// Numbers of the grooves that are not cut, from 1.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub omit: Vec<u32>,
    /// Distance between the parallel walls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub width: Option<Length>,
    /// Depth below the nominal side line, along the wheel's axis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub depth: Option<Length>,
    /// Shape of the bottom; `flat` if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "BottomName")]
    pub bottom: Option<BottomName>,
    /// Included angle of a vee bottom, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub vee_angle_deg: Option<f64>,
    /// Diameter at which the grooves begin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub inner_diameter: Option<Length>,
    /// Diameter at which the grooves end; through the outside diameter if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub outer_diameter: Option<Length>,
    /// Shape of the inner end; `square` if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "InnerEndName")]
    pub inner_end: Option<InnerEndName>,
    /// Diameter of the disc cutter that leaves a `runout` end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub cutter_diameter: Option<Length>,
    /// Angle by which the centre line is turned from radial about its point at the outside diameter, degrees counter-clockwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub skew_deg: Option<f64>,
}

/// Shape of a side groove's bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum BottomName {
    /// Flat across.
    Flat,
    /// A half circle as wide as the groove.
    Round,
    /// Two straight flanks that meet in a tip.
    Vee,
}

/// Shape of a side groove's inner end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum InnerEndName {
    /// A plane across the centre line.
    Square,
    /// A half circle in plan, as wide as the groove.
    Round,
    /// The floor rises as a disc cutter leaves it.
    Runout,
}

/// The periphery.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Face {
    /// Grooves across the periphery.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FaceGrooves")]
    pub grooves: Option<FaceGrooves>,
}

/// Grooves across the periphery, over the whole thickness.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FaceGrooves {
    /// How many grooves the full circle has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Count")]
    pub count: Option<Count>,
    /// Angle from groove to groove, degrees; it must divide 360.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Degrees")]
    pub pitch_deg: Option<Degrees>,
    /// Direction of groove 1 at side A's datum plane, degrees counter-clockwise from +x, seen from outside side A; 0 if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub start_deg: Option<f64>,
    /// Numbers of the grooves that are not cut, from 1.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub omit: Vec<u32>,
    /// Distance between the walls, measured across the groove.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub width: Option<Length>,
    /// Radial depth from the outside diameter at the centre line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub depth: Option<Length>,
    /// Shape of the bottom; `flat` if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FaceBottomName")]
    pub bottom: Option<FaceBottomName>,
    /// Angle between the groove and the wheel's axis at the outside diameter, degrees; 0 (parallel to the axis) if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub helix_deg: Option<f64>,
}

/// Shape of a face groove's bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum FaceBottomName {
    /// Flat across.
    Flat,
    /// A half circle as wide as the groove.
    Round,
}
