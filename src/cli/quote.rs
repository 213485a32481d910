//! `quote`: time and price of an order; the customer's sheet, or the shop's own.

use super::stock::{named_stock, stock_list};
use super::failure::shown;
use super::packing::traveller_template;
use super::table::aligned_after;
use super::{Desk, Done, Failure, Outcome, paper};
use crate::dossier::Dossier;
use crate::language::Language;
use crate::money::Money;
use crate::quantity::{Date, fixed, trimmed};
use crate::quote::{self, Quotation, QuotedBlank, Rates};
use crate::shop::stock::{self, Ranking};
use crate::shop::traveller::Template;
use std::path::PathBuf;

/// Arguments of `quote`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft quote demo-data/1042.json --rates demo-data/rates.json --stock demo-data/stock.csv -o quote.pdf\n  \
    wheeldraft quote demo-data/1042.json --rates demo-data/rates.json --blank-cost 412.00 --inner -o calculation.pdf\n\n\
    Times come from the wheel: volume over removal rate and path over feed for what is turned, passes times length and the index time for grooves; \
    operations are those of the traveller. templates/rates.json is the pattern of a rates file. In a shop's folder rates and stock are the shop's. The blank is the \
    one the order names, else the cheapest of the stock; without a cost it is not in the price, and the sheet says so. Exit 1: a rule stops the order, or no price can be named because \
    the blank is not known."
)]
pub struct Args {
    /// The order file; `-` reads standard input.
    order: PathBuf,
    /// The shop's rates, a JSON file; those of the shop's folder if absent.
    #[arg(long, value_name = "FILE")]
    rates: Option<PathBuf>,
    /// The stock list, for the blank and its cost; that of the shop's folder if absent.
    #[arg(long, value_name = "FILE.csv")]
    stock: Option<PathBuf>,
    /// The number of the stock wheel to reckon with; if absent the one the order names, else the cheapest of which there are enough.
    #[arg(long, value_name = "STOCK-ID", conflicts_with = "blank_cost")]
    blank: Option<String>,
    /// What the blank named by the order costs.
    #[arg(long, value_name = "AMOUNT", conflicts_with = "stock")]
    blank_cost: Option<String>,
    /// The day of the quotation, YYYY-MM-DD; the order's date if absent.
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    /// Operations of the traveller, in place of the built-in ones.
    #[arg(long, value_name = "FILE")]
    traveller: Option<PathBuf>,
    /// Write the shop's own sheet, with every line, in place of the customer's.
    #[arg(long)]
    inner: bool,
    /// Language of the customer's sheet, in place of the order's.
    #[arg(long, value_name = "en|de|fr|es")]
    language: Option<String>,
    /// The file to write: its ending picks pdf, svg or png.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

/// Prices the order, prints, writes the sheet.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let rules = desk.rules()?;
    let dossier = desk.dossier(&args.order, &rules)?;
    let template = traveller_template(args.traveller.as_ref(), desk)?;
    let rates = read_rates(args.rates.as_ref(), &template, desk)?
        .ok_or_else(|| Failure::new("a price needs the shop's rates", "give --rates FILE, or work in a shop's folder"))?;
    let blank = blank(args, &dossier, desk)?;
    let quotation = quote::quote(&dossier, &template, &rates, blank, date(args)?)
        .map_err(|e| Failure::new(format!("the wheel has no section: {e}"), ""))?;
    let files = match &args.output {
        None => Vec::new(),
        Some(file) if args.inner => paper::write(file, &quote::inner(&quotation), desk)?,
        Some(file) => paper::write(file, &quote::customer(&quotation, language(args, &dossier)?), desk)?,
    };
    if desk.is_json() {
        let mut told = quote::told(&quotation);
        told["files"] = files.iter().map(|f| shown(f)).collect();
        desk.print_json(&told)?;
    } else {
        desk.print(&text(&quotation))?;
    }
    if quotation.prices.is_empty() {
        desk.remark("No price can be named: neither the order nor --stock says which blank it is made of.");
    }
    dossier.stops().iter().for_each(|stop| desk.remark(&format!("stop: {stop}")));
    Ok(if dossier.is_stopped() || quotation.prices.is_empty() { Outcome::Stopped } else { Outcome::Made })
}

/// The rates that are named, else those of the shop's folder; `None` without either.
///
/// # Errors
/// Where they cannot be read.
pub fn read_rates(named: Option<&PathBuf>, template: &Template, desk: &Desk) -> Result<Option<Rates>, Failure> {
    let Some(file) = desk.own(named, |shop| shop.rates.as_ref())? else { return Ok(None) };
    let bytes = desk.bytes(&file)?;
    let read = Rates::read(&bytes, template);
    read.map(Some).map_err(|problems| Failure::Order { file: shown(&file), problems })
}

fn date(args: &Args) -> Result<Option<Date>, Failure> {
    let read = args.date.as_ref().map(|text| text.parse::<Date>()).transpose();
    read.map_err(|e| Failure::new(format!("--date: {}", e.message), e.hint))
}

fn language(args: &Args, dossier: &Dossier) -> Result<Language, Failure> {
    let Some(code) = &args.language else { return Ok(dossier.job.sheets.language) };
    let known = Language::ALL.into_iter().find(|l| l.code() == code);
    known.ok_or_else(|| Failure::new(format!("there is no language `{code}`"), "give en, de, fr or es"))
}

fn blank(args: &Args, dossier: &Dossier, desk: &Desk) -> Result<Option<QuotedBlank>, Failure> {
    let job = &dossier.job;
    let no_section = |e| Failure::new(format!("the wheel has no section: {e}"), "");
    let listed = match &args.blank_cost {
        Some(_) => None,
        None => named_stock(args.stock.as_ref(), desk)?,
    };
    let Some(file) = listed else {
        if let Some(id) = &args.blank {
            return Err(Failure::new(format!("--blank {id}: no stock list is named"), "give --stock FILE.csv, or work in a shop's folder"));
        }
        let cost = args.blank_cost.as_ref().map(|text| Money::parse(text)).transpose();
        let cost = cost.map_err(|e| Failure::new(format!("--blank-cost: {}", e.message), e.hint))?;
        return quote::blank_of_order(job, cost).map_err(no_section);
    };
    let list = stock_list(&file, desk)?;
    let choice = stock::choose(job, &list.wheels, Ranking::Cost).map_err(no_section)?;
    let found = match &args.blank {
        None => choice.taken(job).or(choice.suitable.first()),
        Some(id) => Some(choice.suitable.iter().find(|c| c.stock.id == *id).ok_or_else(|| {
            let why = choice.rejected.iter().find(|r| r.stock.id == *id).map(|r| r.reasons.join("; "));
            let why = why.unwrap_or_else(|| "there is no such stock wheel".to_owned());
            Failure::new(format!("--blank {id}: {why}"), "`wheeldraft blanks` lists what can make the order")
        })?),
    };
    match found {
        Some(candidate) => Ok(Some(quote::blank_of_stock(candidate))),
        None => {
            desk.remark("No stock wheel of the list can make it; the price is without the blank.");
            quote::blank_of_order(job, None).map_err(no_section)
        }
    }
}

fn text(q: &Quotation) -> String {
    let job = &q.dossier.job;
    let mut out = format!("Order {} · fingerprint {}\n\n", job.file_stem(), job.fingerprint().short());
    let head = ["operation", "at", "set-up min", "each min", "how"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(q.lines.iter().map(|l| {
        let each = l.each_min.map_or("not known".to_owned(), |m| fixed(m, 2));
        vec![l.title.clone(), l.at.clone(), trimmed(l.setup_min, 2), each, l.formula.clone()]
    }));
    out += &aligned_after(&rows, |c| matches!(c, 0 | 1 | 4));
    out += &format!("\nPrices in {}{}\n", q.rates.currency, if q.has_blank() { "" } else { ", without the blank" });
    let head = ["quantity", "each", "total", "working days"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(
        q.prices.iter().map(|p| vec![p.quantity.to_string(), p.each.printed(), p.total.printed(), p.days.to_string()]),
    );
    out += &aligned_after(&rows, |_| false);
    out
}
