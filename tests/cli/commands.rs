//! The commands that need no other room: new, schema, completions, manual, properties, grooves.

use super::{run, run_in, run_with};
use serde_json::Value;
use std::f64::consts::PI;
use std::fs;
use std::path::Path;
use wheeldraft::order::TEMPLATES;

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}: {text}"))
}

#[test]
fn new_lists_and_prints_every_template() {
    let list = run(&["new", "--list"]);
    assert_eq!((list.code, list.err.as_str()), (0, ""));
    let as_json = json(&run(&["new", "--list", "--format", "json"]).out);
    for (i, t) in TEMPLATES.iter().enumerate() {
        assert!(list.out.contains(t.name) && list.out.contains(t.about));
        assert_eq!(as_json["templates"][i]["name"], t.name);
        let printed = run(&["new", t.name]);
        assert_eq!((printed.code, printed.out.as_str()), (0, t.text));
        assert!(printed.err.contains("wheeldraft check"), "guidance goes to stderr");
        assert_eq!(run(&["new", t.name, "-q"]).err, "");
        // what `new` prints, every command reads
        assert_eq!(run_with(&printed.out, &["properties", "-"]).code, 0, "{}", t.name);
    }
}

#[test]
fn new_never_overwrites() {
    let folder = tempfile::tempdir().unwrap();
    let first = run_in(folder.path(), &["new", "straight", "-o", "a/b/1.json"]);
    assert_eq!((first.code, first.out.as_str()), (0, ""));
    let file = folder.path().join("a/b/1.json");
    assert_eq!(fs::read_to_string(&file).unwrap(), TEMPLATES[0].text);
    let second = run_in(folder.path(), &["new", "face-grooved", "-o", "a/b/1.json"]);
    assert_eq!(second.code, 2);
    assert!(second.err.contains("a/b/1.json: it exists already"), "{}", second.err);
    assert_eq!(fs::read_to_string(&file).unwrap(), TEMPLATES[0].text);
}

#[test]
fn new_starts_from_a_file_of_the_shops_own() {
    let folder = tempfile::tempdir().unwrap();
    let own = TEMPLATES[1].text.replace("Customer's name", "Usual customer");
    fs::write(folder.path().join("usual.json"), &own).unwrap();
    assert_eq!(run_in(folder.path(), &["new", "usual.json"]).out, own);
    fs::write(folder.path().join("broken.json"), "{").unwrap();
    assert_eq!(run_in(folder.path(), &["new", "broken.json"]).code, 2);
}

#[test]
fn new_offers_the_nearest_template() {
    let wrong = run(&["new", "strait"]);
    assert_eq!((wrong.code, wrong.out.as_str()), (2, ""));
    assert!(wrong.err.contains("did you mean straight?"), "{}", wrong.err);
}

#[test]
fn schema_is_json_schema() {
    let run = run(&["schema"]);
    assert_eq!(run.code, 0);
    assert_eq!(json(&run.out), *wheeldraft::order::schema());
}

#[test]
fn completions_and_manual_know_every_command() {
    let help = run(&["--help"]).out;
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|l| *l != "Commands:")
        .skip(1)
        .take_while(|l| !l.is_empty())
        // further lines of a description stand further in
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
        .filter_map(|l| l.split_whitespace().next())
        .filter(|c| *c != "help")
        .collect();
    assert!(commands.len() >= 6, "{commands:?}");
    let manual = run(&["manual"]).out;
    assert!(manual.starts_with(".ie") || manual.contains(".TH wheeldraft 1"), "{}", &manual[..80]);
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = run(&["completions", shell]);
        assert_eq!(script.code, 0);
        for command in &commands {
            assert!(script.out.contains(command), "{shell} does not complete {command}");
        }
    }
    for command in &commands {
        assert!(
            manual.contains(&format!(".SH \"COMMAND {}\"", command.to_uppercase())),
            "{command} is not in the manual"
        );
        let own = run(&["help", command]);
        assert_eq!(own.code, 0);
        assert!(own.out.contains(&format!("wheeldraft {command}")), "{command}");
        assert!(own.out.contains("Example"), "the help of {command} carries no example");
    }
}

#[test]
fn properties_prints_the_keys_of_the_order_format() {
    let run = run(&["properties", "demo-data/1042.json", "--format", "json"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let keys: Vec<String> = json(&run.out).as_object().unwrap().keys().cloned().collect();
    assert_eq!(keys, ["format", "fingerprint", "section", "plain", "wheel", "grooves"]);
    let value = json(&run.out);
    assert_eq!(value["format"], 1);
    assert_eq!(value["fingerprint"].as_str().unwrap().len(), 64);
    for key in [
        "/section/area",
        "/section/centroid_r",
        "/section/centroid_z",
        "/plain/volume",
        "/plain/centroid_z",
        "/wheel/volume",
        "/wheel/groove_volume",
        "/wheel/centroid_z",
        "/wheel/static_moment",
        "/wheel/polar_moment",
        "/wheel/transverse_moment",
        "/wheel/mass",
        "/wheel/polar_inertia",
        "/wheel/transverse_inertia",
        "/wheel/unbalance",
        "/grooves/side_a/count",
        "/grooves/side_b/pitch_deg",
        "/grooves/face/volume_each",
        "/grooves/side_a/land_outer",
        "/grooves/side_a/land_inner",
        "/grooves/face/land_share",
    ] {
        assert!(value.pointer(key).is_some_and(Value::is_number), "{key}");
    }
}

/// Without a density masses are null; without grooves the groove sets are.
#[test]
fn properties_says_what_it_does_not_know() {
    let run = run(&["properties", "demo-data/1048.json", "--format", "json"]);
    let value = json(&run.out);
    for key in [
        "/wheel/mass",
        "/wheel/polar_inertia",
        "/wheel/unbalance",
        "/grooves/side_a",
        "/grooves/side_b",
        "/grooves/face",
    ] {
        assert!(value.pointer(key).is_some_and(Value::is_null), "{key}");
    }
    let text = super::run(&["properties", "demo-data/1048.json"]);
    assert!(text.out.contains("no density") && text.err.contains("No density"), "{}", text.out);
}

/// Numbers of the ring 400 × 50 × 127 (trade facts, calc): the text shows them rounded half away from zero, with inches only for inch orders.
#[test]
fn properties_as_text_is_for_people() {
    let order = r#"{"order": {"number": "1", "revision": "A"}, "units": "mm", "blank": {"density": "2.20 g/cm3"},
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127}}"#;
    let text = run_with(order, &["properties", "-"]).out;
    let row = |label: &str, nth: usize| {
        let line = text
            .lines()
            .filter(|l| l.trim_start().starts_with(label))
            .nth(nth)
            .unwrap_or_else(|| panic!("{label} in {text}"));
        line.trim_start().trim_start_matches(label).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert_eq!(row("area", 0), "6825.000 mm²");
    assert_eq!(row("volume", 0), "5 649 801.0 mm³");
    assert_eq!(row("mass", 0), "12.430 kg");
    assert_eq!(row("inertia about the axis", 0), "0.27365 kg·m²");
    assert_eq!(row("unbalance", 0), "0.0 g·mm");
    assert!(text.starts_with("Order 1-A · fingerprint "), "{text}");
    let inches = run(&["properties", "demo-data/1042.json"]).out;
    assert!(inches.contains(" in²") && inches.contains(" lb"), "{inches}");
}

/// 180 grooves at 2° (trade facts, calc): pitch at Ø400 6.98132 along the arc, 3 mm grooves merge inside Ø171.896, land at Ø400 57.03 % of the pitch.
#[test]
fn grooves_answers_from_the_pitch_and_from_the_count() {
    let base =
        ["grooves", "--outside-diameter", "400", "--inner-diameter", "200mm", "--width", "3 mm", "--format", "json"];
    let ask = |more: &[&str]| json(&run(&[&base, more].concat()).out);
    let by_pitch = ask(&["--pitch", "2"]);
    assert_eq!(by_pitch, ask(&["--count", "180"]));
    assert_eq!(by_pitch, ask(&["--pitch", "2°", "--count", "180"]));
    let number = |key: &str| by_pitch[key].as_f64().unwrap();
    assert_eq!((number("count"), number("pitch_deg")), (180.0, 2.0));
    assert!((number("merge_diameter_mm") - 171.896).abs() < 5e-4);
    assert!((number("land_outer_mm") / 6.98132 - 0.5703).abs() < 5e-5);
    // 2πr/n − 2r·asin(w/2r)
    let land = |r: f64| 2.0 * PI * r / 180.0 - 2.0 * r * (1.5 / r).asin();
    assert!((number("land_outer_mm") - land(200.0)).abs() < 1e-12);
    assert!((number("land_inner_mm") - land(100.0)).abs() < 1e-12);
    // the groove's strip of the disc less its square end: S(R) − a·w
    let strip = 200.0_f64.powi(2) * (1.5_f64 / 200.0).asin() + 1.5 * (200.0_f64.powi(2) - 1.5_f64.powi(2)).sqrt();
    let share = 1.0 - 180.0 * (strip - 100.0 * 3.0) / (PI * (200.0_f64.powi(2) - 100.0_f64.powi(2)));
    assert!((number("land_share") - share).abs() < 1e-10, "{} {share}", number("land_share"));
    assert_eq!(by_pitch["nearest"], Value::Array(Vec::new()));
}

#[test]
fn grooves_in_inches_are_the_properties_of_an_order_in_inches() {
    let asked = json(
        &run(&[
            "grooves",
            "--outside-diameter",
            "26in",
            "--inner-diameter",
            "17in",
            "--width",
            "0.06in",
            "--pitch",
            "2",
            "--format",
            "json",
        ])
        .out,
    );
    let order = r#"{"order": {"number": "1", "revision": "A"}, "units": "in", "wheel": {"outside_diameter": 26, "thickness": 2, "bore": 8,
        "side_a": {"grooves": {"pitch_deg": 2, "width": 0.06, "depth": 0.1, "inner_diameter": 17}}}}"#;
    let numbers = json(&run_with(order, &["properties", "-", "--format", "json"]).out);
    let set = &numbers["grooves"]["side_a"];
    for (ours, theirs) in
        [("land_outer_mm", "land_outer"), ("land_inner_mm", "land_inner"), ("land_share", "land_share")]
    {
        assert_eq!(asked[ours], set[theirs], "{ours}");
    }
}

#[test]
fn a_pitch_that_does_not_divide_the_circle_gets_the_counts_either_side() {
    let arguments =
        ["grooves", "--outside-diameter", "26in", "--inner-diameter", "17in", "--width", "0.06in", "--pitch", "7"];
    let asked = run(&[&arguments[..], &["--format", "json"]].concat());
    assert_eq!(asked.code, 1);
    let value = json(&asked.out);
    assert_eq!(value["nearest"][0]["count"], 51);
    assert_eq!(value["nearest"][1]["count"], 52);
    assert!((value["nearest"][0]["pitch_deg"].as_f64().unwrap() - 360.0 / 51.0).abs() < 1e-12);
    assert_eq!(value["count"], Value::Null);
    assert_eq!(value["pitch_deg"], 7.0);
    let text = run(&arguments);
    assert_eq!(text.code, 1);
    assert!(text.out.starts_with("A pitch of 7° does not divide the circle; nearest are:"), "{}", text.out);
}

/// Inside the merging diameter nothing is left: the land there is 0, and the share counts overlaps once.
#[test]
fn grooves_that_run_into_each_other_are_said_to() {
    let arguments =
        ["grooves", "--outside-diameter", "400", "--inner-diameter", "100", "--width", "3", "--count", "180"];
    let value = json(&run(&[&arguments[..], &["--format", "json"]].concat()).out);
    assert_eq!(value["land_inner_mm"], 0.0);
    // ∫ of the land along r from the merging radius outwards, over the ring: 2r·(π − n·asin(w/2r)) dr, by Simpson's rule
    let (inner, merge, outer) = (50.0_f64, 3.0 / (PI / 180.0).sin() / 2.0, 200.0_f64);
    let free = |r: f64| 2.0 * r * (PI - 180.0 * (1.5 / r).asin());
    let n = 20_000;
    let h = (outer - merge) / f64::from(n);
    let simpson: f64 = (0..=n)
        .map(|i| {
            let weight = if i == 0 || i == n {
                1.0
            } else if i % 2 == 1 {
                4.0
            } else {
                2.0
            };
            weight * free(merge + f64::from(i) * h)
        })
        .sum::<f64>()
        * h
        / 3.0;
    // square ends of neighbours leave small triangles of land just outside the inner diameter, where they have not merged yet
    let share = simpson / (PI * (outer * outer - inner * inner));
    let got = value["land_share"].as_f64().unwrap();
    assert!(got >= share - 1e-9 && got - share < 1e-3, "{got} {share}");
    assert!(run(&arguments).out.contains("run into each other before they reach the inner diameter"));
}

#[test]
fn wrong_questions_about_grooves_are_refused() {
    for (arguments, says) in [
        (
            vec!["--outside-diameter", "400", "--inner-diameter", "400", "--width", "3", "--count", "9"],
            "is not smaller than",
        ),
        (
            vec![
                "--outside-diameter",
                "400",
                "--inner-diameter",
                "200",
                "--width",
                "3",
                "--count",
                "9",
                "--pitch",
                "2",
            ],
            "disagree",
        ),
        (vec!["--outside-diameter", "400", "--inner-diameter", "200", "--width", "3"], "--pitch"),
        (
            vec!["--outside-diameter", "four", "--inner-diameter", "200", "--width", "3", "--count", "9"],
            "`four` is no length",
        ),
        (vec!["--outside-diameter", "400", "--inner-diameter", "200", "--width=-3", "--count", "9"], "above 0"),
        (vec!["--outside-diameter", "400", "--inner-diameter", "200", "--width", "3", "--pitch", "0"], "0.01 to 360"),
        (vec!["--outside-diameter", "400", "--inner-diameter", "200", "--width", "3", "--count", "0"], "1..=36000"),
    ] {
        let asked = run(&[&["grooves"][..], &arguments].concat());
        assert_eq!(asked.code, 2, "{arguments:?}");
        assert!(asked.err.contains(says) && asked.out.is_empty(), "{arguments:?}: {}", asked.err);
    }
}

#[test]
fn an_ending_without_a_format_is_refused_with_those_that_have_one() {
    let folder = tempfile::tempdir().unwrap();
    let order = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/1042.json");
    let order = order.to_str().unwrap();
    for (command, file, endings) in
        [("draw", "a.bmp", ".svg, .pdf, .png or .dxf"), ("traveller", "a.dxf", ".svg, .pdf or .png")]
    {
        let run = run_in(folder.path(), &[command, order, "-o", file]);
        assert_eq!((run.code, run.out.as_str()), (2, ""), "{}", run.err);
        assert!(run.err.contains(&format!("{file} names no format")), "{}", run.err);
        assert!(run.err.contains(&format!("end in {endings}")), "{}", run.err);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0, "nothing is written");
    }
}
