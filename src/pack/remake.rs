//! A pack made again from its own order and the copies it carries: what it should hold, byte for byte.

use super::manifest::{Kind, Manifest};
use super::{NamedFile, Options, Pack, build};
use crate::cutting::control::Controls;
use crate::rules::ShopRules;
use crate::sheet::template::Template as TitleBlock;
use crate::shop::approval::Record;
use crate::shop::traveller::Template as TravellerTemplate;
use crate::state::{Approved, version};

/// Makes a pack again from the files of its folder.
///
/// # Errors
/// Where another version made it, or what it was made from is not there or cannot be read: why.
pub fn remade(files: &[NamedFile], manifest: &Manifest) -> Result<Pack, String> {
    if manifest.made_by != version() {
        return Err(format!("{} made it and this is {}", manifest.made_by, version()));
    }
    let held = Held { files, manifest };
    let order = held.needed(Kind::Order, "order")?;
    let rules = held.needed_text(Kind::Rules, "shop's rules")?;
    let shop = ShopRules::read(rules).map_err(|_| "the shop's rules in it cannot be read".to_owned())?;
    let job = shop.open(order).map_err(|_| "the order in it cannot be read".to_owned())?;
    let block = held.needed_text(Kind::TitleBlock, "title block")?;
    let logo = held.text(Kind::Logo);
    let title_block = TitleBlock::parse(block, logo).map_err(|e| format!("the title block in it: {e}"))?;
    let operations = held.needed_text(Kind::TravellerTemplate, "traveller's operations")?;
    let traveller = TravellerTemplate::read(operations).map_err(|_| "the traveller's operations in it cannot be read")?;
    let controls = match manifest.asked.programs {
        true => Some(
            Controls::read(held.needed_text(Kind::Controls, "controls")?)
                .map_err(|_| "the controls in it cannot be read".to_owned())?,
        ),
        false => None,
    };
    let approved = match (held.text(Kind::Approval), &manifest.asked.not_approved) {
        (Some(record), _) => Record::read(record).map_err(|e| format!("the approval in it: {e}"))?.now(&job, &shop),
        (None, Some(why)) => Approved::Not(why.clone()),
        (None, None) => return Err("the record of the approval is not in it".to_owned()),
    };
    let asked = &manifest.asked;
    let options = Options {
        order,
        shop: &shop,
        title_block: &title_block,
        traveller: &traveller,
        approved,
        unapproved: asked.unapproved,
        altered_by: asked.altered_by.clone(),
        groove_sample: asked.groove_sample,
        with: asked.with.clone(),
        programs: controls.as_ref(),
    };
    build(&job, &options).map_err(|e| format!("its order makes no pack: {e}"))
}

/// The files of a folder by what the list says they are.
struct Held<'a> {
    files: &'a [NamedFile],
    manifest: &'a Manifest,
}

impl<'a> Held<'a> {
    fn bytes(&self, kind: Kind) -> Option<&'a [u8]> {
        let entry = self.manifest.files.iter().find(|e| e.kind == kind)?;
        self.files.iter().find(|f| f.name == entry.name).map(|f| f.bytes.as_slice())
    }

    fn text(&self, kind: Kind) -> Option<&'a str> {
        self.bytes(kind).and_then(|bytes| std::str::from_utf8(bytes).ok())
    }

    fn needed(&self, kind: Kind, what: &str) -> Result<&'a [u8], String> {
        self.bytes(kind).ok_or_else(|| format!("its copy of the {what} is not there"))
    }

    fn needed_text(&self, kind: Kind, what: &str) -> Result<&'a str, String> {
        self.needed(kind, what)?;
        self.text(kind).ok_or_else(|| format!("its copy of the {what} is no text"))
    }
}

/// How the bytes found differ from those that belong there: the first line that does, or the place.
pub fn difference(found: &[u8], right: &[u8]) -> String {
    let at = found.iter().zip(right).position(|(a, b)| a != b).unwrap_or_else(|| found.len().min(right.len()));
    let (Ok(now), Ok(was)) = (std::str::from_utf8(found), std::str::from_utf8(right)) else {
        return format!("it differs from byte {} on", at + 1);
    };
    let line = found[..at].iter().filter(|b| **b == b'\n').count();
    let of = |text: &str| text.lines().nth(line).map_or_else(|| "nothing".to_owned(), shortened);
    format!("line {}: {} instead of {}", line + 1, of(now), of(was))
}

/// Most characters of a line that are shown.
const SHOWN: usize = 60;

fn shortened(line: &str) -> String {
    let clean: String = line.trim().chars().filter(|c| !c.is_control()).collect();
    let head: String = clean.chars().take(SHOWN).collect();
    if head == clean { format!("`{clean}`") } else { format!("`{head}…`") }
}
