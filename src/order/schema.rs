//! The JSON Schema of the order: made from the structs, and itself the source of the reader's checks.

use super::Order;
use schemars::generate::SchemaSettings;
use serde_json::Value;
use std::sync::LazyLock;

/// JSON Schema (draft 2020-12) of the order file.
pub fn schema() -> &'static Value {
    static SCHEMA: LazyLock<Value> =
        LazyLock::new(|| SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Order>().to_value());
    &SCHEMA
}
