//! The letters of a file, the usual ones and what else it uses: one code a character, so that every one is found by searching, whatever glyph it shares.

use super::{PdfError, packed};
use crate::drawing::Lettering;
use crate::drawing::font::Font;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::sync::OnceLock;
use subsetter::GlyphRemapper;

/// Parts of a font in the file.
pub(super) const PARTS: i32 = 6;
/// The only character collection with codes of one's own.
const SYSTEM: SystemInfo = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
/// Units of an em in widths (ISO 32000-1, 9.2.4).
const EM: f64 = 1000.0;
/// Width of upright stems, thousandths of an em: viewers ask for one where the font is missing, which it never is.
const STEM: [f32; 2] = [90.0, 180.0];

/// What nearly every paper holds, in the order of its codes: a paper with no other letters takes the font as it was cut down for the first one.
const USUAL: &str = " !\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~§°±²³·×Ø–—−≤≥√…";

/// The font as it is cut down for the usual letters, one a weight.
static CUT_DOWN: [OnceLock<CutDown>; 2] = [OnceLock::new(), OnceLock::new()];

/// What a file holds of a font, packed.
struct CutDown {
    /// Name of these letters alone.
    name: String,
    /// Bytes of the font's own program before packing.
    length: i32,
    program: Vec<u8>,
    unicode: Vec<u8>,
    glyphs: Vec<u8>,
}

/// Characters of one weight with their codes, from 1 on: the usual ones, and others in the order they are met.
pub(super) struct Letters {
    lettering: Lettering,
    codes: BTreeMap<char, u16>,
    /// Character, glyph of the whole font and advance (em) by code, less one.
    known: Vec<(char, u16, f64)>,
    /// How many of them every paper has.
    usual: usize,
}

impl Letters {
    pub fn new(lettering: Lettering) -> Letters {
        let mut letters = Letters { lettering, codes: BTreeMap::new(), known: Vec::new(), usual: 0 };
        letters.codes(USUAL);
        letters.usual = letters.known.len();
        letters
    }

    /// A text as codes of two bytes.
    pub fn codes(&mut self, content: &str) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(2 * content.len());
        for glyph in Font::of(self.lettering).glyphs(content) {
            let known = &mut self.known;
            let code = *self.codes.entry(glyph.character).or_insert_with(|| {
                known.push((glyph.character, glyph.id, glyph.advance));
                known.len() as u16
            });
            bytes.extend(code.to_be_bytes());
        }
        bytes
    }

    /// Writes the font; its parts have the numbers from `first` on.
    pub fn write(&self, first: Ref, pdf: &mut Pdf) -> Result<(), PdfError> {
        let part = |i: i32| Ref::new(first.get() + i);
        let [own, descriptor, program, unicode, glyphs] = [1, 2, 3, 4, 5].map(part);
        let (usual, special) = (&CUT_DOWN[usize::from(self.lettering == Lettering::Bold)], OnceLock::new());
        let known = if self.known.len() == self.usual { usual } else { &special };
        let font = match known.get() {
            Some(font) => font,
            None => {
                let made = self.cut_down()?;
                known.get_or_init(|| made)
            }
        };
        let name = Name(font.name.as_bytes());
        pdf.type0_font(first)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(own)
            .to_unicode(unicode);
        let mut cid = pdf.cid_font(own);
        cid.subtype(CidFontType::Type2).base_font(name).system_info(SYSTEM).font_descriptor(descriptor);
        cid.cid_to_gid_map_stream(glyphs).default_width(0.0);
        // three digits of a thousandth, as the widths in the font are not whole
        let widths = self.known.iter().map(|&(_, _, advance)| ((advance * EM * EM).round() / EM) as f32);
        cid.widths().consecutive(1, widths);
        cid.finish();
        self.describe(descriptor, program, name, pdf);
        pdf.stream(program, &font.program).filter(Filter::FlateDecode).pair(Name(b"Length1"), font.length);
        pdf.cmap(unicode, &font.unicode).filter(Filter::FlateDecode);
        pdf.stream(glyphs, &font.glyphs).filter(Filter::FlateDecode);
        Ok(())
    }

    /// The font with these letters alone.
    fn cut_down(&self) -> Result<CutDown, PdfError> {
        let mut remapper = GlyphRemapper::new();
        let map: Vec<u16> = self.known.iter().map(|&(_, id, _)| remapper.remap(id)).collect();
        let file = subsetter::subset(Font::of(self.lettering).data(), 0, &remapper).map_err(|_| PdfError::Font)?;
        let mut cmap = UnicodeCmap::<u16>::new(Name(b"Letters"), SYSTEM);
        (1..).zip(&self.known).for_each(|(code, &(character, ..))| cmap.pair(code, character));
        let map: Vec<u8> = std::iter::once(0).chain(map).flat_map(u16::to_be_bytes).collect();
        Ok(CutDown {
            name: self.name(&file),
            length: file.len() as i32,
            program: packed(&file)?,
            unicode: packed(&cmap.finish())?,
            glyphs: packed(&map)?,
        })
    }

    fn describe(&self, id: Ref, program: Ref, name: Name, pdf: &mut Pdf) {
        let font = Font::of(self.lettering);
        let em = |share: f64| (share * EM) as f32;
        let [left, low, right, high] = font.extent().map(em);
        let stem = STEM[usize::from(self.lettering == Lettering::Bold)];
        pdf.font_descriptor(id)
            .name(name)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(left, low, right, high))
            .italic_angle(0.0)
            .ascent(em(font.ascent()))
            .descent(em(-font.descent()))
            .cap_height(em(font.capital_height()))
            .stem_v(stem)
            .font_file2(program);
    }

    /// Six capitals that belong to these letters alone, and the font's own name: ISO 32000-1, 9.6.4.
    fn name(&self, file: &[u8]) -> String {
        let tag: String = Sha256::digest(file).iter().take(6).map(|byte| char::from(b'A' + byte % 26)).collect();
        let weight = match self.lettering {
            Lettering::Plain => "DejaVuSans",
            Lettering::Bold => "DejaVuSans-Bold",
        };
        format!("{tag}+{weight}")
    }
}
