//! `blanks`: which stock wheels can make an order; for several orders the best use of the stock for all of them.

pub use super::blanks_asked::Args;
use super::blanks_asked::Rank;
use super::order_files::orders;
use super::palette::Palette;
use super::stock::{named_stock, stock_list};
use super::table::aligned_after;
use super::{Desk, Done, Failure, Outcome, plan, reserve, take};
use crate::quantity::fixed;
use crate::shop::removal::BlankSize;
use crate::shop::stock::{self, Candidate, Choice, Ranking, StockList, StockWheel};
use crate::shop::written::{bare_length, length, speed, volume};
use crate::wheel::Job;
use std::path::{Path, PathBuf};

/// Prints the answer.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let stdin = args.orders.iter().filter(|f| f.as_os_str() == "-").count();
    let files = if stdin > 0 { args.orders.clone() } else { orders(&args.orders)? };
    if stdin > 1 {
        return Err(Failure::new("standard input holds one order", "name the other order files"));
    }
    if !args.take.is_empty() {
        return match files.as_slice() {
            [file] => taken(args, file, desk),
            _ => Err(Failure::new("--take is for one order", "name one order file")),
        };
    }
    let jobs = files.iter().map(|file| desk.job(file)).collect::<Result<Vec<_>, _>>()?;
    let all: Vec<&Job> = jobs.iter().collect();
    let list = reserve::left(stock_list(&stock_file(args, desk)?, desk)?, &all, desk)?;
    match all.as_slice() {
        [job] if !args.reserve => {
            if !args.output.is_empty() {
                plan::write_of(args, &all, &list.wheels, desk)?;
            }
            one(args, job, &list, desk)
        }
        _ => plan::run(args, &all, &list.wheels, desk),
    }
}

/// The stock list that is named, else that of the shop's folder.
fn stock_file(args: &Args, desk: &Desk) -> Result<PathBuf, Failure> {
    let named = named_stock(args.stock.as_ref(), desk)?;
    named.ok_or_else(|| Failure::new("no stock list is named", "give --stock FILE.csv, or work in a shop's folder"))
}

/// The stock wheel that is named becomes the order's blank.
fn taken(args: &Args, file: &Path, desk: &Desk) -> Done {
    let (job, bytes) = desk.job_and_bytes(file)?;
    let list = reserve::left(stock_list(&stock_file(args, desk)?, desk)?, &[&job], desk)?;
    let choice = choice(args, &job, &list)?;
    let text = String::from_utf8_lossy(&bytes);
    take::run(&args.take, &take::Taking { file, text: &text, job: &job, list: &list, choice: &choice }, desk)
}

fn choice(args: &Args, job: &Job, list: &StockList) -> Result<Choice, Failure> {
    let ranking = match args.rank {
        Rank::Removed => Ranking::Removed,
        Rank::Cost => Ranking::Cost,
    };
    stock::choose(job, &list.wheels, ranking).map_err(|e| Failure::new(format!("the wheel has no section: {e}"), ""))
}

/// Which stock wheels one order can be made of.
fn one(args: &Args, job: &Job, list: &StockList, desk: &Desk) -> Done {
    let choice = choice(args, job, list)?;
    let differences = stock::differences(job, &list.wheels);
    differences.iter().for_each(|what| desk.remark(&format!("The order's blank is not as listed: {what}.")));
    if desk.is_json() {
        desk.print_json(&choice.told(job, &list.problems, &differences))?;
    } else {
        desk.print(&text(job, &choice, desk.palette()))?;
    }
    Ok(if choice.suitable.is_empty() { Outcome::Stopped } else { Outcome::Made })
}

fn text(job: &Job, choice: &Choice, palette: Palette) -> String {
    let mut out =
        format!("Order {} · fingerprint {}\n{}\n", job.file_stem(), job.fingerprint().short(), asked(job, choice));
    if choice.suitable.is_empty() {
        out += &palette.bad("\nNo stock wheel of the list can make it.\n");
    } else {
        out += &palette.strong("\nCan make it, best first\n");
        out += &aligned_after(&candidates(job, choice), |c| matches!(c, 1..=3 | 10));
        out += &palette.strong("\nStock removed by operation, of one wheel\n");
        out += &aligned_after(&removals(job, choice), |c| c < 2);
    }
    let asked = choice.rejected.iter().filter_map(|r| Some(format!("  {}  {}\n", r.stock.id, r.question.as_ref()?)));
    let asked: String = asked.collect();
    if !asked.is_empty() {
        out += &palette.strong("\nNearly: to ask the customer\n");
        out += &asked;
    }
    if !choice.rejected.is_empty() {
        out += &palette.strong("\nCannot\n");
        let rows = choice
            .rejected
            .iter()
            .map(|r| vec![String::new(), r.stock.id.clone(), size(job, &r.stock.size), r.reasons.join("; ")]);
        out += &aligned_after(&rows.collect::<Vec<_>>(), |_| true);
    }
    out
}

fn size(job: &Job, size: &BlankSize) -> String {
    let bare = |mm| bare_length(mm, job.units);
    format!("{} × {} × {}", bare(size.outside_diameter), bare(size.thickness), length(size.bore, job.units))
}

fn asked(job: &Job, choice: &Choice) -> String {
    let asked = &choice.asked;
    let show = |mm| length(mm, job.units);
    let mut parts = vec![
        format!("outside diameter from {}", show(asked.least_outside_diameter)),
        format!("thickness from {}", show(asked.least_thickness)),
        format!("bore up to {}", show(asked.greatest_bore)),
        asked.marking.as_ref().map_or("any specification mark".to_owned(), |m| format!("marked {m}")),
    ];
    parts.extend(asked.max_operating_speed.map(|v| format!("marked for {}", speed(v))));
    parts.extend(asked.running_speed.map(|v| format!("run at {}", speed(v))));
    format!("Asked: {}; {} wanted", parts.join(", "), asked.quantity)
}

fn candidates(job: &Job, choice: &Choice) -> Vec<Vec<String>> {
    let head = ["", "stock", "size", "mark", "max speed", "removed", "scrap", "scrap", "cost each", "there", "to mind"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(choice.suitable.iter().enumerate().map(|(i, c)| candidate(job, i + 1, c)));
    rows
}

fn candidate(job: &Job, rank: usize, c: &Candidate) -> Vec<String> {
    let StockWheel { id, marking, max_operating_speed, cost, count, .. } = &c.stock;
    let dash = || String::from("–");
    vec![
        rank.to_string(),
        id.clone(),
        size(job, &c.stock.size),
        marking.clone().unwrap_or_else(dash),
        max_operating_speed.map_or_else(dash, speed),
        volume(c.removed_volume, job.units),
        format!("{} %", fixed(100.0 * c.removed_share, 1)),
        c.removed_mass.map_or_else(dash, |kg| format!("{} kg", fixed(kg, 2))),
        cost.map_or_else(dash, |c| c.printed()),
        count.map_or_else(dash, |n| n.to_string()),
        c.remarks.join("; "),
    ]
}

/// A line for each candidate, a column for each operation that any of them needs.
fn removals(job: &Job, choice: &Choice) -> Vec<Vec<String>> {
    let mut operations: Vec<_> = choice.suitable.iter().flat_map(|c| c.removed.iter().map(|r| r.operation)).collect();
    operations.sort_unstable();
    operations.dedup();
    let head = ["", "stock"].map(str::to_owned).into_iter().chain(operations.iter().map(|o| o.label()));
    let mut rows = vec![head.collect::<Vec<_>>()];
    for c in &choice.suitable {
        let of = |o| c.removed.iter().find(|r| r.operation == o);
        let cells = operations.iter().map(|&o| of(o).map_or("–".to_owned(), |r| volume(r.volume, job.units)));
        rows.push([String::new(), c.stock.id.clone()].into_iter().chain(cells).collect());
    }
    rows
}
