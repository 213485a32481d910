//! Every writer on the same drawing: what is in the file, and that the same drawing gives the same bytes.

mod browser;
mod dxf;
mod pdf;
mod png;
mod report;
pub mod sample;
mod svg;
