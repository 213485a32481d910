//! What a shop's computers do to a program: full and read-only disks, runs that are killed, wrong clocks, files that change under its hands, two
//! runs at once. Nothing half written, nothing lost, and a message that says what to do.

#[cfg(target_os = "linux")]
mod disk;
#[cfg(unix)]
mod killed;
mod places;
mod reading;
mod times;
mod together;

use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use wheeldraft::cli;
use wheeldraft::pack::NamedFile;
use wheeldraft::pack::verify::{Fault, verify};

/// A file that somebody has put into a pack.
const PHOTO: &str = "photo.jpg";

/// An order that is quickly packed; its bore tells its states apart.
fn order(number: usize, bore: f64) -> Value {
    json!({
        "order": {"number": number.to_string(), "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 350, "thickness": 25, "bore": bore},
        "blank": {"marking": "A 60 L 5 V", "max_operating_speed": "35 m/s"}, "machine": {"spindle_rpm": 1500}
    })
}

/// The orders 1 to `count` in the folder `orders`.
fn put_orders(folder: &Path, count: usize, bore: f64) {
    fs::create_dir_all(folder.join("orders")).unwrap();
    for n in 1..=count {
        cli::files::write(&folder.join(format!("orders/{n}.json")), order(n, bore).to_string().as_bytes()).unwrap();
    }
}

/// `batch orders -o packs` in a folder, not yet started.
fn batch(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wheeldraft"));
    command.current_dir(folder).args(["batch", "orders", "-o", "packs", "--jobs", "2", "--format", "json"]);
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

#[track_caller]
fn code(output: &Output) -> i32 {
    output.status.code().unwrap_or_else(|| panic!("{output:?}"))
}

/// The packs in a folder; what is being written has a hidden name.
fn packs(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let paths = entries.map(|e| e.unwrap().path());
    paths.filter(|p| p.is_dir() && !p.file_name().unwrap().to_string_lossy().starts_with('.')).collect()
}

/// The hidden entries of a folder.
fn hidden(folder: &Path) -> usize {
    fs::read_dir(folder)
        .map_or(0, |d| d.filter(|e| e.as_ref().unwrap().file_name().to_string_lossy().starts_with('.')).count())
}

/// Panics unless a pack is exactly what was made, what somebody has put into it aside.
#[track_caller]
fn assert_whole(pack: &Path) {
    let read =
        |e: fs::DirEntry| NamedFile { name: e.file_name().into_string().unwrap(), bytes: fs::read(e.path()).unwrap() };
    let files: Vec<NamedFile> = fs::read_dir(pack).unwrap().map(|e| read(e.unwrap())).collect();
    let looked = verify(&files, None).unwrap_or_else(|e| panic!("{}: {e}", pack.display()));
    let wrong: Vec<_> = looked.found.iter().filter(|f| f.fault != Fault::Foreign).collect();
    assert!(wrong.is_empty() && looked.sound > 5, "{}: {wrong:#?}", pack.display());
}

/// The files of a folder and of those in it, by their paths below it.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap().map(|e| e.unwrap()) {
        let name = entry.file_name().into_string().unwrap();
        match entry.path().is_dir() {
            true => found
                .extend(contents(&entry.path()).into_iter().map(|(below, bytes)| (format!("{name}/{below}"), bytes))),
            false => drop(found.insert(name, fs::read(entry.path()).unwrap())),
        }
    }
    found
}
