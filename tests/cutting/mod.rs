//! Machine files: offsets, paths, index tables, programs, and the files as other readers see them.

mod dialects;
mod files;
mod frames;
mod left;
mod nose;
mod offset;
mod passes;
mod pictures;
mod program;
mod simulated;
pub mod support;
mod tampered;
mod toolpath;
