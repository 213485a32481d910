//! What goes where: stdout, stderr, exit codes, colours.

use super::{program, run, run_in, run_with};
use serde_json::{Value, json};
use std::fs;
use std::io::Read;
use std::process::Stdio;

const WRONG: &str = "{\"order\": {\"number\": \"1\", \"revision\": \"A\"}, \"units\": \"in\",\n \"wheel\": {\"outside_diameter\": 20, \"thicknes\": 1, \"bore\": -8}}";

#[test]
fn an_unreadable_order_as_json_is_one_object_on_stdout() {
    let run = run_with(WRONG, &["properties", "-", "--format", "json"]);
    assert_eq!((run.code, run.err.as_str()), (2, ""));
    let value: Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(
        value,
        json!({"format": 1, "problems": [
            {"field": "/wheel/thicknes", "line": 2, "column": 36, "message": "`wheel` has no field `thicknes`", "hint": "did you mean `thickness`?"},
            {"field": "/wheel/bore", "line": 2, "column": 59, "message": "`bore` must be above 0, not -8 in", "hint": "give a length above 0"},
        ]})
    );
}

/// Every command that is asked for JSON prints one object and nothing else, whatever else it writes.
#[test]
fn every_command_prints_one_object() {
    let folder = tempfile::tempdir().unwrap();
    let demo = |name: &str| format!("{}/demo-data/{name}", env!("CARGO_MANIFEST_DIR"));
    fs::copy(demo("1043.json"), folder.path().join("a.json")).unwrap();
    fs::copy(demo("1043.json"), folder.path().join("b.json")).unwrap();
    let stock = demo("stock.csv");
    for (typed, keys) in [
        ("new", &["order", "wheel"][..]),
        ("new --list", &["templates"]),
        ("new straight -o new.json", &["files"]),
        ("check a.json", &["fingerprint", "verdict", "findings", "met", "not_applicable"]),
        ("check --explain guard", &["id", "text"]),
        ("properties a.json", &["wheel"]),
        ("grooves --sweep a.json", &["choices"]),
        ("recess a.json", &["proposal"]),
        ("draw a.json -o a.svg", &["fingerprint", "verdict", "files"]),
        ("draw a.json -o c.svg --calculation", &["fingerprint", "verdict", "files"]),
        ("cut a.json -o cut --unapproved", &["files"]),
        ("blanks a.json --stock STOCK", &["suitable"]),
        ("traveller a.json -o t.svg", &["fingerprint", "verdict", "files"]),
        ("ship a.json -o s.svg", &["fingerprint", "verdict", "files"]),
        ("label a.json -o l.svg", &["files"]),
        ("inspect a.json", &["columns", "rows"]),
        ("inspect a.json -o sheet.csv", &["files"]),
        ("inspect a.json sheet.csv", &["passed"]),
        ("compare a.json b.json", &["changes"]),
        ("approve a.json --by Nobody --date 2026-03-04 --open-questions settled", &["record"]),
        ("pack a.json -o pack", &["manifest"]),
        ("batch a.json -o packs", &["packs"]),
        ("verify pack", &["packs"]),
        ("schema", &["properties"]),
        ("completions bash", &["text"]),
        ("manual", &["text"]),
    ] {
        let words: Vec<&str> = typed.split(' ').map(|w| if w == "STOCK" { stock.as_str() } else { w }).collect();
        let run = run_in(folder.path(), &[&words[..], &["--format", "json", "-q"]].concat());
        let told: Value =
            serde_json::from_str(&run.out).unwrap_or_else(|e| panic!("{typed}: {e}: {}{}", run.out, run.err));
        assert!(run.code < 2 && run.err.is_empty(), "{typed}: {} {}", run.code, run.err);
        assert!(keys.iter().all(|k| told.get(k).is_some()), "{typed}: {told}");
    }
}

#[test]
fn an_unreadable_order_as_text_goes_to_stderr_with_the_files_name() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kurbel-ä.json"), WRONG).unwrap();
    let run = run_in(folder.path(), &["properties", "kurbel-ä.json"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.starts_with("kurbel-ä.json:2:36: `wheel` has no field `thicknes`\n"), "{}", run.err);
    assert!(run.err.ends_with("kurbel-ä.json has 2 problems; nothing was made.\n"), "{}", run.err);
}

#[test]
fn files_that_cannot_be_read_are_named_in_words() {
    let folder = tempfile::tempdir().unwrap();
    for (name, says) in [
        ("none.json", "cannot read none.json: there is no such file or folder"),
        (".", "cannot read .: it is a folder"),
    ] {
        let text = run_in(folder.path(), &["properties", name]);
        assert_eq!((text.code, text.out.as_str()), (2, ""));
        assert!(text.err.contains(says), "{}", text.err);
        let as_json = run_in(folder.path(), &["properties", name, "--format", "json"]);
        let value: Value = serde_json::from_str(&as_json.out).unwrap();
        assert!(says.ends_with(value["problems"][0]["message"].as_str().unwrap()));
        assert_eq!(as_json.code, 2);
    }
}

#[test]
fn endless_input_is_not_read_to_its_end() {
    if cfg!(unix) {
        let run = run(&["properties", "/dev/zero"]);
        assert_eq!(run.code, 2);
        assert!(run.err.contains("no order is that long"), "{}", run.err);
    }
}

#[test]
fn colours_are_for_terminals_unless_asked_for() {
    let escape = '\u{1b}';
    let colours = |more: &[&str]| run_with(WRONG, &[&["properties", "-"], more].concat()).err.contains(escape);
    assert!(!colours(&[]));
    assert!(!colours(&["--color", "never"]));
    assert!(colours(&["--color", "always"]));
    let plain = run_with(WRONG, &["properties", "-"]).err;
    let coloured = run_with(WRONG, &["properties", "-", "--color", "always"]).err;
    let mut without = String::new();
    let mut rest = coloured.as_str();
    while let Some(at) = rest.find(escape) {
        without.push_str(&rest[..at]);
        rest = &rest[at..][rest[at..].find('m').unwrap() + 1..];
    }
    without.push_str(rest);
    assert_eq!(without, plain, "colours change nothing but the colour");
}

/// A file's name or text must not be able to drive the terminal.
#[test]
fn control_characters_of_a_file_never_reach_the_terminal() {
    let order = WRONG.replace("thicknes", "thick\\u001b[31mnes\u{7f}").replace("\"A\"", "\"\\u0007\"");
    let run = run_with(&order, &["properties", "-"]);
    assert!(run.err.chars().all(|c| c == '\n' || !c.is_control()), "{:?}", run.err);
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let mut child = program().args(["schema"]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let mut err = String::new();
    child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
    assert_eq!((child.wait().unwrap().code(), err.as_str()), (Some(0), ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_behind_stdout_is_said() {
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let out = program().args(["schema"]).stdout(full).output().unwrap();
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("the disk is full"), "{out:?}");
}

#[test]
fn a_wrong_command_line_is_exit_2_and_help_is_exit_0() {
    for arguments in [
        &["propertys"][..],
        &["properties"],
        &["properties", "a", "b"],
        &["schema", "--format", "xml"],
        &["--color", "red", "schema"],
    ] {
        let wrong = run(arguments);
        assert_eq!((wrong.code, wrong.out.as_str()), (2, ""), "{arguments:?}");
        assert!(wrong.err.contains("error"), "{}", wrong.err);
    }
    // a program that asked for JSON gets it here too
    for (arguments, part) in [
        (&["propertys", "--format", "json"][..], "propertys"),
        (&["properties", "--format=json"], "<ORDER>"),
        (&["draw", "a.json", "--format", "json"], "--output"),
    ] {
        let wrong = run(arguments);
        let told: Value = serde_json::from_str(&wrong.out).unwrap_or_else(|e| panic!("{e}: {}", wrong.out));
        assert_eq!((wrong.code, wrong.err.as_str(), &told["format"]), (2, "", &json!(1)), "{arguments:?}");
        assert!(told["problems"][0]["message"].as_str().unwrap().contains(part), "{told}");
    }
    assert_eq!(run(&["--help", "--format", "json"]).code, 0);
    assert_eq!(run(&["--help"]).code, 0);
    assert_eq!(run(&["--version"]).out, concat!("wheeldraft ", env!("CARGO_PKG_VERSION"), "\n"));
}

/// `-o -` is the file itself on standard output; what is told besides goes to standard error, and no file named `-` appears.
#[test]
fn a_file_goes_to_standard_output_where_asked() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(format!("{}/demo-data/1043.json", env!("CARGO_MANIFEST_DIR")), folder.path().join("a.json")).unwrap();
    let bytes = |typed: &[&str]| {
        let run = program().current_dir(folder.path()).args(typed).output().unwrap();
        assert!(run.status.code().is_some_and(|c| c < 2), "{typed:?}: {}", String::from_utf8_lossy(&run.stderr));
        run
    };
    for (typed, begins, file) in [
        (&["draw", "a.json", "-o"][..], "%PDF-", "drawing.pdf"),
        (&["traveller", "a.json", "-o"], "%PDF-", "traveller.pdf"),
        (&["label", "a.json", "-o"], "%PDF-", "label.pdf"),
        (&["compare", "a.json", "a.json", "-o"], "%PDF-", "compared.pdf"),
        (&["new", "straight", "-o"], "{", "new.json"),
    ] {
        bytes(&[typed, &[file]].concat());
        let run = bytes(&[typed, &["-"]].concat());
        assert!(run.stdout.starts_with(begins.as_bytes()), "{typed:?}");
        assert!(run.stdout == fs::read(folder.path().join(file)).unwrap(), "{typed:?}: not the file itself");
        assert!(!String::from_utf8_lossy(&run.stderr).contains("wrote"), "{typed:?}");
    }
    #[cfg(unix)]
    assert!(bytes(&["draw", "a.json", "-o", "/dev/stdout"]).stdout.starts_with(b"%PDF-"));
    assert!(!folder.path().join("-").exists());
}

#[test]
fn a_folder_or_an_answer_beside_a_file_is_refused_on_standard_output() {
    let demo = format!("{}/demo-data/1043.json", env!("CARGO_MANIFEST_DIR"));
    for (typed, why) in [
        (&["pack", &demo, "-o", "-"][..], "pack makes more than one file"),
        (&["cut", &demo, "-o", "-", "--unapproved"], "cut makes more than one file"),
        (
            &["draw", &demo, "-o", "-", "--format", "json"],
            "standard output cannot take the file and the answer as JSON",
        ),
    ] {
        let run = run(typed);
        assert_eq!(run.code, 2, "{typed:?}");
        assert!((run.err + &run.out).contains(why), "{typed:?}");
    }
}
