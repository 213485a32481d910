//! `schema`: the JSON Schema of a file that a person writes.

use super::{Desk, Done, Outcome};
use crate::sheet::template;
use crate::{order, rules};

/// Arguments of `schema`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft schema > order.schema.json\n  wheeldraft schema shop-rules > shop-rules.schema.json\n\n\
    For an editor that explains and completes the fields while you type.")]
pub struct Args {
    /// Which file it is for.
    #[arg(value_enum, default_value_t = What::Order)]
    what: What,
}

/// Files that have a schema.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum What {
    /// An order.
    Order,
    /// The shop's limits, general tolerances and usual sizes.
    ShopRules,
    /// A title block.
    TitleBlock,
}

/// Prints the schema.
pub fn run(args: &Args, desk: &Desk) -> Done {
    desk.print_json(match args.what {
        What::Order => order::schema(),
        What::ShopRules => rules::schema(),
        What::TitleBlock => template::schema(),
    })?;
    Ok(Outcome::Made)
}
