//! From one order file to everything an altered abrasive wheel needs: the drawing, the machine files, the numbers, the papers.
//!
//! ```text
//! order file ─▶ Order ─▶ Wheel ─▶ Section  ─▶ Properties ─▶ Findings ─▶ Dossier ─┬─▶ sheet   ─▶ Drawing ─▶ svg · pdf · png · dxf
//!  (text)      as asked  resolved  exact lines  the numbers   verdicts    all of    ├─▶ report  ─▶ Paper   ─▶ sheets · json · text
//!                        in mm     and arcs                               it, once  ├─▶ shop    ─▶ Drawing, rows ─▶ pdf · svg · csv
//!                                                                                   ├─▶ quote   ─▶ Drawing ─▶ pdf · svg
//!                        │          └─▶ Solid ─▶ step
//!                        └────────────────────────────────────────────────────────└─▶ cutting ─▶ Drawing ─▶ dxf (machine) · csv (index)
//!                                                                                             └─▶ Draft ─▶ simulate ─▶ Proved program ─▶ course ─▶ Drawing (program sheet)
//! ```
//!
//! Every arrow is a pure function. The library reads no file, no clock and no environment and prints nothing; only `cli` and `web` do.
//! Lengths are millimetres, angles degrees where a name ends in `_deg` and radians elsewhere, masses kilograms, whatever unit the order uses.

#![cfg_attr(
    not(feature = "cli"),
    allow(dead_code, reason = "what the whole program uses is looked for with all of it")
)]
#![cfg_attr(
    not(feature = "inside"),
    allow(unused_imports, reason = "rooms offer their types by name to the tests of this package too")
)]

/// Declares the rooms. They are private; only this package's own tests, benches and searches look inside, by the feature `inside`.
macro_rules! rooms {
    ($($(#[$meta:meta])* mod $name:ident;)+) => {
        $(
            $(#[$meta])*
            #[cfg(feature = "inside")]
            #[doc(hidden)]
            pub mod $name;
            $(#[$meta])*
            #[cfg(not(feature = "inside"))]
            mod $name;
        )+
    };
}

rooms! {
    #[cfg(feature = "pdf")]
    mod book;
    mod both;
    mod certainty;
    #[cfg(feature = "cli")]
    mod cli;
    #[cfg(feature = "pdf")]
    mod course;
    #[cfg(feature = "pdf")]
    mod cutting;
    mod dossier;
    #[cfg(feature = "pdf")]
    mod drawing;
    #[cfg(feature = "pdf")]
    mod export;
    mod front;
    mod geometry;
    mod groove;
    #[cfg(feature = "pdf")]
    mod intake;
    mod json;
    mod language;
    #[cfg(feature = "pdf")]
    mod list;
    #[cfg(feature = "pdf")]
    mod money;
    mod order;
    #[cfg(feature = "pdf")]
    mod pack;
    mod profile;
    mod properties;
    mod quantity;
    #[cfg(feature = "pdf")]
    mod quote;
    mod reach;
    mod repeat;
    mod report;
    mod rules;
    mod section;
    #[cfg(feature = "pdf")]
    mod sheet;
    #[cfg(feature = "pdf")]
    mod shop;
    mod side_view;
    #[cfg(feature = "pdf")]
    mod simulate;
    mod size;
    mod solid;
    mod state;
    #[cfg(feature = "pdf")]
    mod takeoff;
    mod tolerance;
    #[cfg(feature = "web")]
    mod web;
    mod wheel;
}

#[cfg(feature = "cli")]
#[doc(hidden)]
pub use cli::run as command_line;
#[cfg(feature = "pdf")]
pub use front::Sheets;
pub use front::{Error, Shop, WheelOrder};
pub use json::{Located, Place, Problem, Problems};
#[cfg(feature = "pdf")]
pub use pack::NamedFile;
#[cfg(feature = "pdf")]
pub use pack::machine::MachineError;
pub use properties::{GrooveNumbers, GrooveSets, PlainNumbers, Properties, SectionNumbers, WheelNumbers};
pub use quantity::{Date, LengthUnit, Notation, QuantityError, Written, fixed, parse_length};
pub use rules::{Authority, Basis, Finding, Severity, Verdict};
pub use section::SectionError;
#[cfg(feature = "pdf")]
pub use sheet::Look;
#[cfg(feature = "pdf")]
pub use sheet::SheetError;
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
