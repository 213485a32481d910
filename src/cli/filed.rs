//! What lies in a pack's folder besides the pack and is known all the same: certificates, sheets and labels that commands put there or read there, and
//! what was set aside. A chained list beside the manifest knows each by its hash.

use super::{Failure, files, journal, premises};
use crate::book::{self, Event};
use crate::pack::NamedFile;
use crate::pack::manifest::{self, Kind, Manifest};
use crate::pack::verify::{Fault, Found};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The name of the list.
pub const NAME: &str = "filed.jsonl";

/// Enters those of the files that lie in folders of packs into the lists there; `note` is what there is to say of them.
///
/// # Errors
/// Where a file cannot be read, or a list not written.
pub fn enter(files: &[PathBuf], note: Option<&str>) -> Result<(), Failure> {
    let mut in_packs: BTreeMap<PathBuf, Vec<PathBuf>> = BTreeMap::new();
    for file in files {
        let place = files::parent_of(file);
        if place.join(manifest::NAME).is_file() && file.is_file() {
            in_packs.entry(place).or_default().push(file.clone());
        }
    }
    for (place, files) in in_packs {
        let event = premises::of_order(book::Kind::Filed, &order_of(&place), None)?;
        let event = Event { files: premises::hashes(&files)?, note: note.map(str::to_owned), ..event };
        journal::add(&place.join(NAME), &[event])?;
    }
    Ok(())
}

/// Number and revision of the order a pack is of; empty where its manifest cannot be read.
fn order_of(place: &Path) -> String {
    let read = files::read(&place.join(manifest::NAME), files::LONGEST_TEXT).ok();
    let manifest = read.and_then(|bytes| Manifest::read(&bytes).ok());
    manifest.map_or_else(String::new, |m| format!("{}-{}", m.number, m.revision))
}

/// Takes what is as it was filed out of what was found in a folder, and adds what is not. A file of the pack itself may be filed where it is a sheet to
/// fill in.
pub fn hold(files: &[NamedFile], found: &mut Vec<Found>) {
    let Some(list) = files.iter().find(|f| f.name == NAME) else { return };
    let lines = book::read(&list.bytes);
    let known: BTreeMap<&str, &str> =
        lines.entries.iter().flat_map(|e| &e.event.files).map(|f| (f.name.as_str(), f.sha256.as_str())).collect();
    let manifest = files.iter().find(|f| f.name == manifest::NAME).and_then(|f| Manifest::read(&f.bytes).ok());
    let kind = |name: &str| manifest.as_ref()?.files.iter().find(|e| e.name == name).map(|e| e.kind);
    let is_filed = |name: &str| files.iter().find(|f| f.name == name).is_some_and(|f| known.get(name) == Some(&f.sha256().as_str()));
    let may_be = |f: &Found| f.fault == Fault::Foreign || kind(&f.name) == Some(Kind::Inspection);
    found.retain(|f| f.name != NAME && !(may_be(f) && is_filed(&f.name)));
    for f in found.iter_mut().filter(|f| f.fault == Fault::Foreign && known.contains_key(f.name.as_str())) {
        (f.fault, f.message) = (Fault::Altered, format!("it is not as it was filed, by {NAME}"));
    }
    let mut say = |name: &str, fault, message| found.push(Found { name: name.to_owned(), fault, message });
    for name in known.keys().filter(|name| kind(name).is_none() && files.iter().all(|f| f.name != **name)) {
        say(name, Fault::Missing, format!("it was filed here, by {NAME}, and is gone"));
    }
    lines.faults.iter().for_each(|f| say(NAME, Fault::Altered, format!("line {}: {}", f.line, f.what)));
    if lines.cut_off > 0 {
        say(NAME, Fault::Altered, format!("its last line was cut off after {} bytes", lines.cut_off));
    }
}
