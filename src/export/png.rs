//! A picture of a drawing: PNG, grey on white, at a chosen resolution.

use super::paint::{self, Canvas, Step};
use crate::drawing::dash::Dashes;
use crate::drawing::font::{Font, OutlineBuilder};
use crate::drawing::{Drawing, Inside, Text, measure};
use crate::geometry::Point;
use crate::quantity::MM_PER_INCH;
use ::png::{PixelDimensions, Unit};
use tiny_skia::{Color, FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash, Transform};

/// Greatest number of pixels of a picture; more is a mistyped resolution (A0 at 300 dpi has 139 million).
const MOST_PIXELS: f64 = 200e6;

/// Why a picture cannot be made.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PngError {
    /// The resolution gives no picture, or one too large to keep in memory.
    #[error(
        "{dpi} dpi makes a picture of {width} × {height} pixels; choose a resolution that gives between 1 and 200 million pixels"
    )]
    Size {
        /// As asked.
        dpi: f64,
        /// Pixels across.
        width: f64,
        /// Pixels up.
        height: f64,
    },
    /// The encoder refused it.
    #[error("the picture could not be encoded")]
    Encoding,
}

/// The drawing as a PNG file of `dpi` pixels to the inch of paper, which the file states as well.
///
/// # Errors
/// Where the resolution gives no picture or one beyond 200 million pixels.
pub fn png(drawing: &Drawing, dpi: f64) -> Result<Vec<u8>, PngError> {
    let scale = dpi / MM_PER_INCH;
    let (width, height) = ((drawing.width * scale).round(), (drawing.height * scale).round());
    let fits = width >= 1.0 && height >= 1.0 && width * height <= MOST_PIXELS;
    if !fits {
        return Err(PngError::Size { dpi, width, height });
    }
    let mut pixmap = Pixmap::new(width as u32, height as u32).ok_or(PngError::Size { dpi, width, height })?;
    pixmap.fill(Color::WHITE);
    let mut picture = Picture { pixmap, scale, height: drawing.height };
    paint::paint(drawing, &mut picture);
    encode(&picture.pixmap, dpi).map_err(|_| PngError::Encoding)
}

/// One byte a pixel: everything is painted in greys on opaque white, so the three colours are equal and nothing is transparent.
fn encode(pixmap: &Pixmap, dpi: f64) -> Result<Vec<u8>, ::png::EncodingError> {
    let greys: Vec<u8> = pixmap.data().chunks_exact(4).map(|rgba| rgba[0]).collect();
    let per_metre = (dpi / MM_PER_INCH * 1000.0).round() as u32;
    let mut bytes = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut bytes, pixmap.width(), pixmap.height());
    encoder.set_color(::png::ColorType::Grayscale);
    encoder.set_depth(::png::BitDepth::Eight);
    encoder.set_pixel_dims(Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter }));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&greys)?;
    writer.finish()?;
    Ok(bytes)
}

/// The picture being painted.
struct Picture {
    pixmap: Pixmap,
    /// Pixels in one millimetre.
    scale: f64,
    /// Height of the paper, mm.
    height: f64,
}

impl Picture {
    fn pixel(&self, p: Point) -> (f32, f32) {
        ((p.x * self.scale) as f32, ((self.height - p.y) * self.scale) as f32)
    }

    fn path(&self, steps: &[Step]) -> Option<Path> {
        let mut path = PathBuilder::new();
        for step in steps {
            match *step {
                Step::Move(p) => {
                    let (x, y) = self.pixel(p);
                    path.move_to(x, y);
                }
                Step::Line(p) => {
                    let (x, y) = self.pixel(p);
                    path.line_to(x, y);
                }
                Step::Cubic(a, b, p) => {
                    let ((x1, y1), (x2, y2), (x, y)) = (self.pixel(a), self.pixel(b), self.pixel(p));
                    path.cubic_to(x1, y1, x2, y2, x, y);
                }
                Step::Close => path.close(),
            }
        }
        path.finish()
    }

    fn fill_path(&mut self, path: Option<Path>, rule: FillRule, grey: f64) {
        let Some(path) = path else { return };
        self.pixmap.fill_path(&path, &tone(grey), rule, Transform::identity(), None);
    }
}

fn tone(grey: f64) -> Paint<'static> {
    let level = (grey * 255.0).round() as u8;
    let mut paint = Paint::default();
    paint.set_color_rgba8(level, level, level, 255);
    paint.anti_alias = true;
    paint
}

impl Canvas for Picture {
    fn fill(&mut self, path: &[Step], inside: Inside, grey: f64) {
        let path = self.path(path);
        let rule = match inside {
            Inside::NonZero => FillRule::Winding,
            Inside::EvenOdd => FillRule::EvenOdd,
        };
        self.fill_path(path, rule, grey);
    }

    fn stroke(&mut self, path: &[Step], width: f64, dashes: &Dashes) {
        let Some(path) = self.path(path) else { return };
        let pixels = |mm: f64| (mm * self.scale) as f32;
        let dash = match dashes.pattern.as_slice() {
            [] => None,
            pattern => StrokeDash::new(pattern.iter().copied().map(pixels).collect(), pixels(dashes.phase)),
        };
        let line_cap = if dash.is_some() { LineCap::Butt } else { LineCap::Round };
        let stroke = Stroke { width: pixels(width), line_cap, line_join: LineJoin::Round, dash, ..Stroke::default() };
        self.pixmap.stroke_path(&path, &tone(paint::BLACK), &stroke, Transform::identity(), None);
    }

    fn text(&mut self, text: &Text) {
        let font = Font::of(text.lettering);
        let size = measure::font_size(text.height, text.lettering);
        let left = -measure::anchor_offset(text);
        let mut outline =
            Outline { path: PathBuilder::new(), picture: self, text, left, size, units: font.units_per_em() };
        for glyph in font.glyphs(&text.content) {
            outline.left = left + glyph.x * size;
            font.outline(glyph.id, &mut outline);
        }
        let path = outline.path.finish();
        self.fill_path(path, FillRule::Winding, paint::BLACK);
    }
}

/// Collects glyph outlines as they lie on the picture.
struct Outline<'a> {
    path: PathBuilder,
    picture: &'a Picture,
    text: &'a Text,
    /// From the anchor point to the glyph's origin, mm along the baseline.
    left: f64,
    /// Font size, mm.
    size: f64,
    /// Units of the font's grid in one em.
    units: f64,
}

impl Outline<'_> {
    fn at(&self, x: f32, y: f32) -> (f32, f32) {
        let factor = self.size / self.units;
        let own = Point::new(self.left + f64::from(x) * factor, f64::from(y) * factor);
        self.picture.pixel(measure::on_sheet(self.text, own))
    }
}

impl OutlineBuilder for Outline<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.path.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.path.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let ((x1, y1), (x, y)) = (self.at(x1, y1), self.at(x, y));
        self.path.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let ((x1, y1), (x2, y2), (x, y)) = (self.at(x1, y1), self.at(x2, y2), self.at(x, y));
        self.path.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.path.close();
    }
}
