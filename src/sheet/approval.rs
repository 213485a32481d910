//! The approval drawing as a whole: what belongs on it, the attempts at arranging it, and the sheets drawn.

use super::acceptance::{self, Expected};
use super::arrange::{Load, Part, Prepared, Row, Sheet, arrange, spread};
use super::block::Block;
use super::format::Format;
use super::notes;
use super::tables;
use super::template::{Field, Template};
use super::title_block::{self, Contents};
use super::view::{self, Context, Scale, Style, View, ViewKind, ViewRequest};
use crate::drawing::{About, Drawing, Group, Item};
use crate::order::SheetSize;
use crate::properties;
use crate::section::{Section, SectionError};
use crate::wheel::{Job, Requirement, SideName};

/// What the drawing is made from.
#[derive(Debug, Clone, Copy)]
pub struct Inputs<'a> {
    /// The order.
    pub job: &'a Job,
    /// What stops it, a sentence each; empty where nothing does.
    pub stops: &'a [String],
    /// The title block.
    pub template: &'a Template,
}

/// Why there is no drawing.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// The wheel has no section.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// No arrangement was found.
    #[error("no sheet of paper holds the drawing: {}", telling(.0))]
    NoRoom(Vec<String>),
}

/// The reason that says most among those of all attempts: of the largest scale that the wheel itself had room at.
fn telling(reasons: &[String]) -> &str {
    let small = |r: &&String| !r.contains("the wheel is larger than");
    reasons.iter().find(small).or(reasons.first()).map_or("no view was planned", String::as_str)
}

/// Most sheets of one drawing.
const MOST_SHEETS: usize = 60;
/// Smallest size of the wheel on paper that still looks like a drawing of it, mm; where the order names no sheet, a larger one is taken first.
const LEAST_ON_PAPER: f64 = 80.0;
/// Greatest extent of an enlarged detail or a picture, mm.
const GREATEST_DETAIL: f64 = 120.0;

/// Draws the approval drawing: one sheet or more.
///
/// # Errors
/// Where the wheel has no section, or no arrangement of views and tables on any sheet keeps everything apart.
pub fn approval(inputs: &Inputs) -> Result<Vec<Drawing>, SheetError> {
    let section = Section::of(&inputs.job.wheel)?;
    let work = Work::new(inputs, &section);
    let formats = work.formats();
    let scales = work.scales();
    let mut why = Vec::new();
    // first at scales that show the wheel well, then at the smaller ones; first on one sheet, then on several
    for single in [true, false] {
        for large in [true, false] {
            for format in &formats {
                for &scale in scales.iter().filter(|&&s| work.shows_well(s) == large) {
                    match work.attempt(format, scale, single) {
                        Ok(sheets) => return Ok(sheets),
                        Err(reason) => why.push(reason),
                    }
                }
            }
        }
    }
    Err(SheetError::NoRoom(why))
}

struct Work<'a> {
    inputs: &'a Inputs<'a>,
    section: &'a Section,
    style: Style,
    requirements: Vec<Requirement>,
    requests: Vec<ViewRequest>,
    parts: Vec<Prepared>,
}

impl<'a> Work<'a> {
    fn new(inputs: &'a Inputs<'a>, section: &'a Section) -> Work<'a> {
        let job = inputs.job;
        let mut work = Work {
            inputs,
            section,
            style: Style::of(job),
            requirements: job.requirements(),
            requests: view::plan(job, section),
            parts: Vec::new(),
        };
        work.parts = work.parts();
        work
    }

    fn formats(&self) -> Vec<Format> {
        match self.inputs.job.sheets.size {
            Some(size) => vec![Format::of(size)],
            None => Format::usual(self.style.dimensioning).to_vec(),
        }
    }

    /// The scales of the main views, the largest first.
    fn scales(&self) -> Vec<Scale> {
        self.requests.first().map_or(Vec::new(), |r| r.scales.clone())
    }

    fn shows_well(&self, scale: Scale) -> bool {
        self.inputs.job.wheel.outside_diameter * scale.factor() >= LEAST_ON_PAPER
    }

    fn attempt(&self, format: &Format, scale: Scale, single: bool) -> Result<Vec<Drawing>, String> {
        let wheel = &self.inputs.job.wheel;
        let f = scale.factor();
        if wheel.outside_diameter * f > format.frame.height() || wheel.thickness * f > format.frame.width() {
            return Err(format!("at {scale} the wheel is larger than {}", format.name()));
        }
        let views = self.views(scale)?;
        let stack = self.stack(self.title(format, scale, 1, 1).block);
        let (main, others) = self.rows(&views);
        let load = Load { stack: &stack, main, views: others, parts: &self.parts };
        let sheets = match single {
            true => arrange(format, &load).map(|sheet| vec![sheet]),
            false => spread(format, &load, MOST_SHEETS),
        };
        let sheets = sheets.ok_or_else(|| format!("at {scale} views and tables do not fit on {}", format.name()))?;
        let drawings = self.drawings(format, scale, &sheets);
        let shown: Vec<&View> = sheets.iter().flat_map(|s| s.views.iter().map(|(v, _)| *v)).collect();
        let expected = Expected { format, style: &self.style, requirements: &self.requirements, views: &shown };
        let mut violations = acceptance::check(&drawings, &expected);
        // until every view is drawn, numbers that only the missing ones show are not asked for
        violations.retain(|v| !matches!(v.rule, acceptance::Rule::NotOnce));
        match violations.first() {
            None => Ok(drawings),
            Some(first) => Err(format!("{first} ({} in all, at {scale} on {})", violations.len(), format.name())),
        }
    }

    /// Every view in the sizes it may have, the largest first; section, side and face views in one size.
    fn views(&self, scale: Scale) -> Result<Vec<Vec<View>>, String> {
        let context = Context {
            job: self.inputs.job,
            section: self.section,
            style: &self.style,
            requirements: &self.requirements,
            shown: &self.requests,
            references: true,
        };
        let main = |kind: &ViewKind| matches!(kind, ViewKind::Section | ViewKind::Side(_) | ViewKind::Face);
        let sizes = |request: &ViewRequest| -> Result<Vec<View>, String> {
            if main(&request.kind) {
                return Ok(vec![view::build(request, scale, &context).map_err(|e| e.to_string())?]);
            }
            let mut last = format!("{:?} has no scale", request.kind);
            let mut built = Vec::new();
            for &s in &request.scales {
                match view::build(request, s, &context) {
                    Ok(v) if v.bounds.width().max(v.bounds.height()) > GREATEST_DETAIL => {
                        "too large".clone_into(&mut last)
                    }
                    Ok(v) => built.push(v),
                    Err(e) => last = e.to_string(),
                }
                if built.len() == 2 {
                    break;
                }
            }
            if built.is_empty() { Err(last) } else { Ok(built) }
        };
        self.requests.iter().map(sizes).collect()
    }

    fn rows<'v>(&self, views: &'v [Vec<View>]) -> (Row<'v>, Vec<Vec<Row<'v>>>) {
        let find = |kind: ViewKind| views.iter().flatten().find(|v| v.kind == kind);
        let sides: Vec<&View> = SideName::BOTH.into_iter().filter_map(|s| find(ViewKind::Side(s))).collect();
        let main = match find(ViewKind::Section) {
            Some(section) => Row::projected(section, &sides, self.style.projection),
            None => Row { views: Vec::new(), width: 0.0, height: 0.0 },
        };
        let in_main = |v: &View| matches!(v.kind, ViewKind::Section | ViewKind::Side(_));
        let others = views.iter().filter(|sizes| sizes.first().is_some_and(|v| !in_main(v)));
        (main, others.map(|sizes| sizes.iter().map(Row::single).collect()).collect())
    }

    fn stack(&self, title: Block) -> Vec<Block> {
        let width = title.width;
        let mut stack = vec![title, tables::approval(self.inputs.job, width)];
        if !self.inputs.stops.is_empty() {
            stack.push(tables::not_released(self.inputs.stops, width));
        }
        let revisions = tables::revisions(self.inputs.job, width);
        stack.push(revisions.block(0..revisions.len()));
        stack
    }

    fn parts(&self) -> Vec<Prepared> {
        let job = self.inputs.job;
        let numbers = properties::of_section(&job.wheel, self.section, job.density());
        let mut parts = vec![Part::Table(tables::dimensions(job, self.section, &self.requirements, &self.style))];
        parts.extend(tables::grooves(job, &numbers, &self.style).map(Part::Table));
        parts.push(Part::Table(tables::properties(job, &numbers, &self.style)));
        let cut = self.title(&Format::of(SheetSize::A3), Scale::new(1, 1), 1, 1).cut;
        let more: Vec<String> = cut.iter().map(|(label, text)| title_block::cut_note(label, text)).collect();
        parts.push(Part::Notes(notes::cautions(job)));
        parts.push(Part::Notes(notes::notes(job, &self.style, &self.inputs.template.notes, &more)));
        parts.push(Part::Whole(tables::print_check()));
        parts.into_iter().map(Prepared::new).collect()
    }

    fn title(&self, format: &Format, scale: Scale, sheet: usize, sheets: usize) -> title_block::TitleBlock {
        let job = self.inputs.job;
        let head = &job.head;
        let or_empty = |text: &Option<String>| text.clone().unwrap_or_default();
        let status = if self.inputs.stops.is_empty() { "For approval" } else { "NOT RELEASED" };
        let values = vec![
            (Field::Title, head.item.clone().unwrap_or_else(|| "Altered abrasive wheel".to_owned())),
            (Field::Customer, or_empty(&head.customer)),
            (Field::Contact, or_empty(&head.contact)),
            (Field::Quantity, head.quantity.map_or(String::new(), |q| q.to_string())),
            (Field::Status, status.to_owned()),
            (Field::CreatedBy, or_empty(&head.prepared_by)),
            (Field::Scale, scale.to_string()),
            (Field::Units, self.style.unit.symbol().to_owned()),
            (Field::Paper, format.name().to_owned()),
            (Field::Number, head.number.clone()),
            (Field::Revision, head.revision.clone()),
            (Field::Date, or_empty(&head.date)),
            (Field::Sheet, format!("{sheet} / {sheets}")),
            (Field::Fingerprint, job.fingerprint().short().to_owned()),
        ];
        let contents = Contents { values, projection: Some(self.style.projection) };
        title_block::draw(self.inputs.template, &contents, &self.style.pen)
    }

    fn drawings(&self, format: &Format, scale: Scale, sheets: &[Sheet]) -> Vec<Drawing> {
        let count = sheets.len();
        let draw = |(i, sheet): (usize, &Sheet)| {
            let mut items: Vec<Item> = vec![Item::Group(format.draw(&self.style.pen))];
            for &(view, at) in &sheet.views {
                items.push(Item::Group(view.group.clone().moved(at)));
            }
            for (block, at) in &sheet.blocks {
                // the sheet numbers are known only now
                let group: Group = match block.group.id.as_str() {
                    "title-block" => self.title(format, scale, i + 1, count).block.group,
                    _ => block.group.clone(),
                };
                items.push(Item::Group(group.moved(*at)));
            }
            self.drawing(format, items, i + 1, count)
        };
        sheets.iter().enumerate().map(draw).collect()
    }

    fn drawing(&self, format: &Format, items: Vec<Item>, sheet: usize, sheets: usize) -> Drawing {
        let head = &self.inputs.job.head;
        let item = head.item.clone().unwrap_or_else(|| "Altered abrasive wheel".to_owned());
        let customer = head.customer.clone().unwrap_or_else(|| "the customer".to_owned());
        Drawing {
            title: format!("{} {} – approval drawing, sheet {sheet} of {sheets}", head.number, head.revision),
            description: format!(
                "{item}, for {customer}: dimensioned section and views of the altered wheel, tables, notes and title block."
            ),
            width: format.width,
            height: format.height,
            pen: self.style.pen,
            items,
            about: About {
                author: head.prepared_by.clone().unwrap_or_default(),
                subject: "Approval drawing".to_owned(),
                date: head.date.clone().unwrap_or_default(),
                fingerprint: self.inputs.job.fingerprint().full().to_owned(),
            },
        }
    }
}
