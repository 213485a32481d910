//! A wheel cut smaller, worked out by hand: what is left of recesses, tapers, grooves and rim at a diameter, and where its use ends.

use crate::support::job;
use serde_json::{Value, json};
use std::f64::consts::PI;
use wheeldraft::properties::of_section;
use wheeldraft::properties::wear::{Event, end_diameter, of as wear_of, worn};
use wheeldraft::section::Section;
use wheeldraft::wheel::{Job, SideName, Wheel};

/// A wheel Ø600 × 50 × 200 with these sides, and this under `machine` and `mount`.
fn order(parts: Value, machine: Value, mount: Value) -> Job {
    let mut wheel = json!({"outside_diameter": 600, "thickness": 50, "bore": 200});
    for (key, value) in parts.as_object().unwrap() {
        wheel[key] = value.clone();
    }
    job(
        &json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": wheel, "machine": machine, "mount": mount}),
    )
}

fn wheel(parts: Value) -> Wheel {
    order(parts, json!({}), json!({})).wheel
}

#[track_caller]
fn close(got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9 * (1.0 + want.abs()), "{got} against {want}");
}

#[test]
fn use_ends_with_the_travel_or_at_the_flanges() {
    let travel = |mm: f64, on: &str| json!({"usable_travel": mm, "travel_on": on});
    let flange = |d: f64| json!({"flange_diameter": d});
    let end = |machine: Value, mount: Value| end_diameter(&order(json!({}), machine, mount));
    assert_eq!(end(json!({}), json!({})), None);
    assert_eq!(end(travel(100.0, "radius"), json!({})), Some(400.0));
    assert_eq!(end(travel(100.0, "diameter"), json!({})), Some(500.0));
    assert_eq!(end(json!({}), flange(320.0)), Some(320.0));
    assert_eq!(end(travel(100.0, "radius"), flange(320.0)), Some(400.0));
    assert_eq!(end(travel(145.0, "radius"), flange(320.0)), Some(320.0));
    // never into the bore: 2 % of it are left, 204
    close(end(travel(220.0, "radius"), json!({})).unwrap(), 204.0);
    // the least travel an order may name
    assert!(end(travel(0.001, "diameter"), json!({})).is_some());
}

#[test]
fn the_last_event_says_what_ends_the_use() {
    let last = |travel: f64, flange: f64| {
        let machine = json!({"usable_travel": travel, "travel_on": "radius", "spindle_rpm": 1000});
        let sides = json!({"side_a": {"grooves": {"count": 9, "width": 3, "depth": 4, "inner_diameter": 360}},
            "side_b": {"recess": [{"diameter": 440, "depth": 8}, {"diameter": 360, "depth": 12}]}});
        let wear = wear_of(&order(sides, machine, json!({"flange_diameter": flange})), None, 3).unwrap();
        (wear.end, wear.events)
    };
    let reached = (440.0, Event::RecessReached(SideName::B, 0));
    // what happens only at the very end is not told beside the end
    assert_eq!(last(120.0, 300.0), (360.0, vec![reached, (360.0, Event::TravelUsed)]));
    assert_eq!(last(120.0, 360.0), (360.0, vec![reached, (360.0, Event::FlangeReached)]));
    assert_eq!(last(120.0, 359.9).1[1], (360.0, Event::TravelUsed));
    assert_eq!(last(130.0, 360.0).1[1], (360.0, Event::FlangeReached));
    let deeper = last(121.0, 300.0).1;
    assert_eq!(deeper[1..3].iter().map(|e| e.0).collect::<Vec<_>>(), [360.0, 360.0]);
    assert!(deeper.contains(&(360.0, Event::GroovesGone(SideName::A))));
    assert_eq!(Event::RecessReached(SideName::B, 1).words(), "worn into step 2 of the recess on side B");
    assert_eq!(Event::GroovesGone(SideName::A).words(), "grooves of side A worn away");
}

#[test]
fn stages_stand_at_equal_steps_and_at_events() {
    let sides = json!({"side_a": {"recess": [{"diameter": 420, "depth": 10}], "grooves": {"count": 9, "width": 3, "depth": 4, "inner_diameter": 450}}});
    let machine = json!({"usable_travel": 100, "travel_on": "radius", "spindle_rpm": 1000});
    let at = |steps: usize| {
        let wear = wear_of(&order(sides.clone(), machine.clone(), json!({})), Some(2000.0), steps).unwrap();
        wear.stages.iter().map(|s| s.diameter).collect::<Vec<_>>()
    };
    // 450 is both a step and an event
    assert_eq!(at(4), [600.0, 550.0, 500.0, 450.0, 420.0, 400.0]);
    assert_eq!(at(1), [600.0, 450.0, 420.0, 400.0]);
}

/// Every number of a stage: the ring 600 × 50 × 200 with grooves ended at Ø500 and the face grooved, tapers on both sides.
#[test]
fn the_numbers_of_a_stage() {
    let parts = json!({
        "side_a": {"taper": {"from_diameter": 400, "to_diameter": 600, "depth": 4}},
        "side_b": {"taper": {"from_diameter": 300, "to_diameter": 600, "depth": 6},
            "grooves": {"count": 9, "width": 3, "depth": 4, "inner_diameter": 420, "outer_diameter": 500}},
        "face": {"grooves": {"count": 12, "width": 4, "depth": 20, "helix_deg": 15}}});
    let machine = json!({"usable_travel": 90, "travel_on": "radius", "spindle_rpm": 900});
    let job = order(parts, machine, json!({}));
    let wear = wear_of(&job, Some(2000.0), 9).unwrap();
    let at = |d: f64| wear.stages.iter().find(|s| (s.diameter - d).abs() < 1e-9).unwrap();
    // tapers of 4 in 100 and 6 in 150 mm of radius, both 0.04
    for (d, rim) in [(600.0, 40.0), (560.0, 41.6), (480.0, 44.8)] {
        close(at(d).rim, rim);
        close(at(d).speed.unwrap(), PI * d * 15e-3);
    }
    close(at(600.0).sides[1].unwrap().1, 40.0);
    close(at(520.0).sides[1].unwrap().1, 40.0);
    close(at(480.0).sides[1].unwrap().1, 30.0);
    assert!(at(600.0).sides[0].is_none());
    // nine boxes of 3 × 40 and, cut at the rim, of 3 × 30 less what the circle takes of their ends, in the ring from r 210
    let ring = |d: f64| PI * (d * d / 4.0 - 210.0 * 210.0);
    close(at(600.0).sides[1].unwrap().0, 1.0 - 9.0 * 120.0 / ring(600.0));
    close(at(520.0).sides[1].unwrap().0, 1.0 - 9.0 * 120.0 / ring(520.0));
    close(at(600.0).face_depth.unwrap(), 20.0);
    close(at(580.0).face_depth.unwrap(), 10.0);
    assert_eq!(at(560.0).face_depth, None);
    // half of the polar inertia times ω²
    let cut = worn(&job.wheel, 540.0);
    let inertia = of_section(&cut, &Section::of(&cut).unwrap(), Some(2000.0)).wheel.polar_inertia.unwrap();
    close(at(540.0).energy.unwrap(), inertia / 2.0 * (30.0 * PI).powi(2));
    // nothing is said of a higher rpm without a marked speed
    assert!(wear.stages.iter().all(|s| s.rpm_constant_speed.is_none()));
    // the face groove turns as much for each mm of the axis: the tangent of its helix falls with the diameter
    let face = worn(&job.wheel, 570.0).face.unwrap();
    close(face.depth, 5.0);
    close(face.helix_deg.to_radians().tan(), 15f64.to_radians().tan() * 570.0 / 600.0);
}

#[test]
fn skewed_grooves_stay_where_they_are() {
    let before =
        wheel(json!({"side_a": {"grooves": {"count": 9, "start_deg": 7, "width": 3, "depth": 4, "inner_diameter": 420,
        "outer_diameter": 520, "skew_deg": 25}}}));
    for (diameter, outer) in [(550.0, Some(520.0)), (520.0 + 1e-6, Some(520.0)), (520.0, None), (480.0, None)] {
        let g = worn(&before, diameter).side_a.grooves.unwrap();
        assert_eq!(g.outer_diameter, outer, "{diameter}");
        assert_eq!((g.depth, g.inner_diameter), (4.0, 420.0));
        close(diameter * g.skew_deg.to_radians().sin(), 600.0 * 25f64.to_radians().sin());
        close(g.pattern.start_deg + g.skew_deg, 32.0);
    }
    assert!(worn(&before, 420.0 + 1e-6).side_a.grooves.is_some());
    assert!(worn(&before, 420.0).side_a.grooves.is_none());
    assert_eq!(worn(&before, 600.0 - 0.9e-7), before);
    assert_eq!(worn(&before, 600.0), before);
    assert_ne!(worn(&before, 600.0 - 1.1e-7), before);
}

/// The outer step lies 10 deep: from Ø420 inwards that is the side, and everything else lies that much less deep.
#[test]
fn worn_into_a_recess_its_floor_is_the_side() {
    let before = wheel(json!({"side_a": {"recess": [{"diameter": 420, "depth": 10}, {"diameter": 340, "depth": 14}],
        "grooves": {"count": 9, "width": 3, "depth": 12, "inner_diameter": 300}}}));
    for (diameter, thickness, steps, depth) in [
        (420.0 + 1e-6, 50.0, vec![10.0, 14.0], Some(12.0)),
        (420.0, 40.0, vec![4.0], Some(2.0)),
        (350.0, 40.0, vec![4.0], Some(2.0)),
        (340.0, 36.0, vec![], None),
        (310.0, 36.0, vec![], None),
    ] {
        let cut = worn(&before, diameter);
        assert_eq!(cut.thickness, thickness, "{diameter}");
        assert_eq!(cut.side_a.recess.iter().map(|s| s.depth).collect::<Vec<_>>(), steps, "{diameter}");
        assert_eq!(cut.side_a.grooves.map(|g| g.depth), depth, "{diameter}");
        assert_eq!(cut.outside_diameter, diameter);
    }
    // a groove whose floor is the recess's own is gone with it
    let level = wheel(json!({"side_a": {"recess": [{"diameter": 420, "depth": 10}],
        "grooves": {"count": 9, "width": 3, "depth": 10, "inner_diameter": 300}}}));
    assert!(worn(&level, 421.0).side_a.grooves.is_some());
    assert!(worn(&level, 420.0).side_a.grooves.is_none());
}

/// A side that falls 4 mm from Ø580 to Ø380 towards the bore: at Ø480 the rim has sunk 2 mm, and with it the plane that depths count from.
#[test]
fn worn_into_a_falling_side_the_rim_sinks() {
    let side = json!({"taper": {"from_diameter": 580, "to_diameter": 380, "depth": 4}, "recess": [{"diameter": 300, "depth": 10}],
        "grooves": {"count": 9, "width": 3, "depth": 6, "inner_diameter": 320}});
    for (key, name) in [("side_a", SideName::A), ("side_b", SideName::B)] {
        let before = wheel(json!({key: side}));
        for (diameter, sunk, taper) in [
            (590.0, 0.0, Some((580.0, 4.0))),
            (580.0, 0.0, Some((580.0, 4.0))),
            (480.0, 2.0, Some((480.0, 2.0))),
            (430.0, 3.0, Some((430.0, 1.0))),
            (380.0, 4.0, None),
            (350.0, 4.0, None),
        ] {
            let cut = worn(&before, diameter);
            let left = cut.side(name);
            close(cut.thickness, 50.0 - sunk);
            close(left.recess[0].depth, 10.0 - sunk);
            assert_eq!(left.recess[0].diameter, 300.0);
            let g = left.grooves.as_ref().unwrap();
            close(g.depth, 6.0 - sunk);
            let got = left.taper.map(|t| (t.from_diameter, t.depth));
            assert_eq!(got.is_some(), taper.is_some(), "{diameter}");
            if let (Some(got), Some(want)) = (got, taper) {
                close(got.0, want.0);
                close(got.1, want.1);
                assert_eq!(left.taper.unwrap().to_diameter, 380.0);
            }
        }
    }
    // the other way the rim is the thin end, and stays so
    let rising = wheel(json!({"side_b": {"taper": {"from_diameter": 380, "to_diameter": 580, "depth": 4}}}));
    let cut = worn(&rising, 480.0);
    assert_eq!((cut.thickness, cut.side_b.taper), (50.0, rising.side_b.taper));
    let flat = worn(&rising, 380.0);
    assert_eq!((flat.thickness, flat.side_b.taper), (50.0, None));
    // grooves as deep as the side has sunk are gone
    let shallow = wheel(json!({"side_a": {"taper": {"from_diameter": 580, "to_diameter": 380, "depth": 4},
        "grooves": {"count": 9, "width": 3, "depth": 4, "inner_diameter": 320}}}));
    assert!(worn(&shallow, 381.0).side_a.grooves.is_some());
    assert!(worn(&shallow, 380.0).side_a.grooves.is_none());
}
