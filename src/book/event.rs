//! What the book holds a line for.

use super::{Moment, Sealed};
use crate::quantity::Date;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// What was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// The order was taken.
    Taken,
    /// The approval drawing was made to be sent.
    Drawn,
    /// The customer approved it.
    Approved,
    /// An approval was withdrawn.
    Withdrawn,
    /// Blanks of the stock are kept for the order.
    Reserved,
    /// They are kept no longer.
    Released,
    /// A blank was taken from the stock.
    StockTaken,
    /// Everything of the order was made into a folder.
    Packed,
    /// Machine files were made; of a wheel: it was cut.
    Cut,
    /// A wheel was measured.
    Measured,
    /// A wheel was speed-tested.
    Tested,
    /// A wheel was balanced.
    Balanced,
    /// A wheel got its label.
    Labelled,
    /// It left the shop.
    Shipped,
    /// A wheel was scrapped.
    Scrapped,
    /// In the list of a pack's folder: a file was put there.
    Filed,
}

impl Kind {
    /// All that the book holds, in the order of a wheel's life.
    pub const ALL: [Kind; 15] = [
        Kind::Taken,
        Kind::Drawn,
        Kind::Approved,
        Kind::Withdrawn,
        Kind::Reserved,
        Kind::Released,
        Kind::StockTaken,
        Kind::Packed,
        Kind::Cut,
        Kind::Measured,
        Kind::Tested,
        Kind::Balanced,
        Kind::Labelled,
        Kind::Shipped,
        Kind::Scrapped,
    ];

    /// The word a person types for it, as in the file.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Taken => "taken",
            Kind::Drawn => "drawn",
            Kind::Approved => "approved",
            Kind::Withdrawn => "withdrawn",
            Kind::Reserved => "reserved",
            Kind::Released => "released",
            Kind::StockTaken => "stock-taken",
            Kind::Packed => "packed",
            Kind::Cut => "cut",
            Kind::Measured => "measured",
            Kind::Tested => "tested",
            Kind::Balanced => "balanced",
            Kind::Labelled => "labelled",
            Kind::Shipped => "shipped",
            Kind::Scrapped => "scrapped",
            Kind::Filed => "filed",
        }
    }
}

/// The name of a file and the hash of its bytes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileHash {
    /// Its name, without a folder.
    pub name: String,
    /// SHA-256 of its bytes, 64 hexadecimal digits.
    pub sha256: String,
}

/// One thing that was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// When the line was written.
    pub time: Moment,
    /// What was done.
    pub event: Kind,
    /// By whom.
    pub by: String,
    /// Number and revision of the order: `1042-B`.
    pub order: String,
    /// Fingerprint of the order, 64 hexadecimal digits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fingerprint: Option<String>,
    /// Trace code of the wheel; without one it was done to the whole order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wheel: Option<String>,
    /// Lot of the blank; several with commas between.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    /// Number of the stock wheel that is kept for the order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<String>,
    /// How many of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blanks: Option<u32>,
    /// How many wheels are ordered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub quantity: Option<u32>,
    /// Day the customer wants them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<Date>,
    /// Of a measurement or test: whether the wheel passed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub passed: Option<bool>,
    /// What else there is to say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The files that were made.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub files: Vec<FileHash>,
    /// In a wheel's record: what was found, all of it texts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<Value>,
    /// In the book: SHA-256 of what was found, which the wheel's record holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found_sha256: Option<String>,
    /// In a wheel's record: the line of the book.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_book: Option<Sealed>,
}

impl Event {
    /// Something that was done to an order, with nothing more to say.
    pub fn new(time: Moment, event: Kind, by: &str, order: &str) -> Event {
        Event {
            time,
            event,
            by: by.to_owned(),
            order: order.to_owned(),
            fingerprint: None,
            wheel: None,
            lot: None,
            stock: None,
            blanks: None,
            quantity: None,
            due: None,
            passed: None,
            note: None,
            files: Vec::new(),
            found: None,
            found_sha256: None,
            in_book: None,
        }
    }

    /// Whether its blank is of this lot.
    pub fn is_of_lot(&self, lot: &str) -> bool {
        self.lot.iter().flat_map(|all| all.split(',')).any(|one| one.trim() == lot)
    }
}
