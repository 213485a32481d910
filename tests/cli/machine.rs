//! `approve` and `cut`: no machine file without an approval of exactly this order, unless its name says so.

use super::{Run, run_in, run_with};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;
use tempfile::TempDir;

fn order() -> Value {
    json!({"order": {"number": "77", "revision": "C"}, "units": "mm",
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127, "side_a": {"corner": {"radius": 3}},
            "face": {"grooves": {"count": 36, "width": 3, "depth": 4}}}})
}

/// A folder with the order as `77.json`.
fn shop(order: &Value) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), order);
    folder
}

fn put(folder: &Path, order: &Value) {
    fs::write(folder.join("77.json"), serde_json::to_string_pretty(order).unwrap()).unwrap();
}

fn approve(folder: &Path) -> Run {
    run_in(
        folder,
        &[
            "approve",
            "77.json",
            "--by",
            "R. Adeyemi",
            "--date",
            "2026-03-04",
            "--open-questions",
            "settled at mounting",
        ],
    )
}

fn cut(folder: &Path, more: &[&str]) -> Run {
    run_in(folder, &[&["cut", "77.json", "-o", "machine"], more].concat())
}

/// Names in the folder of machine files, sorted; none where there is no such folder.
fn made(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder.join("machine")) else { return Vec::new() };
    let mut names: Vec<String> = entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn without_a_record_nothing_is_cut() {
    let folder = shop(&order());
    let refused = cut(folder.path(), &[]);
    assert_eq!((refused.code, refused.out.as_str()), (2, ""));
    assert!(refused.err.contains("77-C: not approved by the customer"), "{}", refused.err);
    assert!(refused.err.contains("wheeldraft approve") && refused.err.contains("--unapproved"), "{}", refused.err);
    assert!(!folder.path().join("machine").exists());
}

#[test]
fn unapproved_files_say_so_in_their_names() {
    let folder = shop(&order());
    for flavour in ["r12", "r12-joined", "2000"] {
        let ran = cut(folder.path(), &["--unapproved", "--dxf", flavour]);
        assert_eq!((ran.code, ran.out.as_str()), (0, ""), "{}", ran.err);
        assert!(ran.err.contains("not approved"), "{}", ran.err);
        let names =
            ["77-C-grooves-face-UNAPPROVED_mm.dxf", "77-C-index-face-UNAPPROVED.csv", "77-C-profile-UNAPPROVED_mm.dxf"];
        assert_eq!(made(folder.path()), names);
    }
}

#[test]
fn an_approved_order_is_cut_under_plain_names() {
    let folder = shop(&order());
    let approved = approve(folder.path());
    assert_eq!((approved.code, approved.out.as_str()), (0, ""), "{}", approved.err);
    assert!(approved.err.contains("77-C approved by R. Adeyemi on 2026-03-04"), "{}", approved.err);
    let ran = cut(folder.path(), &["--format", "json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!((&said["format"], &said["verdict"], &said["approved"]), (&json!(1), &json!("made"), &json!(true)));
    assert_eq!(made(folder.path()), ["77-C-grooves-face_mm.dxf", "77-C-index-face.csv", "77-C-profile_mm.dxf"]);
    for file in said["files"].as_array().unwrap() {
        let bytes = fs::read(folder.path().join("machine").join(file["name"].as_str().unwrap())).unwrap();
        assert_eq!(file["bytes"], bytes.len());
    }
    // an order that is approved keeps its plain names when asked to do without
    assert_eq!(cut(folder.path(), &["--unapproved"]).code, 0);
    assert!(made(folder.path()).iter().all(|name| !name.contains("UNAPPROVED")));
}

#[test]
fn a_changed_order_makes_the_approval_void() {
    let folder = shop(&order());
    approve(folder.path());
    assert_eq!(cut(folder.path(), &[]).code, 0);
    let before: Vec<Vec<u8>> =
        made(folder.path()).iter().map(|name| fs::read(folder.path().join("machine").join(name)).unwrap()).collect();
    let mut changed = order();
    changed["wheel"]["bore"] = json!(128);
    put(folder.path(), &changed);
    let refused = cut(folder.path(), &[]);
    assert_eq!((refused.code, refused.out.as_str()), (2, ""));
    for word in ["the approval of 77-C by R. Adeyemi on 2026-03-04 is void", "changed since", "bore", "127", "128"] {
        assert!(refused.err.contains(word), "{word} in {}", refused.err);
    }
    let after: Vec<Vec<u8>> =
        made(folder.path()).iter().map(|name| fs::read(folder.path().join("machine").join(name)).unwrap()).collect();
    assert_eq!(before, after, "nothing was written");
    let ran = cut(folder.path(), &["--unapproved"]);
    assert_eq!(ran.code, 0);
    assert!(ran.err.contains("do not cut from them: 77-C-grooves-face_mm.dxf"), "{}", ran.err);
    // back to what was approved
    put(folder.path(), &order());
    assert_eq!(cut(folder.path(), &[]).code, 0);
}

/// What a setter has changed is never written over; what is as it was made makes room.
#[test]
fn a_file_edited_by_hand_is_kept_under_a_numbered_name() {
    let mut order = order();
    order["tooling"] = json!({"profile_nose_radius": 0.8, "groove_cutter_width": 3, "groove_cutter_diameter": 150});
    let folder = shop(&order);
    let machine = folder.path().join("machine");
    let cut = |depth: &str| {
        let ran = cut(folder.path(), &["--unapproved", "--nc", "--depth-per-pass", depth]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.err
    };
    cut("1 mm");
    let plain = made(folder.path());
    assert!(!cut("0.5 mm").contains("kept as"), "what is as it was made is replaced");
    assert_eq!(made(folder.path()), plain);
    for (nth, depth) in ["1 mm", "0.5 mm"].into_iter().enumerate() {
        for name in &plain {
            let edited = [fs::read(machine.join(name)).unwrap(), b"(mine)".to_vec()].concat();
            fs::write(machine.join(name), edited).unwrap();
        }
        let said = cut(depth);
        for name in &plain {
            let kept = format!("{name}.set-aside-{}", nth + 1);
            assert!(said.contains(&format!("{name} was edited since it was made")) && said.contains(&kept), "{said}");
            assert!(fs::read(machine.join(&kept)).unwrap().ends_with(b"(mine)"), "{kept}");
            assert!(!fs::read(machine.join(name)).unwrap().ends_with(b"(mine)"), "{name}");
        }
    }
    // a file of somebody else, and a folder
    fs::write(machine.join(&plain[0]), "mine").unwrap();
    fs::remove_file(machine.join(&plain[1])).unwrap();
    fs::create_dir(machine.join(&plain[1])).unwrap();
    cut("1 mm");
    assert_eq!(fs::read_to_string(machine.join(format!("{}.set-aside-3", plain[0]))).unwrap(), "mine");
    assert!(machine.join(format!("{}.set-aside-3", plain[1])).is_dir());
}

/// The approval is of the wheel, not of the way it is typed.
#[test]
fn the_same_wheel_typed_otherwise_stays_approved() {
    let folder = shop(&order());
    approve(folder.path());
    let mut same = order();
    same["wheel"]["outside_diameter"] = json!("40 cm");
    same["wheel"]["bore"] = json!("5 in");
    same["wheel"]["face"]["grooves"] = json!({"pitch_deg": 10, "width": 3.0, "depth": "4 mm"});
    put(folder.path(), &same);
    let ran = cut(folder.path(), &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(made(folder.path()).iter().all(|name| !name.contains("UNAPPROVED")));
}

#[test]
fn a_stopped_order_is_neither_approved_nor_cut() {
    let mut stopped = order();
    // far below a third of the outside diameter
    stopped["mount"] = json!({"flange_diameter": 20});
    let folder = shop(&stopped);
    let refused = approve(folder.path());
    assert_eq!(refused.code, 1, "{}", refused.err);
    assert!(!folder.path().join("77.approval.json").exists());
    let refused = cut(folder.path(), &["--unapproved", "--format", "json"]);
    assert_eq!(refused.code, 1, "{}", refused.err);
    let said: Value = serde_json::from_str(&refused.out).unwrap();
    assert_eq!((&said["verdict"], &said["files"]), (&json!("stop"), &json!([])));
    assert!(made(folder.path()).is_empty());
}

#[test]
fn an_order_from_standard_input_names_its_record() {
    let folder = shop(&order());
    approve(folder.path());
    let text = order().to_string();
    let machine = folder.path().join("machine").display().to_string();
    let record = folder.path().join("77.approval.json").display().to_string();
    let refused = run_with(&text, &["cut", "-", "-o", &machine]);
    assert!(refused.code == 2 && refused.err.contains("--approval"), "{}", refused.err);
    assert_eq!(run_with(&text, &["cut", "-", "-o", &machine, "--approval", &record]).code, 0);
    assert_eq!(made(folder.path()).len(), 3);
    let refused = run_with(
        &text,
        &["approve", "-", "--by", "R. Adeyemi", "--date", "2026-03-04", "--open-questions", "settled at mounting"],
    );
    assert!(refused.code == 2 && refused.err.contains("-o FILE"), "{}", refused.err);
}

#[test]
fn a_record_that_is_none_is_told() {
    let folder = shop(&order());
    for broken in ["", "{}", "[1]", "{\"format\": 1}"] {
        fs::write(folder.path().join("77.approval.json"), broken).unwrap();
        for more in [&[][..], &["--unapproved"]] {
            let refused = cut(folder.path(), more);
            assert_eq!(refused.code, 2, "{broken}: {}", refused.err);
            assert!(refused.err.contains("77.approval.json"), "{}", refused.err);
        }
    }
    let refused = cut(folder.path(), &["--approval", "elsewhere.json"]);
    assert!(refused.code == 2 && refused.err.contains("elsewhere.json"), "{}", refused.err);
    assert!(made(folder.path()).is_empty());
}

#[test]
fn wrong_wishes_are_refused_before_anything_is_written() {
    let folder = shop(&order());
    for (more, says) in [
        (vec!["--compensate", "0"], "--compensate"),
        (vec!["--compensate", "-0.8"], "--compensate"),
        (vec!["--compensate", "round"], "--compensate"),
        (vec!["--over-run", "-1"], "--over-run"),
        (vec!["--depth-per-pass", "0"], "--depth-per-pass"),
        (vec!["--nc", "--compensate", "0.8", "--allowance", "0"], "--allowance"),
        (vec!["--nc", "--compensate", "0.8", "--allowance", "0.6"], "more than a pass may take"),
        (vec!["--allowance", "0.1"], "--nc"),
        (vec!["--dxf", "r14"], "r12-joined"),
        (vec!["--nc"], "nose radius"),
        // no place for a nose as large as the wheel
        (vec!["--compensate", "9000"], "nose radius"),
    ] {
        let refused = cut(folder.path(), &[&["--unapproved"][..], &more].concat());
        assert_eq!((refused.code, refused.out.as_str()), (2, ""), "{more:?}");
        assert!(refused.err.contains(says), "{more:?}: {}", refused.err);
        assert!(made(folder.path()).is_empty(), "{more:?}");
    }
    for (by, date, says) in
        [("", "2026-03-04", "--by"), ("R. Adeyemi", "4.3.2026", "--date"), ("R. Adeyemi", "2026-02-30", "--date")]
    {
        let refused = run_in(folder.path(), &["approve", "77.json", "--by", by, "--date", date]);
        assert!(refused.code == 2 && refused.err.contains(says), "{by} {date}: {}", refused.err);
        assert!(!folder.path().join("77.approval.json").exists());
    }
}

/// The record of an approval, as it lies beside the order.
fn record(folder: &Path) -> Value {
    serde_json::from_slice(&fs::read(folder.join("77.approval.json")).unwrap()).unwrap()
}

#[test]
fn open_questions_are_answered_or_waived_by_name() {
    let folder = shop(&order());
    let by = ["approve", "77.json", "--by", "R. Adeyemi", "--date", "2026-03-04"];
    let refused = run_in(folder.path(), &by);
    assert!(refused.code == 2 && refused.err.contains("questions are open: "), "{}", refused.err);
    assert!(refused.err.contains("flange-third") && !folder.path().join("77.approval.json").exists());
    let blank = run_in(folder.path(), &[&by[..], &["--open-questions", "  "]].concat());
    assert_eq!(blank.code, 2, "a reason of blanks is none: {}", blank.err);
    assert_eq!(approve(folder.path()).code, 0);
    let approval = &record(folder.path())["approvals"][0];
    assert_eq!(approval["waived"], "settled at mounting");
    assert!(approval["open_questions"].as_array().unwrap().len() > 1);
    // the reason stands on the paper
    assert_eq!(run_in(folder.path(), &["draw", "77.json", "-o", "77.svg"]).code, 0);
    let sheet = fs::read_to_string(folder.path().join("77.svg")).unwrap();
    assert!(sheet.contains("open questions waived: settled at mounting"));
}

/// Each question has a reason of its own, or the one for all; a reason for none of them is a mistake.
#[test]
fn each_open_question_has_its_own_reason() {
    let folder = shop(&order());
    let by = ["approve", "77.json", "--by", "R. Adeyemi", "--date", "2026-03-04"];
    let with = |more: &[&str]| run_in(folder.path(), &[&by[..], more].concat());
    let one = "flange-third=the flange is turned at mounting";
    let refused = with(&["--open-questions", one]);
    assert!(refused.code == 2 && !refused.err.contains("flange-third:"), "{}", refused.err);
    let mistyped = with(&["--open-questions", "flange-fourth=none", "--open-questions", "by telephone"]);
    assert!(mistyped.code == 2 && mistyped.err.contains("no question `flange-fourth` is open"), "{}", mistyped.err);
    let bare = with(&["--open-questions", "flange-third=", "--open-questions", "by telephone"]);
    assert!(
        bare.code == 2 && bare.err.contains("question `flange-third` may stay open only for a reason"),
        "{}",
        bare.err
    );
    assert!(!folder.path().join("77.approval.json").exists());
    let given = with(&["--open-questions", one, "--open-questions", "by telephone, load = light"]);
    assert_eq!(given.code, 0, "{}", given.err);
    let waived = record(folder.path())["approvals"][0]["waived"].as_str().unwrap().to_owned();
    assert!(
        waived.contains(": the flange is turned at mounting; ") && waived.contains(": by telephone, load = light"),
        "{waived}"
    );
    assert_eq!(run_in(folder.path(), &["label", "77.json", "-o", "77.svg"]).code, 0);
}

#[test]
fn an_approval_is_added_and_withdrawn_and_never_replaced() {
    let folder = shop(&order());
    assert_eq!(approve(folder.path()).code, 0);
    let again = approve(folder.path());
    assert!(again.code == 2 && again.err.contains("77-C is approved already, by R. Adeyemi"), "{}", again.err);
    // another state is approved beside the first
    let mut changed = order();
    changed["wheel"]["bore"] = json!(128);
    put(folder.path(), &changed);
    let second = approve(folder.path());
    assert!(second.code == 0 && second.err.contains("beside 1 earlier"), "{}", second.err);
    assert_eq!(record(folder.path())["approvals"].as_array().unwrap().len(), 2);
    for state in [changed, order()] {
        put(folder.path(), &state);
        assert_eq!(cut(folder.path(), &[]).code, 0, "both are approved");
    }
    let ended =
        run_in(folder.path(), &["approve", "77.json", "--withdraw", "the machine was sold", "--date", "2026-03-05"]);
    assert_eq!(ended.code, 0, "{}", ended.err);
    let mut changed = order();
    changed["wheel"]["bore"] = json!(128);
    put(folder.path(), &changed);
    let refused = cut(folder.path(), &[]);
    assert!(
        refused.code == 2 && refused.err.contains("was withdrawn on 2026-03-05: the machine was sold"),
        "{}",
        refused.err
    );
    assert_eq!(record(folder.path())["approvals"].as_array().unwrap().len(), 2, "nothing is taken away");
    let no_reason = run_in(folder.path(), &["approve", "77.json", "--withdraw", " "]);
    assert_eq!(no_reason.code, 2);
}

#[test]
fn an_approval_is_not_dated_before_the_order_nor_ahead_of_the_clock() {
    let mut dated = order();
    dated["order"]["date"] = json!("2026-03-02");
    let folder = shop(&dated);
    let on = |date: &str, more: &[&str]| {
        let by = ["approve", "77.json", "--by", "R. Adeyemi", "--open-questions", "settled", "--date", date];
        run_in(folder.path(), &[&by[..], more].concat())
    };
    let early = on("2026-03-01", &[]);
    assert!(early.code == 2 && early.err.contains("before the order's own date, 2026-03-02"), "{}", early.err);
    let ahead = on("9998-01-01", &[]);
    assert!(ahead.code == 2 && ahead.err.contains("has not come yet"), "{}", ahead.err);
    assert!(!folder.path().join("77.approval.json").exists());
    assert_eq!(on("9998-01-01", &["--future"]).code, 0);
}

/// Whatever is changed in a record after it was written, it is no approval any more.
#[test]
fn a_changed_record_does_not_bear_its_seal() {
    let folder = shop(&order());
    assert_eq!(approve(folder.path()).code, 0);
    let sound = record(folder.path());
    let forged = |change: &dyn Fn(&mut Value)| {
        let mut record = sound.clone();
        change(&mut record["approvals"][0]);
        fs::write(folder.path().join("77.approval.json"), record.to_string()).unwrap();
        let refused = cut(folder.path(), &[]);
        assert!(refused.code == 2 && made(folder.path()).is_empty(), "{}: {}", record["approvals"][0], refused.err);
    };
    forged(&|a| a["approved_by"] = json!("Somebody else"));
    forged(&|a| a["date"] = json!("2026-03-05"));
    forged(&|a| a["fingerprint"] = json!("0".repeat(64)));
    forged(&|a| a["waived"] = Value::Null);
    forged(&|a| a["rules"]["name"] = json!("other rules"));
    forged(&|a| a["values"]["wheel"]["bore"] = json!(1.0));
    forged(&|a| a["seal"] = json!("0".repeat(64)));
    fs::write(folder.path().join("77.approval.json"), sound.to_string()).unwrap();
    assert_eq!(cut(folder.path(), &[]).code, 0, "as it was it is sound");
    // other rules in force are not those it was given under
    let rules = json!({ "format": 1, "name": "Ours", "switched_off": [{ "rule": "lifting", "why": "two cranes" }] });
    fs::write(folder.path().join("rules.json"), rules.to_string()).unwrap();
    let refused = run_in(folder.path(), &["cut", "77.json", "-o", "other", "--shop-rules", "rules.json"]);
    assert!(refused.code == 2 && refused.err.contains("given under other rules"), "{}", refused.err);
}

/// On a dressing machine the wheel stays between its flanges, by one datum for both sides; nothing comes near the flange, and what stays beside it is said.
#[test]
fn a_wheel_that_stays_on_its_spindle_is_cut_outside_its_flange() {
    let mut order = json!({"order": {"number": "77", "revision": "C"}, "units": "mm",
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127,
            "side_a": {"taper": {"from_diameter": 200, "to_diameter": 400, "depth": 3}}, "side_b": {"corner": {"radius": 3}}},
        "blank": {"outside_diameter": 410, "thickness": 54, "bore": 127}, "mount": {"flange_diameter": 160},
        "tooling": {"profile_nose_radius": 0.8}});
    let folder = shop(&order);
    let template = concat!(env!("CARGO_MANIFEST_DIR"), "/templates/control.json");
    let mut controls: Value = serde_json::from_slice(&fs::read(template).unwrap()).unwrap();
    controls["controls"][0]["wheel_stays"] = json!(true);
    let mut texts = Vec::new();
    for axial in ["out_of_wheel", "into_wheel"] {
        controls["controls"][0]["axial"] = json!(axial);
        fs::write(folder.path().join("control.json"), controls.to_string()).unwrap();
        let ran = cut(folder.path(), &["--unapproved", "--nc", "--control", "control.json"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(
            ran.err.contains("Inside diameter 163 mm nothing of side A is cut") && ran.err.contains("up to 2 mm"),
            "{}",
            ran.err
        );
        let read = |name: &str| fs::read_to_string(folder.path().join("machine").join(name)).unwrap();
        texts.push([1, 2].map(|n| {
            let side = if n == 1 { 'a' } else { 'b' };
            read(&format!("77-C-profile-nose-0.8-set-up-{n}-side-{side}-UNAPPROVED_mm.nc"))
        }));
    }
    let word = |line: &str, letter: char| line.split(' ').find_map(|w| w.strip_prefix(letter)?.parse::<f64>().ok());
    let values = |text: &str, letter: char| -> Vec<f64> {
        text.lines().filter(|l| l.starts_with('N')).filter_map(|l| word(l, letter)).collect()
    };
    let near = |found: f64, ordered: f64| (found - ordered).abs() < 1e-4;
    for (text, side) in texts[0].iter().zip(['A', 'B']) {
        let head = text
            .lines()
            .filter(|l| l.starts_with('('))
            .map(|l| l.trim_matches(['(', ')']))
            .collect::<Vec<_>>()
            .join(" ");
        for said in
            ["THE WHEEL STAYS ON ITS SPINDLE", "THE TOOL MOVES", "DATUM PLANE, FOR BOTH SIDES, Z GROWS OUT OF SIDE A"]
        {
            assert!(head.contains(said), "{said}: {head}");
        }
        assert!(head.contains(&format!("FOR SIDE {side}")) && !head.contains("OPERATION: BORE"), "{head}");
        assert_eq!(head.contains("OPERATION: FACE"), side == 'B');
        // X is a diameter: the flange's, a millimetre of clearance and the nose on either side
        assert!(values(text, 'X').iter().all(|x| *x >= 160.0 + 2.0 * (1.0 + 0.8)));
    }
    let z = |n: usize| values(&texts[0][n], 'Z');
    // the nose's centre is a radius outside each finished plane; it waits clear of the blank's two millimetres
    assert!(near(z(0)[0], 2.0 + 0.8 + 1.5) && z(0).iter().any(|z| near(*z, 0.8)) && z(0).iter().all(|z| *z > -6.0));
    assert!(near(z(1)[0], -50.0 - 2.0 - 0.8 - 1.5) && z(1).iter().any(|z| near(*z, -50.8)));
    for n in [0, 1] {
        let turned: Vec<f64> = values(&texts[1][n], 'Z').iter().map(|z| -z).collect();
        assert_eq!(z(n), turned, "the other sense of the axis");
    }
    order.as_object_mut().unwrap().remove("mount");
    put(folder.path(), &order);
    let refused = cut(folder.path(), &["--unapproved", "--nc", "--control", "control.json"]);
    assert!(refused.code == 2 && refused.err.contains("flange_diameter"), "{}", refused.err);
}
