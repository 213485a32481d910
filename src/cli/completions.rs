//! `completions`: what a shell needs to complete commands and options.

use super::{Cli, Desk, Done, Outcome};
use clap::CommandFactory;

/// Arguments of `completions`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    wheeldraft completions bash > ~/.local/share/bash-completion/completions/wheeldraft\n  \
    wheeldraft completions fish > ~/.config/fish/completions/wheeldraft.fish")]
pub struct Args {
    /// The shell.
    shell: clap_complete::Shell,
}

/// Prints the completions.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let mut bytes = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "wheeldraft", &mut bytes);
    desk.print_text(&String::from_utf8_lossy(&bytes))?;
    Ok(Outcome::Made)
}
