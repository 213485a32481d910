//! Whether a pack is still what was made: nothing altered, missing, foreign, or made from another state of the order.

use super::{NamedFile, Pack};
use super::manifest::{Entry, Kind, Manifest, NAME};
use super::remake::{difference, remade};
use crate::state::version;
use crate::rules::ShopRules;
use crate::wheel::Job;
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
    /// It cannot be proved: the pack does not hold what it was made from.
    Unproved,
}

impl Fault {
    /// `stale`, `altered`, `missing`, `foreign` or `unproved`.
    pub fn word(self) -> &'static str {
        match self {
            Fault::Stale => "stale",
            Fault::Altered => "altered",
            Fault::Missing => "missing",
            Fault::Foreign => "foreign",
            Fault::Unproved => "unproved",
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

/// By what a pack is proved.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Proof {
    /// It was made again from its own order, and compared byte by byte.
    Remade,
    /// Only by the hashes it carries itself: why.
    Hashes(String),
}

/// A pack as it was found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verified {
    /// Number and revision.
    pub order: String,
    /// The fingerprint the pack says it has.
    pub fingerprint: String,
    /// By what it was proved.
    pub proof: Proof,
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

/// Looks at all files of a folder and makes the pack again from its own order, to compare them byte by byte; where another version made it, by
/// hashes alone. Where the order's present state is given, at that too.
///
/// # Errors
/// Where the folder has no manifest, or one that cannot be read.
pub fn verify(files: &[NamedFile], now: Option<&Job>) -> Result<Verified, NoPack> {
    let mut verified = by_hashes(files, now)?;
    let list = files.iter().find(|f| f.name == NAME).ok_or(NoPack::NoManifest)?;
    let manifest = Manifest::read(&list.bytes).map_err(NoPack::BadManifest)?;
    let is_source = |name: &str| manifest.files.iter().any(|e| e.name == name && e.kind.is_source());
    if let Some(changed) = verified.found.iter().find(|f| is_source(&f.name)) {
        // what it was made from is wrong already: everything made from that would be wrong with it
        verified.proof = Proof::Hashes(format!("{} is not as it was", changed.name));
        return Ok(verified);
    }
    match remade(files, &manifest) {
        Ok(pack) => {
            verified.proof = Proof::Remade;
            against(files, &manifest, &pack, &mut verified.found);
            let is_right = |e: &&Entry| !verified.found.iter().any(|f| f.name == e.name);
            verified.sound = manifest.files.iter().filter(is_right).count();
        }
        Err(why) => {
            if manifest.made_by == version() {
                let message = format!("it cannot be made again to compare: {why}");
                verified.found.push(Found { name: NAME.to_owned(), fault: Fault::Unproved, message });
            }
            verified.found.extend(made_by_others(files, &manifest));
            verified.proof = Proof::Hashes(why);
        }
    }
    Ok(verified)
}

/// Compares the files found with those the order makes; what is said already gets how it differs.
fn against(files: &[NamedFile], manifest: &Manifest, pack: &Pack, found: &mut Vec<Found>) {
    for right in &pack.files {
        let Some(file) = files.iter().find(|f| f.name == right.name) else {
            if !found.iter().any(|f| f.name == right.name) {
                let message = "the order makes it, and it is neither in the list nor in the folder".to_owned();
                found.push(Found { name: right.name.clone(), fault: Fault::Missing, message });
            }
            continue;
        };
        if file.bytes == right.bytes {
            continue;
        }
        let how = difference(&file.bytes, &right.bytes);
        match found.iter_mut().find(|f| f.name == right.name) {
            Some(known) => known.message = format!("{}; {how}", known.message),
            None => {
                let message = format!("its hash is in the list, and yet it is not what the order makes: {how}");
                found.push(Found { name: right.name.clone(), fault: Fault::Altered, message });
            }
        }
    }
    let is_made = |name: &str| pack.files.iter().any(|f| f.name == name);
    for entry in manifest.files.iter().filter(|e| !is_made(&e.name)) {
        if !found.iter().any(|f| f.name == entry.name) {
            let message = "it is in the list, and the order makes no such file".to_owned();
            found.push(Found { name: entry.name.clone(), fault: Fault::Foreign, message });
        }
    }
}

/// Text files that do not say the version the list says: a list that only claims another one is not believed.
fn made_by_others<'a>(files: &'a [NamedFile], manifest: &'a Manifest) -> impl Iterator<Item = Found> + 'a {
    let says = |f: &NamedFile| f.bytes.windows(manifest.made_by.len()).any(|w| w == manifest.made_by.as_bytes());
    let is_text = |e: &Entry| !e.kind.is_source() && [".csv", ".json", ".svg", ".dxf", ".nc"].iter().any(|end| e.name.ends_with(end));
    let of = move |e: &Entry| files.iter().find(|f| f.name == e.name && is_text(e) && !says(f));
    manifest.files.iter().filter_map(of).map(|file| Found {
        name: file.name.clone(),
        fault: Fault::Altered,
        message: format!("the list says {} made it; the file does not", manifest.made_by),
    })
}

/// The same by the hashes of the list alone.
///
/// # Errors
/// As [`verify`].
pub fn by_hashes(files: &[NamedFile], now: Option<&Job>) -> Result<Verified, NoPack> {
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
    let proof = Proof::Hashes("nothing else was asked".to_owned());
    Ok(Verified { order, fingerprint: manifest.fingerprint, proof, sound, found })
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
    if let Some(job) = inside.and_then(|f| ShopRules::built_in().open(&f.bytes).ok()) {
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
