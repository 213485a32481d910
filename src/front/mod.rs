//! The front door for other programs: a shop opens an order file; the order gives its findings, its numbers, its sheets and its machine files.

mod error;
#[cfg(feature = "pdf")]
mod sheets;
mod shop;

pub use error::Error;
#[cfg(feature = "pdf")]
pub use sheets::Sheets;
pub use shop::Shop;

use crate::dossier::Dossier;
#[cfg(feature = "pdf")]
use crate::pack::{NamedFile, machine, papers};
use crate::properties::Properties;
use crate::rules::{Finding, Verdict};
#[cfg(feature = "pdf")]
use crate::sheet::{self, Look};
#[cfg(feature = "pdf")]
use crate::shop::inspection::{self, Extent};
#[cfg(feature = "pdf")]
use crate::shop::label;
use crate::size::Size;
use crate::wheel::Requirement;

/// An order that a shop has opened: read, resolved, worked out and checked, once.
///
/// ```
/// let shop = wheeldraft::Shop::built_in()?;
/// let order = shop.open(wheeldraft::demo_order())?;
/// assert_eq!(order.name(), "1042-B");
/// # Ok::<(), wheeldraft::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct WheelOrder<'s> {
    #[cfg(feature = "pdf")]
    shop: &'s Shop,
    dossier: Dossier<'s>,
}

impl<'s> WheelOrder<'s> {
    /// Number and revision, the start of every file's name: `1042-B`.
    pub fn name(&self) -> String {
        self.dossier.job.file_stem()
    }

    /// Identity of what the order says, 64 hexadecimal digits; every sheet and file carries its first eight.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let order = shop.open(wheeldraft::demo_order())?;
    /// assert_eq!(order.fingerprint().len(), 64);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn fingerprint(&self) -> String {
        self.dossier.job.fingerprint().full().to_owned()
    }

    /// What the rules come to. An order they stop has sheets that say NOT RELEASED, and no machine files.
    ///
    /// ```
    /// use wheeldraft::{Shop, Verdict};
    ///
    /// # let shop = Shop::built_in()?;
    /// assert_ne!(shop.open(wheeldraft::demo_order())?.verdict(), Verdict::Stop);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn verdict(&self) -> Verdict {
        self.dossier.outcome.verdict
    }

    /// What the rules found, the heaviest first.
    ///
    /// ```
    /// use wheeldraft::{Severity, Shop};
    ///
    /// # let shop = Shop::built_in()?;
    /// let order = shop.open(wheeldraft::demo_order())?;
    /// let questions = order.findings().iter().filter(|f| f.severity == Severity::Ask);
    /// for question in questions {
    ///     assert!(!question.message.is_empty());
    /// }
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn findings(&self) -> &[Finding] {
        &self.dossier.outcome.findings
    }

    /// Volumes, moments, masses and lands of the finished wheel: mm, kg, degrees. Masses stand on the order's own density.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let numbers = shop.open(wheeldraft::demo_order())?.numbers();
    /// assert!(numbers.wheel.volume < numbers.plain.volume);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn numbers(&self) -> Properties {
        self.dossier.as_ordered()
    }

    /// One number of the wheel: mm, degrees or a count; `None` where it has no such thing.
    ///
    /// ```
    /// use wheeldraft::{Shop, SideName, Size};
    ///
    /// # let shop = Shop::built_in()?;
    /// let order = shop.open(wheeldraft::demo_order())?;
    /// assert_eq!(order.size(Size::OutsideDiameter), Some(660.4));
    /// assert_eq!(order.size(Size::RecessDepth(SideName::B, 0)), None);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn size(&self, size: Size) -> Option<f64> {
        size.value(&self.dossier.job)
    }

    /// Every number the finished wheel must meet, numbered and lettered as on the drawing.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let order = shop.open(wheeldraft::demo_order())?;
    /// let first = &order.requirements()[0];
    /// assert_eq!((first.number, first.letter.as_str(), first.nominal), (1, "D", 660.4));
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn requirements(&self) -> Vec<Requirement> {
        self.dossier.job.requirements()
    }
}

#[cfg(feature = "pdf")]
impl WheelOrder<'_> {
    /// The approval drawing; each of its sheets has passed the acceptance check.
    ///
    /// # Errors
    /// Where no arrangement of views and tables on any sheet keeps everything apart.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let drawing = shop.open(wheeldraft::demo_order())?.approval_drawing()?;
    /// assert!(drawing.svg(0)?.contains("</svg>"));
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn approval_drawing(&self) -> Result<Sheets, Error> {
        Ok(Sheets::of(papers::approval(&self.dossier, &self.shop.title_block_of(&self.dossier.job))?))
    }

    /// One view alone with its dimensions.
    ///
    /// # Errors
    /// Where it can be dimensioned at no scale.
    ///
    /// ```
    /// use wheeldraft::{Look, Shop, SideName};
    ///
    /// # let shop = Shop::built_in()?;
    /// let side = shop.open(wheeldraft::demo_order())?.view(Look::Side(SideName::A))?;
    /// assert_eq!(side.count(), 1);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn view(&self, look: Look) -> Result<Sheets, Error> {
        Ok(Sheets::of(vec![sheet::alone(&self.dossier.job, &self.dossier.section, look)?]))
    }

    /// The calculation sheets: the numbers behind the drawing, with plots, findings and their sources.
    ///
    /// # Errors
    /// Where a part is too large for the paper the order names.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let sheets = shop.open(wheeldraft::demo_order())?.calculation()?;
    /// assert!(sheets.pdf()?.starts_with(b"%PDF"));
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn calculation(&self) -> Result<Sheets, Error> {
        Ok(Sheets::of(papers::calculation(&self.dossier, &self.shop.title_block_of(&self.dossier.job))?))
    }

    /// The shop traveller, with these machine files beside their operations.
    ///
    /// # Errors
    /// Where the wheel has no section, which opening refuses beforehand.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let order = shop.open(wheeldraft::demo_order())?;
    /// let files = order.machine_files()?;
    /// assert!(order.traveller(&files)?.count() > 0);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn traveller(&self, machine: &[NamedFile]) -> Result<Sheets, Error> {
        let files = if machine.is_empty() { Err("none") } else { Ok((machine, [].as_slice())) };
        Ok(Sheets::of(papers::traveller(&self.dossier, &self.shop.traveller, files)?))
    }

    /// The inspection sheet to fill in by hand.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// assert!(shop.open(wheeldraft::demo_order())?.inspection_sheet().count() > 0);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn inspection_sheet(&self) -> Sheets {
        Sheets::of(inspection::sheet(&self.dossier, Extent::Whole(self.shop.groove_sample), None))
    }

    /// A label for every wheel; none where a rule stops the order or a size is open.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// // four wheels are ordered
    /// assert_eq!(shop.open(wheeldraft::demo_order())?.labels().count(), 4);
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn labels(&self) -> Sheets {
        if self.dossier.withheld().is_some() {
            return Sheets::of(Vec::new());
        }
        let options = label::Options { altered_by: self.shop.altered_by.clone(), bar: String::new() };
        Sheets::of(label::labels(&self.dossier, &options))
    }

    /// The machine files of an order nobody has approved yet, in the order they are cut, each read back and held against the wheel; their names say
    /// that they are unapproved. None where a rule stops the order or a size is open.
    ///
    /// # Errors
    /// Where a path cannot be made, or a file read back is not the wheel; then there is no file at all.
    ///
    /// ```
    /// # let shop = wheeldraft::Shop::built_in()?;
    /// let files = shop.open(wheeldraft::demo_order())?.machine_files()?;
    /// assert!(files.iter().any(|f| f.name.ends_with(".dxf")));
    /// # Ok::<(), wheeldraft::Error>(())
    /// ```
    pub fn machine_files(&self) -> Result<Vec<NamedFile>, Error> {
        if self.dossier.withheld().is_some() {
            return Ok(Vec::new());
        }
        Ok(machine::files(&self.dossier.job, &crate::pack::machine_wishes(&self.dossier, false))?.files)
    }
}
