//! What the reader of finished sheets has to be told about them.

use super::format::Format;
use super::notes::NOT_PLACED;
use crate::drawing::{Drawing, Item};
use crate::drawing::font::REPLACEMENT;
use crate::drawing::measure;
use crate::order::SheetSize;

/// What became of the sheet the order names, and of sizes that have no room in a view.
pub fn layout(drawings: &[Drawing], named: Option<SheetSize>) -> Vec<String> {
    let mut told = Vec::new();
    let (named, drawn) = (named.map(Format::of), drawings.first());
    if let (Some(named), Some(sheet)) = (named, drawn) {
        let made = Format::ALL.map(Format::of).into_iter().find(|f| f.width == sheet.width && f.height == sheet.height);
        if let Some(made) = made.filter(|made| made.size != named.size) {
            told.push(format!("sheet {}, as the order names it, is too small: drawn on {}", named.name(), made.name()));
        }
    }
    let unplaced = |item: &Item| matches!(item, Item::Group(g) if g.id.starts_with(NOT_PLACED));
    if drawings.iter().any(|sheet| sheet.items.iter().any(unplaced)) {
        told.push("some sizes have no room in a view: the sheets name them, their values stand in the tables".to_owned());
    }
    told
}

/// A sentence each: paper larger than the order names, sizes that no view shows, characters that the sheets' font has not.
pub fn remarks(drawings: &[Drawing], named: Option<SheetSize>) -> Vec<String> {
    let mut told: Vec<String> = layout(drawings, named);
    // a reader of the sheet sees a box in their place
    let mut lacking: Vec<char> = drawings.iter().flat_map(|sheet| measure::missing_in(&sheet.items)).collect();
    lacking.sort_unstable();
    lacking.dedup();
    if !lacking.is_empty() {
        let named: Vec<String> = lacking.iter().map(|c| format!("{c} (U+{:04X})", u32::from(*c))).collect();
        told.push(format!("the sheets' font has no {}: drawn as {REPLACEMENT}", named.join(", ")));
    }
    told
}
