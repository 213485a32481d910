//! What a diamond's nose leaves, against values by hand.

use crate::support::job;
use serde_json::{Value, json};
use std::f64::consts::{FRAC_PI_4, SQRT_2};
use wheeldraft::cutting::nose::NosePath;
use wheeldraft::cutting::profile::{Operation, Profile};
use wheeldraft::geometry::Edge;
use wheeldraft::section::Feature;
use wheeldraft::wheel::SideName;

fn recessed(steps: &Value) -> Value {
    json!({"order": {"number": "N1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127, "side_a": {"recess": steps, "corner": {"radius": 3}}}})
}

fn path(order: &Value, radius: f64) -> (Profile, NosePath) {
    let profile = Profile::of(&job(order).wheel).unwrap();
    let path = NosePath::of(&profile, radius).unwrap();
    (profile, path)
}

#[test]
fn a_sharp_inner_corner_keeps_the_square_less_the_quarter_circle() {
    let (_, nose) = path(&recessed(&json!([{"diameter": 250, "depth": 12}])), 0.8);
    assert_eq!(nose.leftovers.len(), 1);
    let left = &nose.leftovers[0];
    assert!((left.most - 0.8 * (SQRT_2 - 1.0)).abs() < 1e-12, "{}", left.most);
    assert!((left.area - 0.64 * (1.0 - FRAC_PI_4)).abs() < 1e-12, "{}", left.area);
    assert_eq!((left.at.x, left.at.y), (12.0, 125.0));
    let wall_and_floor = [Feature::RecessWall(SideName::A, 0), Feature::RecessFloor(SideName::A, 0)];
    assert!(wall_and_floor.iter().all(|f| left.features.contains(f)));
}

#[test]
fn a_fillet_tighter_than_the_nose_keeps_the_difference_and_a_wider_one_nothing() {
    for (fillet, nose_radius) in [(0.5, 0.8), (0.8, 0.8), (1.5, 0.8)] {
        let (_, nose) = path(&recessed(&json!([{"diameter": 250, "depth": 12, "fillet_radius": fillet}])), nose_radius);
        if fillet >= nose_radius {
            assert!(nose.leftovers.is_empty(), "fillet {fillet}: {:?}", nose.leftovers);
            continue;
        }
        let by: f64 = nose_radius - fillet;
        let left = &nose.leftovers[0];
        assert!((left.most - by * (SQRT_2 - 1.0)).abs() < 1e-12);
        let area = (nose_radius * nose_radius - fillet * fillet) * (1.0 - FRAC_PI_4);
        assert!((left.area - area).abs() < 1e-11, "{} {area}", left.area);
    }
}

#[test]
fn a_step_narrower_than_the_nose_is_bridged_and_told() {
    // the first step's floor is 1 mm wide, its wall 10 mm high: a nose of 4 rests on the wall and on the floor's inner edge
    let (_, nose) = path(&recessed(&json!([{"diameter": 250, "depth": 10}, {"diameter": 248, "depth": 20}])), 4.0);
    assert_eq!(nose.leftovers.len(), 2);
    let bridged = nose.leftovers.iter().find(|l| l.at.x == 10.0).expect("the narrow step");
    // centre at radius 121, touching the edge (10, 124): 4² = (10 − x)² + 3², so x = 10 − √7; the corner (10, 125) is √(7 + 16) from it
    assert!((bridged.most - (23.0_f64.sqrt() - 4.0)).abs() < 1e-12, "{}", bridged.most);
}

#[test]
fn convex_corners_are_turned_about_and_arcs_stay_arcs() {
    let (profile, nose) = path(&recessed(&json!([{"diameter": 250, "depth": 12, "fillet_radius": 2}])), 0.8);
    let radii = |of: Operation| -> Vec<f64> {
        let runs = nose.runs(of).concat();
        runs.iter().filter_map(|e| if let Edge::Arc(a) = e { Some(a.radius()) } else { None }).collect()
    };
    // side A from the rim inwards: the corner radius grown by the nose, the recess's sharp edge turned about, the fillet shrunk, the bore's edge
    assert_eq!(radii(Operation::SideA), [3.8, 0.8, 1.2, 0.8]);
    assert_eq!(nose.runs(Operation::SideA).len(), 1);
    assert!(nose.path.area() > profile.contour.area());
}

#[test]
fn a_nose_larger_than_the_bore_is_refused() {
    let profile = Profile::of(&job(&recessed(&json!([]))).wheel).unwrap();
    let refused = NosePath::of(&profile, 80.0).unwrap_err();
    assert!(refused.to_string().contains("does not fit into the bore"), "{refused}");
    assert!(NosePath::of(&profile, 0.0).is_err());
    assert!(NosePath::of(&profile, f64::NAN).is_err());
}
