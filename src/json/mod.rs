//! JSON files that people write: read with the place of everything that is wrong, all problems at once, each with what would be right.
//!
//! A [`Form`] says what a file holds. The reader holds the file against the form's schema, and mends slips whose meaning is plain, so that what is
//! sound can still be checked; nothing is ever made from a mended file.

mod edit;
mod form;
mod place;
mod problem;
mod read;
mod scan;
mod setting;
mod suggest;
mod value;
mod walk;
mod word;

pub use edit::{Edit, edited};
pub use form::Form;
pub use place::{Located, Place, Places};
pub use problem::{Problem, Problems};
pub use read::{LONGEST_FILE, Reading, is_touched, read};
pub use setting::setting;
pub use suggest::nearest;
pub use value::read_json;
