//! DXF: the sheet for those who mark it up, machine files in three flavours, and reading them back.
//!
//! Header, tables, lettering and fills are made with the `dxf` crate; what it writes is put right by [`mend`] before it leaves. Paths are written by
//! [`paths`]. Machine files are ASCII, sheets UTF-8; all are at scale 1:1 in
//! millimetres, without clock dates or random identifiers.

mod entities;
mod foreign;
mod handles;
mod machine;
mod mend;
mod objects;
mod pairs;
mod paths;
mod read;
mod sheet;

pub use foreign::{Foreign, ForeignDrawing, ForeignError, foreign};
pub use machine::machine;
pub use read::{ReadBack, ReadEntity, ReadError, ReadKind, read_back};
pub use sheet::sheet;

/// How a machine file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Flavour {
    /// Release 12, contours as single LINE and ARC entities.
    R12,
    /// Release 12, contours as POLYLINE with bulges.
    R12Joined,
    /// Release 2000, contours as LWPOLYLINE with bulges.
    R2000,
}

/// Why a DXF file cannot be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DxfError {
    /// Nothing is drawn.
    #[error("there is nothing to write into the machine file")]
    Empty,
    /// Something lies on no layer.
    #[error("a {0} belongs to no layer")]
    NoLayer(&'static str),
    /// Old machines refuse such a layer name.
    #[error("`{0}` is no layer name: write 1 to 31 of the capitals A to Z, digits, `-` and `_`")]
    LayerName(String),
    /// Machines stumble over it.
    #[error("{what} has no place on layer {layer} of a machine file")]
    NotForMachines {
        /// What it is.
        what: &'static str,
        /// Where it lies.
        layer: String,
    },
    /// A coordinate is not finite, or the writer refused the file.
    #[error("the DXF file could not be written: {0}")]
    Refused(String),
}
