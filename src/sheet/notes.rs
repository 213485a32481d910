//! Notes and cautions: what is printed as sentences, wrapped and numbered.

use super::block::{Block, PITCH, Paragraph, TEXT_GAP};
use super::tables::SMALL;
use crate::drawing::{Anchor, Lettering, Text, measure};
use crate::geometry::Point;
use crate::order::{DrawingStyle, WheelSide};
use crate::language::Language;
use crate::report::cautions::sentences_in;
use crate::rules::{self, SwitchedOff};
use crate::sheet::view::Style;
use crate::wheel::{Deviation, Job, LimitsBy, Requirement};
use std::ops::Range;

/// Clear distance between the heading and the first line, mm.
const HEADING_GAP: f64 = TEXT_GAP + 0.8;

/// Sentences under a heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Notes {
    /// The id of its group.
    pub id: String,
    /// The heading.
    pub title: String,
    /// The sentences.
    pub items: Vec<String>,
    /// Whether they are numbered.
    pub numbered: bool,
}

/// Notes laid out for a width: lines that are parted between two sentences, or anywhere where a sentence alone is longer than a sheet.
#[derive(Debug, Clone)]
pub struct LaidNotes {
    id: String,
    title: String,
    width: f64,
    hang: f64,
    /// Each line with the number before it, if it begins a sentence.
    lines: Vec<(String, String)>,
}

impl Notes {
    /// No width gives a block of less than this area, mm²: the letters alone, set without blanks at the usual distance of lines. The line that is
    /// not full is made up for by the heading.
    pub fn least_area(&self) -> f64 {
        let words = self.items.iter().flat_map(|item| item.split_whitespace());
        words.map(|word| measure::width(word, SMALL, Lettering::Plain)).sum::<f64>() * PITCH * SMALL
    }

    /// Wraps the sentences to a width, mm.
    pub fn laid(&self, width: f64) -> LaidNotes {
        let mark = |i: usize| if self.numbered { format!("{}.", i + 1) } else { "–".to_owned() };
        let widest = mark(self.items.len().saturating_sub(1));
        let hang = measure::width(&widest, SMALL, Lettering::Plain) + 1.5;
        let mut lines = Vec::new();
        for (i, item) in self.items.iter().enumerate() {
            let broken = measure::wrapped(item, SMALL, Lettering::Plain, width - hang);
            lines
                .extend(broken.into_iter().enumerate().map(|(k, l)| (if k == 0 { mark(i) } else { String::new() }, l)));
        }
        LaidNotes { id: self.id.clone(), title: self.title.clone(), width, hang, lines }
    }
}

impl LaidNotes {
    /// How many lines there are.
    pub fn len(&self) -> usize {
        self.lines.len()
    }

    fn paragraph(&self, lines: Range<usize>) -> Paragraph {
        Paragraph::of(self.lines[lines].iter().map(|(_, l)| l.clone()).collect(), SMALL, Lettering::Plain)
    }

    fn heading(&self) -> Paragraph {
        Paragraph::wrapped(&self.title, SMALL, Lettering::Bold, self.width)
    }

    /// Height of the block of some lines, mm.
    pub fn height(&self, lines: Range<usize>) -> f64 {
        self.heading().height + HEADING_GAP + self.paragraph(lines).height
    }

    /// The block of some lines.
    pub fn block(&self, lines: Range<usize>) -> Block {
        let (heading, body) = (self.heading(), self.paragraph(lines.clone()));
        let height = heading.height + HEADING_GAP + body.height;
        let id = if lines.start == 0 { self.id.clone() } else { format!("{}-from-{}", self.id, lines.start + 1) };
        let mut block = Block::new(&id, self.width, height);
        block.group.title = self.title.clone();
        heading.put(&mut block, 0.0, height, Anchor::Start);
        let top = body.height;
        body.put(&mut block, self.hang, top, Anchor::Start);
        for ((mark, _), baseline) in self.lines[lines].iter().zip(&body.baselines) {
            let at = Point::new(self.hang - 1.5, top - baseline);
            block.text(Text::new(mark.clone(), at, SMALL).ended());
        }
        block
    }

    /// How many of the first `n` lines from `first` on are whole sentences.
    pub fn whole(&self, first: usize, n: usize) -> usize {
        let begins = |i: usize| self.lines.get(first + i).is_none_or(|(mark, _)| !mark.is_empty());
        (1..=n).rev().find(|&i| begins(i)).unwrap_or(0)
    }

    /// How many lines from `first` on fit into a height, mm.
    pub fn fitting(&self, first: usize, height: f64) -> usize {
        let room = height - self.heading().height - HEADING_GAP;
        // more lines than this cannot fit whatever their ink
        let most = (room.max(0.0) / SMALL) as usize + 1;
        let body = self.paragraph(first..self.lines.len().min(first + most));
        // the descent of a line may be deeper than usual: leave room for it
        body.baselines.iter().take_while(|&&y| y + 0.5 * SMALL <= room).count()
    }
}

/// The shop's general tolerances as they hold for this wheel, sizes by their letters: `±0.5: D, P · ±0.2: T`; `None` where none does.
fn shop_general(job: &Job, style: &Style) -> Option<String> {
    let mut groups: Vec<(Deviation, Vec<String>)> = Vec::new();
    for r in job.requirements() {
        let Some((deviation, LimitsBy::Shop)) = r.general else { continue };
        let name = if r.letter.is_empty() { r.size.label_in(&job.wheel, style.language) } else { r.letter.clone() };
        match groups.iter_mut().find(|(d, _)| *d == deviation) {
            Some((_, names)) if names.contains(&name) => {}
            Some((_, names)) => names.push(name),
            None => groups.push((deviation, vec![name])),
        }
    }
    let said = |(d, names): &(Deviation, Vec<String>)| format!("{}: {}", super::tables::tolerance(*d, style, false), names.join(", "));
    let list = groups.iter().map(said).collect::<Vec<_>>().join(" · ");
    let source = job.tolerances.shop.as_ref().map_or("", |shop| shop.source());
    (!list.is_empty()).then(|| style.put("note.shop_general", &[("source", source), ("list", &list)]))
}

/// The numbered notes: the order's own, the shop's, then what the reader must know about the sheet; `blank`: of the blank's lines too.
pub fn notes(job: &Job, style: &Style, shop: &[String], more: &[String], blank: bool) -> Notes {
    let mut items: Vec<String> = job.head.notes.iter().filter(|n| !n.trim().is_empty()).cloned().collect();
    items.extend(shop.iter().cloned());
    let unit = super::tables::unit_name(style.unit, style);
    let other = super::tables::unit_name(style.other_unit(), style);
    items.push(match style.dual_units {
        true => style.put("note.dual", &[("unit", unit), ("other", other)]),
        false => style.put("note.unit", &[("unit", unit)]),
    });
    let conventions = match style.dimensioning {
        DrawingStyle::Iso => "note.iso",
        DrawingStyle::Us => "note.us",
    };
    items.push(style.say(conventions).to_owned());
    let general = match job.tolerances.general {
        Some(d) => style.put("note.general", &[("tolerance", &super::tables::tolerance(d, style, false))]),
        None => shop_general(job, style).unwrap_or_else(|| style.say("note.no_general").to_owned()),
    };
    items.push(style.put("note.parentheses", &[("general", &general)]));
    if blank {
        items.push(style.say("note.blank").to_owned());
    }
    if job.mount.flange_diameter.is_some_and(|flange| flange < job.wheel.outside_diameter) {
        items.push(style.say("note.flange").to_owned());
    }
    if let Some(side) = job.mount.fixed_flange_side {
        let letter = match side {
            WheelSide::A => "A",
            WheelSide::B => "B",
        };
        items.push(style.put("note.fixed_flange", &[("side", letter)]));
    }
    items.extend(more.iter().cloned());
    Notes { id: "notes".to_owned(), title: style.say("note.title").to_owned(), items, numbered: true }
}

/// What a reader must know of a rule that was not applied: which one, and the shop's reason.
pub fn switched_off(off: &SwitchedOff, style: &Style) -> String {
    let title = rules::find(&off.rule).map_or(String::new(), |rule| format!(" ({})", rule.title));
    let why = off.why.trim_end_matches('.');
    style.put("note.switched_off", &[("rule", &format!("{}{title}", off.rule)), ("why", why)])
}

/// The cautions that every drawing carries: in the shop's language, and before that in the customer's where it is another.
pub fn cautions(job: &Job, language: Language) -> Vec<Notes> {
    let own = Language::default();
    let notes = |language: Language| Notes {
        id: if language == own { "cautions".to_owned() } else { format!("cautions-{}", language.code()) },
        title: language.text("cautions.title").to_owned(),
        items: sentences_in(job, language).into_iter().map(str::to_owned).collect(),
        numbered: false,
    };
    let theirs = (language != own).then(|| notes(language));
    theirs.into_iter().chain([notes(own)]).collect()
}

/// Id of what tells of sizes that no view shows.
pub const NOT_PLACED: &str = "not-placed";

/// The sizes that no view could show; `None` where all are shown.
pub fn not_placed(job: &Job, sizes: &[&Requirement], language: Language) -> Option<Notes> {
    let label = |r: &Requirement| r.size.label_in(&job.wheel, language);
    let named = |r: &&Requirement| format!("{} ({})", label(r), r.letter).replace(" ()", "");
    let items: Vec<String> = sizes.iter().map(named).collect();
    let title = language.text("note.not_placed").to_owned();
    (!items.is_empty()).then_some(Notes { id: NOT_PLACED.to_owned(), title, items, numbered: false })
}

/// What was asked and agreed; `None` where nothing was.
pub fn agreed(items: Vec<String>, language: Language) -> Option<Notes> {
    let title = language.text("note.agreed").to_owned();
    (!items.is_empty()).then_some(Notes { id: "agreed".to_owned(), title, items, numbered: true })
}
