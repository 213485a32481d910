//! From one order file to everything an altered abrasive wheel needs: the drawing, the machine files, the numbers, the papers.
//!
//! ```text
//! order file ─▶ Order ─▶ Wheel ─▶ Section, SideView ─▶ Properties ─▶ Findings ─┬─▶ sheet   ─▶ Drawing ─▶ svg · pdf · png · dxf
//!  (text)      as asked  resolved  exact lines + arcs   the numbers   verdicts  ├─▶ cutting ─▶ Drawing ─▶ dxf (machine) · csv (index)
//!                        in mm     + groove solids                              └─▶ shop    ─▶ Report  ─▶ text · json · csv · sheets
//! ```
//!
//! Every arrow is a pure function. The library reads no file, no clock and no environment and prints nothing; only `cli` and `web` do.
//! Lengths are millimetres, angles degrees where a name ends in `_deg` and radians elsewhere, masses kilograms, whatever unit the order uses.

#[cfg(feature = "pdf")]
pub mod certainty;
#[cfg(feature = "cli")]
pub mod cli;
pub mod cutting;
pub mod drawing;
#[cfg(feature = "pdf")]
pub mod export;
pub mod geometry;
pub mod groove;
pub mod json;
pub mod order;
#[cfg(feature = "pdf")]
pub mod pack;
pub mod properties;
pub mod quantity;
pub mod report;
pub mod rules;
pub mod section;
#[cfg(feature = "pdf")]
pub mod sheet;
#[cfg(feature = "pdf")]
pub mod shop;
pub mod side_view;
pub mod size;
pub mod tolerance;
#[cfg(feature = "web")]
pub mod web;
pub mod wheel;
