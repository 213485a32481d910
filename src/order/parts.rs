//! The optional parts of the order file: blank, machine, mount, work, tooling, tolerances, drawing.

pub use crate::language::Language;
use crate::quantity::{Density, Length, Mass, Notation, Speed};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The stock wheel before altering.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Blank {
    /// Outside diameter of the stock wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub outside_diameter: Option<Length>,
    /// Thickness of the stock wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub thickness: Option<Length>,
    /// Bore of the stock wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub bore: Option<Length>,
    /// Specification mark, such as `A 54 K 6 V`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub marking: Option<String>,
    /// Density, such as `2.15 g/cm3`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Density")]
    pub density: Option<Density>,
    /// Weight of the blank as weighed, such as `12.4 kg`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Mass")]
    pub weight: Option<Mass>,
    /// The maximum operating speed marked on the blank, such as `33 m/s`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Speed")]
    pub max_operating_speed: Option<Speed>,
    /// The shop's own number of the stock wheel it is taken from, such as `S-104`; several of one kind with commas between.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub stock: Option<String>,
    /// Where it lies, such as `rack 2`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub place: Option<String>,
    /// Lot or serial mark of the blank.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub lot: Option<String>,
    /// Who made the blank.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub maker: Option<String>,
    /// Day until which the blank may be used, YYYY-MM-DD; organic bonds have one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub expires: Option<String>,
    /// Restrictions of use marked on the blank, such as `RE3`: one text or a list.
    #[serde(default, skip_serializing_if = "Texts::is_empty")]
    pub restrictions: Texts,
    /// Reference of the maker's consent to the alteration.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub maker_agreement: Option<String>,
}

/// One text, or several.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
#[serde(transparent)]
pub struct Texts(pub Vec<String>);

impl Texts {
    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<'de> Deserialize<'de> for Texts {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Texts, D::Error> {
        #[derive(Deserialize)]
        #[serde(untagged)]
        enum Typed {
            One(String),
            Several(Vec<String>),
        }
        Ok(match Typed::deserialize(from)? {
            Typed::One(text) => Texts(vec![text]),
            Typed::Several(texts) => Texts(texts),
        })
    }
}

impl JsonSchema for Texts {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Texts".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": ["string", "array"], "items": { "type": "string" }, "x-quantity": "texts" })
    }
}

/// Which size a machine's travel is counted on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum TravelOn {
    /// On the wheel's radius.
    Radius,
    /// On the wheel's diameter.
    Diameter,
}

/// One of the wheel's two sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum WheelSide {
    /// Side A.
    A,
    /// Side B.
    B,
}

/// The grinding machine.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Machine {
    /// The machine's name, as on its card.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// Spindle speed, revolutions per minute.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub spindle_rpm: Option<f64>,
    /// How far the machine can use the wheel up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub usable_travel: Option<Length>,
    /// Whether the usable travel is counted on the radius or on the diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "TravelOn")]
    pub travel_on: Option<TravelOn>,
    /// Natural frequencies of the machine to keep away from, Hz.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub natural_frequencies_hz: Vec<f64>,
}

/// How the wheel is held on the spindle.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mount {
    /// Diameter of the flanges.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub flange_diameter: Option<Length>,
    /// Radial width of the flanges' bearing ring.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub flange_bearing_width: Option<Length>,
    /// The side that faces the fixed flange.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "WheelSide")]
    pub fixed_flange_side: Option<WheelSide>,
    /// Length of the hub bolts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub bolt_length: Option<Length>,
    /// Flange, washer, nut and least engagement together: what the bolt needs besides the wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub bolt_stack: Option<Length>,
}

/// What the wheel does on the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OperationKind {
    /// Grinding a journal's cylinder.
    Journal,
    /// Grinding a journal's fillets.
    Fillet,
    /// Grinding a thrust face.
    ThrustFace,
}

/// What it grinds.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Work {
    /// Material of the work, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub material: Option<String>,
    /// Hardness of the work, Rockwell C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub hardness_hrc: Option<f64>,
    /// What the wheel does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "OperationKind")]
    pub operation: Option<OperationKind>,
}

/// The shop's own tools.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tooling {
    /// Diameter of the slitting disc.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub groove_cutter_diameter: Option<Length>,
    /// Width of the slitting disc.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub groove_cutter_width: Option<Length>,
    /// Nose radius of the profiling diamond.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub profile_nose_radius: Option<Length>,
    /// Stone that roughing leaves on the profile for the last pass of a program.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub profile_allowance: Option<Length>,
    /// Smallest step of the indexing head, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "f64")]
    pub index_step_deg: Option<f64>,
    /// Feed of the side dressing diamond for each revolution of the wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Length")]
    pub side_dress_lead: Option<Length>,
}

/// How far a characteristic may be off: a number (±), text such as `+0.005/-0`, or upper and lower deviation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
#[schemars(extend("x-quantity" = "tolerance"))]
pub enum Tolerance {
    /// ± this, in the file's unit (degrees for the groove pitch).
    Both(f64),
    /// `+a/-b`, each with a unit of its own or in the file's unit.
    Typed(String),
    /// Upper and lower deviation with their signs.
    Deviations(Deviations),
}

/// Upper and lower deviation from the nominal value, with their signs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Deviations {
    /// Upper deviation, normally 0 or above.
    pub upper: Length,
    /// Lower deviation, normally 0 or below.
    pub lower: Length,
}

/// Tolerances by characteristic.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tolerances {
    /// Of every size that has none of its own, the bore apart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub general: Option<Tolerance>,
    /// Of the outside diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub outside_diameter: Option<Tolerance>,
    /// Of the overall thickness.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub thickness: Option<Tolerance>,
    /// Of the bore.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub bore: Option<Tolerance>,
    /// Of every recess diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub recess_diameter: Option<Tolerance>,
    /// Of every recess depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub recess_depth: Option<Tolerance>,
    /// Of every groove width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub groove_width: Option<Tolerance>,
    /// Of every groove depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub groove_depth: Option<Tolerance>,
    /// Of the angle between neighbouring grooves, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub groove_pitch_deg: Option<Tolerance>,
    /// Total run-out of the face against the bore's axis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub runout_face: Option<Tolerance>,
    /// Total run-out of the sides against the bore's axis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub runout_side: Option<Tolerance>,
    /// Parallelism of the two sides.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerance")]
    pub parallelism: Option<Tolerance>,
}

/// Paper size of the sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub enum SheetSize {
    /// ISO A4, 210 × 297 mm.
    A4,
    /// ISO A3, 420 × 297 mm.
    A3,
    /// ISO A2, 594 × 420 mm.
    A2,
    /// ASME A, 11 × 8.5 in.
    A,
    /// ASME B, 17 × 11 in.
    B,
    /// ASME C, 22 × 17 in.
    C,
}

/// Projection method (ISO 5456-2).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Projection {
    /// First angle.
    First,
    /// Third angle.
    Third,
}

/// Dimensioning style.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum DrawingStyle {
    /// ISO 129-1: millimetres, decimal comma.
    Iso,
    /// ASME Y14.5: decimal point, inches without a zero before the point.
    Us,
}

impl From<DrawingStyle> for Notation {
    fn from(style: DrawingStyle) -> Notation {
        match style {
            DrawingStyle::Iso => Notation::Iso,
            DrawingStyle::Us => Notation::Us,
        }
    }
}

/// How the sheets are to look.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DrawingWishes {
    /// Paper size; chosen to fit if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SheetSize")]
    pub sheet: Option<SheetSize>,
    /// Projection method; third for `us`, first for `iso` if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Projection")]
    pub projection: Option<Projection>,
    /// Dimensioning style; `us` for inches, `iso` for millimetres if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "DrawingStyle")]
    pub style: Option<DrawingStyle>,
    /// Whether every length is printed in the other unit as well, in brackets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "bool")]
    pub dual_units: Option<bool>,
    /// Path of the shop's own title block, or `plain`, which names no shop: a pack is then not released; or `example`, which names an invented one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub title_block: Option<String>,
    /// Language of the customer's sheets; English if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Language")]
    pub language: Option<Language>,
    /// Solid models a pack adds.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub solid: Vec<SolidFormat>,
}

/// File format of a solid model.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum SolidFormat {
    /// ISO 10303-21.
    #[serde(rename = "step")]
    Step,
    /// 3MF.
    #[serde(rename = "3mf")]
    ThreeMf,
    /// STL.
    #[serde(rename = "stl")]
    Stl,
    /// Binary glTF.
    #[serde(rename = "glb")]
    Glb,
}

impl SolidFormat {
    /// All of them.
    pub const ALL: [SolidFormat; 4] = [SolidFormat::Step, SolidFormat::ThreeMf, SolidFormat::Stl, SolidFormat::Glb];

    /// The ending of its files, as the order writes it.
    pub fn ending(self) -> &'static str {
        match self {
            SolidFormat::Step => "step",
            SolidFormat::ThreeMf => "3mf",
            SolidFormat::Stl => "stl",
            SolidFormat::Glb => "glb",
        }
    }
}

/// One question that was answered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// The question: a finding's id, with its feature behind it where several have that id, such as `groove-land side_a.grooves`.
    pub question: String,
    /// What was agreed.
    pub answer: String,
    /// Who said so.
    pub by: String,
    /// When, YYYY-MM-DD.
    pub date: String,
    /// The question as it was asked: where it names other values by now, it is asked again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub asked: Option<String>,
}
