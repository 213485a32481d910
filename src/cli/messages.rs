//! Problems of an order as text with the line and a caret.

use super::palette::Palette;
use crate::json::Problem;
use crate::json::{Located, Place};
use crate::report::answer;
use std::ffi::OsString;
use std::fmt::Write;
use std::io::Write as _;
use std::process::ExitCode;

/// Most problems printed as text; a file with more is broken all over.
const MOST_SHOWN: usize = 50;

/// All problems as text: place and message, the line with a caret, what would be right.
pub fn problems_text(file: &str, problems: &[Located], palette: Palette) -> String {
    let mut out = String::new();
    for p in problems.iter().take(MOST_SHOWN) {
        out.push_str(&problem_text(file, p, palette));
        out.push('\n');
    }
    let more = problems.len().saturating_sub(MOST_SHOWN);
    if more > 0 {
        // writing to a String cannot fail
        let _ = writeln!(out, "… and {more} more");
    }
    let count = if problems.len() == 1 { "1 problem".to_owned() } else { format!("{} problems", problems.len()) };
    let _ = writeln!(out, "{}", palette.strong(&format!("{file} has {count}; nothing was made.")));
    out
}

fn problem_text(file: &str, located: &Located, palette: Palette) -> String {
    let Located { problem, place } = located;
    let at = format!("{file}:{}:{}:", place.line, place.column);
    let mut out = format!("{} {}\n", palette.strong(&at), palette.bad(&problem.message));
    if !place.excerpt.trim().is_empty() {
        let number = place.line.to_string();
        let margin = " ".repeat(number.len());
        let caret = palette.bad(&"^".repeat(place.width));
        let _ = writeln!(out, "  {} {}", palette.faint(&format!("{number} |")), place.excerpt.trim_end());
        let _ = writeln!(out, "  {} {}{caret}", palette.faint(&format!("{margin} |")), indent(place));
    }
    if !problem.hint.is_empty() {
        let _ = writeln!(out, "  {}", palette.good(&format!("→ {}", problem.hint)));
    }
    out
}

/// Blanks as wide as the excerpt before the caret: ideographs take two cells.
fn indent(place: &Place) -> String {
    let is_wide = |c: char| matches!(u32::from(c), 0x1100..=0x115F | 0x2E80..=0xA4CF | 0xAC00..=0xD7A3 | 0xF900..=0xFAFF | 0xFE30..=0xFE6F | 0xFF00..=0xFF60 | 0xFFE0..=0xFFE6 | 0x1F300..=0x1FAFF | 0x20000..=0x3FFFD);
    place.excerpt.chars().take(place.indent).map(|c| if is_wide(c) { "  " } else { " " }).collect()
}

/// Says what is wrong with a command line, as an object on stdout where JSON was asked for; help and version go to stdout as they are.
pub fn wrong_command(error: &clap::Error, typed: impl Iterator<Item = OsString>) -> ExitCode {
    if !error.use_stderr() || !asks_for_json(typed) {
        // where nobody listens any more there is nobody to tell
        let _ = error.print();
        return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
    }
    let text = error.render().to_string();
    let part = |mark: &str| text.lines().find_map(|l| l.trim().strip_prefix(mark).map(str::to_owned));
    // the message goes on until the first empty line: missing arguments are listed below it
    let message: Vec<&str> = text.lines().take_while(|l| !l.trim().is_empty()).map(str::trim).collect();
    let message = message.join(" ");
    let message = message.strip_prefix("error: ").unwrap_or(&message).to_owned();
    let hint = part("tip: ")
        .filter(|tip| !tip.starts_with("to pass"))
        .or_else(|| part("Usage: ").map(|u| format!("usage: {u}")))
        .unwrap_or_default();
    let place = Place { line: 0, column: 0, excerpt: String::new(), indent: 0, width: 1 };
    let problems = [Located { problem: Problem::new("", message, hint), place }];
    let _ = writeln!(std::io::stdout().lock(), "{:#}", answer::problems(&problems));
    ExitCode::from(2)
}

/// Whether JSON is asked for on a command line that cannot be read as a whole.
fn asks_for_json(typed: impl Iterator<Item = OsString>) -> bool {
    let words: Vec<OsString> = typed.collect();
    words.iter().any(|w| w == "--format=json") || words.windows(2).any(|w| w[0] == "--format" && w[1] == "json")
}
