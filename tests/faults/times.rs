//! Clocks that are wrong: nothing that is made knows the time, and nothing is decided by the times of files.

use super::{batch, code, order, packs, put_orders};
use serde_json::Value;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use tempfile::TempDir;

/// 1970, and 130 years later.
const WRONG: [u64; 2] = [0, 130 * 365 * 86_400];

fn set_time(file: &Path, seconds: u64) {
    let time = SystemTime::UNIX_EPOCH + Duration::from_secs(seconds);
    File::options().write(true).open(file).unwrap().set_modified(time).unwrap();
}

fn results(folder: &Path) -> Vec<String> {
    let ran = batch(folder).output().unwrap();
    assert_eq!(code(&ran), 0, "{ran:?}");
    let answer: Value = serde_json::from_slice(&ran.stdout).unwrap();
    answer["packs"].as_array().unwrap().iter().map(|p| p["result"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn packs_are_current_by_what_is_in_them_not_by_their_time() {
    let folder = TempDir::new().unwrap();
    put_orders(folder.path(), 2, 127.0);
    assert_eq!(results(folder.path()), ["packed"; 2]);
    let first = fs::read(folder.path().join("packs/1-A/manifest.json")).unwrap();
    for (orders, made) in [(WRONG[0], WRONG[1]), (WRONG[1], WRONG[0])] {
        (1..=2).for_each(|n| set_time(&folder.path().join(format!("orders/{n}.json")), orders));
        for pack in packs(&folder.path().join("packs")) {
            fs::read_dir(&pack).unwrap().for_each(|e| set_time(&e.unwrap().path(), made));
        }
        assert_eq!(results(folder.path()), ["current"; 2]);
    }
    // an order that seems older than its pack is packed anew all the same
    fs::write(folder.path().join("orders/2.json"), order(2, 130.0).to_string()).unwrap();
    set_time(&folder.path().join("orders/2.json"), WRONG[0]);
    assert_eq!(results(folder.path()), ["current", "packed"]);
    assert_eq!(fs::read(folder.path().join("packs/1-A/manifest.json")).unwrap(), first);
}

/// No part of the program asks for the time: dates come from the order, and from whoever approves it.
#[test]
fn nobody_asks_for_the_time() {
    let mut folders = vec![PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src")];
    let mut seen = 0;
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let text = fs::read_to_string(&path).unwrap();
            // approvals and measurements are not dated ahead of the clock of the one who records them; that is all the clock is asked
            if path.ends_with("cli/clock.rs") {
                assert_eq!(text.matches("SystemTime::now").count(), 1);
                continue;
            }
            for clock in ["SystemTime::now", "Instant::now", "UtcDateTime", "Local::now"] {
                assert!(!text.contains(clock), "{} asks for the time: {clock}", path.display());
            }
            seen += 1;
        }
    }
    assert!(seen > 100, "only {seen} files were looked at");
}
