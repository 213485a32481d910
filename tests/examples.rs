//! The programs in `examples/`, as they are: compiled here, run, and what they print compared with closed forms.

#[allow(dead_code, reason = "`main` is for `cargo run --example`")]
#[path = "../examples/contour_integrals.rs"]
mod contour_integrals;
#[allow(dead_code, reason = "`main` is for `cargo run --example`")]
#[path = "../examples/draw_and_cut.rs"]
mod draw_and_cut;
#[allow(dead_code, reason = "`main` is for `cargo run --example`")]
#[path = "../examples/sweep_of_groove_counts.rs"]
mod sweep_of_groove_counts;
#[allow(dead_code, reason = "`main` is for `cargo run --example`")]
#[path = "../examples/volume_of_a_wheel.rs"]
mod volume_of_a_wheel;

use serde_json::Value;
use std::f64::consts::PI;
use std::path::Path;

fn numbers(line: &str) -> Vec<f64> {
    line.split_whitespace().filter_map(|word| word.trim_end_matches(')').parse().ok()).collect()
}

#[test]
fn every_example_is_run_here() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut names: Vec<String> =
        std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    assert_eq!(names, ["contour_integrals.rs", "draw_and_cut.rs", "sweep_of_groove_counts.rs", "volume_of_a_wheel.rs"]);
}

/// A slot with round ends 36 mm from the axis (Pappus, plane geometry).
#[test]
fn integrals_of_a_slot() {
    let told = contour_integrals::told().unwrap();
    let lines: Vec<Vec<f64>> = told.lines().map(numbers).collect();
    let area = 12.0 * 8.0 + PI * 16.0;
    assert!((lines[0][0] - area).abs() < 1e-9 && (lines[0].last().unwrap() - area).abs() < 1e-9, "{told}");
    assert!((lines[1][0] - 36.0).abs() < 1e-9, "{told}");
    assert!((lines[2][0] - 2.0 * PI * 36.0 * area).abs() < 1e-5, "{told}");
}

/// Land 2πr/n − 2r·asin(w/2r), none where that is below 0; walls crossing at w / sin(π/n) (plane geometry).
#[test]
fn a_sweep_of_counts() {
    let told = sweep_of_groove_counts::told();
    let rows: Vec<Vec<f64>> = told.lines().skip(1).map(numbers).collect();
    assert_eq!(rows.iter().map(|row| row[0]).collect::<Vec<_>>(), [60.0, 90.0, 120.0, 180.0, 200.0, 240.0]);
    for row in rows {
        let n = row[0];
        let land = |r: f64| (2.0 * PI * r / n - 2.0 * r * (1.5 / r).asin()).max(0.0);
        let want = [360.0 / n, land(200.0), land(110.0), 3.0 / (PI / n).sin()];
        for (got, want) in row[1..].iter().zip(want) {
            assert!((got - want).abs() < 6e-4, "{got} instead of {want} for {n}");
        }
    }
}

/// A ring less a recess less 180 straight grooves, each a strip of the disc (plane geometry).
#[test]
fn the_volume_of_a_wheel() {
    let told: Value = serde_json::from_str(&volume_of_a_wheel::told(None).unwrap()).unwrap();
    let disc = |d: f64| PI / 4.0 * d * d;
    let plain = (disc(400.0) - disc(127.0)) * 50.0 - (disc(200.0) - disc(127.0)) * 15.0;
    let (r, half) = (200.0_f64, 1.5_f64);
    let strip = r * r * (half / r).asin() + half * (r * r - half * half).sqrt() - 110.0 * 3.0;
    let got = told["wheel"]["volume"].as_f64().unwrap();
    assert!((got / (plain - 180.0 * 5.0 * strip) - 1.0).abs() < 1e-11, "{got}");
    let mass = told["wheel"]["mass"].as_f64().unwrap();
    assert!((mass / (got * 2.2e-6) - 1.0).abs() < 1e-12, "{mass}");
}

#[test]
fn the_volume_of_a_file_is_what_the_command_says() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/1042.json");
    let told: Value = serde_json::from_str(&volume_of_a_wheel::told(Some(&path)).unwrap()).unwrap();
    let job = wheeldraft::rules::ShopRules::built_in().open(&std::fs::read(&path).unwrap()).unwrap();
    let want = wheeldraft::properties::of(&job).unwrap();
    assert_eq!(told["wheel"]["volume"].as_f64(), Some(want.wheel.volume));
    let broken = Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml");
    assert!(
        volume_of_a_wheel::told(Some(&broken)).is_err() && volume_of_a_wheel::told(Some(Path::new("none"))).is_err()
    );
}

/// The same bytes as the command's, in a program of less than 25 lines.
#[test]
fn drawing_and_cutting_takes_few_lines() {
    let text = include_str!("../examples/draw_and_cut.rs");
    assert!(text.lines().filter(|l| !l.starts_with("//")).count() < 25);
    let order = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/1042.json");
    let folder = tempfile::tempdir().unwrap();
    draw_and_cut::draw_and_cut(&order, folder.path()).unwrap();
    let commanded = folder.path().join("commanded.pdf");
    let command = |arguments: &[&std::ffi::OsStr]| {
        let mut command = assert_cmd::Command::cargo_bin("wheeldraft").unwrap();
        command.args(arguments).assert().success();
    };
    command(&["draw".as_ref(), order.as_ref(), "-o".as_ref(), commanded.as_ref()]);
    let read = |name: &str| std::fs::read(folder.path().join(name)).unwrap();
    assert_eq!(read("1042-B.pdf"), read("commanded.pdf"));
    let cut = folder.path().join("cut");
    command(&["cut".as_ref(), order.as_ref(), "--unapproved".as_ref(), "-o".as_ref(), cut.as_ref()]);
    for file in std::fs::read_dir(cut).unwrap() {
        let name = file.unwrap().file_name().into_string().unwrap();
        assert_eq!(read(&name), read(&format!("cut/{name}")), "{name}");
    }
}
