//! The traveller's template: the operations in the shop's order, with the shop's texts.

use crate::json::{Problem, Problems, read_json};
use crate::quantity::quoted;
use crate::shop::operation::Operation;
use serde_json::Value;

/// The template that ships with the program, also the pattern of a shop's own.
pub const BUILT_IN: &str = include_str!("../../../templates/traveller.json");

/// Names that texts may hold in braces.
pub const NAMES: [&str; 12] = [
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
        let (value, places) = read_json(text)?;
        let mut reader = Reader { problems: Vec::new() };
        let template = reader.template(&value);
        if reader.problems.is_empty() { Ok(template) } else { Err(places.locate_all(reader.problems)) }
    }
}

struct Reader {
    problems: Vec<Problem>,
}

impl Reader {
    fn problem(&mut self, field: impl Into<String>, message: impl Into<String>, hint: impl Into<String>) {
        self.problems.push(Problem::new(field, message, hint));
    }

    fn known(&mut self, field: &str, value: &Value, names: &[&str]) {
        let Some(members) = value.as_object() else {
            return self.problem(field, "an object is needed here", "write { … }");
        };
        for key in members.keys().filter(|k| !names.contains(&k.as_str())) {
            let message = format!("there is no field {}", quoted(key));
            self.problem(format!("{field}/{key}"), message, format!("known here: {}", names.join(", ")));
        }
    }

    fn template(&mut self, value: &Value) -> Template {
        self.known("", value, &["format", "name", "about", "operations"]);
        if value["format"].as_f64() != Some(1.0) {
            self.problem("/format", "the format of this file is not known", "write \"format\": 1");
        }
        let Some(list) = value["operations"].as_array() else {
            self.problem("/operations", "`operations` must be a list", "write [ … ]");
            return Template { entries: Vec::new() };
        };
        let entries: Vec<Entry> =
            list.iter().enumerate().map(|(i, e)| self.entry(&format!("/operations/{i}"), e)).collect();
        if self.problems.is_empty() {
            self.sequence(&entries);
        }
        Template { entries }
    }

    fn entry(&mut self, field: &str, value: &Value) -> Entry {
        self.known(field, value, &["operation", "title", "text", "tool"]);
        let operation = self.operation(field, value);
        let title = match (&value["title"], operation) {
            (Value::String(title), _) => title.clone(),
            (Value::Null, Some(operation)) => operation.label(),
            (Value::Null, None) => String::new(),
            _ => {
                self.problem(format!("{field}/title"), "`title` must be text", "write it in quotes");
                String::new()
            }
        };
        if operation.is_none() && title.is_empty() {
            self.problem(
                field,
                "the entry has neither operation nor title",
                "name an operation, or give a title of your own",
            );
        }
        let text = match &value["text"] {
            Value::Null => Vec::new(),
            Value::Array(list) if list.iter().all(Value::is_string) => {
                list.iter().filter_map(Value::as_str).map(str::to_owned).collect()
            }
            _ => {
                self.problem(format!("{field}/text"), "`text` must be a list of sentences", "write [\"…\", \"…\"]");
                Vec::new()
            }
        };
        for (i, sentence) in text.iter().enumerate() {
            self.names(&format!("{field}/text/{i}"), sentence);
        }
        let tool = value["tool"].as_str().unwrap_or_default().to_owned();
        if !value["tool"].is_null() && !value["tool"].is_string() {
            self.problem(format!("{field}/tool"), "`tool` must be text", "write it in quotes");
        }
        self.names(&format!("{field}/tool"), &tool);
        Entry { operation, title, text, tool }
    }

    fn operation(&mut self, field: &str, value: &Value) -> Option<Operation> {
        if value["operation"].is_null() {
            return None;
        }
        let key = value["operation"].as_str().unwrap_or_default();
        let operation = Operation::of_key(key);
        if operation.is_none() {
            let all: Vec<&str> = Operation::ALL.iter().map(|o| o.key()).collect();
            let message = format!("there is no operation {}", quoted(key));
            self.problem(format!("{field}/operation"), message, format!("operations: {}", all.join(", ")));
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
        assert!(changed("{test_rpm}", "{test_speed}").contains("no name `test_speed`"));
        assert!(changed("\"operation\": \"clean\"", "\"operation\": \"bore\"").contains("bore stands here 2 times"));
        assert!(
            changed("\"operation\": \"clean\"", "\"title\": \"Clean\", \"texts\": []").contains("no field `texts`")
        );
        let moved = BUILT_IN.replace("\"operation\": \"speed-test\"", "\"operation\": \"X\"");
        let moved = moved.replace("\"operation\": \"identify\"", "\"operation\": \"speed-test\"");
        assert!(problems(&moved.replace("\"X\"", "\"identify\"")).contains("wrong side"));
        assert!(Template::read("{").is_err());
    }
}
