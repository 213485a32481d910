//! The groove count question as an order poses it, and its answers as JSON.

use crate::properties::planner::{Choice, Grooves, Question};
use crate::properties::{self, wall_left};
use crate::rules::ShopRules;
use crate::section::Section;
use crate::wheel::{Characteristic, Job, SideName};
use serde_json::{Value, json};

/// Where grooves are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GroovePlace {
    /// In a side.
    Side(SideName),
    /// Across the face.
    Face,
}

impl GroovePlace {
    /// All of them.
    pub const ALL: [GroovePlace; 3] =
        [GroovePlace::Side(SideName::A), GroovePlace::Side(SideName::B), GroovePlace::Face];

    /// The order's field, as a JSON pointer.
    pub fn field(self) -> &'static str {
        match self {
            GroovePlace::Side(SideName::A) => "/wheel/side_a/grooves",
            GroovePlace::Side(SideName::B) => "/wheel/side_b/grooves",
            GroovePlace::Face => "/wheel/face/grooves",
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            GroovePlace::Side(SideName::A) => "side A",
            GroovePlace::Side(SideName::B) => "side B",
            GroovePlace::Face => "face",
        }
    }
}

/// How many grooves an order should have in a place, with everything the order and the shop say about it; `None` where the wheel has no grooves
/// there or no section.
pub fn question<'a>(job: &'a Job, shop: &ShopRules, place: GroovePlace) -> Option<Question<'a>> {
    let wheel = &job.wheel;
    let section = Section::of(wheel).ok()?;
    let sets = properties::of_section(wheel, &section, job.density()).grooves;
    let (set, grooves) = match place {
        GroovePlace::Side(SideName::A) => (sets.side_a, Grooves::Side(wheel, SideName::A)),
        GroovePlace::Side(SideName::B) => (sets.side_b, Grooves::Side(wheel, SideName::B)),
        GroovePlace::Face => (sets.face, Grooves::Face(wheel)),
    };
    let wall = wall_left(wheel, &section).filter(|_| place != GroovePlace::Face).map(|w| w.thickness);
    Some(Question {
        grooves,
        volume_each: Some(set?.volume_each),
        wall: wall.map(|left| (left, wheel.thickness * shop.limits().groove_wall_ask_share)),
        rpm: job.machine.spindle_rpm,
        natural: match place {
            GroovePlace::Side(_) if !job.grinds_with_sides() => Vec::new(),
            _ => job.machine.natural_frequencies_hz.clone(),
        },
        index_step: job.tooling.index_step_deg,
        pitch_tolerance: job.tolerances.get(Characteristic::GroovePitchDeg).map(|d| d.upper.min(-d.lower).max(0.0)),
    })
}

/// One count as JSON: mm, mm³, Hz, degrees.
pub fn choice(c: &Choice) -> Value {
    json!({
        "count": c.count,
        "pitch_deg": c.pitch_deg,
        "land_outer_mm": c.lands.outer,
        "land_inner_mm": c.lands.inner,
        "land_share": c.lands.share,
        "merge_diameter_mm": c.lands.merge_diameter,
        "coolant_mm3_per_revolution": c.coolant,
        "wall_left_mm": c.wall,
        "frequency_hz": c.frequency,
        "index_error_deg": c.index_error,
        "meets_all_limits": c.against.is_empty(),
        "against": c.against.iter().map(|a| a.word()).collect::<Vec<_>>(),
    })
}
