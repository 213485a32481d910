//! Limits and results that may be missing: known, unknown and why, or about something that is not there. Unknown never reads as met.

use serde::{Serialize, Serializer};

/// A limit or a result.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Certainty<T> {
    /// Worked out.
    Known(T),
    /// Cannot be worked out; what is missing, in words that end a sentence.
    Unknown(String),
    /// There is nothing it could be about; why.
    DoesNotApply(String),
}

impl<T> Certainty<T> {
    /// Known where there is a value, else unknown for this reason.
    pub fn of(value: Option<T>, why: impl Into<String>) -> Certainty<T> {
        value.map_or_else(|| Certainty::Unknown(why.into()), Certainty::Known)
    }

    /// The value where it is known. Only for showing it: whoever decides asks for each of the three.
    pub fn known(&self) -> Option<&T> {
        match self {
            Certainty::Known(value) => Some(value),
            Certainty::Unknown(_) | Certainty::DoesNotApply(_) => None,
        }
    }

    /// The same with the value changed.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Certainty<U> {
        match self {
            Certainty::Known(value) => Certainty::Known(change(value)),
            Certainty::Unknown(why) => Certainty::Unknown(why),
            Certainty::DoesNotApply(why) => Certainty::DoesNotApply(why),
        }
    }
}

/// The value, or null.
impl<T: Serialize> Serialize for Certainty<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.known().serialize(serializer)
    }
}
