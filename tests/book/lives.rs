//! What the lines come to: state, next step, lateness of an order; the life of a wheel and of a lot.

use super::{day, event, of_wheel, written};
use wheeldraft::book::{self, Entry, Event, Kind, Known, Life};

fn entries(events: &[Event]) -> Vec<Entry> {
    book::read(&written(events)).entries
}

fn life(events: &[Event]) -> Life {
    let mut all = book::lives(&entries(events), &[], day("2026-03-10"));
    assert_eq!(all.len(), 1);
    all.remove(0)
}

fn said(events: &[Event]) -> (String, String) {
    let life = life(events);
    (life.state, life.next.unwrap_or_default())
}

fn taken() -> Event {
    Event { quantity: Some(2), due: Some(day("2026-03-09")), ..event(Kind::Taken, "1042-B") }
}

fn pair(state: &str, next: &str) -> (String, String) {
    (state.to_owned(), next.to_owned())
}

#[test]
fn an_order_goes_from_step_to_step() {
    let all = |kind| [of_wheel(kind, "1042-B", 1), of_wheel(kind, "1042-B", 2)];
    let mut events = vec![taken()];
    assert_eq!(said(&events), pair("taken", "drawing to the customer"));
    for (kind, state, next) in [
        (Kind::Drawn, "drawing made", "the customer's approval"),
        (Kind::Approved, "approved", "pack"),
        (Kind::Withdrawn, "approval withdrawn", "the customer's approval"),
        (Kind::Approved, "approved", "pack"),
        (Kind::StockTaken, "approved", "pack"),
        (Kind::Packed, "packed", "measure 2 wheels"),
    ] {
        events.push(event(kind, "1042-B"));
        assert_eq!(said(&events), pair(state, next), "{kind:?}");
    }
    events.push(of_wheel(Kind::Measured, "1042-B", 1));
    assert_eq!(said(&events), pair("measured 1 of 2", "measure 1 wheel"));
    events.push(of_wheel(Kind::Measured, "1042-B", 1));
    assert_eq!(said(&events), pair("measured 1 of 2", "measure 1 wheel"), "the same wheel counts once");
    for (kind, state, next) in [
        (Kind::Measured, "measured", "speed-test 2 wheels"),
        (Kind::Tested, "tested", "balance 2 wheels"),
        (Kind::Balanced, "balanced", "label 2 wheels"),
        (Kind::Labelled, "labelled", "ship 2 wheels"),
        (Kind::Shipped, "shipped", ""),
    ] {
        events.extend(all(kind));
        assert_eq!(said(&events), pair(state, next), "{kind:?}");
    }
}

#[test]
fn a_wheel_that_fails_or_is_scrapped_does_not_count() {
    let failed = Event { passed: Some(false), ..of_wheel(Kind::Measured, "1042-B", 2) };
    let mut events = vec![taken(), event(Kind::Approved, "1042-B"), event(Kind::Packed, "1042-B")];
    events.extend([of_wheel(Kind::Measured, "1042-B", 1), failed]);
    assert_eq!(said(&events), pair("measured 1 of 2, 1 failed", "measure 1 wheel"));
    events.push(of_wheel(Kind::Scrapped, "1042-B", 2));
    assert_eq!(said(&events), pair("measured 1 of 2, 1 scrapped", "measure 1 wheel"));
    events.push(of_wheel(Kind::Measured, "1042-B", 3));
    assert_eq!(said(&events), pair("measured, 1 scrapped", "speed-test 2 wheels"));
}

#[test]
fn late_is_what_is_not_all_shipped_after_its_day() {
    let on = |events: &[Event], today: &str| book::lives(&entries(events), &[], day(today))[0].late;
    let mut events = vec![taken()];
    assert!(!on(&events, "2026-03-09") && on(&events, "2026-03-10"));
    events.push(of_wheel(Kind::Shipped, "1042-B", 1));
    assert!(on(&events, "2026-03-10"));
    events.push(of_wheel(Kind::Shipped, "1042-B", 2));
    assert!(!on(&events, "2026-03-10"));
    assert!(!on(&[event(Kind::Taken, "1042-B")], "2999-01-01"), "nobody said when it is due");
}

/// The order's file is the newer word on quantity, day and fingerprint; orders nobody wrote into the book are shown too.
#[test]
fn the_files_of_the_orders_have_their_say() {
    let approved = Event { fingerprint: Some("a".repeat(64)), ..event(Kind::Approved, "1042-B") };
    let known = |order: &str, fingerprint: &str| Known {
        order: order.to_owned(),
        fingerprint: fingerprint.repeat(64),
        customer: Some("Kestrel Bay Journal Works".to_owned()),
        quantity: Some(3),
        due: Some(day("2026-04-01")),
    };
    let all =
        book::lives(&entries(&[taken(), approved]), &[known("1042-B", "b"), known("1050-A", "c")], day("2026-03-10"));
    let [first, second] = all.as_slice() else { panic!("{all:#?}") };
    assert_eq!(first.state, "approved, changed since it was approved");
    assert_eq!(first.next.as_deref(), Some("drawing to the customer"));
    assert_eq!((first.quantity, first.late), (Some(3), false));
    assert_eq!((second.order.as_str(), second.state.as_str()), ("1050-A", "not in the book"));
    assert!(second.last.is_none() && second.customer.is_some());
}

#[test]
fn a_lot_leads_to_all_its_wheels_and_their_orders() {
    let of_lot = |event: Event, lot: &str| Event { lot: Some(lot.to_owned()), ..event };
    let events = [
        taken(),
        event(Kind::Taken, "1050-A"),
        of_lot(event(Kind::StockTaken, "1042-B"), "L-77, L-78"),
        of_lot(of_wheel(Kind::Measured, "1042-B", 1), "L-77"),
        of_lot(of_wheel(Kind::Measured, "1042-B", 2), "L-78"),
        of_lot(of_wheel(Kind::Measured, "1050-A", 1), "L-770"),
        of_wheel(Kind::Shipped, "1042-B", 1),
    ];
    let entries = entries(&events);
    let lines =
        |asked: &str| book::trace(&entries, asked).map(|t| t.entries.iter().map(|e| e.line).collect::<Vec<_>>());
    assert_eq!(lines("L-77"), Some(vec![1, 3, 4, 7]));
    assert_eq!(lines("1042-B-2-e2e3a50c"), Some(vec![1, 3, 5]));
    assert_eq!(book::trace(&entries, "L-77").unwrap().wheels, ["1042-B-1-e2e3a50c"]);
    assert_eq!(lines("L-7"), None);
}
