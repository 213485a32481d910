//! The wheel as a solid: its boundary closes, its files say what they are, what cannot be made is refused in words.

use crate::cli::run_in;
use crate::support::{job, random_orders};
use serde_json::{Value, json};
use std::collections::HashSet;
use std::fs;
use std::path::Path;
use wheeldraft::groove::Grooves;
use wheeldraft::section::Section;
use wheeldraft::solid::{Curve, Mesh, Shape, Solid, Use};

/// Every edge is used twice, once each way, and every loop goes on where the edge before ended.
#[track_caller]
fn assert_closed(solid: &Solid, what: &str) {
    let mut used = vec![[0u32; 2]; solid.edges.len()];
    for uses in solid.faces.iter().flat_map(|f| &f.loops) {
        let ends = |u: &Use| {
            let edge = &solid.edges[u.edge];
            if u.is_forward { (edge.start, edge.end) } else { (edge.end, edge.start) }
        };
        for (u, next) in uses.iter().zip(uses.iter().cycle().skip(1)) {
            used[u.edge][usize::from(u.is_forward)] += 1;
            assert_eq!(ends(u).1, ends(next).0, "{what}: a loop has a gap");
        }
    }
    assert!(used.iter().all(|u| *u == [1, 1]), "{what}: an edge is not between two faces");
}

#[test]
fn the_boundary_of_every_turned_wheel_is_closed() {
    for seed in 0..200 {
        let mut order = random_orders::order(seed);
        for side in ["side_a", "side_b"] {
            if let Some(side) = order["wheel"][side].as_object_mut() {
                side.remove("grooves");
            }
        }
        order["wheel"].as_object_mut().unwrap().remove("face");
        let job = job(&order);
        let solid = Solid::of(&job, &Section::of(&job.wheel).unwrap()).unwrap();
        assert_closed(&solid, &format!("order {seed}"));
    }
}

/// Most random orders have grooves; those that are refused say which, the rest close.
#[test]
fn the_boundary_of_grooved_wheels_is_closed() {
    let mut made = 0;
    for seed in 0..60 {
        let job = job(&random_orders::order(seed));
        match Solid::of(&job, &Section::of(&job.wheel).unwrap()) {
            Ok(solid) => {
                assert_closed(&solid, &format!("order {seed}"));
                made += usize::from(solid.faces.iter().any(|f| f.name.contains("groove")));
            }
            Err(refused) => {
                assert!(refused.why.contains("helix") || refused.feature.contains("outside"), "{seed}: {refused}")
            }
        }
    }
    assert!(made > 35, "{made} grooved wheels were made");
}

/// Grooves that share stone with their neighbours, and run-outs that rise into them, are cut once.
#[test]
fn grooves_that_run_into_each_other_are_made() {
    let mut order: Value = serde_json::from_str(ORDER).unwrap();
    for (bottom, end) in
        [("flat", "square"), ("round", "round"), ("vee", "square"), ("flat", "runout"), ("round", "runout")]
    {
        let mut grooves = serde_json::json!({ "count": 48, "width": 10, "depth": 6, "inner_diameter": 140, "bottom": bottom, "inner_end": end });
        if bottom == "vee" {
            grooves["vee_angle_deg"] = 100.into();
        }
        if end == "runout" {
            grooves["cutter_diameter"] = 80.into();
        }
        order["wheel"]["side_b"] = serde_json::json!({ "grooves": grooves, "taper": { "from_diameter": 200, "to_diameter": 300, "depth": 1 } });
        let job = job(&order);
        let solid =
            Solid::of(&job, &Section::of(&job.wheel).unwrap()).unwrap_or_else(|e| panic!("{bottom}, {end}: {e}"));
        assert_closed(&solid, &format!("{bottom}, {end}"));
        assert_meshed(&order, 0.05, &format!("{bottom}, {end}")).unwrap();
    }
}

/// Grooves of the face that run on a helix over corners and tapers close, flat and round, either way.
#[test]
fn helical_grooves_of_the_face_are_made() {
    let mut order: Value = serde_json::from_str(ORDER).unwrap();
    order["wheel"]["side_b"] = serde_json::json!({ "taper": { "from_diameter": 280, "to_diameter": 300, "depth": 1 } });
    for (bottom, depth, helix) in [("flat", 6, 20), ("round", 6, -30), ("round", 1, 35)] {
        order["wheel"]["face"] = serde_json::json!({ "grooves": { "count": 30, "width": 4, "depth": depth, "bottom": bottom, "helix_deg": helix } });
        let job = job(&order);
        let solid = Solid::of(&job, &Section::of(&job.wheel).unwrap()).unwrap_or_else(|e| panic!("{bottom}: {e}"));
        assert_closed(&solid, bottom);
        assert_meshed(&order, 0.05, bottom).unwrap();
    }
}

/// Walls and floors meet tapers and the outside diameter in the curves that geometry names, and in no others.
#[test]
fn plane_cuts_of_cylinders_and_cones_are_conic_sections() {
    let mut order: Value = serde_json::from_str(ORDER).unwrap();
    let taper = serde_json::json!({ "from_diameter": 200, "to_diameter": 300, "depth": 2 });
    for (bottom, inner, wanted) in [
        // upright walls along a cone
        ("flat", 210.0, vec![Shape::Hyperbola]),
        // a floor steeper than the taper
        ("flat", 180.0, vec![]),
        ("vee", 210.0, vec![Shape::Ellipse, Shape::Hyperbola]),
    ] {
        let mut grooves =
            serde_json::json!({ "count": 12, "width": 5, "depth": 4, "inner_diameter": inner, "bottom": bottom });
        if bottom == "vee" {
            grooves["vee_angle_deg"] = 90.into();
        }
        order["wheel"]["side_b"] = serde_json::json!({ "grooves": grooves, "taper": taper });
        let job = job(&order);
        let solid = Solid::of(&job, &Section::of(&job.wheel).unwrap()).unwrap_or_else(|e| panic!("{bottom}: {e}"));
        assert!(
            solid.edges.iter().all(|e| !matches!(e.curve, Curve::Spline { .. })),
            "{bottom} from {inner}: a spline"
        );
        for shape in wanted {
            let found = solid.edges.iter().filter(|e| matches!(&e.curve, Curve::Conic(conic) if conic.shape == shape));
            assert!(found.count() >= 12, "{bottom} from {inner}: {shape:?}");
        }
        assert_meshed(&order, 0.02, bottom).unwrap();
    }
}

/// A groove on side A leans the way the drawing shows it: counter-clockwise as seen from outside side A, which is clockwise about z.
#[test]
fn a_groove_lies_where_the_side_seen_from_outside_shows_it() {
    let grooves = r#""side_a": { "grooves": { "count": 1, "width": 2, "depth": 3, "inner_diameter": 200, "start_deg": 90 } }, "x""#;
    let order = ORDER.replace("\"side_a\": { \"corner\": { \"radius\": 4 } }", grooves.trim_end_matches(", \"x\""));
    let job = job(&serde_json::from_str(&order).unwrap());
    let solid = Solid::of(&job, &Section::of(&job.wheel).unwrap()).unwrap();
    let floor = solid.vertices.iter().filter(|v| (v.z - 3.0).abs() < 1e-9);
    let ends: Vec<_> = floor.map(|v| (v.x.abs(), v.y)).collect();
    // its four corners, and the middle of its inner end
    assert_eq!(ends.len(), 5);
    assert!(ends.iter().all(|(x, y)| ((x - 1.0).abs() < 1e-9 || *x < 1e-9) && *y < -99.0), "{ends:?}");
}

const ORDER: &str = r#"{ "order": { "number": "9", "revision": "B", "date": "2026-04-01", "item": "Größe 'A' \\ 7" }, "units": "mm",
    "wheel": { "outside_diameter": 300, "thickness": 40, "bore": 127, "side_a": { "corner": { "radius": 4 } } },
    "blank": { "outside_diameter": 305, "thickness": 40, "bore": 127, "density": "2.2 g/cm3" } }"#;

fn folder_with(order: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("9.json"), order).unwrap();
    folder
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).unwrap()
}

#[test]
fn a_step_file_says_what_it_is_and_is_the_same_every_time() {
    let folder = folder_with(ORDER);
    let done = run_in(folder.path(), &["solid", "9.json", "-o", "9.step"]);
    assert_eq!((done.code, done.out.as_str(), done.err.as_str()), (0, "", "wrote 9.step\n"));
    let first = text(&folder.path().join("9.step"));
    for wanted in [
        "'Order: 9, revision B',",
        "'State: UNAPPROVED',",
        "FILE_NAME('9-B.step','2026-04-01T00:00:00',",
        "FILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF",
        // a word of ISO 10303-21 beyond ASCII, an apostrophe and a reverse solidus
        r"PRODUCT('9-B','9-B','Gr\X2\00F6\X0\\X2\00DF\X0\e ''A'' \\ 7',",
        "TOROIDAL_SURFACE('',",
        "POSITIVE_RATIO_MEASURE(0.0000022)",
        "ADVANCED_FACE('side A corner',",
    ] {
        assert!(first.contains(wanted), "{wanted} in\n{first}");
    }
    assert!(first.is_ascii());
    assert_eq!(run_in(folder.path(), &["solid", "9.json", "-o", "again.STEP"]).code, 0);
    assert_eq!(text(&folder.path().join("again.STEP")), first);
}

/// Every side of a triangle is one of another the other way round, and the volume is that of the numbers within what the deviation allows.
#[track_caller]
fn assert_meshed(order: &Value, deviation: f64, what: &str) -> Option<usize> {
    let job = job(order);
    let section = Section::of(&job.wheel).unwrap();
    let solid = Solid::of(&job, &section).ok()?;
    let mesh = Mesh::closed(&solid, deviation).unwrap_or_else(|e| panic!("{what}: {e}"));
    let mut sides = HashSet::new();
    let (mut volume, mut area) = (0.0, 0.0);
    for ([a, b, c], _) in &mesh.triangles {
        for side in [(a, b), (b, c), (c, a)] {
            assert!(sides.insert(side), "{what}: a side is used twice the same way");
        }
        let [p, q, r] = [a, b, c].map(|&i| mesh.points[i]);
        volume += p.dot(&q.cross(&r)) / 6.0;
        area += (q - p).cross(&(r - p)).norm() / 2.0;
    }
    assert!(sides.iter().all(|&(a, b)| sides.contains(&(b, a))), "{what}: the mesh is open");
    let wanted = section.revolved().volume - Grooves::of(&job.wheel, &section).removed().together.volume;
    assert!((volume - wanted).abs() < deviation * area, "{what}: {volume} of {wanted}");
    Some(mesh.triangles.len())
}

#[test]
fn meshes_are_closed_and_no_farther_off_than_asked() {
    let mut made = 0;
    for seed in 0..24 {
        let order = random_orders::order(seed);
        made += usize::from(assert_meshed(&order, 0.05, &format!("order {seed}")).is_some());
    }
    assert!(made > 8, "{made} wheels were meshed");
    // walls of a micrometre, whose two faces are parted into the same triangles
    let thin = include_str!("reference/orders/limits/ended-a-micrometre-inside-the-outside-diameter.json");
    assert_meshed(&serde_json::from_str(thin).unwrap(), 0.02, "walls of a micrometre").unwrap();
    // points along one line that rounding bends towards both faces beside it
    let alike = include_str!("cases/solid/a-line-that-two-faces-part-alike.json");
    assert_meshed(&serde_json::from_str(alike).unwrap(), 0.05, "a line that two faces part alike").unwrap();
    // grooves of the face on a helix that meet flat and round ones of either side, and run through a recess
    let mut wound: Value = serde_json::from_str(ORDER).unwrap();
    wound["wheel"] = json!({
        "outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_a": {"grooves": {"count": 36, "width": 3, "depth": 4, "inner_diameter": 300}},
        "side_b": {"recess": [{"diameter": 200, "depth": 10, "fillet_radius": 2}],
                   "grooves": {"count": 30, "width": 3, "depth": 4, "inner_diameter": 300, "bottom": "round"}},
        "face": {"grooves": {"count": 24, "width": 3, "depth": 6, "helix_deg": 12}}
    });
    wound.as_object_mut().unwrap().remove("blank");
    assert_meshed(&wound, 0.05, "a helix across grooves of both sides").unwrap();
    let order = serde_json::from_str(ORDER).unwrap();
    let [coarse, fine] = [0.5, 0.005].map(|d| assert_meshed(&order, d, "a plain wheel").unwrap());
    assert!(fine > 4 * coarse, "{fine} and {coarse} triangles");
}

#[test]
fn meshes_say_what_they_are_and_are_the_same_every_time() {
    let folder = folder_with(ORDER);
    let bytes = |name: &str| fs::read(folder.path().join(name)).unwrap();
    for ending in ["stl", "3mf", "glb"] {
        let [first, again] = ["a", "b"].map(|name| format!("{name}.{ending}"));
        for name in [&first, &again] {
            assert_eq!(run_in(folder.path(), &["solid", "9.json", "-o", name]).code, 0);
        }
        assert_eq!(bytes(&first), bytes(&again));
    }
    assert!(bytes("a.stl").starts_with(b"wheel 9-B State: UNAPPROVED; Fingerprint: "));
    assert!(bytes("a.glb").starts_with(b"glTF"));
    assert!(String::from_utf8_lossy(&bytes("a.glb")).contains(r#""State: UNAPPROVED""#));
    assert_eq!(run_in(folder.path(), &["solid", "9.json", "-o", "coarse.stl", "--deviation", "1 mm"]).code, 0);
    assert!(bytes("coarse.stl").len() < bytes("a.stl").len() / 2);
}

#[test]
fn what_cannot_be_made_is_refused_in_words() {
    let folder = folder_with(ORDER);
    let refused = |arguments: &[&str], words: &str| {
        let done = run_in(folder.path(), arguments);
        assert_eq!((done.code, done.out.as_str()), (2, ""));
        assert!(done.err.contains(words), "{}", done.err);
    };
    refused(&["solid", "9.json", "-o", "9.stp"], "9.stp names no format this is written in");
    refused(&["solid", "9.json", "-o", "9.stp"], ".step");
    refused(&["solid", "9.json", "-o", "9.step", "--deviation", "0.1 mm"], "a step file holds exact surfaces");
    refused(&["solid", "9.json", "-o", "9.stl", "--deviation", "0.0001 mm"], "give 0.001 to 5 mm");
    fs::write(folder.path().join("order.step"), ORDER).unwrap();
    refused(&["solid", "order.step", "-o", "order.step"], "order.step is the order itself");
    assert_eq!(text(&folder.path().join("order.step")), ORDER);
    // the grooves end upon the wall of the recess
    let edge = include_str!("reference/orders/grooves-from-the-edge-of-a-recess.json");
    fs::write(folder.path().join("9.json"), edge).unwrap();
    refused(
        &["solid", "9.json", "-o", "9.step"],
        "the grooves cannot be made as a solid yet: their walls do not close",
    );
    assert!(!folder.path().join("9.step").exists());
}

#[test]
fn a_stopped_order_is_made_and_says_so() {
    // the blank is smaller than the wheel
    let stopped = ORDER.replace("305", "290");
    let folder = folder_with(&stopped);
    let done = run_in(folder.path(), &["solid", "9.json", "-o", "9.step"]);
    assert_eq!(done.code, 1, "{}", done.err);
    assert!(text(&folder.path().join("9.step")).contains("'State: NOT RELEASED'"));
}
