//! The calculation sheet: tables, plots and sentences of a [`Paper`] in columns, with frame and title block.

mod contours;
mod flow;
mod lettered;
mod own_sheets;
mod plot;

pub use own_sheets::sheets_of;

use super::acceptance::{self, Expected};
use super::approval::SheetError;
use super::block::Block;
use super::format::Format;
use super::tables;
use super::template::{Field, Template};
use super::title_block::{self, Values};
use super::view::Style;
use crate::language::Language;
use crate::dossier::Dossier;
use crate::drawing::{Drawing, Item};
use crate::geometry::{Bounds, Point};
use crate::report::Paper;
use crate::rules::{Finding, Severity};

/// What the calculation sheet is made from.
#[derive(Debug, Clone, Copy)]
pub struct Figures<'a> {
    /// The order and what the rules say of it: what stops it is printed large.
    pub dossier: &'a Dossier<'a>,
    /// Its numbers, as `report::calculation` gives them.
    pub paper: &'a Paper,
    /// The title block.
    pub template: &'a Template,
}

/// Most sheets of one calculation.
const MOST_SHEETS: usize = 60;

/// Draws the calculation sheets on the paper the order names, or the usual one; on a larger one where a part does not fit on that.
///
/// # Errors
/// Where a part is too large for an empty column, so that no number of sheets holds it, or the acceptance check finds something on them.
pub fn calculation(figures: &Figures) -> Result<Vec<Drawing>, SheetError> {
    // the shop's own paper
    let style = Style { language: Language::default(), ..Style::of(&figures.dossier.job) };
    let formats = match figures.dossier.job.sheets.size {
        Some(size) => Format::at_least(size),
        None => Format::usual(style.dimensioning).to_vec(),
    };
    let mut reasons = Vec::new();
    for format in formats {
        match on_format(figures, &style, format) {
            Ok(drawings) => return Ok(drawings),
            Err(why) => reasons.push(why),
        }
    }
    Err(SheetError::NoRoom(reasons))
}

/// The sheets on one paper size.
fn on_format(figures: &Figures, style: &Style, format: Format) -> Result<Vec<Drawing>, String> {
    let work = Work { figures, style: style.clone(), format };
    let sheets = work.sheets().ok_or("a table or plot of the calculation does not fit on any sheet")?;
    let count = sheets.len();
    let drawings: Vec<Drawing> = sheets.into_iter().enumerate().map(|(i, s)| work.drawing(s, [i + 1, count])).collect();
    let expected = Expected {
        format: &work.format,
        style: &work.style,
        job: &figures.dossier.job,
        requirements: &[],
        unplaced: &[],
        views: &[],
    };
    match acceptance::check(&drawings, &expected).first() {
        None => Ok(drawings),
        Some(fault) => Err(format!("calculation: {fault}")),
    }
}

struct Work<'a> {
    figures: &'a Figures<'a>,
    style: Style,
    format: Format,
}

impl Work<'_> {
    /// The blocks of every sheet with their places; the title block is put in later, when the number of sheets is known.
    fn sheets(&self) -> Option<Vec<Vec<(Block, Point)>>> {
        let stack = self.corner([1, 1]);
        let columns = flow::Columns::of(&self.format, &stack);
        let parts = lettered::parts(self.figures.paper, &self.style, columns.width);
        flow::fill(&columns, parts, MOST_SHEETS)
    }

    /// The blocks of the lower right corner, the title block first.
    fn corner(&self, [sheet, sheets]: [usize; 2]) -> Vec<Block> {
        let title = title_block::draw(&self.template(), &self.values([sheet, sheets]), &self.style.pen).block;
        let width = title.width;
        let mut stack = vec![title];
        let stops: Vec<String> = self.stops().map(|f| self.style.written().sentence(&f.message)).collect();
        if !stops.is_empty() {
            stack.push(tables::not_released(&stops, width, self.style.language));
        }
        if self.figures.dossier.job.is_draft() {
            let open = self.style.written().sentence(&self.figures.dossier.open_sizes().join("; "));
            stack.push(tables::draft(&open, width, self.style.language));
        }
        stack
    }

    fn stops(&self) -> impl Iterator<Item = &Finding> {
        self.figures.dossier.outcome.findings.iter().filter(|f| f.severity == Severity::Stop)
    }

    fn template(&self) -> Template {
        Template { document_type: "Calculation sheet".to_owned(), ..self.figures.template.clone() }
    }

    fn values(&self, [sheet, sheets]: [usize; 2]) -> Values {
        let head = &self.figures.dossier.job.head;
        let or_empty = |text: &Option<String>| text.clone().unwrap_or_default();
        let status = self.figures.dossier.state().release.status();
        let texts = vec![
            (Field::Title, head.item.clone().unwrap_or_else(|| "Altered abrasive wheel".to_owned())),
            (Field::Customer, or_empty(&head.customer)),
            (Field::Contact, or_empty(&head.contact)),
            (Field::Quantity, head.quantity.map_or(String::new(), |q| q.to_string())),
            (Field::Status, status.to_owned()),
            (Field::CreatedBy, or_empty(&head.prepared_by)),
            (Field::Scale, "–".to_owned()),
            (Field::Units, self.style.unit.symbol().to_owned()),
            (Field::Paper, self.format.name().to_owned()),
            (Field::Number, head.number.clone()),
            (Field::Revision, head.revision.clone()),
            (Field::Date, or_empty(&head.date)),
            (Field::Sheet, format!("{sheet} / {sheets}")),
            (Field::Fingerprint, self.figures.dossier.job.fingerprint().short().to_owned()),
        ];
        Values { texts, projection: None }
    }

    fn drawing(&self, blocks: Vec<(Block, Point)>, number: [usize; 2]) -> Drawing {
        let mut foot = self.format.frame.min.y;
        let mut taken: Vec<Bounds> = Vec::new();
        let mut corner: Vec<Item> = Vec::new();
        for block in self.corner(number) {
            let at = Point::new(self.format.frame.max.x - block.width, foot);
            let own = Bounds { min: at, max: at + Point::new(block.width, block.height) };
            taken.push(own);
            foot += block.height;
            corner.push(Item::Group(block.group.moved(at)));
        }
        let mut items = vec![Item::Group(self.format.draw(&taken))];
        items.extend(corner);
        items.extend(blocks.into_iter().map(|(block, at)| Item::Group(block.group.moved(at))));
        let (job, [sheet, sheets]) = (&self.figures.dossier.job, number);
        let head = &job.head;
        Drawing {
            title: format!("{} {} – calculation, sheet {sheet} of {sheets}", head.number, head.revision),
            description: format!(
                "{}: speeds, stress, balance, wear and dressing of the altered wheel with plots, the findings with their sources, and cautions.",
                self.figures.paper.title
            ),
            width: self.format.width,
            height: self.format.height,
            pen: self.style.pen,
            items,
            about: self.figures.dossier.about("Calculation sheet"),
        }
    }
}
