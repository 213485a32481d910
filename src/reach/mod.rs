//! What the shop's tools leave of a wheel that was ordered otherwise: one sentence for each thing, and the same words wherever it is said, by `check`, on
//! the drawing, in a program and on its sheet.

mod disc;
mod leftover;
#[cfg(feature = "pdf")]
mod nose;

pub use disc::{Disc, face_lanes, of_face, of_side};
pub use leftover::Leftover;
#[cfg(feature = "pdf")]
pub use nose::{Shape, largest_fitting, leftovers, of_nose};

use crate::language::Language;
use crate::quantity::{LengthUnit, Written, fixed};
use crate::section::Section;
use crate::wheel::{Characteristic, Job, SideName};

/// Where grooves are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In a side.
    Side(SideName),
    /// In the face.
    Face,
}

/// One thing that a tool cannot reach, lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Left {
    /// The disc is wider than the grooves with their tolerance.
    TooWide(Place, Disc, f64),
    /// The grooves are deeper than the disc's radius.
    TooDeep(Place, Disc, f64),
    /// The disc finds no room between both ends of the grooves.
    NoRoom(Place, Disc),
    /// Full depth begins so far from the inner end.
    InnerEnd(Place, Disc, f64),
    /// Full depth ends so far from the outer end.
    OuterEnd(Place, Disc, f64),
    /// Full depth begins and ends so far from the ends.
    BothEnds(Place, Disc, f64, f64),
    /// So much stays in a run-out that was ordered for a disc of that diameter.
    Runout(Place, Disc, f64, f64),
    /// The disc is too broad to take anything off a shaped bottom so shallow.
    TooBroad(Place, Disc),
    /// Steps so high stay in a shaped bottom.
    Steps(Place, f64),
    /// The disc itself makes the shaped bottom.
    Formed(Place),
    /// A nose of this radius finds no path around the section: the bore or the path is too narrow.
    NoPath(f64),
    /// Stone that a nose of this radius leaves in the section.
    Nose(f64, Leftover),
}

/// Everything that the tools of an order leave, the disc's first; what is not known of a tool is left aside.
pub fn of(job: &Job, section: &Section) -> Vec<Left> {
    let disc = Disc::of(job);
    let mut found: Vec<Left> =
        SideName::BOTH.into_iter().flat_map(|side| of_side(&job.wheel, section, side, (disc, widest(job, Place::Side(side))))).collect();
    if let Some(g) = &job.wheel.face {
        found.extend(of_face(g, (disc, widest(job, Place::Face))));
    }
    #[cfg(feature = "pdf")]
    found.extend(job.tooling.profile_nose_radius.into_iter().flat_map(|nose| of_nose(section, nose)));
    found
}

/// What cannot be reached, a sentence each, in the shop's language and this unit.
pub fn said(left: &[Left], unit: LengthUnit) -> Vec<String> {
    left.iter().map(|l| l.words(&Written::plain_in(unit), Language::En)).collect()
}

/// Greatest width that the grooves of a place may have, mm; 0 where there are none.
pub fn widest(job: &Job, place: Place) -> f64 {
    let width = match place {
        Place::Side(side) => job.wheel.side(side).grooves.as_ref().map(|g| g.width),
        Place::Face => job.wheel.face.as_ref().map(|g| g.width),
    };
    let over = job.tolerances.get(Characteristic::GrooveWidth).map_or(0.0, |d| d.upper.max(0.0));
    width.map_or(0.0, |width| width + over)
}

impl Left {
    /// Whether what is ordered cannot be made with this tool: nothing is cut with it.
    pub fn refuses(&self) -> bool {
        match self {
            Left::TooWide(..) | Left::TooDeep(..) | Left::NoRoom(..) | Left::TooBroad(..) | Left::NoPath(_) => true,
            Left::Nose(_, left) => left.ordered,
            _ => false,
        }
    }

    /// Whether it is about the ends or the depth of a place's grooves.
    pub fn is_end_of(&self, place: Place) -> bool {
        match self {
            Left::TooDeep(at, ..)
            | Left::NoRoom(at, _)
            | Left::InnerEnd(at, ..)
            | Left::OuterEnd(at, ..)
            | Left::BothEnds(at, ..)
            | Left::Runout(at, ..) => *at == place,
            _ => false,
        }
    }

    /// How much is left, mm; `None` where it is no matter of size.
    pub fn amount(&self) -> Option<f64> {
        match self {
            Left::InnerEnd(_, _, mm)
            | Left::OuterEnd(_, _, mm)
            | Left::BothEnds(_, _, mm, _)
            | Left::Runout(_, _, _, mm)
            | Left::Steps(_, mm) => Some(*mm),
            Left::Nose(_, left) => Some(left.most),
            _ => None,
        }
    }

    /// The order's field that asks for what is left, as a JSON pointer.
    pub fn field(&self) -> String {
        let (place, rest) = match self {
            Left::TooWide(place, ..) => (place, "width"),
            Left::TooDeep(place, ..) => (place, "depth"),
            Left::NoRoom(place, ..) | Left::OuterEnd(place, ..) => (place, "outer_diameter"),
            Left::InnerEnd(place, ..) | Left::BothEnds(place, ..) => (place, "inner_end"),
            Left::Runout(place, ..) => (place, "cutter_diameter"),
            Left::TooBroad(place, _) | Left::Steps(place, _) | Left::Formed(place) => (place, "bottom"),
            Left::NoPath(_) => return String::from("/tooling/profile_nose_radius"),
            Left::Nose(_, left) => return left.field(),
        };
        match place {
            Place::Side(side) => format!("/wheel/{}/grooves/{rest}", side.key()),
            Place::Face => format!("/wheel/face/grooves/{rest}"),
        }
    }

    /// The sentence. Lengths carry their unit; what refuses is said in English, the shop's language.
    pub fn words(&self, w: &Written, language: Language) -> String {
        let put = |key: &str, place: &Place, names: &[(&str, String)]| {
            let mut all = vec![("grooves", place.words(language))];
            all.extend(names.iter().cloned());
            let all: Vec<(&str, &str)> = all.iter().map(|(name, text)| (*name, text.as_str())).collect();
            language.put(key, &all)
        };
        let size = |mm: f64| size(w, mm);
        let across = |disc: &Disc| size(disc.diameter.unwrap_or_default());
        let english = |place: &Place| place.words(Language::En);
        match self {
            Left::TooWide(place, disc, most) => {
                format!("The disc is {} wide, the {} only {}.", size(disc.width.unwrap_or_default()), english(place), size(*most))
            }
            Left::TooDeep(place, disc, depth) => {
                format!("A disc of {} cannot cut the {} {} deep.", across(disc), english(place), size(*depth))
            }
            Left::NoRoom(place, disc) => format!(
                "The {} are shorter than the run-outs of a disc of {}: this cutter cannot make them.",
                english(place),
                across(disc)
            ),
            Left::TooBroad(place, disc) => format!(
                "A disc {} wide takes nothing off the shaped bottom of the {}.",
                size(disc.width.unwrap_or_default()),
                english(place)
            ),
            Left::InnerEnd(place, disc, full) => put("left.inner", place, &[("disc", across(disc)), ("full", size(*full))]),
            Left::OuterEnd(place, disc, full) => put("left.outer", place, &[("disc", across(disc)), ("full", size(*full))]),
            Left::BothEnds(place, disc, inner, outer) => {
                put("left.both", place, &[("disc", across(disc)), ("inner", size(*inner)), ("outer", size(*outer))])
            }
            Left::Runout(place, disc, ordered, most) => {
                put("left.runout", place, &[("disc", across(disc)), ("ordered", size(*ordered)), ("left", size(*most))])
            }
            Left::Steps(place, most) => put("left.steps", place, &[("left", size(*most))]),
            Left::Formed(place) => put("left.formed", place, &[]),
            Left::NoPath(radius) => {
                format!("A nose radius of {} finds no path around the section: it does not fit into the bore.", size(*radius))
            }
            Left::Nose(radius, left) => left.words(*radius, w, language),
        }
    }
}

impl Place {
    fn words(self, language: Language) -> String {
        match self {
            Place::Side(side) => language.put("left.side", &[("side", side.letter())]),
            Place::Face => language.text("left.face").to_owned(),
        }
    }
}

/// A length with its unit; one that would print as nothing in millimetres to the sixth decimal.
fn size(w: &Written, mm: f64) -> String {
    let text = w.measured(mm);
    let is_nothing = mm != 0.0 && !text.contains(|c: char| ('1'..='9').contains(&c));
    if is_nothing { format!("{} mm", fixed(mm, 6)) } else { text }
}
