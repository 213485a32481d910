//! Lands between grooves, and counts of grooves held against limits: plane geometry, and every limit tried just inside, on it and just outside.

use crate::support::job;
use serde_json::{Value, json};
use std::f64::consts::PI;
use wheeldraft::properties::lands::Lands;
use wheeldraft::properties::planner::{
    Against, Choice, Grooves, Limits, Question, counts, index_error, resonance, sweep,
};
use wheeldraft::properties::{self, GrooveNumbers};
use wheeldraft::wheel::Wheel;

fn wheel(parts: &Value) -> Wheel {
    let mut wheel = json!({"outside_diameter": 400, "thickness": 50, "bore": 127});
    for (key, value) in parts.as_object().unwrap() {
        wheel[key] = value.clone();
    }
    job(&json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": wheel})).wheel
}

fn numbers(parts: &Value) -> [Option<GrooveNumbers>; 2] {
    let wheel = wheel(parts);
    let section = wheeldraft::section::Section::of(&wheel).unwrap();
    let sets = properties::of_section(&wheel, &section, None).grooves;
    [sets.side_a, sets.face]
}

#[track_caller]
fn close(got: f64, want: f64, off: f64) {
    assert!((got - want).abs() <= off, "{got} against {want}: {:e}", got - want);
}

/// Share of a circle that grooves covering `each` radians leave, cut at these places of n: by sorting and merging intervals.
fn left_of_circle(each: f64, places: u32, omit: &[u32]) -> f64 {
    let pitch = 2.0 * PI / f64::from(places);
    let mut cut: Vec<f64> = (1..=places).filter(|k| !omit.contains(k)).map(|k| pitch * f64::from(k)).collect();
    cut.push(cut[0] + 2.0 * PI);
    1.0 - cut.windows(2).map(|w| each.min(w[1] - w[0])).sum::<f64>() / (2.0 * PI)
}

#[test]
fn lands_of_the_face() {
    for omit in [vec![], vec![5u32], vec![1, 2, 3, 40], vec![36, 1]] {
        let [_, face] = numbers(&json!({"face": {"grooves": {"count": 40, "width": 4, "depth": 6, "omit": omit}}}));
        let g = face.unwrap();
        let angle = |r: f64| 2.0 * (2.0 / r).asin();
        close(g.land_outer, 200.0 * (PI / 20.0 - angle(200.0)), 1e-10);
        close(g.land_inner, 194.0 * (PI / 20.0 - angle(194.0)), 1e-10);
        close(g.land_share, left_of_circle(angle(200.0), 40, &omit), 1e-12);
        close(g.merge_diameter.unwrap(), 4.0 / (PI / 40.0).sin(), 1e-9);
    }
    // along a helix the face is cut as much wider as 1/cos of its angle
    let [_, face] = numbers(&json!({"face": {"grooves": {"count": 40, "width": 4, "depth": 6, "helix_deg": 30}}}));
    close(face.unwrap().land_outer, 200.0 * (PI / 20.0 - 2.0 * (2.0 / 30f64.to_radians().cos() / 200.0).asin()), 1e-10);
}

/// One groove has no neighbour to meet; two opposite ones share the strip of their width; four meet on the diagonal, w·√2 from wall to wall.
#[test]
fn where_few_grooves_meet() {
    let meet = |count: u32| {
        let parts = json!({"side_a": {"grooves": {"count": count, "width": 6, "depth": 3, "inner_diameter": 200}},
            "face": {"grooves": {"count": count, "width": 6, "depth": 3}}});
        let [side, face] = numbers(&parts).map(|n| n.unwrap().merge_diameter);
        assert_eq!(side, face);
        side
    };
    assert_eq!(meet(1), None);
    close(meet(2).unwrap(), 6.0, 1e-9);
    close(meet(3).unwrap(), 6.0 / (PI / 3.0).sin(), 1e-9);
    close(meet(4).unwrap(), 6.0 * 2f64.sqrt(), 1e-9);
}

/// Skewed grooves: the wall v = high of one meets the wall v = low of the next, two lines a pitch apart in direction (plane geometry).
#[test]
fn where_skewed_grooves_meet() {
    let parts =
        json!({"side_a": {"grooves": {"count": 36, "width": 6, "depth": 3, "inner_diameter": 240, "skew_deg": 15}}});
    let offset = -200.0 * 15f64.to_radians().sin();
    let pitch = PI / 18.0;
    // lines y = high, and y = low turned by the pitch: −x·sin + y·cos = low
    let (low, high) = (offset - 3.0, offset + 3.0);
    let x = (high * pitch.cos() - low) / pitch.sin();
    close(numbers(&parts)[0].unwrap().merge_diameter.unwrap(), 2.0 * x.hypot(high), 1e-9);
}

/// Grooves that run into each other at their inner ends, some left out: the share left of the ring against sums over circles.
#[test]
fn the_share_left_counts_merged_grooves_once() {
    for (count, omit) in [(60u32, vec![]), (60, vec![1u32, 2, 31]), (60, vec![60, 1]), (1, vec![])] {
        let set = json!({"count": count, "width": 10, "depth": 4, "inner_diameter": 160, "omit": omit});
        let got = numbers(&json!({"side_a": {"grooves": set}}))[0].unwrap().land_share;
        // midpoints in r; the square end covers of each circle only what lies beyond u = 80
        let (n, inner, outer) = (100_000, 80.0f64, 200.0f64);
        let covered: f64 = (0..n)
            .map(|i| {
                let r = inner + (outer - inner) * (f64::from(i) + 0.5) / f64::from(n);
                let each = 2.0 * (5.0 / r).asin().min((80.0 / r).acos());
                r * (1.0 - left_of_circle(each, count, &omit)) * (outer - inner) / f64::from(n)
            })
            .sum();
        close(got, 1.0 - 2.0 * covered / (outer * outer - inner * inner), 2e-7);
    }
}

fn limits() -> Limits {
    Limits { land_least: 0.0, land_ratio: 0.0, share_least: 0.0, frequency_margin: 0.1 }
}

fn question(width: f64) -> Question<'static> {
    let grooves = Grooves::Ring { outside_diameter: 400.0, inner_diameter: 200.0, width, depth: None };
    Question {
        grooves,
        volume_each: None,
        wall: None,
        rpm: None,
        natural: Vec::new(),
        index_step: None,
        pitch_tolerance: None,
    }
}

fn one(q: &Question<'_>, limits: &Limits, count: u32) -> Choice {
    sweep(q, limits, &[count]).remove(0)
}

#[test]
fn each_limit_of_a_count_just_inside_on_it_and_just_outside() {
    let q = question(3.0);
    // the inner land of 90 grooves 3 mm wide on Ø200
    let land = 100.0 * (PI / 45.0 - 2.0 * (1.5f64 / 100.0).asin());
    let at = |limits: Limits, count: u32| one(&q, &limits, count).against;
    for (least, refused) in [(land - 1e-6, false), (land, false), (land + 1e-6, true)] {
        let against = at(Limits { land_least: least, ..limits() }, 90);
        assert_eq!(against.contains(&Against::Land), refused, "{least}");
        let against = at(Limits { land_ratio: least / 3.0, ..limits() }, 90);
        assert_eq!(against, if refused { vec![Against::NarrowLand] } else { vec![] }, "{least}");
        // one groove has no land beside it
        assert_eq!(at(Limits { land_least: 1e6, land_ratio: 1e6, ..limits() }, 1), []);
        // a land that is too small is not also said to be narrow
        assert_eq!(at(Limits { land_least: land + 1.0, land_ratio: 9.0, ..limits() }, 90), [Against::Land]);
    }
    assert_eq!(at(Limits { land_least: 1e6, ..limits() }, 2), [Against::Land]);
    let share = Lands::of_radial(400.0, 200.0, 3.0, 90).share;
    for (least, refused) in [(share - 1e-9, false), (share, false), (share + 1e-9, true)] {
        let against = at(Limits { share_least: least, ..limits() }, 90);
        assert_eq!(against, if refused { vec![Against::Share] } else { vec![] });
    }
    for (left, refused) in [(10.0 + 1e-6, false), (10.0, false), (10.0 - 1e-6, true)] {
        let choice = one(&Question { wall: Some((left, 10.0)), ..question(3.0) }, &limits(), 90);
        assert_eq!((choice.wall, choice.against), (Some(left), if refused { vec![Against::Wall] } else { vec![] }));
    }
    // 7 grooves by whole degrees: 51, 103, … at worst 52° for 51.428 57°
    let worst = 52.0 - 360.0 / 7.0;
    for (tolerance, refused) in
        [(Some(worst + 1e-6), false), (Some(worst), false), (Some(worst - 1e-6), true), (None, true)]
    {
        let q = Question { index_step: Some(1.0), pitch_tolerance: tolerance, ..question(3.0) };
        let choice = one(&q, &limits(), 7);
        assert_eq!(choice.against, if refused { vec![Against::Index] } else { vec![] }, "{tolerance:?}");
        close(choice.index_error.unwrap(), worst, 1e-9);
    }
    // 90 grooves at 1500 rpm pass 2250 times a second; a margin of 10 % of 2500 reaches just to it
    for (natural, refused) in [(2500.0, false), (2499.0, true), (2250.0, true), (2250.0 / 1.1, false), (2046.0, true)] {
        let q = Question { rpm: Some(1500.0), natural: vec![natural], ..question(3.0) };
        let choice = one(&q, &limits(), 90);
        assert_eq!(choice.frequency, Some(2250.0));
        assert_eq!(choice.against, if refused { vec![Against::Frequency] } else { vec![] }, "{natural}");
    }
    assert_eq!(resonance(2250.0, &[2400.0, 2300.0, 2200.0], 0.1), Some(2300.0));
}

#[test]
fn what_a_count_comes_to() {
    let choice = one(&question(3.0), &limits(), 72);
    assert_eq!((choice.count, choice.pitch_deg, choice.coolant), (72, 5.0, None));
    let whole = Question { volume_each: Some(1500.0), ..question(3.0) };
    assert_eq!(one(&whole, &limits(), 72).coolant, Some(108_000.0));
    // a ring of radial grooves is a side of them
    let lands = Lands::of_radial(400.0, 200.0, 3.0, 72);
    let side = wheel(&json!({"side_a": {"grooves": {"count": 12, "width": 3, "depth": 5, "inner_diameter": 200}},
        "face": {"grooves": {"count": 12, "width": 4, "depth": 6}}}));
    let q = Question { grooves: Grooves::Side(&side, wheeldraft::wheel::SideName::A), ..question(3.0) };
    assert_eq!(one(&q, &limits(), 72).lands, lands);
    close(lands.outer, 200.0 * (PI / 36.0 - 2.0 * (1.5f64 / 200.0).asin()), 1e-10);
    let q = Question { grooves: Grooves::Face(&side), ..question(3.0) };
    let face = one(&q, &limits(), 72).lands;
    close(face.outer, 200.0 * (PI / 36.0 - 2.0 * (2.0f64 / 200.0).asin()), 1e-10);
    close(face.share, 1.0 - 72.0 * (2.0f64 / 200.0).asin() / PI, 1e-12);
}

#[test]
fn counts_worth_a_line() {
    // up to forty counts all of them, of more those whose pitch has at most two decimals: 36 000 divided without rest
    assert_eq!(counts(61..=100).len(), 40);
    let long = counts(61..=101);
    assert_eq!(long, [72, 75, 80, 90, 96, 100]);
    assert_eq!(counts(7..=7), [7]);
}

#[test]
fn an_index_that_closes_the_circle() {
    // 64 places of 5.625° by half degrees: 5.5 or 6
    close(index_error(64, 0.5), 0.375, 1e-9);
    assert_eq!(index_error(64, 5.625), 0.0);
    assert_eq!(index_error(1, 7.0), 0.0);
    // sums of tenths of a degree come out within rounding, which is no error
    assert_eq!([index_error(360, 0.1), index_error(180, 0.1), index_error(7, 360.0 / 7.0)], [0.0; 3]);
    // by steps of 7° the last place closes to 360°, not to 357°: 180° becomes 182, leaving 178
    close(index_error(2, 7.0), 2.0, 1e-9);
}
