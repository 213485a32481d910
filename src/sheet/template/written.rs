//! The title block's definition as written, and the schema its reader holds it against.

use super::Cell;
use crate::json::Form;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Deserialize;
use serde_json::Value;
use std::sync::LazyLock;

/// The definition as written.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Typed {
    /// Version of this format: 1.
    pub format: u32,
    /// What this title block is called.
    pub name: String,
    /// The shop that issues the drawing.
    pub shop: TypedShop,
    /// Type of document, such as "Approval drawing".
    pub document_type: String,
    /// Notes of the shop printed on every sheet's list of notes.
    #[serde(default)]
    pub notes: Vec<String>,
    /// Width, mm on paper.
    pub width: f64,
    /// The cells of the first sheet's block.
    pub cells: Vec<Cell>,
    /// The cells of the strip on every further sheet; the usual ones where there are none.
    #[serde(default)]
    pub continuation: Vec<Cell>,
}

/// The shop as written.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TypedShop {
    /// Its name.
    pub name: String,
    /// Lines of its address.
    #[serde(default)]
    pub address: Vec<String>,
    /// Its sign, as the text of an SVG file.
    #[serde(default)]
    pub logo: String,
    /// The SVG file of its sign, seen from the definition's own folder.
    #[serde(default)]
    pub logo_file: String,
}

/// JSON Schema (draft 2020-12) of a definition.
pub fn schema() -> &'static Value {
    static SCHEMA: LazyLock<Value> =
        LazyLock::new(|| SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Typed>().to_value());
    &SCHEMA
}

/// A definition, as its reader knows it.
pub fn form() -> &'static Form {
    static FORM: LazyLock<Form> = LazyLock::new(|| Form {
        thing: "a title block",
        start: "start with a copy of templates/title-blocks/plain.json",
        remarks: "remove it",
        open: "",
        whole: "the file itself, beside `cells`",
        schema: schema(),
        other_names: &[],
    });
    &FORM
}
