//! Where the record of an order's approvals lies, and what it holds.

use super::failure::shown;
use super::{Failure, files};
use crate::shop::approval::Record;
use std::path::{Path, PathBuf};

/// Where the record of an order lies: `1042.json` has `1042.approval.json` beside it. `None` for standard input.
pub(super) fn record_path(order: &Path) -> Option<PathBuf> {
    if order.as_os_str() == "-" {
        return None;
    }
    let name = order.file_name()?;
    let stem = if order.extension().is_some_and(|e| e == "json") { order.file_stem()? } else { name };
    let mut record = stem.to_owned();
    record.push(".approval.json");
    Some(order.with_file_name(record))
}

/// The record at a path; `None` where there is none.
pub(super) fn record(path: &Path) -> Result<Option<Record>, Failure> {
    if path.symlink_metadata().is_err_and(|e| e.kind() == std::io::ErrorKind::NotFound) {
        return Ok(None);
    }
    let bytes = files::read(path, files::LONGEST_TEXT)?;
    let read = Record::read(&String::from_utf8_lossy(&bytes));
    let hint = "approve the order again with `wheeldraft approve`, or remove the file";
    read.map(Some).map_err(|e| Failure::new(format!("{}: {e}", shown(path)), hint))
}
