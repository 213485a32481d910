//! `inspect --profile`: points of a measured section beside the ordered one; `tests/reference/judge_profile.py` judges the numbers from outside.

use super::{put, run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;
use wheeldraft::section::Section;

fn order() -> Value {
    json!({
        "order": {"number": "9", "revision": "A", "date": "2026-03-02"}, "units": "in",
        "wheel": {"outside_diameter": 24, "thickness": 2, "bore": 8,
            "side_a": {"recess": [{"diameter": 15, "depth": 0.5, "fillet_radius": 0.25}], "taper": {"from_diameter": 18, "to_diameter": 24, "depth": 0.1},
                "corner": {"radius": 0.2}}},
        "blank": {"marking": "A 54 K 6 V", "max_operating_speed": "33 m/s"},
        "tolerances": {"outside_diameter": 0.03, "thickness": 0.01, "bore": "+0.005/0", "recess_diameter": 0.02, "recess_depth": 0.01, "runout_side": 0.003}
    })
}

struct Bench {
    folder: TempDir,
    order: PathBuf,
}

impl Bench {
    fn new() -> Bench {
        let folder = TempDir::new().unwrap();
        let order = put(folder.path(), "order.json", &order());
        Bench { folder, order }
    }

    /// Points of a wheel that differs from the ordered one, in inches, after a change by hand.
    fn points(&self, change: impl FnOnce(&mut Value), moved: impl Fn(f64, f64) -> [f64; 2]) -> PathBuf {
        let mut other = order();
        change(&mut other);
        let section = Section::of(&crate::support::job(&other).wheel).unwrap();
        let mut text = "z [in];r [in]\n".to_owned();
        for (edge, _) in section.edges() {
            for p in (0..12).map(|i| edge.at((f64::from(i) + 0.5) / 12.0)) {
                let [r, z] = moved(p.x / 25.4, p.y / 25.4);
                text += &format!("{z:.8};{r:.8}\n");
            }
        }
        let file = self.folder.path().join("points.csv");
        fs::write(&file, text).unwrap();
        file
    }

    fn told(&self, points: &PathBuf, more: &[&str]) -> super::Ran {
        run(wheeldraft().args(["inspect", "--format", "json"]).arg(&self.order).arg("--profile").arg(points).args(more))
    }
}

fn size(told: &Value, label: &str) -> Value {
    let sizes = told["profile"]["sizes"].as_array().unwrap();
    sizes.iter().find(|j| j["label"] == label).cloned().unwrap_or_else(|| panic!("{label}: {told}"))
}

#[test]
fn sizes_come_back_whatever_the_datum() {
    let bench = Bench::new();
    let deeper = |o: &mut Value| o["wheel"]["side_a"]["recess"][0]["depth"] = json!(0.52);
    // from side B, an inch and a half off the axis
    let points = bench.points(deeper, |r, z| [r + 1.5, 7.0 - z]);
    let ran = bench.told(&points, &[]);
    assert_eq!(ran.code, 1, "0.52 in is beyond 0.5 ± 0.01: {}{}", ran.out, ran.err);
    let told = ran.json();
    let depth = size(&told, "Recess depth, side A");
    assert!((depth["measured"].as_f64().unwrap() / 25.4 - 0.52).abs() < 1e-4 && depth["verdict"] == "fail", "{depth}");
    assert_eq!(told["profile"]["pose"]["turned_over"], true);
    let fillet = size(&told, "Recess fillet, side A");
    assert!(
        (fillet["measured"].as_f64().unwrap() / 25.4 - 0.25).abs() < 1e-5 && fillet["verdict"] == "recorded",
        "{fillet}"
    );
    // a diameter is measured only where r counts from the axis
    assert!(!told.to_string().contains("\"Outside diameter\""), "{told}");
    let points = bench.points(|_| {}, |r, z| [r, z + 3.0]);
    let told = bench.told(&points, &["--axis"]).json();
    assert_eq!(told["passed"], true, "{told}");
    assert!((size(&told, "Bore")["measured"].as_f64().unwrap() / 25.4 - 8.0).abs() < 1e-6);
}

#[test]
fn single_points_are_held_to_the_band_that_is_asked() {
    let bench = Bench::new();
    let points = bench.points(|_| {}, |r, z| [r, z]);
    let bulged = fs::read_to_string(&points).unwrap().replacen("0.00000000;", "-0.01000000;", 1);
    fs::write(&points, bulged).unwrap();
    assert_eq!(bench.told(&points, &["--axis"]).code, 0);
    let told = bench.told(&points, &["--axis", "--band", "0.1 mm"]);
    assert_eq!((told.code, told.json()["profile"]["outside"].clone()), (1, json!(1)));
    assert!(told.json()["profile"]["worst"].as_f64().unwrap() > 0.2, "0.01 in of material too much: {}", told.out);
    assert_eq!(bench.told(&points, &["--band", "0"]).code, 2);
}

#[test]
fn several_sections_show_run_out() {
    let bench = Bench::new();
    let one = fs::read_to_string(bench.points(|_| {}, |r, z| [r, z])).unwrap();
    let mut text = "r,z,section\n".to_owned();
    for (name, lift) in [("0", 0.0), ("90", 0.004), ("180", 0.008), ("270", 0.004)] {
        for line in one.lines().skip(1) {
            let (z, r) = line.split_once(';').unwrap();
            text += &format!("{r},{:.8},{name}\n", z.parse::<f64>().unwrap() + lift);
        }
    }
    let file = bench.folder.path().join("round.csv");
    fs::write(&file, text).unwrap();
    let ran = bench.told(&file, &["--axis"]);
    let told = ran.json();
    let runout = size(&told, "Run-out of both sides");
    assert!((runout["measured"].as_f64().unwrap() / 25.4 - 0.008).abs() < 1e-5, "{runout}");
    assert_eq!((ran.code, &runout["verdict"]), (1, &json!("fail")));
}

#[test]
fn bad_rows_are_named_and_papers_show_the_plot() {
    let bench = Bench::new();
    let file = bench.folder.path().join("bad.csv");
    fs::write(&file, "r,z\n100,0\n110,zero\n120,0\n130,\n").unwrap();
    let bad = bench.told(&file, &[]);
    assert!(bad.code == 2 && bad.out.contains("bad.csv:3") && bad.out.contains("bad.csv:5"), "{}", bad.out);
    fs::write(&file, "x,y\n1,2\n").unwrap();
    assert!(bench.told(&file, &[]).out.contains("no list of points"));
    fs::write(&file, "r,z\n1,2\n").unwrap();
    assert!(bench.told(&file, &[]).out.contains("holds 1 points"));
    let points = bench.points(|_| {}, |r, z| [r, z]);
    for name in ["section.svg", "section.csv"] {
        let made = bench.folder.path().join(name);
        assert_eq!(bench.told(&points, &["--axis", "--band", "0.1mm", "-o", made.to_str().unwrap()]).code, 0);
        let text = fs::read_to_string(&made).unwrap();
        assert!(text.contains(if name.ends_with("svg") { "Measured section" } else { "deviation [mm]" }), "{text}");
    }
}

/// The certificate holds the section, and a section that is not as ordered takes the certificate away.
#[test]
fn a_certificate_takes_the_section_with_it() {
    let bench = Bench::new();
    let at = bench.folder.path();
    let approve = ["--by", "R. Adeyemi", "--date", "2026-03-04", "--open-questions", "settled by telephone"];
    assert_eq!(run(wheeldraft().arg("approve").arg(&bench.order).args(approve)).code, 0);
    let sheet = at.join("sheet.csv");
    assert_eq!(run(wheeldraft().arg("inspect").arg(&bench.order).arg("-o").arg(&sheet)).code, 0);
    super::day::fill_in(&sheet, "1", "2026-03-09", 1600);
    let judged = |points: &PathBuf, certificate: &str| {
        let mut command = wheeldraft();
        command.args(["inspect", "--format", "json"]).arg(&bench.order).arg(&sheet).arg("--profile").arg(points);
        run(command.args(["--axis", "-o"]).arg(at.join(certificate)))
    };
    let good = judged(&bench.points(|_| {}, |r, z| [r, z]), "good.svg");
    assert_eq!(good.code, 0, "{}", good.out);
    let sheets = fs::read_dir(at).unwrap().map(|e| e.unwrap().path());
    let mut certificate = sheets.filter(|p| p.file_name().unwrap().to_string_lossy().starts_with("good"));
    assert!(certificate.any(|p| fs::read_to_string(p).unwrap().contains("Measured section")), "{}", good.out);
    let refusals = |ran: &super::Ran| ran.json()["refusals"].as_array().unwrap().len();
    let deeper = bench.points(|o| o["wheel"]["side_a"]["recess"][0]["depth"] = json!(0.55), |r, z| [r, z]);
    let bad = judged(&deeper, "bad.svg");
    assert_eq!((bad.code, refusals(&bad)), (1, refusals(&good) + 1), "{}", bad.out);
    assert!(bad.out.contains("1 size of the measured section") && !at.join("bad.svg").exists(), "{}", bad.out);
}
