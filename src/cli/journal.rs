//! The book as a file, with the records of the wheels and its end beside it: lines are only ever added, by one run at a time, and reach the disk before a
//! run says so.

use super::failure::{Failure, shown};
use super::files;
use crate::book::{self, Beside, Book, END, Entry, Event, RECORDS, Sealed};
use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

/// Where findings lie until they are in the records of their wheels.
const ASIDE: &str = "book.next";

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
    // a line that another run is writing is not one that was cut off
    let bytes = shared(path)?.map_or_else(Vec::new, |(_, bytes)| bytes);
    Ok(book::read(&bytes))
}

/// The bytes of a file that nobody adds to meanwhile; `None` where there is none.
fn shared(path: &Path) -> Result<Option<(File, Vec<u8>)>, Failure> {
    let whole = || {
        let mut file = plain(File::open(path)?)?;
        file.lock_shared()?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map(|_| (file, bytes))
    };
    match whole() {
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        found => found.map(Some).map_err(|e| Failure::io("read", path, &e)),
    }
}

/// The book of a folder with what holds it: its end as it was last written, and the records of its wheels.
#[derive(Debug)]
pub struct Proved {
    /// The book, held against its end.
    pub book: Book,
    /// What does not fit in the files beside it.
    pub beside: Vec<Beside>,
    /// Lines after the end: a run was ended before it had written everything.
    pub unfinished: usize,
}

/// Holds the book of a folder, its end and the records against each other.
///
/// # Errors
/// Where one of them cannot be read.
pub fn prove(folder: &Path) -> Result<Proved, Failure> {
    // held to the end, so that no run adds to one file after another was read
    let held = shared(&folder.join(book::NAME))?;
    let book = held.as_ref().map_or_else(Book::default, |(_, bytes)| book::read(bytes));
    let last = book.entries.last().map_or(0, |e| e.line);
    let (book, known, wrong) = match end_of(folder) {
        Ok(Some(end)) => (book.held_to(&end), end.line, None),
        Ok(None) => (book, 0, None),
        Err(what) => (book, last, Some(Beside { file: END.to_owned(), what })),
    };
    let mut beside = book::against(&book, known, &records(folder)?);
    beside.extend(wrong);
    Ok(Proved { book, beside, unfinished: last.saturating_sub(known) })
}

/// The records of a folder by their names.
fn records(folder: &Path) -> Result<BTreeMap<String, Book>, Failure> {
    let folder = folder.join(RECORDS);
    let Ok(entries) = fs::read_dir(&folder) else { return Ok(BTreeMap::new()) };
    let names = entries.flatten().filter_map(|e| e.file_name().into_string().ok());
    let names = names.filter(|name| name.strip_suffix(".jsonl").and_then(book::record_name).is_some());
    names.map(|name| read(&folder.join(&name)).map(|record| (name, record))).collect()
}

/// The record of a wheel; empty where there is none.
///
/// # Errors
/// Where it cannot be read.
pub fn record_of(folder: &Path, code: &str) -> Result<Book, Failure> {
    book::record_name(code).map_or_else(|| Ok(Book::default()), |name| read(&folder.join(RECORDS).join(name)))
}

/// The end of the book as it was last written; `None` where it never was.
fn end_of(folder: &Path) -> Result<Option<Sealed>, String> {
    match fs::read(folder.join(END)) {
        Ok(bytes) => book::end(&bytes).map(Some),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(format!("it cannot be read: {e}")),
    }
}

/// Adds lines at the end of one file, after every other run that is adding has finished. A last line that was cut off is taken away first.
///
/// # Errors
/// Where it cannot be written: the file is then as it was.
pub fn add(path: &Path, events: &[Event]) -> Result<Added, Failure> {
    append(&mut turn(path)?, path, events)
}

/// Adds lines to the book of a folder, then what was found to the records of their wheels, then writes the book's end. What a run that was ended between
/// these steps left undone is done first, from the findings it put aside.
///
/// # Errors
/// Where the book cannot be written: it is then as it was. Where a record cannot be: the book has its line, and the next run writes the record.
pub fn enter(folder: &Path, events: &[Event]) -> Result<Added, Failure> {
    let path = folder.join(book::NAME);
    let mut file = turn(&path)?;
    let mended = finish(folder, &mut file, None).map_err(later)?;
    let aside = folder.join(ASIDE);
    if events.iter().any(|event| event.found.is_some()) {
        // texts and whole numbers always serialise
        files::write(&aside, &serde_json::to_vec(events).unwrap_or_default()).map_err(not_there)?;
    }
    let lines: Vec<Event> = events.iter().map(Event::for_book).collect();
    let mut added = append(&mut file, &path, &lines).map_err(not_there)?;
    finish(folder, &mut file, added.lines.first().map(|(line, _)| *line)).map_err(later)?;
    added.repaired = match (added.repaired, mended) {
        (Some(one), Some(other)) => Some(format!("{one}\n{other}")),
        (one, other) => one.or(other),
    };
    Ok(added)
}

/// The book lacks the line.
fn not_there(failure: Failure) -> Failure {
    let hint = "what the command made is there, its line in the book is not: add it with `wheeldraft book DIR --add EVENT --order NUMBER-REV`";
    Failure::new(failure.words(), hint)
}

/// The book has the line, the files beside it lack it.
fn later(failure: Failure) -> Failure {
    let hint = "make room for it; the next command that writes into the book finishes the wheel's record";
    Failure::new(failure.words(), hint)
}

/// Brings the records and the book's end to where the book is; what there was to do comes back in words. `first` is the first line of this run.
fn finish(folder: &Path, file: &mut File, first: Option<usize>) -> Result<Option<String>, Failure> {
    let path = folder.join(book::NAME);
    let bytes = all_of(file).map_err(|e| Failure::io("read", &path, &e))?;
    let tail = book::tail(&bytes);
    let whole = &bytes[..tail.whole];
    let done = match end_of(folder) {
        Ok(None) => Ok(0),
        Ok(Some(end)) if book::seal_of(whole, end.line).as_ref() == Some(&end.seal) => Ok(end.line),
        Ok(Some(end)) => Err(format!("{}: line {} is not as it was written", shown(&path), end.line)),
        Err(what) => Err(format!("{}: {what}", shown(&folder.join(END)))),
    };
    let own = first.map_or(tail.lines, |line| line - 1);
    let new = book::since(whole, *done.as_ref().unwrap_or(&own));
    record(folder, &new)?;
    let told = match (done, new.last()) {
        // the end stays as it is, so that the book goes on being known for what it is
        (Err(what), _) => Some(format!("{what}; `wheeldraft book --check` says more")),
        (Ok(_), None) => None,
        (Ok(done), Some(Entry { line, seal, .. })) => {
            files::write(&folder.join(END), Sealed { line: *line, seal: seal.clone() }.file().as_bytes())?;
            let what = "records and end were brought up to the book: they were not there yet, or a run was ended before it had written them";
            Some(format!("{}, from line {} on: {what}", shown(&path), done + 1))
        }
    };
    // what it holds is in the records now, or its lines never came into the book
    let _ = fs::remove_file(folder.join(ASIDE));
    Ok(told)
}

/// Adds lines of the book to the records of their wheels, each once, with what was found.
fn record(folder: &Path, new: &[Entry]) -> Result<(), Failure> {
    let aside = fs::read(folder.join(ASIDE)).ok();
    let aside: Vec<Event> = aside.and_then(|bytes| serde_json::from_slice(&bytes).ok()).unwrap_or_default();
    let mut of_wheels: BTreeMap<String, Vec<Event>> = BTreeMap::new();
    for Entry { line, seal, event } in new {
        let Some(name) = event.wheel.as_deref().and_then(book::record_name) else { continue };
        let full = aside.iter().find(|full| full.for_book() == *event).unwrap_or(event);
        of_wheels.entry(name).or_default().push(full.for_record(Sealed { line: *line, seal: seal.clone() }));
    }
    let records = folder.join(RECORDS);
    if !of_wheels.is_empty() {
        fs::create_dir_all(&records).map_err(|e| Failure::io("make", &records, &e))?;
    }
    for (name, mut events) in of_wheels {
        let path = records.join(name);
        let there = read(&path)?;
        events.retain(|event| there.entries.iter().all(|e| e.event.in_book != event.in_book));
        if !events.is_empty() {
            add(&path, &events)?;
        }
    }
    Ok(())
}

/// The file to be added to, when no other run adds to it.
fn turn(path: &Path) -> Result<File, Failure> {
    let open = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path);
    let file = open.and_then(plain).map_err(|e| Failure::io("write", path, &e))?;
    // lifted when the file is closed, however the run ends
    file.lock().map_err(|e| Failure::io("write", path, &e))?;
    Ok(file)
}

fn all_of(file: &mut File) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    file.seek(SeekFrom::Start(0))?;
    file.read_to_end(&mut bytes).map(|_| bytes)
}

/// Adds lines to a file.
fn append(file: &mut File, path: &Path, events: &[Event]) -> Result<Added, Failure> {
    let failed = |e: io::Error| Failure::io("write", path, &e);
    let bytes = all_of(file).map_err(failed)?;
    let tail = book::tail(&bytes);
    let (new, seals) = book::lines(&tail, events);
    let cut_off = bytes.len() - tail.whole;
    if let Err(e) = replaced_end(file, tail.whole, &new) {
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
