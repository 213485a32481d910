//! What the command line lends the page, which looks at no clock and knows no shop's folder by itself.

use crate::book::{Entry, Kind};
use crate::pack::NamedFile;
use crate::profile::Card;
use crate::quantity::Date;
use crate::wheel::Job;
use std::fmt::Debug;
use std::path::Path;

/// A file of the shop's folder that answers are made from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShopFile {
    /// The stock list.
    Stock,
    /// The rates.
    Rates,
}

/// Something that was done to an order, for the shop's book.
#[derive(Debug, Clone, Copy)]
pub struct Deed<'a> {
    /// What.
    pub kind: Kind,
    /// To which order.
    pub job: &'a Job,
    /// By whom; the person who runs the page, if absent.
    pub by: Option<&'a str>,
    /// What else there is to say.
    pub note: Option<&'a str>,
    /// Files that belong to it.
    pub files: &'a [NamedFile],
}

/// Files, clock and book, each asked for when it is needed: people change them while the page runs. Errors are in words. What is not lent is not there.
pub trait Lent: Debug + Send + Sync {
    /// Writes a file whole or not at all.
    ///
    /// # Errors
    /// Where it cannot be written.
    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), String>;

    /// The day here, and the last day it may be anywhere on earth; `None` where the clock shows none.
    fn days(&self) -> Option<(Date, Date)>;

    /// A file of the shop's folder; `None` where there is none.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn file(&self, which: ShopFile) -> Result<Option<Vec<u8>>, String> {
        let _ = which;
        Ok(None)
    }

    /// The cards of the customers' machines; none where there is no shop's folder.
    ///
    /// # Errors
    /// Where their file cannot be read.
    fn cards(&self) -> Result<Vec<Card>, String> {
        Ok(Vec::new())
    }

    /// The lines of the shop's book; `None` where there is none.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn book(&self) -> Result<Option<Vec<Entry>>, String> {
        Ok(None)
    }

    /// Enters something into the book, where there is a shop's folder.
    ///
    /// # Errors
    /// Where it cannot be written.
    fn enter(&self, deed: &Deed) -> Result<(), String> {
        let _ = deed;
        Ok(())
    }

    /// The list of the pack of an order in the shop's folder, as the file holds it; `None` where there is none.
    fn packed(&self, order: &str) -> Option<Vec<u8>> {
        let _ = order;
        None
    }

    /// Writes the pack of an order into the shop's folder and says where; `None` where there is no such folder.
    ///
    /// # Errors
    /// Where it cannot be written, or a paper of the earlier pack was filled in.
    fn pack(&self, order: &str, files: &[NamedFile]) -> Result<Option<String>, String> {
        let _ = (order, files);
        Ok(None)
    }
}
