//! The shop's folder as commands use it: found from the order's place upward, its files read when they are asked for, its book written to.

use super::failure::{Failure, shown};
use super::{clock, files, journal, outlet};
use crate::book::{Event, FileHash, Kind};
use crate::pack::NamedFile;
use crate::profile::{self, Card, Profile, read_cards};
use crate::shop::label::trace_code;
use crate::wheel::Job;
use std::path::{Path, PathBuf};

/// A shop's folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Premises {
    /// Where it is.
    pub folder: PathBuf,
    /// What it holds.
    pub profile: Profile,
}

impl Premises {
    /// The shop's folder that a place lies in; `None` where it lies in none.
    ///
    /// # Errors
    /// Where there is one whose `shop.json` cannot be read.
    pub fn around(place: &Path) -> Result<Option<Premises>, Failure> {
        let Ok(place) = place.canonicalize().or_else(|_| std::path::absolute(place)) else { return Ok(None) };
        let found = place.ancestors().find(|folder| folder.join(profile::NAME).is_file());
        found.map(Premises::at).transpose()
    }

    /// The shop's folder of this path.
    ///
    /// # Errors
    /// Where it has no `shop.json`, or anything in that is wrong.
    pub fn at(folder: &Path) -> Result<Premises, Failure> {
        let file = folder.join(profile::NAME);
        let bytes = files::read(&file, files::LONGEST_TEXT)?;
        let profile = Profile::read(&bytes).map_err(|problems| Failure::Order { file: shown(&file), problems })?;
        Ok(Premises { folder: folder.to_owned(), profile })
    }

    /// The path of one of its files.
    pub fn file(&self, name: Option<&String>) -> Option<PathBuf> {
        name.map(|name| self.folder.join(name))
    }

    /// The cards of the customers' machines.
    ///
    /// # Errors
    /// Where the shop has no file of them, or anything in it is wrong.
    pub fn cards(&self) -> Result<Vec<Card>, Failure> {
        let Some(file) = self.file(self.profile.machines.as_ref()) else {
            let message = format!("{} names no file of machine cards", shown(&self.folder.join(profile::NAME)));
            return Err(Failure::new(message, "add \"machines\": \"machines.json\""));
        };
        let bytes = files::read(&file, files::LONGEST_TEXT)?;
        read_cards(&bytes).map_err(|problems| Failure::Order { file: shown(&file), problems })
    }

    /// Writes lines into the book; what was mended in it comes back.
    ///
    /// # Errors
    /// Where it cannot be written: what was done is done, and the hint says what to do about the line.
    pub fn enter(&self, events: &[Event]) -> Result<Option<String>, Failure> {
        journal::enter(&self.folder, events).map(|added| added.repaired)
    }
}

/// Something that was just done to an order.
///
/// # Errors
/// Where the clock shows no time.
pub fn event(kind: Kind, job: &Job, by: Option<&str>) -> Result<Event, Failure> {
    Ok(Event {
        fingerprint: Some(job.fingerprint().full().to_owned()),
        lot: job.blank.as_ref().and_then(|blank| blank.lot.clone()),
        quantity: job.head.quantity,
        due: job.head.due.as_ref().and_then(|due| due.parse().ok()),
        ..of_order(kind, &job.file_stem(), by)?
    })
}

/// Something that was just done to an order of which the number is all that is at hand.
///
/// # Errors
/// As [`event`].
pub fn of_order(kind: Kind, order: &str, by: Option<&str>) -> Result<Event, Failure> {
    let now = clock::now().ok_or_else(|| Failure::new("the clock of this machine shows no time", "set it"))?;
    let by = by.map(str::trim).filter(|by| !by.is_empty()).map_or_else(clock::who, str::to_owned);
    Ok(Event::new(now, kind, &by, order))
}

/// Something that was just done to one wheel of an order.
///
/// # Errors
/// As [`event`].
pub fn of_wheel(kind: Kind, job: &Job, wheel: u32, by: Option<&str>) -> Result<Event, Failure> {
    Ok(Event { wheel: Some(trace_code(job, wheel)), ..event(kind, job, by)? })
}

/// Names and hashes of files that were just read or written, without that of standard output.
///
/// # Errors
/// Where one cannot be read back.
pub fn hashes(paths: &[PathBuf]) -> Result<Vec<FileHash>, Failure> {
    let one = |path: &PathBuf| {
        let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let bytes = std::fs::read(path).map_err(|e| Failure::io("read", path, &e))?;
        Ok(of_file(&NamedFile { name, bytes }))
    };
    paths.iter().filter(|path| !outlet::is_named(path)).map(one).collect()
}

/// Name and hash of a file.
pub fn of_file(file: &NamedFile) -> FileHash {
    FileHash { name: file.name.clone(), sha256: file.sha256() }
}
