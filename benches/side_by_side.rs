//! Times of single orders for a comparison with other programs: `cargo bench --bench side_by_side -- ORDER.json…` prints a line of JSON for each;
//! `tests/reference/timing.py` sets them beside those of a solid kernel and of another DXF library.
//!
//! Each time is the median of many runs within this process, the file read and resolved beforehand.

#[path = "support/floor.rs"]
mod floor;

use floor::{DXF_DECIMALS, Floor, SVG_DECIMALS};
use std::hint::black_box;
use std::time::{Duration, Instant};
use wheeldraft::cutting::grooves;
use wheeldraft::dossier::Dossier;
use wheeldraft::drawing::Drawing;
use wheeldraft::export::dxf::{self, Flavour};
use wheeldraft::export::svg;
use wheeldraft::order::SolidFormat;
use wheeldraft::pack::machine::{Wishes, files};
use wheeldraft::pack::solid::file;
use wheeldraft::properties;
use wheeldraft::rules::ShopRules;
use wheeldraft::sheet::template::Template;
use wheeldraft::sheet::{Inputs, approval};
use wheeldraft::solid::{Mesh, Solid};
use wheeldraft::tolerance::MESH_DEVIATION;
use wheeldraft::wheel::{Job, SideName};

/// How long each thing is repeated at least, and how often at least.
const LONG: Duration = Duration::from_millis(400);
const OFTEN: usize = 15;
/// Dots of a screen that a wheel's diameter is drawn over; triangles for it lie no farther off than one.
const SCREEN: f64 = 1500.0;
const ORDER: &str = "tests/reference/timing/round-bottom-grooves-both-sides-over-a-taper.json";

/// Median time of a run, seconds.
fn median<T>(mut work: impl FnMut() -> T) -> f64 {
    let begun = Instant::now();
    let mut times = Vec::new();
    while times.len() < OFTEN || begun.elapsed() < LONG {
        let start = Instant::now();
        black_box(work());
        times.push(start.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// The groove drawings of both sides.
fn drawn(job: &Job) -> Vec<Drawing> {
    SideName::BOTH.into_iter().filter_map(|side| grooves::nominal(job, side).ok().flatten()).collect()
}

/// Their files, without the check that reads them back.
fn written(drawings: &[Drawing], flavour: Flavour) -> Vec<Vec<u8>> {
    drawings.iter().filter_map(|drawing| dxf::machine(drawing, flavour).ok()).collect()
}

/// What writing these files takes at least, seconds.
fn floor(files: &[Vec<u8>], decimals: usize) -> f64 {
    let floors: Vec<Floor> = files.iter().map(|file| Floor::of(file, decimals)).collect();
    median(|| floors.iter().map(|f| f.written().len()).sum::<usize>())
}

/// The sheets of the approval drawing.
fn sheets(job: &Job) -> Vec<Drawing> {
    let template = Template::plain().unwrap_or_else(|e| panic!("{e}"));
    let shop = ShopRules::built_in();
    let dossier = Dossier::of(job.clone(), &shop).unwrap_or_else(|e| panic!("{e}"));
    let made = approval(&Inputs { dossier: &dossier, template: &template });
    made.unwrap_or_else(|e| panic!("{e}")).drawings
}

fn svg_times(job: &Job) -> serde_json::Value {
    let sheets = sheets(job);
    let written =
        || -> Vec<Vec<u8>> { sheets.iter().filter_map(|d| svg::svg(d).ok()).map(String::into_bytes).collect() };
    let bytes = written();
    serde_json::json!({
        "bytes": bytes.iter().map(Vec::len).sum::<usize>(),
        "write": median(written),
        "floor": floor(&bytes, SVG_DECIMALS),
    })
}

fn dxf_times(job: &Job) -> serde_json::Value {
    let flavours = [("r12", Flavour::R12), ("r12-joined", Flavour::R12Joined), ("2000", Flavour::R2000)];
    let timed = flavours.map(|(name, flavour)| {
        let drawings = drawn(job);
        let bytes = written(&drawings, flavour);
        let wishes = Wishes {
            flavour,
            compensate: None,
            programs: false,
            approved: true,
            over_run: None,
            depth_per_pass: None,
            allowance: None,
            controls: None,
            state: Vec::new(),
        };
        let times = serde_json::json!({
            "bytes": bytes.iter().map(Vec::len).sum::<usize>(),
            "write": median(|| written(&drawings, flavour)),
            "draw_and_write": median(|| written(&drawn(job), flavour)),
            "cut": median(|| files(job, &wishes).is_ok()),
            "floor": floor(&bytes, DXF_DECIMALS),
        });
        (name.to_owned(), times)
    });
    timed.into_iter().collect::<serde_json::Map<_, _>>().into()
}

/// The exact solid as a STEP file, and its mesh for a screen.
fn solid_times(job: &Job) -> serde_json::Value {
    let shop = ShopRules::built_in();
    let dossier = Dossier::of(job.clone(), &shop).unwrap_or_else(|e| panic!("{e}"));
    let step = || file(&dossier, SolidFormat::Step, MESH_DEVIATION).unwrap_or_else(|e| panic!("{e}"));
    let deviation = job.wheel.outside_diameter / SCREEN;
    let mesh = || {
        let solid = Solid::of(&dossier.job, &dossier.section).unwrap_or_else(|e| panic!("{e}"));
        Mesh::of(&solid, deviation).unwrap_or_else(|e| panic!("{e}"))
    };
    serde_json::json!({ "bytes": step().len(), "step": median(step), "triangles": mesh().triangles.len(), "mesh": median(mesh) })
}

#[allow(clippy::print_stdout)]
fn main() {
    let named: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let paths = if named.is_empty() { vec![ORDER.to_owned()] } else { named };
    for path in paths {
        let bytes = std::fs::read(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
        let job = ShopRules::built_in().open(&bytes).unwrap_or_else(|problems| panic!("{path}: {problems:?}"));
        let line = serde_json::json!({
            "order": path,
            "properties": median(|| properties::of(&job)),
            "dxf": dxf_times(&job),
            "svg": svg_times(&job),
            "solid": solid_times(&job),
        });
        println!("{line}");
    }
}
