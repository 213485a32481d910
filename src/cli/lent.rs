//! What `serve` lends the page: the shop's folder around the orders, its book, the clock.

use super::premises::{self, Premises};
use super::{Failure, clock, files, folder, journal};
use crate::book::{self, Entry, Event};
use crate::pack::{NamedFile, manifest};
use crate::profile::Card;
use crate::quantity::Date;
use crate::web::{Deed, Lent, ShopFile};
use std::path::{Path, PathBuf};

/// Where packs lie in a shop's folder.
const PACKS: &str = "packs";

/// The shop's folder in use, if any.
#[derive(Debug)]
pub struct Counter {
    /// Where it is and what it holds.
    pub shop: Option<Premises>,
}

impl Counter {
    fn pack_of(&self, order: &str) -> Option<PathBuf> {
        self.shop.as_ref().map(|shop| shop.folder.join(PACKS).join(order))
    }
}

impl Lent for Counter {
    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), String> {
        files::write(path, bytes).map_err(Failure::words)
    }

    fn days(&self) -> Option<(Date, Date)> {
        clock::today().zip(clock::latest_day())
    }

    fn file(&self, which: ShopFile) -> Result<Option<Vec<u8>>, String> {
        let Some(shop) = &self.shop else { return Ok(None) };
        let name = match which {
            ShopFile::Stock => shop.profile.stock.as_ref(),
            ShopFile::Rates => shop.profile.rates.as_ref(),
        };
        shop.file(name).map(|path| files::read(&path, files::LONGEST_TEXT)).transpose().map_err(Failure::words)
    }

    fn cards(&self) -> Result<Vec<Card>, String> {
        match &self.shop {
            Some(shop) if shop.profile.machines.is_some() => shop.cards().map_err(Failure::words),
            _ => Ok(Vec::new()),
        }
    }

    fn book(&self) -> Result<Option<Vec<Entry>>, String> {
        let Some(path) = self.shop.as_ref().map(|shop| shop.folder.join(book::NAME)).filter(|path| path.exists()) else {
            return Ok(None);
        };
        journal::read(&path).map(|book| Some(book.entries)).map_err(Failure::words)
    }

    fn enter(&self, deed: &Deed) -> Result<(), String> {
        let Some(shop) = &self.shop else { return Ok(()) };
        let event = premises::event(deed.kind, deed.job, deed.by).map_err(Failure::words)?;
        let files = deed.files.iter().map(premises::of_file).collect();
        let event = Event { note: deed.note.map(str::to_owned), files, ..event };
        shop.enter(&[event]).map(drop).map_err(Failure::words)
    }

    fn packed(&self, order: &str) -> Option<Vec<u8>> {
        files::read(&self.pack_of(order)?.join(manifest::NAME), files::LONGEST_TEXT).ok()
    }

    fn pack(&self, order: &str, files: &[NamedFile]) -> Result<Option<String>, String> {
        let Some(target) = self.pack_of(order) else { return Ok(None) };
        folder::sweep(&files::parent_of(&target));
        let kept = folder::write_pack(&target, files).map_err(Failure::words)?;
        let place = super::failure::shown(&target);
        Ok(Some([vec![place], kept].concat().join("; ")))
    }
}
