//! Where the ring of each detail lies: its sheet and its zone, which the detail's caption names where there are several sheets.

use super::arrange::Sheet;
use super::format::Format;
use super::view::{ON_SHEET, Style, View, ViewKind};
use crate::drawing::{Group, Item, measure};
use crate::geometry::{Bounds, Point};
use crate::size::Subject;

/// Sheet and zone of the ring of each letter, the first one where several places are ringed.
pub fn places(format: &Format, sheets: &[Sheet], style: &Style) -> Vec<(char, String)> {
    let mut found: Vec<(char, String)> = Vec::new();
    for (i, sheet) in sheets.iter().enumerate() {
        for (view, at) in &sheet.views {
            for (letter, ring) in letters(&view.group) {
                let zone = format.zone(ring + *at);
                if found.iter().all(|(l, _)| *l != letter) {
                    let names = [("sheet", (i + 1).to_string()), ("zone", zone.to_string())];
                    let names = names.each_ref().map(|(name, words)| (*name, words.as_str()));
                    found.push((letter, style.put("view.ring", &names)));
                }
            }
        }
    }
    found
}

/// The letters at rings of a view, and where they stand.
fn letters(group: &Group) -> Vec<(char, Point)> {
    let mut out = Vec::new();
    for item in &group.items {
        let Item::Group(inner) = item else { continue };
        if !matches!(inner.subject, Some(Subject::Mark(name)) if name.starts_with("ring")) {
            continue;
        }
        out.extend(inner.items.iter().filter_map(|i| match i {
            Item::Text(text) => Some((text.content.chars().next()?, text.at)),
            _ => None,
        }));
    }
    out
}

/// A view whose caption, where it is a detail's, says where its ring lies, or no more than it did where one sheet holds everything.
pub fn named(view: &View, places: &[(char, String)], sheets: usize) -> View {
    let mut view = view.clone();
    let ViewKind::Detail { letter, .. } = view.kind else { return view };
    let place = places.iter().find(|(l, _)| *l == letter).filter(|_| sheets > 1).map(|(_, words)| words);
    for item in &mut view.group.items {
        let Item::Group(caption) = item else { continue };
        if caption.subject != Some(Subject::Mark("caption")) {
            continue;
        }
        caption.items.retain_mut(|i| match (i, place) {
            (Item::Text(text), Some(words)) if text.content == ON_SHEET => {
                text.content.clone_from(words);
                true
            }
            (Item::Text(text), None) => text.content != ON_SHEET,
            _ => true,
        });
    }
    let boxes = view.group.items.iter().filter_map(measure::bounds);
    view.bounds = boxes.reduce(Bounds::union).unwrap_or(view.bounds);
    view
}
