//! The file formats, one file each; nothing else in the program knows one. Every writer is a pure function of what it is given.
//!
//! | module | from | makes |
//! | --- | --- | --- |
//! | [`svg`] | a drawing | SVG 1.1 in paper millimetres, text as text, the letters it uses embedded |
//! | [`pdf`] | drawings | one PDF/A-2u file, a page for each drawing |
//! | [`png`] | a drawing | a picture at a chosen resolution |
//! | [`dxf`] | a drawing | the sheet as DXF 2000, or a machine file in one of three flavours; and back |
//! | [`step`] | a solid | its exact boundary, ISO 10303-21 |
//! | [`stl`], [`three_mf`], [`glb`] | a mesh | triangles: binary STL, 3MF, binary glTF 2.0 |
//! | [`csv`], [`json`] | a table, a paper | rows for other programs |
//!
//! Numbers are printed by [`crate::quantity::fixed`] only. No writer reads a clock, so the same drawing gives the same bytes.

pub mod archive;
pub mod csv;
pub mod dxf;
pub mod glb;
pub mod json;
mod letters;
pub mod model;
mod paint;
pub mod pdf;
pub mod png;
pub mod step;
pub mod stl;
pub mod svg;
pub mod three_mf;
mod webfont;
