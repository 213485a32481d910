//! Programs read back from their own text and driven against the stone: what has not passed here is not handed out.
//!
//! The simulation knows the order, the tool, the control's description and the text of a draft. It does not know how the draft was made: it has its
//! own reader, its own stone and its own measures. It refuses a rapid move that comes near stone, a cut below the finished surface, stone left that
//! the tool could have cut, a groove cut twice, never, or at another angle than its own.

mod grooves;
mod path;
mod read;
mod stone;
mod turning;

pub use grooves::{alike, axes, face, side};
pub use path::path;
pub use read::{Motion, Sense, Unreadable, read};
pub use turning::{Frame, turning};

use crate::cutting::program::Draft;

/// A program that has passed its simulation; nothing else is written for a machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proved(String);

impl Proved {
    fn of(draft: Draft) -> Proved {
        Proved(draft.text().to_owned())
    }

    /// The text as bytes of a file.
    pub fn into_bytes(self) -> Vec<u8> {
        self.0.into_bytes()
    }
}

/// Why a program is not handed out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Objection {
    /// Its text is no program of this control.
    #[error("the program cannot be read back: {0}")]
    Unreadable(#[from] Unreadable),
    /// It does something it must not.
    #[error("line {line} of the program {what}")]
    Does {
        /// Line, from 1.
        line: usize,
        /// What.
        what: String,
    },
    /// It leaves something undone.
    #[error("the program {0}")]
    Leaves(String),
    /// The wheel has no section.
    #[error(transparent)]
    Section(#[from] crate::section::SectionError),
    /// The shape could not be made again.
    #[error(transparent)]
    Cutting(#[from] crate::cutting::CuttingError),
}

/// How far the last decimal of the words may lead the tool off, mm.
fn slack(decimals: usize) -> f64 {
    2.0 * 10_f64.powi(-(decimals as i32))
}
