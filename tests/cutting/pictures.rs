//! Pictures of machine drawings and the files of the same drawings, side by side below the build folder.
//!
//! `tests/reference/run.sh` runs this test; `judge_dxf.py` then has other software draw the files and compares the pictures.

use super::files::FLAVOURS;
use super::support::reference_jobs;
use serde_json::json;
use std::path::Path;
use wheeldraft::cutting::profile::{self, Profile};
use wheeldraft::cutting::{Part, face, grooves};
use wheeldraft::drawing::{Drawing, Item, Pen};
use wheeldraft::export::{dxf, png};
use wheeldraft::geometry::{Bounds, Point};
use wheeldraft::wheel::Job;

/// Greater side of a picture, pixels.
const PIXELS: f64 = 1400.0;
/// Room around what is drawn, pixels.
const MARGIN: f64 = 10.0;
/// Width of a line, pixels: dark wherever it lies between the pixels.
const LINE: f64 = 2.0;

const NAMES: [&str; 4] = [
    "crankshaft-wheel-26-inch",
    "grooves-into-two-step-recess-over-taper-skewed",
    "corner-radius-full-round-rim",
    "face-grooves-helical-omitted",
];

fn drawing(job: &Job, part: Part) -> Drawing {
    match part {
        Part::Profile => profile::nominal(job, &Profile::of(&job.wheel).unwrap(), false),
        Part::Grooves(side) => grooves::nominal(job, side).unwrap().unwrap(),
        Part::FaceGrooves => face::nominal(job).unwrap().unwrap(),
    }
}

/// The paths that are cut as a picture, and where it lies in the file: pixels to a millimetre, then the file's place of the lower left corner.
fn picture(drawing: &Drawing) -> (Vec<u8>, [f64; 3]) {
    let is_cut = |item: &&Item| !matches!(item, Item::Group(g) if g.layer.starts_with("REF_"));
    let items: Vec<&Item> = drawing.items.iter().filter(is_cut).collect();
    let bounds = items.iter().filter_map(|item| item.bounds()).reduce(Bounds::union).unwrap();
    let scale = PIXELS / bounds.width().max(bounds.height());
    let margin = MARGIN / scale;
    let corner = bounds.min - Point::new(margin, margin);
    let pen = Pen { wide: LINE / scale, narrow: LINE / scale, frame: LINE / scale };
    let items = items.into_iter().map(|item| item.clone().moved(Point::ORIGIN - corner)).collect();
    let (width, height) = (bounds.width() + 2.0 * margin, bounds.height() + 2.0 * margin);
    let shown = Drawing { items, width, height, pen, ..drawing.clone() };
    (png::png(&shown, 25.4 * scale).unwrap(), [scale, corner.x, corner.y])
}

#[test]
fn writes_the_pictures_for_the_judge() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("machine-pictures");
    std::fs::create_dir_all(&folder).unwrap();
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.join(name), bytes).unwrap();
    let jobs: Vec<_> = reference_jobs().into_iter().filter(|(name, _)| NAMES.contains(&name.as_str())).collect();
    assert_eq!(jobs.len(), NAMES.len());
    let mut list = Vec::new();
    for (name, job) in jobs {
        for part in Part::of(&job) {
            let drawing = drawing(&job, part);
            let (bytes, place) = picture(&drawing);
            let stem = format!("{name}-{}", part.word());
            write(&format!("{stem}.png"), &bytes);
            let files = FLAVOURS.map(|flavour| {
                let file = format!("{stem}-{flavour:?}.dxf");
                write(&file, &dxf::machine(&drawing, flavour).unwrap());
                file
            });
            list.push(json!({"picture": format!("{stem}.png"), "place": place, "files": files}));
        }
    }
    assert!(list.len() >= 8, "{list:?}");
    write("pictures.json", json!(list).to_string().as_bytes());
}
