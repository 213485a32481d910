//! The operations that make an altered wheel of a stock wheel, in the order a shop does them.

use crate::size::{GrooveSet, SideName, Size};
use crate::wheel::{Characteristic, Job};
use serde::{Serialize, Serializer};

/// One operation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Operation {
    /// Compare the blank's marks with the order.
    Identify,
    /// Ring test of the blank.
    RingTestBefore,
    /// Open the bore.
    Bore,
    /// Reduce the thickness.
    Thickness,
    /// Reduce the outside diameter.
    OutsideDiameter,
    /// Turn the recess of a side.
    Recess(SideName),
    /// Dress the taper of a side.
    Taper(SideName),
    /// Dress the corner of a side.
    Corner(SideName),
    /// Chamfer the bore.
    BoreChamfer,
    /// Cut the grooves of a side.
    Grooves(SideName),
    /// Cut the grooves of the face.
    FaceGrooves,
    /// Clean the wheel of dust and chips.
    Clean,
    /// Ring test of the altered wheel.
    RingTestAfter,
    /// Measure every characteristic.
    Inspect,
    /// Run at test speed, guarded.
    SpeedTest,
    /// Balance.
    Balance,
    /// Put the label on.
    Label,
    /// Pack.
    Pack,
}

use Operation as O;
use SideName::{A, B};

impl Operation {
    /// All of them, in the order they are done.
    pub const ALL: [Operation; 22] = [
        O::Identify,
        O::RingTestBefore,
        O::Bore,
        O::Thickness,
        O::OutsideDiameter,
        O::Recess(A),
        O::Recess(B),
        O::Taper(A),
        O::Taper(B),
        O::Corner(A),
        O::Corner(B),
        O::BoreChamfer,
        O::Grooves(A),
        O::Grooves(B),
        O::FaceGrooves,
        O::Clean,
        O::RingTestAfter,
        O::Inspect,
        O::SpeedTest,
        O::Balance,
        O::Label,
        O::Pack,
    ];

    /// Its name in templates and data.
    pub fn key(self) -> &'static str {
        match self {
            O::Identify => "identify",
            O::RingTestBefore => "ring-test-before",
            O::Bore => "bore",
            O::Thickness => "thickness",
            O::OutsideDiameter => "outside-diameter",
            O::Recess(A) => "recess-side-a",
            O::Recess(B) => "recess-side-b",
            O::Taper(A) => "taper-side-a",
            O::Taper(B) => "taper-side-b",
            O::Corner(A) => "corner-side-a",
            O::Corner(B) => "corner-side-b",
            O::BoreChamfer => "bore-chamfer",
            O::Grooves(A) => "grooves-side-a",
            O::Grooves(B) => "grooves-side-b",
            O::FaceGrooves => "grooves-face",
            O::Clean => "clean",
            O::RingTestAfter => "ring-test-after",
            O::Inspect => "inspect",
            O::SpeedTest => "speed-test",
            O::Balance => "balance",
            O::Label => "label",
            O::Pack => "pack",
        }
    }

    /// The operation of this name.
    pub fn of_key(key: &str) -> Option<Operation> {
        Operation::ALL.into_iter().find(|o| o.key() == key)
    }

    /// What it does, in a few words.
    pub fn label(self) -> String {
        let side = |what: &str, side: SideName| format!("{what}, side {}", side.letter());
        match self {
            O::Identify => "Identify the blank".to_owned(),
            O::RingTestBefore => "Ring test of the blank".to_owned(),
            O::Bore => "Bore".to_owned(),
            O::Thickness => "Thickness".to_owned(),
            O::OutsideDiameter => "Outside diameter".to_owned(),
            O::Recess(s) => side("Recess", s),
            O::Taper(s) => side("Taper", s),
            O::Corner(s) => side("Corner", s),
            O::BoreChamfer => "Bore chamfer".to_owned(),
            O::Grooves(s) => side("Grooves", s),
            O::FaceGrooves => "Grooves, face".to_owned(),
            O::Clean => "Clean".to_owned(),
            O::RingTestAfter => "Ring test after altering".to_owned(),
            O::Inspect => "Inspect".to_owned(),
            O::SpeedTest => "Speed test".to_owned(),
            O::Balance => "Balance".to_owned(),
            O::Label => "Label".to_owned(),
            O::Pack => "Pack".to_owned(),
        }
    }

    /// Whether it takes material off.
    pub fn is_cutting(self) -> bool {
        O::Bore <= self && self <= O::FaceGrooves
    }

    /// Whether the wheel of this order needs it. Bore, thickness and outside diameter are needed unless the blank named in the order has the
    /// size already; sides and face are trued also where the order limits how they run.
    pub fn is_needed(self, job: &Job) -> bool {
        let wheel = &job.wheel;
        let blank = job.blank.as_ref();
        let differs = |have: Option<f64>, want: f64| have != Some(want);
        let limited = |what: &[Characteristic]| what.iter().any(|c| job.tolerances.get(*c).is_some());
        match self {
            O::Bore => differs(blank.and_then(|b| b.bore), wheel.bore),
            O::Thickness => {
                differs(blank.and_then(|b| b.thickness), wheel.thickness)
                    || limited(&[Characteristic::RunoutSide, Characteristic::Parallelism])
            }
            O::OutsideDiameter => {
                differs(blank.and_then(|b| b.outside_diameter), wheel.outside_diameter)
                    || limited(&[Characteristic::RunoutFace])
            }
            O::Recess(s) => !wheel.side(s).recess.is_empty(),
            O::Taper(s) => wheel.side(s).taper.is_some(),
            O::Corner(s) => wheel.side(s).corner.is_some(),
            O::BoreChamfer => wheel.bore_chamfer > 0.0,
            O::Grooves(s) => wheel.side(s).grooves.is_some(),
            O::FaceGrooves => wheel.face.is_some(),
            _ => true,
        }
    }
}

impl Size {
    /// The operation that makes it.
    pub fn operation(self) -> Operation {
        match self {
            Size::Bore => O::Bore,
            Size::Thickness | Size::Parallelism | Size::RunoutSide | Size::HubThickness | Size::RimThickness => {
                O::Thickness
            }
            Size::OutsideDiameter | Size::RunoutFace => O::OutsideDiameter,
            Size::BoreChamfer => O::BoreChamfer,
            Size::CornerRadius(s) | Size::CornerChamfer(s) | Size::CornerAngle(s) => O::Corner(s),
            Size::TaperFrom(s) | Size::TaperTo(s) | Size::TaperDepth(s) => O::Taper(s),
            Size::TaperStart(s) | Size::TaperAngle(s) => O::Taper(s),
            Size::RecessDiameter(s, _) | Size::RecessDepth(s, _) | Size::RecessFillet(s, _) => O::Recess(s),
            Size::Groove(GrooveSet::Side(s), _) => O::Grooves(s),
            Size::Groove(GrooveSet::Face, _) => O::FaceGrooves,
        }
    }
}

impl Serialize for Operation {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.key())
    }
}
