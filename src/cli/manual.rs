//! `manual`: the manual page, with every command.

use super::{Cli, Desk, Done, Failure, Outcome};
use clap::CommandFactory;

/// Arguments of `manual`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft manual | man -l -\n  wheeldraft manual > ~/.local/share/man/man1/wheeldraft.1"
)]
pub struct Args {}

/// Prints the page: the general part, then each command.
pub fn run(_: &Args, desk: &Desk) -> Done {
    let mut command = Cli::command();
    command.build();
    let mut bytes = Vec::new();
    let failed = |e: std::io::Error| Failure::new(format!("the manual cannot be made: {e}"), "");
    clap_mangen::Man::new(command.clone()).render(&mut bytes).map_err(failed)?;
    for sub in command.get_subcommands().filter(|s| s.get_name() != "help") {
        let page = clap_mangen::Man::new(sub.clone());
        bytes.extend(format!(".SH \"COMMAND {}\"\n", sub.get_name().to_uppercase()).bytes());
        page.render_description_section(&mut bytes).map_err(failed)?;
        page.render_options_section(&mut bytes).map_err(failed)?;
        page.render_extra_section(&mut bytes).map_err(failed)?;
    }
    desk.print_text(&String::from_utf8_lossy(&bytes))?;
    Ok(Outcome::Made)
}
