//! The approval drawing as a whole: what belongs on it, the attempts at arranging it, and the sheets drawn.

use super::arrange::{Load, Manner, Part, Row, Sheet, arrange};
use super::block::Block;
use super::format::Format;
use super::notes;
use super::tables;
use super::template::{Field, Template};
use super::title_block::{self, Contents};
use super::view::{self, Context, Scale, Style, View, ViewKind, ViewRequest};
use crate::drawing::{About, Drawing, Group, Item};
use crate::geometry::Point;
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
    #[error("no sheet of paper holds the drawing: {0}")]
    NoRoom(String),
}

/// Most sheets of one drawing.
const MOST_SHEETS: usize = 40;

/// Draws the approval drawing: one sheet or more.
///
/// # Errors
/// Where the wheel has no section, or no arrangement of views and tables on any sheet keeps everything apart.
pub fn approval(inputs: &Inputs) -> Result<Vec<Drawing>, SheetError> {
    let section = Section::of(&inputs.job.wheel)?;
    let work = Work::new(inputs, &section);
    let formats = work.formats();
    let mut why = String::new();
    for most in [1, MOST_SHEETS] {
        for format in &formats {
            for &scale in &work.scales() {
                match work.attempt(format, scale, most) {
                    Ok(sheets) => return Ok(sheets),
                    Err(reason) => why = reason,
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
}

impl<'a> Work<'a> {
    fn new(inputs: &'a Inputs<'a>, section: &'a Section) -> Work<'a> {
        let job = inputs.job;
        let requests = view::plan(job, section);
        Work { inputs, section, style: Style::of(job), requirements: job.requirements(), requests }
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

    fn attempt(&self, format: &Format, scale: Scale, most: usize) -> Result<Vec<Drawing>, String> {
        let wheel = &self.inputs.job.wheel;
        let f = scale.factor();
        if wheel.outside_diameter * f > format.frame.height() || wheel.thickness * f > format.frame.width() {
            return Err(format!("at {scale} the wheel is larger than {}", format.name()));
        }
        let views = self.views(scale)?;
        let (numbers, title) =
            (properties::of_section(wheel, self.section, self.inputs.job.density()), self.title(format, scale, 1, 1));
        let stack = self.stack(title.block.clone());
        let (main, others) = self.rows(&views);
        let parts = self.parts(&numbers, &title.cut);
        let load = Load { stack, main, views: others, parts, later: vec![title.block.clone()] };
        for manner in [Manner::Band, Manner::Column] {
            if let Some(sheets) = arrange(format, &load, manner, most) {
                return Ok(self.drawings(format, scale, &sheets));
            }
        }
        Err(format!("at {scale} views and tables do not fit on {}", format.name()))
    }

    fn views(&self, scale: Scale) -> Result<Vec<View>, String> {
        let context = Context {
            job: self.inputs.job,
            section: self.section,
            style: &self.style,
            requirements: &self.requirements,
            shown: &self.requests,
            references: true,
        };
        let main = |kind: &ViewKind| matches!(kind, ViewKind::Section | ViewKind::Side(_) | ViewKind::Face);
        self.requests
            .iter()
            .map(|request| {
                if main(&request.kind) {
                    return view::build(request, scale, &context).map_err(|e| e.to_string());
                }
                let mut last = String::new();
                for &s in &request.scales {
                    match view::build(request, s, &context) {
                        Ok(view) if view.bounds.width() < 110.0 && view.bounds.height() < 110.0 => return Ok(view),
                        Ok(_) => last = "too large".to_owned(),
                        Err(e) => last = e.to_string(),
                    }
                }
                Err(last)
            })
            .collect()
    }

    fn rows<'v>(&self, views: &'v [View]) -> (Row<'v>, Vec<Row<'v>>) {
        let find = |kind: ViewKind| views.iter().find(|v| v.kind == kind);
        let sides: Vec<&View> = SideName::BOTH.into_iter().filter_map(|s| find(ViewKind::Side(s))).collect();
        let main = match find(ViewKind::Section) {
            Some(section) => Row::projected(section, &sides, self.style.projection),
            None => Row { views: Vec::new(), width: 0.0, height: 0.0 },
        };
        let in_main = |v: &View| matches!(v.kind, ViewKind::Section | ViewKind::Side(_));
        (main, views.iter().filter(|v| !in_main(v)).map(Row::single).collect())
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

    fn parts(&self, numbers: &properties::Properties, cut: &[(String, String)]) -> Vec<Part> {
        let job = self.inputs.job;
        let mut parts =
            vec![Part::Table(tables::dimensions(job, self.section, &self.requirements, &self.style).laid(0.0))];
        if let Some(table) = tables::grooves(job, numbers, &self.style) {
            parts.push(Part::Table(table.laid(0.0)));
        }
        parts.push(Part::Table(tables::properties(job, numbers, &self.style).laid(0.0)));
        let more: Vec<String> = cut.iter().map(|(label, text)| title_block::cut_note(label, text)).collect();
        let cautions = notes::cautions(job);
        let listed = notes::notes(job, &self.style, &self.inputs.template.notes, &more);
        for list in [cautions, listed] {
            parts.push(Part::Notes([120.0, 180.0, 100.0, 200.0, 150.0].iter().map(|&w| list.laid(w)).collect()));
        }
        parts.push(Part::Whole(tables::print_check()));
        parts
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
        let _ = Point::ORIGIN;
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
