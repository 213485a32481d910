//! The least thickness under grooves, by plane geometry.

use crate::support::job;
use serde_json::{Value, json};
use wheeldraft::properties::{WallLeft, wall_left};
use wheeldraft::section::Section;

/// The least wall of a wheel Ø400 × 50 with a bore of 127 mm.
fn wall(side_a: &Value, side_b: &Value) -> Option<WallLeft> {
    let wheel = json!({"outside_diameter": 400, "thickness": 50, "bore": 127, "side_a": side_a, "side_b": side_b});
    let job = job(&json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": wheel}));
    wall_left(&job.wheel, &Section::of(&job.wheel).unwrap())
}

/// Eighteen grooves 3 mm wide and `depth` deep from `inner_diameter`, with what else is given.
fn grooves(depth: f64, inner_diameter: f64, more: Value) -> Value {
    let mut set = json!({"count": 18, "width": 3, "depth": depth, "inner_diameter": inner_diameter});
    for (key, value) in more.as_object().unwrap() {
        set[key] = value.clone();
    }
    json!({"grooves": set})
}

#[track_caller]
fn is(got: Option<WallLeft>, thickness: f64, opposite: bool) -> WallLeft {
    let got = got.expect("a wall");
    assert!((got.thickness - thickness).abs() < 1e-9, "{got:?} against {thickness}");
    assert_eq!(got.opposite_grooves, opposite, "{got:?}");
    got
}

#[test]
fn one_side_grooved() {
    let none = json!({});
    assert_eq!(wall(&none, &none), None);
    is(wall(&grooves(5.0, 200.0, json!({})), &none), 45.0, false);
    is(wall(&none, &grooves(5.0, 200.0, json!({}))), 45.0, false);
    // a recess opposite: under the grooves as far as it goes, whatever the rest of it
    let recess = json!({"recess": [{"diameter": 240, "depth": 12}]});
    is(wall(&grooves(5.0, 200.0, json!({})), &recess), 33.0, false);
    is(wall(&grooves(5.0, 240.0, json!({})), &recess), 33.0, false);
    is(wall(&grooves(5.0, 242.0, json!({})), &recess), 45.0, false);
    is(wall(&grooves(5.0, 150.0, json!({"outer_diameter": 300})), &recess), 33.0, false);
    // ended short of the opposite corner, and running out over it: 6 mm of its radius at the outside diameter, none of it at r 150
    let corner = json!({"corner": {"radius": 6}});
    is(wall(&grooves(5.0, 200.0, json!({"outer_diameter": 300})), &corner), 45.0, false);
    let at = is(wall(&grooves(5.0, 200.0, json!({})), &corner), 39.0, false);
    assert_eq!(at.radius, 200.0);
}

#[test]
fn a_groove_above_its_own_recess_floor_takes_nothing_there() {
    // the recess of 8 mm is deeper than the grooves that begin in it: they count from its wall outwards
    let mut own = grooves(5.0, 200.0, json!({}));
    own["recess"] = json!([{"diameter": 260, "depth": 8}]);
    let opposite = json!({"recess": [{"diameter": 240, "depth": 10}]});
    let at = is(wall(&own, &opposite), 45.0, false);
    assert!(at.radius >= 130.0, "{at:?}");
    // as deep as the recess: nothing taken in it, and the same floor outside
    own["grooves"]["depth"] = json!(8);
    is(wall(&own, &opposite), 42.0, false);
    // deeper, they are cut into its floor, under which the opposite recess lies
    own["grooves"]["depth"] = json!(9);
    is(wall(&own, &opposite), 31.0, false);
}

#[test]
fn both_sides_grooved() {
    let (a, b) = (grooves(5.0, 200.0, json!({})), grooves(4.0, 220.0, json!({})));
    is(wall(&a, &b), 41.0, true);
    // between those of the other side: each faces the plain surface
    is(wall(&a, &grooves(4.0, 220.0, json!({"start_deg": 10}))), 45.0, false);
    // over other radii
    is(wall(&grooves(5.0, 200.0, json!({"outer_diameter": 300})), &grooves(4.0, 320.0, json!({}))), 45.0, false);
    is(wall(&grooves(5.0, 200.0, json!({"outer_diameter": 300})), &grooves(4.0, 290.0, json!({}))), 41.0, true);
}

/// At the outside diameter half widths of 1.5 and 1.5 mm reach asin(3/200) = 0.859 46°; from there on no groove faces another.
#[test]
fn grooves_face_each_other_as_far_as_their_half_widths_reach() {
    let reach = (3.0f64 / 200.0).asin().to_degrees();
    for nearest in [0.0, 20.0, -20.0, 160.0, 340.0] {
        for (apart, faces) in [(0.999, true), (1.001, false), (-0.999, true), (-1.001, false)] {
            let start = nearest + apart * reach;
            let b = grooves(4.0, 200.0, json!({"start_deg": start}));
            is(wall(&grooves(5.0, 200.0, json!({})), &b), if faces { 41.0 } else { 45.0 }, faces);
            // only one of the grooves opposite is there to meet
            let omit: Vec<u32> = (2..=18).collect();
            let one = grooves(4.0, 200.0, json!({"start_deg": start, "omit": omit}));
            is(wall(&grooves(5.0, 200.0, json!({})), &one), if faces { 41.0 } else { 45.0 }, faces);
        }
    }
}

/// One groove at 100° among the directions of the other side's: its neighbours there are looked at, not the first and the last.
#[test]
fn a_single_groove_faces_its_own_neighbour() {
    let omit: Vec<u32> = (1..=18).filter(|&k| k != 6).collect();
    let single = grooves(5.0, 200.0, json!({"omit": omit}));
    for (start, faces) in [(0.5, true), (-0.5, true), (3.0, false), (-3.0, false)] {
        let many = grooves(4.0, 200.0, json!({"start_deg": start, "omit": [1, 18]}));
        is(wall(&single, &many), if faces { 41.0 } else { 45.0 }, faces);
        is(wall(&many, &single), if faces { 41.0 } else { 45.0 }, faces);
    }
}

/// The floor follows its taper: of one that falls towards the bore it is deepest at the inner end, wherever that lies along a skewed line.
#[test]
fn on_a_taper_the_wall_is_least_at_the_deep_end() {
    for skew in [0.0, 25.0, -25.0] {
        let more = json!({"skew_deg": skew, "outer_diameter": 370});
        let mut inwards = grooves(5.0, 261.0, more.clone());
        inwards["taper"] = json!({"from_diameter": 380, "to_diameter": 240, "depth": 14});
        // slope 14 over 70: at r 130.5 the side lies 0.2·(190 − 130.5) = 11.9 deep
        let at = is(wall(&inwards, &json!({})), 50.0 - 11.9 - 5.0, false);
        assert!((at.radius - 130.5).abs() < 1e-9, "{at:?}");
        let mut outwards = grooves(5.0, 261.0, more);
        outwards["taper"] = json!({"from_diameter": 240, "to_diameter": 380, "depth": 14});
        // at r 185: 0.2·65 = 13
        let at = is(wall(&outwards, &json!({})), 50.0 - 13.0 - 5.0, false);
        assert!((at.radius - 185.0).abs() < 1e-9, "{at:?}");
    }
}

/// Above a run-out the floor has not come down yet: the wall is least from the tangent on, √(depth·(D − depth)) beyond the inner end.
#[test]
fn a_run_out_s_wall_is_least_from_its_tangent_on() {
    let recess = json!({"recess": [{"diameter": 220, "depth": 12}]});
    let runout = grooves(5.0, 200.0, json!({"inner_end": "runout", "cutter_diameter": 100}));
    let tangent = 100.0 + (5.0f64 * 95.0).sqrt();
    // the recess opposite ends at r 110, where the arc is at: cutter's centre 45 above the surface, u = tangent
    let off = tangent - 110.0;
    let there = -45.0 + (50.0f64 * 50.0 - off * off).sqrt();
    let at = is(wall(&runout, &recess), 50.0 - 12.0 - there, false);
    assert_eq!(at.radius, 110.0);
    let at = is(wall(&runout, &json!({})), 45.0, false);
    assert!(at.radius >= tangent - 1e-9, "{at:?}");
}
