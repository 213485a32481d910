//! Programs in a dialect that differs from the built-in ones in everything a file of controls can say, and the shop's own dividing head.

use super::files::wishes;
use super::support::reference_jobs;
use crate::support::job;
use serde_json::{Value, json};
use wheeldraft::cutting::control::Controls;
use wheeldraft::cutting::index;
use wheeldraft::export::dxf::Flavour;
use wheeldraft::pack::machine::{MachineFiles, Wishes, files};
use wheeldraft::wheel::{Job, SideName};

const OTHER: &str = include_str!("../reference/controls/other.json");

fn controls() -> Controls {
    Controls::read(OTHER).unwrap()
}

fn programs(job: &Job, controls: Controls) -> MachineFiles {
    files(job, &Wishes { programs: true, controls: Some(controls), ..wishes(Flavour::R12) }).unwrap()
}

fn grooved(count: u32, helix: f64) -> Value {
    json!({"order": {"number": "D1", "revision": "A"}, "units": "mm",
        "tooling": {"profile_nose_radius": 0.8, "groove_cutter_width": 2, "groove_cutter_diameter": 150},
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127,
            "side_a": {"corner": {"radius": 3}, "grooves": {"count": count, "width": 3, "depth": 4, "inner_diameter": 240}},
            "side_b": {"taper": {"from_diameter": 220, "to_diameter": 400, "depth": 3},
                "grooves": {"count": count, "width": 3, "depth": 4, "inner_diameter": 240, "skew_deg": 12}},
            "face": {"grooves": {"count": 9, "width": 4, "depth": 3, "helix_deg": helix}}}})
}

fn text(made: &MachineFiles, part: &str) -> String {
    let file = made.files.iter().find(|f| f.name.contains(part) && f.name.ends_with(".nc")).unwrap();
    String::from_utf8(file.bytes.clone()).unwrap()
}

/// Passing here means passing the simulation, which reads the text by the same description.
#[test]
fn programs_of_another_dialect_pass_their_simulation() {
    for (name, mut job) in reference_jobs().into_iter().step_by(3) {
        job.tooling.profile_nose_radius = Some(0.1);
        let widths = SideName::BOTH.into_iter().filter_map(|s| Some(job.wheel.side(s).grooves.as_ref()?.width));
        let narrowest = widths.fold(f64::INFINITY, f64::min);
        job.tooling.groove_cutter_width.get_or_insert(if narrowest.is_finite() { narrowest } else { 0.3 });
        job.tooling.groove_cutter_diameter.get_or_insert(60.0);
        let made = programs(&job, controls());
        assert!(made.courses.len() >= 2, "{name}");
    }
}

#[test]
fn words_signs_and_numbers_are_those_of_the_dialect() {
    let made = programs(&job(&grooved(24, 0.0)), controls());
    for course in &made.courses {
        let most = if course.file.contains("set-up") { 99_999 } else { 999 };
        let blocks = course.text.lines().filter(|l| !l.starts_with(';') && !l.starts_with('%'));
        for block in blocks {
            assert!(!block.contains('.'), "{}: {block}", course.file);
            let number = block.strip_prefix('L').and_then(|rest| rest.split(' ').next()?.parse::<u32>().ok());
            assert!(number.is_none_or(|n| n <= most), "{}: {block}", course.file);
            let letters = block.split_whitespace().filter_map(|w| w.chars().next());
            assert!(letters.into_iter().all(|l| "LGMOPQUVWBE".contains(l)), "{}: {block}", course.file);
        }
    }
}

#[test]
fn a_block_that_all_grooves_share_is_written_once_and_called_by_each() {
    for (count, part) in [(24, "grooves-side-a"), (360, "grooves-side-b"), (24, "grooves-face")] {
        let short = text(&programs(&job(&grooved(count, 0.0)), controls()), part);
        let calls = short.lines().filter(|l| l.ends_with("M98 P1")).count();
        assert_eq!(calls, if part == "grooves-face" { 9 } else { count as usize }, "{part}");
        assert_eq!(short.matches("\nO1\n").count(), 1);
        let end = short.find("M2\n").unwrap();
        assert!(short.find("\nO1\n").unwrap() > end, "the block stands behind the end");
        let mut plain = controls();
        plain.grooving.repeat = None;
        let long = text(&programs(&job(&grooved(count, 0.0)), plain), part);
        assert!(
            short.lines().count() * 2 < long.lines().count(),
            "{part}: {} and {}",
            short.lines().count(),
            long.lines().count()
        );
    }
    // along a helix the dividing axis turns on in each groove: nothing is shared
    let helical = text(&programs(&job(&grooved(24, 10.0)), controls()), "grooves-face");
    assert!(!helical.contains("M98"));
}

#[test]
fn a_call_of_nothing_and_a_block_that_calls_itself_are_no_programs() {
    let made = programs(&job(&grooved(24, 0.0)), controls());
    let course = made.courses.iter().find(|c| c.file.contains("grooves-side-a")).unwrap();
    let axes = wheeldraft::simulate::axes(&course.control);
    let read = |text: &str| wheeldraft::simulate::read(text, &course.control, &axes);
    assert!(read(&course.text).is_ok());
    let circular = course.text.replace("\nM99", "\nM98 P1\nM99");
    assert!(read(&circular).unwrap_err().what.contains("calls itself"));
    let without = course.text.split("\nO1\n").next().unwrap().to_owned();
    let (all, none) = (read(&course.text).unwrap().len(), read(&without).unwrap().len());
    assert!(none < all / 2, "{none} of {all}");
}

#[test]
fn what_is_wrong_with_a_file_of_controls_is_said_with_its_place() {
    let wrong = |from: &str, to: &str| Controls::read(&OTHER.replace(from, to)).unwrap_err().to_string();
    assert!(wrong("\"end\": \"M99\"", "\"end\": \"O1\"").contains("three different texts"));
    assert!(wrong("\"ratio\": 90", "\"ratio\": 0").contains("a ratio of 1 to 1000"));
    assert!(wrong("[24, 25, 28]", "[24, 0]").contains("circles of 1 to 1000 holes"));
}

/// By hand: 90 turns of the crank for one of the wheel. 24 places: 3 turns and 18 of 24 holes. 127 places: no circle of these holds them.
#[test]
fn the_shops_dividing_head_steps_exactly_or_says_by_how_much_not() {
    let head = controls().head;
    let table = |count: u32| index::side(&job(&grooved(count, 0.0)), SideName::A, &head).unwrap();
    let said = |count: u32| table(count).about.join("\n");
    assert!(
        said(24).contains(
            "Dividing head 90:1, plate I, circle of 24 holes: 3 turns and 18 holes from place to place, exact"
        ),
        "{}",
        said(24)
    );
    assert!(said(127).contains("not exact: at most 0."), "{}", said(127));
    let made = table(127);
    let column = |name: &str| made.head.iter().position(|h| *h == name).unwrap();
    let [circle, turns, holes, error] = ["circle", "turns", "holes", "hole_error_deg"].map(column);
    for (k, row) in made.rows.iter().enumerate() {
        let value = |i: usize| row[i].parse::<f64>().unwrap();
        let stands = (value(turns) + value(holes) / value(circle)) * 360.0 / 90.0;
        let place = k as f64 * 360.0 / 127.0;
        assert!((stands - place - value(error)).abs() < 1e-6, "groove {}: {stands} for {place}", k + 1);
        assert!(value(error).abs() <= 360.0 / 90.0 / value(circle) / 2.0 + 1e-6);
    }
    let few = Controls::read(&OTHER.replace("\"ratio\": 90", "\"ratio\": 1")).unwrap().head;
    let coarse = index::side(&job(&grooved(180, 0.0)), SideName::A, &few).unwrap().about.join("\n");
    assert!(coarse.contains("too coarse, two grooves would be cut in one place; at most"), "{coarse}");
}
