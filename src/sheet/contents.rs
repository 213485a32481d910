//! What is lettered on the sheets besides the views: title block, corner blocks, tables and notes of one order.

use super::arrange::{Corner, Corners, Part, Prepared, Settings, Sheet};
use super::block::Block;
use super::format::Format;
use super::notes::{self, Notes};
use super::questions::question;
use super::rings;
use super::tables::{self, Agreed};
use super::template::{Field, Template, in_language};
use super::title_block::{self, TitleBlock, Values};
use super::view::{Scale, Style, View, ViewKind};
use crate::dossier::Dossier;
use crate::drawing::{Drawing, Group, Item};
use crate::geometry::{Bounds, Point};
use crate::order::{Answer, SheetSize};
use crate::properties::speed::test_rpm;
use crate::rules::{Addressee, Finding, SIZE_OPEN, Severity};
use crate::tolerance::LAST_DIGIT_MM;
use crate::wheel::{Job, Requirement};
use std::cell::OnceCell;

/// The tables of the contract, as they are read.
const CONTRACT: [&str; 4] = [tables::DIMENSIONS, tables::GROOVES, tables::PROPERTIES, tables::QUESTIONS];
/// A number of a sheet as wide as any.
const WIDEST_NUMBER: usize = 88;

/// What the drawing is made from.
#[derive(Debug, Clone, Copy)]
pub struct Inputs<'a> {
    /// The order and what the rules say of it: what stops it is printed large, what has to be asked is asked, what is switched off is named.
    pub dossier: &'a Dossier<'a>,
    /// The title block.
    pub template: &'a Template,
}

/// What is lettered, worked out once for all attempts.
pub struct Contents<'a> {
    inputs: &'a Inputs<'a>,
    /// The shop's title block, its usual labels in the sheet's language.
    template: Template,
    /// How things are written.
    pub style: Style,
    /// Every number that must be drawn.
    pub requirements: Vec<Requirement>,
    /// Without and with a note on the blank's lines.
    parts: [OnceCell<Vec<Prepared>>; 2],
    /// The same with a word on paper larger than the order names.
    grown: [OnceCell<Vec<Prepared>>; 2],
}

impl<'a> Contents<'a> {
    /// The lettering of an order.
    pub fn new(inputs: &'a Inputs<'a>) -> Contents<'a> {
        let job = &inputs.dossier.job;
        let (style, requirements) = (Style::of(job), job.requirements());
        let template = in_language(inputs.template, style.language);
        Contents { inputs, template, style, requirements, parts: Default::default(), grown: Default::default() }
    }

    /// What is lettered on this paper; `blank`: whether views show lines of the blank, so that a note says what they are.
    pub fn parts(&self, format: &Format, blank: bool) -> &[Prepared] {
        match self.job().sheets.size {
            Some(named) if named != format.size => self.grown[usize::from(blank)].get_or_init(|| {
                let small = Format::of(named).name();
                self.prepared(&[self.style.put("note.larger", &[("sheet", small)])], None, blank)
            }),
            _ => self.parts[usize::from(blank)].get_or_init(|| self.prepared(&[], None, blank)),
        }
    }

    /// What is lettered, and these notes first.
    pub fn with(&self, first: Option<Notes>, blank: bool) -> Vec<Prepared> {
        self.prepared(&[], first, blank)
    }

    /// The order.
    pub fn job(&self) -> &'a Job {
        &self.inputs.dossier.job
    }

    /// The paper sizes to try: the one the order names and, where it is too small, the larger ones; last those of the other family.
    pub fn formats(&self) -> Vec<Format> {
        let own = match self.job().sheets.size {
            Some(size) => Format::at_least(size),
            None => Format::usual(self.style.dimensioning).to_vec(),
        };
        let others = Format::ALL.map(Format::of).into_iter().filter(|f| f.is_iso() != own[0].is_iso());
        let others: Vec<Format> = others.filter(|f| f.width * f.height >= own[0].width * own[0].height).collect();
        own.into_iter().chain(others).collect()
    }

    /// The places tables and notes can take on a paper size.
    pub fn settings<'p>(&self, format: &Format, parts: &'p [Prepared]) -> Settings<'p> {
        // the scale is printed later; its length does not change the block
        let title = |sheet: usize| self.title(format, &Scale::new(1, 1).to_string(), [sheet, 1]).block;
        let naming = CONTRACT.map(|id| (id, WIDEST_NUMBER));
        let first = self.stack(title(1));
        let corners = Corners {
            naming: Corner::new(first.clone(), self.bar(&naming, 0.0)),
            first: Corner::new(first, self.bar(&[], 0.0)),
            further: Corner::new(vec![title(2)], self.bar(&[], 0.0)),
        };
        Settings::new(*format, corners, parts)
    }

    /// The check bar with the state, and with words on which sheets these tables stand; at least so high, mm.
    fn bar(&self, elsewhere: &[(&str, usize)], least: f64) -> Block {
        let named: Vec<(&str, String)> = elsewhere.iter().map(|&(id, sheet)| (id, self.elsewhere(id, sheet))).collect();
        tables::print_check(self.template.width, least, &self.inputs.dossier.state().line(), &named, self.style.language)
    }

    fn stops(&self) -> Vec<String> {
        self.findings(Severity::Stop).map(|f| self.style.written().sentence(&f.message)).collect()
    }

    fn findings(&self, severity: Severity) -> impl Iterator<Item = &'a Finding> {
        self.inputs.dossier.outcome.findings.iter().filter(move |f| f.severity == severity)
    }

    /// The blocks of the lower right corner, the title block first.
    fn stack(&self, title: Block) -> Vec<Block> {
        let (width, stops) = (title.width, self.stops());
        // what a rule stops cannot be approved
        let mut stack = match (stops.is_empty(), self.job().is_draft()) {
            (true, false) => vec![title, tables::approval(self.job(), width, self.style.language)],
            (true, true) => vec![title],
            (false, _) => vec![title, tables::not_released(&stops, width, self.style.language)],
        };
        if self.job().is_draft() {
            let open = self.inputs.dossier.open_sizes_in(self.style.language).join("; ");
            stack.push(tables::draft(&self.style.written().sentence(&open), width, self.style.language));
        }
        let revisions = tables::revisions(self.job(), width, self.style.language);
        stack.push(revisions.block(0..revisions.len()));
        stack
    }

    /// Tables and notes; `told` follows the other notes, `first` stands before everything.
    fn prepared(&self, told: &[String], first: Option<Notes>, blank: bool) -> Vec<Prepared> {
        let job = self.job();
        let numbers = self.inputs.dossier.as_ordered();
        let outcome = &self.inputs.dossier.outcome;
        // open sizes stand beside the title block
        let asked = outcome.questions(Addressee::Customer).filter(|f| f.id != SIZE_OPEN);
        let asked: Vec<String> = asked.map(|f| question(job, f, &self.style)).collect();
        let mut contract: Vec<Part> = vec![Part::Table(tables::dimensions(job, &self.requirements, &self.style))];
        contract.extend(tables::grooves(job, &self.requirements, &self.style).map(Part::Table));
        contract.push(Part::Table(tables::properties(job, &numbers, self.agreed(), &self.style)));
        contract.extend(tables::questions(asked, self.style.language).map(Part::Table));
        let cut = self.title(&Format::of(SheetSize::A3), &Scale::new(1, 1).to_string(), [1, 1]).cut;
        let cut_note = |(label, text): &(String, String)| title_block::cut_note(label, text, self.style.language);
        let mut more: Vec<String> = cut.iter().map(cut_note).collect();
        more.extend(outcome.switched_off.iter().map(|off| notes::switched_off(off, &self.style)));
        more.extend(outcome.left.iter().filter(|l| l.amount().is_some_and(|mm| mm >= LAST_DIGIT_MM) && !l.refuses()).map(|l| l.words(&self.style.written(), self.style.language)));
        more.extend(told.iter().cloned());
        let mut parts: Vec<Part> = notes::cautions(job, self.style.language).into_iter().map(Part::Notes).collect();
        parts.push(Part::Notes(notes::notes(job, &self.style, &self.template.notes, &more, blank)));
        let agreed = outcome.answered.iter().map(|a| {
            let Answer { answer, by, date, .. } = &a.answer;
            format!("{} {answer} ({by}, {date})", question(job, &a.finding, &self.style))
        });
        parts.extend(notes::agreed(agreed.collect(), self.style.language).map(Part::Notes));
        let first = first.map(Part::Notes).into_iter().map(Prepared::new);
        let contract = contract.into_iter().map(|part| Prepared::new(part).agreed());
        first.chain(contract).chain(parts.into_iter().map(Prepared::new)).collect()
    }

    /// The words that say on which sheet a table of the contract stands.
    fn elsewhere(&self, id: &str, sheet: usize) -> String {
        let language = self.style.language;
        let name = language.text(match id {
            tables::GROOVES => "sheet.elsewhere_grooves",
            tables::PROPERTIES => "sheet.wheel",
            tables::QUESTIONS => "note.questions",
            _ => "sheet.dimensions",
        });
        language.put("sheet.elsewhere", &[("table", name), ("sheet", &sheet.to_string())])
    }

    /// Speed test and balance as the shop's rules have them.
    fn agreed(&self) -> Agreed {
        let (job, dossier) = (self.job(), self.inputs.dossier);
        let speed = job.marked_speed().and_then(|v| Some(dossier.shop.test_factor(v)? * v));
        let unbalance = dossier.outcome.permitted_unbalance.known().copied();
        Agreed { test_rpm: speed.map(|v| test_rpm(job.wheel.outside_diameter, v)), unbalance }
    }

    /// The title block of sheet n of m, or its strip where that is not the first.
    fn title(&self, format: &Format, scale: &str, [sheet, sheets]: [usize; 2]) -> TitleBlock {
        let head = &self.job().head;
        let or_empty = |text: &Option<String>| text.clone().unwrap_or_default();
        let status = self.inputs.dossier.state().release.status();
        let values = vec![
            (Field::Title, item(self.job(), &self.style)),
            (Field::Customer, or_empty(&head.customer)),
            (Field::Contact, or_empty(&head.contact)),
            (Field::Quantity, head.quantity.map_or(String::new(), |q| q.to_string())),
            (Field::Status, self.style.say(&format!("status.{status}")).to_owned()),
            (Field::CreatedBy, or_empty(&head.prepared_by)),
            (Field::Scale, scale.to_owned()),
            (Field::Units, self.style.unit.symbol().to_owned()),
            (Field::Paper, format.name().to_owned()),
            (Field::Number, head.number.clone()),
            (Field::Revision, head.revision.clone()),
            (Field::Date, or_empty(&head.date)),
            (Field::Sheet, format!("{sheet} / {sheets}")),
            (Field::Fingerprint, self.job().fingerprint().short().to_owned()),
        ];
        let values = Values { texts: values, projection: Some(self.style.projection) };
        let draw = if sheet == 1 { title_block::draw } else { title_block::strip };
        draw(&self.template, &values, &self.style.pen)
    }

    /// The finished sheets.
    pub fn drawings(&self, format: &Format, scale: Scale, sheets: &[Sheet]) -> Vec<Drawing> {
        let count = sheets.len();
        let ringed = rings::places(format, sheets, &self.style);
        let draw = |(i, sheet): (usize, &Sheet)| {
            let mut items: Vec<Item> = vec![Item::Group(format.draw(&corner_of(sheet)))];
            for &(view, at) in &sheet.views {
                items.push(Item::Group(rings::named(view, &ringed, count).group.moved(at)));
            }
            for (block, at) in &sheet.blocks {
                // scale and sheet numbers are known only now
                let group: Group = match block.group.id.as_str() {
                    "title-block" => self.title(format, &scale_on(sheet, scale, &self.style), [i + 1, count]).block.group,
                    tables::PRINT_CHECK if i == 0 => self.bar(&displaced(sheets), block.height).group,
                    _ => block.group.clone(),
                };
                items.push(Item::Group(group.moved(*at)));
            }
            self.drawing(format, items, [i + 1, count])
        };
        sheets.iter().enumerate().map(draw).collect()
    }

    fn drawing(&self, format: &Format, items: Vec<Item>, [sheet, sheets]: [usize; 2]) -> Drawing {
        let head = &self.job().head;
        let customer = head.customer.clone().unwrap_or_else(|| "the customer".to_owned());
        let stopped = match self.findings(Severity::Stop).next() {
            Some(_) => " NOT RELEASED: a rule stops the order.",
            None => "",
        };
        Drawing {
            title: format!("{} {} – approval drawing, sheet {sheet} of {sheets}", head.number, head.revision),
            description: format!(
                "{}, for {customer}: section and views of the altered wheel with dimensions, tables, notes and title block.{stopped}",
                item(self.job(), &self.style)
            ),
            width: format.width,
            height: format.height,
            pen: self.style.pen,
            items,
            about: self.inputs.dossier.about("Approval drawing"),
        }
    }
}

/// The tables of the contract that begin on a further sheet, with its number.
fn displaced(sheets: &[Sheet]) -> Vec<(&'static str, usize)> {
    let first = |id: &str| sheets.iter().position(|s| s.blocks.iter().any(|(block, _)| block.group.id == id));
    CONTRACT.into_iter().filter_map(|id| Some((id, first(id)? + 1))).filter(|&(_, sheet)| sheet > 1).collect()
}

/// What the title block says of the scale: that of the main views, where one of them is on the sheet.
fn scale_on(sheet: &Sheet, main: Scale, style: &Style) -> String {
    match &sheet.views[..] {
        [] => "–".to_owned(),
        views if views.iter().any(|(v, _)| v.scale == main && is_main(v)) => main.to_string(),
        _ => style.say("title.as_shown").to_owned(),
    }
}

/// Whether the title block's scale speaks of a view: section and side views.
fn is_main(view: &View) -> bool {
    matches!(view.kind, ViewKind::Section | ViewKind::PlainSection | ViewKind::Side(_))
}

/// The boxes of the blocks that abut on the frame.
fn corner_of(sheet: &Sheet) -> Vec<Bounds> {
    let abut = |id: &str| matches!(id, "title-block" | "approval" | "not-released" | "draft" | "table-revisions" | "print-check");
    let boxes = sheet.blocks.iter().filter(|(b, _)| abut(&b.group.id));
    boxes.map(|(b, at)| Bounds { min: *at, max: *at + Point::new(b.width, b.height) }).collect()
}

/// What the wheel is for, in the customer's words where the order has them.
fn item(job: &Job, style: &Style) -> String {
    let named = job.head.item.clone().filter(|i| !i.trim().is_empty());
    named.unwrap_or_else(|| style.say("title.item").to_owned())
}
