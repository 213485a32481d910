//! Orders for the machine-file tests: the shared reference orders, and random ones from a fixed seed.

use std::path::{Path, PathBuf};
use wheeldraft::geometry::Contour;
use wheeldraft::order::Order;
use wheeldraft::section::Section;
use wheeldraft::wheel::{Job, resolve};

/// The resolved order of a JSON value.
pub fn job(value: &serde_json::Value) -> Job {
    let order: Order = serde_json::from_value(value.clone()).expect("an order");
    resolve(&order).unwrap_or_else(|problems| panic!("{problems:?}\n{value}"))
}

/// Every reference order with its file's stem.
pub fn reference_jobs() -> Vec<(String, Job)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/orders");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).expect("orders").map(|e| e.expect("entry").path()).collect();
    paths.sort();
    paths
        .iter()
        .map(|path| {
            let text = std::fs::read_to_string(path).expect("readable");
            let value = serde_json::from_str(&text).expect("JSON");
            (path.file_stem().expect("stem").to_string_lossy().into_owned(), job(&value))
        })
        .collect()
}

/// The half-section of a job's wheel in (r, z).
pub fn section(job: &Job) -> Contour {
    Section::of(&job.wheel).expect("a section").contour().clone()
}
