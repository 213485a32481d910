//! The check before a file is handed over notices every way it could be wrong.

use super::files::{FLAVOURS, wishes};
use crate::support::job;
use serde_json::{Value, json};
use wheeldraft::cutting::Part;
use wheeldraft::cutting::check::{self, Made, Written};
use wheeldraft::cutting::profile::Profile;
use wheeldraft::export::dxf::{self, Flavour};
use wheeldraft::geometry::{Edge, Point};
use wheeldraft::pack::machine::files;
use wheeldraft::wheel::{Job, SideName};

fn order() -> Value {
    json!({"order": {"number": "T1", "revision": "A"}, "units": "mm",
        "wheel": {"outside_diameter": 400, "thickness": 50, "bore": 127,
            "side_a": {"corner": {"radius": 3}, "recess": [{"diameter": 250, "depth": 12, "fillet_radius": 2}],
                "grooves": {"count": 24, "width": 3, "depth": 5, "inner_diameter": 300}}}})
}

fn read(job: &Job, flavour: Flavour, word: &str) -> Vec<Written> {
    let made = files(job, &wishes(flavour)).unwrap();
    let file = made.files.iter().find(|f| f.name.contains(word) && f.name.ends_with(".dxf")).unwrap();
    let read = dxf::read_back(&file.bytes).unwrap();
    read.entities.into_iter().map(|e| Written { layer: e.layer, edges: e.edges }).collect()
}

/// A change with its name.
type Change<'a> = (&'a str, fn(&mut Vec<Written>));

/// Every change must be refused in every flavour; the unchanged file is taken.
fn refuses(word: &str, made: impl Fn(&Job, &[Written]) -> bool, changes: &[Change]) {
    for flavour in FLAVOURS {
        let job = job(&order());
        let written = read(&job, flavour, word);
        assert!(made(&job, &written), "{flavour:?}: the file itself");
        for (what, change) in changes {
            let mut changed = written.clone();
            change(&mut changed);
            assert_ne!(changed, written, "{what} changes nothing");
            assert!(!made(&job, &changed), "{flavour:?}: {what} went unnoticed");
        }
    }
}

fn profile_passes(job: &Job, written: &[Written]) -> bool {
    let profile = Profile::of(&job.wheel).unwrap();
    check::against(job, Made::Profile(&profile), written).is_ok()
}

fn grooves_pass(job: &Job, written: &[Written]) -> bool {
    check::against(job, Made::Grooves(Part::Grooves(SideName::A)), written).is_ok()
}

/// The first edge of the first entity of a layer.
fn edge<'a>(written: &'a mut [Written], layer: &str) -> &'a mut Edge {
    &mut written.iter_mut().find(|w| w.layer == layer).unwrap().edges[0]
}

#[test]
fn a_changed_profile() {
    refuses(
        "profile",
        profile_passes,
        &[
            ("an operation left out", |w| w.retain(|w| w.layer != "TURN_FACE")),
            ("an operation there twice", |w| {
                let again = w.iter().find(|w| w.layer == "TURN_FACE").unwrap().clone();
                w.push(again);
            }),
            ("a shift by 2 µm", |w| {
                for w in w.iter_mut() {
                    w.edges.iter_mut().for_each(|e| *e = e.translated(Point::new(2e-3, 0.0)));
                }
            }),
            ("a scale of inches", |w| {
                for w in w.iter_mut() {
                    w.edges.iter_mut().for_each(|e| *e = e.scaled(1.0 / 25.4));
                }
            }),
            ("an open end", |w| {
                let e = edge(w, "TURN_BORE");
                *e = Edge::line(e.start(), e.at(0.99));
            }),
            ("a mirrored profile", |w| {
                for w in w.iter_mut() {
                    w.edges.iter_mut().for_each(|e| *e = e.mirrored_x().translated(Point::new(50.0, 0.0)));
                }
            }),
        ],
    );
}

#[test]
fn changed_grooves() {
    refuses(
        "grooves-side-a",
        grooves_pass,
        &[
            ("a centre line left out", |w| {
                let at = w.iter().position(|w| w.layer.starts_with("GROOVE_CENTRE")).unwrap();
                w.remove(at);
            }),
            ("a centre line turned by a thousandth of a degree", |w| {
                let e = edge(w, "GROOVE_CENTRE_SIDE_A");
                *e = e.rotated(0.001_f64.to_radians());
            }),
            ("all turned by a hundredth of a degree", |w| {
                for w in w.iter_mut() {
                    w.edges.iter_mut().for_each(|e| *e = e.rotated(0.01_f64.to_radians()));
                }
            }),
            ("an outline moved by 2 µm", |w| {
                let layer = "GROOVE_EDGE_SIDE_A";
                let first: Vec<Edge> =
                    w.iter().filter(|w| w.layer == layer).flat_map(|w| w.edges.clone()).take(4).collect();
                for e in w.iter_mut().filter(|w| w.layer == layer).flat_map(|w| w.edges.iter_mut()) {
                    if first.contains(e) {
                        *e = e.translated(Point::new(0.0, 2e-3));
                    }
                }
            }),
        ],
    );
}

#[test]
fn the_file_of_another_wheel() {
    let mine = job(&order());
    let written = read(&mine, Flavour::R2000, "profile");
    let mut other = order();
    other["wheel"]["side_a"]["recess"][0]["fillet_radius"] = json!(2.001);
    let other = job(&other);
    assert!(profile_passes(&mine, &written) && !profile_passes(&other, &written));
    let written = read(&mine, Flavour::R12, "grooves-side-a");
    let mut other = order();
    other["wheel"]["side_a"]["grooves"]["start_deg"] = json!(0.5);
    // groove 1 lies on +x in both: the same file
    assert!(grooves_pass(&job(&other), &written));
    other["wheel"]["side_a"]["grooves"]["omit"] = json!([3]);
    assert!(!grooves_pass(&job(&other), &written));
}

#[test]
fn edges_too_short_are_left_out_and_said() {
    let mut order = order();
    order["wheel"]["side_a"]["corner"] = json!({"chamfer": 0.004});
    let made = files(&job(&order), &wishes(Flavour::R2000)).unwrap();
    assert!(made.remarks[0].contains("is left out"), "{:?}", made.remarks);
    let text = String::from_utf8(made.files[0].bytes.clone()).unwrap();
    assert!(text.contains("left out"), "the file says it too");
}
