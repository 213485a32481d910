//! What people read is in the trade's usual words: one table of terms, and no names of fields where a paper is printed.

use crate::cli::run;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use tempfile::TempDir;

/// Beginnings of the names of fields, as an order's file has them.
const FIELDS: [&str; 9] = ["order", "wheel", "blank", "machine", "mount", "work", "tooling", "tolerances", "drawing"];

fn terms() -> Vec<(String, Vec<String>)> {
    let table: Value = serde_json::from_str(include_str!("cases/words/terms.json")).unwrap();
    let text = |v: &Value| v.as_str().unwrap().to_owned();
    let row = |row: &Value| (text(&row["say"]), row["never"].as_array().unwrap().iter().map(text).collect());
    table.as_array().unwrap().iter().map(row).collect()
}

/// The words of the table that a text must not have.
fn quaint(text: &str) -> Vec<String> {
    let text = text.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ");
    terms().into_iter().flat_map(|(_, never)| never).filter(|word| text.contains(word)).collect()
}

/// The names of fields in a text: `blank.max_operating_speed`, `/blank/max_operating_speed`.
fn file_speak(text: &str) -> Vec<String> {
    let tokens = text.split(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '/')));
    let named = |token: &&str| {
        let parts: Vec<&str> = token.split(['.', '/']).filter(|p| !p.is_empty()).collect();
        matches!(parts[..], [first, second, ..] if FIELDS.contains(&first) && second.contains('_'))
    };
    tokens.filter(named).map(str::to_owned).collect()
}

/// The lettering of a picture, a line for each text.
fn lettering(svg: &str) -> String {
    let parts = svg.split("<text").skip(1).filter_map(|part| part.split_once('>')?.1.split_once("</text>"));
    parts.map(|(text, _)| text).collect::<Vec<_>>().join("\n")
}

/// Every paper of an order for people: by its name, what is read on it.
fn papers(order: &str) -> BTreeMap<String, String> {
    let folder = TempDir::new().unwrap();
    let pack = folder.path().join("pack");
    let ran = run(&["pack", order, "-o", &pack.to_string_lossy(), "-q"]);
    assert!(ran.code <= 1, "{order}: {}", ran.err);
    let files = fs::read_dir(pack).unwrap().map(|entry| entry.unwrap().path());
    let read = |file: std::path::PathBuf| {
        let kind = file.extension()?.to_str()?.to_owned();
        let text = fs::read_to_string(&file).ok()?;
        let shown = match kind.as_str() {
            "svg" => lettering(&text),
            "txt" => text,
            _ => return None,
        };
        Some((file.file_name()?.to_string_lossy().into_owned(), shown))
    };
    files.filter_map(read).collect()
}

#[test]
fn papers_use_the_words_of_the_trade() {
    let mut seen = String::new();
    for order in ["demo-data/1042.json", "demo-data/1046.json", "demo-data/1049.json"] {
        let papers = papers(order);
        assert!(papers.keys().any(|name| name.ends_with(".svg")), "{order}: no sheet among {:?}", papers.keys());
        for (name, text) in papers {
            assert_eq!(quaint(&text), [""; 0], "{order}: {name}");
            assert_eq!(file_speak(&text), [""; 0], "{order}: {name}");
            seen += &text.to_lowercase();
        }
    }
    for say in ["maximum operating speed", "outside diameter", "tolerance", "speed test", "flange"] {
        assert!(seen.contains(say), "no paper says {say}");
    }
}

#[test]
fn answers_and_helps_use_the_words_of_the_trade() {
    let answers = ["check", "properties"].map(|command| run(&[command, "demo-data/1049.json"]).out);
    let commands = ["draw", "check", "cut", "pack", "blanks", "grooves", "inspect", "quote", "takeoff", "label"];
    for text in commands.map(|command| run(&[command, "--help"]).out).into_iter().chain(answers) {
        assert!(!text.is_empty());
        assert_eq!(quaint(&text), [""; 0], "{text}");
    }
}

#[test]
fn the_tables_of_texts_and_the_page_use_the_words_of_the_trade() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let english = fs::read_to_string(root.join("templates/languages/en.json")).unwrap();
    let texts: BTreeMap<String, String> = serde_json::from_str(&english).unwrap();
    for (key, text) in &texts {
        assert_eq!((quaint(text), file_speak(text)), (Vec::new(), Vec::new()), "{key}");
    }
    let page = fs::read_dir(root.join("src/web/assets")).unwrap().map(|entry| entry.unwrap().path());
    for file in page.filter(|f| f.extension().is_some_and(|e| e == "js" || e == "html")) {
        assert_eq!(quaint(&fs::read_to_string(&file).unwrap()), [""; 0], "{}", file.display());
    }
}

#[test]
fn quaint_words_and_names_of_fields_are_noticed() {
    assert_eq!(quaint("The HIGHEST\nspeed of the wheel"), ["highest speed"]);
    assert_eq!(file_speak("give blank.max_operating_speed, or `/mount/flange_diameter`").len(), 2);
    assert_eq!(file_speak("wheel.stl and 1042-B-side_a.dxf"), [""; 0]);
    assert_eq!(lettering("<svg><text x=\"1\">Bore</text><text>Ø5</text></svg>"), "Bore\nØ5");
}
