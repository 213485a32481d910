//! `verify`: whether a pack is still what was made.

use super::failure::shown;
use super::palette::Palette;
use super::{Desk, Done, Failure, Outcome, filed, folder};
use crate::pack::manifest::NAME;
use crate::pack::verify::{Fault, Found, NoPack, Proof, Verified, verify};
use crate::wheel::Job;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// Arguments of `verify`.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  wheeldraft verify packs/1042-B\n  wheeldraft verify packs/1042-B --order 1042.json\n  wheeldraft verify packs\n\n\
    The pack is made again from its own order and the copies of rules and templates it carries, and compared byte by byte: a file changed \
    together with its hash is found too, and how it differs is said. A pack of another version is compared by its hashes alone, which is said. \
    Certificates, sheets and labels that a command has put into the pack's folder are known by filed.jsonl there. \
    With --order, it is held against the order as it is now as well. A folder of packs is gone through pack by pack. Exit 1: a file is stale, altered, missing, foreign or unproved."
)]
pub struct Args {
    /// The folder of a pack, or of several.
    folder: PathBuf,
    /// The order as it is now.
    #[arg(long, value_name = "ORDER")]
    order: Option<PathBuf>,
}

/// Looks at the pack.
pub fn run(args: &Args, desk: &Desk) -> Done {
    let now = args.order.as_deref().map(|file| desk.job(file)).transpose()?;
    let mut looked: Vec<(PathBuf, Result<Verified, NoPack>)> = Vec::new();
    for folder in packs(&args.folder)? {
        let files = folder::read(&folder)?;
        let mut verified = verify(&files, now.as_ref());
        verified.iter_mut().for_each(|v| filed::hold(&files, &mut v.found));
        looked.push((folder, verified));
    }
    if now.is_some() && looked.len() > 1 {
        return Err(Failure::new(
            "--order goes with one pack, not with a folder of several",
            "name the pack's own folder",
        ));
    }
    print(&looked, now.as_ref(), desk)?;
    let is_sound = |v: &Result<Verified, NoPack>| v.as_ref().is_ok_and(|v| v.found.is_empty());
    Ok(if looked.iter().all(|(_, v)| is_sound(v)) { Outcome::Made } else { Outcome::Stopped })
}

/// The folder itself, or the packs in it.
fn packs(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    if folder.join(NAME).exists() {
        return Ok(vec![folder.to_owned()]);
    }
    let failed = |e: std::io::Error| Failure::io("read", folder, &e);
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if path.join(NAME).exists() {
            found.push(path);
        }
    }
    if found.is_empty() {
        let message = format!("{}: {}", shown(folder), NoPack::NoManifest);
        return Err(Failure::new(message, "name a folder that `pack` or `batch` has written"));
    }
    found.sort();
    Ok(found)
}

fn print(looked: &[(PathBuf, Result<Verified, NoPack>)], now: Option<&Job>, desk: &Desk) -> Result<(), Failure> {
    if desk.is_json() {
        let packs: Vec<Value> = looked.iter().map(|(folder, v)| json_of(folder, v)).collect();
        return desk.print_json(&json!({ "format": 1, "packs": packs }));
    }
    let palette = desk.palette();
    let text: String = looked.iter().map(|(folder, v)| text(folder, v, now, palette)).collect();
    desk.print(&text)
}

fn json_of(folder: &Path, looked: &Result<Verified, NoPack>) -> Value {
    match looked {
        Ok(v) => json!({
            "folder": shown(folder), "order": v.order, "fingerprint": v.fingerprint, "proof": v.proof, "sound": v.sound, "found": v.found,
        }),
        Err(e) => json!({ "folder": shown(folder), "error": e.to_string() }),
    }
}

fn text(folder: &Path, looked: &Result<Verified, NoPack>, now: Option<&Job>, palette: Palette) -> String {
    let verified = match looked {
        Ok(v) => v,
        Err(e) => return format!("{}: {}\n", shown(folder), palette.bad(&e.to_string())),
    };
    let short = verified.fingerprint.get(..8).unwrap_or_default();
    let mut out =
        format!("{}: order {}, fingerprint {short}, {} files as made", shown(folder), verified.order, verified.sound);
    if verified.found.is_empty() {
        let against = if now.is_some() { ", and the order is still the same" } else { "" };
        let by = match &verified.proof {
            Proof::Remade => String::new(),
            Proof::Hashes(why) => format!(", by its hashes alone: {why}"),
        };
        return out + &palette.good(&format!(": in order{against}{by}\n"));
    }
    out.push('\n');
    out.extend(verified.found.iter().map(|f| line(f, palette)));
    out
}

fn line(found: &Found, palette: Palette) -> String {
    let word = found.fault.word();
    let word = if found.fault == Fault::Foreign { palette.caution(word) } else { palette.bad(word) };
    format!("  {word} {}: {}\n", found.name, found.message)
}
