//! How wide and how high lettering is, in millimetres, before any file is written.
//!
//! A text's own frame has its origin at the anchor point, x along the baseline, y up; the sheet's frame follows by turning and moving it.

use super::font::{Font, shown, shown_as};
use super::{Anchor, Item, Lettering, Text};
use crate::geometry::{Bounds, Point};

/// A rectangle that may be turned: its corners counter-clockwise from the one at the text's lower left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quad {
    /// The corners, mm.
    pub corners: [Point; 4],
}

impl Quad {
    /// The smallest upright box around it.
    pub fn bounds(&self) -> Bounds {
        let [a, b, c, d] = self.corners;
        Bounds::of(a, b).union(Bounds::of(c, d))
    }
}

/// Font size at which capitals are `height` high, in the unit of `height`.
pub fn font_size(height: f64, lettering: Lettering) -> f64 {
    height / Font::of(lettering).capital_height()
}

/// Width of a text whose capitals are `height` high: the sum of the glyphs' advances, in the unit of `height`.
pub fn width(content: &str, height: f64, lettering: Lettering) -> f64 {
    advance_em(content, lettering) * font_size(height, lettering)
}

fn advance_em(content: &str, lettering: Lettering) -> f64 {
    Font::of(lettering).advance(content)
}

/// Width of a text, mm: the sum of the glyphs' advances.
pub fn advance(text: &Text) -> f64 {
    width(&text.content, text.height, text.lettering)
}

/// From the text's start to its anchor point, mm along the baseline.
pub fn anchor_offset(text: &Text) -> f64 {
    match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => advance(text) / 2.0,
        Anchor::End => advance(text),
    }
}

/// Box of the glyph cells in the text's own frame, mm: as wide as the advances, from the font's descent to its ascent.
#[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
pub fn cell(text: &Text) -> Bounds {
    let font = Font::of(text.lettering);
    let size = font_size(text.height, text.lettering);
    let left = -anchor_offset(text);
    Bounds::of(Point::new(left, -font.descent() * size), Point::new(left + advance(text), font.ascent() * size))
}

/// Box of the ink in the text's own frame, mm; `None` where nothing is seen (empty, or blanks only).
pub fn ink(text: &Text) -> Option<Bounds> {
    let font = Font::of(text.lettering);
    let size = font_size(text.height, text.lettering);
    let left = -anchor_offset(text);
    let boxes = font.glyphs(&text.content).filter_map(|g| {
        let [x0, y0, x1, y1] = g.ink?;
        let at = |x: f64, y: f64| Point::new(left + (g.x + x) * size, y * size);
        Some(Bounds::of(at(x0, y0), at(x1, y1)))
    });
    boxes.reduce(Bounds::union)
}

/// A box of the text's own frame as it lies on the sheet.
pub fn placed(text: &Text, own: Bounds) -> Quad {
    let put = |x: f64, y: f64| on_sheet(text, Point::new(x, y));
    let Bounds { min, max } = own;
    Quad { corners: [put(min.x, min.y), put(max.x, min.y), put(max.x, max.y), put(min.x, max.y)] }
}

/// A point of the text's own frame as it lies on the sheet.
pub fn on_sheet(text: &Text, own: Point) -> Point {
    text.at + turned(own, text.turned_deg)
}

/// Turned counter-clockwise by degrees; exact for whole quarters, so that upright text keeps exact boxes.
fn turned(p: Point, deg: f64) -> Point {
    match deg.rem_euclid(360.0) {
        0.0 => p,
        90.0 => p.left(),
        180.0 => -p,
        270.0 => -p.left(),
        other => p.rotated(other.to_radians()),
    }
}

/// The ink's box as it lies on the sheet; `None` where nothing is seen.
pub fn ink_on_sheet(text: &Text) -> Option<Quad> {
    ink(text).map(|own| placed(text, own))
}

/// The glyph cells' box as it lies on the sheet.
#[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
pub fn cell_on_sheet(text: &Text) -> Quad {
    placed(text, cell(text))
}

/// The smallest upright box around an item, lettering included (its ink); `None` where nothing is seen.
pub fn bounds(item: &Item) -> Option<Bounds> {
    match item {
        Item::Text(text) => ink_on_sheet(text).map(|quad| quad.bounds()),
        Item::Group(group) => group.items.iter().filter_map(bounds).reduce(Bounds::union),
        other => other.bounds(),
    }
}

/// The characters the font cannot show, each once, in order of appearance; they are drawn as [`REPLACEMENT`](super::font::REPLACEMENT).
pub fn missing(content: &str) -> Vec<char> {
    let fonts = [Lettering::Plain, Lettering::Bold].map(Font::of);
    let mut lacking = Vec::new();
    for c in content.chars().filter_map(shown_as) {
        if !fonts.iter().all(|font| font.has(c)) && !lacking.contains(&c) {
            lacking.push(c);
        }
    }
    lacking
}

/// The characters of a drawing's texts that the font cannot show, each once.
pub fn missing_in(items: &[Item]) -> Vec<char> {
    let mut lacking: Vec<char> = Vec::new();
    for item in items {
        let found = match item {
            Item::Text(text) => missing(&text.content),
            Item::Group(group) => missing_in(&group.items),
            _ => Vec::new(),
        };
        for c in found {
            if !lacking.contains(&c) {
                lacking.push(c);
            }
        }
    }
    lacking
}

/// A blank at which no line ends.
pub const NO_BREAK: &str = "\u{a0}";

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| c.is_whitespace() && !NO_BREAK.contains(c)).filter(|word| !word.is_empty())
}

/// Width of the widest part of a text that is broken only where there is no room for it (same unit as `height`).
pub fn widest_word(content: &str, height: f64, lettering: Lettering) -> f64 {
    let parts = words(content).flat_map(|word| word.split_inclusive(is_joint));
    parts.map(|part| width(part, height, lettering)).fold(0.0, f64::max)
}

/// The same lines as [`wrapped`] makes, as even as they can be.
pub fn balanced(content: &str, height: f64, lettering: Lettering, limit: f64) -> Vec<String> {
    let lines = wrapped(content, height, lettering, limit);
    let least = width(content, height, lettering) / lines.len() as f64;
    let steps = if lines.len() > 1 { ((limit - least) / height).max(0.0) as u32 } else { 0 };
    let narrower = (0..steps).map(|step| wrapped(content, height, lettering, least + f64::from(step) * height));
    let mut even = narrower.filter(|narrow| narrow.len() == lines.len());
    even.next().unwrap_or(lines)
}

/// A text broken into lines no wider than `limit` (same unit as `height`), at blanks; a single word wider than that is broken between
/// characters, behind a hyphen, underscore or stroke where it has one. Never empty: an empty text gives one empty line.
pub fn wrapped(content: &str, height: f64, lettering: Lettering, limit: f64) -> Vec<String> {
    let font = Font::of(lettering);
    let size = font_size(height, lettering);
    let text = shown(content);
    let mut lines = Vec::new();
    // the line begun, and its width in em: what follows is added to it, so that every character is measured once
    let (mut line, mut width) = (String::new(), 0.0);
    for word in words(&text) {
        let before = if line.is_empty() { 0.0 } else { font.advance_from(width, " ") };
        let joined = font.advance_from(before, word);
        if joined * size <= limit {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
            width = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
            width = 0.0;
        }
        // where the word may part best, and what of it stands behind that
        let mut joint = 0;
        for (at, c) in word.char_indices() {
            let letter = &word[at..at + c.len_utf8()];
            let mut longer = font.advance_from(width, letter);
            // a limit narrower than one character still takes that character
            if !line.is_empty() && longer * size > limit {
                let kept = if joint > 0 { line.split_off(joint) } else { String::new() };
                lines.push(std::mem::replace(&mut line, kept));
                longer = font.advance_from(font.advance_from(0.0, &line), letter);
                joint = 0;
            }
            line.push(c);
            width = longer;
            if is_joint(c) {
                joint = line.len();
            }
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    if text.contains(NO_BREAK) {
        lines.iter_mut().for_each(|line| *line = line.replace(NO_BREAK, " "));
    }
    lines
}

/// Whether a long word, such as the name of a file, may part after it.
fn is_joint(c: char) -> bool {
    matches!(c, '-' | '_' | '/')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_have_the_height_asked_for() {
        for lettering in [Lettering::Plain, Lettering::Bold] {
            let text = Text { lettering, ..Text::new("H", Point::new(10.0, 20.0), 3.5) };
            let ink = ink_on_sheet(&text).unwrap().bounds();
            assert!((ink.min.y - 20.0).abs() < 1e-12 && (ink.height() - 3.5).abs() < 1e-12, "{ink:?}");
        }
        // capital height 1493 of 2048 units, read from the font file with fontTools
        assert!((font_size(3.5, Lettering::Plain) - 3.5 * 2048.0 / 1493.0).abs() < 1e-12);
    }

    #[test]
    fn widths_are_the_sums_of_the_advances() {
        // advances of H, é, Ø, ± and Ω: 1540, 1260, 1612, 1716, 1565 units of 2048, read from the font file with fontTools
        let units = 1540.0 + 1260.0 + 1612.0 + 1716.0 + 1565.0;
        let got = width("HéØ±Ω", 1493.0, Lettering::Plain);
        assert!((got - units).abs() < 1e-9, "{got}");
        assert!(width("H", 1.0, Lettering::Bold) > width("H", 1.0, Lettering::Plain));
    }

    #[test]
    fn lines_are_made_even_without_one_more() {
        let text = "inner end of the grooves of side A, cut along";
        let limit = width("inner end of the grooves of side A, cut", 2.5, Lettering::Plain) + 0.1;
        assert_eq!(wrapped(text, 2.5, Lettering::Plain, limit), ["inner end of the grooves of side A, cut", "along"]);
        assert_eq!(balanced(text, 2.5, Lettering::Plain, limit), ["inner end of the grooves", "of side A, cut along"]);
        assert_eq!(balanced("along", 2.5, Lettering::Plain, limit), ["along"]);
    }

    #[test]
    fn a_line_ends_at_blanks_that_part_words_only() {
        let text = format!("+.0010{NO_BREAK}/{NO_BREAK}−.0000 [+0.03{NO_BREAK}/{NO_BREAK}0]");
        let limit = width("+.0010 / −.0000 [+0.03", 2.5, Lettering::Plain);
        assert_eq!(wrapped(&text, 2.5, Lettering::Plain, limit), ["+.0010 / −.0000", "[+0.03 / 0]"]);
        assert_eq!(widest_word("Recess, depth", 2.5, Lettering::Plain), width("Recess,", 2.5, Lettering::Plain));
    }

    #[test]
    fn anchors_and_turns_move_the_box() {
        let at = Point::new(50.0, 40.0);
        let start = cell_on_sheet(&Text::new("M42", at, 3.5)).bounds();
        let end = cell_on_sheet(&Text::new("M42", at, 3.5).ended()).bounds();
        let middle = cell_on_sheet(&Text::new("M42", at, 3.5).centred()).bounds();
        assert_eq!((start.min.x, end.max.x), (50.0, 50.0));
        assert!((middle.centre().x - 50.0).abs() < 1e-12);
        let up = cell_on_sheet(&Text::new("M42", at, 3.5).turned(90.0));
        assert_eq!(up.bounds().min.y, 40.0);
        assert!((up.bounds().height() - start.width()).abs() < 1e-12);
        assert_eq!(up.corners[0].x, 40.0 + 10.0 + cell(&Text::new("M42", at, 3.5)).min.y.abs());
    }

    #[test]
    fn what_the_font_lacks_is_told_and_has_a_width() {
        assert_eq!(missing("Ø 16.5 ±0.1 Ωжλ"), []);
        assert_eq!(missing("研磨 ⌖ 研"), ['研', '磨', '⌖']);
        // right to left: not set at all rather than backwards
        assert_eq!(missing("אב 12"), ['א', 'ב']);
        let text = |content: &str| Item::Text(Text::new(content, Point::ORIGIN, 3.5));
        let group = super::super::Group { items: vec![text("磨 研")], ..super::super::Group::new("inner") };
        assert_eq!(missing_in(&[text("研 a"), Item::Group(group)]), ['研', '磨']);
        assert!(width("研", 3.5, Lettering::Plain) > 1.0);
        assert_eq!(width("a\u{200B}\u{202E}b", 3.5, Lettering::Plain), width("ab", 3.5, Lettering::Plain));
        assert_eq!(ink(&Text::new("  ", Point::ORIGIN, 3.5)), None);
    }

    #[test]
    fn wrapping_loses_no_word_and_keeps_the_limit() {
        let text = "Keep the blank's arrow on side A, and Donaudampfschifffahrtsgesellschaft too.";
        let lines = wrapped(text, 2.5, Lettering::Plain, 30.0);
        assert!(lines.iter().all(|l| width(l, 2.5, Lettering::Plain) <= 30.0), "{lines:?}");
        let squeeze = |s: &str| s.replace(' ', "");
        assert_eq!(squeeze(&lines.concat()), squeeze(text));
        assert_eq!(wrapped("", 2.5, Lettering::Plain, 30.0), [""]);
        let name = "7731-A-grooves-side-a_mm.dxf";
        assert_eq!(wrapped(name, 2.5, Lettering::Plain, 30.0), ["7731-A-grooves-", "side-a_mm.dxf"]);
    }
}
