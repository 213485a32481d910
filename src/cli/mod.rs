//! The command line: arguments as typed, one small file per command, messages, exit codes. It reads, calls a room, writes.
//!
//! stdout carries only what was asked for; everything else goes to stderr. Exit 0: made. Exit 1: a rule or a measurement stops the order.
//! Exit 2: the order cannot be read, the command is wrong, or a file cannot be written.
//!
//! A command is a file with `Args` (clap) and `run(&Args, &Desk) -> Done`, a variant of [`Command`], and a line in [`dispatch`].

mod answered;
mod approve;
mod batch;
mod blanks;
mod blanks_asked;
mod book;
mod check;
mod clock;
mod compare;
mod completions;
mod complaint;
mod cut;
mod desk;
mod draw;
mod failure;
mod filed;
pub mod files;
mod folder;
mod founding;
mod grooves;
mod grooves_asked;
mod inspect;
mod inspect_asked;
mod intake;
pub mod journal;
mod judged;
mod label;
mod least_land;
#[cfg(feature = "web")]
mod lent;
mod manual;
mod messages;
mod names;
mod new;
mod order_files;
mod outlet;
mod offers;
mod pack;
mod packing;
mod palette;
mod paper;
mod plan;
mod premises;
mod probe;
mod properties;
mod quote;
mod recess;
mod record;
mod reserve;
mod schema;
#[cfg(feature = "web")]
mod serve;
mod ship;
mod solid;
mod stock;
mod sweep;
mod table;
mod take;
mod takeoff;
mod traveller;
mod verify;

pub use desk::{Common, Desk, Format};
pub use failure::{Done, Failure, Outcome};

use clap::{ArgMatches, CommandFactory, FromArgMatches, Parser, Subcommand};
use std::path::PathBuf;
use std::process::ExitCode;

/// The command line as typed.
#[derive(Debug, Parser)]
#[command(name = "wheeldraft", version, about, max_term_width = 100, arg_required_else_help = true)]
#[command(
    after_help = "Start with `wheeldraft new --list`. Each command explains itself: `wheeldraft help COMMAND`.\n\n\
    Altering an abrasive wheel changes its strength: for authorised, trained people only. No calculation here replaces the speed test."
)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
    #[command(flatten)]
    common: Common,
}

/// The commands.
#[derive(Debug, Subcommand)]
enum Command {
    /// Print a starting order, or write it to a file.
    New(new::Args),
    /// Hold an order against every rule: what stops it, what to ask, what to know.
    Check(check::Args),
    /// Print the numbers of a wheel: section, volume, mass, balance, lands.
    Properties(properties::Args),
    /// Propose the recess that hub bolts, flange and machine call for, or print what must be asked first.
    Recess(recess::Args),
    /// Answer the groove count question without an order: count or pitch, lands, where grooves merge.
    Grooves(grooves::Args),
    /// Make orders of a customer's list, one row a wheel.
    Intake(intake::Args),
    /// Make an order of a drawn section, a DXF file.
    Takeoff(takeoff::Args),
    /// Draw the approval drawing.
    Draw(draw::Args),
    /// Write the wheel as a solid for design offices and machine simulation.
    Solid(solid::Args),
    /// Find the stock wheels an order can be made of, or the best use of the stock for many orders.
    Blanks(blanks::Args),
    /// Work out time and price: the customer's quotation, or the shop's own calculation of it.
    Quote(quote::Args),
    /// Write the inspection sheet, or judge a filled-in one and write the certificate.
    Inspect(inspect::Args),
    /// Make the labels of the wheels.
    Label(label::Args),
    /// Make the delivery note with its box list.
    Ship(ship::Args),
    /// Make the shop traveller: operations, sizes to come to, stock removed, machine files, sign-off.
    Traveller(traveller::Args),
    /// Make everything an order allows, in one folder, with the list of it.
    Pack(pack::Args),
    /// Make the packs of many orders, in parallel.
    Batch(batch::Args),
    /// Find what is stale, altered, missing or foreign in a pack.
    Verify(verify::Args),
    /// Compare two states of an order in words, numbers and one overlaid picture.
    Compare(compare::Args),
    /// Write the machine files: DXF for the profile and the grooves, index tables, control programs.
    Cut(cut::Args),
    /// Record the customer's approval of exactly this order.
    Approve(approve::Args),
    /// Show how far every order is and what is late; trace a wheel or a lot; prove the shop's journal.
    Book(book::Args),
    /// Open the local page: change a number, see the wheel.
    #[cfg(feature = "web")]
    Serve(serve::Args),
    /// Print the JSON Schema of the order file.
    Schema(schema::Args),
    /// Print the completions for a shell.
    Completions(completions::Args),
    /// Print the manual page (roff).
    Manual(manual::Args),
}

fn dispatch(command: &Command, desk: &Desk) -> Done {
    match command {
        Command::New(args) => new::run(args, desk),
        Command::Check(args) => check::run(args, desk),
        Command::Properties(args) => properties::run(args, desk),
        Command::Recess(args) => recess::run(args, desk),
        Command::Grooves(args) => grooves::run(args, desk),
        Command::Intake(args) => intake::run(args, desk),
        Command::Takeoff(args) => takeoff::run(args, desk),
        Command::Draw(args) => draw::run(args, desk),
        Command::Solid(args) => solid::run(args, desk),
        Command::Blanks(args) => blanks::run(args, desk),
        Command::Quote(args) => quote::run(args, desk),
        Command::Inspect(args) => inspect::run(args, desk),
        Command::Label(args) => label::run(args, desk),
        Command::Ship(args) => ship::run(args, desk),
        Command::Traveller(args) => traveller::run(args, desk),
        Command::Pack(args) => pack::run(args, desk),
        Command::Batch(args) => batch::run(args, desk),
        Command::Verify(args) => verify::run(args, desk),
        Command::Compare(args) => compare::run(args, desk),
        Command::Cut(args) => cut::run(args, desk),
        Command::Approve(args) => approve::run(args, desk),
        Command::Book(args) => book::run(args, desk),
        #[cfg(feature = "web")]
        Command::Serve(args) => serve::run(args, desk),
        Command::Schema(args) => schema::run(args, desk),
        Command::Completions(args) => completions::run(args, desk),
        Command::Manual(args) => manual::run(args, desk),
    }
}

/// Runs the command of this process's arguments.
pub fn run() -> ExitCode {
    let mut commands = Cli::command();
    let typed = commands.try_get_matches_from_mut(std::env::args_os());
    let typed = typed.and_then(|matches| Ok((Cli::from_arg_matches(&matches)?, matches)));
    let (cli, matches) = match typed {
        Ok(typed) => typed,
        Err(error) => return messages::wrong_command(&error, std::env::args_os().skip(1)),
    };
    let desk = Desk::new(cli.common, place(&matches));
    let outlet = outlet::check(&commands, &matches, desk.is_json());
    match outlet.and_then(|()| dispatch(&cli.command, &desk)) {
        Ok(Outcome::Made) => ExitCode::SUCCESS,
        Ok(Outcome::Stopped) => ExitCode::from(1),
        Err(failure) => {
            desk.report(&failure);
            ExitCode::from(2)
        }
    }
}

/// Where a command works: the first file or folder it is given, else the current folder.
fn place(matches: &ArgMatches) -> PathBuf {
    let first = |id: &&str| {
        let (_, command) = matches.subcommand()?;
        let mut given = command.try_get_many::<PathBuf>(id).ok().flatten()?;
        given.next().filter(|path| path.as_os_str() != "-").cloned()
    };
    ["order", "orders", "old", "folder", "output"].iter().find_map(first).unwrap_or_else(|| PathBuf::from("."))
}
