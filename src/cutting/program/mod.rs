//! Numerical control programs in the plain words of ISO 6983: G0 to G3, stops and axis words, in the dialect that a [`Control`] describes.
//!
//! No cycle, no variable, no offset of the control is used. A program says at its head what unit, datum and tool it is for and what the setter must
//! set. What is made here is a draft: only the simulation hands it on.

mod grooves;
mod head;
mod turning;

pub use grooves::{face, side};
pub use turning::{Begun, Held, kept_at_flange, Roughing, SetUp, Turned, program, set_ups};

use super::control::Control;
use crate::quantity::fixed;

/// First line of every program.
pub const PROVE: &str = "MUST BE PROVED DRY BY A QUALIFIED SETTER BEFORE ANY WHEEL IS CUT";

/// Most blocks of a program.
pub const MOST_BLOCKS: f64 = 400_000.0;

/// A program that nothing has proved yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft(String);

impl Draft {
    /// A draft of this text, as written or as someone altered it.
    #[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
    pub fn of(text: impl Into<String>) -> Draft {
        Draft(text.into())
    }

    /// Its text.
    pub fn text(&self) -> &str {
        &self.0
    }
}

/// A line before it is numbered.
#[derive(Debug, Clone)]
enum Line {
    Bare(String),
    Block(String),
    /// A block that begins a groove: the last to lose its number where digits are short.
    First(String),
}

/// A program under way.
#[derive(Debug, Clone)]
struct Program<'a> {
    control: &'a Control,
    lines: Vec<Line>,
    /// The block that is written once, behind the end.
    repeated: Vec<Line>,
    /// Where each axis stands, in the last decimal.
    at: Vec<(char, i64)>,
    /// Where an incremental program begins.
    began: Vec<(char, f64)>,
    after_head: usize,
    fed: bool,
    first: bool,
}

/// An axis word's value.
type Word = (char, f64);

/// Decimals of angles.
const ANGLE_DECIMALS: usize = 6;

impl<'a> Program<'a> {
    /// A program of no moves; the first comment stands before and after the start sign, since some controls drop what comes before it.
    fn new(control: &'a Control, head: &[String]) -> Program<'a> {
        let mut program = Program {
            control,
            lines: Vec::new(),
            repeated: Vec::new(),
            at: Vec::new(),
            began: Vec::new(),
            after_head: 0,
            fed: false,
            first: false,
        };
        program.comment(PROVE);
        control.start.iter().for_each(|line| program.lines.push(Line::Bare(line.clone())));
        if !control.start.is_empty() {
            program.comment(PROVE);
        }
        head.iter().for_each(|line| program.comment(line));
        program.after_head = program.lines.len();
        control.modes.iter().for_each(|line| program.block(line));
        if let Some(mode) = control.feed.as_ref().map(|f| &f.mode).filter(|mode| !mode.is_empty()) {
            program.block(mode);
        }
        program
    }

    /// A comment: capitals, ASCII, no brackets of its own; long ones go on in the next line.
    fn comment(&mut self, text: &str) {
        let form = &self.control.comment;
        let plain: String = text
            .chars()
            .map(|c| match c.to_ascii_uppercase() {
                '(' | ')' | '%' => ' ',
                ';' => ',',
                c if c.is_ascii_graphic() || c == ' ' => c,
                _ => '?',
            })
            .collect();
        let mut lines: Vec<String> = vec![String::new()];
        for word in plain.split_whitespace() {
            let full = lines.last().is_some_and(|l| !l.is_empty() && l.len() + 1 + word.len() > form.longest);
            if full {
                lines.push(String::new());
            }
            if let Some(line) = lines.last_mut() {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(word);
            }
        }
        let lines = lines.into_iter().map(|line| Line::Bare(format!("{}{line}{}", form.open, form.close)));
        self.lines.extend(lines);
    }

    /// The comment before a groove, and the mark that its first block keeps its number.
    fn groove(&mut self, k: u32) {
        self.comment(&format!("Groove {k}"));
        self.first = true;
    }

    /// What many grooves share, written once; the axes stand where it begins, and it ends there.
    fn repeated(&mut self, make: impl FnOnce(&mut Self)) {
        let before = std::mem::take(&mut self.lines);
        make(self);
        self.repeated = std::mem::replace(&mut self.lines, before);
    }

    fn block(&mut self, words: &str) {
        let line = if self.first { Line::First(words.to_owned()) } else { Line::Block(words.to_owned()) };
        self.first = false;
        self.lines.push(line);
    }

    fn decimals(&self, letter: char) -> usize {
        if letter == self.control.axes.dividing { ANGLE_DECIMALS } else { self.control.decimals }
    }

    /// A number as the control wants it.
    fn number(&self, value: f64, decimals: usize) -> String {
        let text = fixed(value, decimals);
        if self.control.separator == '.' { text } else { text.replace('.', ",") }
    }

    /// The words of places that differ from where the axes stand.
    fn words(&mut self, to: &[Word]) -> Vec<String> {
        self.worded(to, false)
    }

    /// The same; with `all` also those of places where an axis stands already.
    fn worded(&mut self, to: &[Word], all: bool) -> Vec<String> {
        let mut words = Vec::new();
        for &(letter, value) in to {
            let decimals = self.decimals(letter);
            let unit = 10_f64.powi(decimals as i32);
            let target = (value * unit).round() as i64;
            let known = self.at.iter().position(|(l, _)| *l == letter);
            let before = known.map(|i| self.at[i].1);
            match known {
                Some(i) => self.at[i].1 = target,
                None => self.at.push((letter, target)),
            }
            if before == Some(target) && !all {
                continue;
            }
            let written = match before {
                Some(before) if self.control.incremental => (target - before) as f64 / unit,
                None if self.control.incremental => {
                    self.began.push((letter, target as f64 / unit));
                    continue;
                }
                _ => target as f64 / unit,
            };
            words.push(format!("{letter}{}", self.number(written, decimals)));
        }
        words
    }

    /// Whether the axes stand at these places already, to the last decimal.
    fn stands(&self, at: &[Word]) -> bool {
        let target =
            |&(letter, value): &Word| (letter, (value * 10_f64.powi(self.decimals(letter) as i32)).round() as i64);
        at.iter().all(|word| self.at.contains(&target(word)))
    }

    /// A rapid move; none where the axes stand there already.
    fn rapid(&mut self, to: &[Word]) {
        let words = self.words(to);
        if !words.is_empty() {
            self.block(&format!("G0 {}", words.join(" ")));
        }
    }

    /// A straight move at feed.
    fn feed(&mut self, to: &[Word]) {
        let words = self.words(to);
        if !words.is_empty() {
            let feed = self.feed_word();
            self.block(&format!("G1 {}{feed}", words.join(" ")));
        }
    }

    /// The feed, where it does not hold already.
    fn feed_word(&mut self) -> String {
        if std::mem::replace(&mut self.fed, true) {
            return String::new();
        }
        let feed = self.control.feed.as_ref();
        feed.map_or_else(String::new, |f| format!(" {}{}", f.letter, self.number_trimmed(f.value)))
    }

    fn number_trimmed(&self, value: f64) -> String {
        let text = crate::quantity::trimmed(value, self.control.decimals);
        if self.control.separator == '.' { text } else { text.replace('.', ",") }
    }

    /// The finished text.
    fn ended(mut self) -> Draft {
        let is_word = |line: &String| line.len() > 1 && line.starts_with(|c: char| c.is_ascii_alphabetic());
        let (words, signs): (Vec<String>, Vec<String>) = self.control.end.iter().cloned().partition(is_word);
        words.iter().for_each(|line| self.block(line));
        if let Some(repeat) = self.control.repeat.as_ref().filter(|_| !self.repeated.is_empty()) {
            self.lines.push(Line::Bare(repeat.define.clone()));
            self.lines.append(&mut self.repeated);
            self.lines.push(Line::Bare(repeat.end.clone()));
        }
        self.lines.extend(signs.into_iter().map(Line::Bare));
        if !self.began.is_empty() {
            let places: Vec<String> =
                self.began.iter().map(|&(l, v)| format!("{l}{}", self.number(v, self.decimals(l)))).collect();
            let form = &self.control.comment;
            let line = format!("{}START AT {}{}", form.open, places.join(" "), form.close);
            self.lines.insert(self.after_head, Line::Bare(line));
        }
        Draft(self.numbered())
    }

    /// The lines with numbers within the digits: in smaller steps where there are many, then only at each groove, then none.
    fn numbered(&self) -> String {
        let last = self.control.last_number();
        let count = |all: bool| {
            let counts = |l: &&Line| matches!(l, Line::First(_)) || all && matches!(l, Line::Block(_));
            self.lines.iter().filter(counts).count() as u32
        };
        let numbering = &self.control.numbering;
        let steps = [numbering.step, 5, 2, 1];
        let step =
            |all: bool| steps.into_iter().find(|s| *s <= numbering.step && count(all).saturating_mul(*s) <= last);
        let (all, step) = match step(true) {
            Some(step) => (true, step),
            None => (false, step(false).unwrap_or(0)),
        };
        let mut text = String::new();
        let mut number = 0;
        for line in &self.lines {
            let (words, counts) = match line {
                Line::Bare(words) => (words, false),
                Line::Block(words) => (words, all),
                Line::First(words) => (words, step > 0),
            };
            if counts {
                number += step;
                text.push_str(&format!("{}{number} ", numbering.letter));
            }
            text.push_str(words);
            text.push('\n');
        }
        text
    }
}
