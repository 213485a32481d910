//! `blanks` for many orders: the best use of the stock for all of them.

use super::blanks_asked::{Aim, Args};
use super::failure::shown;
use super::paper::files_of;
use super::table::aligned;
use super::{Desk, Done, Failure, Outcome, files, reserve};
use crate::export::csv;
use crate::shop::stock::{Plan, Planned, StockWheel, assign, purchases};
use crate::wheel::Job;
use serde_json::{Value, json};
use std::path::Path;

/// Resolution of a png, dots per inch.
const DPI: f64 = 200.0;

/// Plans, writes and prints; exit 1 where an order stays without a blank.
pub fn run(args: &Args, jobs: &[&Job], stock: &[StockWheel], desk: &Desk) -> Done {
    let plan = planned(args, jobs, stock)?;
    let planned = Planned { jobs, stock, plan: &plan, best: args.aim.best() };
    if args.reserve {
        reserve::keep(&planned, desk)?;
    }
    args.output.iter().try_for_each(|file| write(file, &planned, desk))?;
    if desk.is_json() {
        desk.print_json(&as_json(&planned, args.aim))?;
    } else {
        desk.print(&text(&planned, desk))?;
    }
    Ok(if plan.unserved.is_empty() { Outcome::Made } else { Outcome::Stopped })
}

/// Writes the files asked for and prints nothing.
pub fn write_of(args: &Args, jobs: &[&Job], stock: &[StockWheel], desk: &Desk) -> Result<(), Failure> {
    let plan = planned(args, jobs, stock)?;
    let planned = Planned { jobs, stock, plan: &plan, best: args.aim.best() };
    args.output.iter().try_for_each(|file| write(file, &planned, desk))
}

fn planned(args: &Args, jobs: &[&Job], stock: &[StockWheel]) -> Result<Plan, Failure> {
    assign(jobs, stock, args.aim.best())
        .map_err(|e| Failure::new(e.to_string(), "plan fewer orders at a time, or lower their quantities"))
}

/// One file of the plan: a csv, or sheets.
fn write(file: &Path, planned: &Planned, desk: &Desk) -> Result<(), Failure> {
    let is_csv = file.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv"));
    let made = if is_csv {
        let table = csv::table(&planned.table()).map_err(|e| Failure::new(format!("{}: {e}", shown(file)), ""))?;
        vec![(file.to_owned(), [head(planned).into_bytes(), table].concat())]
    } else {
        files_of(file, &planned.sheets(), &["csv", "pdf", "svg", "png"], DPI)?
    };
    files::write_all(&made)?;
    desk.remark(&files::written(made.iter().map(|(path, _)| path)));
    Ok(())
}

/// What a file says of itself: version, orders, fingerprints.
fn head(planned: &Planned) -> String {
    let mut out = format!("# blanks for {} orders · wheeldraft {}\r\n", planned.jobs.len(), env!("CARGO_PKG_VERSION"));
    for job in planned.jobs {
        out += &format!("# order {} · fingerprint {}\r\n", job.file_stem(), job.fingerprint().full());
    }
    out
}

fn as_json(planned: &Planned, aim: Aim) -> Value {
    let plan = planned.plan;
    let order = |(i, job): (usize, &&Job)| {
        let of = |s: &&crate::shop::stock::Share| s.order == i;
        let blanks = plan.shares.iter().filter(of).map(|s| {
            let stock = &planned.stock[s.stock];
            json!({ "id": stock.id, "line": stock.line, "wheels": s.wheels, "cost": stock.cost, "lot": stock.lot, "place": stock.place })
        });
        let missing = plan.unserved.iter().find(|u| u.order == i);
        json!({
            "order": job.file_stem(), "fingerprint": job.fingerprint().full(), "asked": plan.asked[i],
            "blanks": blanks.collect::<Vec<_>>(), "unserved": missing.map_or(0, |u| u.wheels),
            "any_suits": missing.is_none_or(|u| u.any_suits),
        })
    };
    let buy = purchases(plan);
    let stems = |orders: &[usize]| orders.iter().map(|&o| planned.jobs[o].file_stem()).collect::<Vec<_>>();
    let buy = buy.iter().map(|p| {
        json!({
            "wheels": p.wheels, "least_outside_diameter": p.least_outside_diameter, "least_thickness": p.least_thickness,
            "greatest_bore": p.greatest_bore, "marking": p.marking, "least_speed": p.least_speed, "orders": stems(&p.orders),
        })
    });
    json!({
        "format": 1, "best": aim.word(), "orders": planned.jobs.iter().enumerate().map(order).collect::<Vec<_>>(),
        "cost": plan.cost, "without_cost": plan.without_cost, "removed_volume": plan.removed_volume, "proven": plan.is_proven,
        "buy": buy.collect::<Vec<_>>(),
    })
}

fn text(planned: &Planned, desk: &Desk) -> String {
    let table = planned.table();
    let mut rows = vec![table.columns.iter().map(|c| c.heading()).collect::<Vec<_>>()];
    rows.extend(table.lines.iter().map(|l| l.iter().map(|v| v.printed()).collect()));
    let mut out = aligned(&rows) + "\n" + &planned.summary().join("\n") + "\n";
    let buy = planned.to_buy();
    if !buy.is_empty() {
        out += &desk.palette().strong("\nTo buy\n");
        out += &buy.iter().map(|line| format!("  {line}\n")).collect::<String>();
    }
    out
}
