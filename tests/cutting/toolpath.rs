//! The sheet of a program shows what its text says: every motion, rapid moves dashed, numbered as in its table, nothing of how it was made.

use super::files::wishes;
use std::collections::BTreeSet;
use wheeldraft::course::{Course, ON_PAPER, sheets};
use wheeldraft::cutting::control::Controls;
use wheeldraft::dossier::Dossier;
use wheeldraft::drawing::{Drawing, Group, Item, LineRole};
use wheeldraft::export::dxf::Flavour;
use wheeldraft::pack::machine::{Wishes, files};
use wheeldraft::rules::ShopRules;
use wheeldraft::wheel;

fn demo() -> (ShopRules, wheel::Job) {
    (ShopRules::built_in(), ShopRules::built_in().open(include_bytes!("../../demo-data/1042.json")).unwrap())
}

fn courses(job: &wheel::Job) -> Vec<Course> {
    files(job, &Wishes { programs: true, ..wishes(Flavour::R12) }).unwrap().courses
}

/// Every group of the sheets that is a motion: its number, and the roles of its lines.
fn motions(sheets: &[Drawing]) -> Vec<(usize, Vec<LineRole>)> {
    fn gather(items: &[Item], into: &mut Vec<(usize, Vec<LineRole>)>) {
        for item in items {
            let Item::Group(Group { id, items, .. }) = item else { continue };
            if let Some(number) = id.strip_prefix("move-") {
                let role = |i: &Item| match i {
                    Item::Line { role, .. } => *role,
                    other => panic!("{other:?} in a motion"),
                };
                into.push((number.parse().unwrap(), items.iter().map(role).collect()));
            } else {
                gather(items, into);
            }
        }
    }
    let mut found = Vec::new();
    sheets.iter().for_each(|sheet| gather(&sheet.items, &mut found));
    found
}

fn texts(sheets: &[Drawing]) -> String {
    fn gather(items: &[Item], into: &mut Vec<String>) {
        for item in items {
            match item {
                Item::Text(text) => into.push(text.content.clone()),
                Item::Group(group) => gather(&group.items, into),
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    sheets.iter().for_each(|sheet| gather(&sheet.items, &mut found));
    found.join(" ")
}

/// Motion blocks of a program, read by their G words alone: whether each is rapid.
fn blocks(text: &str) -> Vec<bool> {
    let mut kinds = Vec::new();
    for line in text.lines().filter(|l| l.starts_with('N')) {
        match line.split_whitespace().nth(1) {
            Some("G0") => kinds.push(true),
            Some("G1" | "G2" | "G3") => kinds.push(false),
            _ => {}
        }
    }
    kinds
}

#[test]
fn every_motion_of_a_turning_program_is_drawn_as_what_it_is() {
    let (rules, job) = demo();
    let all = courses(&job);
    let dossier = Dossier::of(job, &rules).unwrap();
    let turned: Vec<&Course> = all.iter().filter(|c| c.file.contains("set-up")).collect();
    assert_eq!(turned.len(), 2);
    for course in turned {
        let kinds = blocks(&course.text);
        let drawn = motions(&sheets(&dossier, course, ON_PAPER).unwrap());
        let numbers: BTreeSet<usize> = drawn.iter().map(|(n, _)| *n).collect();
        // the first two come from wherever the tool stands, and have no beginning
        assert_eq!(numbers, (3..=kinds.len()).collect(), "{}", course.file);
        for (number, roles) in drawn {
            let dashed = roles.iter().all(|r| *r == LineRole::Hidden);
            let narrow = roles.iter().all(|r| *r == LineRole::Fine);
            assert!(if kinds[number - 1] { dashed } else { narrow }, "{}: motion {number}", course.file);
        }
    }
}

#[test]
fn a_groove_program_shows_each_way_to_cut_one_and_names_all_grooves() {
    let (rules, job) = demo();
    let all = courses(&job);
    let dossier = Dossier::of(job, &rules).unwrap();
    let grooved: Vec<&Course> = all.iter().filter(|c| c.file.contains("grooves")).collect();
    assert!(!grooved.is_empty());
    for course in grooved {
        let made = sheets(&dossier, course, ON_PAPER).unwrap();
        let said = texts(&made);
        assert!(said.contains("So are cut: grooves 1 to "), "{said}");
        assert!(motions(&made).len() >= 4);
    }
}

#[test]
fn the_sheet_is_drawn_from_the_text() {
    let (rules, job) = demo();
    let course = courses(&job).remove(0);
    let dossier = Dossier::of(job, &rules).unwrap();
    let before = sheets(&dossier, &course, ON_PAPER).unwrap();
    // the same program with one cut less far, and one rapid move made a cut
    let at = course.text.rfind("G0 ").unwrap();
    let altered = format!("{}G1 {}", &course.text[..at], &course.text[at + 3..]);
    let after = sheets(&dossier, &Course { text: altered, ..course.clone() }, ON_PAPER).unwrap();
    assert_ne!(motions(&before), motions(&after));
    assert!(
        sheets(&dossier, &Course { text: String::from("N10 G77 X1"), ..course }, ON_PAPER).is_err(),
        "what cannot be read back has no picture"
    );
}

#[test]
fn the_sheet_says_what_every_paper_says() {
    let (rules, job) = demo();
    let (all, print) = (courses(&job), job.fingerprint().full().to_owned());
    let dossier = Dossier::of(job, &rules).unwrap();
    for course in &all {
        let made = sheets(&dossier, course, ON_PAPER).unwrap();
        for sheet in &made {
            assert_eq!(sheet.about.fingerprint, print);
            let said = texts(std::slice::from_ref(sheet));
            for words in ["1042-B", &print[..8], "UNAPPROVED", "CAUTION.", "page "] {
                assert!(said.contains(words), "{words}: {said}");
            }
        }
        assert!(texts(&made).contains(&course.sha256[..16]));
    }
}

#[test]
fn numbers_on_the_picture_are_those_of_the_table() {
    let (rules, job) = demo();
    let all = courses(&job);
    let dossier = Dossier::of(job, &rules).unwrap();
    assert_eq!(all[0].control, Controls::built_in().unwrap().turning);
    for course in &all {
        let said = texts(&sheets(&dossier, course, ON_PAPER).unwrap());
        let words: Vec<&str> = said.split(' ').collect();
        let count = |number: usize| words.iter().filter(|w| **w == number.to_string()).count();
        // once in a circle and once in the table
        assert!(count(1) >= 2 && count(2) >= 2, "{}", course.file);
    }
}
