//! Orders that are written while they are read.

use super::order;
use serde_json::Value;
use std::fs;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use tempfile::TempDir;

fn text(bore: f64) -> String {
    // long enough to be read in several pieces
    format!("{}{}", order(1, bore), " ".repeat(300_000))
}

/// Whoever saves a file in place while it is read gets an answer for one of its states, or is told.
#[test]
fn a_file_changed_while_it_is_read_is_one_state_or_an_error() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("order.json");
    let texts = [text(127.0), text(130.0)];
    fs::write(&file, &texts[0]).unwrap();
    let check =
        || Command::new(env!("CARGO_BIN_EXE_wheeldraft")).args(["check", "--format", "json"]).arg(&file).output();
    let print = |t: &str| {
        let value: Value = serde_json::from_str(t).unwrap();
        crate::support::job(&value).fingerprint().full().to_owned()
    };
    let known = [print(&texts[0]), print(&texts[1])];
    let done = AtomicBool::new(false);
    let (mut read, mut refused) = (0, 0);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut turn = 0;
            while !done.load(Ordering::Relaxed) {
                turn += 1;
                // in place: the file is empty for a moment, then half there
                fs::write(&file, &texts[turn % 2]).unwrap();
            }
        });
        for _ in 0..60 {
            let ran = check().unwrap();
            let answer: Value = serde_json::from_slice(&ran.stdout).unwrap_or_else(|e| panic!("{e}: {ran:?}"));
            match ran.status.code() {
                Some(0) => {
                    assert!(known.iter().any(|k| answer["fingerprint"] == **k), "{answer}");
                    read += 1;
                }
                Some(2) => {
                    assert!(!answer["problems"][0]["message"].as_str().unwrap().is_empty());
                    refused += 1;
                }
                other => panic!("{other:?}: {ran:?}"),
            }
        }
        done.store(true, Ordering::Relaxed);
    });
    assert_eq!(read + refused, 60);
    fs::write(&file, &texts[0]).unwrap();
    assert_eq!(check().unwrap().status.code(), Some(0));
}

/// Whatever a command is given to read, a file without end is refused at once, and names itself.
#[cfg(target_os = "linux")]
#[test]
fn files_without_end_are_refused() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("order.json");
    let mut with_title_block = order(1, 127.0);
    with_title_block["drawing"] = serde_json::json!({ "title_block": "/dev/zero" });
    fs::write(&file, with_title_block.to_string()).unwrap();
    let plain = folder.path().join("plain.json");
    fs::write(&plain, order(1, 127.0).to_string()).unwrap();
    let plain = plain.to_str().unwrap();
    let endless = "/dev/zero";
    for arguments in [
        &["draw", file.to_str().unwrap(), "-o", "sheet.svg"][..],
        &["check", endless],
        &["check", plain, "--shop-rules", endless],
        &["blanks", plain, "--stock", endless],
        &["inspect", plain, endless, "-o", "certificate.pdf"],
        &["verify", folder.path().to_str().unwrap(), "--order", endless],
    ] {
        let ran = Command::new(env!("CARGO_BIN_EXE_wheeldraft")).args(arguments).current_dir(&folder).output().unwrap();
        let told = String::from_utf8_lossy(&ran.stderr);
        assert_eq!(ran.status.code(), Some(2), "{arguments:?}: {told}");
        assert!(told.contains(endless) && told.len() < 2000, "{arguments:?}: {told}");
    }
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 2);
}
