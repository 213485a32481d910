//! `traveller`: every operation the wheel needs and no other, with targets, stock, tools, files.

use super::{case, crankshaft, put, run, wheeldraft};
use serde_json::json;
use std::fs;
use tempfile::TempDir;
use wheeldraft::dossier::Dossier;
use wheeldraft::pack::machine::{self, Wishes};
use wheeldraft::pack::machine_wishes;
use wheeldraft::pack::papers::machine_file;
use wheeldraft::rules::ShopRules;
use wheeldraft::shop::traveller::{BUILT_IN, Inputs, MachineFile, Step, Template, steps};
use wheeldraft::size::Size;

fn steps_of(order: &serde_json::Value, files: &[MachineFile]) -> Vec<Step> {
    let shop = ShopRules::built_in();
    let dossier = Dossier::of(crate::support::job(order), &shop).unwrap();
    let template = Template::built_in().unwrap();
    let inputs = Inputs { dossier: &dossier, template: &template, files, no_files: "" };
    steps(&inputs).unwrap()
}

fn keys(steps: &[Step]) -> Vec<&'static str> {
    steps.iter().map(|s| s.operation.unwrap().key()).collect()
}

#[test]
fn operations_stand_in_a_sensible_order_and_only_those_needed() {
    let got = steps_of(&crankshaft(), &[]);
    assert_eq!(
        keys(&got),
        [
            "identify",
            "ring-test-before",
            "bore",
            "recess-side-a",
            "taper-side-a",
            "corner-side-a",
            "corner-side-b",
            "bore-chamfer",
            "grooves-side-a",
            "grooves-side-b",
            "grooves-face",
            "clean",
            "ring-test-after",
            "inspect",
            "speed-test",
            "balance",
            "label",
            "pack"
        ]
    );
    // a plain wheel of another blank
    let plain = json!({
        "order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127},
        "blank": {"outside_diameter": 406, "thickness": 52, "bore": 76.2}
    });
    let got = steps_of(&plain, &[]);
    assert_eq!(&keys(&got)[2..5], ["bore", "thickness", "outside-diameter"]);
    // sides and face that must run true are trued even where the blank has the size
    let mut trued = crankshaft();
    trued["tolerances"]["runout_face"] = json!(0.004);
    trued["tolerances"]["parallelism"] = json!(0.004);
    let steps = steps_of(&trued, &[]);
    assert_eq!(&keys(&steps)[2..5], ["bore", "thickness", "outside-diameter"]);
    assert!(steps[3].targets.iter().any(|t| t == "parallel within .004") && steps[3].removed.is_none());
    // a ring of 52 mm: π/4·(127² − 76.2²)·52
    let volume = std::f64::consts::PI / 4.0 * (127.0_f64.powi(2) - 76.2_f64.powi(2)) * 52.0;
    assert!((got[2].removed.unwrap() / volume - 1.0).abs() < 1e-12);
}

#[test]
fn every_number_of_the_drawing_is_the_target_of_exactly_one_operation() {
    let mut order = crankshaft();
    // a blank that leaves all sizes to be made
    order["blank"]["outside_diameter"] = json!(28);
    order["blank"]["thickness"] = json!(2.5);
    let job = crate::support::job(&order);
    let targets: Vec<String> = steps_of(&order, &[]).into_iter().flat_map(|s| s.targets).collect();
    for r in job.requirements() {
        let start = match r.size {
            Size::Parallelism => "parallel within".to_owned(),
            Size::RunoutSide => "run-out of the sides".to_owned(),
            Size::RunoutFace => "run-out of the face".to_owned(),
            _ => format!("{} {} ", r.number, r.letter),
        };
        assert_eq!(targets.iter().filter(|t| t.starts_with(&start)).count(), 1, "{}", r.size);
    }
}

#[test]
fn texts_are_filled_in() {
    let got = steps_of(&crankshaft(), &[]);
    let of = |key: &str| got.iter().find(|s| s.operation.unwrap().key() == key).unwrap();
    assert!(of("identify").text[0].contains("26 × 2 × 5 in") && of("identify").text[0].contains("A 54 K 6 V"));
    // 1.5 × 33 m/s on 660.4 mm, rounded up
    assert!(of("speed-test").text[0].contains("1432 1/min"), "{:?}", of("speed-test").text);
    assert!(of("label").text[0].contains("954 1/min"));
    assert!(of("grooves-side-a").tool.contains("Ø6 in × .06 in"), "{}", of("grooves-side-a").tool);
    // k·√m of the shop's rules: 0.32·√29737 g = 55.2 g
    assert!(of("balance").text[0].contains("55.2 g"), "{:?}", of("balance").text);
    assert!(got.iter().all(|s| s.text.iter().all(|t| !t.contains('{'))));
    assert_eq!(of("bore").targets, ["3 H  Ø8.000 +.005 / +.001"]);
}

#[test]
fn machine_files_stand_with_their_operations() {
    let folder = TempDir::new().unwrap();
    let order = put(folder.path(), "1042.json", &crankshaft());
    let svg = folder.path().join("t.svg");
    let ran = run(wheeldraft().arg("traveller").arg(&order).arg("-o").arg(&svg));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let text = |n: usize| {
        let name = if n == 1 { "t.svg".to_owned() } else { format!("t-{n}.svg") };
        fs::read_to_string(folder.path().join(name)).unwrap_or_default()
    };
    assert!(text(1).contains("Machine files: none, not approved by the customer."));
    run(wheeldraft().arg("approve").arg(&order).args([
        "--by",
        "R. Adeyemi",
        "--date",
        "2026-03-04",
        "--open-questions",
        "settled at mounting",
    ]));
    run(wheeldraft().arg("traveller").arg(&order).arg("-o").arg(&svg));
    let all: String = (1..=5).map(text).collect();
    let machine = folder.path().join("machine");
    run(wheeldraft().arg("cut").arg(&order).arg("-o").arg(&machine));
    for name in [
        "1042-B-profile_mm.dxf",
        "1042-B-grooves-side-b_mm.dxf",
        "1042-B-index-side-a.csv",
        "1042-B-grooves-face_mm.dxf",
    ] {
        let bytes = fs::read(machine.join(name)).unwrap();
        use sha2::Digest;
        let hash: String = sha2::Sha256::digest(&bytes).iter().map(|b| format!("{b:02x}")).collect();
        assert!(all.contains(&hash[..16]), "{name}");
        assert!(all.contains(&format!(">{name}<")), "{name}");
    }
}

/// Which operations each machine file of a pack with programs stands beside.
#[test]
fn a_program_stands_beside_the_operations_it_does_and_no_others() {
    let order = crankshaft();
    let rules = ShopRules::built_in();
    let dossier = Dossier::of(crate::support::job(&order), &rules).unwrap();
    let wishes = Wishes { programs: true, ..machine_wishes(&dossier, false) };
    let made = machine::files(&dossier.job, &wishes).unwrap();
    let beside = |name: &str| -> Vec<&str> {
        let file = made.files.iter().find(|f| f.name.contains(name)).unwrap_or_else(|| panic!("{name}"));
        machine_file(&dossier.job, file, &made.courses).operations.iter().map(|o| o.key()).collect()
    };
    assert_eq!(
        beside("set-up-1"),
        ["bore", "thickness", "recess-side-a", "taper-side-a", "corner-side-a", "bore-chamfer"]
    );
    assert_eq!(
        beside("set-up-2"),
        ["thickness", "outside-diameter", "recess-side-b", "taper-side-b", "corner-side-b", "bore-chamfer"]
    );
    assert_eq!(beside("profile-UNAPPROVED_mm.dxf").len(), 10);
    for (name, only) in [
        ("-grooves-side-a-UNAPPROVED_mm.dxf", "grooves-side-a"),
        ("-index-side-b", "grooves-side-b"),
        ("-grooves-face-UNAPPROVED_mm.dxf", "grooves-face"),
        ("-index-face", "grooves-face"),
        ("-grooves-side-a-cutter", "grooves-side-a"),
    ] {
        assert_eq!(beside(name), [only], "{name}");
    }
}

#[test]
fn a_shops_own_template_is_used_and_a_broken_one_refused() {
    let folder = TempDir::new().unwrap();
    let order = case("crankshaft-wheel-grooved.json");
    let own = folder.path().join("own.json");
    let text = BUILT_IN.replacen(
        "{ \"operation\": \"clean\"",
        "{ \"title\": \"Let it dry overnight\", \"text\": [] },\n    { \"operation\": \"clean\"",
        1,
    );
    fs::write(&own, text).unwrap();
    let svg = folder.path().join("t.svg");
    let ran = run(wheeldraft().arg("traveller").arg(&order).arg("-o").arg(&svg).arg("--traveller").arg(&own));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let all: String =
        ["t.svg", "t-2.svg", "t-3.svg"].iter().filter_map(|n| fs::read_to_string(folder.path().join(n)).ok()).collect();
    assert!(all.contains("Let it dry overnight"));
    fs::write(&own, BUILT_IN.replacen("\"speed-test\"", "\"speedtest\"", 1)).unwrap();
    fs::remove_file(&svg).unwrap();
    let ran = run(wheeldraft().arg("traveller").arg(&order).arg("-o").arg(&svg).arg("--traveller").arg(&own));
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("no operation `speedtest`") && !svg.exists(), "{}", ran.err);
}

#[test]
fn a_stopped_order_is_marked_on_every_page() {
    let folder = TempDir::new().unwrap();
    let mut order = crankshaft();
    order["mount"]["flange_diameter"] = json!(7);
    let file = put(folder.path(), "order.json", &order);
    let svg = folder.path().join("t.svg");
    let ran = run(wheeldraft().arg("traveller").arg(&file).arg("-o").arg(&svg).arg("--unapproved"));
    assert_eq!(ran.code, 1);
    for name in ["t.svg", "t-2.svg"] {
        let text = fs::read_to_string(folder.path().join(name)).unwrap();
        assert!(text.contains("NOT RELEASED") && text.contains("CAUTION"), "{name}");
        assert!(!text.contains("_mm.dxf"));
    }
}
