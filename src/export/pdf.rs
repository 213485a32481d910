//! Drawings as one PDF file, a page each: exact paper size, vector only, the letters used embedded, text that can be searched.
//!
//! The file claims PDF/A-2u (ISO 19005-2: archival, every character with its Unicode), which the PDF library checks while it writes. That standard
//! asks for a date; a drawing whose order has none becomes the same file without the claim.

use super::paint::{self, Canvas, Step};
use crate::drawing::dash::Dashes;
use crate::drawing::font::{Font, shown};
use crate::drawing::{Drawing, Inside, Lettering, Text, measure};
use crate::quantity::MM_PER_INCH;
use krilla::Document;
use krilla::SerializeSettings;
use krilla::color::luma;
use krilla::configure::{Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::{DateTime, Metadata, PageLayout};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font as PdfFont, GlyphId, KrillaGlyph};
use std::sync::OnceLock;

/// Points (1/72 in) in a millimetre.
const POINTS: f64 = 72.0 / MM_PER_INCH;

/// Why a PDF cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PdfError {
    /// There is nothing to print.
    #[error("a PDF needs at least one sheet")]
    NoSheet,
    /// A sheet has no usable size.
    #[error("a sheet of {width} × {height} mm cannot be a page")]
    PageSize {
        /// Width, mm.
        width: f64,
        /// Height, mm.
        height: f64,
    },
    /// The PDF library refused it.
    #[error("the PDF could not be written: {0}")]
    Refused(String),
}

/// The drawings as one PDF file; title, author, subject and date are those of the first.
///
/// # Errors
/// Where there is no drawing, a sheet has no size, or the file would break the standard it claims.
pub fn pdf(drawings: &[Drawing]) -> Result<Vec<u8>, PdfError> {
    let first = drawings.first().ok_or(PdfError::NoSheet)?;
    let date = date(&first.about.date);
    let mut document = Document::new_with(settings(date.is_some())?);
    for drawing in drawings {
        let size = |mm: f64| (mm * POINTS) as f32;
        let page = PageSettings::from_wh(size(drawing.width), size(drawing.height));
        let page = page.ok_or(PdfError::PageSize { width: drawing.width, height: drawing.height })?;
        let mut page = document.start_page_with(page);
        let mut sheet = Sheet { surface: page.surface(), height: drawing.height };
        paint::paint(drawing, &mut sheet);
        sheet.surface.finish(); // the page ends with it
    }
    if drawings.len() > 1 {
        document.set_outline(outline(drawings));
    }
    document.set_metadata(metadata(first, date));
    document.finish().map_err(|error| PdfError::Refused(format!("{error:?}")))
}

fn settings(archival: bool) -> Result<SerializeSettings, PdfError> {
    let builder = ConfigurationBuilder::new();
    let builder = if archival { builder.with_archival_validator(Archival::A2_U) } else { builder };
    let configuration = builder.finish().map_err(|error| PdfError::Refused(format!("{error:?}")))?;
    Ok(SerializeSettings { configuration, ..SerializeSettings::default() })
}

fn metadata(drawing: &Drawing, date: Option<DateTime>) -> Metadata {
    let about = &drawing.about;
    let fingerprint =
        if about.fingerprint.is_empty() { vec![] } else { vec![format!("fingerprint {}", about.fingerprint)] };
    let authors = if about.author.is_empty() { vec![] } else { vec![shown(&about.author)] };
    let what = if about.subject.is_empty() { &drawing.description } else { &about.subject };
    let metadata = Metadata::new()
        .title(shown(&drawing.title))
        .description(shown(what))
        .authors(authors)
        .keywords(fingerprint)
        .creator(String::from("wheeldraft"))
        .page_layout(PageLayout::SinglePage);
    match date {
        Some(date) => metadata.creation_date(date),
        None => metadata,
    }
}

/// A date such as `2026-03-02`, at midnight universal time; `None` for anything else.
fn date(text: &str) -> Option<DateTime> {
    let mut parts = text.splitn(3, '-');
    let (year, month, day) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
    let real = (1..=12).contains(&month) && (1..=31).contains(&day) && text.len() == 10;
    real.then(|| {
        DateTime::new(year).month(month).day(day).hour(0).minute(0).second(0).utc_offset_hour(0).utc_offset_minute(0)
    })
}

/// Bookmarks: a title for each sheet.
fn outline(drawings: &[Drawing]) -> Outline {
    let mut outline = Outline::new();
    for (page, drawing) in drawings.iter().enumerate() {
        outline
            .push_child(OutlineNode::new(shown(&drawing.title), XyzDestination::new(page, Point::from_xy(0.0, 0.0))));
    }
    outline
}

/// The font as the PDF library keeps it, read once.
fn font(lettering: Lettering) -> Option<PdfFont> {
    static PLAIN: OnceLock<Option<PdfFont>> = OnceLock::new();
    static BOLD: OnceLock<Option<PdfFont>> = OnceLock::new();
    let kept = match lettering {
        Lettering::Plain => &PLAIN,
        Lettering::Bold => &BOLD,
    };
    kept.get_or_init(|| PdfFont::new(Font::of(lettering).data().into(), 0)).clone()
}

/// A page being painted; the library's own origin is the upper left corner.
struct Sheet<'a> {
    surface: Surface<'a>,
    /// Height of the paper, mm.
    height: f64,
}

impl Sheet<'_> {
    fn point(&self, p: crate::geometry::Point) -> Point {
        Point::from_xy((p.x * POINTS) as f32, ((self.height - p.y) * POINTS) as f32)
    }

    fn path(&self, steps: &[Step]) -> Option<Path> {
        let mut path = PathBuilder::new();
        for step in steps {
            match *step {
                Step::Move(p) => {
                    let p = self.point(p);
                    path.move_to(p.x, p.y);
                }
                Step::Line(p) => {
                    let p = self.point(p);
                    path.line_to(p.x, p.y);
                }
                Step::Cubic(a, b, p) => {
                    let (a, b, p) = (self.point(a), self.point(b), self.point(p));
                    path.cubic_to(a.x, a.y, b.x, b.y, p.x, p.y);
                }
                Step::Close => path.close(),
            }
        }
        path.finish()
    }
}

fn tone(grey: f64) -> Fill {
    Fill {
        paint: luma::Color::new((grey * 255.0).round() as u8).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

impl Canvas for Sheet<'_> {
    fn fill(&mut self, path: &[Step], inside: Inside, grey: f64) {
        let Some(path) = self.path(path) else { return };
        self.surface.set_stroke(None);
        let rule = match inside {
            Inside::NonZero => FillRule::NonZero,
            Inside::EvenOdd => FillRule::EvenOdd,
        };
        self.surface.set_fill(Some(Fill { rule, ..tone(grey) }));
        self.surface.draw_path(&path);
    }

    fn stroke(&mut self, path: &[Step], width: f64, dashes: &Dashes) {
        let Some(path) = self.path(path) else { return };
        let points = |mm: f64| (mm * POINTS) as f32;
        let dash = (!dashes.pattern.is_empty()).then(|| StrokeDash {
            array: dashes.pattern.iter().copied().map(points).collect(),
            offset: points(dashes.phase),
        });
        let line_cap = if dash.is_some() { LineCap::Butt } else { LineCap::Round };
        let stroke = Stroke { width: points(width), line_cap, line_join: LineJoin::Round, dash, ..Stroke::default() };
        self.surface.set_fill(None);
        self.surface.set_stroke(Some(stroke));
        self.surface.draw_path(&path);
    }

    fn text(&mut self, text: &Text) {
        let content = shown(&text.content);
        let glyphs: Vec<KrillaGlyph> = Font::of(text.lettering)
            .glyphs(&content)
            .map(|g| {
                KrillaGlyph::new(GlyphId::new(u32::from(g.id)), g.advance as f32, 0.0, 0.0, 0.0, g.start..g.end, None)
            })
            .collect();
        let Some(font) = font(text.lettering).filter(|_| !glyphs.is_empty()) else { return };
        let size = (measure::font_size(text.height, text.lettering) * POINTS) as f32;
        let at = self.point(text.at);
        let (sin, cos) = text.turned_deg.to_radians().sin_cos();
        let (sin, cos) = (sin as f32, cos as f32);
        let start = Point::from_xy((-measure::anchor_offset(text) * POINTS) as f32, 0.0);
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(tone(paint::BLACK)));
        self.surface.push_transform(&Transform::from_row(cos, -sin, sin, cos, at.x, at.y));
        self.surface.draw_glyphs(start, &glyphs, font, &content, size, false);
        self.surface.pop();
    }
}
