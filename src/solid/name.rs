//! Faces of the turned wheel in words of the trade, and whether altering made them.

use crate::section::{Feature, Section};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Job, SideName};

/// A turned face in words.
pub(super) fn of(feature: Feature) -> String {
    let on = |side: SideName, what: &str| format!("side {} {what}", side.letter());
    let step = |side: SideName, what: &str, i: usize| on(side, &format!("recess {what} {}", i + 1));
    match feature {
        Feature::OutsideDiameter => "outside diameter".to_owned(),
        Feature::Bore => "bore".to_owned(),
        Feature::BoreChamfer(side) => on(side, "bore chamfer"),
        Feature::Flat(side) => on(side, "flat"),
        Feature::Taper(side) => on(side, "taper"),
        Feature::TaperFlat(side) => on(side, "flat beyond the taper"),
        Feature::Corner(side) => on(side, "corner"),
        Feature::RecessWall(side, i) => step(side, "wall", i),
        Feature::RecessFloor(side, i) => step(side, "floor", i),
        Feature::RecessFillet(side, i) => step(side, "fillet", i),
    }
}

/// The order's field that makes a face, by its name, as a JSON pointer: the size that a person would change to change the face.
pub fn field(name: &str, section: &Section) -> Option<String> {
    let turned = section.edges().map(|(_, feature)| feature).find(|feature| of(*feature) == name).map(Feature::field);
    let of_side = || {
        let (side, part) = SideName::BOTH.into_iter().find_map(|side| Some((side, name.strip_prefix(&format!("side {} groove ", side.letter()))?)))?;
        let size = match part {
            "bottom" => "depth",
            "end" => "inner_diameter",
            _ => "width",
        };
        Some(format!("/wheel/{}/grooves/{size}", side.key()))
    };
    turned.or_else(of_side).or_else(|| (name == "face groove").then(|| "/wheel/face/grooves/depth".to_owned()))
}

/// Whether altering made a turned face; `None` where the order does not give the blank's size there.
pub(super) fn is_cut(feature: Feature, job: &Job) -> Option<bool> {
    let blank = job.blank.as_ref();
    let differs = |size: Option<f64>, now: f64| size.map(|size| (size - now).abs() > SAME_LENGTH);
    match feature {
        Feature::OutsideDiameter => differs(blank?.outside_diameter, job.wheel.outside_diameter),
        Feature::Bore => differs(blank?.bore, job.wheel.bore),
        Feature::Flat(_) => differs(blank?.thickness, job.wheel.thickness),
        _ => Some(true),
    }
}
