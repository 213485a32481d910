//! Lettering of the display list.

use super::Lettering;
use crate::geometry::Point;

/// Where the anchor point lies along a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// At its start.
    Start,
    /// In its middle.
    Middle,
    /// At its end.
    End,
}

/// One line of lettering.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// What it says; one line, no control characters.
    pub content: String,
    /// The anchor point, on the baseline, mm.
    pub at: Point,
    /// Height of its capital letters, mm (ISO 3098 nominal size h), not the font size.
    pub height: f64,
    /// Where the anchor point lies.
    pub anchor: Anchor,
    /// Turned counter-clockwise about the anchor point, degrees.
    pub turned_deg: f64,
    /// Weight.
    pub lettering: Lettering,
}

impl Text {
    /// A plain upright text that starts at `at`, capitals `height` mm high.
    pub fn new(content: impl Into<String>, at: Point, height: f64) -> Text {
        Text {
            content: content.into(),
            at,
            height,
            anchor: Anchor::Start,
            turned_deg: 0.0,
            lettering: Lettering::Plain,
        }
    }

    /// The same with its anchor point in its middle.
    pub fn centred(self) -> Text {
        Text { anchor: Anchor::Middle, ..self }
    }

    /// The same with its anchor point at its end.
    pub fn ended(self) -> Text {
        Text { anchor: Anchor::End, ..self }
    }

    /// The same turned counter-clockwise, degrees.
    pub fn turned(self, turned_deg: f64) -> Text {
        Text { turned_deg, ..self }
    }

    /// The same in bold.
    pub fn bold(self) -> Text {
        Text { lettering: Lettering::Bold, ..self }
    }
}
