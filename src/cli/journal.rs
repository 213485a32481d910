//! The book as a file: lines are only ever added, by one run at a time, and reach the disk before a run says so.

use super::failure::{Failure, shown};
use crate::book::{self, Book, Event};
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

/// What was added.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Added {
    /// Line and seal of each event.
    pub lines: Vec<(usize, String)>,
    /// What was mended before: a line that had been cut off.
    pub repaired: Option<String>,
}

/// The book of a file; one that does not exist yet is empty.
///
/// # Errors
/// Where it cannot be read.
pub fn read(path: &Path) -> Result<Book, Failure> {
    let whole = || {
        let mut file = plain(File::open(path)?)?;
        // a line that another run is writing is not one that was cut off
        file.lock_shared()?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map(|_| bytes)
    };
    match whole() {
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(Book::default()),
        Err(e) => Err(Failure::io("read", path, &e)),
        Ok(bytes) => Ok(book::read(&bytes)),
    }
}

/// Adds lines at the end, after every other run that is adding has finished. A last line that was cut off is taken away first.
///
/// # Errors
/// Where it cannot be written: the book is then as it was.
pub fn add(path: &Path, events: &[Event]) -> Result<Added, Failure> {
    let failed = |e: io::Error| Failure::io("write", path, &e);
    let open = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path);
    let mut file = open.and_then(plain).map_err(failed)?;
    // lifted when the file is closed, however the run ends
    file.lock().map_err(failed)?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).map_err(failed)?;
    let tail = book::tail(&bytes);
    let (new, seals) = book::lines(&tail, events);
    let cut_off = bytes.len() - tail.whole;
    if let Err(e) = replaced_end(&mut file, tail.whole, &new) {
        // what is half written goes again; where even that fails, the next run sees a line cut off
        let _ = file.set_len(tail.whole as u64);
        return Err(failed(e));
    }
    let repaired = (cut_off > 0).then(|| {
        format!("{}: line {} had been cut off after {cut_off} bytes and was taken away", shown(path), tail.lines + 1)
    });
    let lines = seals.into_iter().enumerate().map(|(i, seal)| (tail.lines + 1 + i, seal)).collect();
    Ok(Added { lines, repaired })
}

/// A device or a pipe has no lines, and may have no end.
fn plain(file: File) -> io::Result<File> {
    if file.metadata()?.is_file() { Ok(file) } else { Err(io::Error::other("it is no file of a disk")) }
}

/// Puts bytes in place of everything after a point, safely on the disk.
fn replaced_end(file: &mut File, from: usize, with: &[u8]) -> io::Result<()> {
    file.set_len(from as u64)?;
    file.seek(SeekFrom::Start(from as u64))?;
    file.write_all(with)?;
    file.sync_all()
}
