//! Disks that are full or cannot be written.

use super::{assert_whole, code, order};
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;

const PROGRAM: &str = env!("CARGO_BIN_EXE_wheeldraft");

/// A folder with two states of one order, `old.json` and `new.json`.
fn shop() -> TempDir {
    let folder = TempDir::new().unwrap();
    fs::write(folder.path().join("old.json"), order(1, 127.0).to_string()).unwrap();
    fs::write(folder.path().join("new.json"), order(1, 130.0).to_string()).unwrap();
    folder
}

fn shell(folder: &Path, script: &str, command: &mut Command) -> Output {
    command.arg("-c").arg(script).current_dir(folder).env("PROGRAM", PROGRAM).output().unwrap()
}

/// Whether this system lets us mount a small disk of our own; without it only the limit on file sizes stands for a full one.
fn may_mount() -> bool {
    let tried = Command::new("unshare").args(["-rm", "mount", "-t", "tmpfs", "none", "/mnt"]).output();
    tried.is_ok_and(|o| o.status.success())
}

fn own_disk(folder: &Path, script: &str) -> Output {
    let mut command = Command::new("unshare");
    command.args(["-rm", "sh"]);
    shell(folder, &format!("set -e; mkdir disk; mount -t tmpfs -o size=1m none disk; {script}"), &mut command)
}

#[test]
fn a_full_disk_leaves_the_earlier_pack_and_nothing_else() {
    if !may_mount() {
        return a_file_larger_than_allowed_leaves_the_earlier_pack();
    }
    // a disk of 1 MiB holds the first pack; what is left is filled up to 16 KiB, less than the second one needs
    let folder = shop();
    let script = r#"
        "$PROGRAM" pack old.json -o disk/pack -q
        free=$(df --output=avail -k disk | tail -1)
        head -c $(( (free - 16) * 1024 )) /dev/zero > disk/filler
        set +e
        "$PROGRAM" pack new.json -o disk/pack -q; echo "code $?"
        "$PROGRAM" draw new.json -o disk/drawings/wheel.pdf -q; echo "code $?"
        "$PROGRAM" batch new.json -o disk -q; echo "code $?"
        "$PROGRAM" verify disk/pack --order old.json; echo "code $?"
        ls -A disk; "#;
    let ran = own_disk(folder.path(), script);
    let (out, err) = (String::from_utf8_lossy(&ran.stdout), String::from_utf8_lossy(&ran.stderr));
    let codes: Vec<&str> = out.lines().filter(|l| l.starts_with("code")).collect();
    assert_eq!(codes, ["code 2", "code 2", "code 1", "code 0"], "{out}\n{err}");
    assert_eq!(err.matches("the disk is full").count(), 2, "{err}");
    assert!(err.contains("make room and run the command again"), "{err}");
    assert!(out.contains("FAILED") && out.contains("the disk is full"), "{out}");
    let left: Vec<&str> = out.lines().rev().take_while(|l| !l.starts_with("code")).collect();
    assert_eq!(left, ["pack", "filler", "batch.csv"], "nothing half written is left: {out}");
}

/// The limit a system sets on the size of a file stops a write in its middle, as a full disk does.
#[test]
fn a_file_larger_than_allowed_leaves_the_earlier_pack() {
    let folder = shop();
    let limited =
        |script: &str| shell(folder.path(), &format!("trap '' XFSZ; ulimit -f 8; {script}"), &mut Command::new("bash"));
    assert_eq!(code(&shell(folder.path(), r#""$PROGRAM" pack old.json -o packs/1-A"#, &mut Command::new("sh"))), 0);
    let before = fs::read(folder.path().join("packs/1-A/manifest.json")).unwrap();
    let ran = limited(r#""$PROGRAM" pack new.json -o packs/1-A"#);
    assert_eq!(code(&ran), 2, "{ran:?}");
    let err = String::from_utf8_lossy(&ran.stderr);
    assert!(err.contains("larger than this system allows"), "{err}");
    assert_eq!(fs::read(folder.path().join("packs/1-A/manifest.json")).unwrap(), before);
    assert_whole(&folder.path().join("packs/1-A"));
    let ran = limited(r#""$PROGRAM" draw new.json -o wheel.svg"#);
    assert_eq!(code(&ran), 2, "{ran:?}");
    let names = |p: &Path| fs::read_dir(p).unwrap().map(|e| e.unwrap().file_name()).collect::<Vec<_>>();
    assert_eq!(names(&folder.path().join("packs")), ["1-A"]);
    assert_eq!(names(folder.path()).len(), 3, "{:?}", names(folder.path()));
}

/// A folder in which nothing may be made. Permissions do not bind the superuser, who tries it as nobody.
#[test]
fn a_folder_that_cannot_be_written_is_named() {
    let folder = shop();
    let closed = folder.path().join("closed");
    fs::create_dir(&closed).unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    fs::set_permissions(&closed, fs::Permissions::from_mode(0o555)).unwrap();
    let is_bound = fs::write(closed.join("probe"), "").is_err();
    let _ = fs::remove_file(closed.join("probe"));
    for (arguments, wanted) in [
        (vec!["pack", "old.json", "-o", "closed/pack"], 2),
        (vec!["draw", "old.json", "-o", "closed/wheel.pdf"], 2),
        (vec!["traveller", "old.json", "-o", "closed/traveller.pdf"], 2),
        (vec!["batch", "old.json", "-o", "closed/packs"], 2),
        (vec!["batch", "old.json", "-o", "closed"], 1),
    ] {
        let mut command = if is_bound {
            Command::new(PROGRAM)
        } else {
            let mut as_nobody = Command::new("setpriv");
            as_nobody.args(["--reuid", "65534", "--regid", "65534", "--clear-groups", PROGRAM]);
            as_nobody
        };
        let ran = command.args(&arguments).current_dir(folder.path()).output().unwrap();
        assert_eq!(code(&ran), wanted, "{arguments:?}: {ran:?}");
        let told = String::from_utf8_lossy(&ran.stderr).into_owned() + &String::from_utf8_lossy(&ran.stdout);
        assert!(told.contains("closed") && told.contains("permission is denied"), "{told}");
        assert_eq!(fs::read_dir(&closed).unwrap().count(), 0);
    }
    fs::set_permissions(&closed, fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn a_read_only_disk_is_said() {
    if !may_mount() {
        return a_folder_that_cannot_be_written_is_named();
    }
    let folder = shop();
    let ran = own_disk(
        folder.path(),
        r#"mount -o remount,ro disk; set +e; "$PROGRAM" pack old.json -o disk/pack; echo "code $?"; ls -A disk"#,
    );
    let err = String::from_utf8_lossy(&ran.stderr);
    assert_eq!(String::from_utf8_lossy(&ran.stdout), "code 2\n", "{err}");
    assert!(err.contains("the file system is read-only") && err.contains("name a folder that can be written"), "{err}");
}
