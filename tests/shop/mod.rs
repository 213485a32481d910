//! The shop's papers, as a shop uses them: the program is run, its output and its files are read.

mod assign;
mod batch;
mod blanks;
mod compare;
mod day;
mod delivery;
mod draft;
mod enquiries;
mod help;
mod inspect;
mod intake;
mod label;
mod lists;
mod pack;
mod profile;
mod quote;
mod state;
mod style;
mod take;
mod takeoff;
mod traveller;

use assert_cmd::Command;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// An order of the cases folder.
fn case(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/shop").join(name)
}

/// The wheel most tests are about: recess of two steps, taper, corners, grooves everywhere.
fn crankshaft() -> Value {
    serde_json::from_slice(&fs::read(case("crankshaft-wheel-grooved.json")).unwrap()).unwrap()
}

/// The program.
fn wheeldraft() -> Command {
    Command::new(env!("CARGO_BIN_EXE_wheeldraft"))
}

/// An order written into a folder.
fn put(folder: &Path, name: &str, order: &Value) -> PathBuf {
    let file = folder.join(name);
    fs::write(&file, order.to_string()).unwrap();
    file
}

/// What a finished run printed, and how it ended.
struct Ran {
    code: i32,
    out: String,
    err: String,
}

#[track_caller]
fn run(command: &mut Command) -> Ran {
    let output = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Ran { code: output.status.code().unwrap(), out: text(output.stdout), err: text(output.stderr) }
}

impl Ran {
    fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {}{}", self.out, self.err))
    }
}
