//! Wrong orders and the exact text each gets: `tests/cases/bad-orders/*.json`.
//!
//! A case changes a base order (text for text, so that lines and columns are those a person sees) and holds what stderr has to say.

use crate::support::{UPDATE, updating};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// One wrong order.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    /// What is wrong, in a few words.
    about: String,
    /// `in` or `mm`: the base order that is changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    base: Option<String>,
    /// Pairs of a text of the base order, which stands there exactly once, and what replaces it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    change: Vec<[String; 2]>,
    /// The whole file, where no base order is changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    file: Option<String>,
    /// Lines of stderr.
    expect: Vec<String>,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/bad-orders")
}

fn families() -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = fs::read_dir(folder()).unwrap().map(|e| e.unwrap().path()).collect();
    all.retain(|p| !p.file_name().unwrap().to_string_lossy().starts_with("base-"));
    all.sort();
    all
}

fn text_of(case: &Case) -> String {
    let Some(base) = &case.base else { return case.file.clone().expect("a base or a file") };
    let mut text = fs::read_to_string(folder().join(format!("base-{base}.json"))).unwrap();
    for [from, to] in &case.change {
        assert_eq!(text.matches(from.as_str()).count(), 1, "{}: {from:?} must stand once in the order", case.about);
        text = text.replacen(from.as_str(), to, 1);
    }
    text
}

/// What `properties -` says about an order.
fn run(order: &str) -> (i32, String, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_wheeldraft"))
        .args(["properties", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(order.as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (out.status.code().unwrap(), text(out.stdout), text(out.stderr))
}

#[test]
fn every_wrong_order_gets_its_message() {
    let mut faults = Vec::new();
    for path in families() {
        let mut cases: Vec<Case> = serde_json::from_str(&fs::read_to_string(&path).unwrap()).unwrap();
        for case in &mut cases {
            let (code, stdout, stderr) = run(&text_of(case));
            let lines: Vec<String> = stderr.lines().map(str::to_owned).collect();
            if code != 2 || !stdout.is_empty() {
                faults.push(format!("{}: exit {code}, stdout {stdout:?}", case.about));
            }
            if lines != case.expect {
                faults.push(format!("{}\n--- expected\n{}\n--- got\n{stderr}", case.about, case.expect.join("\n")));
                case.expect = lines;
            }
        }
        if updating() {
            fs::write(&path, serde_json::to_string_pretty(&cases).unwrap() + "\n").unwrap();
        }
    }
    let faults = if updating() { faults.into_iter().filter(|f| f.contains("exit ")).collect() } else { faults };
    assert!(faults.is_empty(), "\n{}\nWhere the new texts are right, run again with {UPDATE}=1.", faults.join("\n\n"));
}

#[test]
fn the_base_orders_are_right() {
    for base in ["in", "mm"] {
        let (code, _, stderr) = run(&fs::read_to_string(folder().join(format!("base-{base}.json"))).unwrap());
        assert_eq!(code, 0, "{stderr}");
    }
}

#[test]
fn there_are_enough_cases_and_each_is_another_one() {
    let mut abouts = BTreeSet::new();
    let mut count = 0;
    for path in families() {
        let cases: Vec<Case> = serde_json::from_str(&fs::read_to_string(&path).unwrap()).unwrap();
        count += cases.len();
        for case in cases {
            assert!(abouts.insert(case.about.clone()), "two cases are about: {}", case.about);
            // a place, a caret and advice for each; only an empty or unreadable file has no line to show
            assert!(case.expect.iter().any(|l| l.starts_with("<stdin>:")), "{}", case.about);
            assert!(case.expect.iter().any(|l| l.starts_with("  → ")), "{}", case.about);
        }
    }
    assert!(count >= 150, "{count} cases");
}
