//! `intake`: a customer's list becomes orders; what cannot be read is named by row and heading, and nothing is written unless all is good.

use super::{run, wheeldraft};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn listed(folder: &Path, text: &str) -> PathBuf {
    let file = folder.join("list.csv");
    fs::write(&file, text).unwrap();
    file
}

fn order(folder: &Path, name: &str) -> Value {
    serde_json::from_slice(&fs::read(folder.join("orders").join(name)).unwrap()).unwrap()
}

#[test]
fn the_demo_list_becomes_orders_that_can_be_checked() {
    let folder = TempDir::new().unwrap();
    let list = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-data/enquiry.csv");
    let out = folder.path().join("orders");
    let ran = run(wheeldraft().arg("intake").arg(&list).arg("-o").arg(&out));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let p = run(wheeldraft().arg("properties").arg(out.join("3001-A.json")).args(["--format", "json"])).json();
    // calculated: rings of 26 × 2.5 on 8 in, less 13 × 0.5 in, in mm³, plus the fillet's r²(1 − π/4) at its centroid, 0.223368 r off the corner
    let ring = |d: f64, h: f64, t: f64| std::f64::consts::PI / 4.0 * (d * d - h * h) * t;
    let r = 0.125_f64;
    let fillet = r * r * (1.0 - std::f64::consts::FRAC_PI_4) * 2.0 * std::f64::consts::PI * (6.5 - 0.223_368 * r);
    let inches = ring(26.0, 8.0, 2.5) - ring(13.0, 8.0, 0.5) + fillet;
    assert!((p["plain"]["volume"].as_f64().unwrap() / (inches * 25.4_f64.powi(3)) - 1.0).abs() < 1e-7);
    // an order that is there is never replaced
    let again = run(wheeldraft().arg("intake").arg(&list).arg("-o").arg(&out));
    assert!(again.code == 2 && again.err.contains("exists already"), "{}", again.err);
}

#[test]
fn units_come_from_cell_heading_row_or_the_whole_list() {
    let folder = TempDir::new().unwrap();
    let list =
        listed(folder.path(), "No;Durchmesser (mm);Breite;Bohrung;Einheit\n1;400;50,5;5 in;mm\n2;400;2-1/2;3;in\n");
    let ran = run(wheeldraft().arg("intake").arg(&list).arg("-o").arg(folder.path().join("orders")));
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(
        order(folder.path(), "1-A.json")["wheel"],
        json!({"outside_diameter": "400 mm", "thickness": "50.5 mm", "bore": "5 in"})
    );
    assert_eq!(order(folder.path(), "2-A.json")["wheel"]["thickness"], "2-1/2 in");
    let list = listed(folder.path(), "OD,Width,Hole\n400,50,127\n");
    let out = folder.path().join("more");
    let ran = run(wheeldraft().arg("intake").arg(&list).arg("-o").arg(&out));
    assert!(ran.code == 2 && ran.err.contains("has no unit") && !out.exists(), "{}", ran.err);
    assert_eq!(run(wheeldraft().arg("intake").arg(&list).args(["--units", "mm", "-o"]).arg(&out)).code, 0);
    assert!(out.join("L2-A.json").exists());
}

const BAD: &str = "number,qty,OD,thickness,bore\n1,4,26 in,2 in,8 in\n2,four,26 in,2 in,8 in\n3,1,26 in,two,8 in\n4,1,26 in,2 in,27 in\n1,1,26 in,2 in,8 in\n";

#[test]
fn every_bad_cell_is_named_and_nothing_is_written() {
    let folder = TempDir::new().unwrap();
    let (list, out) = (listed(folder.path(), BAD), folder.path().join("orders"));
    let mut command = wheeldraft();
    command.arg("intake").arg(&list).arg("-o").arg(&out);
    let ran = run(&mut command);
    assert!(ran.code == 2 && !out.exists(), "{}", ran.err);
    for told in ["list.csv:3: qty:", "list.csv:4: thickness:", "list.csv:5: ", "list.csv:6: number:"] {
        assert!(ran.err.contains(told), "{told}: {}", ran.err);
    }
    let ran = run(command.arg("--good-rows"));
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert_eq!(fs::read_dir(&out).unwrap().count(), 1);
}

#[test]
fn a_heading_nobody_knows_is_refused() {
    let folder = TempDir::new().unwrap();
    let list = listed(folder.path(), "OD,thickness,bore,price\n26 in,2 in,8 in,1\n");
    let ran = run(wheeldraft().arg("intake").arg(&list).arg("-o").arg(folder.path()));
    assert!(ran.code == 2 && ran.err.contains("`price` is no heading"), "{}", ran.err);
    let list = listed(folder.path(), "OD,bore\n26 in,8 in\n");
    let ran = run(wheeldraft().arg("intake").arg(&list).arg("-o").arg(folder.path()));
    assert!(ran.code == 2 && ran.err.contains("no column is the thickness"), "{}", ran.err);
}

#[test]
fn the_template_is_a_list_itself() {
    let folder = TempDir::new().unwrap();
    let printed = run(wheeldraft().args(["intake", "--headings"]));
    let list = listed(folder.path(), &printed.out);
    let ran = run(wheeldraft().arg("intake").arg(&list).arg("-o").arg(folder.path().join("orders")));
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(order(folder.path(), "2001-A.json")["wheel"]["bore"], "203.2 mm");
}

/// The papers of an order are in the unit its list is in, wherever that stands.
#[test]
fn an_order_is_in_the_unit_of_its_list() {
    let folder = TempDir::new().unwrap();
    let lists = [
        ("no,OD in,thickness in,bore in\n1,26,2,8\n", "in"),
        ("no,OD,thickness,bore\n1,26 in,2 in,8 in\n", "in"),
        ("no,OD,thickness,bore,unit\n1,26,2,8,in\n", "in"),
        ("no,OD [mm],thickness [mm],bore [mm]\n1,600,50,203.2\n", "mm"),
    ];
    for (i, (text, unit)) in lists.into_iter().enumerate() {
        let (list, out) = (folder.path().join("list.csv"), folder.path().join(i.to_string()));
        fs::write(&list, text).unwrap();
        let ran = run(wheeldraft().arg("intake").arg(&list).arg("-o").arg(&out));
        assert_eq!(ran.code, 0, "{text}: {}", ran.err);
        let order: Value = serde_json::from_slice(&fs::read(out.join("1-A.json")).unwrap()).unwrap();
        assert_eq!(order["units"], unit, "{text}");
    }
}
