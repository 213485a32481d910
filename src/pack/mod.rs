//! From an order to named files as bytes; the command line and the page both call it, so they agree byte for byte.

pub mod machine;

/// One file, ready to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedFile {
    /// Its name, without a folder.
    pub name: String,
    /// All of it.
    pub bytes: Vec<u8>,
}
