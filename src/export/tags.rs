//! XML tags written one after another into one text, nothing kept in between: no tree is built only to be printed.

use crate::quantity::push_trimmed;

/// Room for a sheet of usual size, so that the text grows once or not at all; bytes.
const USUAL: usize = 1 << 18;

/// A document being written. Names are the writer's own and taken as they are; values and contents are escaped.
#[derive(Debug)]
pub(super) struct Tags {
    out: String,
    /// Digits after the point of every number.
    decimals: usize,
}

impl Tags {
    /// An empty document whose numbers have so many digits after the point at most.
    pub fn new(decimals: usize) -> Tags {
        Tags { out: String::with_capacity(USUAL), decimals }
    }

    /// Begins a tag; attributes may follow.
    pub fn begin(&mut self, name: &str) {
        self.out.push('<');
        self.out.push_str(name);
    }

    /// An attribute of the tag begun.
    pub fn attribute(&mut self, name: &str, value: &str) {
        self.value(name, |tags| tags.escaped(value, true));
    }

    /// An attribute that is a number.
    pub fn number(&mut self, name: &str, value: f64) {
        self.value(name, |tags| tags.push_number(value));
    }

    /// An attribute whose value is pushed piece by piece.
    pub fn value(&mut self, name: &str, push: impl FnOnce(&mut Tags)) {
        self.out.push(' ');
        self.out.push_str(name);
        self.out.push_str("=\"");
        push(self);
        self.out.push('"');
    }

    /// Pushes a number into a value.
    pub fn push_number(&mut self, value: f64) {
        push_trimmed(&mut self.out, value, self.decimals);
    }

    /// Pushes the writer's own signs into a value, as they are.
    pub fn push(&mut self, own: &str) {
        self.out.push_str(own);
    }

    /// Ends a tag that holds nothing.
    pub fn empty(&mut self) {
        self.out.push_str("/>\n");
    }

    /// Ends a tag that holds others.
    pub fn open(&mut self) {
        self.out.push_str(">\n");
    }

    /// Closes a tag that holds others.
    pub fn close(&mut self, name: &str) {
        self.out.push_str("</");
        self.out.push_str(name);
        self.out.push_str(">\n");
    }

    /// Ends a tag that holds a text, and closes it.
    pub fn content(&mut self, text: &str, name: &str) {
        self.out.push('>');
        self.escaped(text, false);
        self.close(name);
    }

    fn escaped(&mut self, text: &str, in_value: bool) {
        let special = |c: char| matches!(c, '&' | '<' | '>') || (c == '"' && in_value);
        let mut rest = text;
        while let Some(at) = rest.find(special) {
            self.out.push_str(&rest[..at]);
            self.out.push_str(match rest.as_bytes()[at] {
                b'&' => "&amp;",
                b'<' => "&lt;",
                b'>' => "&gt;",
                _ => "&quot;",
            });
            rest = &rest[at + 1..];
        }
        self.out.push_str(rest);
    }

    /// The document.
    pub fn finish(self) -> String {
        self.out
    }
}
