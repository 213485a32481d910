//! Where grooves lie in their files: seen from outside the side that is cut, groove 1 on +x, side B mirrored.

use crate::support::job;
use serde_json::{Value, json};
use wheeldraft::cutting::control::{Controls, DividingHead};
use wheeldraft::cutting::{face, grooves, index};
use wheeldraft::drawing::{Drawing, Item};
use wheeldraft::geometry::Point;
use wheeldraft::wheel::{Job, SideName};

fn head() -> DividingHead {
    Controls::built_in().unwrap().head
}

const OUTSIDE: f64 = 200.0;
const INNER: f64 = 120.0;

/// The same grooves on either side: 12, the first at 30°, skewed by 10°, place 5 not cut.
fn order() -> Value {
    let grooves = json!({"count": 12, "start_deg": 30, "skew_deg": 10, "omit": [5], "width": 3, "depth": 4,
        "inner_diameter": 2.0 * INNER});
    json!({"order": {"number": "F1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 2.0 * OUTSIDE, "thickness": 40, "bore": 127,
            "side_a": {"grooves": grooves.clone()}, "side_b": {"grooves": grooves}}})
}

fn lines(drawing: &Drawing, layer: &str) -> Vec<(Point, Point)> {
    let on = drawing.items.iter().filter_map(|item| match item {
        Item::Group(g) if g.layer == layer => Some(&g.items),
        _ => None,
    });
    on.flatten()
        .filter_map(|item| if let Item::Line { from, to, .. } = item { Some((*from, *to)) } else { None })
        .collect()
}

/// The centre line of place k in the wheel's own x and y, by the words of the order format: radial at `theta`, then turned about its point on
/// the outside diameter by the skew; the inner end by marching along it.
fn in_the_wheel(k: u32) -> (Point, Point) {
    let theta = (30.0 + f64::from(k - 1) * 30.0_f64).to_radians();
    let outer = Point::new(OUTSIDE * theta.cos(), OUTSIDE * theta.sin());
    let heading = theta + 10.0_f64.to_radians();
    let inwards = Point::new(-heading.cos(), -heading.sin());
    // |outer + t·inwards| = INNER, the nearer root
    let b = outer.dot(inwards);
    let t = -b - (b * b - OUTSIDE * OUTSIDE + INNER * INNER).sqrt();
    (outer + inwards * t, outer)
}

/// What an eye outside side B sees: it stands on the other side of the wheel, with the line through the wheel's x kept level.
fn from_outside_b(p: Point) -> Point {
    Point::new(p.x, -p.y)
}

fn turned(p: Point, degrees: f64) -> Point {
    let (sin, cos) = degrees.to_radians().sin_cos();
    Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos)
}

fn check(job: &Job, side: SideName, seen: impl Fn(Point) -> Point) {
    let drawing = grooves::nominal(job, side).unwrap().unwrap();
    let found = lines(&drawing, &format!("GROOVE_CENTRE_SIDE_{}", side.letter()));
    let places: Vec<u32> = (1..=12).filter(|&k| k != 5).collect();
    assert_eq!(found.len(), places.len());
    for ((from, to), k) in found.into_iter().zip(places) {
        let (inner, outer) = in_the_wheel(k);
        assert!(from.distance(seen(inner)) < 1e-11, "inner end of groove {k} of side {side:?}");
        assert!(to.distance(seen(outer)) < 1e-11, "outer end of groove {k} of side {side:?}");
    }
    // the mark of the order's direction 0 lies where that direction is seen
    let zero = lines(&drawing, "REF_ORDER_ZERO")[0].0;
    let direction = seen(Point::new(1.0, 0.0));
    assert!(zero.cross(direction).abs() < 1e-10 && zero.dot(direction) > 0.0);
}

#[test]
fn side_a_is_turned_so_that_groove_1_lies_on_x() {
    check(&job(&order()), SideName::A, |p| turned(p, -30.0));
}

#[test]
fn side_b_is_mirrored_then_turned() {
    check(&job(&order()), SideName::B, |p| turned(from_outside_b(p), 30.0));
}

#[test]
fn index_tables_count_from_the_place_and_mirror_side_b() {
    let job = job(&order());
    let column = |side, name: &str| -> Vec<String> {
        let table = index::side(&job, side, &head()).unwrap();
        let at = table.head.iter().position(|h| *h == name).unwrap();
        table.rows.iter().map(|row| row[at].clone()).collect()
    };
    assert_eq!(column(SideName::A, "groove"), ["1", "2", "3", "4", "6", "7", "8", "9", "10", "11", "12"]);
    assert_eq!(column(SideName::A, "angle_deg")[..2], ["30.000000", "60.000000"]);
    assert_eq!(column(SideName::B, "angle_deg"), column(SideName::A, "angle_deg"));
    assert_eq!(column(SideName::A, "head_deg")[..2], ["0.000000", "30.000000"]);
    assert_eq!(column(SideName::B, "head_deg")[..2], ["0.000000", "330.000000"]);
    assert_eq!(column(SideName::A, "radial_start_mm")[0], "120.000000");
    assert_eq!(column(SideName::A, "radial_end_mm")[0], "200.000000");
    assert_eq!(column(SideName::B, "side")[0], "B");
}

#[test]
fn index_angles_are_rounded_to_the_heads_step_and_the_worst_error_stated() {
    let mut order = order();
    order["tooling"] = json!({"index_step_deg": 0.1});
    for side in ["side_a", "side_b"] {
        order["wheel"][side]["grooves"] = json!({"count": 7, "width": 3, "depth": 4, "inner_diameter": 240});
    }
    let job = job(&order);
    let table = index::side(&job, SideName::A, &head()).unwrap();
    // 3 · 360/7 = 154.285714…, set 154.3: 0.014286 off; 2 · 360/7 = 102.857143, set 102.9: 0.042857 off, the worst
    assert_eq!(table.rows[3][1..5], ["154.285714", "154.285714", "154.300000", "0.014286"]);
    assert_eq!(table.rows[2][1..5], ["102.857143", "102.857143", "102.900000", "0.042857"]);
    assert!((table.worst_error_deg.unwrap() - (102.9 - 720.0 / 7.0)).abs() < 1e-12);
    let worst = table.head.iter().position(|h| *h == "worst_rounding_error_deg").unwrap();
    assert_eq!(table.rows[0][worst], "0.042857");
}

#[test]
fn depths_in_the_table_follow_a_taper() {
    let mut order = order();
    order["wheel"]["side_a"]["taper"] = json!({"from_diameter": 300, "to_diameter": 400, "depth": 2});
    order["wheel"]["side_a"]["grooves"] = json!({"count": 9, "width": 3, "depth": 4, "inner_diameter": 350});
    let table = index::side(&job(&order), SideName::A, &head()).unwrap();
    // at radius 175 the side lies 1 mm deep, at 200 2 mm; the floor 4 mm below that
    assert_eq!(table.rows[0][5..9], ["175.000000", "200.000000", "5.000000", "6.000000"]);
}

#[test]
fn a_run_out_begins_at_the_side_and_says_where_it_is_deep() {
    let mut order = order();
    order["wheel"]["side_a"]["grooves"] = json!({"count": 9, "width": 3, "depth": 4, "inner_diameter": 240, "inner_end": "runout", "cutter_diameter": 100});
    let table = index::side(&job(&order), SideName::A, &head()).unwrap();
    // half the chord of a disc of 100 mm that is 4 mm deep: √(4 · (100 − 4)) = 19.595918 mm
    assert_eq!(table.rows[0][5..9], ["120.000000", "200.000000", "0.000000", "4.000000"]);
    let at = table.head.iter().position(|h| *h == "full_depth_from_mm").unwrap();
    assert_eq!(table.rows[0][at], "139.595918");
}

#[test]
fn the_face_is_rolled_out_with_groove_1_on_x() {
    let mut order = order();
    order["wheel"]["face"] =
        json!({"grooves": {"count": 8, "start_deg": 11, "omit": [2], "width": 3, "depth": 4, "helix_deg": 20}});
    let job = job(&order);
    let drawing = face::nominal(&job).unwrap().unwrap();
    let found = lines(&drawing, "GROOVE_CENTRE_FACE");
    let rise = 40.0 * 20.0_f64.to_radians().tan();
    assert_eq!(found.len(), 7);
    assert_eq!(found[0].0, Point::new(0.0, 0.0));
    assert!(found[0].1.distance(Point::new(40.0, rise)) < 1e-12);
    // place 3 a quarter around
    assert!((found[1].0.y - std::f64::consts::FRAC_PI_2 * OUTSIDE).abs() < 1e-12);
    let table = index::face(&job, &head()).unwrap();
    assert_eq!(table.rows[1][..3], ["3", "101.000000", "90.000000"]);
    let twist: f64 = table.rows[0][12].parse().unwrap();
    assert!((twist - (rise / OUTSIDE).to_degrees()).abs() < 1e-6);
}
