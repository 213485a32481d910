//! Reads a program back as motions, by the control's description: any word it does not have is an error.

use crate::cutting::control::Control;
use crate::geometry::Turn;

/// How a motion runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sense {
    /// G0.
    Rapid,
    /// G1.
    Straight,
    /// G2 or G3; the centre is given from the start, in the first two axes.
    Arc {
        /// As written: clockwise for G2.
        turn: Turn,
        /// From the start to the centre.
        centre: [f64; 2],
    },
}

/// One motion; places are those of the axes asked for, as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Line of the program, from 1.
    pub line: usize,
    /// Where it begins.
    pub from: [f64; 4],
    /// Where it ends.
    pub to: [f64; 4],
    /// How it runs.
    pub sense: Sense,
    /// Whether every axis had a place before it; the first motions come from wherever the machine stands.
    pub known: bool,
    /// The groove whose comment stands before it; 0 before the first.
    pub groove: u32,
}

/// What is wrong with a program's text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {what}")]
pub struct Unreadable {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong.
    pub what: String,
}

struct Reader<'a> {
    control: &'a Control,
    axes: &'a [char],
    centres: [char; 2],
    place: [f64; 4],
    set: [bool; 4],
    function: Option<u32>,
    fed: bool,
    number: u32,
    groove: u32,
    motions: Vec<Motion>,
    /// The block that is written once: its lines, and the words of each.
    repeated: Vec<(usize, String)>,
}

/// The motions of a program in these axes; a repeated block is run wherever it is called.
///
/// # Errors
/// Where a line holds a word the control does not have, a line number is too great or falls, a cut has no feed, or the end is missing.
pub fn read(text: &str, control: &Control, axes: &[char]) -> Result<Vec<Motion>, Unreadable> {
    let mut reader = Reader {
        control,
        axes,
        centres: [control.axes.centre_radial, control.axes.centre_axial],
        place: [0.0; 4],
        set: [false; 4],
        function: None,
        fed: false,
        number: 0,
        groove: 0,
        motions: Vec::new(),
        repeated: repeated(text, control)?,
    };
    let last = control.end.iter().find(|l| l.len() > 1).cloned().unwrap_or_default();
    let (mut ended, mut inside) = (false, false);
    for (i, line) in text.lines().enumerate() {
        let wrong = |what: String| Unreadable { line: i + 1, what };
        let form = &control.comment;
        if let Some(repeat) = control.repeat.as_ref().filter(|r| inside || line == r.define) {
            if inside && line != repeat.end {
                reader.unnumbered(line).map_err(wrong)?;
            }
            inside = line != repeat.end;
            continue;
        }
        if let Some(said) = line.strip_prefix(&form.open).and_then(|rest| rest.strip_suffix(&form.close)) {
            reader.comment(said).map_err(wrong)?;
        } else if !control.start.iter().chain(&control.end).any(|l| l == line && l.len() <= 1) {
            if ended {
                return Err(wrong(String::from("a block after the program's end")));
            }
            let words = reader.unnumbered(line).map_err(wrong)?;
            ended = words == last;
            reader.block(words, i + 1).map_err(wrong)?;
        }
    }
    if ended {
        return Ok(reader.motions);
    }
    Err(Unreadable { line: text.lines().count(), what: String::from("the program does not end") })
}

/// The lines of the repeated block, without their numbers.
fn repeated(text: &str, control: &Control) -> Result<Vec<(usize, String)>, Unreadable> {
    let Some(repeat) = &control.repeat else { return Ok(Vec::new()) };
    let bare = |line: &str| match line.strip_prefix(control.numbering.letter).and_then(|rest| rest.split_once(' ')) {
        Some((number, words)) if number.parse::<u32>().is_ok() => words.to_owned(),
        _ => line.to_owned(),
    };
    let lines = text.lines().enumerate().skip_while(|(_, line)| *line != repeat.define).skip(1);
    let found: Vec<(usize, String)> =
        lines.take_while(|(_, line)| *line != repeat.end).map(|(i, line)| (i + 1, bare(line))).collect();
    match found.iter().find(|(_, words)| *words == repeat.call) {
        Some(&(line, _)) => Err(Unreadable { line, what: String::from("a repeated block that calls itself") }),
        None => Ok(found),
    }
}

impl Reader<'_> {
    fn comment(&mut self, said: &str) -> Result<(), String> {
        if let Some(k) = said.strip_prefix("GROOVE ") {
            // the head may speak of a groove too
            self.groove = k.parse().unwrap_or(self.groove);
        }
        let Some(start) = said.strip_prefix("START AT ").filter(|_| self.control.incremental) else { return Ok(()) };
        for word in start.split_whitespace() {
            let (axis, value) = self.place_word(word)?.ok_or_else(|| format!("`{word}` is no place"))?;
            (self.place[axis], self.set[axis]) = (value, true);
        }
        Ok(())
    }

    /// The words of a line behind its number, which rises and stays within the digits.
    fn unnumbered<'l>(&mut self, line: &'l str) -> Result<&'l str, String> {
        let numbered = line.strip_prefix(self.control.numbering.letter).and_then(|rest| rest.split_once(' '));
        let Some((number, words)) = numbered else { return Ok(line) };
        let number: u32 = number.parse().map_err(|_| format!("`{number}` is no line number"))?;
        if number <= self.number || number > self.control.last_number() {
            return Err(format!("the line number {number} is out of order or beyond {}", self.control.last_number()));
        }
        self.number = number;
        Ok(words)
    }

    /// A word of a place: which axis, and its value.
    fn place_word(&self, word: &str) -> Result<Option<(usize, f64)>, String> {
        let Some(letter) = word.chars().next() else { return Ok(None) };
        let Some(axis) = self.axes.iter().position(|a| *a == letter) else { return Ok(None) };
        Ok(Some((axis, self.value(word)?)))
    }

    fn value(&self, word: &str) -> Result<f64, String> {
        let number = word.get(1..).unwrap_or_default().replace(self.control.separator, ".");
        number.parse().map_err(|_| format!("`{word}` is no word"))
    }

    fn block(&mut self, words: &str, line: usize) -> Result<(), String> {
        let c = self.control;
        let feed_mode = c.feed.as_ref().map(|f| f.mode.as_str());
        let fixed = c.modes.iter().chain(&c.end).any(|l| l == words) || words == c.stop || Some(words) == feed_mode;
        let starts = c.spindle.as_ref().is_some_and(|s| words.starts_with(s.letter) && words.ends_with(&s.start));
        if fixed || starts {
            return Ok(());
        }
        if c.repeat.as_ref().is_some_and(|r| r.call == words) {
            let repeated = std::mem::take(&mut self.repeated);
            let ran = repeated.iter().try_for_each(|(at, words)| self.block(words, *at));
            self.repeated = repeated;
            return ran;
        }
        let (mut to, mut centre, mut moves) = (self.place, [0.0; 2], [false; 4]);
        for word in words.split_whitespace() {
            if let Some((axis, value)) = self.place_word(word)? {
                to[axis] = if c.incremental { self.place[axis] + value } else { value };
                moves[axis] = true;
            } else if let Some(i) = self.centres.iter().position(|l| word.starts_with(*l)) {
                centre[i] = self.value(word)?;
            } else if c.feed.as_ref().is_some_and(|f| word.starts_with(f.letter)) {
                self.fed = self.value(word)? > 0.0;
            } else {
                self.function = match word {
                    "G0" | "G1" | "G2" | "G3" => word[1..].parse().ok(),
                    _ => return Err(format!("the word `{word}` is not one of {}", c.name)),
                };
            }
        }
        if !moves.contains(&true) {
            return Ok(());
        }
        let sense = match self.function {
            Some(0) => Sense::Rapid,
            Some(1) => Sense::Straight,
            Some(2) => Sense::Arc { turn: Turn::Right, centre },
            Some(3) => Sense::Arc { turn: Turn::Left, centre },
            _ => return Err(String::from("a motion before its G word")),
        };
        if sense != Sense::Rapid && !self.fed {
            return Err(String::from("a cut without a feed"));
        }
        let known = (0..self.axes.len()).all(|axis| self.set[axis]);
        for (axis, moves) in moves.into_iter().enumerate() {
            self.set[axis] |= moves;
        }
        self.motions.push(Motion { line, from: self.place, to, sense, known, groove: self.groove });
        self.place = to;
        Ok(())
    }
}
