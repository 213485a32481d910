//! `intake`: orders from a customer's list.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, files};
use crate::export::csv;
use crate::intake::{self, Given, Intake};
use crate::quantity::LengthUnit;
use crate::shop::stock::RowProblem;
use serde_json::json;
use std::path::PathBuf;

/// Arguments of `intake`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft intake demo-data/enquiry.csv -o orders\n  wheeldraft intake --headings > list.csv\n\n\
    One row a wheel. Headings in the usual words, in any order: OD, thickness, bore, qty, recess depth …; a unit in the heading (`OD [in]`), in the \
    cell (`2-1/2 in`), in a column `unit`, or --units for the whole list. Nothing is written unless every row is good, or --good-rows is given; an \
    order that exists already is never replaced. Exit 1: with --good-rows, a row was left out. Exit 2: nothing was written."
)]
pub struct Args {
    /// The list, a csv file; `-` reads standard input.
    #[arg(required_unless_present = "headings")]
    list: Option<PathBuf>,
    /// The folder of the orders.
    #[arg(short, long, value_name = "DIR", required_unless_present = "headings")]
    output: Option<PathBuf>,
    /// Print a list with every heading and one invented row.
    #[arg(long)]
    headings: bool,
    /// Write the orders of the rows that are good, although others are not.
    #[arg(long)]
    good_rows: bool,
    /// Unit of lengths that name none, in or mm.
    #[arg(long, value_name = "in|mm")]
    units: Option<String>,
    /// What numbers begin with where the list has none; the row's line follows.
    #[arg(long, value_name = "TEXT", default_value = "L")]
    prefix: String,
    /// The customer, where the list names none.
    #[arg(long, value_name = "NAME")]
    customer: Option<String>,
}

/// Reads the list and writes its orders.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let (Some(list), Some(output)) = (&args.list, &args.output) else { return headings(desk) };
    let given = Given { unit: unit(args)?, prefix: args.prefix.clone(), customer: args.customer.clone() };
    let name = shown(list);
    let told = |p: &[RowProblem]| Failure::new(in_lines(&name, p), "mend these cells");
    let Intake { orders, problems } = intake::read(&desk.bytes(list)?, &given).map_err(|p| told(&p))?;
    if !problems.is_empty() && !args.good_rows {
        return Err(told(&problems));
    }
    if orders.is_empty() {
        return Err(Failure::new(format!("{name} holds no row that is good"), in_lines(&name, &problems)));
    }
    let mut made = Vec::new();
    for taken in &orders {
        let file = output.join(format!("{}.json", taken.stem));
        if file.symlink_metadata().is_ok() {
            let hint = "give the row another number or revision, or remove the file";
            return Err(Failure::new(format!("{name}:{}: {} exists already", taken.line, shown(&file)), hint));
        }
        made.push((file, format!("{:#}\n", taken.order)));
    }
    files::write_all(&made)?;
    if !problems.is_empty() {
        desk.remark(&in_lines(&name, &problems));
    }
    if desk.is_json() {
        let orders: Vec<_> = orders.iter().zip(&made).map(|(t, (f, _))| json!({ "line": t.line, "order": t.stem, "file": shown(f) })).collect();
        desk.print_json(&json!({ "format": 1, "orders": orders, "problems": problems }))?;
    } else {
        let lines = orders.iter().zip(&made).map(|(t, (f, _))| format!("line {}: {} → {}\n", t.line, t.stem, shown(f)));
        desk.print(&lines.collect::<String>())?;
    }
    Ok(if problems.is_empty() { Outcome::Made } else { Outcome::Stopped })
}

fn headings(desk: &Desk) -> Done {
    let [head, row] = intake::template();
    let head: Vec<&str> = head.iter().map(String::as_str).collect();
    let made = csv::lines(&head, [row]).map_err(|e| Failure::new(e.to_string(), ""))?;
    desk.print_text(&String::from_utf8_lossy(&made))?;
    Ok(Outcome::Made)
}

fn unit(args: &Args) -> Result<Option<LengthUnit>, Failure> {
    match args.units.as_deref() {
        None => Ok(None),
        Some("in") => Ok(Some(LengthUnit::Inch)),
        Some("mm") => Ok(Some(LengthUnit::Millimetre)),
        Some(other) => Err(Failure::new(format!("--units {other}: there is no such unit"), "write in or mm")),
    }
}

/// Every problem on its line: file, line, heading, what is wrong, what would be right.
fn in_lines(name: &str, problems: &[RowProblem]) -> String {
    let one = |p: &RowProblem| {
        let column = if p.field.is_empty() { String::new() } else { format!(" {}:", p.field) };
        format!("{name}:{}:{column} {} → {}", p.line, p.message, p.hint)
    };
    problems.iter().map(one).collect::<Vec<_>>().join("\n")
}
