//! The records of wheels and the book's end: held against the book byte by byte, mended after a run was ended anywhere, written by many at once.

use super::{event, of_wheel};
use crate::cli::{program, run_in};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;
use wheeldraft::book::{self, Event, Kind, Sealed};
use wheeldraft::cli::journal::{self, Proved};

const FILES: [&str; 4] =
    ["book.jsonl", "book.end", "records/1042-B-1-e2e3a50c.jsonl", "records/1042-B-2-e2e3a50c.jsonl"];

fn found(kind: Kind, wheel: u32, bore: &str) -> Event {
    Event {
        found: Some(json!({ "rows": [["1", "", bore]], "ring_test_after": "clear" })),
        ..of_wheel(kind, "1042-B", wheel)
    }
}

/// Two wheels measured, one labelled, a line of the whole order before.
fn shop() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let events = [
        vec![event(Kind::Taken, "1042-B")],
        vec![found(Kind::Measured, 1, "8.001"), found(Kind::Measured, 2, "8.002")],
    ];
    for events in events.iter().chain([&vec![of_wheel(Kind::Labelled, "1042-B", 1)]]) {
        assert_eq!(journal::enter(folder.path(), events).unwrap().repaired, None);
    }
    folder
}

fn is_sound(proved: &Proved) -> bool {
    let Proved { book, beside, unfinished } = proved;
    book.faults.is_empty() && book.cut_off == 0 && beside.is_empty() && *unfinished == 0
}

fn files(folder: &Path) -> BTreeMap<&'static str, Vec<u8>> {
    FILES.into_iter().filter_map(|name| Some((name, fs::read(folder.join(name)).ok()?))).collect()
}

fn put(folder: &Path, files: &BTreeMap<&'static str, Vec<u8>>) {
    fs::create_dir_all(folder.join("records")).unwrap();
    for name in FILES {
        let _ = fs::remove_file(folder.join(name));
    }
    for (name, bytes) in files {
        fs::write(folder.join(name), bytes).unwrap();
    }
}

#[test]
fn every_changed_byte_of_the_book_a_record_or_the_end_is_found() {
    let folder = shop();
    let good = files(folder.path());
    assert!(good.len() == FILES.len() && is_sound(&journal::prove(folder.path()).unwrap()));
    for (name, bytes) in &good {
        let path = folder.path().join(name);
        for at in 0..bytes.len() {
            let mut bad = bytes.clone();
            bad[at] ^= 1;
            fs::write(&path, bad).unwrap();
            assert!(!is_sound(&journal::prove(folder.path()).unwrap()), "{name}, byte {at}");
        }
        fs::remove_file(&path).unwrap();
        assert!(!is_sound(&journal::prove(folder.path()).unwrap()), "{name} is gone");
        fs::write(&path, bytes).unwrap();
    }
    assert!(is_sound(&journal::prove(folder.path()).unwrap()));
}

/// The lines of these events, one after the other, every hash as it should be.
fn chained(events: &[Event]) -> Vec<u8> {
    book::lines(&book::tail(b""), events).0
}

fn events(bytes: &[u8]) -> Vec<Event> {
    book::read(bytes).entries.into_iter().map(|e| e.event).collect()
}

/// A forger who mends every hash of one file, and also the book's end, is found by the files he left alone.
#[test]
fn a_file_with_all_its_hashes_mended_is_found_by_the_others() {
    let folder = shop();
    let good = files(folder.path());
    let forge = |name: &str, what: &dyn Fn(&mut Vec<Event>)| {
        let mut lines = events(&good[name]);
        what(&mut lines);
        chained(&lines)
    };
    let by = |lines: &mut Vec<Event>, at: usize| lines[at].by = "Nobody".to_owned();
    for (name, lines) in [(FILES[0], 4), (FILES[2], 2)] {
        let mut forged: Vec<Vec<u8>> = (0..lines).map(|at| forge(name, &|l| by(l, at))).collect();
        forged.extend((0..lines).map(|at| forge(name, &|l| drop(l.remove(at)))));
        forged.push(forge(name, &|l| l.push(l[0].clone())));
        for (n, forged) in forged.into_iter().enumerate() {
            let mut files = good.clone();
            files.insert(name, forged);
            put(folder.path(), &files);
            assert!(!is_sound(&journal::prove(folder.path()).unwrap()), "{name}, forgery {n}");
        }
    }
    for (bad, words) in [("8.003", "has the hash of"), ("", "what was found is not there")] {
        let lie = |l: &mut Vec<Event>| {
            let hash = l[0].for_book().found_sha256;
            l[0].found = Some(json!({ "rows": [["1", "", bad]] })).filter(|_| !bad.is_empty());
            l[0].found_sha256 = hash.filter(|_| bad.is_empty());
        };
        put(folder.path(), &BTreeMap::from_iter(good.clone().into_iter().chain([(FILES[2], forge(FILES[2], &lie))])));
        let beside = journal::prove(folder.path()).unwrap().beside;
        assert!(beside.len() == 1 && beside[0].what.contains(words), "{beside:?}");
    }
    // the last line of the book, its seal and the end: the wheel's record knows better
    let forged = forge(FILES[0], &|l| by(l, 3));
    let line = book::read(&forged).entries[3].clone();
    let end = Sealed { line: line.line, seal: line.seal }.file().into_bytes();
    put(folder.path(), &BTreeMap::from_iter(good.clone().into_iter().chain([(FILES[0], forged), (FILES[1], end)])));
    let proved = journal::prove(folder.path()).unwrap();
    assert!(
        proved.book.faults.is_empty() && proved.beside[0].what.contains("line 4 of the book"),
        "{:?}",
        proved.beside
    );
}

/// A book whose end does not fit goes on, and what is found goes on into the records.
#[test]
fn a_forged_book_is_written_to_and_stays_named() {
    let folder = shop();
    let good = files(folder.path());
    let mut lines = events(&good[FILES[0]]);
    lines[3].by = "Nobody".to_owned();
    fs::write(folder.path().join(FILES[0]), chained(&lines)).unwrap();
    let added = journal::enter(folder.path(), &[found(Kind::Balanced, 1, "12.5")]).unwrap();
    assert!(added.repaired.unwrap().contains("line 4 is not as it was written"));
    let record = journal::record_of(folder.path(), "1042-B-1-e2e3a50c").unwrap();
    assert_eq!(record.entries.last().unwrap().event.found, found(Kind::Balanced, 1, "12.5").found);
    let faults = journal::prove(folder.path()).unwrap().book.faults;
    assert_eq!(faults.iter().map(|f| f.line).collect::<Vec<_>>(), [4]);
    for bad in ["", "{}", "\u{0}"] {
        fs::write(folder.path().join("book.end"), bad).unwrap();
        assert!(journal::enter(folder.path(), &[event(Kind::Drawn, "1042-B")]).unwrap().repaired.is_some());
        assert!(!is_sound(&journal::prove(folder.path()).unwrap()));
    }
}

#[derive(Debug, Clone)]
enum Step {
    Enter(Vec<(u32, bool)>),
    /// A run is ended after so many of its writings: findings aside, book, records, end; the one after is there in part.
    Ended(u32, u8, usize),
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        prop::collection::vec((0..4_u32, any::<bool>()), 1..4).prop_map(Step::Enter),
        (1..4_u32, 0..4_u8, 0..1000_usize).prop_map(|(wheel, stage, share)| Step::Ended(wheel, stage, share)),
    ]
}

fn of(wheel: u32, has_found: bool, n: usize) -> Event {
    let bore = format!("8.{n:03}");
    match (wheel, has_found) {
        (0, _) => Event { note: Some(bore), ..event(Kind::Drawn, "1042-B") },
        (wheel, true) => found(Kind::Measured, wheel, &bore),
        (wheel, false) => Event { note: Some(bore), ..of_wheel(Kind::Balanced, "1042-B", wheel) },
    }
}

/// The part of the bytes added since, so many thousandths, less than all.
fn part(path: &Path, before: &[u8], share: usize) {
    let Ok(after) = fs::read(path) else { return };
    // all but the end of a line is a whole line
    let added = (after.len() - before.len()).saturating_sub(2);
    fs::write(path, &after[..before.len() + added * share / 1000]).unwrap();
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Wherever runs are ended, the next one mends what they left, no finding of a line that is in the book is lost, and each record is a list that grows.
    #[test]
    fn records_are_lists_that_only_grow(steps in prop::collection::vec(step(), 1..9)) {
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path();
        let mut list: Vec<Event> = Vec::new();
        for (n, step) in steps.into_iter().enumerate() {
            match step {
                Step::Enter(wheels) => {
                    let events: Vec<Event> = wheels.iter().map(|(wheel, has)| of(*wheel, *has, n)).collect();
                    journal::enter(at, &events).unwrap();
                    list.extend(events);
                }
                Step::Ended(wheel, stage, share) => {
                    journal::enter(at, &[of(0, false, n)]).unwrap();
                    list.push(of(0, false, n));
                    let (full, name) = (of(wheel, true, n), format!("records/1042-B-{wheel}-e2e3a50c.jsonl"));
                    let read = |name: &str| fs::read(at.join(name)).unwrap_or_default();
                    let [book, record, end] = ["book.jsonl", &name, "book.end"].map(read);
                    journal::enter(at, std::slice::from_ref(&full)).unwrap();
                    fs::write(at.join("book.next"), serde_json::to_vec(&[&full]).unwrap()).unwrap();
                    fs::write(at.join("book.end"), end).unwrap();
                    match stage {
                        0 | 1 => {
                            // the line itself is not whole, and what was found is the sheet's still
                            part(&at.join("book.jsonl"), &book, if stage == 0 { 0 } else { share });
                            fs::write(at.join(&name), record).unwrap();
                        }
                        stage => {
                            if stage == 2 { part(&at.join(&name), &record, share) }
                            list.push(full);
                        }
                    }
                    let proved = journal::prove(at).unwrap();
                    prop_assert_eq!(&proved.book.faults, &[]);
                    prop_assert!(proved.beside.iter().all(|b| b.what.contains("cut off")), "{:?}", proved.beside);
                    let repaired = journal::enter(at, &[of(0, false, n)]).unwrap().repaired;
                    prop_assert_eq!(repaired.is_some(), stage > 1 || (stage == 1 && proved.book.cut_off > 0), "{:?}", repaired);
                    list.push(of(0, false, n));
                }
            }
            let proved = journal::prove(at).unwrap();
            prop_assert!(is_sound(&proved), "{proved:?}");
            prop_assert!(!at.join("book.next").exists());
            for wheel in 1..4 {
                let code = format!("1042-B-{wheel}-e2e3a50c");
                let told: Vec<Event> = list.iter().filter(|e| e.wheel.as_ref() == Some(&code)).cloned().collect();
                let read = journal::record_of(at, &code).unwrap().entries.into_iter().map(|e| Event { in_book: None, ..e.event });
                prop_assert_eq!(read.collect::<Vec<_>>(), told);
            }
        }
    }
}

/// Many runs at once, for one wheel and for several, and readers between them that never see a thing half done.
#[test]
fn several_writers_of_records_take_turns() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::thread::scope(|scope| {
        for writer in 0..4_u32 {
            scope.spawn(move || {
                for n in 0..8 {
                    journal::enter(at, &[found(Kind::Measured, 1 + writer % 2, &format!("{writer}.{n}"))]).unwrap();
                }
            });
        }
        for _ in 0..20 {
            let proved = journal::prove(at).unwrap();
            assert!(is_sound(&proved), "{proved:?}");
        }
    });
    let both = [1, 2].map(|wheel| journal::record_of(at, &format!("1042-B-{wheel}-e2e3a50c")).unwrap().entries.len());
    assert_eq!(both, [16, 16]);
}

/// A shop's folder with an order of four wheels in it.
fn with_order() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(run_in(folder.path(), &["new", "--shop", ".", "--name", "Heron Quay Wheel Works"]).code, 0);
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/1042.json");
    fs::copy(demo, folder.path().join("orders/1042.json")).unwrap();
    folder
}

/// Programs killed at any moment: the next one goes on, and nothing is taken for a forgery.
#[test]
fn killed_programs_leave_a_book_that_goes_on() {
    let folder = with_order();
    for n in 0..12_u64 {
        let mut child = program()
            .args(["label", "orders/1042.json", "-o", "label.svg"])
            .current_dir(&folder)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_micros(7_000 * n % 53_000));
        child.kill().unwrap();
        child.wait().unwrap();
    }
    let last = run_in(folder.path(), &["label", "orders/1042.json", "-o", "label.svg"]);
    assert_eq!(last.code, 0, "{}", last.err);
    let checked = run_in(folder.path(), &["book", "--check"]);
    assert_eq!(checked.code, 0, "{}", checked.out);
    assert!(!folder.path().join("book.next").exists());
}

#[test]
fn inspect_label_and_ship_keep_what_was_found_by_the_wheels_code() {
    let folder = with_order();
    let at = folder.path();
    let done = |arguments: &[&str]| {
        let run = run_in(at, arguments);
        assert_eq!(run.code, 0, "{arguments:?}: {}", run.err);
        run
    };
    done(&["inspect", "orders/1042.json", "-o", "sheet.csv"]);
    let sheet = fs::read_to_string(at.join("sheet.csv")).unwrap();
    let filled = |line: &str| match line {
        _ if line.starts_with("wheel,") => format!("{line}1"),
        _ if line.starts_with("inspected_by,") => format!("{line}T. Okafor"),
        _ if line.starts_with("balance_reading,") => format!("{line}4.5"),
        line => line.to_owned(),
    };
    let sheet: String = sheet.lines().map(|line| filled(line) + "\n").collect();
    fs::write(at.join("measured.csv"), sheet).unwrap();
    assert_eq!(run_in(at, &["inspect", "orders/1042.json", "measured.csv"]).code, 1, "most of it is not measured");
    done(&["label", "orders/1042.json", "--wheel", "1", "-o", "label.svg"]);
    let names: Vec<_> =
        fs::read_dir(at.join("records")).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    let [name] = names.as_slice() else { panic!("{names:?}") };
    let code = name.strip_suffix(".jsonl").unwrap();
    assert!(code.starts_with("1042-B-1-"), "{code}");
    let traced = done(&["book", "--trace", code, "--format", "json"]);
    let record = serde_json::from_str::<Value>(&traced.out).unwrap()["records"][0].clone();
    let entries = record["entries"].as_array().unwrap();
    let told: Vec<_> = entries.iter().map(|e| e["event"].as_str().unwrap()).collect();
    assert_eq!(told, ["measured", "balanced", "labelled"]);
    assert_eq!(
        (&entries[0]["found"]["inspected_by"], &entries[1]["found"]["balance_reading"]),
        (&json!("T. Okafor"), &json!("4.5"))
    );
    assert!(
        entries[0]["found"]["rows"].as_array().unwrap().len() > 10
            && !entries[0]["found"]["refusals"].as_array().unwrap().is_empty()
    );
    let files = |n: usize| entries[n]["files"][0]["name"].as_str().unwrap().to_owned();
    assert_eq!((files(0), files(2)), ("measured.csv".to_owned(), "label.svg".to_owned()));
    let text = done(&["book", "--trace", code]).out;
    assert!(
        text.contains("Record of wheel")
            && text.contains("inspected by T. Okafor")
            && text.contains("balance reading 4.5"),
        "{text}"
    );
    assert_eq!(done(&["book", "--check"]).code, 0);
    let forged = fs::read_to_string(at.join("records").join(name)).unwrap().replace("4.5", "3.5");
    fs::write(at.join("records").join(name), forged).unwrap();
    let checked = run_in(at, &["book", "--check"]);
    assert!(checked.code == 1 && checked.out.contains(name), "{}", checked.out);
}

/// No room for what was found: the book has no line of it either; no room for the record alone: the next run writes it.
#[cfg(unix)]
#[test]
fn without_room_for_the_record_nothing_is_lost() {
    let folder = with_order();
    let at = folder.path();
    // files may grow to one block of 512 bytes; the signal of it is ignored, so that the write fails
    let limited = "trap '' XFSZ; ulimit -f 1; exec \"$0\" label orders/1042.json --wheel 1 -o /dev/null";
    let run =
        Command::new("sh").args(["-c", limited, env!("CARGO_BIN_EXE_wheeldraft")]).current_dir(at).output().unwrap();
    assert_eq!(run.status.code(), Some(2), "{run:?}");
    assert!(fs::read(at.join("book.jsonl")).unwrap().is_empty());
    fs::remove_dir(at.join("records")).unwrap();
    fs::write(at.join("records"), "in the way").unwrap();
    let label = ["label", "orders/1042.json", "--wheel", "1", "-o", "label.svg"];
    let run = run_in(at, &label);
    assert!(run.code == 2 && run.err.contains("finishes the wheel's record"), "{}", run.err);
    fs::remove_file(at.join("records")).unwrap();
    let run = run_in(at, &["book", "--add", "drawn", "--order", "1042-B"]);
    assert!(run.code == 0 && run.err.contains("brought up to the book"), "{}", run.err);
    assert_eq!(run_in(at, &["book", "--check"]).code, 0);
    let record = fs::read_dir(at.join("records")).unwrap().next().unwrap().unwrap().path();
    let record = book::read(&fs::read(record).unwrap()).entries;
    assert!(record.len() == 1 && record[0].event.found.is_some(), "{record:?}");
}
