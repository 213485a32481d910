//! The same order gives the same bytes wherever and whenever it is packed: folder, home, language, time zone and number of threads leave no trace.

use super::{code, contents};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Words of one place that must not be found in what is made there.
const MARKS: [&str; 4] = ["left-hand-drawer", "right-hand-drawer", "Kiritimati", "somebody"];

/// The orders of the demonstration in a folder of their own.
fn put(folder: &Path) -> PathBuf {
    let orders = folder.join("orders");
    fs::create_dir_all(&orders).unwrap();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
    for name in ["1042.json", "1045.json", "1047.json"] {
        fs::copy(from.join(name), orders.join(name)).unwrap();
    }
    orders
}

fn program(here: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wheeldraft"));
    command.env_clear().current_dir(here);
    command
}

#[test]
fn packs_are_the_same_wherever_they_are_made() {
    let folder = tempfile::tempdir().unwrap();
    let (left, right) = (folder.path().join("left-hand-drawer"), folder.path().join("right-hand-drawer/deep/inside"));
    let (left_orders, right_orders) = (put(&left), put(&right));

    let mut one = program(&left);
    one.args(["batch", "orders", "-o", "packs", "--unapproved", "--jobs", "1"]);
    one.envs([("HOME", "/home/somebody"), ("TZ", "Pacific/Kiritimati"), ("LANG", "de_DE.UTF-8"), ("LC_ALL", "C")]);
    let mut other = program(folder.path());
    other.arg("batch").arg(&right_orders).arg("-o").arg(right.join("packs")).args(["--unapproved", "--jobs", "4"]);
    other.envs([("HOME", "/"), ("TZ", "America/St_Johns"), ("LC_ALL", "tr_TR.UTF-8"), ("COLUMNS", "40")]);
    assert!(code(&one.output().unwrap()) <= 1 && code(&other.output().unwrap()) <= 1);

    let names = |orders: &Path| {
        fs::read_dir(orders.parent().unwrap().join("packs"))
            .unwrap()
            .map(|e| e.unwrap().path())
            .filter(|p| p.is_dir())
            .count()
    };
    assert_eq!((names(&left_orders), names(&right_orders)), (3, 3));
    let (made, again) = (contents(&left.join("packs")), contents(&right.join("packs")));
    assert!(made.len() > 30, "{} files", made.len());
    assert_eq!(made.keys().collect::<Vec<_>>(), again.keys().collect::<Vec<_>>());
    // the table beside the packs names the orders as they were typed
    for (name, bytes) in made.iter().filter(|(name, _)| *name != "batch.csv") {
        assert!(*bytes == again[name], "{name} differs");
        for mark in MARKS {
            assert!(!bytes.windows(mark.len()).any(|w| w == mark.as_bytes()), "{name} says {mark}");
        }
    }
}
