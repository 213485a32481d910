//! What is wrong with an order, by field: data, apart from findings of the rules.

/// One thing that is wrong with an order file.
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
