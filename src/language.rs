//! The languages of the papers a customer sees: one data file each, every key in each of them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// A language of the customer's papers. The shop's own papers stay in English, the shop's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Language {
    /// English.
    #[default]
    En,
    /// German.
    De,
    /// French.
    Fr,
    /// Spanish.
    Es,
}

/// The data files, compiled in.
const FILES: [(Language, &str); 4] = [
    (Language::En, include_str!("../templates/languages/en.json")),
    (Language::De, include_str!("../templates/languages/de.json")),
    (Language::Fr, include_str!("../templates/languages/fr.json")),
    (Language::Es, include_str!("../templates/languages/es.json")),
];

static TEXTS: LazyLock<Vec<BTreeMap<String, String>>> =
    // a test reads every file and holds their keys against each other
    LazyLock::new(|| FILES.iter().map(|(_, text)| serde_json::from_str(text).unwrap_or_default()).collect());

impl Language {
    /// All of them.
    pub const ALL: [Language; 4] = [Language::En, Language::De, Language::Fr, Language::Es];

    /// Its code (ISO 639-1), as orders write it.
    pub fn code(self) -> &'static str {
        match self {
            Language::En => "en",
            Language::De => "de",
            Language::Fr => "fr",
            Language::Es => "es",
        }
    }

    /// Every key with its text.
    pub fn texts(self) -> &'static BTreeMap<String, String> {
        &TEXTS[self as usize]
    }

    /// The text of a key; question marks where there is none, so that a gap is seen.
    pub fn text(self, key: &str) -> &'static str {
        self.texts().get(key).map_or(MISSING, String::as_str)
    }

    /// The text of a key with `{name}` replaced, each name by its words.
    pub fn put(self, key: &str, names: &[(&str, &str)]) -> String {
        let mut out = String::new();
        let mut rest = self.text(key);
        // what is put in may hold braces itself: each name is replaced once, from left to right
        while let Some((before, after)) = rest.split_once('{') {
            let (name, behind) = after.split_once('}').unwrap_or((after, ""));
            out.push_str(before);
            out.push_str(names.iter().find(|(n, _)| *n == name).map_or("", |(_, words)| words));
            rest = behind;
        }
        out + rest
    }
}

/// Stands where a text is missing; no file that passed the tests shows it.
const MISSING: &str = "???";
