//! The book: the shop's journal, a line for every thing that was done to an order or a wheel, each chained to the line before it.
//!
//! Bytes in, entries and faults out; an event and the bytes so far in, the new lines out. The file itself is the business of `cli`.

mod chain;
mod complaint;
mod event;
mod life;
mod moment;
mod record;
mod reserved;
mod trace;

pub use chain::{Book, Entry, Fault, Tail, lines, read, seal_of, since, tail};
pub use complaint::{Complaint, complaint};
pub use event::{Event, FileHash, Kind};
pub use life::{Known, Life, left, lives, stays};
pub use moment::Moment;
pub use record::{Beside, END, RECORDS, Sealed, against, end, record_name};
pub use reserved::{Kept, kept};
pub use trace::{Traced, trace};

/// Its name in the shop's folder.
pub const NAME: &str = "book.jsonl";
