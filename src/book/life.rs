//! How far every order has come, what comes next, and what is late.

use super::{Entry, Event, Kind};
use crate::quantity::Date;
use serde::Serialize;
use std::collections::BTreeMap;

/// What is done to single wheels, in the order of a wheel's life.
const OF_WHEELS: [Kind; 5] = [Kind::Measured, Kind::Tested, Kind::Balanced, Kind::Labelled, Kind::Shipped];

/// An order as its file says it now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// Number and revision.
    pub order: String,
    /// Its fingerprint, 64 hexadecimal digits.
    pub fingerprint: String,
    /// Who ordered it.
    pub customer: Option<String>,
    /// How many wheels.
    pub quantity: Option<u32>,
    /// Day the customer wants them.
    pub due: Option<Date>,
}

/// How far an order has come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Life {
    /// Number and revision.
    pub order: String,
    /// Who ordered it, where its file is there to say so.
    pub customer: Option<String>,
    /// How many wheels; null where nothing says so.
    pub quantity: Option<u32>,
    /// In words.
    pub state: String,
    /// What is to be done next; null where nothing is.
    pub next: Option<String>,
    /// Day the customer wants the wheels; null where nothing says so.
    pub due: Option<Date>,
    /// Whether that day has passed and not all are shipped.
    pub late: bool,
    /// The last line about it; null where there is none.
    pub last: Option<Last>,
}

/// The last line about an order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Last {
    /// Its line in the book.
    pub line: usize,
    /// What was done.
    pub event: Kind,
    /// When.
    pub on: Date,
    /// By whom.
    pub by: String,
}

/// What a wheel must have passed before it leaves.
const BEFORE_LEAVING: [(Kind, &str); 3] =
    [(Kind::Measured, "inspection"), (Kind::Tested, "speed test"), (Kind::Balanced, "balance")];

/// Why a wheel may not leave yet, by the last lines about it: what the book knows nothing of, or knows it to have failed; `None` where it may.
pub fn stays(entries: &[Entry], code: &str) -> Option<String> {
    let of_it = || entries.iter().rev().map(|e| &e.event).filter(|e| e.wheel.as_deref() == Some(code));
    if of_it().any(|e| e.event == Kind::Scrapped) {
        return Some("it was scrapped".to_owned());
    }
    let lacks = |(kind, what): (Kind, &str)| match of_it().find(|e| e.event == kind).map(|e| e.passed) {
        Some(Some(true)) => None,
        Some(_) => Some(format!("{what} not passed")),
        None => Some(format!("no {what} in the book")),
    };
    let lacking: Vec<String> = BEFORE_LEAVING.into_iter().filter_map(lacks).collect();
    (!lacking.is_empty()).then(|| lacking.join(", "))
}

/// The day a wheel left the shop; `None` where it did not yet.
pub fn left(entries: &[Entry], code: &str) -> Option<Date> {
    let is_it = |e: &&Event| e.event == Kind::Shipped && e.wheel.as_deref() == Some(code);
    entries.iter().rev().map(|e| &e.event).find(is_it).map(|e| e.time.day)
}

/// How far each order has come on a day, by its number: those of the book, and those whose files are known.
pub fn lives(entries: &[Entry], known: &[Known], today: Date) -> Vec<Life> {
    let mut all: BTreeMap<&str, Course> = BTreeMap::new();
    for entry in entries {
        all.entry(&entry.event.order).or_default().follow(entry);
    }
    for order in known {
        all.entry(&order.order).or_default().known = Some(order);
    }
    all.into_iter().map(|(order, course)| course.life(order, today)).collect()
}

/// What the lines about one order come to.
#[derive(Debug, Default)]
struct Course<'a> {
    known: Option<&'a Known>,
    last: Option<&'a Entry>,
    taken: bool,
    drawn: bool,
    /// The last approval, until it is withdrawn.
    approved: Option<&'a Event>,
    withdrawn: bool,
    packed: bool,
    cut: bool,
    quantity: Option<u32>,
    due: Option<Date>,
    /// What was done to the order as a whole.
    whole: Vec<Kind>,
    wheels: BTreeMap<&'a str, Wheel>,
}

#[derive(Debug, Default)]
struct Wheel {
    done: Vec<Kind>,
    failed: Vec<Kind>,
    scrapped: bool,
}

impl<'a> Course<'a> {
    fn follow(&mut self, entry: &'a Entry) {
        let event = &entry.event;
        self.last = Some(entry);
        self.quantity = event.quantity.or(self.quantity);
        self.due = event.due.or(self.due);
        match event.event {
            Kind::Taken => self.taken = true,
            Kind::Drawn => self.drawn = true,
            Kind::Approved => (self.approved, self.withdrawn) = (Some(event), false),
            Kind::Withdrawn => (self.approved, self.withdrawn) = (None, true),
            Kind::Packed => self.packed = true,
            Kind::Cut => self.cut = true,
            Kind::Reserved | Kind::Released | Kind::StockTaken | Kind::Filed => {}
            kind => self.wheel(kind, event),
        }
    }

    fn wheel(&mut self, kind: Kind, event: &'a Event) {
        let Some(code) = &event.wheel else {
            if event.passed != Some(false) {
                self.whole.push(kind);
            }
            return;
        };
        let wheel = self.wheels.entry(code).or_default();
        match (kind, event.passed) {
            (Kind::Scrapped, _) => wheel.scrapped = true,
            (kind, passed) => {
                // the last word about a step holds
                wheel.done.retain(|done| *done != kind);
                wheel.failed.retain(|failed| *failed != kind);
                if passed == Some(false) { wheel.failed.push(kind) } else { wheel.done.push(kind) }
            }
        }
    }

    /// How many wheels this was done to, scrapped ones left out.
    fn count(&self, kind: Kind) -> u32 {
        if self.whole.contains(&kind) {
            return self.wanted();
        }
        let done = self.wheels.values().filter(|w| !w.scrapped && w.done.contains(&kind)).count();
        u32::try_from(done).unwrap_or(u32::MAX)
    }

    fn quantity(&self) -> Option<u32> {
        self.known.and_then(|k| k.quantity).or(self.quantity)
    }

    /// How many wheels are to be shipped: one at least.
    fn wanted(&self) -> u32 {
        self.quantity().unwrap_or(1)
    }

    fn is_shipped(&self) -> bool {
        self.count(Kind::Shipped) >= self.wanted()
    }

    /// Whether the order's file says something else than what was approved.
    fn is_changed(&self) -> bool {
        let approved = self.approved.and_then(|event| event.fingerprint.as_ref());
        approved.zip(self.known).is_some_and(|(then, now)| *then != now.fingerprint)
    }

    fn state(&self) -> String {
        let wanted = self.wanted();
        let reached = OF_WHEELS.iter().rev().find(|kind| self.count(**kind) > 0);
        let mut state = match reached {
            Some(kind) if self.count(*kind) >= wanted => kind.word().to_owned(),
            Some(kind) => format!("{} {} of {wanted}", kind.word(), self.count(*kind)),
            None if self.approved.is_none() && self.withdrawn => "approval withdrawn".to_owned(),
            None => self.before_wheels().to_owned(),
        };
        let count = |is: &dyn Fn(&Wheel) -> bool| self.wheels.values().filter(|w| is(w)).count();
        for (n, word) in [(count(&|w| !w.failed.is_empty() && !w.scrapped), "failed"), (count(&|w| w.scrapped), "scrapped")] {
            if n > 0 {
                state += &format!(", {n} {word}");
            }
        }
        if self.is_changed() && !self.is_shipped() {
            state += ", changed since it was approved";
        }
        state
    }

    fn before_wheels(&self) -> &'static str {
        match self {
            Course { cut: true, .. } => "machine files made",
            Course { packed: true, .. } => "packed",
            Course { approved: Some(_), .. } => "approved",
            Course { drawn: true, .. } => "drawing made",
            Course { taken: true, .. } => "taken",
            Course { last: None, .. } => "not in the book",
            _ => "begun",
        }
    }

    fn next(&self) -> Option<String> {
        if self.is_shipped() {
            return None;
        }
        if self.approved.is_none() || self.is_changed() {
            let ask = self.drawn && !self.is_changed();
            return Some(if ask { "the customer's approval" } else { "drawing to the customer" }.to_owned());
        }
        if !self.packed && !self.cut && self.wheels.is_empty() {
            return Some("pack".to_owned());
        }
        let wanted = self.wanted();
        let open = OF_WHEELS.iter().find(|kind| self.count(**kind) < wanted)?;
        let verb = match open {
            Kind::Measured => "measure",
            Kind::Tested => "speed-test",
            Kind::Balanced => "balance",
            Kind::Labelled => "label",
            _ => "ship",
        };
        let left = wanted - self.count(*open);
        Some(format!("{verb} {left} {}", if left == 1 { "wheel" } else { "wheels" }))
    }

    fn life(&self, order: &str, today: Date) -> Life {
        // the file is the newer word where it is there
        let due = self.known.map_or(self.due, |k| k.due);
        Life {
            order: order.to_owned(),
            customer: self.known.and_then(|k| k.customer.clone()),
            quantity: self.quantity(),
            state: self.state(),
            next: self.next(),
            due,
            late: due.is_some_and(|due| due < today) && !self.is_shipped(),
            last: self.last.map(|Entry { line, event, .. }| Last { line: *line, event: event.event, on: event.time.day, by: event.by.clone() }),
        }
    }
}
