//! How a command ends.

use crate::json::Problems;
use std::path::Path;

/// How a command that ran ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// What was asked for is made: exit 0.
    Made,
    /// Made, but a rule or a measurement stops the order: exit 1.
    Stopped,
}

/// Why a command cannot run: exit 2.
#[derive(Debug, Clone, PartialEq)]
pub enum Failure {
    /// The order cannot be read.
    Order {
        /// The file as typed.
        file: String,
        /// Everything wrong with it.
        problems: Problems,
    },
    /// Anything else.
    Other {
        /// What is wrong.
        message: String,
        /// What would be right; may be empty.
        hint: String,
    },
}

/// Result of a command.
pub type Done = Result<Outcome, Failure>;

impl Failure {
    /// A failure in words.
    pub fn new(message: impl Into<String>, hint: impl Into<String>) -> Failure {
        Failure::Other { message: message.into(), hint: hint.into() }
    }

    /// A failure to read or write a path.
    pub fn io(doing: &str, path: &Path, error: &std::io::Error) -> Failure {
        let (reason, hint) = reason(error);
        Failure::new(format!("cannot {doing} {}: {reason}", shown(path)), hint)
    }

    /// What is wrong, in a line.
    pub fn words(self) -> String {
        match self {
            Failure::Other { message, .. } => message,
            Failure::Order { problems, .. } => problems.to_string(),
        }
    }
}

/// A path as messages show it: without control characters.
pub fn shown(path: &Path) -> String {
    path.display().to_string().chars().map(|c| if c.is_control() { '?' } else { c }).collect()
}

/// An input or output error in plain words, and what to do about it.
fn reason(error: &std::io::Error) -> (String, &'static str) {
    use std::io::ErrorKind as Kind;
    let (text, hint) = match error.kind() {
        Kind::NotFound => ("there is no such file or folder", "check the name and the folder"),
        Kind::PermissionDenied => ("permission is denied", "check who owns it and what its permissions are"),
        Kind::IsADirectory => ("it is a folder", "name a file"),
        Kind::NotADirectory => ("a part of the path is a file, not a folder", "check the path"),
        Kind::AlreadyExists => ("it exists already", "name another one, or remove it first"),
        Kind::StorageFull => ("the disk is full", "make room and run the command again"),
        Kind::FileTooLarge => {
            ("the file would be larger than this system allows", "raise the limit, or name another folder")
        }
        Kind::QuotaExceeded => ("the disk quota is used up", "make room and run the command again"),
        Kind::ReadOnlyFilesystem => ("the file system is read-only", "name a folder that can be written"),
        Kind::InvalidFilename => ("the name is not allowed or too long", "name another file"),
        _ => return (error.to_string(), ""),
    };
    (text.to_owned(), hint)
}
