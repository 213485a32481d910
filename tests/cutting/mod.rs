//! Machine files: offsets, paths, index tables, programs, and the files as other readers see them.

mod files;
mod offset;
pub mod support;
