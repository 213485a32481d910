//! Wheels at the edge of what can be: every order in `tests/reference/orders/limits` and the smallest and largest of the others.
//!
//! The reference judges compare their numbers with a solid kernel. Here each is moved a little to either side: a silent repair, a feature taken for
//! absent or two taken for one, would show as a jump.

use serde_json::Value;
use std::path::{Path, PathBuf};
use wheeldraft::order::Order;
use wheeldraft::properties::{self, Properties};
use wheeldraft::wheel::{Wheel, resolve};

/// By how much a length is moved, mm: more than any tolerance of the geometry, less than any feature of the orders but the narrowest.
const STEP: f64 = 2e-6;

const OTHERS: [&str; 6] = [
    "one-groove",
    "tiny-wheel-50-mm",
    "huge-wheel-1200-mm",
    "grooves-from-the-edge-of-a-recess",
    "recess-fillet-as-deep-as-the-step",
    "corner-radius-full-round-rim",
];

/// Each corner that the orders at the limit stand for: words of a file's name.
const CORNERS: [(&str, &str); 19] = [
    ("nearly touching features", "recesses-a-hundredth-from-meeting"),
    ("nearly touching steps", "two-steps-two-micrometres-apart"),
    ("nearly touching grooves", "opposite-grooves-two-micrometres-apart"),
    ("an edge of no length between taper and corner", "taper-ends-where-the-corner-begins"),
    ("an edge of no length between recess and corner", "corner-begins-at-the-recess-wall"),
    ("a floor of no length", "fillet-as-wide-as-the-floor-beside-the-bore"),
    ("corners that meet", "corners-that-meet-on-the-rim-as-chamfer-and-radius"),
    ("walls of no height", "round-bottom-of-half-the-width-deep"),
    ("a groove that is hardly more than its round end", "round-end-a-hundredth-shorter-than-the-groove"),
    ("a groove that is all run-out", "runout-as-long-as-the-groove"),
    ("a skewed groove tangent to its inner circle", "skewed-almost-tangent-to-its-inner-circle"),
    ("grooves to the tangent point of a corner", "grooves-to-the-corners-tangent-point"),
    ("grooves that just reach a recess", "inner-end-a-tenth-of-a-micrometre-off-the-recess"),
    ("grooves that just reach a fillet", "inner-end-just-reaches-the-recess-fillet"),
    ("a land of no width", "land-of-zero-width-at-the-inner-end"),
    ("a land of hardly any width", "face-grooves-with-hardly-a-land-at-their-floor"),
    ("3600 grooves", "three-thousand-six-hundred-grooves"),
    ("grooves to the bore", "grooves-down-to-the-bore"),
    ("grooves ended just inside", "ended-a-micrometre-inside-the-outside-diameter"),
];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/orders")
}

fn read(path: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

fn limits() -> Vec<(String, Value)> {
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(folder().join("limits")).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    paths.extend(OTHERS.map(|name| folder().join(format!("{name}.json"))));
    paths.iter().map(|p| (p.file_stem().unwrap().to_string_lossy().into_owned(), read(p))).collect()
}

fn numbers(order: &Value) -> Option<(Wheel, Properties)> {
    let order: Order = serde_json::from_value(order.clone()).unwrap();
    let job = resolve(&order, &wheeldraft::rules::ShopRules::built_in().usual_sizes()).ok()?;
    let numbers = properties::of(&job).unwrap();
    Some((job.wheel, numbers))
}

/// JSON pointers of all bare lengths of a wheel.
fn lengths(value: &Value, at: &str, out: &mut Vec<String>) {
    match value {
        Value::Object(fields) => fields.iter().for_each(|(key, v)| lengths(v, &format!("{at}/{key}"), out)),
        Value::Array(items) => items.iter().enumerate().for_each(|(i, v)| lengths(v, &format!("{at}/{i}"), out)),
        Value::Number(_) if !at.ends_with("_deg") && !at.ends_with("count") && !at.contains("/omit/") => {
            out.push(at.to_owned());
        }
        _ => {}
    }
}

/// All surfaces that a moved length may sweep, mm², generously: both sides, the rim, the walls of all grooves.
fn surface(wheel: &Wheel) -> f64 {
    let (r, t) = (wheel.outside_radius(), wheel.thickness);
    let sides = [&wheel.side_a, &wheel.side_b].into_iter().filter_map(|s| s.grooves.as_ref());
    let walls: f64 = sides.map(|g| f64::from(g.pattern.count()) * (2.0 * r + g.width) * g.depth).sum();
    let face = wheel.face.as_ref().map_or(0.0, |g| f64::from(g.pattern.count()) * (2.0 * g.depth + g.width) * t);
    2.0 * (6.3 * r * r + 6.3 * r * t + walls + face)
}

#[test]
fn every_corner_has_its_order() {
    for (corner, name) in CORNERS {
        assert!(folder().join("limits").join(format!("{name}.json")).is_file(), "{corner}: {name}");
    }
}

#[test]
fn nothing_jumps_where_a_length_is_moved_a_little() {
    let mut moved = 0;
    for (name, order) in limits() {
        let (wheel, at) = numbers(&order).unwrap_or_else(|| panic!("{name} is a wheel"));
        let unit = if order["units"] == "in" { 25.4 } else { 1.0 };
        let allowed = STEP * surface(&wheel);
        let mut pointers = Vec::new();
        lengths(&order["wheel"], "/wheel", &mut pointers);
        for pointer in pointers {
            for step in [-STEP, STEP] {
                let mut order = order.clone();
                let length = order.pointer_mut(&pointer).unwrap();
                *length = Value::from(length.as_f64().unwrap() + step / unit);
                // beyond the edge there is no wheel
                let Some((_, near)) = numbers(&order) else { continue };
                moved += 1;
                let off = (near.wheel.volume - at.wheel.volume).abs();
                assert!(off <= allowed, "{name}: {pointer} moved by {step} mm moves the volume by {off} mm³");
                let off = (near.wheel.centroid_z - at.wheel.centroid_z).abs();
                assert!(
                    off <= 2.0 * allowed * wheel.thickness / at.wheel.volume,
                    "{name}: {pointer}: centroid off by {off}"
                );
            }
        }
    }
    assert!(moved > 200, "{moved}");
}

/// A groove that is its round end alone: half a disc of its width, so deep (plane geometry).
#[test]
fn a_round_end_as_long_as_the_groove() {
    let order = |outer: f64| {
        serde_json::json!({"order": {"number": "1", "revision": "A"}, "units": "mm",
            "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127, "side_a": {"grooves": {"count": 24, "width": 20,
                "depth": 4, "inner_diameter": 360, "outer_diameter": outer, "inner_end": "round"}}}})
    };
    let (_, got) = numbers(&order(380.0)).unwrap();
    let want = std::f64::consts::PI * 100.0 / 2.0 * 4.0;
    let each = got.grooves.side_a.unwrap().volume_each;
    assert!((each / want - 1.0).abs() < 1e-10, "{each} {want}");
    assert!(numbers(&order(379.9)).is_none(), "no room for the round end");
}
