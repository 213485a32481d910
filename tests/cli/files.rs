//! Files are replaced whole or not at all.

use super::run_in;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use wheeldraft::cli::Failure;
use wheeldraft::cli::files::{write, write_all, write_new};

fn names(folder: &Path) -> Vec<String> {
    let mut all: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    all.sort();
    all
}

fn says(failure: &Failure) -> String {
    match failure {
        Failure::Other { message, .. } => message.clone(),
        other => panic!("{other:?}"),
    }
}

/// Somebody who reads all the time finds either the old bytes or the new ones.
#[test]
fn a_file_is_replaced_in_one_step() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("wheel.svg");
    let texts = ["a".repeat(200_000), "b".repeat(300_000)];
    write(&path, texts[0].as_bytes()).unwrap();
    let done = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let reader = scope.spawn(|| {
            let mut seen = 0;
            while !done.load(Ordering::Relaxed) {
                let found = fs::read_to_string(&path).unwrap();
                assert!(texts.contains(&found), "{} bytes of something else", found.len());
                seen += 1;
            }
            seen
        });
        for i in 0..60 {
            write(&path, texts[i % 2].as_bytes()).unwrap();
        }
        done.store(true, Ordering::Relaxed);
        assert!(reader.join().unwrap() > 0);
    });
    assert_eq!(names(folder.path()), ["wheel.svg"], "no temporary file is left");
}

#[test]
fn several_files_are_written_all_or_none() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    fs::write(at("a.svg"), "old").unwrap();
    fs::create_dir(at("b.pdf")).unwrap();
    let files: Vec<(PathBuf, &str)> = vec![(at("a.svg"), "new"), (at("deep/er/c.csv"), "new"), (at("b.pdf"), "new")];
    let failure = write_all(&files).unwrap_err();
    assert!(says(&failure).ends_with("b.pdf: it is a folder"), "{failure:?}");
    assert_eq!(fs::read_to_string(at("a.svg")).unwrap(), "old");
    assert_eq!(
        names(folder.path()),
        ["a.svg", "b.pdf"],
        "the new folders are gone again, and no temporary file is left"
    );
    fs::remove_dir(at("b.pdf")).unwrap();
    write_all(&files).unwrap();
    for name in ["a.svg", "b.pdf", "deep/er/c.csv"] {
        assert_eq!(fs::read_to_string(at(name)).unwrap(), "new");
    }
}

#[test]
fn a_new_file_replaces_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x/1.json");
    write_new(&path, b"first").unwrap();
    assert!(says(&write_new(&path, b"second").unwrap_err()).ends_with("it exists already"));
    assert_eq!(fs::read(&path).unwrap(), b"first");
    assert_eq!(names(path.parent().unwrap()), ["1.json"]);
}

#[test]
fn a_path_through_a_file_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("file");
    fs::write(&file, "x").unwrap();
    let failure = write(&file.join("below.svg"), b"y").unwrap_err();
    assert!(says(&failure).ends_with("a part of the path is a file, not a folder"), "{failure:?}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "x");
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::os::unix::fs::{PermissionsExt, symlink};

    fn mode(path: &Path) -> u32 {
        fs::metadata(path).unwrap().permissions().mode() & 0o777
    }

    /// Others in the shop can read what was made; a mode set by hand stays.
    #[test]
    fn the_usual_mode_and_an_earlier_ones() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("wheel.svg");
        fs::write(folder.path().join("plain"), "").unwrap();
        write(&path, b"1").unwrap();
        assert_eq!(mode(&path), mode(&folder.path().join("plain")) & 0o644);
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        write(&path, b"2").unwrap();
        assert_eq!(mode(&path), 0o640);
    }

    #[test]
    fn a_link_stays_a_link() {
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("real.svg"), folder.path().join("link.svg"));
        fs::write(&real, "old").unwrap();
        symlink("real.svg", &link).unwrap();
        write(&link, b"new").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(fs::read_to_string(&real).unwrap(), "new");
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_is_said_and_leaves_the_earlier_file() {
        let failure = write(Path::new("/dev/full"), b"x").unwrap_err();
        assert!(says(&failure).ends_with("/dev/full: the disk is full"), "{failure:?}");
        assert_eq!(write(Path::new("/dev/null"), b"x"), Ok(()));
    }
}

/// A folder may be copied to another system: what has a device's name there, or differs by capitals only, is refused on every one.
#[test]
fn names_that_some_system_cannot_hold_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let order = format!("{}/demo-data/1043.json", env!("CARGO_MANIFEST_DIR"));
    for name in ["con.svg", "NUL.pdf", "drawings/lpt1.svg"] {
        let run = run_in(folder.path(), &["draw", &order, "-o", name]);
        assert_eq!(run.code, 2, "{name}");
        assert!(run.err.contains("is the name of a device on some systems"), "{name}: {}", run.err);
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

/// Every command that writes a file is tried with each file it reads as its `-o`: nothing is written over.
#[test]
fn what_a_command_reads_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let demo = |name: &str| format!("{}/demo-data/{name}", env!("CARGO_MANIFEST_DIR"));
    let put = |from: &str, to: &str| fs::copy(demo(from), folder.path().join(to)).unwrap();
    put("1043.json", "a.json");
    put("1042.json", "b.json");
    put("stock.csv", "stock.csv");
    fs::copy(format!("{}/templates/rates.json", env!("CARGO_MANIFEST_DIR")), folder.path().join("rates.json")).unwrap();
    for (typed, file) in [
        ("draw a.json", "a.json"),
        ("draw ./a.json", "a.json"),
        ("solid a.json", "a.json"),
        ("traveller a.json", "a.json"),
        ("label a.json", "a.json"),
        ("ship a.json", "a.json"),
        ("quote a.json --rates rates.json", "rates.json"),
        ("blanks a.json b.json --stock stock.csv", "stock.csv"),
        ("compare a.json b.json", "b.json"),
        ("inspect a.json", "a.json"),
        ("inspect a.json stock.csv", "stock.csv"),
        ("approve a.json --by R --date 2026-03-04", "a.json"),
    ] {
        let before = fs::read(folder.path().join(file)).unwrap();
        let words: Vec<&str> = typed.split(' ').chain(["-o", file]).collect();
        let run = run_in(folder.path(), &words);
        assert_eq!(run.code, 2, "{typed}: {}", run.out);
        let is_said = run.err.contains("is the order itself") || run.err.contains("it would be written over");
        assert!(is_said && run.err.contains("name another file with -o"), "{typed}: {}", run.err);
        assert_eq!(fs::read(folder.path().join(file)).unwrap(), before, "{typed}");
    }
}

/// What a killed run left is gone after the next one; what another run is writing stays.
#[test]
fn temporary_files_of_killed_runs_go() {
    let folder = tempfile::tempdir().unwrap();
    let (left, held) = (folder.path().join(".wheeldraft-a1.tmp"), folder.path().join(".wheeldraft-b2.tmp"));
    fs::write(&left, "half").unwrap();
    fs::write(&held, "half").unwrap();
    fs::write(folder.path().join(".other.tmp"), "foreign").unwrap();
    let other_run = fs::File::open(&held).unwrap();
    other_run.lock().unwrap();
    write(&folder.path().join("a.txt"), b"whole").unwrap();
    assert_eq!(names(folder.path()), [".other.tmp", ".wheeldraft-b2.tmp", "a.txt"]);
    drop(other_run);
    write(&folder.path().join("b.txt"), b"whole").unwrap();
    assert_eq!(names(folder.path()), [".other.tmp", "a.txt", "b.txt"]);
}

#[test]
fn a_pack_goes_into_no_folder_of_another_order() {
    let folder = tempfile::tempdir().unwrap();
    let demo = |name: &str| format!("{}/demo-data/{name}", env!("CARGO_MANIFEST_DIR"));
    let pack = |order: &str| run_in(folder.path(), &["pack", &demo(order), "-o", "pack", "--unapproved"]);
    assert_eq!(pack("1043.json").code, 0);
    let before = names(&folder.path().join("pack"));
    let refused = pack("1047.json");
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("holds the pack of order `1043`; nothing was written"), "{}", refused.err);
    assert_eq!(names(&folder.path().join("pack")), before);
    assert_eq!(pack("1043.json").code, 0);
}
