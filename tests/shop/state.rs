//! Every file says the state it was made in, and two files that differ in state differ in bytes.

use super::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

fn packed(folder: &Path, order: &Path, rules: Option<&Path>) -> BTreeMap<String, Vec<u8>> {
    let out = folder.join("pack");
    let _ = fs::remove_dir_all(&out);
    let mut command = wheeldraft();
    command.arg("pack").arg(order).arg("-o").arg(&out).arg("--unapproved");
    rules.map(|file| command.arg("--shop-rules").arg(file));
    let ran = run(&mut command);
    assert!(ran.code < 2, "{}", ran.err);
    let file = |e: std::io::Result<fs::DirEntry>| {
        let entry = e.unwrap();
        (entry.file_name().into_string().unwrap(), fs::read(entry.path()).unwrap())
    };
    fs::read_dir(&out).unwrap().map(file).collect()
}

#[test]
fn files_of_two_states_differ_and_each_says_its_own() {
    let folder = tempfile::tempdir().unwrap();
    let order = folder.path().join("1042.json");
    fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/1042.json"), &order).unwrap();
    let open = packed(folder.path(), &order, None);
    let approve = ["--by", "R. Adeyemi", "--date", "2026-03-04", "--open-questions", "settled at mounting"];
    let ran = run(wheeldraft().arg("approve").arg(&order).args(approve));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let approved = packed(folder.path(), &order, None);
    let off = folder.path().join("rules.json");
    let rules =
        json!({ "format": 1, "name": "Our rules", "switched_off": [{ "rule": "lifting", "why": "two cranes" }] });
    fs::write(&off, rules.to_string()).unwrap();
    let without = packed(folder.path(), &order, Some(&off));
    for (name, bytes) in &open {
        // copies of what the pack was made by are as they were read
        let copies = ["order.json", "shop-rules.json", "title-block.json", "traveller-operations.json"];
        if copies.iter().any(|copy| name.ends_with(copy)) {
            continue;
        }
        assert!(Some(bytes) != approved.get(name), "{name} is the same approved and not");
        assert!(Some(bytes) != without.get(name), "{name} is the same with a rule switched off");
        let text = String::from_utf8_lossy(bytes);
        if name.ends_with(".svg") {
            assert!(text.contains("State: UNAPPROVED"), "{name}");
        }
        if name.ends_with(".csv") {
            let head: Vec<&str> = text.lines().take_while(|l| l.starts_with("# ")).collect();
            assert!(head.len() >= 5 && head[2] == "# State: UNAPPROVED", "{name}: {head:?}");
        }
        if name.ends_with(".json") && !name.ends_with("manifest.json") {
            let value: Value = serde_json::from_slice(bytes).unwrap();
            assert_eq!(value["state"]["state"], "unapproved", "{name}");
        }
    }
    // a line of a paper may break between two words
    let lettered = |bytes: &[u8]| {
        let text = String::from_utf8_lossy(bytes);
        let pieces = text.split('<').filter_map(|tag| tag.split_once('>')).map(|(_, text)| text);
        pieces.flat_map(str::split_whitespace).collect::<Vec<_>>().join(" ")
    };
    let says = |files: &BTreeMap<String, Vec<u8>>, what: &str| {
        files.iter().filter(|(name, _)| name.ends_with(".svg")).all(|(_, b)| lettered(b).contains(what))
    };
    assert!(
        says(&approved, "approved by R. Adeyemi on 2026-03-04")
            && says(&without, "without")
            && says(&without, "lifting")
    );
}
