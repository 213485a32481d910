//! Packs as folders: written beside their place under a temporary name and moved there whole, read back for `verify`.

use super::failure::Failure;
use super::files;
use crate::pack::NamedFile;
use crate::pack::manifest::{Manifest, NAME};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Start of the name of a pack that is being written. One left behind by a run that was killed holds nothing of value.
const BUILDING: &str = ".wheeldraft-building-";
/// Start of the name of a pack that is being replaced. One left behind may hold files that someone put into the pack.
const REPLACED: &str = ".wheeldraft-replaced-";

/// Writes a pack. A folder that is no pack yet gets the files added; one that is gets replaced as a whole, with everything kept that is not
/// of the earlier pack.
///
/// # Errors
/// Where it cannot be written; an earlier pack is then as it was.
pub fn write_pack(folder: &Path, pack: &[NamedFile]) -> Result<(), Failure> {
    let failed = |e: io::Error| Failure::io("write", folder, &e);
    let target = if folder.exists() { folder.canonicalize().map_err(failed)? } else { folder.to_owned() };
    let earlier = target.exists().then(|| fs::read(target.join(NAME)).ok()).flatten();
    let is_here = std::env::current_dir().is_ok_and(|here| here.starts_with(&target));
    if target.exists() && (earlier.is_none() || is_here) {
        return add(&target, pack, earlier.as_deref());
    }
    let parent = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    };
    fs::create_dir_all(&parent).map_err(failed)?;
    let building = temporary(&parent, BUILDING).map_err(failed)?;
    for file in pack {
        fs::write(building.path().join(&file.name), &file.bytes).map_err(failed)?;
    }
    match earlier {
        None => move_to(building, &target).map_err(failed),
        Some(list) => swap(building, &target, &parent, &list).map_err(failed),
    }
}

/// Adds the files to a folder, all or none, and removes those of an earlier pack that the new one does not have.
fn add(target: &Path, pack: &[NamedFile], earlier: Option<&[u8]>) -> Result<(), Failure> {
    let files: Vec<(PathBuf, &[u8])> = pack.iter().map(|f| (target.join(&f.name), f.bytes.as_slice())).collect();
    files::write_all(&files)?;
    for name in known(earlier).into_iter().filter(|n| pack.iter().all(|f| f.name != *n)) {
        let path = target.join(&name);
        match fs::remove_file(&path) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(Failure::io("remove", &path, &e)),
            _ => {}
        }
    }
    Ok(())
}

/// The names of an earlier pack; only plain names, so that no list can reach outside its folder.
fn known(list: Option<&[u8]>) -> Vec<String> {
    let Some(manifest) = list.and_then(|bytes| Manifest::read(bytes).ok()) else { return Vec::new() };
    let plain = |name: &String| Path::new(name).file_name().is_some_and(|f| f.to_str() == Some(name.as_str()));
    manifest.files.into_iter().map(|e| e.name).filter(plain).collect()
}

fn temporary(parent: &Path, prefix: &str) -> io::Result<TempDir> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(prefix).suffix(".tmp");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o755));
    }
    builder.tempdir_in(parent)
}

/// Gives a finished folder its name.
fn move_to(building: TempDir, target: &Path) -> io::Result<()> {
    fs::rename(building.path(), target)?;
    // it has gone to its place: nothing is left to clean up
    let _ = building.keep();
    Ok(())
}

/// Puts the new pack in place of the earlier one and carries over what is not of the earlier one.
fn swap(building: TempDir, target: &Path, parent: &Path, list: &[u8]) -> io::Result<()> {
    let replaced = temporary(parent, REPLACED)?;
    let aside = replaced.path().join("pack");
    fs::rename(target, &aside)?;
    if let Err(e) = move_to(building, target) {
        // the earlier pack goes back to its place
        fs::rename(&aside, target)?;
        return Err(e);
    }
    let own = known(Some(list));
    for entry in fs::read_dir(&aside)? {
        let entry = entry?;
        let is_own = entry.file_name().to_str().is_some_and(|n| n == NAME || own.iter().any(|o| o == n));
        let place = target.join(entry.file_name());
        if !is_own && !place.exists() {
            fs::rename(entry.path(), place)?;
        }
    }
    replaced.close()
}

/// Removes packs half written by a run that was killed.
pub fn sweep(parent: &Path) {
    let Ok(entries) = fs::read_dir(parent) else { return };
    for entry in entries.flatten() {
        if entry.file_name().to_str().is_some_and(|n| n.starts_with(BUILDING)) {
            // what cannot be removed does no harm
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// The largest file of a pack that is read, bytes; a larger one is foreign or altered in any case.
const LARGEST: u64 = 64 << 20;

/// The files of a folder; folders in it have a name that ends in `/` and no bytes.
///
/// # Errors
/// Where the folder cannot be read.
pub fn read(folder: &Path) -> Result<Vec<NamedFile>, Failure> {
    let failed = |e: io::Error| Failure::io("read", folder, &e);
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let meta = fs::metadata(entry.path()).map_err(|e| Failure::io("read", &entry.path(), &e))?;
        if meta.is_dir() {
            files.push(NamedFile { name: name + "/", bytes: Vec::new() });
        } else if meta.len() > LARGEST {
            files.push(NamedFile { name, bytes: Vec::new() });
        } else {
            let bytes = fs::read(entry.path()).map_err(|e| Failure::io("read", &entry.path(), &e))?;
            files.push(NamedFile { name, bytes });
        }
    }
    files.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(files)
}
