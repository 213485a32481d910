//! Numerical control programs in the plain words of ISO 6983: G0 to G3, G17, G18, G40, G71, G90, G95, M0, M30 and the axes X, Y, Z, C with I and K.
//!
//! No cycle, no variable, no offset of the control is used, and no spindle is started. A program says at its head what unit, datum and tool it
//! is for and what the setter must set. Lengths have four decimals: what is written lies within 0.00005 mm of the path.

mod grooves;
mod head;
mod profile;
mod read;

pub use grooves::{face, side};
pub use profile::{Simulated, profile, simulate};
pub use read::{Motion, ProgramError, Sense, read};

use crate::quantity::fixed;

/// First line of every program.
pub const PROVE: &str = "(MUST BE PROVED DRY BY A QUALIFIED SETTER BEFORE ANY WHEEL IS CUT)";

/// Distance from the wheel at which rapid moves end and feed begins, mm: a choice made here.
pub const CLEAR: f64 = 2.0;

/// A program as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Program {
    lines: Vec<String>,
    number: u32,
}

/// An axis word's value.
type Word = (char, f64);

impl Program {
    /// A program of no moves; the first comment stands before and after the start sign, since some controls drop what comes before it.
    fn new(head: &[String]) -> Program {
        let mut program = Program { lines: vec![PROVE.to_owned(), String::from("%"), PROVE.to_owned()], number: 0 };
        head.iter().for_each(|line| program.comment(line));
        program
    }

    /// A comment: capitals, ASCII, no brackets of its own; long ones go on in the next line.
    fn comment(&mut self, text: &str) {
        const LONGEST: usize = 68;
        let plain: String = text
            .chars()
            .map(|c| match c.to_ascii_uppercase() {
                '(' | ')' | '%' => ' ',
                c if c.is_ascii_graphic() || c == ' ' => c,
                _ => '?',
            })
            .collect();
        let mut line = String::new();
        for word in plain.split_whitespace() {
            if !line.is_empty() && line.len() + 1 + word.len() > LONGEST {
                self.lines.push(format!("({line})"));
                line.clear();
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        self.lines.push(format!("({line})"));
    }

    /// A numbered block.
    fn block(&mut self, words: &str) {
        self.number += 10;
        self.lines.push(format!("N{} {words}", self.number));
    }

    fn moved(&mut self, function: &str, words: &[Word]) {
        let words: Vec<String> = words.iter().map(|&(axis, value)| format!("{axis}{}", printed(axis, value))).collect();
        self.block(&format!("{function} {}", words.join(" ")));
    }

    /// A rapid move; none where the last block led there already.
    fn rapid(&mut self, words: &[Word]) {
        let before = self.lines.last().cloned();
        self.moved("G0", words);
        let place = |line: &str| line.split_once(' ').map(|(_, words)| words.to_owned());
        let again = before.as_deref().and_then(place) == self.lines.last().map(String::as_str).and_then(place);
        if again {
            self.lines.pop();
            self.number -= 10;
        }
    }

    fn feed(&mut self, words: &[Word]) {
        self.moved("G1", words);
    }

    /// The finished text.
    fn ended(mut self) -> String {
        self.block("M30");
        self.lines.push(String::from("%"));
        self.lines.join("\n") + "\n"
    }
}

/// Lengths with four decimals, angles with six.
fn printed(axis: char, value: f64) -> String {
    fixed(value, if axis == 'C' { 6 } else { 4 })
}
