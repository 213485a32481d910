//! Colours of messages; never the only carrier of a meaning.

use std::io::IsTerminal;

/// When to colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum When {
    /// On a terminal, unless NO_COLOR is set or TERM is `dumb`.
    #[default]
    Auto,
    /// Also into files and pipes.
    Always,
    /// Not at all.
    Never,
}

/// Colours switched on or off for one stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Palette {
    on: bool,
}

impl Palette {
    /// For a stream.
    pub fn of(when: When, stream: &impl IsTerminal) -> Palette {
        let on = match when {
            When::Always => true,
            When::Never => false,
            When::Auto => stream.is_terminal() && wanted(),
        };
        Palette { on }
    }

    /// Something wrong.
    pub fn bad(self, text: &str) -> String {
        self.paint("1;31", text)
    }

    /// Something to ask or to mind.
    pub fn caution(self, text: &str) -> String {
        self.paint("1;33", text)
    }

    /// Something in order, or advice.
    pub fn good(self, text: &str) -> String {
        self.paint("32", text)
    }

    /// A heading or a name.
    pub fn strong(self, text: &str) -> String {
        self.paint("1", text)
    }

    /// Less important.
    pub fn faint(self, text: &str) -> String {
        self.paint("2", text)
    }

    fn paint(self, code: &str, text: &str) -> String {
        if self.on && !text.is_empty() { format!("\u{1b}[{code}m{text}\u{1b}[0m") } else { text.to_owned() }
    }
}

/// NO_COLOR: set and not empty forbids colours (the convention's own words).
fn wanted() -> bool {
    let forbidden = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    !forbidden && std::env::var_os("TERM").is_none_or(|t| t != "dumb")
}
