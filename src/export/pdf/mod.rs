//! Drawings as one PDF file, a page each: exact paper size, vector only, the letters used embedded, text that can be searched.
//!
//! The file is made to PDF/A-2u (ISO 19005-2: archival, every character with its Unicode). That standard asks for a date; a drawing whose order
//! has none becomes the same file without the claim.

mod grey;
mod letters;
mod page;

use crate::drawing::font::shown;
use crate::drawing::{About, Drawing, Lettering};
use crate::quantity::MM_PER_INCH;
use flate2::Compression;
use flate2::write::ZlibEncoder;
use letters::Letters;
use pdf_writer::types::{OutputIntentSubtype, PageLayout};
use pdf_writer::{Date, Filter, Finish, Name, Pdf, Rect, Ref, TextStr};
use sha2::{Digest, Sha256};
use std::io::Write;
use xmp_writer::{DateTime, LangId, Timezone, XmpWriter};

/// Points (1/72 in) in a millimetre.
const POINTS: f64 = 72.0 / MM_PER_INCH;
/// Largest page, points: the limit of ISO 32000-1, annex C, for one unit of 1/72 in.
const LARGEST: f64 = 14_400.0;
/// Names of the two fonts in a page's resources.
const FONTS: [(Lettering, Name); 2] = [(Lettering::Plain, Name(b"F1")), (Lettering::Bold, Name(b"F2"))];

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
    /// The font could not be cut down to the letters used, which does not happen with the font shipped.
    #[error("the font could not be cut down to the letters used")]
    Font,
    /// A stream could not be packed into memory.
    #[error("the PDF could not be written: {0}")]
    Packed(String),
}

/// The drawings as one PDF file; title, author, subject and date are those of the first.
///
/// # Errors
/// Where there is no drawing, a sheet has no size, or the font cannot be cut down.
pub fn pdf(drawings: &[Drawing]) -> Result<Vec<u8>, PdfError> {
    let first = drawings.first().ok_or(PdfError::NoSheet)?;
    let mut letters = FONTS.map(|(lettering, _)| Letters::new(lettering));
    let mut pages = Vec::with_capacity(drawings.len());
    for drawing in drawings {
        let size = [drawing.width, drawing.height].map(|mm| mm * POINTS);
        if !size.iter().all(|&side| side > 0.0 && side <= LARGEST) {
            return Err(PdfError::PageSize { width: drawing.width, height: drawing.height });
        }
        pages.push((size, packed(&page::content(drawing, &mut letters))?));
    }
    let mut file = File::new(drawings.len());
    file.pages(&pages);
    for (letters, id) in letters.iter().zip(file.ids.fonts) {
        letters.write(id, &mut file.pdf)?;
    }
    if drawings.len() > 1 {
        file.bookmarks(drawings);
    }
    file.about(first)?;
    let identity: Vec<u8> = Sha256::digest(file.pdf.as_bytes()).iter().take(16).copied().collect();
    file.pdf.set_file_id((identity.clone(), identity));
    Ok(file.pdf.finish())
}

/// How hard streams are packed: the next harder level makes a drawing smaller by a twentieth, in twice the time.
const PACKING: Compression = Compression::new(2);

/// The same bytes, packed.
fn packed(bytes: &[u8]) -> Result<Vec<u8>, PdfError> {
    let mut packer = ZlibEncoder::new(Vec::with_capacity(bytes.len() / 2), PACKING);
    let written = packer.write_all(bytes).and_then(|()| packer.finish());
    written.map_err(|e| PdfError::Packed(e.to_string()))
}

/// Numbers of the parts of a file; each page has two, its own and that of what is on it.
struct Ids {
    catalog: Ref,
    pages: Ref,
    info: Ref,
    metadata: Ref,
    profile: Ref,
    outline: Ref,
    fonts: [Ref; FONTS.len()],
    first_page: i32,
    count: i32,
}

impl Ids {
    fn new(count: usize) -> Ids {
        let id = Ref::new;
        // a font takes as many numbers as it has parts
        let fonts = [id(7), id(7 + letters::PARTS)];
        let first_page = 7 + FONTS.len() as i32 * letters::PARTS;
        let (catalog, pages, info, metadata, profile, outline) = (id(1), id(2), id(3), id(4), id(5), id(6));
        Ids { catalog, pages, info, metadata, profile, outline, fonts, first_page, count: count as i32 }
    }

    fn page(&self, i: i32) -> Ref {
        Ref::new(self.first_page + 2 * i)
    }

    fn content(&self, i: i32) -> Ref {
        Ref::new(self.first_page + 2 * i + 1)
    }

    fn bookmark(&self, i: i32) -> Ref {
        Ref::new(self.first_page + 2 * self.count + i)
    }
}

struct File {
    pdf: Pdf,
    ids: Ids,
}

impl File {
    fn new(count: usize) -> File {
        let mut pdf = Pdf::new();
        pdf.set_version(1, 7);
        // bytes above 127 tell a program that moves files about that this is no text
        pdf.set_binary_marker(b"\xE2\xE3\xCF\xD3");
        File { pdf, ids: Ids::new(count) }
    }

    fn pages(&mut self, pages: &[([f64; 2], Vec<u8>)]) {
        let (pdf, ids) = (&mut self.pdf, &self.ids);
        pdf.pages(ids.pages).kids((0..ids.count).map(|i| ids.page(i))).count(ids.count);
        for (i, ([width, height], content)) in (0..).zip(pages) {
            let mut page = pdf.page(ids.page(i));
            page.parent(ids.pages).media_box(Rect::new(0.0, 0.0, *width as f32, *height as f32));
            page.contents(ids.content(i));
            let mut resources = page.resources();
            let mut fonts = resources.fonts();
            for ((_, name), id) in FONTS.into_iter().zip(ids.fonts) {
                fonts.pair(name, id);
            }
            fonts.finish();
            resources.finish();
            page.finish();
            pdf.stream(ids.content(i), content).filter(Filter::FlateDecode);
        }
    }

    /// A title for each sheet.
    fn bookmarks(&mut self, drawings: &[Drawing]) {
        let (pdf, ids) = (&mut self.pdf, &self.ids);
        let last = ids.count - 1;
        pdf.outline(ids.outline).first(ids.bookmark(0)).last(ids.bookmark(last)).count(ids.count);
        for (i, drawing) in (0..).zip(drawings) {
            let mut item = pdf.outline_item(ids.bookmark(i));
            item.title(TextStr(&shown(&drawing.title))).parent(ids.outline);
            if i > 0 {
                item.prev(ids.bookmark(i - 1));
            }
            if i < last {
                item.next(ids.bookmark(i + 1));
            }
            item.dest().page(ids.page(i)).xyz(0.0, (drawing.height * POINTS) as f32, None);
        }
    }

    /// What the file says of itself, twice over: for readers old and new. ISO 19005-2, 6.6.3, wants both to say the same.
    fn about(&mut self, first: &Drawing) -> Result<(), PdfError> {
        let (pdf, ids) = (&mut self.pdf, &self.ids);
        let says = Says::of(first);
        let day = Day::read(&first.about.date);
        let mut info = pdf.document_info(ids.info);
        info.title(TextStr(&says.title))
            .subject(TextStr(&says.subject))
            .creator(TextStr(MAKER))
            .producer(TextStr(MAKER));
        if !says.author.is_empty() {
            info.author(TextStr(&says.author));
        }
        if !says.keywords.is_empty() {
            info.keywords(TextStr(&says.keywords));
        }
        if let Some(day) = day {
            info.creation_date(day.pdf()).modified_date(day.pdf());
        }
        info.finish();
        let metadata = says.xmp(day);
        pdf.metadata(ids.metadata, metadata.as_bytes());
        if day.is_some() {
            let profile = packed(&grey::profile())?;
            pdf.icc_profile(ids.profile, &profile).n(1).filter(Filter::FlateDecode);
        }
        let mut catalog = pdf.catalog(ids.catalog);
        catalog.pages(ids.pages).metadata(ids.metadata).page_layout(PageLayout::SinglePage);
        if ids.count > 1 {
            catalog.outlines(ids.outline);
        }
        catalog.viewer_preferences().display_doc_title(true);
        if day.is_some() {
            let mut intents = catalog.output_intents();
            let mut intent = intents.push();
            intent.subtype(OutputIntentSubtype::PDFA).dest_output_profile(ids.profile);
            intent.output_condition_identifier(TextStr("Custom")).info(TextStr(grey::NAME));
        }
        Ok(())
    }
}

const MAKER: &str = "wheeldraft";

/// The words of a file about itself.
struct Says {
    title: String,
    subject: String,
    author: String,
    keywords: String,
}

impl Says {
    fn of(drawing: &Drawing) -> Says {
        let About { author, subject, fingerprint, state, .. } = &drawing.about;
        let print = if fingerprint.is_empty() { String::new() } else { format!("fingerprint {fingerprint}") };
        let words: Vec<&str> = std::iter::once(print.as_str()).chain(state.iter().map(String::as_str)).collect();
        let keywords = shown(words.join("; ").trim_start_matches("; "));
        let subject = if subject.is_empty() { &drawing.description } else { subject };
        Says { title: shown(&drawing.title), subject: shown(subject), author: shown(author), keywords }
    }

    fn xmp(&self, day: Option<Day>) -> String {
        let mut xmp = XmpWriter::new();
        xmp.title([(Some(LangId("x-default")), self.title.as_str())]);
        xmp.description([(Some(LangId("x-default")), self.subject.as_str())]);
        if !self.author.is_empty() {
            xmp.creator([self.author.as_str()]);
        }
        if !self.keywords.is_empty() {
            xmp.pdf_keywords(&self.keywords);
        }
        xmp.creator_tool(MAKER).producer(MAKER).format("application/pdf");
        if let Some(day) = day {
            xmp.create_date(day.xmp()).modify_date(day.xmp()).pdfa_part(2).pdfa_conformance("U");
        }
        xmp.finish(None)
    }
}

/// A day of the calendar, at midnight universal time.
#[derive(Clone, Copy)]
struct Day {
    year: u16,
    month: u8,
    day: u8,
}

impl Day {
    /// A date such as `2026-03-02`; `None` for anything else.
    fn read(text: &str) -> Option<Day> {
        let mut parts = text.splitn(3, '-');
        let (year, month, day) =
            (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
        let real = (1..=12).contains(&month) && (1..=31).contains(&day) && text.len() == "2026-03-02".len();
        real.then_some(Day { year, month, day })
    }

    fn pdf(self) -> Date {
        let date = Date::new(self.year).month(self.month).day(self.day).hour(0).minute(0).second(0);
        date.utc_offset_hour(0).utc_offset_minute(0)
    }

    fn xmp(self) -> DateTime {
        let (month, day) = (Some(self.month), Some(self.day));
        let (hour, minute, second) = (Some(0), Some(0), Some(0));
        DateTime { year: self.year, month, day, hour, minute, second, timezone: Some(Timezone::Utc) }
    }
}
