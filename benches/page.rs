//! How the page holds out: the time of one full redraw, 200 redraws a second, and memory over 10,000 of them.
//!
//! Every request is another order (its thickness differs), so that nothing can be answered from an earlier one. The latency under load counts from
//! the moment a request was due, not from when it could be sent: a page that falls behind shows it. `cargo bench --bench page` runs all of it in
//! two to three minutes; `cargo bench --bench page -- SECONDS REDRAWS` takes other lengths.

// what it measures is what it prints
#![allow(clippy::print_stdout)]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// 180 grooves on either side, in inches.
const ORDER: &str = include_str!("../tests/cases/sheet/inch-grooved-both-sides.json");
/// Redraws a second asked for.
const RATE: usize = 200;
/// People at the page at the same time, so to speak.
const CONNECTIONS: usize = 24;

/// A served page.
struct Page {
    child: Child,
    host: String,
}

impl Page {
    fn start() -> Page {
        let mut command = Command::new(env!("CARGO_BIN_EXE_wheeldraft"));
        let mut child =
            command.args(["serve", "--port", "0", "-q"]).stdout(Stdio::piped()).spawn().expect("the program starts");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("its output")).read_line(&mut line).expect("its address");
        let host = line.trim().trim_start_matches("http://").trim_end_matches('/').to_owned();
        Page { child, host }
    }

    /// Memory in use, MiB.
    fn memory(&self) -> f64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap_or_default();
        let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:")).unwrap_or("0 kB");
        line.trim().trim_end_matches(" kB").trim().parse::<f64>().unwrap_or(f64::NAN) / 1024.0
    }

    /// Processor time used so far, ms: what stays the same on a busy machine.
    fn processor(&self) -> f64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id())).unwrap_or_default();
        // fields 14 and 15 of proc(5), in hundredths of a second; the name before them may hold blanks
        let rest = stat.rsplit_once(')').map_or("", |(_, rest)| rest);
        let ticks: f64 = rest.split_whitespace().skip(11).take(2).filter_map(|t| t.parse::<f64>().ok()).sum();
        10.0 * ticks
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// One kept connection.
struct Line {
    stream: BufReader<TcpStream>,
    host: String,
}

impl Line {
    fn open(host: &str) -> Line {
        let stream = TcpStream::connect(host).expect("the page is there");
        stream.set_nodelay(true).expect("no delay");
        Line { stream: BufReader::new(stream), host: host.to_owned() }
    }

    /// Has order `n` drawn; the length of the answer.
    fn redraw(&mut self, n: usize) -> usize {
        let body = order(n);
        let head = format!(
            "POST /draw/sheet HTTP/1.1\r\nHost: {0}\r\nOrigin: http://{0}\r\nContent-Type: application/json\r\nContent-Length: {1}\r\n\r\n",
            self.host,
            body.len()
        );
        self.stream.get_mut().write_all((head + &body).as_bytes()).expect("sent");
        let mut length = 0;
        let mut first = true;
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line).expect("a line");
            if std::mem::take(&mut first) {
                assert!(line.starts_with("HTTP/1.1 200"), "{line}");
            }
            if line == "\r\n" {
                break;
            }
            if let Some(value) = line.to_ascii_lowercase().strip_prefix("content-length:") {
                length = value.trim().parse().expect("a length");
            }
        }
        let mut bytes = vec![0; length];
        self.stream.read_exact(&mut bytes).expect("the answer");
        assert!(bytes.windows(5).any(|w| w == b"<svg "), "no drawing: {}", String::from_utf8_lossy(&bytes[..200]));
        length
    }
}

/// The order with another thickness.
fn order(n: usize) -> String {
    let changed = ORDER.replacen("\"thickness\": 2", &format!("\"thickness\": 2.{:04}", 1 + n % 9999), 1);
    assert_ne!(changed, ORDER, "the order has no such thickness");
    changed
}

/// The value that so many of a hundred are below, ms.
fn percentile(sorted: &[f64], share: f64) -> f64 {
    let last = sorted.len().saturating_sub(1);
    sorted.get((share / 100.0 * last as f64).round() as usize).copied().unwrap_or(f64::NAN)
}

fn told(what: &str, mut times: Vec<f64>) {
    times.sort_by(f64::total_cmp);
    let [half, most, all] = [50.0, 99.0, 100.0].map(|s| percentile(&times, s));
    println!("{what}: median {half:.1} ms, 99 % below {most:.1} ms, slowest {all:.1} ms ({} redraws)", times.len());
}

fn alone(page: &Page) {
    let mut line = Line::open(&page.host);
    for n in 0..50 {
        line.redraw(n);
    }
    let time = |n| {
        let begun = Instant::now();
        line.redraw(n);
        begun.elapsed().as_secs_f64() * 1e3
    };
    let used = page.processor();
    told("one after the other", (50..350).map(time).collect());
    println!("processor time of one redraw: {:.1} ms", (page.processor() - used) / 300.0);
}

/// Requests due every 1/RATE s, whether the earlier ones are answered or not.
fn under_load(page: &Page, seconds: usize) {
    let next = Arc::new(AtomicUsize::new(0));
    let times = Arc::new(Mutex::new(Vec::new()));
    let begun = Instant::now();
    let hands: Vec<_> = (0..CONNECTIONS)
        .map(|_| {
            let (next, times, host) = (Arc::clone(&next), Arc::clone(&times), page.host.clone());
            std::thread::spawn(move || {
                let mut line = Line::open(&host);
                loop {
                    let n = next.fetch_add(1, Ordering::SeqCst);
                    if n >= RATE * seconds {
                        return;
                    }
                    let due = Duration::from_secs_f64(n as f64 / RATE as f64);
                    std::thread::sleep(due.saturating_sub(begun.elapsed()));
                    line.redraw(n);
                    let late = begun.elapsed().saturating_sub(due);
                    times.lock().expect("no panic").push(late.as_secs_f64() * 1e3);
                }
            })
        })
        .collect();
    hands.into_iter().for_each(|h| h.join().expect("no panic"));
    let took = begun.elapsed().as_secs_f64();
    let times = std::mem::take(&mut *times.lock().expect("no panic"));
    println!("asked for {RATE} redraws a second over {seconds} s, answered {:.0} a second", times.len() as f64 / took);
    told("under load", times);
}

fn memory(page: &Page, redraws: usize) {
    let next = Arc::new(AtomicUsize::new(0));
    let part = (redraws / 10).max(1);
    print!("memory in MiB after every {part} redraws:");
    for stop in (part..=redraws).step_by(part) {
        std::thread::scope(|scope| {
            for _ in 0..4 {
                let next = Arc::clone(&next);
                scope.spawn(move || {
                    let mut line = Line::open(&page.host);
                    while next.load(Ordering::SeqCst) < stop {
                        line.redraw(next.fetch_add(1, Ordering::SeqCst));
                    }
                });
            }
        });
        print!(" {:.1}", page.memory());
        let _ = std::io::stdout().flush();
    }
    println!();
}

fn main() {
    // cargo adds words of its own, such as --bench
    let mut lengths = std::env::args().skip(1).filter_map(|a| a.parse::<usize>().ok());
    let (seconds, redraws) = (lengths.next().unwrap_or(20), lengths.next().unwrap_or(10_000));
    let page = Page::start();
    println!("processors: {}", std::thread::available_parallelism().map_or(0, std::num::NonZero::get));
    println!("memory at the start: {:.1} MiB", page.memory());
    alone(&page);
    under_load(&page, seconds);
    memory(&page, redraws);
}
