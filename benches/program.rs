//! The whole program from outside: cold starts, memory at its highest, a thousand orders in one run, its own size.
//!
//! `cargo bench --bench program` prints tables in markdown, each line with its goal; it takes some minutes. A word after `--` (`cold`, `memory`,
//! `batch`) runs only that part. Nothing here fails a slow machine.

// what it measures is what it prints
#![allow(clippy::print_stdout)]

#[path = "support/orders.rs"]
mod orders;

use orders::Wheel;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;
use tempfile::TempDir;
use wheeldraft::wheel::MOST_PLACES;

const PROGRAM: &str = env!("CARGO_BIN_EXE_wheeldraft");
/// How often the program is started for one line.
const STARTS: usize = 60;
/// Orders of the large batch.
const MANY: u32 = 1000;
/// The word that makes this program start another one, only to say how much memory that took.
const PEAK: &str = "peak-of";

/// A folder with orders, and where their drawings and packs go.
struct Shop {
    folder: TempDir,
}

impl Shop {
    fn new() -> Shop {
        Shop { folder: tempfile::tempdir().unwrap_or_else(|e| panic!("{e}")) }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn put(&self, name: &str, order: &[u8]) -> PathBuf {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap_or(Path::new("."))).unwrap_or_else(|e| panic!("{e}"));
        std::fs::write(&path, order).unwrap_or_else(|e| panic!("{e}"));
        path
    }

    /// So many orders of which no two are alike; their folder.
    fn many(&self, count: u32) -> PathBuf {
        for number in 1..=count {
            let wheel = Wheel { number, grooves: 18 + number % 343, steps: 1 + number % 4, notes: number % 6 };
            self.put(&format!("orders-{count}/{number}.json"), &wheel.order());
        }
        self.path(&format!("orders-{count}"))
    }

    /// `draw` to an SVG.
    fn draw(&self, order: &Path) -> Command {
        command(&["draw".as_ref(), order, "-o".as_ref(), &self.path("drawing.svg")])
    }

    /// `pack` or `batch` of it into a folder that is not there yet.
    fn packs(&self, how: &str, orders: &Path) -> Command {
        let packs = self.path("packs");
        if packs.exists() {
            std::fs::remove_dir_all(&packs).unwrap_or_else(|e| panic!("{e}"));
        }
        let mut command = command(&[how.as_ref(), orders, "-o".as_ref(), &packs]);
        command.arg("--unapproved");
        command
    }
}

fn command(words: &[&Path]) -> Command {
    let mut command = Command::new(PROGRAM);
    command.args(words).arg("-q").stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// Runs it to its end; seconds. A rule may stop one of the orders, which is exit 1.
fn run(mut command: Command) -> f64 {
    let begun = Instant::now();
    let status = command.status().unwrap_or_else(|e| panic!("{e}"));
    let took = begun.elapsed().as_secs_f64();
    assert!(matches!(status.code(), Some(0 | 1)), "{command:?}: {status}");
    took
}

/// The same through this program as the go-between, since only whoever has started nothing else knows what that one took; MB at its highest.
fn peak(command: &Command) -> f64 {
    let this = std::env::current_exe().unwrap_or_else(|e| panic!("{e}"));
    let mut between = Command::new(this);
    between.arg(PEAK).arg(command.get_program()).args(command.get_args()).stdin(Stdio::null());
    let said = between.output().unwrap_or_else(|e| panic!("{e}"));
    let text = String::from_utf8_lossy(&said.stdout).trim().to_owned();
    text.parse().unwrap_or_else(|_| panic!("{command:?}: {text} {}", String::from_utf8_lossy(&said.stderr)))
}

/// Starts what is named and prints the most memory it had, MB.
#[cfg(unix)]
fn say_peak(named: &[String]) {
    use nix::sys::resource::{UsageWho, getrusage};
    let mut command = Command::new(&named[0]);
    command.args(&named[1..]).stdout(Stdio::null()).stderr(Stdio::null());
    run(command);
    let used = getrusage(UsageWho::RUSAGE_CHILDREN).unwrap_or_else(|e| panic!("{e}"));
    // Linux counts in KiB
    println!("{:.1}", used.max_rss() as f64 * 1024.0 / 1e6);
}

#[cfg(not(unix))]
fn say_peak(_: &[String]) {
    println!("NaN");
}

/// The orders of a cold start, and one of the shop's own.
fn examples(shop: &Shop) -> [(&'static str, PathBuf); 3] {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    [
        ("demo 1042", here.join("demo-data/1042.json")),
        ("2 × 180 grooves, inches", here.join("tests/cases/sheet/inch-grooved-both-sides.json")),
        ("2 × 180 grooves over a taper", shop.put("taper.json", &Wheel::default().order())),
    ]
}

fn cold(shop: &Shop) {
    println!("\n| cold start | median | fastest | goal |\n| --- | --- | --- | --- |");
    let line = |what: &str, goal: &str, made: &dyn Fn() -> Command| {
        let mut times: Vec<f64> = (0..STARTS).map(|_| run(made())).collect();
        times.sort_by(f64::total_cmp);
        println!("| {what} | {:.1} ms | {:.1} ms | {goal} |", times[STARTS / 2] * 1e3, times[0] * 1e3);
    };
    line("`--version`", "", &|| command(&["--version".as_ref()]));
    for (name, order) in examples(shop) {
        line(&format!("`draw` to SVG, {name}"), "15 ms", &|| shop.draw(&order));
        line(&format!("`pack`, {name}"), "120 ms", &|| shop.packs("pack", &order));
    }
}

fn memory(shop: &Shop) {
    println!("\n| memory at its highest | MB | goal |\n| --- | --- | --- |");
    let line = |what: &str, command: &Command| println!("| {what} | {:.1} | 60 |", peak(command));
    for (name, order) in examples(shop) {
        line(&format!("`draw` to SVG, {name}"), &shop.draw(&order));
        line(&format!("`pack`, {name}"), &shop.packs("pack", &order));
    }
    let dense = shop.put("dense.json", &Wheel { grooves: 720, ..Wheel::default() }.order());
    line("`pack` with machine files, 2 × 720 grooves", &shop.packs("pack", &dense));
    // a rule stops it, since hardly any land is left, but it is drawn and packed
    let largest =
        shop.put("largest.json", &Wheel { grooves: MOST_PLACES, steps: 16, notes: 40, ..Wheel::default() }.order());
    line(&format!("`draw` to SVG, 2 × {MOST_PLACES} grooves, 2 × 16 steps, 40 notes"), &shop.draw(&largest));
    line("`pack`, the same", &shop.packs("pack", &largest));
    line(&format!("`batch` of {MANY} orders"), &shop.packs("batch", &shop.many(MANY)));
}

fn batch(shop: &Shop) {
    println!("\n| `batch` of distinct orders | threads | time | orders a second |\n| --- | --- | --- | --- |");
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    for (count, threads) in [(10, cores), (100, cores), (MANY, cores), (MANY, 1)] {
        let orders = shop.many(count);
        let mut command = shop.packs("batch", &orders);
        command.args(["--jobs", &threads.to_string()]);
        let took = run(command);
        println!("| {count} | {threads} | {took:.2} s | {:.1} |", f64::from(count) / took);
    }
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if words.first().is_some_and(|w| w == PEAK) {
        return say_peak(&words[1..]);
    }
    let wanted = |part: &str| words.iter().all(|w| w.starts_with('-')) || words.iter().any(|w| w == part);
    let size = std::fs::metadata(PROGRAM).map_or(f64::NAN, |m| m.len() as f64 / 1e6);
    println!("The program has {size:.1} MB; the goal is 25 MB.");
    let shop = Shop::new();
    for (name, part) in [("cold", cold as fn(&Shop)), ("memory", memory), ("batch", batch)] {
        if wanted(name) {
            part(&shop);
        }
    }
}
