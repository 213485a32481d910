//! Names for what makes an edge of the section.

use crate::wheel::SideName;
use serde::Serialize;

/// What makes an edge of the section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
pub enum Feature {
    /// The outside diameter.
    OutsideDiameter,
    /// The bore.
    Bore,
    /// The chamfer of the bore at one side.
    BoreChamfer(SideName),
    /// The flat of a side, on its datum plane.
    Flat(SideName),
    /// The sloping part of a tapered side.
    Taper(SideName),
    /// The flat of a tapered side below its datum plane.
    TaperFlat(SideName),
    /// The corner radius or chamfer of a side at the outside diameter.
    Corner(SideName),
    /// The wall of a recess step, counted from 0 at the outermost.
    RecessWall(SideName, usize),
    /// The floor of a recess step.
    RecessFloor(SideName, usize),
    /// The fillet between wall and floor of a recess step.
    RecessFillet(SideName, usize),
}

impl Feature {
    /// The order's field that makes it, as a JSON pointer.
    pub fn field(self) -> String {
        let on = |side: SideName, rest: &str| format!("/wheel/{}{rest}", side.key());
        match self {
            Feature::OutsideDiameter => "/wheel/outside_diameter".to_owned(),
            Feature::Bore => "/wheel/bore".to_owned(),
            Feature::BoreChamfer(_) => "/wheel/bore_chamfer".to_owned(),
            Feature::Flat(_) => "/wheel/thickness".to_owned(),
            Feature::Taper(side) | Feature::TaperFlat(side) => on(side, "/taper"),
            Feature::Corner(side) => on(side, "/corner"),
            Feature::RecessWall(side, i) => on(side, &format!("/recess/{i}/diameter")),
            Feature::RecessFloor(side, i) => on(side, &format!("/recess/{i}/depth")),
            Feature::RecessFillet(side, i) => on(side, &format!("/recess/{i}/fillet_radius")),
        }
    }

    /// What it is called: `the wall of step 1 of the recess on side A`.
    pub fn words(self) -> String {
        let on = |what: &str, side: SideName| format!("the {what} on side {}", side.letter());
        let step = |what: &str, side: SideName, i: usize| on(&format!("{what} of step {} of the recess", i + 1), side);
        match self {
            Feature::OutsideDiameter => "the outside diameter".to_owned(),
            Feature::Bore => "the bore".to_owned(),
            Feature::BoreChamfer(side) => on("chamfer of the bore", side),
            Feature::Flat(side) => on("flat", side),
            Feature::Taper(side) => on("taper", side),
            Feature::TaperFlat(side) => on("flat beside the taper", side),
            Feature::Corner(side) => on("corner", side),
            Feature::RecessWall(side, i) => step("wall", side, i),
            Feature::RecessFloor(side, i) => step("floor", side, i),
            Feature::RecessFillet(side, i) => step("fillet", side, i),
        }
    }
}
