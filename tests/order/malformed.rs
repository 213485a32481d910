//! Files that are no orders, or damaged ones: never a panic, always a problem with a place, and nothing written.

use proptest::prelude::*;
use std::fs;
use std::path::Path;
use std::process::Command;
use wheeldraft::json::{LONGEST_FILE, Located};
use wheeldraft::order::TEMPLATES;
use wheeldraft::rules::ShopRules;

const SMALL: &str = r#"{"order": {"number": "7", "revision": "A", "notes": ["ä\u00e9\n"]}, "units": "mm",
 "wheel": {"outside_diameter": 400, "thickness": "2 in", "bore": 127.0, "side_a": {"recess": [{"diameter": 2e2, "depth": 15}]}}}"#;

/// The problems of a file, each checked for what every problem has to have.
#[track_caller]
fn problems(bytes: &[u8]) -> Vec<Located> {
    let Err(problems) = ShopRules::built_in().open(bytes) else { return Vec::new() };
    assert!(!problems.is_empty(), "refused without a reason: {:?}", String::from_utf8_lossy(bytes));
    let lines = bytes.iter().filter(|b| **b == b'\n').count() + 1;
    for p in problems.iter() {
        assert!((1..=lines).contains(&p.place.line), "{p:?}");
        assert!(p.place.column >= 1 && p.place.width >= 1, "{p:?}");
        assert!(p.place.indent <= p.place.excerpt.chars().count() + 1, "{p:?}");
        assert!(!p.problem.message.is_empty() && !p.problem.hint.is_empty(), "{p:?}");
        let printable = |t: &str| t.chars().all(|c| !c.is_control());
        assert!(printable(&p.problem.message) && printable(&p.problem.hint) && printable(&p.place.excerpt), "{p:?}");
    }
    problems.to_vec()
}

#[test]
fn the_small_order_is_right() {
    assert!(problems(SMALL.as_bytes()).is_empty());
}

#[test]
fn cut_off_at_every_byte() {
    for text in [SMALL, TEMPLATES[4].text] {
        for end in 0..text.trim_end().len() {
            assert!(!problems(&text.as_bytes()[..end]).is_empty(), "cut off at byte {end}");
        }
    }
}

#[test]
fn every_byte_missing_doubled_or_replaced() {
    let bytes = SMALL.as_bytes();
    for i in 0..bytes.len() {
        let mut missing = bytes.to_vec();
        missing.remove(i);
        problems(&missing);
        let mut doubled = bytes.to_vec();
        doubled.insert(i, bytes[i]);
        problems(&doubled);
        for other in [0, b'\n', b'"', b'{', b'}', b'[', b']', b',', b':', b'\\', b'-', b'9', b'/', b'e', 0x80, 0xFF] {
            let mut replaced = bytes.to_vec();
            replaced[i] = other;
            problems(&replaced);
        }
    }
}

#[test]
fn every_value_of_another_kind() {
    let kinds =
        ["null", "true", "[]", "{}", "\"x\"", "-1", "1e400", "NaN", "\"\\ud800\"", "[[[]]]", "0.5", "1e-320", ""];
    let values = ["\"7\"", "\"A\"", "\"mm\"", "400", "\"2 in\"", "127.0", "2e2", "15", "[\"ä\\u00e9\\n\"]"];
    for value in values {
        for kind in kinds {
            let text = SMALL.replacen(value, kind, 1);
            assert_ne!(text, SMALL);
            problems(text.as_bytes());
        }
    }
}

#[test]
fn nesting_without_end_is_refused_without_recursion() {
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        for closed in [0, 200_000] {
            let text = format!("{{\"order\": {}{}}}", open.repeat(200_000), close.repeat(closed));
            let found = problems(text.as_bytes());
            assert!(found.iter().any(|p| p.problem.message.contains("nested")), "{found:?}");
        }
    }
}

#[test]
fn other_encodings_are_named() {
    let utf16: Vec<u8> = [0xFF, 0xFE].into_iter().chain(SMALL.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    assert_eq!(problems(&utf16)[0].problem.message, "the file is UTF-16 text");
    let latin1: Vec<u8> = SMALL.replace('ä', "\u{1}").bytes().map(|b| if b == 1 { 0xE4 } else { b }).collect();
    let found = problems(&latin1);
    assert_eq!(found[0].problem.message, "byte 55 of the file (hexadecimal E4) is not UTF-8 text");
    assert_eq!((found[0].place.line, found[0].place.column), (1, 55));
}

#[test]
fn a_byte_order_mark_and_any_line_ends_change_nothing() {
    let plain = ShopRules::built_in().open(SMALL.as_bytes()).unwrap().fingerprint();
    let crlf = SMALL.replace('\n', "\r\n");
    for text in [format!("\u{FEFF}{SMALL}"), crlf.clone(), format!("\u{FEFF}{crlf}\r\n"), format!("\n\n {SMALL} \t\n")]
    {
        assert_eq!(ShopRules::built_in().open(text.as_bytes()).unwrap().fingerprint(), plain);
    }
}

#[test]
fn places_are_the_same_with_a_byte_order_mark_and_crlf() {
    let wrong = SMALL.replace("127.0", "500");
    let place = |text: &str| problems(text.as_bytes())[0].place.clone();
    assert_eq!(place(&wrong), place(&format!("\u{FEFF}{}", wrong.replace('\n', "\r\n"))));
}

#[test]
fn a_file_too_long_to_be_an_order_is_refused_at_once() {
    let long = format!("{{\"order\": \"{}\"}}", "x".repeat(LONGEST_FILE));
    assert_eq!(problems(long.as_bytes()).len(), 1);
}

/// A note may be as long as anyone likes, a customer in any language.
#[test]
fn long_texts_in_any_language_are_taken() {
    let note = "渦巻き研削 🛞 Schleifscheibe ".repeat(2000);
    let text = SMALL.replace("ä\\u00e9\\n", &note);
    assert!(problems(text.as_bytes()).is_empty());
}

#[test]
fn counts_may_be_written_with_a_point() {
    let text = SMALL.replace("\"revision\"", "\"quantity\": 4.0, \"revision\"");
    assert_eq!(ShopRules::built_in().open(text.as_bytes()).unwrap().head.quantity, Some(4));
}

/// A flood of mistakes ends after a while, and quickly.
#[test]
fn a_hundred_thousand_mistakes_do_not_stall_the_reader() {
    let commas = format!("{{{}", ",".repeat(100_000));
    let unknown: String = (0..20_000).map(|i| format!("\"f{i}\": .5,\n")).collect();
    let doubled = "\"a\": 1,".repeat(50_000);
    let begun = std::time::Instant::now();
    for text in [commas, format!("{{{unknown}}}"), format!("{{{doubled}}}"), "\"".repeat(100_000), "{".repeat(100_000)]
    {
        assert!(!problems(text.as_bytes()).is_empty());
    }
    assert!(begun.elapsed().as_secs() < 60, "{:?}", begun.elapsed());
}

fn damaged() -> impl Strategy<Value = Vec<u8>> {
    let edit = (
        any::<prop::sample::Index>(),
        0..4_u8,
        prop_oneof![any::<u8>(), prop::sample::select(&b"{}[]\",:\\ \n-.e09tfn/'"[..])],
    );
    let base = prop::sample::select(vec![SMALL, TEMPLATES[0].text, TEMPLATES[3].text, TEMPLATES[4].text]);
    (base, prop::collection::vec(edit, 1..8)).prop_map(|(base, edits)| {
        let mut bytes = base.as_bytes().to_vec();
        for (at, kind, byte) in edits {
            let i = at.index(bytes.len());
            match kind {
                0 => bytes[i] = byte,
                1 => bytes.insert(i, byte),
                2 => drop(bytes.remove(i)),
                _ => drop(bytes.splice(i..i, base.as_bytes()[..i % 40].iter().copied())),
            }
        }
        bytes
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn damaged_orders_never_panic(bytes in damaged()) {
        problems(&bytes);
    }

    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        problems(&bytes);
    }

    #[test]
    fn random_lengths_never_panic(text in ".{0,30}", unit in prop::sample::select(vec!["in", "mm"])) {
        let order = serde_json::json!({"order": {"number": "1", "revision": "A"}, "units": unit,
            "wheel": {"outside_diameter": text, "thickness": 50, "bore": 20}});
        problems(order.to_string().as_bytes());
    }
}

/// No command leaves anything behind when its order cannot be read.
#[test]
fn nothing_is_written_for_a_damaged_order() {
    let folder = tempfile::tempdir().unwrap();
    let bad = folder.path().join("bad.json");
    fs::write(&bad, &SMALL[..SMALL.len() - 3]).unwrap();
    let out = folder.path().join("out");
    let file = out.join("wheel.svg");
    let commands: [&[&str]; 4] = [
        &["draw", "bad.json", "-o", "out/wheel.svg"],
        &["draw", "bad.json", "-o", "out"],
        &["new", "bad.json", "-o", "out/new.json"],
        &["properties", "bad.json"],
    ];
    for arguments in commands {
        let run = Command::new(env!("CARGO_BIN_EXE_wheeldraft")).current_dir(&folder).args(arguments).output().unwrap();
        assert_eq!(run.status.code(), Some(2), "{arguments:?}");
        assert!(run.stdout.is_empty() && String::from_utf8_lossy(&run.stderr).starts_with("bad.json:2:"), "{run:?}");
        assert!(!out.exists() && !file.exists(), "{arguments:?} left something behind");
    }
    assert_eq!(fs::read_dir(Path::new(folder.path())).unwrap().count(), 1);
}

/// A program that opens an order may print what is wrong, or hand it on with `?`.
#[test]
fn what_is_wrong_with_an_order_is_an_error_that_prints_every_problem() {
    fn open(text: &str) -> Result<String, Box<dyn std::error::Error>> {
        Ok(ShopRules::built_in().open(text.as_bytes())?.file_stem())
    }
    let text = SMALL.replace("\"revision\"", "\"date\": \"2026-02-31\", \"revision\"").replace("\"bore\"", "\"hole\"");
    let told = open(&text).unwrap_err().to_string();
    let lines: Vec<&str> = told.lines().collect();
    assert!(
        lines.iter().any(|l| l.contains("/order/date: `2026-02-31` is no day of the calendar → write YYYY-MM-DD")),
        "{told}"
    );
    assert!(lines.iter().any(|l| l.contains("did you mean `bore`?")), "{told}");
    // the unit at the end of a name is forgotten sooner than another word is meant
    let text = SMALL.replace("\"units\"", "\"tolerances\": {\"groove_pitch\": 0.05}, \"units\"");
    let told = open(&text).unwrap_err().to_string();
    assert!(told.contains("did you mean `groove_pitch_deg`?"), "{told}");
}
