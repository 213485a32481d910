//! Where a command writes: to none of the files it reads, and to standard output in place of a file where asked, `-o -`.

use super::failure::{Failure, shown};
use clap::{ArgMatches, Command};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether a file has gone to standard output; what is told besides then goes to standard error. A process has one of each.
static IS_TAKEN: AtomicBool = AtomicBool::new(false);

/// Other names of standard output.
const NAMES: [&str; 4] = ["-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"];

/// The option that names what a command writes.
const OUTPUT: &str = "output";

/// Whether two paths lead to the same file.
pub fn is_same(a: &Path, b: &Path) -> bool {
    let real = |path: &Path| path.canonicalize().ok();
    a == b || real(a).is_some_and(|a| Some(a) == real(b))
}

/// Whether a file's name means standard output.
pub fn is_named(file: &Path) -> bool {
    NAMES.iter().any(|name| file.as_os_str() == *name)
}

/// Whether a file has been written there.
pub fn is_taken() -> bool {
    IS_TAKEN.load(Ordering::Relaxed)
}

/// Writes a file's bytes to standard output, which is taken by it from then on.
///
/// # Errors
/// As [`print`].
pub fn write(bytes: &[u8]) -> io::Result<()> {
    IS_TAKEN.store(true, Ordering::Relaxed);
    print(bytes)
}

/// Writes to standard output. A reader that has gone is no fault.
///
/// # Errors
/// Where it cannot be written for another reason.
pub fn print(bytes: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(e) if e.kind() == ErrorKind::BrokenPipe => Ok(()),
        done => done,
    }
}

/// That a command may write to its `-o`: to none of the files it reads, and to standard output only where it makes one file.
///
/// # Errors
/// Where `-o` is a file that the command is given to read, where it makes a folder for standard output, or where its answer is asked for as JSON,
/// which needs standard output for itself.
pub fn check(commands: &Command, typed: &ArgMatches, is_json: bool) -> Result<(), Failure> {
    let Some((name, own)) = typed.subcommand() else { return Ok(()) };
    let files = |id: &str| own.try_get_many::<PathBuf>(id).ok().flatten().into_iter().flatten();
    let read = own.ids().filter(|id| *id != OUTPUT).flat_map(|id| files(id.as_str())).filter(|file| file.is_file());
    for file in read {
        if files(OUTPUT).any(|output| is_same(output, file)) {
            let message = match files("order").any(|order| order == file) {
                true => format!("{} is the order itself", shown(file)),
                false => format!("{} is a file that `{name}` reads: it would be written over", shown(file)),
            };
            return Err(Failure::new(message, "name another file with -o"));
        }
    }
    if !files(OUTPUT).any(|file| is_named(file)) {
        return Ok(());
    }
    let output = commands.find_subcommand(name).and_then(|c| c.get_arguments().find(|a| a.get_id() == OUTPUT));
    if output.and_then(|a| a.get_value_names()).is_some_and(|names| names == ["DIR"]) {
        let message = format!("{name} makes more than one file: standard output cannot take them");
        return Err(Failure::new(message, "name a folder with -o"));
    }
    if is_json {
        let hint = "name a file with -o, or leave --format json out";
        return Err(Failure::new("standard output cannot take the file and the answer as JSON", hint));
    }
    Ok(())
}
