//! One page: lines, areas and lettering as the operators of a content stream (ISO 32000-1, 8 and 9). y grows upwards there as in a drawing.

use super::letters::Letters;
use super::{FONTS, POINTS};
use crate::drawing::dash::Dashes;
use crate::drawing::{Drawing, Inside, Lettering, Text, measure};
use crate::export::paint::{self, Canvas, Step};
use crate::geometry::Point;
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Buf, Content, Str};

/// Steps of a coordinate in a point: a third of a micrometre each.
const FINE: f64 = 1000.0;

/// What is on the page of a drawing; letters are added to those used so far.
pub(super) fn content(drawing: &Drawing, letters: &mut [Letters; FONTS.len()]) -> Buf {
    let mut content = Content::new();
    content.set_line_join(LineJoinStyle::RoundJoin);
    let mut page = Page { content, letters, pen: None, grey: None };
    paint::paint(drawing, &mut page);
    page.content.finish()
}

struct Page<'a> {
    content: Content,
    letters: &'a mut [Letters; FONTS.len()],
    /// Width and dashes set last.
    pen: Option<(f64, Dashes)>,
    /// Grey of fills set last.
    grey: Option<f64>,
}

/// A length of the paper, mm, in points.
fn points(mm: f64) -> f32 {
    ((mm * POINTS * FINE).round() / FINE) as f32
}

impl Page<'_> {
    fn path(&mut self, path: &[Step]) {
        let at = |p: Point| (points(p.x), points(p.y));
        for step in path {
            match *step {
                Step::Move(p) => {
                    let (x, y) = at(p);
                    self.content.move_to(x, y)
                }
                Step::Line(p) => {
                    let (x, y) = at(p);
                    self.content.line_to(x, y)
                }
                Step::Cubic(a, b, p) => {
                    let ((x1, y1), (x2, y2), (x3, y3)) = (at(a), at(b), at(p));
                    self.content.cubic_to(x1, y1, x2, y2, x3, y3)
                }
                Step::Close => self.content.close_path(),
            };
        }
    }

    fn fill_with(&mut self, grey: f64) {
        if self.grey != Some(grey) {
            self.grey = Some(grey);
            self.content.set_fill_gray(grey as f32);
        }
    }
}

impl Canvas for Page<'_> {
    fn fill(&mut self, path: &[Step], inside: Inside, grey: f64) {
        self.fill_with(grey);
        self.path(path);
        match inside {
            Inside::NonZero => self.content.fill_nonzero(),
            Inside::EvenOdd => self.content.fill_even_odd(),
        };
    }

    fn stroke(&mut self, path: &[Step], width: f64, dashes: &Dashes) {
        if self.pen.as_ref().is_none_or(|(w, d)| *w != width || d != dashes) {
            self.pen = Some((width, dashes.clone()));
            let cap = if dashes.pattern.is_empty() { LineCapStyle::RoundCap } else { LineCapStyle::ButtCap };
            self.content.set_line_width(points(width)).set_line_cap(cap);
            self.content.set_dash_pattern(dashes.pattern.iter().copied().map(points), points(dashes.phase));
        }
        self.path(path);
        self.content.stroke();
    }

    fn text(&mut self, text: &Text) {
        let bold = usize::from(text.lettering == Lettering::Bold);
        let codes = self.letters[bold].codes(&text.content);
        if codes.is_empty() {
            return;
        }
        self.fill_with(paint::BLACK);
        let (sin, cos) = text.turned_deg.to_radians().sin_cos();
        let start = text.at - Point::new(cos, sin) * measure::anchor_offset(text);
        let (sin, cos) = (sin as f32, cos as f32);
        let size = points(measure::font_size(text.height, text.lettering));
        self.content.begin_text().set_font(FONTS[bold].1, size);
        self.content.set_text_matrix([cos, sin, -sin, cos, points(start.x), points(start.y)]);
        self.content.show(Str(&codes)).end_text();
    }
}
