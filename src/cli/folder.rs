//! Packs as folders: written beside their place under a temporary name and moved there whole, read back for `verify`.
//!
//! Runs that write into one folder take turns by a lock on that folder; the system lifts it when a run ends, however it ends.

use super::failure::{Failure, shown};
use super::{filed, files};
use crate::pack::{NamedFile, seal};
use crate::pack::manifest::{Kind, Manifest, NAME};
use crate::quantity::quoted;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Start of the name of a pack that is being written, or of one just replaced. One left behind by a run that was killed holds nothing of value.
const BUILDING: &str = ".wheeldraft-building-";
/// Start of the name of a pack put aside where two folders cannot change places in one step. One left behind may be the only one.
const REPLACED: &str = ".wheeldraft-replaced-";

/// Writes a pack. A folder that is no pack yet gets the files added; one that is gets replaced as a whole, with everything kept that is not
/// of the earlier pack. What lies where a file of the new pack belongs and is not as an earlier pack was made is set aside under a numbered name; what is to be
/// said of that comes back. An inspection sheet that somebody has filled in is never moved.
///
/// # Errors
/// Where it cannot be written, or an inspection sheet of the earlier pack was filled in; an earlier pack is then as it was.
pub fn write_pack(folder: &Path, pack: &[NamedFile]) -> Result<Vec<String>, Failure> {
    let failed = |e: io::Error| Failure::io("write", folder, &e);
    let target = if folder.exists() { folder.canonicalize().map_err(failed)? } else { folder.to_owned() };
    let parent = files::parent_of(&target);
    fs::create_dir_all(&parent).map_err(failed)?;
    let _turn = Turn::at(&parent);
    let earlier = target.exists().then(|| fs::read(target.join(NAME)).ok()).flatten();
    of_one_order(&target, earlier.as_deref(), pack)?;
    unfilled(&target, earlier.as_deref(), pack)?;
    let aside = in_the_way(&target, earlier.as_deref(), pack);
    let is_here = std::env::current_dir().is_ok_and(|here| here.starts_with(&target));
    if target.exists() && (earlier.is_none() || is_here) {
        for (name, new) in &aside {
            fs::rename(target.join(name), target.join(new)).map_err(failed)?;
        }
        add(&target, pack, earlier.as_deref())?;
        return told(&target, aside);
    }
    let building = temporary(&parent, BUILDING).map_err(failed)?;
    for file in pack {
        on_disk(&building.path().join(&file.name), &file.bytes).map_err(failed)?;
    }
    match earlier {
        None => move_to(building, &target).map_err(failed)?,
        Some(list) => swap(building, &target, &parent, &list, &aside).map_err(failed)?,
    }
    told(&target, aside)
}

/// What lies in a folder where files of a new pack, or none, will be, and was made by no pack or changed since: its name, and the one it gets.
fn in_the_way(target: &Path, list: Option<&[u8]>, pack: &[NamedFile]) -> BTreeMap<String, String> {
    let manifest = list.and_then(|bytes| Manifest::read(bytes).ok());
    let made: BTreeMap<&str, &str> = manifest.iter().flat_map(|m| &m.files).map(|e| (e.name.as_str(), e.sha256.as_str())).collect();
    let is_as_made = |name: &str| {
        let Ok(bytes) = plain(&target.join(name)) else { return false };
        let found = NamedFile { name: name.to_owned(), bytes };
        pack.contains(&found) || made.get(name) == Some(&found.sha256().as_str()) || (name == NAME && manifest.is_some())
    };
    let names: BTreeSet<&str> = made.keys().copied().filter(|name| is_plain(name)).chain(pack.iter().map(|f| f.name.as_str())).collect();
    let aside = names.into_iter().filter(|name| target.join(name).symlink_metadata().is_ok() && !is_as_made(name));
    aside.map(|name| (name.to_owned(), numbered(target, name))).collect()
}

/// Moves aside, under numbered names, what lies in a folder where these files are to be and is neither the same nor as this program once sealed it; what
/// is to be said of that comes back.
///
/// # Errors
/// Where something cannot be moved, or a pack's list not be written.
pub fn set_aside(folder: &Path, files: &[NamedFile]) -> Result<Vec<String>, Failure> {
    let is_ours = |file: &NamedFile| plain(&folder.join(&file.name)).is_ok_and(|found| found == file.bytes || seal::holds(&found));
    let in_the_way = |file: &&NamedFile| folder.join(&file.name).symlink_metadata().is_ok() && !is_ours(file);
    let aside: BTreeMap<String, String> =
        files.iter().filter(in_the_way).map(|f| (f.name.clone(), numbered(folder, &f.name))).collect();
    for (name, new) in &aside {
        fs::rename(folder.join(name), folder.join(new)).map_err(|e| Failure::io("set aside", &folder.join(name), &e))?;
    }
    let say = |(name, new): (&String, &String)| {
        format!("{name} was edited since it was made, or not made here: it is kept as {new}")
    };
    enter_aside(folder, &aside)?;
    Ok(aside.iter().map(say).collect())
}

/// What the names of things set aside have before their number.
const ASIDE: &str = ".set-aside-";

/// Whether a name is that of something set aside.
pub fn is_aside(name: &str) -> bool {
    name.contains(ASIDE)
}

/// A name that nothing in the folder has.
fn numbered(target: &Path, name: &str) -> String {
    let names = (1_u32..).map(|n| format!("{name}{ASIDE}{n}"));
    names.into_iter().find(|name| target.join(name).symlink_metadata().is_err()).unwrap_or_default()
}

/// Enters what was set aside into the list of the folder, and says it.
fn told(target: &Path, aside: BTreeMap<String, String>) -> Result<Vec<String>, Failure> {
    enter_aside(target, &aside)?;
    let say = |(name, new)| format!("{name} was not as a pack makes it: it is kept as {new}");
    Ok(aside.into_iter().map(say).collect())
}

/// Enters what was set aside into the list of a pack's folder.
fn enter_aside(target: &Path, aside: &BTreeMap<String, String>) -> Result<(), Failure> {
    let paths: Vec<PathBuf> = aside.values().map(|new| target.join(new)).collect();
    filed::enter(&paths, Some("set aside"))
}

/// Writes a file whose bytes are on the disk before its folder gets its name.
fn on_disk(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_data()
}

/// Refuses where the folder holds the pack of another order.
fn of_one_order(target: &Path, list: Option<&[u8]>, pack: &[NamedFile]) -> Result<(), Failure> {
    let number = |bytes: &[u8]| Manifest::read(bytes).ok().map(|m| m.number);
    let own = pack.iter().find(|f| f.name == NAME).and_then(|f| number(&f.bytes));
    match list.and_then(number) {
        Some(other) if Some(&other) != own.as_ref() => {
            let message = format!("{} holds the pack of order {}; nothing was written", shown(target), quoted(&other));
            Err(Failure::new(message, "name a folder of the order's own with -o"))
        }
        _ => Ok(()),
    }
}

/// Refuses where an inspection sheet of an earlier pack is not as it was made: somebody has written into it.
fn unfilled(target: &Path, list: Option<&[u8]>, pack: &[NamedFile]) -> Result<(), Failure> {
    let Some(manifest) = list.and_then(|bytes| Manifest::read(bytes).ok()) else { return Ok(()) };
    for entry in manifest.files.iter().filter(|e| e.kind == Kind::Inspection && is_plain(&e.name)) {
        let path = target.join(&entry.name);
        let Ok(bytes) = fs::read(&path) else { continue };
        let found = NamedFile { name: entry.name.clone(), bytes };
        if found.sha256() != entry.sha256 && !pack.contains(&found) {
            let message = format!("{} was filled in or changed since it was made; nothing was written", shown(&path));
            return Err(Failure::new(message, "move it out of the pack, then make the pack again"));
        }
    }
    Ok(())
}

/// The right to change a folder's entries, against other runs and other threads of this one.
struct Turn {
    /// Holds the lock until it is dropped; `None` where the system or the file system has no such locks.
    _folder: Option<File>,
}

impl Turn {
    fn at(folder: &Path) -> Turn {
        Turn { _folder: File::open(folder).and_then(|f| f.lock().map(|()| f)).ok() }
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
    manifest.files.into_iter().map(|e| e.name).filter(|name| is_plain(name)).collect()
}

fn is_plain(name: &str) -> bool {
    Path::new(name).file_name().is_some_and(|f| f.to_str() == Some(name))
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

/// Puts the new pack in place of the earlier one, with what is not of the earlier one. At every moment one of the two lies there whole.
fn swap(building: TempDir, target: &Path, parent: &Path, list: &[u8], aside: &BTreeMap<String, String>) -> io::Result<()> {
    fs::set_permissions(building.path(), fs::metadata(target)?.permissions())?;
    let own = known(Some(list));
    let is_own = |name: &std::ffi::OsStr| name.to_str().is_some_and(|n| n == NAME || own.iter().any(|o| o == n));
    for entry in fs::read_dir(target)? {
        let entry = entry?;
        let name = entry.file_name();
        match name.to_str().and_then(|name| aside.get(name)) {
            Some(new) => carry_over(&entry.path(), &building.path().join(new))?,
            None if is_own(&name) => {}
            None => carry_over(&entry.path(), &building.path().join(name))?,
        }
    }
    match change_places(building.path(), target) {
        // what was there now has the temporary name, and goes with it
        Ok(()) => building.close(),
        Err(_) => put_aside(building, target, parent),
    }
}

/// The same file once more, or the same folder with everything in it.
fn carry_over(from: &Path, to: &Path) -> io::Result<()> {
    let kind = fs::symlink_metadata(from)?.file_type();
    if !kind.is_dir() {
        return fs::hard_link(from, to).or_else(|_| fs::copy(from, to).map(drop));
    }
    fs::create_dir(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        carry_over(&entry.path(), &to.join(entry.file_name()))?;
    }
    Ok(())
}

/// Lets two folders change places in one step.
#[cfg(target_os = "linux")]
fn change_places(one: &Path, other: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE)?)
}

/// Lets two folders change places in one step: not on this system.
#[cfg(not(target_os = "linux"))]
fn change_places(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// The same in two steps, where the file system knows no other way.
fn put_aside(building: TempDir, target: &Path, parent: &Path) -> io::Result<()> {
    let replaced = temporary(parent, REPLACED)?;
    let aside = replaced.path().join("pack");
    fs::rename(target, &aside)?;
    if let Err(e) = move_to(building, target) {
        // the earlier pack goes back to its place
        fs::rename(&aside, target)?;
        return Err(e);
    }
    replaced.close()
}

/// Removes packs half written by a run that was killed. No other run is writing one while this one has its turn.
pub fn sweep(parent: &Path) {
    let _turn = Turn::at(parent);
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

/// The files of a folder, by name. What is no plain file that can be read has a name that says so, and no bytes: `mails/`, `pipe (no plain file)`.
///
/// # Errors
/// Where the folder cannot be read.
pub fn read(folder: &Path) -> Result<Vec<NamedFile>, Failure> {
    let failed = |e: io::Error| Failure::io("read", folder, &e);
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let (bytes, odd) = match plain(&entry.path()) {
            Ok(bytes) => (bytes, ""),
            Err(why) => (Vec::new(), why),
        };
        files.push(NamedFile { name: name + odd, bytes });
    }
    files.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(files)
}

/// The bytes of a plain file; else what it is instead. A link is not followed: what it leads to is no part of the folder, and a pipe never ends.
fn plain(path: &Path) -> Result<Vec<u8>, &'static str> {
    let unreadable = " (cannot be read)";
    let meta = fs::symlink_metadata(path).map_err(|_| unreadable)?;
    match meta {
        m if m.is_dir() => Err("/"),
        m if !m.is_file() => Err(" (no plain file)"),
        m if m.len() > LARGEST => Err(" (larger than any file of a pack)"),
        _ => fs::read(path).map_err(|_| unreadable),
    }
}
