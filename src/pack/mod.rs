//! From an order to named files as bytes; the command line and the page both call it, so they agree byte for byte.

mod build;
pub mod machine;
pub mod manifest;
pub mod papers;
pub mod solid;
mod remake;
pub mod seal;
pub mod verify;

pub use crate::state::Approved;
pub use build::{Options, Pack, PackError, build, machine_wishes, recipe};

use sha2::{Digest, Sha256};

/// One file, ready to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedFile {
    /// Its name, without a folder.
    pub name: String,
    /// All of it.
    pub bytes: Vec<u8>,
}

impl NamedFile {
    /// SHA-256 of its bytes, 64 hexadecimal digits.
    pub fn sha256(&self) -> String {
        digest(&self.bytes)
    }
}

/// SHA-256 of bytes, 64 hexadecimal digits.
fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}
