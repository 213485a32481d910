//! What `blanks` is asked.

use crate::shop::stock::Best;
use std::path::PathBuf;

/// Arguments of `blanks`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft blanks demo-data/1042.json --stock demo-data/stock.csv\n  \
    wheeldraft blanks 1042.json --stock stock.csv --rank cost --format json | jq '.suitable[0].id'\n  \
    wheeldraft blanks 1042.json --stock stock.csv --take S-104\n  \
    wheeldraft blanks demo-data --stock demo-data/stock.csv -o blanks.csv -o blanks.pdf\n  \
    wheeldraft blanks shop/orders --reserve\n\n\
    --take writes number, sizes, mark, speed, density, lot, place, maker and expiry of a stock wheel into the order's blank; all else in the file stays as it is. \
    What cannot be used is refused with its reasons, and exit 1.\n\
    --reserve writes the plan into the journal of the shop's folder: what is kept for an order is no more there for others, until it is taken or `book --add \
    released --order NUMBER-REV` lets it go; a new --reserve of an order takes the place of its earlier one.\n\
    Several orders: every wheel ordered gets its own blank, most wheels first, then as --aim says; what stays without one is told, and what to buy.\n\
    Columns of a stock list: id, outside_diameter, thickness, bore; count, marking, max_operating_speed, density, weight, cost, lot, place, maker, expires \
    and restrictions may be left out. Sizes carry their unit: 26 in, 660 mm. Bad rows are reported by line and left out. Exit 1: no stock wheel can make it, or a wheel stays without one.")]
pub struct Args {
    /// Order files, or folders of them; `-` reads standard input.
    #[arg(required = true, value_name = "ORDER")]
    pub(super) orders: Vec<PathBuf>,
    /// The stock list, a csv file; that of the shop's folder if absent.
    #[arg(long, value_name = "FILE.csv")]
    pub(super) stock: Option<PathBuf>,
    /// Make this stock wheel the order's blank; several of one kind where one row has too few.
    #[arg(long, value_name = "STOCK-ID", conflicts_with = "output")]
    pub(super) take: Vec<String>,
    /// Keep the blanks of the plan for these orders: into the journal of the shop's folder.
    #[arg(long, conflicts_with = "take")]
    pub(super) reserve: bool,
    /// What best first goes by.
    #[arg(long, value_enum, default_value_t)]
    pub(super) rank: Rank,
    /// What the plan for several orders is best at.
    #[arg(long, value_enum, default_value_t)]
    pub(super) aim: Aim,
    /// Write the plan: the ending picks csv, pdf, svg or png; may be given several times.
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Vec<PathBuf>,
}

/// What the plan for several orders is best at.
#[derive(Debug, Clone, Copy, Default, clap::ValueEnum)]
pub enum Aim {
    /// Most wheels, then least cost.
    #[default]
    Cost,
    /// Most wheels, then least volume cut away.
    Scrap,
    /// Most orders served whole, then least cost.
    Orders,
}

impl Aim {
    pub(super) fn best(self) -> Best {
        match self {
            Aim::Cost => Best::Cost,
            Aim::Scrap => Best::Scrap,
            Aim::Orders => Best::Orders,
        }
    }

    pub(super) fn word(self) -> &'static str {
        match self {
            Aim::Cost => "cost",
            Aim::Scrap => "scrap",
            Aim::Orders => "orders",
        }
    }
}

/// What best first goes by.
#[derive(Debug, Clone, Copy, Default, clap::ValueEnum)]
pub enum Rank {
    /// Least stock removed, then least cost.
    #[default]
    Removed,
    /// Least cost, then least stock removed.
    Cost,
}
