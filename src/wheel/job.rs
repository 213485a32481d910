//! Everything an order says besides the geometry, resolved.

use super::general::{Deviation, GeneralKind, GeneralTolerances, LimitsBy};
use super::{Fingerprint, OpenSize, Wheel};
#[cfg(feature = "pdf")]
use crate::drawing::About;
use crate::order::{Answer, DrawingStyle, Head, Language, OperationKind, Projection, SheetSize, SolidFormat, TravelOn, WheelSide};
use crate::quantity::{Date, KG_PER_MM3, LengthUnit};
use crate::size::Size;
use std::sync::Arc;
use serde::Serialize;

/// One order, resolved: the small, exact form that every later room reads.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Job {
    /// Who ordered what.
    pub head: Head,
    /// The unit the order was typed in: only a matter of printing.
    pub units: LengthUnit,
    /// The wheel after altering.
    pub wheel: Wheel,
    /// A lower speed than the blank's that the altered wheel is marked with, m/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_operating_speed: Option<f64>,
    /// The stock wheel before altering.
    pub blank: Option<Blank>,
    /// The grinding machine.
    pub machine: Machine,
    /// Flanges and bolts.
    pub mount: Mount,
    /// What it grinds.
    pub work: crate::order::Work,
    /// The shop's tools.
    pub tooling: Tooling,
    /// Tolerances by characteristic.
    pub tolerances: Tolerances,
    /// Questions that were answered.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub answers: Vec<Answer>,
    /// How the sheets are to look.
    pub sheets: Sheets,
    /// Sizes that are not decided: while there is one, this is a draft.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub open: Vec<OpenSize>,
}

/// The stock wheel before altering.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Blank {
    /// Outside diameter, mm.
    pub outside_diameter: Option<f64>,
    /// Thickness, mm.
    pub thickness: Option<f64>,
    /// Bore, mm.
    pub bore: Option<f64>,
    /// Specification mark.
    pub marking: Option<String>,
    /// Density as given, kg/m³.
    pub density: Option<f64>,
    /// Weight of the blank, kg.
    pub weight: Option<f64>,
    /// Maximum operating speed as marked, m/s.
    pub max_operating_speed: Option<f64>,
    /// The shop's own number of the stock wheel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stock: Option<String>,
    /// Where it lies.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Lot or serial mark.
    pub lot: Option<String>,
    /// Who made it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub maker: Option<String>,
    /// Day until which it may be used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expires: Option<Date>,
    /// Restrictions of use marked on it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub restrictions: Vec<String>,
    /// Reference of its maker's consent to the alteration.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub maker_agreement: Option<String>,
}

impl Blank {
    /// Volume of the straight blank, mm³; `None` where a size is not given.
    pub fn volume(&self) -> Option<f64> {
        let (d, t, h) = (self.outside_diameter?, self.thickness?, self.bore?);
        Some(std::f64::consts::FRAC_PI_4 * (d * d - h * h) * t)
    }
}

impl Job {
    /// The maximum operating speed the altered wheel is marked with, m/s: the blank's, or the lower one the engineer decides on. `None` where the
    /// blank's is not known: then no other one holds.
    pub fn marked_speed(&self) -> Option<f64> {
        let of_blank = self.blank.as_ref()?.max_operating_speed?;
        Some(self.max_operating_speed.map_or(of_blank, |lower| lower.min(of_blank)))
    }

    /// Density of the abrasive, kg/m³: as given, or the blank's weight over its volume; `None` where the order says neither.
    pub fn density(&self) -> Option<f64> {
        let blank = self.blank.as_ref()?;
        blank.density.or_else(|| Some(blank.weight? / (blank.volume()? * KG_PER_MM3)))
    }

    /// Identity of everything the order says.
    pub fn fingerprint(&self) -> Fingerprint {
        Fingerprint::of(self)
    }

    /// What a drawing made of the order says of itself.
    #[cfg(feature = "pdf")]
    pub fn about(&self, subject: impl Into<String>) -> About {
        About {
            author: self.head.prepared_by.clone().unwrap_or_default(),
            subject: subject.into(),
            date: self.head.date.clone().unwrap_or_default(),
            fingerprint: self.fingerprint().full().to_owned(),
            state: Vec::new(),
        }
    }

    /// Whether a size is open: then nothing is approved and nothing is cut.
    pub fn is_draft(&self) -> bool {
        !self.open.is_empty()
    }

    /// Whether the field of this JSON pointer is open.
    pub fn is_open(&self, field: &str) -> bool {
        self.open.iter().any(|open| open.field == field)
    }

    /// Whether the sides touch the work: not in grinding journals.
    pub fn grinds_with_sides(&self) -> bool {
        self.work.operation != Some(OperationKind::Journal)
    }

    /// `NUMBER-REV`, the start of every file's name.
    pub fn file_stem(&self) -> String {
        format!("{}-{}", self.head.number, self.head.revision)
    }
}

/// The grinding machine.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Machine {
    /// Its name, as on its card.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Spindle speed, 1/min.
    pub spindle_rpm: Option<f64>,
    /// Usable travel as ordered, mm.
    pub usable_travel: Option<f64>,
    /// What the travel is counted on; `None` where it is not said.
    pub travel_on: Option<TravelOn>,
    /// Natural frequencies, Hz.
    pub natural_frequencies_hz: Vec<f64>,
}

impl Machine {
    /// By how much the wheel's diameter may fall until the travel is used up, mm; `None` where travel or its meaning is not given.
    pub fn travel_on_diameter(&self) -> Option<f64> {
        let travel = self.usable_travel?;
        Some(match self.travel_on? {
            TravelOn::Radius => 2.0 * travel,
            TravelOn::Diameter => travel,
        })
    }
}

/// Flanges and bolts, mm.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Mount {
    /// Diameter of the flanges.
    pub flange_diameter: Option<f64>,
    /// Radial width of the bearing ring.
    pub flange_bearing_width: Option<f64>,
    /// The side that faces the fixed flange.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fixed_flange_side: Option<WheelSide>,
    /// Length of the hub bolts.
    pub bolt_length: Option<f64>,
    /// Flange, washer, nut and least engagement together.
    pub bolt_stack: Option<f64>,
}

/// The shop's tools, mm and degrees.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Tooling {
    /// Diameter of the slitting disc.
    pub groove_cutter_diameter: Option<f64>,
    /// Width of the slitting disc.
    pub groove_cutter_width: Option<f64>,
    /// Nose radius of the profiling diamond.
    pub profile_nose_radius: Option<f64>,
    /// Stone left on the profile for the last pass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub profile_allowance: Option<f64>,
    /// Smallest step of the indexing head, degrees.
    pub index_step_deg: Option<f64>,
    /// Feed of the side dressing diamond per revolution.
    pub side_dress_lead: Option<f64>,
}

/// What a tolerance can be given for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Characteristic {
    /// Outside diameter.
    OutsideDiameter,
    /// Overall thickness.
    Thickness,
    /// Bore.
    Bore,
    /// Recess diameters.
    RecessDiameter,
    /// Recess depths.
    RecessDepth,
    /// Groove widths.
    GrooveWidth,
    /// Groove depths.
    GrooveDepth,
    /// Angle between neighbouring grooves.
    GroovePitchDeg,
    /// Run-out of the face.
    RunoutFace,
    /// Run-out of the sides.
    RunoutSide,
    /// Parallelism of the sides.
    Parallelism,
}

impl Characteristic {
    /// All of them, in the order of the file format.
    pub const ALL: [Characteristic; 11] = [
        Characteristic::OutsideDiameter,
        Characteristic::Thickness,
        Characteristic::Bore,
        Characteristic::RecessDiameter,
        Characteristic::RecessDepth,
        Characteristic::GrooveWidth,
        Characteristic::GrooveDepth,
        Characteristic::GroovePitchDeg,
        Characteristic::RunoutFace,
        Characteristic::RunoutSide,
        Characteristic::Parallelism,
    ];

    /// Its key in the order file's `tolerances`.
    pub fn key(self) -> &'static str {
        match self {
            Characteristic::OutsideDiameter => "outside_diameter",
            Characteristic::Thickness => "thickness",
            Characteristic::Bore => "bore",
            Characteristic::RecessDiameter => "recess_diameter",
            Characteristic::RecessDepth => "recess_depth",
            Characteristic::GrooveWidth => "groove_width",
            Characteristic::GrooveDepth => "groove_depth",
            Characteristic::GroovePitchDeg => "groove_pitch_deg",
            Characteristic::RunoutFace => "runout_face",
            Characteristic::RunoutSide => "runout_side",
            Characteristic::Parallelism => "parallelism",
        }
    }
}

/// Tolerances by characteristic.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Tolerances {
    entries: Vec<(Characteristic, Deviation)>,
    /// What holds for every size without one of its own, the bore apart; mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub general: Option<Deviation>,
    /// What the shop's file says where neither does: no part of the order, and of its fingerprint.
    #[serde(skip)]
    pub shop: Option<Arc<GeneralTolerances>>,
}

impl Tolerances {
    /// From pairs; a characteristic named twice keeps the first.
    pub fn new(entries: Vec<(Characteristic, Deviation)>) -> Tolerances {
        Tolerances { entries, general: None, shop: None }
    }

    /// What holds in general for a size of this nominal value, mm; `None` where nothing does.
    pub fn general_of(&self, size: Size, nominal: f64) -> Option<(Deviation, LimitsBy)> {
        let kind = GeneralKind::of(size)?;
        match self.general {
            Some(deviation) => Some((deviation, LimitsBy::General)),
            None => Some((self.shop.as_ref()?.get(kind, nominal)?, LimitsBy::Shop)),
        }
    }

    /// The deviation of a characteristic; `None` where the order gives none.
    pub fn get(&self, what: Characteristic) -> Option<Deviation> {
        self.entries.iter().find(|(c, _)| *c == what).map(|&(_, d)| d)
    }

    /// All that are given.
    pub fn iter(&self) -> impl Iterator<Item = (Characteristic, Deviation)> + '_ {
        self.entries.iter().copied()
    }
}

/// How the sheets are to look.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheets {
    /// Paper size; `None` is chosen to fit.
    pub size: Option<SheetSize>,
    /// Projection method.
    pub projection: Projection,
    /// Dimensioning style.
    pub style: DrawingStyle,
    /// Whether lengths are printed in the other unit as well.
    pub dual_units: bool,
    /// Title block template, by name or path; `None` is the built-in one.
    pub title_block: Option<String>,
    /// Language of the customer's sheets.
    #[serde(skip_serializing_if = "is_english")]
    pub language: Language,
    /// Solid models a pack adds.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub solid: Vec<SolidFormat>,
}

fn is_english(language: &Language) -> bool {
    *language == Language::En
}
