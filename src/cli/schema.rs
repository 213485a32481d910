//! `schema`: the JSON Schema of the order file.

use super::{Desk, Done, Outcome};
use crate::order;

/// Arguments of `schema`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft schema > order.schema.json\n\n\
    For an editor that explains and completes the fields while you type.")]
pub struct Args {}

/// Prints the schema.
pub fn run(_: &Args, desk: &Desk) -> Done {
    desk.print_json(order::schema())?;
    Ok(Outcome::Made)
}
