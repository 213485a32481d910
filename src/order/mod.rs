//! The order file as written: what a person typed, field for field, before anything is resolved.
//!
//! Every struct refuses unknown fields. Lengths stay as typed ([`Length`]) until `wheel::resolve` turns them into millimetres. The doc comments
//! of the fields are the descriptions in the published JSON Schema and the hints of the page's form.

mod parts;
mod read;
mod schema;
mod shape;
mod templates;

pub use parts::{
    Answer, Blank, Deviations, DrawingStyle, DrawingWishes, Language, Machine, Mount, OperationKind, Projection,
    SheetSize, SolidFormat, Texts, Tolerance, Tolerances, Tooling, TravelOn, WheelSide, Work,
};
pub use read::{read, setting};
pub use schema::schema;
pub use shape::{
    BottomName, Corner, Face, FaceBottomName, FaceGrooves, InnerEndName, RecessStep, Shape, Side, SideGrooves, Taper,
};
pub use templates::{TEMPLATES, Template};

use crate::quantity::LengthUnit;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One altered wheel, as ordered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Order {
    /// Where the schema of this file is, for editors.
    #[serde(rename = "$schema", default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub schema: Option<String>,
    /// Who ordered what.
    pub order: Head,
    /// Unit of every bare number that is a length.
    pub units: LengthUnit,
    /// The wheel after altering.
    pub wheel: Shape,
    /// The stock wheel before altering.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Blank")]
    pub blank: Option<Blank>,
    /// The grinding machine it runs on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Machine")]
    pub machine: Option<Machine>,
    /// How it is held on the spindle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Mount")]
    pub mount: Option<Mount>,
    /// What it grinds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Work")]
    pub work: Option<Work>,
    /// The shop's own tools.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tooling")]
    pub tooling: Option<Tooling>,
    /// How far each characteristic may be off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Tolerances")]
    pub tolerances: Option<Tolerances>,
    /// Questions that were answered.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub answers: Vec<Answer>,
    /// How the sheets are to look.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "DrawingWishes")]
    pub drawing: Option<DrawingWishes>,
}

/// Who ordered what.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Order number; short, letters, digits, `-`, `_` and `.` only, since file names carry it.
    pub number: String,
    /// Revision; short, letters, digits, `-`, `_` and `.` only.
    pub revision: String,
    /// Date of this revision, YYYY-MM-DD.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub date: Option<String>,
    /// How many wheels are ordered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "u32", range(min = 1))]
    pub quantity: Option<u32>,
    /// The customer's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub customer: Option<String>,
    /// Whom to ask at the customer's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub contact: Option<String>,
    /// What the wheel is for, in the customer's words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub item: Option<String>,
    /// Who prepared the order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub prepared_by: Option<String>,
    /// Day on which the customer wants the wheels, YYYY-MM-DD.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub due: Option<String>,
    /// The customer's own order number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub customer_order: Option<String>,
    /// Where the wheels go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub ship_to: Option<String>,
    /// The order this one repeats, such as `1042-B`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub based_on: Option<String>,
    /// Notes printed on the sheets.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
}
