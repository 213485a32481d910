//! The whole life of a wheel, or of all wheels made of a lot.

use super::Entry;
use std::collections::BTreeSet;

/// What a code or a lot was found to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Traced<'a> {
    /// Trace codes of the wheels it is about, in their alphabetical order.
    pub wheels: Vec<&'a str>,
    /// The orders they belong to.
    pub orders: Vec<&'a str>,
    /// Every line about these wheels, and about their orders as a whole, in the order of the book.
    pub entries: Vec<&'a Entry>,
}

/// Everything about a wheel by its trace code, or about all wheels of a lot; `None` where the book knows neither.
pub fn trace<'a>(entries: &'a [Entry], code_or_lot: &str) -> Option<Traced<'a>> {
    let is_named = |e: &&Entry| e.event.wheel.as_deref() == Some(code_or_lot) || e.event.is_of_lot(code_or_lot);
    let named: Vec<&Entry> = entries.iter().filter(is_named).collect();
    if named.is_empty() {
        return None;
    }
    let wheels: BTreeSet<&str> = named.iter().filter_map(|e| e.event.wheel.as_deref()).collect();
    let orders: BTreeSet<&str> = named.iter().map(|e| e.event.order.as_str()).collect();
    let belongs = |e: &&Entry| match e.event.wheel.as_deref() {
        Some(wheel) => wheels.contains(wheel),
        None => orders.contains(e.event.order.as_str()),
    };
    let entries = entries.iter().filter(belongs).collect();
    Some(Traced { wheels: wheels.into_iter().collect(), orders: orders.into_iter().collect(), entries })
}
