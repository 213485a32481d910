//! Writing files so that nobody ever finds half of one: under a temporary name in the target's own folder, then renamed.

use super::failure::{Failure, shown};
use super::{names, outlet};
use crate::both::both;
use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// How the name of a file that is being written begins and ends.
const BEGINS: &str = ".wheeldraft-";
const ENDS: &str = ".tmp";

/// Longest file a person writes that is no table: definitions, rules, records. Bytes.
pub const LONGEST_TEXT: u64 = 4 << 20;

/// The bytes of a file of at most so many; a longer one, or one without end, is refused as soon as that is seen.
///
/// # Errors
/// Where it cannot be read, or is longer.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    let failed = |e: io::Error| Failure::io("read", path, &e);
    let mut bytes = Vec::new();
    // one byte more than allowed, so that a longer file is noticed
    fs::File::open(path).map_err(failed)?.take(most + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > most {
        let message = format!("{} is longer than {most} bytes", shown(path));
        return Err(Failure::new(message, "name the file that is meant"));
    }
    Ok(bytes)
}

/// Writes one file, in place of an earlier one of that name. Folders of its path are made.
///
/// # Errors
/// Where it cannot be written; an earlier file is then as it was.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    write_all(&[(path.to_owned(), bytes)])
}

/// Writes one file that must not exist yet.
///
/// # Errors
/// Where it exists, or cannot be written.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let failed = |e: io::Error| Failure::io("write", path, &e);
    if outlet::is_named(path) {
        return outlet::write(bytes).map_err(failed);
    }
    names::check([path])?;
    if path.symlink_metadata().is_ok() {
        return Err(failed(io::ErrorKind::AlreadyExists.into()));
    }
    let folders = Folders::make(folder_of(path)).map_err(failed)?;
    sweep(folder_of(path));
    staged(path, bytes).and_then(|file| Ok(file.persist_noclobber(path)?)).map_err(failed)?;
    folders.keep();
    Ok(())
}

/// Writes several files, that of standard output last, all or none: every one is on the disk under a temporary name before the first is renamed.
///
/// # Errors
/// Where one cannot be written. Earlier files are then as they were, and folders made for this are gone again.
pub fn write_all<B: AsRef<[u8]>>(files: &[(PathBuf, B)]) -> Result<(), Failure> {
    // dropped in the reverse order: the temporary files have to go before their folders can
    let mut made: Vec<Folders> = Vec::new();
    names::check(files.iter().map(|(path, _)| path.as_path()))?;
    let mut targets: Vec<(&Path, PathBuf, &[u8])> = Vec::with_capacity(files.len());
    for (path, bytes) in files.iter().filter(|(path, _)| !outlet::is_named(path)) {
        let failed = |e: io::Error| Failure::io("write", path, &e);
        made.push(Folders::make(folder_of(path)).map_err(failed)?);
        targets.push((path, real_target(path).map_err(failed)?, bytes.as_ref()));
    }
    targets.iter().map(|(_, target, _)| folder_of(target)).collect::<BTreeSet<_>>().into_iter().for_each(sweep);
    // a file waits for the disk, not for the processor: two at once take half the time
    let (near, far) = targets.split_at(targets.len() / 2);
    let (far, near) = both(|| stage_all(far), || stage_all(near));
    let (near, far) = (near?, far?);
    made.drain(..).for_each(Folders::keep);
    let ready = targets.iter().map(|(_, target, _)| target).zip(near.into_iter().chain(far));
    for (target, file) in ready {
        let placed = match file {
            Staged::Renamed(file) => file.persist(target).map(drop).map_err(|e| e.error),
            Staged::Direct(bytes) => {
                fs::OpenOptions::new().write(true).open(target).and_then(|mut f| f.write_all(&bytes))
            }
        };
        placed.map_err(|e| Failure::io("write", target, &e))?;
    }
    for (path, bytes) in files.iter().filter(|(path, _)| outlet::is_named(path)) {
        outlet::write(bytes.as_ref()).map_err(|e| Failure::io("write", path, &e))?;
    }
    Ok(())
}

/// What is to become a file.
enum Staged {
    /// A finished file under a temporary name.
    Renamed(NamedTempFile),
    /// Bytes for a device or a pipe, which cannot be replaced.
    Direct(Vec<u8>),
}

fn stage_all(targets: &[(&Path, PathBuf, &[u8])]) -> Result<Vec<Staged>, Failure> {
    targets.iter().map(|(path, target, bytes)| stage(target, bytes).map_err(|e| Failure::io("write", path, &e))).collect()
}

fn stage(target: &Path, bytes: &[u8]) -> io::Result<Staged> {
    match fs::metadata(target) {
        Ok(m) if m.is_dir() => Err(io::ErrorKind::IsADirectory.into()),
        Ok(m) if !m.is_file() => Ok(Staged::Direct(bytes.to_vec())),
        Ok(m) if m.permissions().readonly() => Err(io::ErrorKind::PermissionDenied.into()),
        _ => staged(target, bytes).map(Staged::Renamed),
    }
}

/// A temporary file with these bytes, safely on the disk, in the folder of `target` (a rename cannot cross file systems).
fn staged(target: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(BEGINS).suffix(ENDS);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // the usual mode of a file, narrowed by the umask; without it only the owner could read what the shop shares
        let mode = fs::metadata(target).map_or(0o644, |m| m.permissions().mode() & 0o777);
        builder.permissions(fs::Permissions::from_mode(mode));
    }
    let mut file = builder.tempfile_in(folder_of(target))?;
    // held until the file has its name: other runs leave what is locked alone; without locks on this file system they may not
    let _ = file.as_file().try_lock();
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// Removes temporary files of runs that were killed: those that no run holds.
fn sweep(folder: &Path) {
    let is_ours = |name: &std::ffi::OsStr| name.to_str().is_some_and(|n| n.starts_with(BEGINS) && n.ends_with(ENDS));
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten().filter(|e| is_ours(&e.file_name()) && e.file_type().is_ok_and(|t| t.is_file())) {
        if fs::File::open(entry.path()).is_ok_and(|file| file.try_lock().is_ok()) {
            // what cannot be removed does no harm
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Where a link points, so that the link survives the renaming.
fn real_target(path: &Path) -> io::Result<PathBuf> {
    match path.symlink_metadata() {
        Ok(m) if m.file_type().is_symlink() && path.exists() => path.canonicalize(),
        _ => Ok(path.to_owned()),
    }
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Folders made for files to come; they go again unless they are kept.
struct Folders {
    made: Vec<PathBuf>,
}

impl Folders {
    fn make(folder: &Path) -> io::Result<Folders> {
        let missing = folder.ancestors().take_while(|a| !a.as_os_str().is_empty() && !a.exists());
        let folders = Folders { made: missing.map(Path::to_owned).collect() };
        fs::create_dir_all(folder).map_err(|e| match e.kind() {
            // a file has the name of the folder, or of one above it
            io::ErrorKind::AlreadyExists => io::ErrorKind::NotADirectory.into(),
            _ => e,
        })?;
        Ok(folders)
    }

    fn keep(mut self) {
        self.made.clear();
    }
}

impl Drop for Folders {
    fn drop(&mut self) {
        for folder in &self.made {
            // only an empty folder can be removed; what someone else put there stays
            let _ = fs::remove_dir(folder);
        }
    }
}

/// The names of files as a remark tells them.
pub fn written<'a>(paths: impl IntoIterator<Item = &'a PathBuf>) -> String {
    paths.into_iter().filter(|p| !outlet::is_named(p)).map(|p| format!("wrote {}", shown(p))).collect::<Vec<_>>().join("\n")
}

/// The folder a pack's folder lies in.
pub fn parent_of(target: &Path) -> PathBuf {
    match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}
