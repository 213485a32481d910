//! Where in the file a field stands: line, column and the line's own text.

use super::scan::{Fault, Kind, Node, Span, token};
use super::{Problem, Problems};
use std::collections::HashMap;

/// Longest line shown whole, characters.
const SHOWN_WHOLE: usize = 110;
/// Characters shown before and after the place in a longer one, so that a file written as one line stays readable.
const SHOWN_BEFORE: usize = 60;
const SHOWN_AFTER: usize = 40;

/// A problem and where in the file it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Located {
    /// What is wrong.
    pub problem: Problem,
    /// Where.
    pub place: Place,
}

/// A place in the file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column, from 1, in characters.
    pub column: usize,
    /// The line, or the part of it around the place, without control characters.
    pub excerpt: String,
    /// Characters of the excerpt before the place.
    pub indent: usize,
    /// Characters of the excerpt that are meant, at least 1.
    pub width: usize,
}

/// The places of all fields of one file.
#[derive(Debug, Clone, Default)]
pub struct Places {
    text: String,
    line_starts: Vec<usize>,
    spots: HashMap<String, Spot>,
}

/// Where a field's name and value stand.
#[derive(Debug, Clone)]
struct Spot {
    key: Option<Span>,
    value: Span,
    is_container: bool,
}

impl Places {
    pub(super) fn new(text: &str, root: Option<&Node>) -> Places {
        let line_starts = std::iter::once(0).chain(text.match_indices('\n').map(|(i, _)| i + 1)).collect();
        let mut places = Places { text: text.to_owned(), line_starts, spots: HashMap::new() };
        if let Some(root) = root {
            places.note(String::new(), None, root);
        }
        places
    }

    fn note(&mut self, field: String, key: Option<Span>, node: &Node) {
        match &node.kind {
            Kind::Object(members) => {
                for m in members {
                    self.note(format!("{field}/{}", token(&m.key)), Some(m.key_span.clone()), &m.value);
                }
            }
            Kind::List(items) => {
                for (i, item) in items.iter().enumerate() {
                    self.note(format!("{field}/{i}"), None, item);
                }
            }
            _ => {}
        }
        let is_container = matches!(node.kind, Kind::Object(_) | Kind::List(_));
        self.spots.insert(field, Spot { key, value: node.span.clone(), is_container });
    }

    /// The problem with its place: that of the field's value (of its name, where the value is an object or a list), or of the nearest
    /// thing around it where the file has no such field.
    pub fn locate(&self, problem: Problem) -> Located {
        let span = self.span_of(&problem.field);
        Located { place: self.place(&span), problem }
    }

    /// All problems with their places, in the order of the file.
    pub fn locate_all(&self, problems: Vec<Problem>) -> Problems {
        Problems::of(problems.into_iter().map(|p| self.locate(p)).collect())
    }

    pub(super) fn fault(&self, fault: Fault) -> Located {
        let place = self.place(&fault.span);
        Located { problem: Problem::new(fault.field, fault.message, fault.hint), place }
    }

    fn span_of(&self, field: &str) -> Span {
        let mut at = field;
        loop {
            if let Some(spot) = self.spots.get(at) {
                let first = spot.value.start..(spot.value.start + 1).min(spot.value.end);
                return match &spot.key {
                    Some(key) if spot.is_container || at != field => key.clone(),
                    _ if spot.is_container => first,
                    _ => spot.value.clone(),
                };
            }
            let Some(slash) = at.rfind('/') else { return 0..0 };
            at = &at[..slash];
        }
    }

    pub(super) fn place(&self, span: &Span) -> Place {
        let start = floor(&self.text, span.start);
        let line = self.line_starts.partition_point(|&s| s <= start).max(1);
        let from = self.line_starts.get(line - 1).copied().unwrap_or(0);
        let rest = &self.text[from..];
        let end = from + rest.find('\n').unwrap_or(rest.len());
        let end = if self.text[from..end].ends_with('\r') { end - 1 } else { end };
        let start = start.min(end);
        let before = &self.text[from..start];
        let meant = &self.text[start..floor(&self.text, span.end).clamp(start, end)];
        let column = before.chars().count() + 1;
        let width = meant.chars().count().max(1);
        let (excerpt, indent) = excerpt(&self.text[from..end], column - 1, width);
        Place { line, column, excerpt, indent, width: width.min(SHOWN_BEFORE) }
    }
}

/// A line, or the part of it around a place, and how many of its characters stand before the place.
fn excerpt(line: &str, before: usize, width: usize) -> (String, usize) {
    let shown = |c: char| if c.is_control() { ' ' } else { c };
    if line.chars().nth(SHOWN_WHOLE).is_none() {
        return (line.chars().map(shown).collect(), before);
    }
    let indent = before.min(SHOWN_BEFORE);
    let skipped = before - indent;
    let length = indent + width.min(SHOWN_BEFORE) + SHOWN_AFTER;
    let mut part: Vec<char> = line.chars().skip(skipped).take(length).map(shown).collect();
    if skipped > 0 {
        part[0] = '…';
    }
    if line.chars().nth(skipped + length).is_some() {
        part.push('…');
    }
    (part.into_iter().collect(), indent)
}

/// The nearest boundary of a character at or below a byte.
fn floor(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|&i| text.is_char_boundary(i)).unwrap_or(0)
}

/// In the order of the file, none twice.
pub(super) fn sorted(mut problems: Vec<Located>) -> Vec<Located> {
    problems.sort_by_key(|p| (p.place.line, p.place.column));
    let mut seen = std::collections::HashSet::new();
    problems
        .retain(|p| seen.insert((p.problem.field.clone(), p.problem.message.clone(), p.place.line, p.place.column)));
    problems
}
