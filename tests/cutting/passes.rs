//! Groove passes: beside each other, above each other, where they begin and end.

use crate::support::job;
use serde_json::{Value, json};
use wheeldraft::cutting::passes::{self, Cutter};
use wheeldraft::wheel::{Job, SideName};

fn order(grooves: Value) -> Job {
    job(&json!({"order": {"number": "P1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127, "side_a": {"grooves": grooves}}}))
}

fn cutter(width: f64, diameter: Option<f64>) -> Cutter {
    Cutter { width, diameter, over_run: 2.0, depth_per_pass: None }
}

fn plain() -> Value {
    json!({"count": 36, "width": 3, "depth": 5, "inner_diameter": 200})
}

#[test]
fn passes_beside_each_other_sweep_the_width_and_no_more() {
    for width in [0.4, 1.0, 1.4, 1.6, 2.0, 2.9, 3.0] {
        let made = passes::side(&order(plain()), SideName::A, &cutter(width, None)).unwrap().unwrap();
        let v: Vec<f64> = made.passes.iter().map(|p| p.from.y).collect();
        assert!((v[0] - width / 2.0 + 1.5).abs() < 1e-12, "the first touches one wall");
        assert!((v[v.len() - 1] + width / 2.0 - 1.5).abs() < 1e-12, "the last touches the other");
        assert!(v.windows(2).all(|w| w[1] > w[0] && w[1] - w[0] <= 0.9 * width + 1e-12), "no ridge between: {v:?}");
    }
    assert_eq!(passes::side(&order(plain()), SideName::A, &cutter(3.0, None)).unwrap().unwrap().passes.len(), 1);
}

#[test]
fn a_cutter_wider_than_the_groove_makes_nothing_and_says_so() {
    let made = passes::side(&order(plain()), SideName::A, &cutter(3.1, None)).unwrap().unwrap();
    assert!(made.passes.is_empty());
    assert!(made.remarks[0].contains("3.1 mm wide"), "{:?}", made.remarks);
}

#[test]
fn a_disc_starts_clear_of_the_wheel_and_stops_where_its_rim_reaches_the_inner_end() {
    let made = passes::side(&order(plain()), SideName::A, &cutter(3.0, Some(100.0))).unwrap().unwrap();
    // 5 deep with radius 50: half chord √(5 · 95) = 21.794
    let half_chord = 475.0_f64.sqrt();
    assert!((made.passes[0].to.x - (100.0 + half_chord)).abs() < 1e-6);
    // the disc grown by the clearance touches the rim's edge: (50 + 2.001)² less the 45 its centre stands above the side
    assert!((made.passes[0].from.x - (200.0 + (52.001_f64.powi(2) - 45.0_f64.powi(2)).sqrt())).abs() < 1e-9);
    assert!(made.remarks.iter().any(|r| r.contains("21.794 mm farther out")), "{:?}", made.remarks);
}

#[test]
fn a_groove_that_ends_inside_is_plunged_between_two_run_outs() {
    let mut grooves = plain();
    grooves["outer_diameter"] = json!(380);
    let made = passes::side(&order(grooves.clone()), SideName::A, &cutter(3.0, Some(100.0))).unwrap().unwrap();
    assert!(!made.open);
    assert!((made.passes[0].from.x - (190.0 - 475.0_f64.sqrt())).abs() < 1e-6);
    grooves["outer_diameter"] = json!(230);
    let short = passes::side(&order(grooves), SideName::A, &cutter(3.0, Some(100.0))).unwrap().unwrap();
    assert!(short.passes.is_empty() && short.remarks[0].contains("shorter than the run-outs"), "{:?}", short.remarks);
}

#[test]
fn depth_is_shared_evenly_and_the_last_pass_is_at_full_depth() {
    let c = Cutter { depth_per_pass: Some(2.0), ..cutter(3.0, None) };
    let heights = c.heights(5.0);
    assert_eq!(heights.len(), 3);
    assert!((heights[0] - 10.0 / 3.0).abs() < 1e-12 && heights[2] == 0.0);
    assert_eq!(Cutter { depth_per_pass: Some(2.5), ..c }.heights(5.0).len(), 2);
    assert_eq!(Cutter { depth_per_pass: None, ..c }.heights(5.0), [0.0]);
}

#[test]
fn a_narrow_cutter_stays_above_a_round_bottom() {
    let mut grooves = plain();
    grooves["bottom"] = json!("round");
    let made = passes::side(&order(grooves), SideName::A, &cutter(1.0, None)).unwrap().unwrap();
    for pass in &made.passes {
        // the half circle of radius 1.5 at the cutter's outer corner
        let reach = pass.from.y.abs() + 0.5;
        let bottom = 1.5 - (1.5 * 1.5 - reach * reach).max(0.0).sqrt();
        assert!((pass.raised - bottom).abs() < 1e-7, "{pass:?}");
    }
}
