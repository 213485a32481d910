//! What is wrong with a file, by field: data, apart from findings of the rules.

use super::place::{Located, Place, sorted};
use std::fmt;
use std::ops::Deref;

/// One thing that is wrong with a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The field, as a JSON pointer such as `/wheel/side_a/recess/0/depth`; empty for the file as a whole.
    pub field: String,
    /// What is wrong, with the numbers.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

impl Problem {
    /// A problem of this field.
    pub fn new(field: impl Into<String>, message: impl Into<String>, hint: impl Into<String>) -> Problem {
        Problem { field: field.into(), message: message.into(), hint: hint.into() }
    }
}

/// Everything wrong with a file, in the order of the file. It prints a line for each: place, field, message and hint.
///
/// ```
/// use wheeldraft::{Error, Shop};
///
/// let shop = Shop::built_in()?;
/// let Err(Error::Order(problems)) = shop.open(br#"{"units": "furlong"}"#) else { unreachable!() };
/// assert!(problems.iter().any(|p| p.problem.field == "/units" && p.place.line == 1));
/// # Ok::<(), Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problems(Vec<Located>);

impl Problems {
    /// Of these, which may come in any order.
    pub fn of(problems: Vec<Located>) -> Problems {
        Problems(sorted(problems))
    }

    /// One problem of a text that lies in no file.
    pub fn without_place(problem: Problem) -> Problems {
        let place = Place { line: 1, column: 1, excerpt: String::new(), indent: 0, width: 1 };
        Problems(vec![Located { problem, place }])
    }
}

impl Deref for Problems {
    type Target = [Located];

    fn deref(&self) -> &[Located] {
        &self.0
    }
}

impl IntoIterator for Problems {
    type Item = Located;
    type IntoIter = std::vec::IntoIter<Located>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, Located { problem, place }) in self.0.iter().enumerate() {
            let (line, column) = (place.line, place.column);
            let Problem { field, message, hint } = problem;
            write!(f, "{}{line}:{column}: ", if i > 0 { "\n" } else { "" })?;
            if !field.is_empty() {
                write!(f, "{field}: ")?;
            }
            f.write_str(message)?;
            if !hint.is_empty() {
                write!(f, " → {hint}")?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}
