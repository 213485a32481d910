//! The letters a drawing uses, as a style sheet that carries them.

use super::webfont::{self, SubsetError};
use crate::drawing::font::Font;
use crate::drawing::{Item, Lettering};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

/// A style sheet with its letters.
#[derive(Debug)]
pub(super) struct Embedded {
    /// The font's family, named by what it holds, so that two drawings on one page do not take each other's letters.
    pub family: String,
    /// The font files and what keeps a browser to the reckoned widths: no kerning, no ligatures, blanks as written.
    pub style: String,
}

/// The style sheet of some items; `None` where they hold no letters.
pub(super) fn embedded(items: &[Item]) -> Result<Option<Arc<Embedded>>, SubsetError> {
    /// The sheets of an order are written again and again: what the last ones needed is kept, the latest at the end.
    static KEPT: Mutex<VecDeque<(Letters, Arc<Embedded>)>> = Mutex::new(VecDeque::new());
    let mut letters = Letters::default();
    letters.collect(items);
    if letters.by_weight.is_empty() {
        return Ok(None);
    }
    let kept = || KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, embedded)) = kept().iter().find(|(of, _)| *of == letters) {
        return Ok(Some(Arc::clone(embedded)));
    }
    let made = Arc::new(letters.embedded()?);
    let mut kept = kept();
    if kept.len() == MOST_KEPT {
        kept.pop_front();
    }
    kept.push_back((letters, Arc::clone(&made)));
    Ok(Some(made))
}

/// Most style sheets kept, some tens of kilobytes each.
const MOST_KEPT: usize = 12;

/// The weight of a font in a style sheet.
pub(super) fn weight(lettering: Lettering) -> &'static str {
    match lettering {
        Lettering::Plain => "400",
        Lettering::Bold => "700",
    }
}

/// The characters used, by weight.
#[derive(Debug, Default, PartialEq, Eq)]
struct Letters {
    by_weight: BTreeMap<Lettering, Known>,
}

/// Characters with their glyphs.
#[derive(Debug, Default, PartialEq, Eq)]
struct Known {
    glyphs: BTreeMap<char, u16>,
    /// A bit for each ASCII character among them.
    ascii: u128,
}

impl Letters {
    fn collect(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Text(text) => {
                    for glyph in Font::of(text.lettering).glyphs(&text.content) {
                        self.by_weight.entry(text.lettering).or_default().add(glyph.character, glyph.id);
                    }
                }
                Item::Group(group) => self.collect(&group.items),
                _ => {}
            }
        }
    }

    fn embedded(&self) -> Result<Embedded, SubsetError> {
        let mut files = Vec::new();
        let mut hash = Sha256::new();
        for (&lettering, known) in &self.by_weight {
            let file = webfont::subset(Font::of(lettering), "wheeldraft letters", &known.glyphs)?;
            hash.update(&file);
            files.push((weight(lettering), BASE64.encode(&file)));
        }
        let digest: String = hash.finalize().iter().take(4).map(|byte| format!("{byte:02x}")).collect();
        let family = format!("wheeldraft-{digest}");
        let mut style = String::new();
        for (weight, data) in files {
            style += &format!(
                "@font-face{{font-family:{family};font-weight:{weight};src:url(data:font/ttf;base64,{data})}}\n"
            );
        }
        style += &format!(
            ".{family} text{{font-kerning:none;font-variant-ligatures:none;direction:ltr;unicode-bidi:bidi-override;white-space:pre}}"
        );
        Ok(Embedded { family, style })
    }
}

impl Known {
    fn add(&mut self, character: char, glyph: u16) {
        // most letters have been met before
        let bit = 1_u128.checked_shl(u32::from(character)).unwrap_or(0);
        if self.ascii & bit == 0 {
            self.ascii |= bit;
            self.glyphs.insert(character, glyph);
        }
    }
}
