//! From one order file to everything an altered abrasive wheel needs: the drawing, the machine files, the numbers, the papers.
//!
//! ```text
//! order file ─▶ Order ─▶ Wheel ─▶ Section  ─▶ Properties ─▶ Findings ─▶ Dossier ─┬─▶ sheet   ─▶ Drawing ─▶ svg · pdf · png · dxf
//!  (text)      as asked  resolved  exact lines  the numbers   verdicts    all of    ├─▶ report  ─▶ Paper   ─▶ sheets · json · text
//!                        in mm     and arcs                               it, once  ├─▶ shop    ─▶ Drawing, rows ─▶ pdf · svg · csv
//!                                                                                   ├─▶ quote   ─▶ Drawing ─▶ pdf · svg
//!                        └────────────────────────────────────────────────────────└─▶ cutting ─▶ Drawing ─▶ dxf (machine) · csv (index)
//! ```
//!
//! Every arrow is a pure function. The library reads no file, no clock and no environment and prints nothing; only `cli` and `web` do.
//! Lengths are millimetres, angles degrees where a name ends in `_deg` and radians elsewhere, masses kilograms, whatever unit the order uses.

pub mod certainty;
#[cfg(feature = "cli")]
pub mod cli;
#[cfg(feature = "pdf")]
pub mod cutting;
pub mod dossier;
pub mod drawing;
#[cfg(feature = "pdf")]
pub mod export;
pub mod front;
pub mod geometry;
pub mod groove;
pub mod json;
#[cfg(feature = "pdf")]
pub mod language;
#[cfg(feature = "pdf")]
pub mod money;
pub mod order;
#[cfg(feature = "pdf")]
pub mod pack;
pub mod properties;
pub mod quantity;
#[cfg(feature = "pdf")]
pub mod quote;
pub mod report;
pub mod rules;
pub mod section;
#[cfg(feature = "pdf")]
pub mod sheet;
#[cfg(feature = "pdf")]
pub mod shop;
pub mod side_view;
pub mod size;
pub mod state;
pub mod tolerance;
#[cfg(feature = "web")]
pub mod web;
pub mod wheel;

#[cfg(feature = "pdf")]
pub use front::Sheets;
pub use front::{Error, Shop, WheelOrder};
pub use json::{Located, Place, Problem, Problems};
#[cfg(feature = "pdf")]
pub use pack::NamedFile;
pub use properties::{GrooveNumbers, GrooveSets, PlainNumbers, Properties, SectionNumbers, WheelNumbers};
pub use quantity::{Date, LengthUnit, Notation, QuantityError, Written, fixed, parse_length};
pub use rules::{Authority, Basis, Finding, Severity, Verdict};
#[cfg(feature = "pdf")]
pub use sheet::{Look, template::TemplateError};
pub use size::{GrooveSet, GrooveSize, Measure, SideName, Size, SizeKind};
pub use wheel::{Deviation, Requirement};

/// An order of an invented shop, to try things on: a recessed, tapered wheel with grooves in both sides and in the face.
///
/// ```
/// let text = std::str::from_utf8(wheeldraft::demo_order())?;
/// assert!(text.contains("\"number\": \"1042\""));
/// # Ok::<(), std::str::Utf8Error>(())
/// ```
pub fn demo_order() -> &'static [u8] {
    include_bytes!("../demo-data/1042.json")
}
