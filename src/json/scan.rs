//! A JSON scanner that knows where everything stands, and that goes on after the slips people make.
//!
//! A slip is noted and mended where its meaning is plain (a comma too many, `.5`, a comment, quotes forgotten), so that one run shows every
//! problem of a file. Only where the rest cannot be understood does the scan stop.

use super::form::Form;
use super::word::{self, Word};
use crate::quantity::quoted;
use std::collections::HashMap;
use std::ops::Range;

/// Bytes from–to in the text.
pub(super) type Span = Range<usize>;

/// Deepest nesting of objects and lists; an order needs six.
const DEEPEST: usize = 32;

/// After so many slips the file is taken for something else.
const MOST_FAULTS: usize = 100;

/// A value and where it stands.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) span: Span,
    pub(super) kind: Kind,
}

/// What a value is.
#[derive(Debug, Clone)]
pub(super) enum Kind {
    Null,
    Bool(bool),
    Number(f64),
    Text(String),
    List(Vec<Node>),
    Object(Vec<Member>),
    /// Something whose problem has been noted.
    Bad,
}

/// One field of an object.
#[derive(Debug, Clone)]
pub(super) struct Member {
    pub(super) key: String,
    pub(super) key_span: Span,
    pub(super) value: Node,
}

/// What is wrong at one place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fault {
    pub(super) field: String,
    pub(super) span: Span,
    pub(super) message: String,
    pub(super) hint: String,
}

/// The rest of the text cannot be understood; the fault has been noted.
struct Stop;

type Scanned<T> = Result<T, Stop>;

/// The value in a text, as far as it can be understood, and everything wrong with the writing.
pub(super) fn scan(text: &str, form: &Form) -> (Option<Node>, Vec<Fault>) {
    let mut scanner = Scanner { form, text, at: 0, path: Vec::new(), faults: Vec::new(), comment_seen: false };
    let node = scanner.whole().ok();
    (node, scanner.faults)
}

/// One reference token of a JSON pointer, escaped (RFC 6901).
pub(super) fn token(key: &str) -> String {
    if key.contains(['~', '/']) { key.replace('~', "~0").replace('/', "~1") } else { key.to_owned() }
}

struct Scanner<'a> {
    form: &'a Form,
    text: &'a str,
    at: usize,
    path: Vec<String>,
    faults: Vec<Fault>,
    comment_seen: bool,
}

impl Scanner<'_> {
    fn whole(&mut self) -> Scanned<Node> {
        self.space();
        if self.peek().is_none() {
            return self.stop(0..0, "the file is empty", self.form.start);
        }
        if self.peek() != Some('{') {
            let span = self.rest_of_line();
            let begins = quoted(&self.text[span.clone()]);
            let message = format!("the file is no {}: it begins with {begins}", self.form.name());
            let hint = format!("{} is an object in braces {{ … }}; {}", self.form.thing, self.form.start);
            return self.stop(span, message, &hint);
        }
        let node = self.value()?;
        self.space();
        if self.peek().is_some() {
            let (span, name) = (self.rest_of_line(), self.form.name());
            let message = format!("there is more text after the end of the {name}");
            self.fault(span, message, format!("remove it; one file holds one {name}"));
        }
        Ok(node)
    }

    fn value(&mut self) -> Scanned<Node> {
        self.flood()?;
        let start = self.at;
        let kind = match self.peek() {
            None => return self.too_early(start..start),
            Some('{') => self.nested(Scanner::object)?,
            Some('[') => self.nested(Scanner::list)?,
            Some('"') => Kind::Text(self.text()?),
            Some('\'' | '“' | '”' | '‘' | '’') => self.wrong_quotes()?,
            Some(',' | '}' | ']' | ':') => {
                self.fault(start..start + 1, "a value is missing here", "give the value, or remove the field");
                Kind::Bad
            }
            Some(_) => self.word()?,
        };
        Ok(Node { span: start..self.at, kind })
    }

    fn nested(&mut self, read: fn(&mut Self, Span) -> Scanned<Kind>) -> Scanned<Kind> {
        let opening = self.at..self.at + 1;
        if self.path.len() >= DEEPEST {
            let message = format!("objects and lists are nested more than {DEEPEST} deep");
            let hint = format!("{} needs few levels; look for a bracket that is not closed", self.form.thing);
            return self.stop(opening, message, &hint);
        }
        self.at += 1;
        read(self, opening)
    }

    fn object(&mut self, opening: Span) -> Scanned<Kind> {
        let mut members: Vec<Member> = Vec::new();
        let mut first_seen: HashMap<String, usize> = HashMap::new();
        let mut comma: Option<Span> = None;
        loop {
            self.flood()?;
            self.space();
            match self.peek() {
                None => return self.too_early(opening),
                Some('}') => {
                    self.trailing(comma);
                    self.at += 1;
                    return Ok(Kind::Object(members));
                }
                Some(']') => return self.mismatch(&opening, '}'),
                Some(',') => self.comma_too_many(),
                Some(_) => {
                    let member = self.member(comma.take())?;
                    if let Some(member) = member {
                        self.keep(member, &mut members, &mut first_seen);
                    }
                    comma = self.separator(&opening, '}')?;
                }
            }
        }
    }

    fn keep(&mut self, member: Member, members: &mut Vec<Member>, first_seen: &mut HashMap<String, usize>) {
        let Some(&before) = first_seen.get(&member.key) else {
            first_seen.insert(member.key.clone(), member.key_span.start);
            members.push(member);
            return;
        };
        let line = self.text[..before].lines().count().max(1);
        let message = format!("{} is given twice; the first is in line {line}", quoted(&member.key));
        self.path.push(token(&member.key));
        self.fault(member.key_span, message, "keep one of them");
        self.path.pop();
    }

    /// One `"key": value`; `None` where only its writing could be faulted.
    fn member(&mut self, comma: Option<Span>) -> Scanned<Option<Member>> {
        let start = self.at;
        let key = match self.peek() {
            Some('"') => self.text()?,
            _ => match self.bare_key(comma)? {
                Some(key) => key,
                None => return Ok(None),
            },
        };
        let key_span = start..self.at;
        self.path.push(token(&key));
        self.colon(&key, &key_span)?;
        self.space();
        let value = self.value()?;
        self.path.pop();
        Ok(Some(Member { key, key_span, value }))
    }

    /// A field name without double quotes.
    fn bare_key(&mut self, comma: Option<Span>) -> Scanned<Option<String>> {
        let start = self.at;
        if matches!(self.peek(), Some('\'' | '“' | '”' | '‘' | '’')) {
            let Kind::Text(key) = self.wrong_quotes()? else { return Ok(None) };
            return Ok(Some(key));
        }
        let raw = self.raw_word();
        let span = start..self.at;
        if raw.is_empty() {
            return self.stop(start..start + 1, "a field name is expected here", "write \"name\": value");
        }
        self.space();
        if self.peek() == Some(':') {
            let message = format!("the field name {} is not in quotes", quoted(&raw));
            self.fault(span, message, format!("write \"{}\"", word::clip(&raw)));
            return Ok(Some(raw));
        }
        let before = comma.map_or("", |c| self.text[..c.start].rsplit(char::is_whitespace).next().unwrap_or(""));
        let is_digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        if is_digits(&raw) && is_digits(before) {
            let message = format!("`{before},{raw}` is not one number in JSON");
            self.fault(span, message, format!("write the decimal point: {before}.{raw}"));
        } else {
            let message = format!("a field name in quotes is expected here, not {}", quoted(&raw));
            self.fault(span, message, "write \"name\": value");
        }
        Ok(None)
    }

    fn colon(&mut self, key: &str, key_span: &Span) -> Scanned<()> {
        self.space();
        match self.peek() {
            Some(':') => self.at += 1,
            Some('=') => {
                self.fault(self.at..self.at + 1, "a field and its value are joined by `:`, not `=`", "write a colon");
                self.at += 1;
            }
            None => return self.too_early(key_span.clone()),
            Some(_) => {
                let message = format!("there is no colon after {}", quoted(key));
                self.fault(key_span.clone(), message, "write \"name\": value");
            }
        }
        Ok(())
    }

    fn list(&mut self, opening: Span) -> Scanned<Kind> {
        let mut items = Vec::new();
        let mut comma: Option<Span> = None;
        loop {
            self.flood()?;
            self.space();
            match self.peek() {
                None => return self.too_early(opening),
                Some(']') => {
                    self.trailing(comma);
                    self.at += 1;
                    return Ok(Kind::List(items));
                }
                Some('}') => return self.mismatch(&opening, ']'),
                Some(',') => self.comma_too_many(),
                Some(_) => {
                    self.path.push(items.len().to_string());
                    items.push(self.value()?);
                    self.path.pop();
                    comma = self.separator(&opening, ']')?;
                }
            }
        }
    }

    /// What follows a field or an entry: a comma (its place is returned), or the end (left standing).
    fn separator(&mut self, opening: &Span, end: char) -> Scanned<Option<Span>> {
        let after = self.at;
        self.space();
        match self.peek() {
            None => self.too_early(opening.clone()),
            Some(',') => {
                self.at += 1;
                Ok(Some(self.at - 1..self.at))
            }
            Some(c) if c == end => Ok(None),
            Some('}' | ']') => self.mismatch(opening, end),
            Some(';') => {
                self.fault(self.at..self.at + 1, "fields are parted by `,`, not `;`", "write a comma");
                self.at += 1;
                Ok(None)
            }
            Some('"' | '\'' | '{' | '[') => {
                self.fault(after.saturating_sub(1)..after, "a comma is missing after this", "write a comma");
                Ok(None)
            }
            Some(_) => {
                let span = self.rest_of_line();
                let hint = match self.text[..after].ends_with('"') {
                    true => "write a comma between two fields; or a quote is missing in the text before",
                    false => "write a comma between two fields",
                };
                self.stop(span, format!("a comma or `{end}` is expected here"), hint)
            }
        }
    }

    fn trailing(&mut self, comma: Option<Span>) {
        if let Some(span) = comma {
            self.fault(span, "there is a comma after the last entry", "remove the comma");
        }
    }

    fn comma_too_many(&mut self) {
        self.fault(self.at..self.at + 1, "there is a comma too many", "remove the comma");
        self.at += 1;
    }

    /// Text in double quotes, with its escapes undone.
    fn text(&mut self) -> Scanned<String> {
        let start = self.at;
        self.at += 1;
        let mut out = String::new();
        loop {
            let rest = &self.text[self.at..];
            let plain = rest.bytes().position(|b| matches!(b, b'"' | b'\\') || b < b' ').unwrap_or(rest.len());
            out.push_str(&rest[..plain]);
            self.at += plain;
            let at = self.at;
            match self.next() {
                Some('"') => return Ok(out),
                Some('\\') => self.escape(at, &mut out),
                None | Some('\n' | '\r') => {
                    self.at = at;
                    return self.stop(start..at, "this text has no closing quote in its line", "close it with \"");
                }
                Some(c) => {
                    let name = format!("the text holds the control character U+{:04X}", u32::from(c));
                    self.fault(at..self.at, name, "write a blank instead, or \\t for a tab");
                    out.push(c);
                }
            }
            self.flood()?;
        }
    }

    /// What follows a backslash (RFC 8259, section 7).
    fn escape(&mut self, start: usize, out: &mut String) {
        let plain = match self.next() {
            Some(c @ ('"' | '\\' | '/')) => Some(c),
            Some('b') => Some('\u{8}'),
            Some('f') => Some('\u{c}'),
            Some('n') => Some('\n'),
            Some('r') => Some('\r'),
            Some('t') => Some('\t'),
            Some('u') => self.unicode_escape(),
            // the end of the line or the file is the caller's to report
            Some('\n' | '\r') => {
                self.at -= 1;
                None
            }
            _ => None,
        };
        match plain {
            Some(c) => out.push(c),
            None => {
                let message = format!("{} is no escape", quoted(&self.text[start..self.at]));
                let hint = match self.text[start..].starts_with("\\u") {
                    true => "write the character itself",
                    false => "write \\\\ for a backslash, \\\" for a quote",
                };
                self.fault(start..self.at, message, hint);
            }
        }
    }

    fn unicode_escape(&mut self) -> Option<char> {
        let first = self.four_digits()?;
        if !(0xD800..0xDC00).contains(&first) {
            return char::from_u32(first);
        }
        if !self.text[self.at..].starts_with("\\u") {
            return None;
        }
        self.at += 2;
        let second = self.four_digits().filter(|s| (0xDC00..0xE000).contains(s))?;
        char::from_u32(0x10000 + ((first - 0xD800) << 10) + (second - 0xDC00))
    }

    fn four_digits(&mut self) -> Option<u32> {
        let digits = self.text.get(self.at..self.at + 4).filter(|d| d.bytes().all(|b| b.is_ascii_hexdigit()))?;
        self.at += 4;
        u32::from_str_radix(digits, 16).ok()
    }

    /// Text in any other quotes.
    fn wrong_quotes(&mut self) -> Scanned<Kind> {
        let start = self.at;
        self.next();
        let line = &self.text[self.at..self.rest_of_line().end];
        let Some(length) = line.find(['\'', '’', '‘', '”', '“']) else {
            return self.stop(start..self.at, "text stands in double quotes", "write \"…\"");
        };
        let inner = line[..length].to_owned();
        self.at += length;
        self.next();
        let message = format!("{} is not in double quotes", quoted(&inner));
        self.fault(start..self.at, message, format!("write \"{}\"", word::clip(&inner)));
        Ok(Kind::Text(inner))
    }

    /// A number, a literal, or something that should have been in quotes.
    fn word(&mut self) -> Scanned<Kind> {
        let start = self.at;
        let raw = self.raw_word();
        if raw.is_empty() {
            self.next();
            let message = format!("{} cannot stand here", quoted(&self.text[start..self.at]));
            return self.stop(start..self.at, message, "a value is a number, text in quotes, { } or [ ]");
        }
        Ok(match word::read(&raw) {
            Word::Null => Kind::Null,
            Word::Bool(b) => Kind::Bool(b),
            Word::Number(x) => Kind::Number(x),
            Word::Wrong { message, hint } => {
                self.fault(start..self.at, message, hint);
                Kind::Bad
            }
        })
    }

    /// Everything up to the next mark of JSON or the end of the line; an inch mark right after a digit belongs to it.
    fn raw_word(&mut self) -> String {
        let rest = &self.text[self.at..];
        let end = rest.find([',', ':', '"', '[', ']', '{', '}', ';', '=', '#', '\n', '\r']).unwrap_or(rest.len());
        let end = rest[..end].find("//").unwrap_or(end);
        let mut raw = rest[..end].trim_end();
        if rest[raw.len()..].starts_with('"') && raw.ends_with(|c: char| c.is_ascii_digit()) {
            raw = &rest[..raw.len() + 1];
        }
        self.at += raw.len();
        raw.to_owned()
    }

    /// Skips blanks, and comments with one fault for all.
    fn space(&mut self) {
        loop {
            let rest = &self.text[self.at..];
            self.at += rest.len() - rest.trim_start_matches([' ', '\t', '\n', '\r']).len();
            let rest = &self.text[self.at..];
            let length = if rest.starts_with("//") || rest.starts_with('#') {
                rest.find('\n').unwrap_or(rest.len())
            } else if rest.starts_with("/*") {
                rest.find("*/").map_or(rest.len(), |i| i + 2)
            } else {
                return;
            };
            if !self.comment_seen {
                self.comment_seen = true;
                let end = self.at + rest[..length].lines().next().map_or(0, str::len);
                self.fault(self.at..end, "JSON has no comments", self.form.remarks);
            }
            self.at += length;
        }
    }

    fn rest_of_line(&self) -> Span {
        let rest = &self.text[self.at..];
        self.at..self.at + rest.find(['\n', '\r']).unwrap_or(rest.len())
    }

    fn mismatch<T>(&mut self, opening: &Span, end: char) -> Scanned<T> {
        let line = self.text[..opening.end].lines().count();
        let (open, here) = (&self.text[opening.clone()], self.peek().unwrap_or(' '));
        let message = format!("`{here}` does not close the `{open}` of line {line}");
        self.stop(self.at..self.at + 1, message, format!("close it with `{end}` first"))
    }

    fn too_early<T>(&mut self, opening: Span) -> Scanned<T> {
        let line = self.text[..opening.end].lines().count().max(1);
        let open = &self.text[opening];
        let message = match open {
            "{" | "[" => format!("the file ends before the `{open}` of line {line} is closed"),
            _ => "the file ends too early".to_owned(),
        };
        let end = self.text.trim_end().len();
        self.stop(end..end, message, "the file may have been cut off; close every { [ and \"")
    }

    fn fault(&mut self, span: Span, message: impl Into<String>, hint: impl Into<String>) {
        let field = self.path.iter().map(|t| format!("/{t}")).collect();
        self.faults.push(Fault { field, span, message: message.into(), hint: hint.into() });
    }

    fn stop<T>(&mut self, span: Span, message: impl Into<String>, hint: impl Into<String>) -> Scanned<T> {
        self.fault(span, message, hint);
        Err(Stop)
    }

    fn flood(&self) -> Scanned<()> {
        if self.faults.len() >= MOST_FAULTS { Err(Stop) } else { Ok(()) }
    }

    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn next(&mut self) -> Option<char> {
        let c = self.peek()?;
        self.at += c.len_utf8();
        Some(c)
    }
}
