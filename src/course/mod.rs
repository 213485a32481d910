//! A program drawn for its setter: the motions read back from its own text, over the blank and the finished contour, numbered stretch by stretch.
//!
//! Nothing here knows how the program was made. A stretch is what runs between two changes of rapid move and cut; its number stands on the picture
//! and in the table below it. Each motion is a group of its own, `move-N`, so that a page can show the path step by step.

mod grooved;
mod panel;
mod stretch;
mod thinned;
mod turned;

use crate::cutting::Part;
use crate::cutting::control::Control;
use crate::cutting::passes::Cutter;
use crate::cutting::program::{Roughing, SetUp};
use crate::dossier::Dossier;
use crate::drawing::{Drawing, Pen};
use crate::quantity::trimmed;
use crate::report::cautions::cautions;
use crate::shop::paper::{Align, Cell, Column, Flow, Format, Grid, Head};
use crate::simulate::{Motion, Objection, Sense};
use crate::state::UNAPPROVED;
use std::collections::{HashMap, HashSet};
use stretch::Stretch;

/// What a program cuts, and with what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cuts {
    /// A set-up of the profile, by a nose of this radius, mm.
    Profile(SetUp, f64, Roughing),
    /// Grooves of a part, by this disc.
    Grooves(Part, Cutter),
}

/// A program and what it was made for.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Name of its file.
    pub file: String,
    /// Hash of the file, hexadecimal.
    pub sha256: String,
    /// The program.
    pub text: String,
    /// The control it is written for.
    pub control: Control,
    /// What it cuts.
    pub cuts: Cuts,
}

/// Decimals of lengths on the sheet.
const DECIMALS: usize = 3;

/// Least distance on paper of passes that are drawn beside each other, mm: a narrow line and several of its widths of white.
pub const ON_PAPER: f64 = 1.2;

/// Most rows of the table of stretches, and how many of them are the last ones.
const MOST_ROWS: usize = 60;
const LAST_ROWS: usize = 12;

/// The sheet of a program: what it is for, its pictures, its stretches. Passes nearer to each other than `apart` on paper, mm, are drawn in turn, and that is
/// said; 0 draws every one, for a screen that can be looked into.
///
/// # Errors
/// Where the program's text cannot be read back, or the wheel has no section.
pub fn sheets(dossier: &Dossier, course: &Course, apart: f64) -> Result<Vec<Drawing>, Objection> {
    let job = &dossier.job;
    let stated = Head::stated(dossier, "Program sheet");
    let bar = if stated.bar.is_empty() && !dossier.approved.is_given() { UNAPPROVED.to_owned() } else { stated.bar };
    let head = Head { bar, foot: cautions(job), ..stated };
    let mut flow = Flow::new(head, Format::upright(job));
    flow.strong(
        "Look at the tool path before the machine runs it. The program is proved dry by a qualified setter before any wheel is cut.",
    );
    let mut drawn = match &course.cuts {
        Cuts::Profile(set_up, nose, roughing) => turned::drawn(job, course, (*set_up, *nose, *roughing), apart)?,
        Cuts::Grooves(part, cutter) => grooved::drawn(job, course, (*part, cutter), apart)?,
    };
    // a number on a picture stands in the table too
    let told: HashSet<String> = told(&drawn).into_iter().map(|s| s.number.to_string()).collect();
    for panel in drawn.panels.iter_mut().filter(|p| !p.travels.is_empty()) {
        panel.marks.retain(|m| told.contains(&m.text));
    }
    let mut fields = vec![("Program", course.file.clone()), ("SHA-256, first 16 digits", course.sha256.chars().take(16).collect())];
    fields.push(("Control", course.control.name.clone()));
    fields.extend(drawn.fields.iter().cloned());
    fields.push(("Tool path", count_of(&drawn.motions)));
    flow.fields(&fields, 3);
    drawn.remarks.iter().for_each(|remark| flow.strong(remark));
    match course.cuts {
        Cuts::Profile(..) => {
            flow.paragraph(&LEGEND.replace("{}", ""));
            if let Some((whole, operations)) = drawn.panels.split_first() {
                let room = flow.room().0 - Flow::heading_height();
                panel::Panel { most_high: room.max(whole.most_high), ..whole.clone() }.put(&mut flow);
                panel::put_in_rows(operations, 2, "The operations in their order", &mut flow);
            }
        }
        Cuts::Grooves(..) => {
            flow.paragraph(&LEGEND.replace("{}", ", and the disc at both ends of its path"));
            drawn.panels.iter().for_each(|panel| panel.put(&mut flow));
        }
    }
    flow.heading("The tool path, stretch by stretch");
    flow.grid(&table(course, &drawn));
    if drawn.stretches.len() > MOST_ROWS {
        flow.paragraph(&format!("Of {} stretches those stand here that the pictures show; the program has them all.", drawn.stretches.len()));
    }
    let mut sheets = flow.finish();
    sheets.iter_mut().for_each(|sheet| sheet.pen = PEN);
    Ok(sheets)
}

/// Passes as narrow as they can be printed, the contour clear of them.
const PEN: Pen = Pen { wide: 0.5, narrow: 0.13, frame: 0.7 };

const LEGEND: &str = "Wide line: finished contour. Double-dotted: blank{}. Narrow: cut, the path of the programmed \
    point. Dashed: rapid move. Long-dashed dotted: datum. The numbers are those of the table; those that would crowd stand there alone.";

/// Everything of a sheet that depends on what is cut.
struct Drawn {
    fields: Vec<(&'static str, String)>,
    remarks: Vec<String>,
    panels: Vec<panel::Panel>,
    motions: Vec<Motion>,
    stretches: Vec<Stretch>,
    /// Letters of the axes whose places the table shows.
    axes: Vec<char>,
}

/// The number of each motion, from 1, by its line; a block that is called many times has those of its first run.
fn numbers(motions: &[Motion]) -> HashMap<usize, usize> {
    motions.iter().enumerate().rev().map(|(i, m)| (m.line, i + 1)).collect()
}

/// Count of moves, rapid and at feed.
fn count_of(motions: &[Motion]) -> String {
    let rapid = motions.iter().filter(|m| m.sense == Sense::Rapid).count();
    format!("{} motions: {rapid} rapid, {} at feed", motions.len(), motions.len() - rapid)
}

fn table(course: &Course, drawn: &Drawn) -> Grid {
    let columns = [("No.", 1.0), ("What", 4.6), ("Blocks", 2.8), ("From", 4.4), ("To", 4.4)];
    let mut grid =
        Grid::new(columns.into_iter().map(|(label, share)| Column::new(label, share, Align::Left)).collect());
    let lines: Vec<&str> = course.text.lines().collect();
    let place = |at: [f64; 4]| {
        let decimals = |letter: char| if letter == course.control.axes.dividing { 4 } else { DECIMALS };
        let words = drawn.axes.iter().enumerate().map(|(i, letter)| format!("{letter}{}", trimmed(at[i], decimals(*letter))));
        words.collect::<Vec<_>>().join(" ")
    };
    let row = |s: &Stretch| {
        let (first, last) = (block(course, &lines, s.first.line), block(course, &lines, s.last.line));
        let blocks = if first == last { first } else { format!("{first} to {last}") };
        let what = format!("{}{}", if s.is_rapid { "Rapid" } else { "Cut" }, s.said());
        [s.number.to_string(), what, blocks, place(s.first.from), place(s.last.to)].map(Cell::new).to_vec()
    };
    grid.rows = told(drawn).into_iter().map(row).collect();
    grid
}

/// The stretches of the table: all, or where they are too many those of which a picture shows the number, of too many again the first and the last.
fn told(drawn: &Drawn) -> Vec<&Stretch> {
    if drawn.stretches.len() <= MOST_ROWS {
        return drawn.stretches.iter().collect();
    }
    let marks = drawn.panels.iter().filter(|p| !p.travels.is_empty()).flat_map(|p| &p.marks);
    let marks: HashSet<&str> = marks.map(|m| m.text.as_str()).collect();
    let mut marked: Vec<&Stretch> = drawn.stretches.iter().filter(|s| marks.contains(s.number.to_string().as_str())).collect();
    if marked.len() > MOST_ROWS {
        marked.drain(MOST_ROWS - LAST_ROWS..marked.len() - LAST_ROWS);
    }
    marked
}

/// How a block is found: its number, or its line where it has none.
fn block(course: &Course, lines: &[&str], line: usize) -> String {
    let first = lines.get(line.wrapping_sub(1)).and_then(|l| l.split_whitespace().next()).unwrap_or_default();
    let is_number = first.strip_prefix(course.control.numbering.letter).is_some_and(|n| n.parse::<u32>().is_ok());
    if is_number { first.to_owned() } else { format!("line {line}") }
}

/// A length on the sheet.
fn mm(value: f64) -> String {
    format!("{} mm", trimmed(value, DECIMALS))
}

/// A scale in words: `1 : 2`, `2 : 1`.
fn scale_word(scale: f64) -> String {
    let whole = |n: f64| trimmed(n, 1);
    if scale >= 1.0 { format!("{} : 1", whole(scale)) } else { format!("1 : {}", whole(1.0 / scale)) }
}

/// A count of degrees.
fn degrees(value: f64) -> String {
    format!("{} deg", trimmed(value, 4))
}
