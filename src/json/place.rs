//! Where in the file a field stands: line, column and the line's own text.

use super::scan::{Fault, Kind, Node, Span, token};
use super::{Problem, Problems};

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

/// The places of all fields of one file; looked up only where something is wrong.
#[derive(Debug, Clone, Default)]
pub struct Places {
    text: String,
    root: Option<Node>,
}

/// A field on the way down to one, with the span of its name.
struct Spot<'a> {
    key: Option<&'a Span>,
    node: &'a Node,
}

impl Spot<'_> {
    /// The field of this name or number in it.
    fn child(&self, name: &str) -> Option<Self> {
        match &self.node.kind {
            Kind::Object(members) => {
                let member = members.iter().find(|m| token(&m.key) == name)?;
                Some(Spot { key: Some(&member.key_span), node: &member.value })
            }
            Kind::List(items) => {
                let place: usize = name.parse().ok().filter(|i: &usize| i.to_string() == name)?;
                Some(Spot { key: None, node: items.get(place)? })
            }
            _ => None,
        }
    }
}

impl Places {
    pub(super) fn new(text: &str, root: Option<Node>) -> Places {
        Places { text: text.to_owned(), root }
    }

    /// What the file holds, as far as it could be understood.
    pub(super) fn root(&self) -> Option<&Node> {
        self.root.as_ref()
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
        let Some(root) = &self.root else { return 0..0 };
        let mut spot = Spot { key: None, node: root };
        let mut is_exact = true;
        for name in field.split('/').skip(1) {
            let Some(child) = spot.child(name) else {
                is_exact = false;
                break;
            };
            spot = child;
        }
        let value = &spot.node.span;
        let is_container = matches!(spot.node.kind, Kind::Object(_) | Kind::List(_));
        match spot.key {
            Some(key) if is_container || !is_exact => key.clone(),
            _ if is_container => value.start..(value.start + 1).min(value.end),
            _ => value.clone(),
        }
    }

    pub(super) fn place(&self, span: &Span) -> Place {
        let start = floor(&self.text, span.start);
        let line = self.text[..start].matches('\n').count() + 1;
        let from = self.text[..start].rfind('\n').map_or(0, |i| i + 1);
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
