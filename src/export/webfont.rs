//! The letters a drawing uses as a small font a browser accepts.
//!
//! The subset made for PDF lacks what browsers ask for, so the tables `cmap` and `OS/2` are added and `post` and `name` replaced by short ones.
//! A character the font lacks is mapped to the replacement box, so that it stays the same text for searching and is as wide as reckoned.
//! Table layouts: OpenType 1.9 (ISO/IEC 14496-22).

use crate::drawing::font::Font;
use std::borrow::Cow;
use std::collections::BTreeMap;
use subsetter::GlyphRemapper;

/// Why the font cannot be cut down; with the font shipped it never happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the font could not be cut down to the letters used")]
pub struct SubsetError;

/// A font file with the glyphs of these characters (character → glyph of the whole font).
pub fn subset(font: &Font, family: &str, glyphs: &BTreeMap<char, u16>) -> Result<Vec<u8>, SubsetError> {
    let mut remapper = GlyphRemapper::new();
    let mapped: Vec<(u32, u16)> = glyphs.iter().map(|(&c, &g)| (u32::from(c), remapper.remap(g))).collect();
    let small = subsetter::subset(font.data(), 0, &remapper).map_err(|_| SubsetError)?;
    let mut tables = tables(&small).ok_or(SubsetError)?;
    let whole = self::tables(font.data()).ok_or(SubsetError)?;
    let os2 = whole.get(b"OS/2").ok_or(SubsetError)?.clone();
    tables.insert(*b"OS/2", os2);
    tables.insert(*b"cmap", cmap(&mapped).into());
    tables.insert(*b"name", name(family).into());
    tables.insert(*b"post", post().into());
    assemble(tables).ok_or(SubsetError)
}

type Tables<'f> = BTreeMap<[u8; 4], Cow<'f, [u8]>>;

/// The tables of a font file by tag.
fn tables(file: &[u8]) -> Option<Tables<'_>> {
    let count = u16::from_be_bytes(file.get(4..6)?.try_into().ok()?);
    (0..usize::from(count))
        .map(|i| {
            let record = file.get(12 + 16 * i..28 + 16 * i)?;
            let (offset, length) = (word(record, 8)? as usize, word(record, 12)? as usize);
            Some((record[..4].try_into().ok()?, file.get(offset..offset.checked_add(length)?)?.into()))
        })
        .collect()
}

fn word(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// Character map of format 12, which covers all of Unicode: one group for each run of characters whose glyphs follow each other.
fn cmap(mapped: &[(u32, u16)]) -> Vec<u8> {
    let mut groups: Vec<[u32; 3]> = Vec::new();
    for &(character, glyph) in mapped {
        let glyph = u32::from(glyph);
        match groups.last_mut() {
            Some([first, last, start]) if *last + 1 == character && *start + (character - *first) == glyph => {
                *last = character
            }
            _ => groups.push([character, character, glyph]),
        }
    }
    let length = 16 + 12 * groups.len() as u32;
    let mut table = Vec::new();
    // version 0, one subtable: platform 3 (Windows), encoding 10 (all of Unicode), at offset 12
    table.extend([0u16, 1, 3, 10].map(u16::to_be_bytes).concat());
    table.extend(12u32.to_be_bytes());
    table.extend([12u16, 0].map(u16::to_be_bytes).concat());
    table.extend([length, 0, groups.len() as u32].map(u32::to_be_bytes).concat());
    table.extend(groups.into_iter().flatten().flat_map(u32::to_be_bytes));
    table
}

/// Names 1 (family) and 6 (PostScript name); the licence lets a changed font keep any name but the original's.
fn name(family: &str) -> Vec<u8> {
    let utf16: Vec<u8> = family.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let length = utf16.len() as u16;
    let mut table = [0u16, 2, 6 + 2 * 12].map(u16::to_be_bytes).concat();
    for id in [1u16, 6] {
        // platform 3, encoding 1 (Unicode), language 0x409 (English)
        table.extend([3u16, 1, 0x409, id, length, 0].map(u16::to_be_bytes).concat());
    }
    table.extend(utf16);
    table
}

/// Version 3: no glyph names.
fn post() -> Vec<u8> {
    let mut table = 0x0003_0000u32.to_be_bytes().to_vec();
    table.resize(32, 0);
    table
}

/// A font file of these tables, with checksums.
fn assemble(mut tables: Tables) -> Option<Vec<u8>> {
    tables.get_mut(b"head")?.to_mut().get_mut(8..12)?.fill(0);
    let count = u16::try_from(tables.len()).ok()?;
    let selector = count.checked_ilog2()? as u16;
    let range = 16u16 << selector;
    let mut file = 0x0001_0000u32.to_be_bytes().to_vec();
    file.extend([count, range, selector, count * 16 - range].map(u16::to_be_bytes).concat());
    let mut body = Vec::new();
    let mut head = 0;
    let start = 12 + 16 * tables.len();
    for (tag, data) in &tables {
        let offset = start + body.len();
        if tag == b"head" {
            head = offset;
        }
        file.extend(tag);
        file.extend(
            [checksum(data), u32::try_from(offset).ok()?, u32::try_from(data.len()).ok()?]
                .map(u32::to_be_bytes)
                .concat(),
        );
        body.extend_from_slice(data);
        body.resize(body.len().next_multiple_of(4), 0);
    }
    file.extend(body);
    let adjustment = 0xB1B0_AFBAu32.wrapping_sub(checksum(&file));
    file.get_mut(head + 8..head + 12)?.copy_from_slice(&adjustment.to_be_bytes());
    Some(file)
}

/// Sum of the big-endian words, the last padded with zeros.
fn checksum(data: &[u8]) -> u32 {
    data.chunks(4).fold(0, |sum, chunk| {
        let mut word = [0; 4];
        word[..chunk.len()].copy_from_slice(chunk);
        sum.wrapping_add(u32::from_be_bytes(word))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Lettering;

    #[test]
    fn the_small_font_shows_the_same_letters_at_the_same_widths() {
        for lettering in [Lettering::Plain, Lettering::Bold] {
            let font = Font::of(lettering);
            let text = "Ø 16.5 ±0.1 éΩжλ研 ⌀𝔄";
            let glyphs: BTreeMap<char, u16> = font.glyphs(text).map(|g| (g.character, g.id)).collect();
            let file = subset(font, "letters", &glyphs).unwrap();
            assert!(file.len() < 30_000, "{}", file.len());
            assert_eq!(checksum(&file), 0xB1B0_AFBA);
            let face = ttf_parser::Face::parse(&file, 0).unwrap();
            for glyph in font.glyphs(text) {
                let id = face.glyph_index(glyph.character).unwrap();
                assert_ne!(id.0, 0);
                let advance = f64::from(face.glyph_hor_advance(id).unwrap()) / f64::from(face.units_per_em());
                assert_eq!(advance, glyph.advance, "{}", glyph.character);
            }
            assert!(face.glyph_index('Q').is_none());
        }
    }
}
