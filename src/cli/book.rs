//! `book`: the shop's journal: how far every order is, a wheel's whole life, the proof of the chain.

use super::failure::shown;
use super::palette::Palette;
use super::table::aligned_after;
use super::{Desk, Done, Failure, Outcome, clock, complaint, journal};
use super::journal::Proved;
use crate::book::{self, Book, END, Entry, Event, FileHash, Known, Kind, Life, Traced};
use crate::json::LONGEST_FILE;
use crate::json::nearest;
use crate::pack::NamedFile;
use crate::quantity::quoted;
use crate::rules::ShopRules;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

/// Arguments of `book`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  wheeldraft book shop\n  wheeldraft book shop --trace 1042-B-1-e2e3a50c\n  wheeldraft book shop --trace L-7734\n  \
    wheeldraft book shop --trace 1042-B-1-e2e3a50c -o complaint.pdf\n  \
    wheeldraft book shop --check\n  wheeldraft book shop --add shipped --order 1042-B --wheel 1042-B-1-e2e3a50c --by \"T. Okafor\"\n\n\
    --trace with -o makes the complaint sheet: bore clearance, unbalance, groove frequency at the machine's speed, what was measured on the wheel by its record, or by its sheet \
    among records/, and every line of the wheel and its lot. The order is that of orders/.\n\n\
    DIR is the shop's folder; its journal is book.jsonl, a line for each thing done, chained to the line before by its hash. Lines are only added, by one \
    run at a time. records/ holds a file for each wheel by its trace code, with all that was found; its lines name those of the journal, and book.end the last of \
    them, so that --check holds each against the others. Events: taken, drawn, approved, withdrawn, reserved, released, stock-taken, packed, cut, measured, tested, balanced, labelled, shipped, scrapped.\n\
    Exit 1: with --check, a line or a record is not as it was written, or the last one was cut off; with --trace, the book knows no such wheel or lot.")]
pub struct Args {
    /// The shop's folder; the one this place lies in if absent.
    #[arg(value_name = "DIR")]
    folder: Option<PathBuf>,
    /// Everything about the wheel of this trace code, or about all wheels of this lot.
    #[arg(long, value_name = "CODE|LOT", conflicts_with_all = ["check", "add"])]
    trace: Option<String>,
    /// With --trace: write the complaint sheet; the ending picks pdf, svg or png.
    #[arg(short, long, value_name = "FILE", requires = "trace")]
    output: Option<PathBuf>,
    /// Hold every line against its hash and the line before, and the records of the wheels against the journal.
    #[arg(long, conflicts_with = "add")]
    check: bool,
    /// Add a line: what was done.
    #[arg(long, value_name = "EVENT", requires = "order")]
    add: Option<String>,
    /// Number and revision of the order it was done to, such as 1042-B.
    #[arg(long, value_name = "NUMBER-REV", requires = "add")]
    order: Option<String>,
    /// Trace code of the wheel; without one it was done to the whole order.
    #[arg(long, value_name = "CODE", requires = "add")]
    wheel: Option<String>,
    /// Lot of the blank.
    #[arg(long, value_name = "LOT", requires = "add")]
    lot: Option<String>,
    /// Who did it; the login name if absent.
    #[arg(long, value_name = "NAME", requires = "add")]
    by: Option<String>,
    /// The wheel did not pass.
    #[arg(long, requires = "add")]
    failed: bool,
    /// What else there is to say.
    #[arg(long, value_name = "TEXT", requires = "add")]
    note: Option<String>,
    /// A file that belongs to it: its hash is written down; may be repeated.
    #[arg(long, value_name = "FILE", requires = "add")]
    file: Vec<PathBuf>,
}

/// Shows, traces, proves or adds.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let folder = match (&args.folder, desk.premises()?) {
        (Some(folder), _) => folder.clone(),
        (None, Some(shop)) => shop.folder.clone(),
        (None, None) => PathBuf::from("."),
    };
    let path = folder.join(book::NAME);
    if let Some(event) = &args.add {
        return add(args, event, &folder, desk);
    }
    if args.check && (path.exists() || folder.join(END).exists()) {
        return check(&journal::prove(&folder)?, &folder, desk);
    }
    if !path.exists() {
        let hint = "name the shop's folder; `wheeldraft book DIR --add EVENT --order NUMBER-REV` begins a book";
        return Err(Failure::new(format!("there is no book in {}", shown(&folder)), hint));
    }
    let book = journal::read(&path)?;
    match &args.trace {
        Some(code) => trace(args, &folder, &book, code, desk),
        None => all(&folder, &book, desk),
    }
}

fn add(args: &Args, event: &str, folder: &Path, desk: &Desk) -> Done {
    let event = event_of(args, event)?;
    let path = folder.join(book::NAME);
    if !folder.is_dir() {
        return Err(Failure::io("write", &path, &std::io::ErrorKind::NotFound.into()));
    }
    let added = journal::enter(folder, std::slice::from_ref(&event))?;
    added.repaired.iter().for_each(|what| desk.remark(what));
    let (line, seal) = added.lines.first().cloned().unwrap_or_default();
    if desk.is_json() {
        desk.print_json(&json!({ "format": 1, "line": line, "seal": seal, "entry": event, "repaired": added.repaired }))?;
    } else {
        desk.remark(&format!("{}, line {line}: {} {}", shown(&path), event.order, event.event.word()));
    }
    Ok(Outcome::Made)
}

fn event_of(args: &Args, typed: &str) -> Result<Event, Failure> {
    let words: Vec<&'static str> = Kind::ALL.iter().map(|k| k.word()).collect();
    let kind = Kind::ALL.into_iter().find(|k| k.word() == typed).ok_or_else(|| {
        let hint = nearest(typed, &words).map_or(format!("give one of {}", words.join(", ")), |near| format!("did you mean {near}?"));
        Failure::new(format!("--add: there is no event {}", quoted(typed)), hint)
    })?;
    let order = args.order.as_deref().unwrap_or_default().trim();
    let is_plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    if order.is_empty() || !order.chars().all(is_plain) {
        return Err(Failure::new(format!("--order: {} is no number of an order", quoted(order)), "give number and revision, such as 1042-B"));
    }
    if let Some(code) = args.wheel.as_deref().map(str::trim).filter(|code| book::record_name(code).is_none()) {
        return Err(Failure::new(format!("--wheel: {} is no trace code", quoted(code)), "give that of the label, such as 1042-B-1-e2e3a50c"));
    }
    let now = clock::now().ok_or_else(|| Failure::new("the clock of this machine shows no time", "set it"))?;
    let by = args.by.as_deref().map(str::trim).filter(|by| !by.is_empty()).map_or_else(clock::who, str::to_owned);
    let text = |typed: &Option<String>| typed.as_deref().map(str::trim).filter(|t| !t.is_empty()).map(str::to_owned);
    let mut event = Event::new(now, kind, &by, order);
    (event.wheel, event.lot, event.note) = (text(&args.wheel), text(&args.lot), text(&args.note));
    event.passed = args.failed.then_some(false);
    for file in &args.file {
        let bytes = fs::read(file).map_err(|e| Failure::io("read", file, &e))?;
        let name = file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let sha256 = NamedFile { name: name.clone(), bytes }.sha256();
        event.files.push(FileHash { name, sha256 });
    }
    Ok(event)
}

fn check(proved: &Proved, folder: &Path, desk: &Desk) -> Done {
    let Proved { book, beside, unfinished } = proved;
    let is_sound = book.faults.is_empty() && book.cut_off == 0 && beside.is_empty() && *unfinished == 0;
    if desk.is_json() {
        desk.print_json(&json!({
            "format": 1, "sound": is_sound, "lines": book.entries.len(), "faults": book.faults, "cut_off_bytes": book.cut_off,
            "beside": beside, "unfinished": unfinished,
        }))?;
    } else {
        desk.print(&checked(proved, folder, desk.palette()))?;
    }
    Ok(if is_sound { Outcome::Made } else { Outcome::Stopped })
}

/// Most faults shown as text: a book with more is broken all over.
const MOST_FAULTS: usize = 50;

fn checked(proved: &Proved, folder: &Path, palette: Palette) -> String {
    let Proved { book, beside, unfinished } = proved;
    let name = shown(&folder.join(book::NAME));
    let mut out: String = book.faults.iter().take(MOST_FAULTS).map(|f| format!("{name}:{}: {}\n", f.line, f.what)).collect();
    if book.faults.len() > MOST_FAULTS {
        out += &format!("… and {} more\n", book.faults.len() - MOST_FAULTS);
    }
    out.extend(beside.iter().take(MOST_FAULTS).map(|b| format!("{}: {}\n", shown(&folder.join(&b.file)), b.what)));
    if beside.len() > MOST_FAULTS {
        out += &format!("… and {} more in the records\n", beside.len() - MOST_FAULTS);
    }
    if let Some(cut) = cut_off(book) {
        out += &format!("{name}: {cut}\n");
    }
    if *unfinished > 0 && out.is_empty() {
        let last = if *unfinished == 1 { "the last line is".to_owned() } else { format!("the last {unfinished} lines are") };
        return format!("{name}: {last} not in {END} yet: a run was ended before it had written everything; the next line that is added brings it up\n");
    }
    out += &match out.is_empty() {
        true => palette.good(&format!("{} lines, each as it was written and after the one before it; the records and {END} agree.\n", book.entries.len())),
        false => palette.bad("The book is not as it was written.\n"),
    };
    out
}

fn cut_off(book: &Book) -> Option<String> {
    let last = book.entries.len() + 1;
    (book.cut_off > 0).then(|| format!("line {last} was cut off after {} bytes; the next line that is added takes its place", book.cut_off))
}

/// What a reader of the book must know before its rows.
fn warn(book: &Book, desk: &Desk) {
    if let Some(fault) = book.faults.first() {
        desk.remark(&format!("line {} of the book is not as it was written: `wheeldraft book --check` says more", fault.line));
    }
    cut_off(book).iter().for_each(|cut| desk.remark(cut));
}

fn all(folder: &Path, book: &Book, desk: &Desk) -> Done {
    warn(book, desk);
    let today = clock::today().ok_or_else(|| Failure::new("the clock of this machine shows no day", "set it"))?;
    let lives = book::lives(&book.entries, &known(&folder.join("orders"), &desk.rules()?), today);
    if desk.is_json() {
        desk.print_json(&json!({ "format": 1, "today": today, "orders": lives, "faults": book.faults }))?;
    } else {
        desk.print(&table(&lives, desk.palette()))?;
    }
    Ok(Outcome::Made)
}

/// The orders of a folder that can be read, as they are now.
fn known(folder: &Path, rules: &ShopRules) -> Vec<Known> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let files = entries.filter_map(|e| Some(e.ok()?.path())).filter(|p| p.extension().is_some_and(|e| e == "json"));
    let read = |path: PathBuf| {
        let meta = fs::metadata(&path).ok().filter(|m| m.is_file() && m.len() <= LONGEST_FILE as u64)?;
        let job = rules.open(&fs::read(&path).ok().filter(|bytes| bytes.len() as u64 == meta.len())?).ok()?;
        Some(Known {
            order: job.file_stem(),
            fingerprint: job.fingerprint().full().to_owned(),
            customer: job.head.customer.clone(),
            quantity: job.head.quantity,
            due: job.head.due.as_ref().and_then(|due| due.parse().ok()),
        })
    };
    files.filter_map(read).collect()
}

fn table(lives: &[Life], palette: Palette) -> String {
    if lives.is_empty() {
        return "No order is in the shop's folder or in the book yet.\n".to_owned();
    }
    let dash = || "–".to_owned();
    let mut rows = vec![["order", "customer", "wheels", "state", "next", "due", "last"].map(str::to_owned).to_vec()];
    rows.extend(lives.iter().map(|life| {
        let due = life.due.map_or_else(dash, |due| if life.late { format!("{due} LATE") } else { due.to_string() });
        let last = life.last.as_ref().map_or_else(dash, |l| format!("{} {} by {}", l.on, l.event.word(), plain(&l.by)));
        vec![
            life.order.clone(),
            life.customer.as_deref().map_or_else(dash, plain),
            life.quantity.map_or_else(dash, |n| n.to_string()),
            life.state.clone(),
            life.next.clone().unwrap_or_else(dash),
            due,
            last,
        ]
    }));
    let text = aligned_after(&rows, |c| c != 2);
    let late = |line: &str| if line.contains(" LATE") { palette.bad(line) } else { line.to_owned() };
    let mut lines = text.lines();
    let head = lines.next().map_or_else(String::new, |head| palette.strong(head) + "\n");
    head + &lines.map(|line| late(line) + "\n").collect::<String>()
}

/// A text of the book as a terminal may show it.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '?' } else { c }).collect()
}

fn trace(args: &Args, folder: &Path, book: &Book, code: &str, desk: &Desk) -> Done {
    warn(book, desk);
    let traced = book::trace(&book.entries, code.trim());
    if let (Some(output), Some(traced)) = (&args.output, &traced) {
        complaint::write(output, folder, code.trim(), traced, desk)?;
    }
    if desk.is_json() {
        let records = traced.as_ref().map_or_else(|| Ok(Vec::new()), |t| records(t, folder))?;
        desk.print_json(&traced_json(code, traced.as_ref(), &records))?;
    } else if let Some(traced) = &traced {
        let records: String = records(traced, folder)?.iter().map(|(code, record)| record_text(code, record)).collect();
        desk.print(&(traced_text(traced) + &records))?;
    } else {
        desk.remark(&format!("the book knows no wheel and no lot {}", quoted(code)));
    }
    Ok(if traced.is_some() { Outcome::Made } else { Outcome::Stopped })
}

/// The records of the wheels, by their trace codes.
fn records<'a>(traced: &Traced<'a>, folder: &Path) -> Result<Vec<(&'a str, Book)>, Failure> {
    traced.wheels.iter().map(|code| Ok((*code, journal::record_of(folder, code)?))).collect()
}

/// What a record holds beside the lines of the book: a line for each event, and the rows of a sheet.
fn record_text(code: &str, record: &Book) -> String {
    let found = record.entries.iter().filter_map(|e| Some((e, e.event.found.as_ref()?)));
    let said: String = found.map(|(e, found)| found_text(e, found)).collect();
    if said.is_empty() { said } else { format!("\nRecord of wheel {}\n{said}", plain(code)) }
}

fn found_text(entry: &Entry, found: &Value) -> String {
    let cells = |row: &Value| row.as_array().into_iter().flatten().map(|c| plain(c.as_str().unwrap_or_default())).collect::<Vec<_>>();
    let said = |(name, value): (&String, &Value)| match value {
        Value::String(text) if !text.is_empty() => Some(format!("{} {}", plain(name).replace('_', " "), plain(text))),
        Value::Array(_) if name == "refusals" => Some(cells(value).join("; ")).filter(|all| !all.is_empty()).map(|all| format!("refused: {all}")),
        _ => None,
    };
    let all: Vec<String> = found.as_object().into_iter().flatten().filter_map(said).collect();
    let mut rows = vec![cells(&found["columns"])];
    // of the lines of a sheet those with a value
    rows.extend(found["rows"].as_array().into_iter().flatten().map(cells).filter(|row| row.iter().skip(MEASURED).any(|c| !c.is_empty())));
    let table = if rows.len() > 1 { aligned_after(&rows, |c| c != 3) } else { String::new() };
    format!("  {} {}: {}\n{table}", entry.event.time, entry.event.event.word(), all.join(", "))
}

/// The column of a record's rows from which on they hold what was found.
const MEASURED: usize = 8;

fn traced_json(code: &str, traced: Option<&Traced>, records: &[(&str, Book)]) -> Value {
    let record = |(code, record): &(&str, Book)| {
        json!({ "wheel": code, "faults": record.faults, "entries": record.entries.iter().map(|e| &e.event).collect::<Vec<_>>() })
    };
    let entry = |e: &&Entry| json!({ "line": e.line, "entry": e.event });
    let entries = |t: &Traced| t.entries.iter().map(entry).collect::<Vec<_>>();
    json!({
        "format": 1, "asked": code, "wheels": traced.map_or(&[][..], |t| &t.wheels), "orders": traced.map_or(&[][..], |t| &t.orders),
        "entries": traced.map_or_else(Vec::new, entries), "records": records.iter().map(record).collect::<Vec<_>>(),
    })
}

fn traced_text(traced: &Traced) -> String {
    let named = |one: &str, all: &[&str]| if all.is_empty() { format!("{one}: –\n") } else { format!("{one}: {}\n", plain(&all.join(", "))) };
    let mut rows = vec![["line", "time", "event", "wheel", "by", "lot", ""].map(str::to_owned).to_vec()];
    rows.extend(traced.entries.iter().map(|e| {
        let event = &e.event;
        let text = |t: &Option<String>| t.as_deref().map_or_else(|| "–".to_owned(), plain);
        let result = event.passed.map(|passed| if passed { "passed" } else { "FAILED" }.to_owned());
        let files = (!event.files.is_empty()).then(|| event.files.iter().map(|f| plain(&f.name)).collect::<Vec<_>>().join(", "));
        let kept = event.stock.as_deref().map(|stock| format!("{} × {}", event.blanks.unwrap_or(1), plain(stock)));
        let more: Vec<String> = [result, kept, event.note.as_deref().map(plain), files].into_iter().flatten().collect();
        vec![
            e.line.to_string(),
            event.time.to_string(),
            event.event.word().to_owned(),
            text(&event.wheel),
            plain(&event.by),
            text(&event.lot),
            more.join("; "),
        ]
    }));
    format!("{}{}\n{}", named("Wheels", &traced.wheels), named("Orders", &traced.orders), aligned_after(&rows, |c| c != 0))
}
