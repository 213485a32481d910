//! Files as one zip, without a clock: the same files give the same bytes.

use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Rights of the files: all may read them.
const RIGHTS: u32 = 0o644;

/// Files by name, in this order.
///
/// # Errors
/// What the archive's writer says, in words.
pub fn zipped<'a>(files: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> Result<Vec<u8>, String> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default())
        .unix_permissions(RIGHTS);
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        archive.start_file(name, options).map_err(|e| e.to_string())?;
        archive.write_all(bytes).map_err(|e| e.to_string())?;
    }
    archive.finish().map(Cursor::into_inner).map_err(|e| e.to_string())
}
