//! A longer paper: rows, tables, curves and sentences under headings, in reading order.

use super::{Contours, Plot, Row, Table};

/// A titled list of parts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Paper {
    /// What it is about.
    pub title: String,
    /// Its parts, in reading order.
    pub parts: Vec<Part>,
}

/// One part of a paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its heading.
    pub title: String,
    /// What stands under the heading.
    pub content: Content,
}

/// What a part of a paper holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// Single quantities, one a line.
    Rows(Vec<Row>),
    /// Many quantities of the same kind.
    Table(Table),
    /// Curves over one axis.
    Plot(Plot),
    /// Lines of equal value over the half-section.
    Contours(Contours),
    /// Sentences.
    Notes(Vec<String>),
}

impl Paper {
    /// An empty paper of this title.
    pub fn new(title: impl Into<String>) -> Paper {
        Paper { title: title.into(), parts: Vec::new() }
    }

    /// Adds a part.
    pub fn push(&mut self, title: impl Into<String>, content: Content) {
        self.parts.push(Part { title: title.into(), content });
    }

    /// Adds rows under a heading; nothing where there are none.
    pub fn rows(&mut self, title: impl Into<String>, rows: Vec<Row>) {
        if !rows.is_empty() {
            self.push(title, Content::Rows(rows));
        }
    }

    /// Adds sentences under a heading; nothing where there are none.
    pub fn notes(&mut self, title: impl Into<String>, notes: Vec<String>) {
        if !notes.is_empty() {
            self.push(title, Content::Notes(notes));
        }
    }
}
