//! Whether a pack is still what was made: nothing altered, missing, foreign, or made from another state of the order.

use super::NamedFile;
use super::manifest::{Kind, Manifest, NAME};
use crate::wheel::{self, Job};
use serde::Serialize;

/// What is wrong with a file of a pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Fault {
    /// It belongs to another state of the order.
    Stale,
    /// It is not the file that was made.
    Altered,
    /// It is not there.
    Missing,
    /// The pack does not know it.
    Foreign,
}

impl Fault {
    /// `stale`, `altered`, `missing` or `foreign`.
    pub fn word(self) -> &'static str {
        match self {
            Fault::Stale => "stale",
            Fault::Altered => "altered",
            Fault::Missing => "missing",
            Fault::Foreign => "foreign",
        }
    }
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Found {
    /// The file.
    pub name: String,
    /// What is wrong with it.
    pub fault: Fault,
    /// More about it.
    pub message: String,
}

/// A pack as it was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verified {
    /// Number and revision.
    pub order: String,
    /// The fingerprint the pack says it has.
    pub fingerprint: String,
    /// Files that are as they were made.
    pub sound: usize,
    /// What is wrong.
    pub found: Vec<Found>,
}

/// Why a folder is no pack.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoPack {
    /// There is no manifest.
    #[error("there is no {NAME}: this is no pack")]
    NoManifest,
    /// The manifest cannot be read.
    #[error("{NAME} cannot be read: {0}")]
    BadManifest(String),
}

/// Looks at all files of a folder; where the order's present state is given, at that too.
///
/// # Errors
/// Where the folder has no manifest, or one that cannot be read.
pub fn verify(files: &[NamedFile], now: Option<&Job>) -> Result<Verified, NoPack> {
    let list = files.iter().find(|f| f.name == NAME).ok_or(NoPack::NoManifest)?;
    let manifest = Manifest::read(&list.bytes).map_err(NoPack::BadManifest)?;
    let mut found = Vec::new();
    let mut sound = 0;
    for entry in &manifest.files {
        let Some(file) = files.iter().find(|f| f.name == entry.name) else {
            let message = "it is in the list and not in the folder".to_owned();
            found.push(Found { name: entry.name.clone(), fault: Fault::Missing, message });
            continue;
        };
        if file.sha256() == entry.sha256 {
            sound += 1;
        } else {
            found.push(changed(file, &manifest.fingerprint));
        }
    }
    let is_known = |f: &&NamedFile| f.name == NAME || manifest.files.iter().any(|e| e.name == f.name);
    found.extend(files.iter().filter(|f| !is_known(f)).map(|f| foreign(f, &manifest.fingerprint)));
    found.extend(stale(files, &manifest, now));
    let order = format!("{}-{}", manifest.number, manifest.revision);
    Ok(Verified { order, fingerprint: manifest.fingerprint, sound, found })
}

/// A file that is not the one that was made: of another state of the order where it says so itself, else altered.
fn changed(file: &NamedFile, fingerprint: &str) -> Found {
    let name = file.name.clone();
    match other_fingerprint(&file.bytes, fingerprint) {
        Some(other) => {
            let message = format!("it belongs to fingerprint {}, the pack to {}", short(&other), short(fingerprint));
            Found { name, fault: Fault::Stale, message }
        }
        None => Found { name, fault: Fault::Altered, message: "its content is not what was made".to_owned() },
    }
}

fn foreign(file: &NamedFile, fingerprint: &str) -> Found {
    let message = match other_fingerprint(&file.bytes, fingerprint) {
        Some(other) => format!("it is not in the list; it belongs to fingerprint {}", short(&other)),
        None => "it is not in the list".to_owned(),
    };
    Found { name: file.name.clone(), fault: Fault::Foreign, message }
}

/// The pack against the order inside it, and against the order as it is now.
fn stale(files: &[NamedFile], manifest: &Manifest, now: Option<&Job>) -> Vec<Found> {
    let mut found = Vec::new();
    let inside = manifest.files.iter().find(|e| e.kind == Kind::Order);
    let inside = inside.and_then(|e| files.iter().find(|f| f.name == e.name));
    if let Some(job) = inside.and_then(|f| wheel::open(&f.bytes).ok()) {
        found.extend(differs(&job, manifest, "the order in the pack"));
    }
    found.extend(now.and_then(|job| differs(job, manifest, "the order as it is now")));
    found
}

fn differs(job: &Job, manifest: &Manifest, what: &str) -> Option<Found> {
    let print = job.fingerprint();
    let is_same = print.full() == manifest.fingerprint
        && job.head.number == manifest.number
        && job.head.revision == manifest.revision;
    (!is_same).then(|| Found {
        name: NAME.to_owned(),
        fault: Fault::Stale,
        message: format!(
            "{what} is {} with fingerprint {}; the pack was made from {}-{} with {}",
            job.file_stem(),
            print.short(),
            manifest.number,
            manifest.revision,
            short(&manifest.fingerprint)
        ),
    })
}

fn short(fingerprint: &str) -> &str {
    fingerprint.get(..8).unwrap_or(fingerprint)
}

/// Digits of a fingerprint.
const DIGITS: usize = 64;

/// A fingerprint inside a file that is not this one; `None` where it holds none, or this one.
fn other_fingerprint(bytes: &[u8], own: &str) -> Option<String> {
    let is_digit = |b: &u8| matches!(b, b'0'..=b'9' | b'a'..=b'f');
    let runs = bytes.split(|b| !is_digit(b)).filter(|run| run.len() == DIGITS);
    let found: Vec<&str> = runs.filter_map(|run| std::str::from_utf8(run).ok()).collect();
    if found.contains(&own) { None } else { found.first().map(|f| (*f).to_owned()) }
}
