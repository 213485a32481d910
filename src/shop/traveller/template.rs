//! The traveller's template: the operations in the shop's order, with the shop's texts.

use crate::json::{self, Form, Problem, Problems};
use crate::quantity::quoted;
use crate::shop::operation::Operation;
use crate::wheel::Characteristic;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Deserialize;
use std::sync::LazyLock;

/// The template that ships with the program, also the pattern of a shop's own.
pub const BUILT_IN: &str = include_str!("../../../templates/traveller.json");

/// Names that texts may hold in braces.
pub const NAMES: [&str; 13] = [
    "blank_size",
    "marking",
    "lot",
    "marked_speed",
    "marked_rpm",
    "test_rpm",
    "quantity",
    "groove_cutter",
    "nose_radius",
    "permitted_unbalance",
    "label_code",
    "test_minutes",
    "other_wheels",
];

/// What wheels after the first are measured for where a template does not say.
const USUAL_FOR_OTHERS: [Characteristic; 5] = [
    Characteristic::OutsideDiameter,
    Characteristic::Thickness,
    Characteristic::Bore,
    Characteristic::GrooveWidth,
    Characteristic::GrooveDepth,
];

/// One entry of the template.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The operation; `None` for one of the shop's own.
    pub operation: Option<Operation>,
    /// Its heading.
    pub title: String,
    /// Sentences, with names in braces.
    pub text: Vec<String>,
    /// The tool, with names in braces.
    pub tool: String,
}

/// A traveller's template.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// The entries in the order they are done.
    pub entries: Vec<Entry>,
    /// What every wheel after the first is measured for.
    pub other_wheels: Vec<Characteristic>,
    /// The file as read: a pack carries a copy.
    pub text: String,
}

impl Template {
    /// The template that ships with the program.
    ///
    /// # Errors
    /// Never in a program whose tests have passed: they read the embedded file.
    pub fn built_in() -> Result<Template, Problems> {
        Template::read(BUILT_IN)
    }

    /// A template of the shop's own.
    ///
    /// # Errors
    /// Everything wrong with it, with its place: unknown fields, operations or names, an operation that is missing, twice, or where it must
    /// not be.
    pub fn read(text: &str) -> Result<Template, Problems> {
        let reading = json::read::<Typed>(text.as_bytes(), form());
        let mut reader = Reader { problems: Vec::new() };
        let template = reading.content.map(|typed| reader.template(typed, &reading.broken));
        let mut problems = reading.problems;
        problems.extend(reading.places.locate_all(reader.problems));
        match template {
            Some(template) if problems.is_empty() => Ok(Template { text: text.to_owned(), ..template }),
            _ => Err(Problems::of(problems)),
        }
    }
}

/// The file as written.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Typed {
    /// Version of this format: 1.
    format: u32,
    /// The shop's name for its operations.
    #[serde(default, rename = "name")]
    _name: String,
    /// What the file is about.
    #[serde(default, rename = "about")]
    _about: String,
    /// What every wheel after the first is measured for, by the names of tolerances; outside diameter, thickness, bore, groove width and depth if absent.
    #[serde(default)]
    #[schemars(with = "Vec<String>")]
    other_wheels: Option<Vec<String>>,
    /// The operations in the order they are done.
    operations: Vec<TypedEntry>,
}

/// One entry as written.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct TypedEntry {
    /// An operation the program knows; without one the entry is the shop's own and always printed.
    #[serde(default)]
    #[schemars(with = "String")]
    operation: Option<String>,
    /// Its heading.
    #[serde(default)]
    #[schemars(with = "String")]
    title: Option<String>,
    /// Sentences, with names in braces.
    #[serde(default)]
    text: Vec<String>,
    /// The tool, with names in braces.
    #[serde(default)]
    tool: String,
}

/// A traveller's template, as its reader knows it.
fn form() -> &'static Form {
    static FORM: LazyLock<Form> = LazyLock::new(|| {
        let schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Typed>().to_value();
        Form {
            thing: "a list of operations",
            start: "start with the built-in traveller.json",
            remarks: "remove it; remarks go into `about`",
            open: "",
            whole: "the list itself, beside `operations`",
            schema: Box::leak(Box::new(schema)),
            other_names: &[("operations", &["steps"]), ("text", &["texts", "sentences"])],
        }
    });
    &FORM
}

struct Reader {
    problems: Vec<Problem>,
}

impl Reader {
    fn problem(&mut self, field: impl Into<String>, message: impl Into<String>, hint: impl Into<String>) {
        self.problems.push(Problem::new(field, message, hint));
    }

    /// What can be said of the contents; `broken` are fields that stand in for what could not be read.
    fn template(&mut self, typed: Typed, broken: &[String]) -> Template {
        let is_sound = |field: &str| !broken.iter().any(|b| b == field);
        if typed.format != 1 && is_sound("/format") {
            self.problem("/format", "the format of this file is not known", "write \"format\": 1");
        }
        let entries = typed.operations.into_iter().enumerate();
        let entries: Vec<Entry> = entries.map(|(i, e)| self.entry(&format!("/operations/{i}"), e)).collect();
        if self.problems.is_empty() && broken.is_empty() {
            self.sequence(&entries);
        }
        let other_wheels = self.other_wheels(typed.other_wheels);
        Template { entries, other_wheels, text: String::new() }
    }

    fn other_wheels(&mut self, typed: Option<Vec<String>>) -> Vec<Characteristic> {
        let Some(typed) = typed else { return USUAL_FOR_OTHERS.to_vec() };
        if typed.is_empty() {
            self.problem("/other_wheels", "no wheel after the first would be measured", "name sizes, or leave the field out");
        }
        let mut found = Vec::new();
        for (i, key) in typed.iter().enumerate() {
            let known = Characteristic::ALL.into_iter().find(|c| c.key() == key);
            if known.is_none() {
                let all: Vec<&'static str> = Characteristic::ALL.iter().map(|c| c.key()).collect();
                let hint = json::nearest(key, &all).map_or(format!("names: {}", all.join(", ")), |near| format!("did you mean \"{near}\"?"));
                self.problem(format!("/other_wheels/{i}"), format!("there is no tolerance {}", quoted(key)), hint);
            }
            found.extend(known);
        }
        found
    }

    fn entry(&mut self, field: &str, typed: TypedEntry) -> Entry {
        let operation = typed.operation.as_deref().and_then(|key| self.operation(field, key));
        let title = typed.title.or_else(|| operation.map(Operation::label)).unwrap_or_default();
        if typed.operation.is_none() && title.is_empty() {
            let hint = "name an operation, or give a title of your own";
            self.problem(field, "the entry has neither operation nor title", hint);
        }
        for (i, sentence) in typed.text.iter().enumerate() {
            self.names(&format!("{field}/text/{i}"), sentence);
        }
        self.names(&format!("{field}/tool"), &typed.tool);
        Entry { operation, title, text: typed.text, tool: typed.tool }
    }

    fn operation(&mut self, field: &str, key: &str) -> Option<Operation> {
        let operation = Operation::of_key(key);
        if operation.is_none() {
            let all: Vec<&'static str> = Operation::ALL.iter().map(|o| o.key()).collect();
            let hint = match json::nearest(key, &all) {
                Some(meant) => format!("did you mean \"{meant}\"?"),
                None => format!("operations: {}", all.join(", ")),
            };
            self.problem(format!("{field}/operation"), format!("there is no operation {}", quoted(key)), hint);
        }
        operation
    }

    /// The names in braces of a text must be known.
    fn names(&mut self, field: &str, text: &str) {
        for name in text.split('{').skip(1).map(|rest| rest.split('}').next().unwrap_or_default()) {
            if !NAMES.contains(&name) {
                let hint = format!("names: {}", NAMES.join(", "));
                self.problem(field, format!("there is no name {} to replace", quoted(name)), hint);
            }
        }
    }

    /// Every operation once, and the tests on the right side of the cutting.
    fn sequence(&mut self, entries: &[Entry]) {
        let at = |o: Operation| entries.iter().position(|e| e.operation == Some(o));
        for operation in Operation::ALL {
            let count = entries.iter().filter(|e| e.operation == Some(operation)).count();
            if count != 1 {
                let message = format!("the operation {} stands here {count} times", operation.key());
                self.problem(
                    "/operations",
                    message,
                    "give every operation once; what a wheel does not need is left out on paper",
                );
            }
        }
        let cutting = || Operation::ALL.into_iter().filter(|o| o.is_cutting()).filter_map(at);
        let (first, last) = (cutting().min(), cutting().max());
        let [before, after, test] = [Operation::RingTestBefore, Operation::RingTestAfter, Operation::SpeedTest].map(at);
        if before > first || after < last || test < after {
            let hint = "ring test, then everything that cuts, then ring test, then speed test";
            self.problem("/operations", "the tests stand on the wrong side of the cutting", hint);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problems(text: &str) -> String {
        let all: Vec<String> = Template::read(text).unwrap_err().into_iter().map(|p| p.problem.message).collect();
        all.join("\n")
    }

    #[test]
    fn the_built_in_template_is_sound_and_complete() {
        let template = Template::built_in().unwrap();
        assert_eq!(template.entries.len(), Operation::ALL.len());
    }

    #[test]
    fn what_is_wrong_is_named() {
        let changed = |from: &str, to: &str| {
            assert!(BUILT_IN.contains(from), "{from}");
            problems(&BUILT_IN.replacen(from, to, 1))
        };
        assert!(changed("\"operation\": \"bore\"", "\"operation\": \"boring\"").contains("no operation `boring`"));
        assert!(changed("\"groove_width\"", "\"groove_witdh\"").contains("no tolerance `groove_witdh`"));
        assert!(changed("{test_rpm}", "{test_speed}").contains("no name `test_speed`"));
        assert!(changed("\"operation\": \"clean\"", "\"operation\": \"bore\"").contains("bore stands here 2 times"));
        assert!(
            changed("\"operation\": \"clean\"", "\"title\": \"Clean\", \"texts\": []").contains("has no field `texts`")
        );
        let moved = BUILT_IN.replace("\"operation\": \"speed-test\"", "\"operation\": \"X\"");
        let moved = moved.replace("\"operation\": \"identify\"", "\"operation\": \"speed-test\"");
        assert!(problems(&moved.replace("\"X\"", "\"identify\"")).contains("wrong side"));
        assert!(Template::read("{").is_err());
    }
}
