//! The shop's folder: `shop.json`, which names the files in it, and the cards of the customers' machines.

mod cards;
mod start;

pub use cards::{Card, read_cards};
pub use start::{FOLDERS, ORDERS, PACKS, start};

use crate::json::{self, Form, Problem, Problems};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Deserialize;
use serde_json::Value;
use std::sync::LazyLock;

/// Its name: a folder that holds it is a shop's folder.
pub const NAME: &str = "shop.json";

/// Version of the format of both files.
const FORMAT: u32 = 1;

/// What the shop's folder holds, and what the shop is called. Files are named as seen from the folder.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Version of this format: 1.
    format: u32,
    /// What the shop is called on labels; empty leaves a line to write on.
    pub name: String,
    /// What the file is about.
    #[serde(default)]
    #[allow(dead_code, reason = "a remark for those who read the file")]
    about: String,
    /// The shop's limits, in place of those built in.
    #[serde(default)]
    #[schemars(with = "String")]
    pub rules: Option<String>,
    /// The shop's title block, for orders that name none.
    #[serde(default)]
    #[schemars(with = "String")]
    pub title_block: Option<String>,
    /// The shop's rates, for `quote`.
    #[serde(default)]
    #[schemars(with = "String")]
    pub rates: Option<String>,
    /// Operations and texts of the traveller.
    #[serde(default)]
    #[schemars(with = "String")]
    pub traveller: Option<String>,
    /// How the shop's machines want their programs.
    #[serde(default)]
    #[schemars(with = "String")]
    pub controls: Option<String>,
    /// Cards of the customers' machines.
    #[serde(default)]
    #[schemars(with = "String")]
    pub machines: Option<String>,
    /// The stock list, a csv file.
    #[serde(default)]
    #[schemars(with = "String")]
    pub stock: Option<String>,
}

fn form() -> &'static Form {
    static SCHEMA: LazyLock<Value> =
        LazyLock::new(|| SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Profile>().to_value());
    static FORM: LazyLock<Form> = LazyLock::new(|| Form {
        thing: "a shop's file",
        start: "start with `wheeldraft new --shop DIR`",
        remarks: "remove it; remarks go into `about`",
        whole: "the file itself",
        schema: &SCHEMA,
        open: "",
        other_names: &[],
    });
    &FORM
}

impl Profile {
    /// Reads `shop.json`.
    ///
    /// # Errors
    /// Everything wrong with it, with its place: unknown fields, another format, a file that is named without a name.
    pub fn read(bytes: &[u8]) -> Result<Profile, Problems> {
        let read = json::read::<Profile>(bytes, form());
        let Some(profile) = read.content.filter(|_| read.problems.is_empty()) else {
            return Err(Problems::of(read.problems));
        };
        let problems = profile.problems();
        if problems.is_empty() { Ok(profile) } else { Err(read.places.locate_all(problems)) }
    }

    fn problems(&self) -> Vec<Problem> {
        let mut problems: Vec<Problem> = unknown_format(self.format).into_iter().collect();
        for (field, file) in self.files() {
            if file.is_some_and(|file| file.trim().is_empty()) {
                let hint = "name a file as seen from the shop's folder, or remove the field";
                problems.push(Problem::new(format!("/{field}"), format!("`{field}` names no file"), hint));
            }
        }
        problems
    }

    fn files(&self) -> [(&'static str, Option<&str>); 7] {
        [
            ("rules", self.rules.as_deref()),
            ("title_block", self.title_block.as_deref()),
            ("rates", self.rates.as_deref()),
            ("traveller", self.traveller.as_deref()),
            ("controls", self.controls.as_deref()),
            ("machines", self.machines.as_deref()),
            ("stock", self.stock.as_deref()),
        ]
    }
}

fn unknown_format(format: u32) -> Option<Problem> {
    let message = format!("format {format} is not known, only {FORMAT}");
    (format != FORMAT).then(|| Problem::new("/format", message, "write \"format\": 1"))
}
