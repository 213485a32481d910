//! `new --shop DIR`: a shop's folder to begin with.

use super::failure::shown;
use super::{Desk, Done, Failure, Outcome, files};
use crate::book;
use crate::profile::{self, FOLDERS};
use crate::shop::stock::list::COLUMNS;
use serde_json::json;
use std::path::{Path, PathBuf};

/// Makes the folder, its files and an empty book. Nothing that is there is replaced.
pub fn run(folder: &Path, name: Option<&str>, desk: &Desk) -> Done {
    let made = profile::start(name.unwrap_or_default().trim(), &COLUMNS).map_err(|p| Failure::new(p.message, p.hint))?;
    let mut all: Vec<(PathBuf, String)> = made.into_iter().map(|(name, text)| (folder.join(name), text)).collect();
    all.push((folder.join(book::NAME), String::new()));
    if let Some((there, _)) = all.iter().find(|(path, _)| path.symlink_metadata().is_ok()) {
        let message = format!("{} exists already; nothing was written", shown(there));
        return Err(Failure::new(message, "name another folder, or move the file away"));
    }
    for inner in FOLDERS {
        let path = folder.join(inner);
        std::fs::create_dir_all(&path).map_err(|e| Failure::io("make", &path, &e))?;
    }
    files::write_all(&all)?;
    let paths: Vec<PathBuf> = all.into_iter().map(|(path, _)| path).collect();
    desk.remark(&files::written(&paths));
    if name.is_none() {
        desk.remark("Put the shop's name into `name` of shop.json and of title-block.json.");
    }
    desk.remark("Rates and machine cards are invented examples: put in your own. Orders go into orders/.");
    if desk.is_json() {
        desk.print_json(&json!({ "format": 1, "files": paths.iter().map(|p| shown(p)).collect::<Vec<_>>() }))?;
    }
    Ok(Outcome::Made)
}
