//! `takeoff`: our own profile files give back the same section, a draughtsman's loose one gives its sizes, and what is no section is refused.

use super::{run, wheeldraft};
use serde_json::{Value, json};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn demo(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(name)
}

/// The numbers of the half-section without grooves.
fn section_of(order: &Path) -> Vec<f64> {
    let p = run(wheeldraft().arg("properties").arg(order).args(["--format", "json"])).json();
    let volume = p["plain"]["volume"].as_f64().unwrap();
    vec![p["section"]["area"].as_f64().unwrap(), p["section"]["centroid_r"].as_f64().unwrap(), volume]
}

/// The machine's profile of an order, read back: area, centroid and volume of the same section to 1e-9, in every flavour.
#[test]
fn our_own_profiles_give_back_the_same_section() {
    for name in ["1042", "1043", "1044", "1045", "1046", "1047", "1048"] {
        for flavour in ["r12", "r12-joined", "2000"] {
            let folder = TempDir::new().unwrap();
            let order = demo(&format!("{name}.json"));
            let made = run(wheeldraft()
                .arg("cut")
                .arg(&order)
                .args(["--unapproved", "--dxf", flavour, "-o"])
                .arg(folder.path()));
            assert_eq!(made.code, 0, "{name}: {}", made.err);
            let files = fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().path());
            let profile = files.into_iter().find(|f| f.to_string_lossy().contains("-profile")).unwrap();
            let back = folder.path().join("back.json");
            let ran = run(wheeldraft()
                .arg("takeoff")
                .arg(&profile)
                .args(["--units", "mm", "--number", "back", "-o"])
                .arg(&back));
            assert_eq!(ran.code, 0, "{name} {flavour}: {}", ran.err);
            for (got, want) in section_of(&back).iter().zip(section_of(&order)) {
                assert!((got / want - 1.0).abs() < 1e-9, "{name} {flavour}: {got} against {want}");
            }
            assert!(fs::read_to_string(folder.path().join("back-takeoff.svg")).unwrap().contains("outside diameter"));
        }
    }
}

/// Entities of a drawing in release 12, written by hand.
#[derive(Default)]
struct Dxf(String);

impl Dxf {
    fn line(&mut self, layer: &str, a: (f64, f64), b: (f64, f64)) -> &mut Dxf {
        writeln!(self.0, "0\nLINE\n8\n{layer}\n10\n{}\n20\n{}\n11\n{}\n21\n{}", a.0, a.1, b.0, b.1).unwrap();
        self
    }

    fn arc(&mut self, layer: &str, centre: (f64, f64), radius: f64, from: f64, to: f64) -> &mut Dxf {
        writeln!(self.0, "0\nARC\n8\n{layer}\n10\n{}\n20\n{}\n40\n{radius}\n50\n{from}\n51\n{to}", centre.0, centre.1)
            .unwrap();
        self
    }

    fn other(&mut self, kind: &str) -> &mut Dxf {
        writeln!(self.0, "0\n{kind}\n8\nTEXT\n10\n0\n20\n0\n40\n3\n1\nsection").unwrap();
        self
    }

    fn write(&self, file: &Path) {
        fs::write(file, format!("0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n", self.0)).unwrap();
    }
}

/// A half-section of 400 × 50 × 127 with a recess of 200 × 15 and its fillet of 3 on the right, a corner radius of 5 on the left, drawn at (1000, 500)
/// above a centre line, with ends a hundredth apart, the left side in two strokes, one of them twice, and dimensions and hatching around it.
fn loose() -> Dxf {
    let mut d = Dxf::default();
    let at = |x: f64, r: f64| (1000.0 + x, 500.0 + r);
    d.line("CENTRE", at(-8.0, 0.0), at(20.0, 0.0)).line("CENTRE", at(22.0, 0.0), at(58.0, 0.0));
    d.line("0", at(0.0, 63.5), at(0.0, 120.0)).line("0", at(0.01, 120.0), at(0.0, 195.0)).line(
        "0",
        at(0.0, 195.0),
        at(0.0, 120.0),
    );
    d.arc("0", at(5.0, 195.0), 5.0, 90.0, 180.0);
    d.line("0", at(5.01, 200.0), at(50.0, 200.0)).line("0", at(50.0, 200.01), at(50.0, 100.0));
    d.line("0", at(50.0, 99.99), at(38.0, 100.0)).arc("0", at(38.0, 97.0), 3.0, 90.0, 180.0);
    d.line("0", at(35.0, 97.0), at(35.0, 63.5)).line("0", at(35.0, 63.5), at(0.01, 63.5));
    for i in 1..10 {
        let x = 5.0 * f64::from(i);
        d.line("0", at(x - 3.0, 110.0), at(x, 113.0));
    }
    d.line("DIM", at(0.0, 205.0), at(50.0, 205.0)).line("0", at(0.0, 201.0), at(0.0, 210.0)).other("TEXT");
    d
}

#[test]
fn a_loosely_drawn_section_gives_its_shop_sizes() {
    let folder = TempDir::new().unwrap();
    let (file, order) = (folder.path().join("loose.dxf"), folder.path().join("order.json"));
    loose().write(&file);
    let mut command = wheeldraft();
    command.arg("takeoff").arg(&file).args(["--units", "mm", "--snap", "0.5", "-o"]).arg(&order);
    let ran = run(&mut command);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let wheel: Value = serde_json::from_slice(&fs::read(&order).unwrap()).unwrap();
    assert_eq!(
        wheel["wheel"],
        json!({
            "outside_diameter": 400, "thickness": 50, "bore": 127,
            "side_a": {"corner": {"radius": 5}},
            "side_b": {"recess": [{"diameter": 200, "depth": 15, "fillet_radius": 3}]},
        })
    );
    assert!(ran.out.contains("1 TEXT"), "{}", ran.out);
    // an order that is there already is not written over
    assert_eq!(run(&mut command).code, 2);
    // from the other end the sides change their names
    let turned = run(wheeldraft()
        .arg("takeoff")
        .arg(&file)
        .args(["--units", "mm", "--snap", "0.5", "--flip", "--format", "json"]))
    .json();
    assert_eq!(turned["order"]["wheel"]["side_b"]["corner"]["radius"], 5);
}

#[test]
fn inches_and_fractions_come_out_as_such() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("inch.dxf");
    let mut d = Dxf::default();
    // 10 in, 1-9/32 in thick, 3 in bore, about y = 0
    let (t, r, h) = (1.28, 5.0, 1.5);
    d.line("0", (0.0, h), (0.0, r)).line("0", (0.0, r), (t, r)).line("0", (t, r), (t, h)).line("0", (t, h), (0.0, h));
    d.write(&file);
    let ran = run(wheeldraft().arg("takeoff").arg(&file).args(["--units", "in", "--snap", "1/64", "--format", "json"]));
    let got = ran.json();
    assert_eq!(got["order"]["wheel"], json!({"outside_diameter": 10, "thickness": 1.28125, "bore": 3}), "{}", ran.err);
    assert!(got["remarks"].to_string().contains("no centre line is drawn"));
}

#[test]
fn what_is_no_section_is_refused_and_says_why() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("open.dxf");
    let mut d = Dxf::default();
    d.line("0", (0.0, 10.0), (0.0, 100.0)).line("0", (0.0, 100.0), (20.0, 100.0)).line(
        "0",
        (20.0, 100.0),
        (20.0, 10.0),
    );
    d.write(&file);
    let order = folder.path().join("order.json");
    let ran = run(wheeldraft().arg("takeoff").arg(&file).args(["--units", "mm", "-o"]).arg(&order));
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("nothing that is drawn closes") && !order.exists(), "{}", ran.err);
    let ran = run(wheeldraft().arg("takeoff").arg(&file));
    assert!(ran.code == 2 && ran.err.contains("--units in or --units mm"), "{}", ran.err);
    fs::write(&file, "not a drawing").unwrap();
    assert_eq!(run(wheeldraft().arg("takeoff").arg(&file).args(["--units", "mm"])).code, 2);
}

/// Grooves cut by our own plan: count, width, where they begin, which are left out, skew.
#[test]
fn our_own_groove_plan_gives_back_the_grooves() {
    let folder = TempDir::new().unwrap();
    let order = demo("1046.json");
    run(wheeldraft().arg("cut").arg(&order).args(["--unapproved", "-o"]).arg(folder.path()));
    let file = |part: &str| {
        let files = fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().path());
        files
            .into_iter()
            .find(|f| f.to_string_lossy().contains(part) && f.extension().is_some_and(|e| e == "dxf"))
            .unwrap()
    };
    let ran = run(wheeldraft()
        .arg("takeoff")
        .arg(file("-profile"))
        .args(["--units", "mm", "--depth-a", "0.1in", "--format", "json", "--grooves-a"])
        .arg(file("-grooves-side-a")));
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let wanted: Value = serde_json::from_slice(&fs::read(&order).unwrap()).unwrap();
    let wanted = crate::support::job(&wanted).wheel.side_a.grooves.unwrap();
    let got = &ran.json()["grooves"][0];
    let near =
        |key: &str, want: f64| assert!((got[key].as_f64().unwrap() - want).abs() < 1e-6, "{key}: {got} against {want}");
    assert_eq!(got["count"], wanted.pattern.places);
    assert_eq!(got["omit"].as_array().unwrap().len(), wanted.pattern.omit.len());
    near("width", wanted.width);
    near("inner_diameter", wanted.inner_diameter);
    near("skew_deg", wanted.skew_deg);
}
