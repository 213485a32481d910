//! The command line as typed: what goes to stdout and stderr, exit codes, files.

mod commands;
mod files;
mod floor;
mod least_land;
mod machine;
mod repeat;
mod streams;

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// What a run did.
pub struct Run {
    pub code: i32,
    pub out: String,
    pub err: String,
}

/// The program with these arguments, without a terminal and without colours asked for by the environment.
pub fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wheeldraft"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env_remove("NO_COLOR").env_remove("TERM").stdin(Stdio::null());
    command
}

pub fn run(arguments: &[&str]) -> Run {
    finished(program().args(arguments).output().unwrap())
}

pub fn run_in(folder: &Path, arguments: &[&str]) -> Run {
    finished(program().current_dir(folder).args(arguments).output().unwrap())
}

/// With text on standard input.
pub fn run_with(input: &str, arguments: &[&str]) -> Run {
    let mut child =
        program().args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // a program that refuses its arguments ends before it has read all
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    finished(child.wait_with_output().unwrap())
}

fn finished(output: Output) -> Run {
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    Run { code: output.status.code().expect("an exit code"), out: text(output.stdout), err: text(output.stderr) }
}
