//! Finished sheets, ready to be written in any format.

use super::Error;
use crate::drawing::Drawing;
use crate::export::{dxf, pdf, png, svg};

/// The sheets of one drawing or paper. Writing them gives the bytes that the command line writes.
///
/// ```
/// # let shop = wheeldraft::Shop::built_in()?;
/// let drawing = shop.open(wheeldraft::demo_order())?.approval_drawing()?;
/// for number in 0..drawing.count() {
///     assert!(drawing.svg(number)?.starts_with("<svg"));
/// }
/// # Ok::<(), wheeldraft::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Sheets(Vec<Drawing>);

impl Sheets {
    pub(super) fn of(drawings: Vec<Drawing>) -> Sheets {
        Sheets(drawings)
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// Width and height of a sheet, counted from 0, mm.
    ///
    /// # Errors
    /// Where there is no such sheet.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let drawing = shop.open(wheeldraft::demo_order())?.approval_drawing()?;
    /// // the order asks for A3
    /// assert_eq!(drawing.paper(0)?, (420.0, 297.0));
    /// assert!(drawing.paper(99).is_err());
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn paper(&self, number: usize) -> Result<(f64, f64), Error> {
        self.sheet(number).map(|s| (s.width, s.height))
    }

    /// A sheet, counted from 0, as SVG.
    ///
    /// # Errors
    /// Where there is no such sheet, or its letters cannot be embedded.
    pub fn svg(&self, number: usize) -> Result<String, Error> {
        svg::svg(self.sheet(number)?).map_err(|e| Error::Export(Box::new(e)))
    }

    /// All sheets as one PDF.
    ///
    /// # Errors
    /// Where there is no sheet, or its letters cannot be embedded.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let bytes = shop.open(wheeldraft::demo_order())?.approval_drawing()?.pdf()?;
    /// assert!(bytes.starts_with(b"%PDF-1.7"));
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn pdf(&self) -> Result<Vec<u8>, Error> {
        pdf::pdf(&self.0).map_err(|e| Error::Export(Box::new(e)))
    }

    /// A sheet, counted from 0, as a PNG picture of so many pixels to the inch of paper.
    ///
    /// # Errors
    /// Where there is no such sheet, or the picture would be empty or beyond 200 million pixels.
    ///
    /// ```
    /// use wheeldraft::Look;
    ///
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let picture = shop.open(wheeldraft::demo_order())?.view(Look::Section)?.png(0, 40.0)?;
    /// assert!(picture.starts_with(b"\x89PNG"));
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn png(&self, number: usize, dpi: f64) -> Result<Vec<u8>, Error> {
        png::png(self.sheet(number)?, dpi).map_err(|e| Error::Export(Box::new(e)))
    }

    /// A sheet, counted from 0, as a DXF drawing for people; machine files are another thing.
    ///
    /// # Errors
    /// Where there is no such sheet, or it cannot be written.
    ///
    /// ```
    /// use wheeldraft::Look;
    ///
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let dxf = shop.open(wheeldraft::demo_order())?.view(Look::Section)?.dxf(0)?;
    /// assert!(dxf.windows(8).any(|w| w == b"ENTITIES"));
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn dxf(&self, number: usize) -> Result<Vec<u8>, Error> {
        dxf::sheet(self.sheet(number)?).map_err(|e| Error::Export(Box::new(e)))
    }

    fn sheet(&self, number: usize) -> Result<&Drawing, Error> {
        self.0.get(number).ok_or(Error::NoSheet { number, count: self.0.len() })
    }
}
