//! The shop's journal: held against a list in memory, forged, cut off, written by two at once, and read for what it says of orders and wheels.

mod command;
mod folder;
mod lives;
mod records;

use proptest::prelude::*;
use std::fs;
use std::path::Path;
use wheeldraft::Date;
use wheeldraft::book::{self, Event, FileHash, Kind, Moment};
use wheeldraft::cli::journal;

fn event(kind: Kind, order: &str) -> Event {
    Event::new(Moment::after_1970(1_772_460_309).unwrap(), kind, "T. Okafor", order)
}

fn of_wheel(kind: Kind, order: &str, wheel: u32) -> Event {
    Event { wheel: Some(format!("{order}-{wheel}-e2e3a50c")), ..event(kind, order) }
}

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

/// The book of these events.
fn written(events: &[Event]) -> Vec<u8> {
    book::lines(&book::tail(b""), events).0
}

fn some<T: std::fmt::Debug + Clone + 'static>(what: impl Strategy<Value = T> + 'static) -> BoxedStrategy<Option<T>> {
    prop::option::of(what).boxed()
}

/// Texts that would break a careless writer: quotes, backslashes, line ends, other scripts, what looks like a seal.
fn text() -> BoxedStrategy<String> {
    let seal = format!("\",\"seal\":\"{}\"}}", "0".repeat(64));
    prop_oneof![".{0,20}", "[\"\\\\\n\r\t\u{1b}{}:,]{1,8}", Just(seal), Just("Übergabe 磨石\n".to_owned())].boxed()
}

fn any_event() -> impl Strategy<Value = Event> {
    let kind = prop::sample::select(Kind::ALL.to_vec());
    let files = prop::collection::vec(text().prop_map(|name| FileHash { name, sha256: "ab".repeat(32) }), 0..3);
    let texts = (text(), text(), some(text()), some(text()), some(text()), some(text()));
    (0..4_000_000_000_u64, kind, texts, some(1..500_u32), some(any::<bool>()), files).prop_map(
        |(seconds, kind, (by, order, fingerprint, wheel, lot, note), quantity, passed, files)| {
            let time = Moment::after_1970(seconds).unwrap();
            let due = Some(time.day).filter(|_| seconds % 2 == 0);
            Event { fingerprint, wheel, lot, note, quantity, passed, due, files, ..Event::new(time, kind, &by, &order) }
        },
    )
}

#[derive(Debug, Clone)]
enum Step {
    Add(Vec<Event>),
    /// The machine stops while the next line is being written: so much of it, in thousandths, is there.
    Stop(Box<Event>, usize),
    /// An editor takes the end of the last line away.
    Trim,
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        4 => prop::collection::vec(any_event(), 1..4).prop_map(Step::Add),
        2 => (any_event(), 0..1000_usize).prop_map(|(event, share)| Step::Stop(Box::new(event), share)),
        1 => Just(Step::Trim),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Whatever is added, and wherever the machine stops, the book says what a list in memory says, and its chain holds.
    #[test]
    fn the_book_is_a_list_that_only_grows(steps in prop::collection::vec(step(), 1..12)) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("book.jsonl");
        let mut list: Vec<Event> = Vec::new();
        let mut cut_off = 0;
        for step in steps {
            match step {
                Step::Add(events) => {
                    let added = journal::add(&path, &events).unwrap();
                    let first = list.len() + 1;
                    prop_assert_eq!(added.repaired.is_some(), cut_off > 0);
                    list.extend(events);
                    cut_off = 0;
                    let lines: Vec<usize> = added.lines.iter().map(|(line, _)| *line).collect();
                    prop_assert_eq!(lines, (first..=list.len()).collect::<Vec<_>>());
                }
                Step::Stop(event, share) if cut_off == 0 => {
                    let mut bytes = fs::read(&path).unwrap_or_default();
                    let (new, _) = book::lines(&book::tail(&bytes), &[*event]);
                    // less than the line without its end: what has all but the end is a whole line
                    let most = new.len() - 2;
                    let new = &new[..(new.len() * share / 1000).min(most)];
                    bytes.extend(new);
                    // an end that was missing was part of the write
                    cut_off = bytes.len() - book::tail(&bytes).whole;
                    fs::write(&path, bytes).unwrap();
                }
                Step::Trim if cut_off == 0 && path.exists() => {
                    let bytes = fs::read(&path).unwrap();
                    fs::write(&path, bytes.strip_suffix(b"\n").unwrap_or(&bytes)).unwrap();
                }
                Step::Stop(..) | Step::Trim => {}
            }
            let book = journal::read(&path).unwrap();
            prop_assert_eq!(&book.faults, &[]);
            prop_assert_eq!(book.cut_off, cut_off);
            let read: Vec<Event> = book.entries.into_iter().map(|e| e.event).collect();
            prop_assert_eq!(&read, &list);
        }
    }
}

fn three() -> Vec<u8> {
    let mut approved = event(Kind::Approved, "1042-B");
    approved.fingerprint = Some("e2e3a50c".repeat(8));
    approved.note = Some("open questions waived: \"bolts\"".to_owned());
    written(&[event(Kind::Taken, "1042-B"), approved, of_wheel(Kind::Measured, "1042-B", 1)])
}

/// What somebody who looks at the book is told: the first line that is wrong.
fn first_fault(bytes: &[u8]) -> Option<usize> {
    let book = book::read(bytes);
    let cut = (book.cut_off > 0).then(|| book::tail(bytes).lines + 1);
    book.faults.first().map(|f| f.line).into_iter().chain(cut).min()
}

#[test]
fn every_changed_byte_is_found_at_its_line() {
    let good = three();
    assert_eq!(first_fault(&good), None);
    let mut line = 1;
    for i in 0..good.len() {
        for change in [1, 0x20, 0x80] {
            let mut bad = good.clone();
            bad[i] ^= change;
            // at the end of the last line a byte that is none of it can stand for one cut off
            let found = first_fault(&bad).unwrap_or_else(|| panic!("byte {i} of line {line} changed by {change}"));
            assert!(found == line || good[i] == b'\n', "byte {i} of line {line}: line {found} was named");
        }
        line += usize::from(good[i] == b'\n');
    }
}

/// A forger who mends the seal of the line he changed is found at the line after it; one who takes lines out, adds or swaps them is found too.
#[test]
fn a_mended_seal_is_found_at_the_next_line() {
    let good = three();
    let lines: Vec<&[u8]> = good.split_inclusive(|b| *b == b'\n').collect();
    let forged = event(Kind::Approved, "1042-B");
    let (mended, _) = book::lines(&book::tail(lines[0]), &[forged]);
    assert_eq!(first_fault(&[lines[0], &mended, lines[2]].concat()), Some(3));
    assert_eq!(first_fault(&[lines[0], lines[2]].concat()), Some(2));
    assert_eq!(first_fault(&[lines[1], lines[2]].concat()), Some(1));
    assert_eq!(first_fault(&[lines[0], lines[2], lines[1]].concat()), Some(2));
    assert_eq!(first_fault(&[lines[0], lines[1], lines[1], lines[2]].concat()), Some(3));
    assert_eq!(first_fault(&[lines[0], b"\n", lines[1], lines[2]].concat()), Some(2));
}

/// A book with a broken line goes on: what is added follows what is there, and the broken line stays named.
#[test]
fn a_broken_book_is_still_written_to() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.jsonl");
    fs::write(&path, [&three()[..], b"somebody's note\n"].concat()).unwrap();
    journal::add(&path, &[event(Kind::Shipped, "1042-B")]).unwrap();
    let book = journal::read(&path).unwrap();
    assert_eq!(book.faults.iter().map(|f| f.line).collect::<Vec<_>>(), [4]);
    assert_eq!(book.entries.last().map(|e| (e.line, e.event.event)), Some((5, Kind::Shipped)));
}

#[test]
fn several_writers_take_turns() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.jsonl");
    std::thread::scope(|scope| {
        for writer in 0..4 {
            let path = &path;
            scope.spawn(move || {
                for n in 0..25 {
                    let order = format!("{writer}-{n}");
                    journal::add(path, &[event(Kind::Taken, &order), event(Kind::Drawn, &order)]).unwrap();
                }
            });
        }
        let reader = scope
            .spawn(|| (0..50).map(|_| journal::read(&path).unwrap()).all(|b| b.faults.is_empty() && b.cut_off == 0));
        assert!(reader.join().unwrap(), "a reader never sees half a line");
    });
    let book = journal::read(&path).unwrap();
    assert_eq!((book.entries.len(), book.faults.len()), (200, 0));
    for pair in book.entries.chunks(2) {
        assert_eq!(pair[0].event.order, pair[1].event.order, "what is added together stands together");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_device_is_no_book() {
    assert!(journal::add(Path::new("/dev/full"), &[event(Kind::Taken, "1042-B")]).is_err());
    assert!(journal::read(Path::new("/dev/zero")).is_err());
}
