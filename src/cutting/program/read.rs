//! Reads a program back as motions: only the words these programs use, anything else is an error.

use crate::geometry::Turn;

/// The axes in the order of a motion's places: X, Y, Z, C.
const AXES: [char; 4] = ['X', 'Y', 'Z', 'C'];

/// How a motion runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sense {
    /// G0.
    Rapid,
    /// G1.
    Straight,
    /// G2 or G3; the centre is given from the start, in the places of X, Y and Z.
    Arc {
        /// Clockwise for G2.
        turn: Turn,
        /// From the start to the centre: I, 0, K.
        centre: [f64; 3],
    },
}

/// One motion; places are X, Y, Z and C as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    /// Where it begins.
    pub from: [f64; 4],
    /// Where it ends.
    pub to: [f64; 4],
    /// How it runs.
    pub sense: Sense,
    /// Whether every axis that the program moves had a place before it; the first motions come from wherever the machine stands.
    pub known: bool,
}

/// Why a text is not a program of ours.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {what}")]
pub struct ProgramError {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong.
    pub what: String,
}

/// The motions of a program.
///
/// # Errors
/// Where a line holds a word these programs do not use, or no number behind it.
pub fn read(text: &str) -> Result<Vec<Motion>, ProgramError> {
    let moved: Vec<bool> =
        AXES.iter().map(|axis| text.lines().any(|l| !l.starts_with('(') && l.contains(*axis))).collect();
    let mut place = [0.0; 4];
    let mut set = [false; 4];
    let mut sense = None;
    let mut motions = Vec::new();
    let mut ended = false;
    for (i, line) in text.lines().enumerate() {
        let wrong = |what: String| ProgramError { line: i + 1, what };
        if line.starts_with('(') && line.ends_with(')') || line == "%" {
            continue;
        }
        if ended {
            return Err(wrong(String::from("a block after the program's end")));
        }
        let mut to = place;
        let mut arc = [0.0; 3];
        let mut moves = false;
        for word in line.split_whitespace() {
            let (letter, number) = word.split_at(word.chars().next().map_or(0, char::len_utf8));
            let value: f64 = number.parse().map_err(|_| wrong(format!("`{word}` is no word")))?;
            match (letter, number) {
                ("N", _) | ("G", "17" | "18" | "40" | "71" | "90" | "95") | ("F", _) | ("M", "0") => {}
                ("G", "0" | "1" | "2" | "3") => sense = Some(number.to_owned()),
                ("M", "30") => ended = true,
                ("I", _) => arc[0] = value,
                ("K", _) => arc[2] = value,
                ("X" | "Y" | "Z" | "C", _) => {
                    let axis = AXES.iter().position(|a| letter.starts_with(*a)).unwrap_or(0);
                    (to[axis], moves) = (value, true);
                }
                _ => return Err(wrong(format!("the word `{word}` is not used here"))),
            }
        }
        if !moves {
            continue;
        }
        let known = moved.iter().zip(set).all(|(moved, set)| !moved || set);
        for (axis, name) in AXES.iter().enumerate() {
            set[axis] |= line.contains(*name);
        }
        let sense = match sense.as_deref() {
            Some("0") => Sense::Rapid,
            Some("1") => Sense::Straight,
            Some("2") => Sense::Arc { turn: Turn::Right, centre: arc },
            Some("3") => Sense::Arc { turn: Turn::Left, centre: arc },
            _ => return Err(wrong(String::from("a motion before its G word"))),
        };
        motions.push(Motion { from: place, to, sense, known });
        place = to;
    }
    if !ended {
        return Err(ProgramError {
            line: text.lines().count(),
            what: String::from("the program does not end with M30"),
        });
    }
    Ok(motions)
}
