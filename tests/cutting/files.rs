//! The machine files of many orders: written, read back, checked; a damaged file or another wheel is noticed.

use super::support::reference_jobs;
use wheeldraft::cutting::Part;
use wheeldraft::export::dxf::Flavour;
use wheeldraft::pack::machine::{MachineFiles, Wishes, files};
use wheeldraft::wheel::Job;

pub const FLAVOURS: [Flavour; 3] = [Flavour::R12, Flavour::R12Joined, Flavour::R2000];

pub fn wishes(flavour: Flavour) -> Wishes {
    Wishes { flavour, compensate: None, programs: false, approved: true, over_run: None, depth_per_pass: None }
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
            let compensated = Wishes { compensate: Some(0.8), ..wishes(flavour) };
            let got = made(&name, &job, &compensated);
            assert!(got.files[0].name.ends_with("-profile-nose-0.8_mm.dxf"), "{}", got.files[0].name);
        }
    }
}

#[test]
fn every_reference_order_has_programs_that_follow_the_shape() {
    for (name, mut job) in reference_jobs() {
        job.tooling.profile_nose_radius.get_or_insert(0.8);
        job.tooling.groove_cutter_width.get_or_insert(0.3);
        job.tooling.groove_cutter_diameter.get_or_insert(60.0);
        let programs = Wishes { programs: true, ..wishes(Flavour::R12) };
        let got = made(&name, &job, &programs);
        let written = got.files.iter().filter(|f| f.name.ends_with(".nc")).count();
        assert!(written >= 1, "{name}: {:?}", got.remarks);
    }
}
