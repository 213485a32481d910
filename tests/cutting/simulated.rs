//! What was simulated is handed out, and a program that would do harm never is.

use super::files::wishes;
use crate::support::{job, random_orders};
use serde_json::{Value, json};
use wheeldraft::cutting::CuttingError;
use wheeldraft::cutting::control::{Control, Controls};
use wheeldraft::cutting::nose::NosePath;
use wheeldraft::cutting::passes::{self, Cutter};
use wheeldraft::cutting::profile::Profile;
use wheeldraft::cutting::program::{self, Draft, Roughing, SetUp, Turned};
use wheeldraft::export::dxf::Flavour;
use wheeldraft::pack::machine::{MachineError, MachineFiles, Wishes, files};
use wheeldraft::simulate;
use wheeldraft::wheel::{Job, SideName};

fn programs(job: &Job, depth_per_pass: Option<f64>) -> Result<MachineFiles, MachineError> {
    files(job, &Wishes { programs: true, depth_per_pass, ..wishes(Flavour::R12) })
}

#[test]
fn random_orders_are_cut_or_refused_in_words() {
    let mut cut = 0;
    for seed in 0..60 {
        let mut order = random_orders::order(seed);
        order["tooling"]["profile_nose_radius"] = json!("0.4 mm");
        order["tooling"]["groove_cutter_diameter"] = json!("150 mm");
        order["tooling"]["groove_cutter_width"] = json!("1 mm");
        let job = job(&order);
        match programs(&job, Some(1.5)) {
            Ok(_) => cut += 1,
            Err(MachineError::Cutting(CuttingError::Needs { .. } | CuttingError::Nose { .. })) => {}
            Err(why) => panic!("seed {seed}: {why}\n{order:#}"),
        }
    }
    assert!(cut >= 40, "only {cut} were cut");
}

/// Orders whose programs were once refused or wrong, each with its depth of a pass.
#[test]
fn orders_that_were_once_refused_get_their_programs() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/programs");
    let mut count = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let case: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let made = programs(&job(&case["order"]), case["depth_per_pass"].as_f64());
        assert!(made.is_ok(), "{}: {}", path.display(), made.unwrap_err());
        count += 1;
    }
    assert!(count >= 8);
}

#[test]
fn a_compensated_path_that_is_shifted_or_of_another_nose_is_refused() {
    let features =
        json!({"side_a": {"recess": [{"diameter": 400, "depth": 8, "fillet_radius": 2}], "corner": {"radius": 3}}});
    let job = wheel(features, disc(150.0, 2.0));
    let shape = Profile::of(&job.wheel).unwrap();
    let path = NosePath::fitting(&shape, 0.8, job.units).unwrap().path;
    assert_eq!(simulate::path(&job, path.edges(), 0.8), Ok(()));
    let says =
        |edges: &[wheeldraft::geometry::Edge], nose: f64| simulate::path(&job, edges, nose).unwrap_err().to_string();
    assert!(says(path.edges(), 0.85).contains("below the finished surface"));
    assert!(says(path.edges(), 0.7).contains("of stone on side"));
    let moved = path.translated(wheeldraft::geometry::Point::new(0.05, 0.0));
    assert!(says(moved.edges(), 0.8).contains("below the finished surface"));
}

/// The wall is missed whole whichever way the path runs over it.
#[test]
fn a_wall_lower_than_the_nose_is_missed_on_either_side() {
    for side in ["side_a", "side_b"] {
        let job = wheel(json!({side: {"recess": [{"diameter": 400, "depth": 0.5}]}}), disc(150.0, 2.0));
        let refused = files(&job, &Wishes { compensate: Some(2.0), ..wishes(Flavour::R12) }).unwrap_err();
        let said = refused.to_string();
        let letter = if side == "side_a" { 'A' } else { 'B' };
        assert!(said.contains(&format!("the wall of step 1 of the recess on side {letter}")), "{said}");
        assert!(said.contains("The largest nose that fits: 0.4999 mm"), "{said}");
        files(&job, &Wishes { compensate: Some(0.4999), ..wishes(Flavour::R12) }).unwrap();
    }
}

/// A wheel of 600 × 50 × 203.2 with these features and tools, mm.
fn wheel(features: Value, tooling: Value) -> Job {
    let mut order = json!({"order": {"number": "S1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 600, "thickness": 50, "bore": 203.2},
        "blank": {"outside_diameter": 610, "thickness": 55, "bore": 152.4}, "tooling": tooling});
    for (name, value) in features.as_object().unwrap() {
        order["wheel"][name] = value.clone();
    }
    job(&order)
}

fn disc(diameter: f64, width: f64) -> Value {
    json!({"profile_nose_radius": 0.8, "groove_cutter_width": width, "groove_cutter_diameter": diameter})
}

#[test]
fn a_side_thinner_outwards_is_not_entered_at_rapid() {
    let features = json!({"side_a": {"taper": {"from_diameter": 300, "to_diameter": 600, "depth": 6},
        "grooves": {"count": 180, "width": 2, "depth": 4, "inner_diameter": 400}}});
    for diameter in [150.0, 300.0] {
        programs(&wheel(features.clone(), disc(diameter, 2.0)), None).unwrap();
    }
}

#[test]
fn a_wide_skewed_groove_is_not_entered_at_rapid() {
    for (width, skew) in [(12.0, 40.0), (10.0, 30.0)] {
        let features = json!({"side_a": {"grooves": {"count": 24, "width": width, "depth": 8, "inner_diameter": 460, "skew_deg": skew}}});
        programs(&wheel(features, disc(150.0, width)), None).unwrap();
    }
}

#[test]
fn a_round_bottom_shallower_than_half_its_width_has_no_pass_in_the_air() {
    let features = json!({"side_a": {"grooves": {"count": 24, "width": 12, "depth": 5, "inner_diameter": 400, "bottom": "round"}}});
    let job = wheel(features, disc(150.0, 3.0));
    let cutter = Cutter::of(&job, None, None).unwrap();
    let made = passes::side(&job, SideName::A, &cutter).unwrap().unwrap();
    // lanes of 3 in a half circle of radius 6 whose mouth is 2·√(36 − 1) wide
    assert!(made.passes.iter().all(|p| p.takes > 0.0));
    programs(&job, None).unwrap();
}

#[test]
fn table_and_program_set_the_same_angles_on_a_skewed_side() {
    let grooves = json!({"count": 127, "width": 2, "depth": 4, "inner_diameter": 400, "skew_deg": 7.3});
    let mut tools = disc(150.0, 2.0);
    tools["index_step_deg"] = json!(0.25);
    let made = programs(&wheel(json!({"side_b": {"grooves": grooves}}), tools), None).unwrap();
    let text = |end: &str| {
        let file = made
            .files
            .iter()
            .find(|f| f.name.contains("side-b") && f.name.contains(end) && !f.name.contains("profile"));
        String::from_utf8(file.unwrap().bytes.clone()).unwrap()
    };
    let table = text("index");
    let rows: Vec<&str> = table.lines().filter(|l| l.starts_with(|c: char| c.is_ascii_digit())).collect();
    let set: Vec<f64> = rows.iter().map(|r| r.split(',').nth(3).unwrap().parse::<f64>().unwrap()).collect();
    let program = text(".nc");
    let turned = program
        .lines()
        .filter(|l| l.starts_with('N'))
        .filter_map(|l| l.split_once(" C").map(|(_, c)| c.parse::<f64>().unwrap()));
    assert_eq!(turned.collect::<Vec<f64>>(), set);
    assert_eq!(set.len(), 127);
}

/// The program of side A's grooves and what it is judged by.
fn grooved() -> (Job, Cutter, Control, String) {
    let features = json!({"side_a": {"taper": {"from_diameter": 300, "to_diameter": 600, "depth": 6},
        "grooves": {"count": 6, "width": 3, "depth": 4, "inner_diameter": 400}}});
    let job = wheel(features, disc(150.0, 2.0));
    let cutter = Cutter::of(&job, None, Some(2.0)).unwrap();
    let control = Controls::built_in().unwrap().grooving;
    let made = passes::side(&job, SideName::A, &cutter).unwrap().unwrap();
    let draft = program::side(&job, SideName::A, (&cutter, &made), &control, &[]).unwrap().unwrap();
    let text = draft.text().to_owned();
    (job, cutter, control, text)
}

/// The number of the first word of a letter behind the first line that begins a groove, moved by as much.
fn moved(text: &str, (function, letter, nth): (&str, char, usize), by: f64) -> String {
    let mut seen = 0;
    let lines: Vec<String> = text
        .lines()
        .map(|line| {
            let Some(at) = line.find(function).and_then(|f| line[f..].find(&format!(" {letter}")).map(|l| f + l + 2))
            else {
                return line.to_owned();
            };
            seen += 1;
            if seen != nth {
                return line.to_owned();
            }
            let end = line[at..].find(' ').map_or(line.len(), |e| at + e);
            let value: f64 = line[at..end].parse().unwrap();
            format!("{}{:.4}{}", &line[..at], value + by, &line[end..])
        })
        .collect();
    assert!(seen >= nth, "there is no such word");
    lines.join("\n") + "\n"
}

#[test]
fn a_doctored_groove_program_is_refused() {
    let (job, cutter, control, text) = grooved();
    let judged = |text: &str| simulate::side(&job, Draft::of(text), &control, (SideName::A, &cutter));
    judged(&text).unwrap();
    let says = |text: &str, words: &str| {
        let why = judged(text).expect_err(words).to_string();
        assert!(why.contains(words), "{words}: {why}");
    };
    says(&moved(&text, ("G0", 'X', 2), -20.0), "moves rapidly within");
    says(&moved(&text, ("G1", 'Z', 2), -7.4), "moves rapidly within");
    says(&moved(&text, ("G1", 'Z', 3), -0.05), "below the finished surface");
    says(&moved(&text, ("G1", 'X', 2), -1.0), "below the finished surface");
    says(&moved(&text, ("G1", 'X', 2), 1.0), "could have cut");
    says(&moved(&text, ("G0", 'Y', 1), -0.05), "beside the groove's wall");
    says(&moved(&text, ("G0", 'C', 3), 0.01), "from where the order has it");
    says(&text.replacen(" F200", "", 1), "without a feed");
    says(&text.replacen("(GROOVE 4)", "", 1), "never cuts groove 4");
    says(&text.replacen("(GROOVE 4)", "(GROOVE 2)", 1), "groove");
    says(&text.replacen("N10 ", "N10010 ", 1), "line number");
    says(&text.replacen("G1 ", "G5 ", 1), "is not one of");
    says(&text.replacen("M30", "", 1), "does not end");
}

fn roughing() -> Roughing {
    Roughing::of(0.8, Some(0.8), Some(0.3)).unwrap()
}

fn turned(set_up: usize) -> (Job, Control, SetUp, String) {
    let features = json!({"side_a": {"recess": [{"diameter": 400, "depth": 10, "fillet_radius": 2}], "corner": {"radius": 3}},
        "side_b": {"taper": {"from_diameter": 300, "to_diameter": 600, "depth": 1}}});
    let job = wheel(features, disc(150.0, 2.0));
    let control = Controls::built_in().unwrap().turning;
    let shape = Profile::of(&job.wheel).unwrap();
    let nose = NosePath::of(&shape, 0.8).unwrap();
    let how = Turned { shape: &shape, nose: &nose, roughing: roughing(), control: &control };
    let set_up = program::set_ups(&control)[set_up];
    let text = program::program(&job, &how, set_up, &[]).unwrap().text().to_owned();
    (job, control, set_up, text)
}

#[test]
fn a_doctored_turning_program_is_refused() {
    for which in [0, 1] {
        let (job, control, set_up, text) = turned(which);
        let judged = |text: &str| simulate::turning(&job, Draft::of(text), &control, (set_up, 0.8, roughing()));
        judged(&text).unwrap();
        let refused = |text: &str, words: &str| {
            let why = judged(text).expect_err(words).to_string();
            assert!(why.contains(words), "{words}: {why}");
        };
        refused(&text.replace("G1 ", "G0 "), "moves rapidly within");
        let rough = text.find("ROUGHING").unwrap();
        // the second way down of roughing, half of the allowance too deep all along
        let (head, cuts) = text.split_at(rough);
        let deeper = Roughing { allowance: 0.45, ..roughing() };
        let why =
            simulate::turning(&job, Draft::of(format!("{head}{cuts}")), &control, (set_up, 0.8, deeper)).unwrap_err();
        assert!(why.to_string().contains("less than the allowance for the last pass"), "{why}");
        let last = text.rfind("FINISHED").unwrap();
        let (before, finish) = text.split_at(last);
        refused(&format!("{before}{}", moved(finish, ("G1", 'Z', 2), -0.02)), "below the finished surface");
        let without: Vec<&str> = text.lines().filter(|l| !l.contains("G3") && !l.contains("G2 ")).collect();
        if which == 0 {
            assert!(judged(&(without.join("\n") + "\n")).is_err(), "straight instead of round");
        }
        refused(&before[..before.rfind('(').unwrap()].to_owned().add_end(), "could have cut");
    }
}

trait Ended {
    fn add_end(self) -> String;
}

impl Ended for String {
    fn add_end(self) -> String {
        self + "N9990 M30\n%\n"
    }
}

#[test]
fn a_pass_depth_that_no_memory_holds_is_refused_before_any_is_taken() {
    let job = wheel(
        json!({"side_a": {"grooves": {"count": 6, "width": 3, "depth": 4, "inner_diameter": 400}}}),
        disc(150.0, 2.0),
    );
    for depth in [1e-9, 1e-6] {
        let refused = programs(&job, Some(depth)).unwrap_err();
        assert!(refused.hint().contains("--depth-per-pass"), "{refused}");
    }
    let narrow = wheel(
        json!({"side_a": {"grooves": {"count": 180, "width": 3, "depth": 4, "inner_diameter": 400}}}),
        disc(150.0, 1e-3),
    );
    let refused = files(&narrow, &Wishes { compensate: Some(0.8), ..wishes(Flavour::R12) }).unwrap_err();
    assert!(refused.hint().contains("width of the disc"), "{refused}");
}

#[test]
fn an_allowance_is_left_for_the_last_pass_and_no_more_than_a_pass_may_take() {
    let recess = json!({"side_a": {"recess": [{"diameter": 400, "depth": 8, "fillet_radius": 2}]}});
    let of = |nose: f64| wheel(recess.clone(), json!({"profile_nose_radius": nose, "profile_allowance": 0.25}));
    let made = |job: &Job, depth: Option<f64>, allowance: Option<f64>| {
        files(job, &Wishes { programs: true, depth_per_pass: depth, allowance, ..wishes(Flavour::R12) })
    };
    let said = |made: &MachineFiles| made.courses[0].text.replace(['(', ')', '\n'], " ").replace("  ", " ");
    for (depth, asked, left) in
        [(None, None, "0.25"), (Some(0.3), None, "0.25"), (None, Some(0.5), "0.5"), (Some(2.0), Some(0.002), "0.002")]
    {
        let made = made(&of(0.8), depth, asked).unwrap();
        assert!(said(&made).contains(&format!("{left} MM IS LEFT FOR THE LAST PASS")), "{}", said(&made));
    }
    // more than a pass, and deeper than the nose
    for (nose, depth, asked) in [(0.8, None, Some(0.51)), (0.8, Some(0.2), None), (0.2, Some(2.0), None)] {
        let refused = made(&of(nose), depth, asked).unwrap_err();
        assert!(refused.to_string().contains("for the last pass is more than a pass may take"), "{refused}");
        assert!(refused.hint().contains("--allowance"), "{}", refused.hint());
    }
}

#[test]
fn a_nose_larger_than_an_ordered_fillet_is_refused_with_the_largest_that_fits() {
    let steps = json!([{"diameter": 400, "depth": 10, "fillet_radius": 0.5}, {"diameter": 330, "depth": 14, "fillet_radius": 2}]);
    let job = wheel(json!({"side_a": {"recess": steps}}), json!({}));
    for (nose, fits) in [(6.0, false), (0.51, false), (0.5, true), (0.3, true)] {
        let made = files(&job, &Wishes { compensate: Some(nose), ..wishes(Flavour::R12) });
        assert_eq!(made.is_ok(), fits, "{nose}");
        if let Err(why) = made {
            let why = why.to_string();
            assert!(
                why.contains("the fillet of step 1 of the recess on side A")
                    && why.contains("largest nose that fits: 0.5 mm"),
                "{why}"
            );
        }
    }
}

#[test]
fn a_taper_of_a_few_hundredths_of_a_degree_has_a_compensated_path() {
    for angle in [0.02, 0.1, 0.25, 0.5, 0.7, 0.75, 1.0, 5.0] {
        let side = json!({"taper": {"from_diameter": 400, "to_diameter": 600, "angle_deg": angle}});
        let job = wheel(json!({"side_a": side}), json!({}));
        for flavour in super::files::FLAVOURS {
            for nose in [0.1, 0.4, 0.8, 6.0] {
                files(&job, &Wishes { compensate: Some(nose), ..wishes(flavour) })
                    .unwrap_or_else(|e| panic!("{angle} {nose}: {e}"));
            }
        }
    }
}
