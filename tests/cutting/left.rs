//! What a tool leaves is one sentence: `check`, the machine files, the programs and their sheets say the same, and what one refuses the other refuses.

use super::files::wishes;
use super::support::reference_jobs;
use crate::support::{job, random_orders};
use serde_json::{Value, json};
use wheeldraft::course::{ON_PAPER, sheets};
use wheeldraft::cutting::CuttingError;
use wheeldraft::dossier::Dossier;
use wheeldraft::drawing::Item;
use wheeldraft::export::dxf::Flavour;
use wheeldraft::language::Language;
use wheeldraft::pack::machine::{MachineError, Wishes, files};
use wheeldraft::quantity::Written;
use wheeldraft::rules::{self, Severity, ShopRules};
use wheeldraft::wheel::Job;

/// Orders of the repository, each with tools: their own, or those that the number picks.
fn jobs() -> Vec<(String, Job)> {
    let tooling = |order: &mut Value, n: usize| {
        let pick = |from: &[f64], by: usize| from[(n / by + n) % from.len()];
        order["tooling"]["profile_nose_radius"] = json!(format!("{} mm", pick(&[0.1, 0.4, 0.8, 2.0], 1)));
        order["tooling"]["groove_cutter_width"] = json!(format!("{} mm", pick(&[0.5, 1.0, 1.6, 3.0], 3)));
        order["tooling"]["groove_cutter_diameter"] = json!(format!("{} mm", pick(&[20.0, 60.0, 150.0, 300.0], 5)));
    };
    let mut found = Vec::new();
    for seed in 0..60 {
        let mut order = random_orders::order(seed as u64);
        tooling(&mut order, seed);
        found.push((format!("random {seed}"), job(&order)));
    }
    for (n, (name, mut job)) in reference_jobs().into_iter().enumerate() {
        job.tooling.profile_nose_radius = Some([0.1, 0.4, 1.0][n % 3]);
        job.tooling.groove_cutter_width = Some([0.5, 1.0, 2.0][n % 3]);
        job.tooling.groove_cutter_diameter = Some([60.0, 150.0][n % 2]);
        found.push((name, job));
    }
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/machine");
    let mut paths: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        let order: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        if let Ok(order) = serde_json::from_value(order)
            && let Ok(job) = wheeldraft::wheel::resolve(&order, &ShopRules::built_in().usual_sizes())
        {
            found.push((path.file_stem().unwrap().to_string_lossy().into_owned(), job));
        }
    }
    found
}

/// Letters and digits alone: what capitals, brackets and line ends change is not the sentence.
fn bare(text: &str) -> String {
    text.chars().filter(|c| c.is_ascii_alphanumeric()).map(|c| c.to_ascii_uppercase()).collect()
}

fn texts(items: &[Item], into: &mut String) {
    for item in items {
        match item {
            Item::Text(text) => into.push_str(&text.content),
            Item::Group(group) => texts(&group.items, into),
            _ => {}
        }
    }
}

#[test]
fn check_and_cut_say_the_same_of_what_a_tool_leaves() {
    let shop = ShopRules::built_in();
    let (mut refused, mut left, mut on_programs) = (0, 0, 0);
    for (name, job) in jobs() {
        let outcome = rules::check(&job, &shop);
        let words = |l: &wheeldraft::reach::Left| l.words(&Written::plain_in(job.units), Language::En);
        let said = |severity: Severity, what: &str| outcome.of(severity).any(|f| f.message == what);
        let made = files(&job, &Wishes { programs: true, ..wishes(Flavour::R12) });
        for one in &outcome.left {
            let severity = if one.refuses() { Severity::Stop } else { Severity::Note };
            assert!(said(severity, &words(one)), "{name}: check does not say: {}\n{:?}", words(one), outcome.findings);
        }
        let stops: Vec<String> = outcome.left.iter().filter(|l| l.refuses()).map(words).collect();
        let notes: Vec<String> = outcome.left.iter().filter(|l| !l.refuses()).map(words).collect();
        match &made {
            Err(MachineError::Cutting(CuttingError::Nose { message, .. })) => {
                assert!(stops.contains(message), "{name}: only cut says: {message}\n{stops:?}");
            }
            Err(MachineError::Cutting(CuttingError::Needs { message, .. }))
                if message.contains("does not fit into the bore") =>
            {
                assert!(stops.iter().any(|s| s.contains("finds no path")), "{name}: only cut says: {message}");
            }
            Err(MachineError::Cutting(CuttingError::Needs { .. })) => {}
            // whatever else cut refuses, check stops too
            Err(why) => assert!(outcome.of(Severity::Stop).next().is_some(), "{name}: {why}"),
            Ok(made) => {
                let heads: Vec<String> = made.courses.iter().map(|c| bare(&c.text)).collect();
                for stop in &stops {
                    assert!(made.remarks.contains(stop), "{name}: only check says: {stop}\n{:?}", made.remarks);
                }
                for note in &notes {
                    assert!(made.remarks.contains(note), "{name}: cut does not say: {note}\n{:?}", made.remarks);
                    assert!(
                        heads.iter().any(|h| h.contains(&bare(note))),
                        "{name}: no program says: {note}\n{:?}\n{:?}",
                        made.remarks,
                        made.courses.iter().map(|c| &c.file).collect::<Vec<_>>()
                    );
                    on_programs += 1;
                }
            }
        }
        refused += stops.len();
        left += notes.len();
    }
    assert!(
        refused >= 10 && left >= 40 && on_programs >= 20,
        "{refused} refused, {left} left, {on_programs} in programs"
    );
}

#[test]
fn the_sheet_of_a_program_says_what_its_tool_leaves() {
    let shop = ShopRules::built_in();
    let mut said = 0;
    for (name, job) in jobs().into_iter().filter(|(name, _)| !name.starts_with("random")).step_by(4) {
        let Ok(made) = files(&job, &Wishes { programs: true, ..wishes(Flavour::R12) }) else { continue };
        let dossier = Dossier::of(job, &shop).unwrap();
        let mut all = String::new();
        for course in &made.courses {
            sheets(&dossier, course, ON_PAPER).unwrap().iter().for_each(|sheet| texts(&sheet.items, &mut all));
        }
        let all = bare(&all);
        for one in dossier.outcome.left.iter().filter(|l| !l.refuses()) {
            let words = one.words(&Written::plain_in(dossier.job.units), Language::En);
            assert!(all.contains(&bare(&words)), "{name}: no sheet says: {words}");
            said += 1;
        }
    }
    assert!(said >= 8, "{said}");
}

/// A disc that is wider than ordered, but within the tolerance of the width, cuts the grooves in one pass.
#[test]
fn a_disc_within_the_tolerance_of_the_width_makes_the_grooves() {
    let of = |disc: f64| {
        job(&json!({"order": {"number": "W1", "revision": "A"}, "units": "mm",
            "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127,
                "side_a": {"grooves": {"count": 24, "width": 2, "depth": 4, "inner_diameter": 300}},
                "face": {"grooves": {"count": 24, "width": 2, "depth": 4}}},
            "tolerances": {"groove_width": 0.1},
            "tooling": {"profile_nose_radius": 0.8, "groove_cutter_width": disc, "groove_cutter_diameter": 150}}))
    };
    for (disc, programs) in [(2.0, 2), (2.05, 2), (2.1, 2), (2.11, 0)] {
        let made = files(&of(disc), &Wishes { programs: true, ..wishes(Flavour::R12) }).unwrap();
        let count = made.courses.iter().filter(|c| c.file.contains("grooves")).count();
        assert_eq!(count, programs, "{disc}: {:?}", made.remarks);
        let stops =
            rules::check(&of(disc), &ShopRules::built_in()).findings.iter().filter(|f| f.id == "cutter-width").count();
        assert_eq!(stops > 0, programs == 0, "{disc}");
    }
}
