//! A DXF file as what it is made of: pairs of a group code and a value, one to a line each (DXF reference, "ASCII DXF Files").

use crate::quantity::push_trimmed;

/// Digits after the point of a length: even the area of a groove 0.4 mm wide keeps nine figures.
pub(super) const LENGTH: usize = 10;
/// Digits after the point of an angle or a bulge, which is multiplied by a radius.
pub(super) const ANGLE: usize = 12;

/// One group.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pair {
    pub code: i32,
    pub value: String,
}

impl Pair {
    pub fn new(code: i32, value: impl Into<String>) -> Pair {
        Pair { code, value: value.into() }
    }
}

/// A group of code 0 and all that follow it up to the next.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Record {
    pub name: String,
    pub pairs: Vec<Pair>,
}

impl Record {
    pub fn new(name: &str, pairs: impl IntoIterator<Item = (i32, String)>) -> Record {
        let pairs = pairs.into_iter().map(|(code, value)| Pair { code, value }).collect();
        Record { name: name.to_owned(), pairs }
    }

    /// The first value of a code.
    pub fn get(&self, code: i32) -> Option<&str> {
        self.pairs.iter().find(|pair| pair.code == code).map(|pair| pair.value.as_str())
    }
}

/// A group code that is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct BadCode {
    /// Its line, from 1.
    pub line: usize,
}

/// The pairs of a file.
pub(super) fn parse(text: &str) -> Result<Vec<Pair>, BadCode> {
    let mut lines = text.lines();
    let mut pairs = Vec::new();
    while let Some(code) = lines.next() {
        let code = code.trim().parse().map_err(|_| BadCode { line: 2 * pairs.len() + 1 })?;
        let value = lines.next().unwrap_or_default();
        pairs.push(Pair::new(code, value));
    }
    Ok(pairs)
}

/// The records of a file; pairs before the first record (comments) are left out.
pub(super) fn records(pairs: Vec<Pair>) -> Vec<Record> {
    let mut records: Vec<Record> = Vec::new();
    for pair in pairs {
        match records.last_mut() {
            _ if pair.code == 0 => records.push(Record { name: pair.value.trim().to_owned(), pairs: Vec::new() }),
            Some(record) => record.pairs.push(pair),
            None => {}
        }
    }
    records
}

/// Writes one pair, numbers in the program's own rounding.
pub(super) fn write(out: &mut String, code: i32, value: &str) {
    push_code(out, code);
    match decimals(code).and_then(|decimals| Some((value.trim().parse().ok()?, decimals))) {
        None => out.push_str(value),
        Some((number, decimals)) => push_real(out, number, decimals),
    }
    out.push_str("\r\n");
}

/// A group code on its own line, in three places.
pub(super) fn push_code(out: &mut String, code: i32) {
    if !(0..1000).contains(&code) {
        out.push_str(&format!("{code}\r\n"));
        return;
    }
    let digit = |n: i32| char::from(b'0' + (n % 10) as u8);
    out.push(if code >= 100 { digit(code / 100) } else { ' ' });
    out.push(if code >= 10 { digit(code / 10) } else { ' ' });
    out.push(digit(code));
    out.push_str("\r\n");
}

/// A real number, which always shows its point.
pub(super) fn push_real(out: &mut String, value: f64, decimals: usize) {
    let from = out.len();
    push_trimmed(out, value, decimals);
    if !out[from..].contains('.') {
        out.push_str(".0");
    }
}

/// Digits after the point of a group that holds a real number: bulges (42) and angles (50 to 59) as angles, the others as lengths.
fn decimals(code: i32) -> Option<usize> {
    match code {
        42 | 50..=59 => Some(ANGLE),
        10..=59 | 110..=149 | 210..=239 => Some(LENGTH),
        _ => None,
    }
}
