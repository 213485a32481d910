//! Stretches: motions that follow each other, all rapid or all at feed, within one operation.

use crate::cutting::control::Control;
use crate::simulate::{Motion, Sense};

/// One stretch of the tool path.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its number on the sheet, from 1.
    pub number: usize,
    /// Whether it is rapid.
    pub is_rapid: bool,
    /// Its first motion.
    pub first: Motion,
    /// Its last.
    pub last: Motion,
    /// How many motions it has.
    pub motions: usize,
    /// The operation it belongs to, as the program's comments name it; empty where they do not.
    pub operation: String,
}

impl Stretch {
    /// What the table adds: how many motions, and of which operation.
    pub fn said(&self) -> String {
        let count = if self.motions == 1 { String::new() } else { format!(", {} motions", self.motions) };
        let of = if self.operation.is_empty() { String::new() } else { format!(", {}", self.operation) };
        format!("{count}{of}")
    }
}

/// What an operation's comment begins with.
const OPERATION: &str = "OPERATION: ";

/// The operations a program's comments name, each with the line it begins at.
pub fn operations(text: &str, control: &Control) -> Vec<(usize, String)> {
    let form = &control.comment;
    let said = |line: &str| {
        let inner = line.strip_prefix(form.open.as_str())?.strip_suffix(form.close.as_str())?;
        inner.strip_prefix(OPERATION).map(sentence)
    };
    text.lines().enumerate().filter_map(|(i, line)| Some((i + 1, said(line)?))).collect()
}

/// `SIDE A, ROUGHING` as `side A, roughing`.
fn sentence(capitals: &str) -> String {
    let word = |w: &str| if w == "A," || w == "B," || w == "A" || w == "B" { w.to_owned() } else { w.to_lowercase() };
    capitals.split_whitespace().map(word).collect::<Vec<_>>().join(" ")
}

/// The operation a line belongs to, by its place in the list; what leads to the first operation is of the first.
pub fn operation_of(operations: &[(usize, String)], line: usize) -> usize {
    operations.iter().filter(|(begins, _)| *begins <= line).count().saturating_sub(1)
}

/// The stretches of these motions, numbered from `from` on.
pub fn stretches(motions: &[Motion], operations: &[(usize, String)], from: usize) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    for &motion in motions.iter().filter(|m| m.known) {
        let is_rapid = motion.sense == Sense::Rapid;
        let operation = operations.get(operation_of(operations, motion.line)).map_or_else(String::new, |o| o.1.clone());
        match found.last_mut().filter(|s| s.is_rapid == is_rapid && s.operation == operation) {
            Some(open) => {
                open.last = motion;
                open.motions += 1;
            }
            None => {
                let number = from + found.len();
                found.push(Stretch { number, is_rapid, first: motion, last: motion, motions: 1, operation });
            }
        }
    }
    found
}
