//! The one font shipped: which glyphs a text becomes, and their outlines. DejaVu Sans 2.37, plain and bold, free licence (see the `dejavu` crate).
//!
//! A text becomes one glyph after another, with the font's own advances: no kerning, no ligatures. Every writer does the same, so that a text is
//! as wide on screen and on paper as it was reckoned when the sheet was laid out.

use super::Lettering;
use std::sync::OnceLock;
use ttf_parser::{Face, GlyphId};

pub use ttf_parser::OutlineBuilder;

/// Stands for a character the font lacks: a hollow upright rectangle, a sign no drawing uses.
pub const REPLACEMENT: char = '\u{25AF}';

/// Characters below this are looked up in the font once and then remembered: Latin, Greek, Cyrillic, punctuation, arrows, signs of arithmetic.
const REMEMBERED: usize = 0x2300;
/// So many neighbours are looked up together, the first time one of them is met.
const TOGETHER: usize = 64;

/// One weight of the font, parsed once.
pub struct Font {
    data: &'static [u8],
    face: Face<'static>,
    capital_height: f64,
    remembered: [OnceLock<Box<[Metric]>>; REMEMBERED / TOGETHER],
}

/// What lettering needs to know of a character.
#[derive(Debug, Clone, Copy)]
struct Metric {
    id: u16,
    /// Advance, em.
    advance: f64,
    missing: bool,
    /// Box around its ink, em from its origin.
    ink: Option<[f64; 4]>,
}

/// One glyph of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glyph {
    /// Its index in the font.
    pub id: u16,
    /// The character it shows.
    pub character: char,
    /// Byte range of that character in the shown text, start.
    pub start: usize,
    /// Byte range of that character in the shown text, end.
    pub end: usize,
    /// From the text's start to the glyph's origin, em.
    pub x: f64,
    /// Advance, em.
    pub advance: f64,
    /// Whether the font lacks the character and shows [`REPLACEMENT`].
    pub missing: bool,
    /// Box around its ink: left, bottom, right, top, em from its origin; `None` where it has no ink.
    pub ink: Option<[f64; 4]>,
}

impl Font {
    /// The font of this weight.
    pub fn of(lettering: Lettering) -> &'static Font {
        static PLAIN: OnceLock<Font> = OnceLock::new();
        static BOLD: OnceLock<Font> = OnceLock::new();
        match lettering {
            Lettering::Plain => PLAIN.get_or_init(|| Font::parse(dejavu::sans::regular())),
            Lettering::Bold => BOLD.get_or_init(|| Font::parse(dejavu::sans::bold())),
        }
    }

    fn parse(data: &'static [u8]) -> Font {
        // the bytes are compiled in; a test parses both weights
        let face = Face::parse(data, 0).expect("the font shipped can be read");
        let em = f64::from(face.units_per_em());
        let capital = face.glyph_index('H').and_then(|h| face.glyph_bounding_box(h));
        let capital_height = capital.map_or(em, |b| f64::from(b.y_max)) / em;
        Font { data, face, capital_height, remembered: [const { OnceLock::new() }; REMEMBERED / TOGETHER] }
    }

    /// The font file.
    pub fn data(&self) -> &'static [u8] {
        self.data
    }

    /// Height of the capital H, em.
    pub fn capital_height(&self) -> f64 {
        self.capital_height
    }

    /// Top of the glyph cell above the baseline, em.
    pub fn ascent(&self) -> f64 {
        self.em(self.face.ascender())
    }

    /// Bottom of the glyph cell below the baseline, em; positive downwards.
    pub fn descent(&self) -> f64 {
        -self.em(self.face.descender())
    }

    /// Box around all its glyphs: left, bottom, right, top, em.
    pub fn extent(&self) -> [f64; 4] {
        let all = self.face.global_bounding_box();
        [all.x_min, all.y_min, all.x_max, all.y_max].map(|units| self.em(units))
    }

    /// Units of the font's own grid in one em.
    pub fn units_per_em(&self) -> f64 {
        f64::from(self.face.units_per_em())
    }

    fn em(&self, units: i16) -> f64 {
        f64::from(units) / self.units_per_em()
    }

    /// Whether it can show a character.
    pub fn has(&self, character: char) -> bool {
        !self.metric(character).missing
    }

    fn glyph(&self, character: char) -> Option<GlyphId> {
        if is_right_to_left(character) { None } else { self.face.glyph_index(character) }
    }

    /// The glyphs of a text as [`shown`] leaves it, left to right.
    pub fn glyphs(&self, content: &str) -> impl Iterator<Item = Glyph> {
        let (mut x, mut start) = (0.0, 0);
        content.chars().filter_map(shown_as).map(move |character| {
            let Metric { id, advance, missing, ink } = self.metric(character);
            let end = start + character.len_utf8();
            let glyph = Glyph { id, character, start, end, x, advance, missing, ink };
            x += advance;
            start = end;
            glyph
        })
    }

    /// Width of a text as [`shown`] leaves it: the sum of its glyphs' advances, em.
    pub fn advance(&self, content: &str) -> f64 {
        self.advance_from(0.0, content)
    }

    /// Width of a longer text whose beginning is `before` wide, em: the same number as that of the whole.
    pub fn advance_from(&self, before: f64, more: &str) -> f64 {
        more.chars().filter_map(shown_as).fold(before, |x, c| x + self.metric(c).advance)
    }

    #[inline]
    fn metric(&self, character: char) -> Metric {
        let code = character as usize;
        match self.remembered.get(code / TOGETHER) {
            Some(known) => known.get_or_init(|| self.neighbours(code / TOGETHER))[code % TOGETHER],
            None => self.look_up(character),
        }
    }

    fn neighbours(&self, block: usize) -> Box<[Metric]> {
        let codes = block * TOGETHER..(block + 1) * TOGETHER;
        // none of these is a surrogate
        codes.map(|code| self.look_up(char::from_u32(code as u32).unwrap_or(REPLACEMENT))).collect()
    }

    fn look_up(&self, character: char) -> Metric {
        let found = self.glyph(character);
        let id = found.or_else(|| self.face.glyph_index(REPLACEMENT)).unwrap_or(GlyphId(0));
        let advance = f64::from(self.face.glyph_hor_advance(id).unwrap_or(0)) / self.units_per_em();
        let ink = self.face.glyph_bounding_box(id);
        let ink = ink.map(|b| [self.em(b.x_min), self.em(b.y_min), self.em(b.x_max), self.em(b.y_max)]);
        Metric { id: id.0, advance, missing: found.is_none(), ink }
    }

    /// Draws a glyph's outline, in the font's own grid with y up.
    pub fn outline(&self, glyph: u16, to: &mut dyn OutlineBuilder) {
        // no ink, no outline: nothing to do
        let _ = self.face.outline_glyph(GlyphId(glyph), to);
    }
}

/// A text as every writer shows it: a tab or line break becomes a blank; other control characters, and those that are never seen (joiners, soft
/// hyphens, marks that turn the writing direction), are left out.
pub fn shown(content: &str) -> String {
    content.chars().filter_map(shown_as).collect()
}

/// A character as it is shown; `None` where it is left out.
pub(super) fn shown_as(c: char) -> Option<char> {
    // by far the most
    if matches!(c, ' '..='~') {
        return Some(c);
    }
    if matches!(c, '\t' | '\n' | '\r' | '\u{2028}' | '\u{2029}') { Some(' ') } else { (!is_unseen(c)).then_some(c) }
}

/// Letters written from right to left (Unicode's blocks for such scripts). Set one after another from the left they would be read backwards, and
/// most would have to join: better an honest box than a wrong word.
fn is_right_to_left(c: char) -> bool {
    matches!(u32::from(c), 0x0590..=0x08FF | 0xFB1D..=0xFDFF | 0xFE70..=0xFEFF | 0x10800..=0x10FFF | 0x1E800..=0x1EFFF)
}

fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(u32::from(c),
            0x00AD | 0x034F | 0x061C | 0x115F..=0x1160 | 0x17B4..=0x17B5 | 0x180B..=0x180F | 0x200B..=0x200F | 0x202A..=0x202E
            | 0x2060..=0x206F | 0x3164 | 0xFE00..=0xFE0F | 0xFEFF | 0xFFA0 | 0xFFF0..=0xFFFB | 0xFFFE..=0xFFFF | 0xE0000..=0xE0FFF)
}
