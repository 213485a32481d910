//! The examples in the help of the desk's commands, run as they stand, each in a folder of its own with the files they name.

use super::day::fill_in;
use super::{run, wheeldraft};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;
use wheeldraft::section::Section;

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let there = to.join(entry.file_name());
        match entry.file_type().unwrap().is_dir() {
            true => copy(&entry.path(), &there),
            false => drop(fs::copy(entry.path(), there).unwrap()),
        }
    }
}

/// The demo shop as the examples find it: lying here and in `demo-data`, orders in `orders`, a shop's folder `shop`, a section and its points.
fn fixture(at: &Path) {
    let demo = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    let order = at.join("1042.json");
    copy(&demo, at);
    copy(&demo, &at.join("demo-data"));
    let made = |typed: &[&str]| {
        let ran = run(wheeldraft().current_dir(at).args(typed));
        assert!(ran.code < 2, "{typed:?}: {}", ran.err);
    };
    made(&["approve", "1042.json", "--by", "R. Adeyemi", "--date", "2026-03-04"]);
    made(&["new", "--shop", "shop"]);
    fs::copy(at.join("stock.csv"), at.join("shop/stock.csv")).unwrap();
    fs::create_dir(at.join("orders")).unwrap();
    for name in ["1043.json", "1047.json"] {
        fs::copy(at.join(name), at.join("orders").join(name)).unwrap();
        fs::copy(at.join(name), at.join("shop/orders").join(name)).unwrap();
    }
    let cut = |ends: &str| {
        fs::read_dir(at.join("cut"))
            .unwrap()
            .map(|e| e.unwrap().path())
            .find(|p| p.to_string_lossy().contains(ends))
            .unwrap()
    };
    // release 12 would say its unit in the name only
    made(&["cut", "1042.json", "-o", "cut", "--unapproved", "--dxf", "2000"]);
    fs::copy(cut("-profile"), at.join("section.dxf")).unwrap();
    fs::copy(cut("-grooves-side-a"), at.join("plan.dxf")).unwrap();
    made(&["inspect", "1042.json", "-o", "measured.csv"]);
    fill_in(&at.join("measured.csv"), "1042-B-1", "2026-03-09", 1500);
    let job = crate::support::job(&serde_json::from_slice::<Value>(&fs::read(&order).unwrap()).unwrap());
    let section = Section::of(&job.wheel).unwrap();
    let rows = section.edges().flat_map(|(edge, _)| (0..9).map(move |i| edge.at((f64::from(i) + 0.5) / 9.0)));
    let rows: String = rows.map(|p| format!("{:.6},{:.6}\n", p.x, p.y)).collect();
    fs::write(at.join("points.csv"), format!("r [mm],z [mm]\n{rows}")).unwrap();
}

/// The examples of a command's help, each on one line however the help is broken.
fn examples(command: &str) -> Vec<String> {
    let help = run(wheeldraft().args(["help", command])).out;
    let after = help.split("Examples:").nth(1).unwrap_or_else(|| panic!("{command} has no examples"));
    let mut lines: Vec<String> = Vec::new();
    for line in after.trim_start_matches('\n').lines().take_while(|l| !l.trim().is_empty()).map(str::trim) {
        match lines.last_mut() {
            Some(before) if !line.starts_with("wheeldraft ") => *before += &format!(" {line}"),
            _ => lines.push(line.to_owned()),
        }
    }
    lines
}

#[test]
fn the_examples_of_the_desk_s_commands_run() {
    let base = TempDir::new().unwrap();
    fixture(base.path());
    let binary = Path::new(env!("CARGO_BIN_EXE_wheeldraft"));
    let path = format!("{}:{}", binary.parent().unwrap().display(), std::env::var("PATH").unwrap());
    for command in ["intake", "takeoff", "quote", "blanks", "inspect", "batch"] {
        for example in examples(command) {
            let folder = TempDir::new().unwrap();
            copy(base.path(), folder.path());
            // what another program does with the answer is its own matter
            let typed = example.split(" | ").next().unwrap();
            let ran =
                Command::new("sh").args(["-c", typed]).current_dir(folder.path()).env("PATH", &path).output().unwrap();
            let told = String::from_utf8_lossy(&ran.stderr).into_owned() + &String::from_utf8_lossy(&ran.stdout);
            assert!(ran.status.code().is_some_and(|c| c < 2), "{typed}\n{told}");
            assert!(!told.contains("FAILED"), "{typed}\n{told}");
        }
    }
}
