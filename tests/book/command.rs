//! `book` as it is typed.

use super::three;
use crate::cli::{program, run_in};
use serde_json::Value;
use std::fs;
use std::process::{Command, Stdio};

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}: {text}"))
}

#[test]
fn lines_are_added_shown_and_traced() {
    let folder = tempfile::tempdir().unwrap();
    let book = |arguments: &[&str]| run_in(folder.path(), &[&["book"], arguments].concat());
    let none = book(&[]);
    assert!(none.code == 2 && none.err.contains("there is no book"), "{}", none.err);
    let added = book(&["--add", "taken", "--order", "1042-B", "--by", "M. Lindqvist"]);
    assert_eq!((added.code, added.out.as_str()), (0, ""), "{}", added.err);
    let code = "1042-B-1-e2e3a50c";
    let wheel = [
        "--add",
        "measured",
        "--order",
        "1042-B",
        "--wheel",
        code,
        "--lot",
        "L-7734",
        "--by",
        "T. Okafor",
        "--failed",
        "--note",
        "bore\u{1b}[2J",
    ];
    assert_eq!(book(&wheel).code, 0);
    let all = book(&[]);
    assert!(all.out.contains("1042-B") && all.out.contains("1 failed"), "{}", all.out);
    let traced = book(&["--trace", "L-7734"]);
    assert!(traced.code == 0 && traced.out.contains(code) && traced.out.contains("FAILED; bore?[2J"), "{}", traced.out);
    assert_eq!(book(&["--trace", "L-0"]).code, 1);
    let all = json(&book(&["--format", "json"]).out);
    assert_eq!((&all["format"], &all["orders"][0]["last"]["by"]), (&Value::from(1), &Value::from("T. Okafor")));
    let traced = json(&book(&["--trace", code, "--format", "json"]).out);
    assert_eq!(
        (&traced["entries"][1]["entry"]["passed"], &traced["orders"][0]),
        (&Value::from(false), &Value::from("1042-B"))
    );
    let typo = book(&["--add", "mesured", "--order", "1042-B"]);
    assert!(typo.code == 2 && typo.err.contains("did you mean measured?"), "{}", typo.err);
    assert_eq!(book(&["--add", "taken", "--order", "10 42"]).code, 2);
    assert_eq!(book(&["--check"]).code, 0);
}

#[test]
fn a_forged_line_is_named_and_a_cut_one_mended() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.jsonl");
    let check = || run_in(folder.path(), &["book", "--check"]);
    let forged = String::from_utf8(three()).unwrap().replacen("approved", "packed", 1);
    fs::write(&path, forged).unwrap();
    let found = check();
    assert!(found.code == 1 && found.out.contains("book.jsonl:2: the line was changed"), "{}", found.out);
    fs::write(&path, &three()[..three().len() - 40]).unwrap();
    let found = check();
    assert!(found.code == 1 && found.out.contains("line 3 was cut off"), "{}", found.out);
    let added = run_in(folder.path(), &["book", "--add", "shipped", "--order", "1042-B"]);
    assert!(added.code == 0 && added.err.contains("line 3 had been cut off"), "{}", added.err);
    assert_eq!(check().code, 0);
    let json = json(&run_in(folder.path(), &["book", "--check", "--format", "json"]).out);
    assert_eq!((&json["sound"], &json["lines"]), (&Value::from(true), &Value::from(3)));
}

/// Runs that add at the same time, and one that is killed among them, leave a book without a fault.
#[test]
fn several_runs_add_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let run = |n: usize| {
        let order = format!("{n}-A");
        let mut command = program();
        command.current_dir(folder.path()).args(["book", "--add", "taken", "--order", &order]);
        command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap()
    };
    let mut running: Vec<_> = (0..8).map(run).collect();
    let mut killed = running.pop().unwrap();
    killed.kill().unwrap();
    killed.wait().unwrap();
    assert!(running.into_iter().all(|mut child| child.wait().unwrap().success()));
    let json = json(&run_in(folder.path(), &["book", "--check", "--format", "json"]).out);
    let cut = json["cut_off_bytes"].as_u64().unwrap();
    assert!(json["faults"].as_array().unwrap().is_empty() && (cut == 0 || json["sound"] == false), "{json}");
    assert!((7..=8).contains(&json["lines"].as_u64().unwrap()), "{json}");
}

/// No room for the line: it is said, and what stood in the book stands there still.
#[cfg(unix)]
#[test]
fn without_room_the_book_stays_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.jsonl");
    fs::write(&path, three()).unwrap();
    // files may grow to two blocks of 512 bytes; the signal of it is ignored, so that the write fails
    let limited = "trap '' XFSZ; ulimit -f 2; exec \"$0\" book --add shipped --order 1042-B --by X";
    let run = Command::new("sh")
        .args(["-c", limited, env!("CARGO_BIN_EXE_wheeldraft")])
        .current_dir(&folder)
        .output()
        .unwrap();
    assert!(three().len() < 1024 && three().len() > 800, "{}", three().len());
    assert_eq!(run.status.code(), Some(2), "{run:?}");
    assert_eq!(fs::read(&path).unwrap(), three());
}
