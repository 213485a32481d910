//! Why something cannot be had of an order.

use crate::json::Problems;
#[cfg(feature = "pdf")]
use crate::pack::machine::MachineError;
use crate::section::SectionError;
#[cfg(feature = "pdf")]
use crate::sheet::SheetError;

/// Why something cannot be had of an order.
///
/// ```
/// fn drawn(order: &[u8]) -> Result<Vec<u8>, wheeldraft::Error> {
///     wheeldraft::Shop::built_in()?.open(order)?.approval_drawing()?.pdf()
/// }
/// let told = drawn(b"").unwrap_err().to_string();
/// assert!(told.contains("the file is empty"));
/// ```
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The order file, or one of the shop's own, cannot be read.
    #[error(transparent)]
    Order(#[from] Problems),
    /// The wheel has no section.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// The title block cannot be read.
    #[cfg(feature = "pdf")]
    #[error(transparent)]
    TitleBlock(Problems),
    /// A drawing cannot be laid out.
    #[cfg(feature = "pdf")]
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// Machine files cannot be made.
    #[cfg(feature = "pdf")]
    #[error(transparent)]
    Machine(#[from] MachineError),
    /// A sheet cannot be written in a format.
    #[cfg(feature = "pdf")]
    #[error("the sheet cannot be written: {0}")]
    Export(Box<dyn std::error::Error + Send + Sync>),
    /// There is no sheet of this number.
    #[error("there is no sheet {number}, only {count}")]
    NoSheet {
        /// As asked, from 0.
        number: usize,
        /// So many there are.
        count: usize,
    },
}
