//! `batch`: the packs of many orders, in parallel.

use super::failure::shown;
use super::order_files::orders;
use super::pack::failure;
use super::packing::{Bench, Wishes};
use super::table::aligned_after;
use super::offers::{Offer, offers};
use super::{Desk, Done, Failure, Outcome, files, folder, premises};
use crate::book::{self, Event};
use crate::pack::manifest::{Kind, Manifest, NAME};
use crate::pack::verify::{Fault, Found, by_hashes};
use crate::pack::{self, Options, Pack};
use crate::profile;
use crate::export::csv;
use crate::state::version;
use crate::wheel::Job;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use rayon::prelude::*;
use serde::Serialize;
use serde_json::json;
use std::collections::HashMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Arguments of `batch`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft batch orders/*.json -o packs\n  wheeldraft batch orders -o packs --jobs 4 --unapproved\n  \
    wheeldraft batch orders -o packs --stock stock.csv --rates rates.json\n  wheeldraft batch shop\n\n\
    Each order's pack goes to DIR/NUMBER-REVISION. A bad order does not stop the others. Packs that are still current are left alone, so a run \
    that was interrupted goes on where it was; Ctrl-C finishes the packs under way and leaves only whole ones. Ends with a table, and with the same as DIR/batch.csv: what became of each \
    order, which blank the best plan gives it, its price and delivery days, as far as stock and rates are known. A shop's folder gives its orders/, stock and rates, \
    and gets the packs in packs/.\n\
    Exit 1: an order could not be packed, or a rule stops it."
)]
pub struct Args {
    /// Order files, folders of them (every .json in it that is no approval record), or a shop's folder.
    #[arg(required = true, value_name = "ORDERS")]
    orders: Vec<PathBuf>,
    /// The folder of the packs; `packs` of the shop's folder if absent.
    #[arg(short, long, value_name = "DIR")]
    output: Option<PathBuf>,
    /// The stock list, for the blanks; that of the shop's folder if absent.
    #[arg(long, value_name = "FILE.csv")]
    stock: Option<PathBuf>,
    /// The shop's rates, for the prices; those of the shop's folder if absent.
    #[arg(long, value_name = "FILE")]
    rates: Option<PathBuf>,
    /// How many orders are packed at the same time; as many as there are processors if absent.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1024))]
    jobs: Option<u32>,
    #[command(flatten)]
    wishes: Wishes,
}

/// How one order ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
enum Ended {
    Packed,
    Current,
    Stopped,
    Failed,
    Waiting,
}

impl Ended {
    fn word(self) -> &'static str {
        match self {
            Ended::Packed => "packed",
            Ended::Current => "current",
            Ended::Stopped => "stopped",
            Ended::Failed => "FAILED",
            Ended::Waiting => "not done",
        }
    }
}

/// One line of the table. Nothing else of an order is kept, so that a thousand need no more memory than one.
#[derive(Debug, Clone, Serialize)]
struct Line {
    file: String,
    order: String,
    result: Ended,
    verdict: String,
    fingerprint: String,
    message: String,
    #[serde(flatten)]
    offer: Offer,
    #[serde(skip)]
    job: Option<Job>,
}

/// Makes the packs.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let orders = orders(&args.orders)?;
    let output = output(args, desk)?;
    let bench = Bench::of(&args.wishes, desk)?;
    std::fs::create_dir_all(&output).map_err(|e| Failure::io("write", &output, &e))?;
    folder::sweep(&output);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(args.jobs.unwrap_or(0) as usize).build();
    let pool =
        pool.map_err(|e| Failure::new(format!("the workers cannot be started: {e}"), "give a smaller --jobs"))?;
    let interrupted = watch_for_interrupt();
    let bar = progress(orders.len() as u64, desk);
    let mut lines: Vec<Line> = pool.install(|| {
        let stems: Vec<Option<String>> = orders.par_iter().map(|file| stem(file, desk)).collect();
        let twins = twins(&orders, &stems);
        orders
            .par_iter()
            .enumerate()
            .map(|(i, file)| {
                let line = match twins.get(&i) {
                    _ if interrupted.load(Ordering::Relaxed) => {
                        line(file, Ended::Waiting, "interrupted before its turn")
                    }
                    Some(other) => line(
                        file,
                        Ended::Failed,
                        &format!("{} has the same number and revision", shown(&orders[*other])),
                    ),
                    None => guarded(file, &output, &bench, desk),
                };
                bar.inc(1);
                line
            })
            .collect()
    });
    bar.finish_and_clear();
    desk.enter(|| packed(&lines))?;
    offered(args, &mut lines, &bench, desk)?;
    let table = output.join(TABLE);
    let unwritten = files::write(&table, &as_csv(&lines, &bench)?).map_err(Failure::words).err();
    print(&lines, desk)?;
    // what became of the orders is told also where the table has no place
    desk.remark(unwritten.as_ref().unwrap_or(&files::written([&table])));
    let is_good = |l: &Line| matches!(l.result, Ended::Packed | Ended::Current);
    Ok(if unwritten.is_none() && lines.iter().all(is_good) { Outcome::Made } else { Outcome::Stopped })
}

/// The table that ends a run, beside the packs.
const TABLE: &str = "batch.csv";

fn output(args: &Args, desk: &Desk) -> Result<PathBuf, Failure> {
    let of_shop = || Ok(desk.premises()?.map(|shop| shop.folder.join(profile::PACKS)));
    let folder = args.output.clone().map_or_else(of_shop, |named| Ok(Some(named)))?;
    folder.ok_or_else(|| Failure::new("no folder is named for the packs", "give -o DIR, or work in a shop's folder"))
}

/// Blank, price and delivery of each order that may be made.
fn offered(args: &Args, lines: &mut [Line], bench: &Bench, desk: &Desk) -> Result<(), Failure> {
    let mut made: Vec<(&mut Offer, Job)> = lines
        .iter_mut()
        .filter(|l| matches!(l.result, Ended::Packed | Ended::Current))
        .filter_map(|l| Some((&mut l.offer, l.job.take()?)))
        .collect();
    let jobs: Vec<&Job> = made.iter().map(|(_, job)| job).collect();
    let found = offers(&jobs, args.stock.as_ref(), args.rates.as_ref(), bench, desk)?;
    made.iter_mut().zip(found).for_each(|((offer, _), found)| **offer = found);
    Ok(())
}

/// What was packed, for the book.
fn packed(lines: &[Line]) -> Result<Vec<Event>, Failure> {
    let all = lines.iter().filter(|l| l.result == Ended::Packed);
    all.map(|l| premises::of_order(book::Kind::Packed, &l.order, None)).collect()
}

fn stem(file: &Path, desk: &Desk) -> Option<String> {
    desk.job(file).ok().map(|job| job.file_stem())
}

/// Orders whose number and revision an earlier one has too, capitals or not: their place, and the earlier one's.
fn twins(orders: &[PathBuf], stems: &[Option<String>]) -> HashMap<usize, usize> {
    let mut first: HashMap<String, usize> = HashMap::new();
    let mut twins = HashMap::new();
    for (i, stem) in stems.iter().enumerate().take(orders.len()) {
        let Some(stem) = stem else { continue };
        let stem = stem.to_lowercase();
        match first.get(&stem) {
            Some(&earlier) => {
                twins.insert(i, earlier);
            }
            None => {
                first.insert(stem, i);
            }
        }
    }
    twins
}

/// A flag that Ctrl-C sets; a second Ctrl-C ends the program at once.
fn watch_for_interrupt() -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let set = Arc::clone(&flag);
    std::thread::spawn(move || {
        // without a runtime Ctrl-C ends the program as usual
        let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_io().build() else { return };
        runtime.block_on(async {
            if tokio::signal::ctrl_c().await.is_ok() {
                set.store(true, Ordering::Relaxed);
            }
            if tokio::signal::ctrl_c().await.is_ok() {
                std::process::exit(130);
            }
        });
    });
    flag
}

fn progress(length: u64, desk: &Desk) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(length), ProgressDrawTarget::stderr());
    if desk.is_quiet() || desk.is_json() {
        bar.set_draw_target(ProgressDrawTarget::hidden());
    }
    // the template is a constant; a wrong one would fall back to the usual bar
    let style = ProgressStyle::with_template("{bar:40} {pos}/{len} orders, {eta} left");
    bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}

fn line(file: &Path, result: Ended, message: &str) -> Line {
    let empty = String::new;
    Line {
        file: shown(file),
        order: empty(),
        result,
        verdict: empty(),
        fingerprint: empty(),
        message: message.to_owned(),
        offer: Offer::default(),
        job: None,
    }
}

/// One order; whatever goes wrong is its own line.
fn guarded(file: &Path, output: &Path, bench: &Bench, desk: &Desk) -> Line {
    let tried = catch_unwind(AssertUnwindSafe(|| one(file, output, bench, desk)));
    match tried {
        Ok(Ok(line)) => line,
        Ok(Err(failure)) => line(file, Ended::Failed, &in_short(&failure)),
        Err(_) => line(file, Ended::Failed, "an error of the program itself; please report it with the order"),
    }
}

fn one(file: &Path, output: &Path, bench: &Bench, desk: &Desk) -> Result<Line, Failure> {
    let (job, bytes) = desk.job_and_bytes(file)?;
    let laid = bench.lay_out(&job, file, desk)?;
    let options = bench.options(&bytes, &laid);
    let target = output.join(job.file_stem());
    let made = |result, verdict: String, message: String| Line {
        file: shown(file),
        order: job.file_stem(),
        result,
        verdict,
        fingerprint: job.fingerprint().short().to_owned(),
        message,
        offer: Offer::default(),
        job: Some(job.clone()),
    };
    if let Some(manifest) = current(&target, &job, &options) {
        let result = if manifest.is_stopped() { Ended::Stopped } else { Ended::Current };
        return Ok(made(result, manifest.verdict, "unchanged".to_owned()));
    }
    let Pack { files, manifest, .. } = pack::build(&job, &options).map_err(|e| failure(&e))?;
    let kept = folder::write_pack(&target, &files)?;
    let result = if manifest.is_stopped() { Ended::Stopped } else { Ended::Packed };
    let withheld = manifest.withheld.iter().map(|w| w.why.as_str()).next().unwrap_or_default();
    let message = if withheld.is_empty() {
        format!("{} files", files.len())
    } else {
        format!("{} files; {withheld}", files.len())
    };
    Ok(made(result, manifest.verdict, [vec![message], kept].concat().join("; ")))
}

/// The manifest of a pack that is whole and made from the same recipe.
fn current(target: &Path, job: &Job, options: &Options) -> Option<Manifest> {
    let bytes = std::fs::read(target.join(NAME)).ok()?;
    let manifest = Manifest::read(&bytes).ok()?;
    if manifest.recipe != pack::recipe(job, options) {
        return None;
    }
    let verified = by_hashes(&folder::read(target).ok()?, Some(job)).ok()?;
    // what someone else put there does not make the pack wrong, and a sheet is there to be filled in
    let kind = |name: &str| manifest.files.iter().find(|e| e.name == name).map(|e| e.kind);
    let is_filled_in = |f: &Found| f.fault == Fault::Altered && kind(&f.name) == Some(Kind::Inspection);
    let sound = verified.found.iter().all(|f| f.fault == Fault::Foreign || is_filled_in(f));
    sound.then_some(manifest)
}

/// The first problem, and how many more there are.
fn in_short(failure: &Failure) -> String {
    match failure {
        Failure::Order { problems, .. } => {
            let first = problems
                .first()
                .map_or("cannot be read".to_owned(), |p| format!("line {}: {}", p.place.line, p.problem.message));
            let more = problems.len().saturating_sub(1);
            if more == 0 { first } else { format!("{first} (and {more} more)") }
        }
        Failure::Other { message, .. } => message.clone(),
    }
}

const COLUMNS: [&str; 11] =
    ["file", "order", "result", "verdict", "fingerprint", "blanks", "each", "total", "currency", "days", "message"];

fn cells(l: &Line) -> [String; 11] {
    let Offer { blanks, each, total, currency, days } = &l.offer;
    let days = days.map_or_else(String::new, |days| days.to_string());
    let words = [&l.file, &l.order, l.result.word(), &l.verdict, &l.fingerprint, blanks, each, total, currency, &days, &l.message];
    words.map(str::to_owned)
}

fn as_csv(lines: &[Line], bench: &Bench) -> Result<Vec<u8>, Failure> {
    let state = [format!("{} · rules: {}", version(), bench.rules.name())];
    csv::stated(&state, &COLUMNS, lines.iter().map(|l| cells(l).to_vec())).map_err(|e| Failure::new(e.to_string(), ""))
}

/// The table for people: columns that say nothing are left out, the message ends each line.
fn rows(lines: &[Line]) -> Vec<Vec<String>> {
    let all: Vec<[String; 11]> = lines.iter().map(cells).collect();
    let is_needed = |c: &usize| (c + 1 == COLUMNS.len()) || *c < 5 || all.iter().any(|line| !line[*c].is_empty());
    let columns: Vec<usize> = (0..COLUMNS.len()).filter(is_needed).collect();
    let pick = |line: [&str; 11]| columns.iter().map(|&c| line[c].to_owned()).collect::<Vec<_>>();
    let mut head = COLUMNS;
    head[10] = "";
    let mut rows = vec![pick(head)];
    rows.extend(all.iter().map(|line| pick(line.each_ref().map(String::as_str))));
    rows
}

fn print(lines: &[Line], desk: &Desk) -> Result<(), Failure> {
    if desk.is_json() {
        return desk.print_json(&json!({ "format": 1, "packs": lines }));
    }
    let rows = rows(lines);
    let count = |e: Ended| lines.iter().filter(|l| l.result == e).count();
    let ends = [Ended::Packed, Ended::Current, Ended::Stopped, Ended::Failed, Ended::Waiting];
    let sum: Vec<String> =
        ends.into_iter().filter(|e| count(*e) > 0).map(|e| format!("{} {}", count(e), e.word())).collect();
    let orders = if lines.len() == 1 { "order" } else { "orders" };
    desk.print(&format!("{}\n{} {orders}: {}\n", aligned_after(&rows, |_| true), lines.len(), sum.join(", ")))
}
