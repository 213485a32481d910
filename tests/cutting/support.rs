//! Orders for the machine-file tests: the shared reference orders, and random ones from a fixed seed.

use std::path::{Path, PathBuf};
use wheeldraft::geometry::Contour;
use wheeldraft::order::Order;
use wheeldraft::section::Section;
use wheeldraft::wheel::{Job, resolve};

/// Every reference order that resolves, with its file's stem. Whether all do is the judges' test, not this one's.
pub fn reference_jobs() -> Vec<(String, Job)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/orders");
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("orders").map(|e| e.expect("entry").path()).collect();
    paths.retain(|path| path.extension().is_some_and(|e| e == "json"));
    paths.sort();
    let read = |path: &PathBuf| {
        let order: Order = serde_json::from_slice(&std::fs::read(path).expect("readable")).expect("an order");
        Some((
            path.file_stem().expect("stem").to_string_lossy().into_owned(),
            resolve(&order, &wheeldraft::rules::ShopRules::built_in().usual_sizes()).ok()?,
        ))
    };
    let jobs: Vec<_> = paths.iter().filter_map(read).collect();
    assert!(jobs.len() >= 50, "only {} reference orders", jobs.len());
    jobs
}

/// The half-section of a job's wheel in (r, z).
pub fn section(job: &Job) -> Contour {
    Section::of(&job.wheel).expect("a section").contour().clone()
}
