//! The machine files of many orders: written, read back, checked; a damaged file or another wheel is noticed.

use super::support::reference_jobs;
use dxf::Drawing;
use dxf::entities::{Entity, EntityType};
use std::collections::BTreeMap;
use wheeldraft::cutting::Part;
use wheeldraft::export::dxf::{Flavour, read_back};
use wheeldraft::pack::machine::{MachineFiles, Wishes, files};
use wheeldraft::wheel::{Job, SideName};

/// Edges that the program's own reader makes of a circle: two halves.
const CIRCLE: usize = 2;

pub const FLAVOURS: [Flavour; 3] = [Flavour::R12, Flavour::R12Joined, Flavour::R2000];

pub fn wishes(flavour: Flavour) -> Wishes {
    Wishes {
        flavour,
        compensate: None,
        programs: false,
        approved: true,
        over_run: None,
        depth_per_pass: None,
        allowance: None,
        controls: None,
        state: Vec::new(),
    }
}

fn made(name: &str, job: &Job, wishes: &Wishes) -> MachineFiles {
    files(job, wishes).unwrap_or_else(|e| panic!("{name}, {wishes:?}: {e}"))
}

#[test]
fn every_reference_order_in_every_flavour_passes_the_check() {
    for (name, job) in reference_jobs() {
        for flavour in FLAVOURS {
            let got = made(&name, &job, &wishes(flavour));
            let parts = Part::of(&job);
            assert_eq!(got.files.len(), 2 * parts.len() - 1, "{name}: a DXF each and an index table for grooves");
            // as sharp as the tightest ordered fillet asks
            let compensated = Wishes { compensate: Some(0.1), ..wishes(flavour) };
            let got = made(&name, &job, &compensated);
            assert!(got.files[0].name.ends_with("-profile-nose-0.1_mm.dxf"), "{}", got.files[0].name);
        }
    }
}

#[test]
fn every_reference_order_has_programs_that_follow_the_shape() {
    for (name, mut job) in reference_jobs() {
        job.tooling.profile_nose_radius = Some(0.1);
        let widths = SideName::BOTH.into_iter().filter_map(|s| Some(job.wheel.side(s).grooves.as_ref()?.width));
        let narrowest = widths.fold(f64::INFINITY, f64::min);
        job.tooling.groove_cutter_width.get_or_insert(if narrowest.is_finite() { narrowest } else { 0.3 });
        job.tooling.groove_cutter_diameter.get_or_insert(60.0);
        let programs = Wishes { programs: true, ..wishes(Flavour::R12) };
        let got = made(&name, &job, &programs);
        let written = got.files.iter().filter(|f| f.name.ends_with(".nc")).count();
        assert!(written >= 1, "{name}: {:?}", got.remarks);
    }
}

/// What the `dxf` crate, which has a reader of its own, makes of every file: the entities of the flavour, each layer declared, and as many edges
/// on each layer as the program's own reader finds.
#[test]
fn the_crate_reads_every_file_of_every_reference_order() {
    for (name, job) in reference_jobs() {
        for flavour in FLAVOURS {
            for file in made(&name, &job, &wishes(flavour)).files.iter().filter(|f| f.name.ends_with(".dxf")) {
                let what = format!("{}, {flavour:?}", file.name);
                let read = Drawing::load(&mut &file.bytes[..]).unwrap_or_else(|e| panic!("{what}: {e}"));
                let declared: Vec<&str> = read.layers().map(|layer| layer.name.as_str()).collect();
                assert!(read.entities().all(|e| declared.contains(&e.common.layer.as_str())), "{what}");
                let ours = read_back(&file.bytes).unwrap();
                let count = |layer: &str| -> usize {
                    ours.entities.iter().filter(|e| e.layer == layer).map(|e| e.edges.len()).sum()
                };
                let mut theirs: BTreeMap<&str, usize> = BTreeMap::new();
                for entity in read.entities() {
                    *theirs.entry(&entity.common.layer).or_default() += edges(entity, flavour, &what);
                }
                for (layer, edges) in theirs {
                    assert_eq!(edges, count(layer), "{what}: {layer}");
                }
                assert_eq!(read.entities().count(), ours.entities.len(), "{what}");
            }
        }
    }
}

/// Edges of an entity that the flavour may have; a circle counts as the reader's own does.
fn edges(entity: &Entity, flavour: Flavour, what: &str) -> usize {
    let of = |corners: usize, closed: bool| corners - usize::from(!closed);
    match (&entity.specific, flavour) {
        (EntityType::Line(_) | EntityType::Arc(_), _) => 1,
        (EntityType::Circle(_), _) => CIRCLE,
        (EntityType::Polyline(p), Flavour::R12Joined) => of(p.vertices().count(), p.is_closed()),
        (EntityType::LwPolyline(p), Flavour::R2000) => of(p.vertices.len(), p.is_closed()),
        (other, _) => panic!("{what}: {other:?}"),
    }
}
