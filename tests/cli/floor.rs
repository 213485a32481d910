//! Orders that once gave a shop wrong machine files, each cut by its command line: the right files now, or a refusal with its words.

use super::{Run, run, run_in};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn case(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/machine").join(format!("{name}.json"))
}

/// What a command line makes of an order: the run, and the files by name.
fn cut(order: &Path, more: &[&str]) -> (Run, BTreeMap<String, String>) {
    let folder: TempDir = tempfile::tempdir().unwrap();
    let order = order.display().to_string();
    let ran = run_in(folder.path(), &[&["cut", &order, "-o", "machine", "--unapproved"][..], more].concat());
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(folder.path().join("machine")).into_iter().flatten() {
        let path = entry.unwrap().path();
        let bytes = fs::read(&path).unwrap();
        files.insert(
            path.file_name().unwrap().to_string_lossy().into_owned(),
            String::from_utf8_lossy(&bytes).into_owned(),
        );
    }
    (ran, files)
}

/// Cut without a complaint: every file whose name begins so is there.
fn makes(name: &str, more: &[&str], wanted: &[&str]) -> BTreeMap<String, String> {
    let (ran, files) = cut(&case(name), more);
    assert_eq!(ran.code, 0, "{name} {more:?}: {}", ran.err);
    let stem = files.keys().next().and_then(|n| n.find("-A-").map(|at| n[..at + 3].to_owned())).unwrap_or_default();
    for want in wanted {
        assert!(
            files.keys().any(|n| n.starts_with(&format!("{stem}{want}"))),
            "{name} {more:?}: {want} in {:?}",
            files.keys()
        );
    }
    files
}

/// Refused with this exit code and all of these words, and nothing written.
fn refuses(name: &str, more: &[&str], code: i32, words: &[&str]) {
    let (ran, files) = cut(&case(name), more);
    assert_eq!(ran.code, code, "{name} {more:?}: {}", ran.err);
    assert!(files.is_empty(), "{name}: {:?}", files.keys());
    for word in words {
        assert!(ran.err.contains(word), "{name} {more:?}: {word} in {}", ran.err);
    }
}

/// Words of a motion block.
fn words(line: &str) -> BTreeMap<char, f64> {
    line.split_whitespace().filter_map(|w| Some((w.chars().next()?, w.get(1..)?.parse().ok()?))).collect()
}

/// Radius of the blank that these orders are cut from and its excess thickness, and radius and half width of the disc, mm.
fn stone(name: &str) -> (f64, f64, f64, f64) {
    let order: Value = serde_json::from_slice(&fs::read(case(name)).unwrap()).unwrap();
    let number = |at: &str| order.pointer(at).and_then(Value::as_f64).unwrap();
    let above = number("/blank/thickness") - number("/wheel/thickness");
    let half = |at: &str| number(at) / 2.0;
    (
        half("/blank/outside_diameter"),
        above,
        half("/tooling/groove_cutter_diameter"),
        half("/tooling/groove_cutter_width"),
    )
}

/// Whatever the disc does at rapid, its rim stays half a millimetre off the blank; in the plane of the groove, by its circle alone.
#[test]
fn a_disc_never_enters_the_stone_at_rapid() {
    for name in [
        "side-thinner-outwards",
        "side-thinner-outwards-under-a-large-disc",
        "wide-grooves-skewed-by-40-degrees",
        "wide-grooves-skewed-by-30-degrees",
    ] {
        let files = makes(name, &["--nc"], &["grooves-side-a-cutter-", "index-side-a"]);
        let (_, text) = files.iter().find(|(n, _)| n.contains("grooves-side-a") && n.ends_with(".nc")).unwrap();
        let (outer, above, disc, half) = stone(name);
        let (mut at, mut rapid) = (BTreeMap::from([('X', f64::NAN), ('Y', 0.0), ('Z', f64::NAN)]), 0);
        for line in text.lines().filter(|l| l.contains("G0 ") || l.contains("G1 ")) {
            let before = at.clone();
            at.extend(words(line).into_iter().filter(|(c, _)| "XYZ".contains(*c)));
            if !line.contains("G0 ") || before.values().any(|v| v.is_nan()) {
                continue;
            }
            rapid += 1;
            // straight beside the rim, or straight above the side: never both beside and below
            for i in 0..=20 {
                let place = |c: char| before[&c] + (at[&c] - before[&c]) * f64::from(i) / 20.0;
                let (x, low) = (place('X'), place('Z'));
                let aside = (place('Y').abs() - half).max(0.0);
                let rim = (outer * outer - aside * aside).max(0.0).sqrt();
                let (beside, over) = ((x - rim).max(0.0), (low + disc - above).max(0.0));
                let clear = if x > rim { beside.hypot(over) - disc } else { low - above };
                assert!(clear > 0.49, "{name}: {line}: {clear} mm");
            }
        }
        assert!(rapid > 20, "{name}");
    }
}

#[test]
fn a_profile_program_turns_from_the_blank_and_its_compensated_path_holds_short_turns() {
    let order = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/1042.json");
    let (ran, files) = cut(&order, &["--nc"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let programs: Vec<&String> =
        files.iter().filter(|(n, _)| n.contains("-set-up-") && n.ends_with(".nc")).map(|(_, t)| t).collect();
    assert_eq!(programs.len(), 2);
    for text in programs {
        // between two stretches of cutting the tool goes home in front of the stone before it moves quickly
        let motions: Vec<&str> = text.lines().filter(|l| l.contains(" G0 ") || l.contains(" G1 ")).collect();
        let rapids = motions.iter().filter(|l| l.contains(" G0 ")).count();
        assert!(rapids * 5 < motions.len(), "{rapids} of {}", motions.len());
    }
    let (ran, files) = cut(&order, &["--compensate", "0.4 mm"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(files.keys().any(|n| n.starts_with("1042-B-profile-nose-0.4")), "{:?}", files.keys());
}

#[test]
fn a_taper_however_shallow_has_a_compensated_path() {
    for angle in ["0.25", "0.5", "0.7", "0.75", "1"] {
        makes(&format!("taper-of-{angle}-degrees"), &["--compensate", "0.8 mm"], &["profile-nose-0.8"]);
    }
    makes("taper-of-0.5-degrees-with-a-diamond", &["--compensate", "0.8 mm"], &["profile-nose-0.8"]);
}

#[test]
fn the_nose_that_is_judged_is_the_one_of_the_command_line() {
    let fillet = "the fillet of step 1 of the recess on side A";
    let sharp = "fillet-of-half-a-millimetre-and-a-sharp-diamond";
    refuses(sharp, &["--compensate", "6 mm"], 2, &["6 mm", fillet, "mm is left", "The largest nose that fits: 0.5 mm"]);
    refuses(
        "fillet-of-two-millimetres",
        &["--compensate", "40 mm"],
        2,
        &[fillet, "mm is left", "The largest nose that fits: 2 mm"],
    );
    refuses("fillet-of-a-twentieth", &["--compensate", "0.1"], 2, &[fillet, "The largest nose that fits: 0.05 mm"]);
    let blunt = "fillet-smaller-than-the-diamond-of-the-order";
    makes(blunt, &["--compensate", "0.3"], &["profile-nose-0.3"]);
    refuses(blunt, &["--nc"], 1, &["A nose radius of 0.8 mm does not reach", fillet, "0.124 mm is left"]);
}

#[test]
fn an_index_step_coarser_than_the_pitch_is_a_stop_with_what_fits() {
    let words = ["grooves would be cut twice in one place", "A step of 2.5°", "at most 72 grooves"];
    refuses("index-step-coarser-than-the-pitch", &[], 1, &words);
}

#[test]
fn index_table_and_program_set_the_same_angles() {
    let files = makes("skewed-side-b-on-a-stepping-head", &["--nc"], &["index-side-b", "grooves-side-b-cutter-2"]);
    let of = |ending: &str| {
        files.iter().find(|(n, _)| n.contains("side-b") && n.ends_with(ending) && !n.contains("set-up")).unwrap().1
    };
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(of(".csv").as_bytes());
    let heads: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    let column = |name: &str| heads.iter().position(|h| h == name).unwrap();
    let (groove, set) = (column("groove"), column("head_set_deg"));
    let table: BTreeMap<u32, f64> =
        reader.records().map(|r| r.unwrap()).map(|r| (r[groove].parse().unwrap(), r[set].parse().unwrap())).collect();
    let (mut of_groove, mut compared) = (0, 0);
    for line in of(".nc").lines() {
        if let Some(k) =
            line.strip_prefix("(GROOVE ").and_then(|rest| rest.strip_suffix(')')).and_then(|k| k.parse().ok())
        {
            of_groove = k;
        }
        if let Some(c) = words(line).get(&'C').filter(|_| of_groove > 0 && line.contains("G0 ")) {
            let off = (c - table[&of_groove] + 180.0).rem_euclid(360.0) - 180.0;
            assert!(off.abs() < 2e-6, "groove {of_groove}: {off} deg");
            compared += 1;
        }
    }
    assert_eq!((compared, table.len()), (127, 127));
}

#[test]
fn every_pass_in_a_wide_round_bottom_takes_something() {
    let files = makes("wide-round-bottom-under-a-narrow-disc", &["--nc"], &["grooves-side-a-cutter-3"]);
    let (_, text) = files.iter().find(|(n, _)| n.contains("grooves-side-a") && n.ends_with(".nc")).unwrap();
    let (mut depth, mut cuts) = (f64::NAN, Vec::new());
    for line in text.lines().filter(|l| l.contains("G0 ") || l.contains("G1 ")) {
        depth = words(line).get(&'Z').copied().unwrap_or(depth);
        if line.contains("G1 ") && line.contains('X') {
            cuts.push(depth);
        }
    }
    assert!(cuts.len() >= 24 * 3 && cuts.iter().all(|z| *z < -0.01), "{cuts:?}");
}

#[test]
fn sizes_no_tool_has_are_refused_before_anything_is_made() {
    refuses(
        "disc-of-a-hundredth-of-a-micrometre",
        &["--nc"],
        2,
        &["groove_cutter_width", "less than any tool can cut"],
    );
    refuses(
        "disc-of-a-micrometre",
        &["--nc"],
        2,
        &["would take 400140 passes", "at most 100000", "the disc that is used"],
    );
    refuses("grooves-of-no-width", &[], 2, &["`width`", "less than any tool can cut"]);
    refuses("fillet-of-no-radius", &[], 2, &["`fillet_radius`", "less than any tool can cut"]);
    for (name, side) in
        [("grooves-of-a-ten-thousandth-of-an-inch", 'A'), ("grooves-of-a-ten-thousandth-of-an-inch-on-side-b", 'B')]
    {
        refuses(
            name,
            &[],
            1,
            &[&format!("The grooves of side {side} are 0.0001 in wide; no machine file holds any narrower")],
        );
        let checked = run(&["check", &case(name).display().to_string()]);
        assert!(checked.code == 1 && checked.out.contains("no machine file holds any narrower"), "{}", checked.out);
    }
    refuses("side-thinner-outwards", &["--nc", "--depth-per-pass", "1e-9"], 2, &["--depth-per-pass", "at most"]);
    makes("vee-deeper-than-its-groove", &[], &["grooves-side-a", "index-side-a"]);
}
