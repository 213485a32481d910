//! The README's day: every command of it, as it stands there, from the enquiry to the box.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The lines of the shell blocks of the section.
fn lines() -> Vec<String> {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let section = readme.split("## A day with it").nth(1).expect("the section is in the README");
    let section = section.split("\n## ").next().unwrap();
    let blocks = section.split("```sh\n").skip(1).map(|b| b.split("```").next().unwrap());
    blocks.flat_map(str::lines).map(str::to_owned).collect()
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        if entry.file_type().unwrap().is_file() {
            fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
        }
    }
}

/// Fills in the sheet as the inspector of a good wheel would.
pub(super) fn fill_in(file: &Path, wheel: &str, on: &str, test_rpm: u32) {
    let mut reader = csv::ReaderBuilder::new().has_headers(false).comment(Some(b'#')).from_path(file).unwrap();
    let mut rows: Vec<Vec<String>> = reader.records().map(|r| r.unwrap().iter().map(str::to_owned).collect()).collect();
    for row in rows.iter_mut().skip(1) {
        let value = match row[0].as_str() {
            "order" | "fingerprint" | "groove_sample" | "sheet" => continue,
            "wheel" => wheel.to_owned(),
            "inspected_by" | "speed_test_tester" => "T. Okafor".to_owned(),
            "altered_by" => "M. Quist".to_owned(),
            "altered_on" | "speed_test_on" | "inspected_on" => on.to_owned(),
            "ring_test_before" | "ring_test_after" => "clear".to_owned(),
            "speed_test_rpm" => test_rpm.to_string(),
            "speed_test_minutes" => "3".to_owned(),
            "speed_test_result" => "passed".to_owned(),
            "balance_reading" => "20".to_owned(),
            _ if row[6].is_empty() => row[5].clone(),
            _ => {
                let (low, high): (f64, f64) = (row[6].parse().unwrap(), row[7].parse().unwrap());
                format!("{:.6}", (low + high) / 2.0)
            }
        };
        row[8] = value;
    }
    let mut writer = csv::Writer::from_path(file).unwrap();
    rows.iter().for_each(|r| writer.write_record(r).unwrap());
    writer.flush().unwrap();
}

#[test]
fn every_command_of_the_day_does_what_the_readme_says() {
    let folder = TempDir::new().unwrap();
    copy(&root().join("demo-data"), &folder.path().join("demo-data"));
    let binary = Path::new(env!("CARGO_BIN_EXE_wheeldraft"));
    let path = format!("{}:{}", binary.parent().unwrap().display(), std::env::var("PATH").unwrap());
    let lines = lines();
    assert!(lines.iter().filter(|l| l.starts_with("wheeldraft ")).count() >= 12, "{lines:#?}");
    for line in &lines {
        if line.contains("fills in measured.csv") {
            fill_in(&folder.path().join("measured.csv"), "1042-B-1", "2026-03-09", 1500);
            continue;
        }
        let wanted = if line.contains("# exit 1") { 1 } else { 0 };
        let output = Command::new("sh").arg("-c").arg(line).current_dir(&folder).env("PATH", &path).output().unwrap();
        let told = String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout);
        assert_eq!(output.status.code(), Some(wanted), "{line}\n{told}");
        if line.starts_with("wheeldraft batch") {
            // the approved pack of the day is still current: nothing of it is made anew
            let row = told.lines().find(|l| l.contains("1042-B")).unwrap_or_else(|| panic!("{told}"));
            assert!(row.contains("current"), "{row}");
        }
    }
    for made in [
        "1042-approval.pdf",
        "1042-A-approval.pdf",
        "1042-changes.svg",
        "1042-certificate.pdf",
        "1042-label-1.pdf",
        "packs/1042-B/manifest.json",
    ] {
        assert!(folder.path().join(made).exists(), "{made}");
    }
}

/// A person who asks a command for help sees how it is really called.
#[test]
fn every_command_has_examples_in_its_help() {
    let overview = Command::new(env!("CARGO_BIN_EXE_wheeldraft")).arg("--help").output().unwrap();
    let overview = String::from_utf8(overview.stdout).unwrap();
    let listed = overview.split("Commands:").nth(1).unwrap().split("\n\n").next().unwrap();
    // a line that begins a command is indented by two blanks, its continuation by more
    let named = listed.lines().filter(|l| l.starts_with("  ") && !l.starts_with("   "));
    let commands: Vec<&str> = named.map(|l| l.split_whitespace().next().unwrap()).filter(|c| *c != "help").collect();
    assert!(commands.len() >= 19, "{commands:?}");
    for command in commands {
        let output = Command::new(env!("CARGO_BIN_EXE_wheeldraft")).args(["help", command]).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(text.contains("Examples:") && text.contains(&format!("wheeldraft {command} ")), "{command}: {text}");
    }
}
