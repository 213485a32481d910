//! The stock list that a command works from.

use super::failure::shown;
use super::{Desk, Failure};
use crate::shop::stock::{self, RowProblem, StockList};
use std::path::{Path, PathBuf};

/// The stock list that is named, else that of the shop's folder; `None` without either.
///
/// # Errors
/// Where the shop's folder cannot be read.
pub fn named_stock(named: Option<&PathBuf>, desk: &Desk) -> Result<Option<PathBuf>, Failure> {
    desk.own(named, |shop| shop.stock.as_ref())
}

/// The stock list of a file; what is wrong with single rows is told.
pub fn stock_list(file: &Path, desk: &Desk) -> Result<StockList, Failure> {
    let name = shown(file);
    let list = stock::read(&desk.bytes(file)?).map_err(|problems| no_list(&name, &problems))?;
    if !desk.is_json() {
        list.problems.iter().for_each(|p| desk.remark(&row_problem(&name, p)));
    }
    Ok(list)
}

fn row_problem(file: &str, p: &RowProblem) -> String {
    let column = if p.field.is_empty() { String::new() } else { format!(" {}:", p.field) };
    format!("{file}:{}:{column} {} → {}; the row is left out", p.line, p.message, p.hint)
}

/// How many faults of a file that is no stock list are told.
const FAULTS_OF_NO_LIST: usize = 2;

fn no_list(file: &str, problems: &[RowProblem]) -> Failure {
    // the first few say enough of a file that is something else
    let told = problems.iter().take(FAULTS_OF_NO_LIST);
    let mut first: Vec<String> = told.map(|p| format!("{} ({})", p.message, p.hint)).collect();
    if problems.len() > FAULTS_OF_NO_LIST {
        first.push("and more".to_owned());
    }
    let first = first.join("; ");
    Failure::new(
        format!("{file}:1: this is no stock list: {first}"),
        "the first line names the columns, see `wheeldraft help blanks`",
    )
}
