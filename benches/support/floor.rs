//! What no writer can be quicker than by much: the same file written by a plain buffered writer that already has everything in the right order, and
//! has only its numbers still to turn into digits, by the same function as the writers.

use std::io::{BufWriter, Write};
use wheeldraft::quantity::push_trimmed;

/// Digits after the point of a coordinate in a machine file; angles have two more and are left as they are.
pub const DXF_DECIMALS: usize = 10;
/// Digits after the point of a coordinate in an SVG.
pub const SVG_DECIMALS: usize = 4;

/// A file taken apart.
pub struct Floor {
    parts: Vec<Part>,
    length: usize,
}

enum Part {
    Text(Vec<u8>),
    /// A number and how many digits it has after its point at most.
    Number(f64, usize),
}

impl Floor {
    /// Takes a file apart whose numbers have at most so many digits after the point.
    pub fn of(file: &[u8], decimals: usize) -> Floor {
        let mut floor = Floor { parts: Vec::new(), length: file.len() };
        let mut rest = file;
        let mut text = Vec::new();
        while let Some(first) = rest.first() {
            let (number, after) = rest.split_at(length_of_number(rest, text.last()));
            match shown_alike(number, decimals) {
                Some((value, zero)) => {
                    floor.parts.push(Part::Text(std::mem::take(&mut text)));
                    floor.parts.push(Part::Number(value, decimals));
                    text.extend(zero);
                    rest = after;
                }
                None => {
                    text.push(*first);
                    rest = &rest[1..];
                }
            }
        }
        floor.parts.push(Part::Text(text));
        assert!(floor.written() == file, "the floor writes another file");
        floor
    }

    /// Writes it into memory, as the writers do.
    pub fn written(&self) -> Vec<u8> {
        let mut out = BufWriter::new(Vec::with_capacity(self.length));
        let mut digits = String::new();
        for part in &self.parts {
            let bytes = match part {
                Part::Text(text) => text,
                Part::Number(value, decimals) => {
                    digits.clear();
                    push_trimmed(&mut digits, *value, *decimals);
                    digits.as_bytes()
                }
            };
            out.write_all(bytes).unwrap_or_else(|e| panic!("{e}"));
        }
        out.into_inner().unwrap_or_else(|e| panic!("{e}"))
    }
}

/// Bytes of the number with a point that begins here; 0 where none does. One inside a word is none.
fn length_of_number(text: &[u8], before: Option<&u8>) -> usize {
    if before.is_some_and(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-')) {
        return 0;
    }
    let sign = usize::from(text.first() == Some(&b'-'));
    let digits = |from: usize| text[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let whole = digits(sign);
    let point = sign + whole;
    if whole == 0 || text.get(point) != Some(&b'.') {
        return 0;
    }
    match digits(point + 1) {
        0 => 0,
        fraction => point + 1 + fraction,
    }
}

/// The number, if the writers' function shows it like this, and what they put after it so that it shows its point.
fn shown_alike(number: &[u8], decimals: usize) -> Option<(f64, &'static [u8])> {
    let text = std::str::from_utf8(number).ok().filter(|t| !t.is_empty())?;
    let value = text.parse().ok()?;
    let mut shown = String::new();
    push_trimmed(&mut shown, value, decimals);
    match text.strip_prefix(shown.as_str())? {
        "" => Some((value, b"")),
        ".0" => Some((value, b".0")),
        _ => None,
    }
}
