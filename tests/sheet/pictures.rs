//! Sheets of a dozen wheels as pictures, for whoever reviews a change of the layout: what a sheet looks like is not changed unawares.
//!
//! A picture is right where it looks right: look at the new one beside the old one, then run again with UPDATE_EXPECTED=1.

use super::draw_with;
use crate::support::{UPDATE, job, updating};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use wheeldraft::export;
use wheeldraft::rules::{self, ShopRules};

/// Dots per inch of the pictures: enough to read the lettering's place, few enough to be kept.
const DPI: f64 = 60.0;
/// Difference of a dot from which on it counts, of 255: lines may lie a hair elsewhere where sines are rounded otherwise.
const NOTICED: u8 = 48;
/// Greatest share of dots that differ so much.
const SHARE: f64 = 2e-4;

/// A picture's width, height and bytes.
fn dots(bytes: &[u8]) -> (u32, u32, Vec<u8>) {
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut dots = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut dots).unwrap();
    (info.width, info.height, dots)
}

/// Whether two pictures look alike.
fn alike(one: &[u8], other: &[u8]) -> bool {
    let ((w, h, a), (v, g, b)) = (dots(one), dots(other));
    let differing = a.iter().zip(&b).filter(|(a, b)| a.abs_diff(**b) > NOTICED).count();
    (w, h, a.len()) == (v, g, b.len()) && differing as f64 <= SHARE * a.len() as f64
}

/// The first sheet of an order with all findings.
fn drawn(order: &str) -> Vec<u8> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let order: Value = serde_json::from_slice(&fs::read(root.join(order)).unwrap()).unwrap();
    let outcome = rules::check(&job(&order), &ShopRules::built_in());
    export::png::png(&draw_with(&order, &outcome.findings).unwrap().drawings[0], DPI).unwrap()
}

fn kept(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/sheet-pictures").join(format!("{name}.png"))
}

fn look(name: &str, order: &str) {
    let made = drawn(order);
    if updating() {
        fs::write(kept(name), &made).unwrap();
    }
    if !alike(&made, &fs::read(kept(name)).unwrap()) {
        let beside = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.png"));
        fs::write(&beside, &made).unwrap();
        panic!("{name} looks otherwise now: {}. Where that is right, run again with {UPDATE}=1.", beside.display());
    }
}

#[test]
fn skewed_grooves_on_one_sheet() {
    look("skewed-grooves-on-one-sheet", "demo-data/1046.json");
}

#[test]
fn a_stopped_order_says_so_in_large_letters() {
    look("stopped-order", "demo-data/1049.json");
}

/// Views in projection in both angles, a section and its half, an angle, leaders, equal details, the face, one groove turned up.
#[test]
fn wheels_that_show_how_sheets_are_laid_out() {
    for (name, order) in [
        ("both-sides-grooved", "demo-data/1042.json"),
        ("first-angle-with-a-recess", "demo-data/1043.json"),
        ("both-sides-tapered", "demo-data/1044.json"),
        ("helical-face-grooves", "demo-data/1047.json"),
        ("dual-units-with-tolerances", "tests/cases/sheet/tolerances-and-dual-units.json"),
        ("diameters-by-leaders", "tests/cases/sheet/seven-recess-steps-and-three.json"),
        ("one-detail-for-both-sides", "tests/cases/sheet/equal-grooves-both-sides.json"),
        ("one-groove-turned-up", "tests/cases/sheet/a-single-groove.json"),
        ("taper-by-its-angle", "tests/cases/sheet/taper-by-its-angle.json"),
        ("chamfer-by-leg-and-angle", "tests/cases/sheet/a-chamfer-of-sixty-degrees.json"),
    ] {
        look(name, order);
    }
}

#[test]
fn another_picture_is_noticed() {
    let mut order: Value = serde_json::from_str(include_str!("../../demo-data/1046.json")).unwrap();
    order["order"]["customer"] = Value::from("Low Ferry Diesel Workshop");
    let outcome = rules::check(&job(&order), &ShopRules::built_in());
    let changed = export::png::png(&draw_with(&order, &outcome.findings).unwrap().drawings[0], DPI).unwrap();
    assert!(!alike(&changed, &fs::read(kept("skewed-grooves-on-one-sheet")).unwrap()));
}
