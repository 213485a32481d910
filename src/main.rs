//! The `wheeldraft` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    wheeldraft::command_line()
}
