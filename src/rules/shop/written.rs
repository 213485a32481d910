//! The shop's file of rules as written, and the schema its reader holds it against.

use crate::json::Form;
use crate::quantity::{Length, LengthUnit};
use crate::rules::finding::{Authority, Basis, SwitchedOff};
use crate::rules::guide::GradeGuide;
use crate::rules::limits::{Kind, LimitKey};
use schemars::generate::SchemaSettings;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde_json::{Map, Value};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The file as written.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Written {
    /// Version of this format: 1.
    pub format: u32,
    /// What the shop calls these rules.
    pub name: String,
    /// What the file is about.
    #[serde(default)]
    #[allow(dead_code, reason = "a remark for those who read the file")]
    pub about: String,
    /// Rules the shop does without.
    #[serde(default)]
    pub switched_off: Vec<SwitchedOff>,
    /// Limits by name; what is left out stays as built in.
    #[serde(default)]
    pub limits: WrittenLimits,
    /// Which wheels suit which work, in place of the built-in guide.
    #[serde(default)]
    #[schemars(with = "GradeGuide")]
    pub grade_guide: Option<GradeGuide>,
    /// What sizes may differ by where the order says nothing, by size.
    #[serde(default)]
    #[schemars(with = "WrittenGeneral")]
    pub general_tolerances: Option<WrittenGeneral>,
}

/// One limit as written.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenLimit {
    /// Its value; null where only the source counts.
    #[serde(default)]
    pub value: Value,
    /// Its unit, or "" where it has none.
    pub unit: String,
    /// Who says so.
    pub source: String,
    /// Where in the source.
    #[serde(default)]
    pub section: String,
    /// Which edition, or "".
    pub edition: String,
    /// What kind of source it is: what a shop sets itself is its practice.
    #[serde(default = "own")]
    pub kind: Authority,
    /// How well it is founded.
    pub basis: Basis,
    /// The wheel types and bonds it covers.
    #[serde(default)]
    pub covers: String,
    /// Who has checked it against the source, or "".
    pub checked_by: String,
    /// What it is about.
    #[serde(default)]
    #[allow(dead_code, reason = "a remark for those who read the file")]
    pub about: String,
}

fn own() -> Authority {
    Authority::Practice
}

/// The limits as written, by name.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(transparent)]
pub struct WrittenLimits(pub BTreeMap<String, WrittenLimit>);

/// Every limit has a field of its own, and the value its kind asks for.
impl JsonSchema for WrittenLimits {
    fn schema_name() -> Cow<'static, str> {
        "Limits".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let limit = WrittenLimit::json_schema(generator).to_value();
        let of = |key: &LimitKey| {
            let mut limit = limit.clone();
            limit["properties"]["value"] = value_schema(key.kind()).to_value();
            if let (Some(required), true) = (limit["required"].as_array_mut(), key.kind() != Kind::Nothing) {
                required.push("value".into());
            }
            (key.name().to_owned(), limit)
        };
        let properties: Map<String, Value> = LimitKey::ALL.iter().map(of).collect();
        json_schema!({ "type": "object", "additionalProperties": false, "properties": properties })
    }
}

fn value_schema(kind: Kind) -> Schema {
    match kind {
        Kind::Number(..) => json_schema!({ "type": ["number", "string"], "x-quantity": "ratio" }),
        Kind::Length(..) => json_schema!({ "type": ["number", "string"], "x-quantity": "limit" }),
        Kind::Twin(..) => json_schema!({
            "type": "object", "additionalProperties": false, "required": ["in", "mm"],
            "properties": { "in": twin(LengthUnit::Inch), "mm": twin(LengthUnit::Millimetre) }
        }),
        Kind::Numbers => json_schema!({ "type": "array", "items": { "type": "number" } }),
        Kind::Range => pair(),
        Kind::Windows => json_schema!({ "type": "array", "items": pair() }),
        Kind::Brackets => json_schema!({
            "type": "array",
            "items": {
                "type": "object", "additionalProperties": false, "required": ["value"],
                "properties": {
                    "up_to": { "type": "number", "description": "Largest size it holds for." },
                    "below": { "type": "number", "description": "Size it no more holds for." },
                    "value": { "type": "number", "description": "The limit." }
                }
            }
        }),
        Kind::Table => json_schema!({ "type": "object", "additionalProperties": { "type": "number" } }),
        Kind::Name => json_schema!({ "type": "string" }),
        Kind::Nothing => json_schema!({ "type": "null" }),
    }
}

fn pair() -> Schema {
    json_schema!({ "type": "array", "minItems": 2, "maxItems": 2, "items": { "type": "number" } })
}

fn twin(unit: LengthUnit) -> Schema {
    json_schema!({ "type": "number", "description": format!("The figure for orders in {}.", unit.symbol()) })
}

/// General tolerances as written; a table left out or empty gives none. The bore has no table: its fit is always asked.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenGeneral {
    /// Unit of every bare number of the tables.
    pub unit: LengthUnit,
    /// Who says so.
    pub source: String,
    /// Which edition, or "".
    pub edition: String,
    /// How well it is founded.
    pub basis: Basis,
    /// Who has checked it against the source, or "".
    pub checked_by: String,
    /// What it is about.
    #[serde(default)]
    #[allow(dead_code, reason = "a remark for those who read the file")]
    pub about: String,
    /// Of the outside diameter.
    #[serde(default)]
    pub outside_diameter: Vec<WrittenRow>,
    /// Of the overall thickness.
    #[serde(default)]
    pub thickness: Vec<WrittenRow>,
    /// Of every recess diameter.
    #[serde(default)]
    pub recess_diameter: Vec<WrittenRow>,
    /// Of every recess depth.
    #[serde(default)]
    pub recess_depth: Vec<WrittenRow>,
    /// Of every groove width.
    #[serde(default)]
    pub groove_width: Vec<WrittenRow>,
    /// Of every groove depth.
    #[serde(default)]
    pub groove_depth: Vec<WrittenRow>,
    /// Of every other length but the bore: corners, chamfers, fillets, tapers, where grooves begin and end.
    #[serde(default)]
    pub other: Vec<WrittenRow>,
}

/// What sizes up to one may differ by.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WrittenRow {
    /// Largest size it holds for.
    pub up_to: Length,
    /// How much larger a size may be.
    pub plus: Length,
    /// How much smaller a size may be.
    pub minus: Length,
}

/// JSON Schema (draft 2020-12) of the file.
pub fn schema() -> &'static Value {
    static SCHEMA: LazyLock<Value> =
        LazyLock::new(|| SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Written>().to_value());
    &SCHEMA
}

/// The file, as its reader knows it.
pub fn form() -> &'static Form {
    static FORM: LazyLock<Form> = LazyLock::new(|| Form {
        thing: "a file of shop rules",
        start: "start with a copy of templates/shop-rules.json",
        remarks: "remove it; remarks go into `about`",
        open: "",
        whole: "the file itself, beside `limits`",
        schema: schema(),
        other_names: &[],
    });
    &FORM
}
