//! What is signed and what is watched for: the approval block, the revisions, the mark of an order that may not be made, the check bar.

use super::SMALL;
use crate::drawing::{Anchor, Group, Item, Lettering, LineRole, measure};
use crate::geometry::{Bounds, Point};
use crate::language::Language;
use crate::sheet::block::{Block, PAD, Paragraph, TEXT_GAP};
use crate::sheet::table::{Column, LaidTable, Table};
use crate::wheel::Job;

/// Side of a box to tick, mm.
const TICK: f64 = 4.0;
/// Capital heights of a word in large letters, the first that has room, mm.
const LARGE: [f64; 3] = [7.0, 5.0, 3.5];
/// Width of a title block that is narrow, mm.
const NARROW: f64 = 160.0;
/// Height of the field to sign in, mm.
const SIGN: f64 = 11.0;

/// The customer's approval: three boxes to tick, name, date, signature.
pub fn approval(job: &Job, width: f64, language: Language) -> Block {
    let print = job.fingerprint();
    let names = [("number", &*job.head.number), ("revision", &job.head.revision), ("fingerprint", print.short())];
    let words = language.put("sheet.approval", &names);
    let title = Paragraph::wrapped(&words, SMALL, Lettering::Bold, width - 4.0);
    let head = title.height + 2.0 * PAD;
    let choices = ["sheet.approved", "sheet.approved_with", "sheet.not_approved"]
        .map(|key| Paragraph::of(vec![language.text(key).to_owned()], SMALL, Lettering::Plain));
    let boxes = boxes(&choices, width);
    let row = TICK + 2.0 * 1.5;
    let rows = 1 + boxes.iter().map(|(_, row)| *row).max().unwrap_or_default();
    let height = head + row * rows as f64 + SIGN;
    let mut block = Block::new("approval", width, height);
    block.group.title = "Approval block".to_owned();
    block.tint(Bounds::of(Point::new(0.0, height - head), Point::new(width, height)));
    block.frame(block.bounds(), LineRole::TableWide);
    title.put(&mut block, 1.5, height - PAD, Anchor::Start);
    block.rule(height - head, LineRole::TableNarrow);
    for (words, (x, from_top)) in choices.iter().zip(boxes) {
        let foot = SIGN + 1.5 + row * (rows - 1 - from_top) as f64;
        block.frame(Bounds::of(Point::new(x, foot), Point::new(x + TICK, foot + TICK)), LineRole::TableNarrow);
        words.put(&mut block, x + TICK + 1.5, foot + (TICK + SMALL) / 2.0, Anchor::Start);
    }
    block.rule(SIGN, LineRole::TableNarrow);
    for (i, text) in ["sheet.name", "sheet.date", "sheet.signature"].into_iter().enumerate() {
        let x = [0.0, 0.38, 0.58][i] * width;
        if i > 0 {
            block.line(Point::new(x, 0.0), Point::new(x, SIGN), LineRole::TableNarrow);
        }
        let words = Paragraph::of(vec![language.text(text).to_owned()], SMALL, Lettering::Plain);
        words.put(&mut block, x + 1.5, SIGN - PAD, Anchor::Start);
    }
    block
}

/// Where the boxes to tick begin, and in which row from the top: on one line where their words have room there, otherwise one under another.
fn boxes(choices: &[Paragraph; 3], width: f64) -> [(f64, usize); 3] {
    let taken = choices.each_ref().map(|words| TICK + 1.5 + words.width + BETWEEN);
    let wished = [0.0, 0.24, 0.66].map(|share| 2.0 + share * width);
    let end = width + BETWEEN - 2.0;
    let next = [wished[1], wished[2], end];
    if (0..3).all(|i| wished[i] + taken[i] <= next[i]) {
        return wished.map(|x| (x, 0));
    }
    let spare = end - 2.0 - taken.iter().sum::<f64>();
    match spare >= 0.0 {
        true => [2.0, 2.0 + taken[0] + spare / 2.0, 2.0 + taken[0] + taken[1] + spare].map(|x| (x, 0)),
        false => [(2.0, 0), (2.0, 1), (2.0, 2)],
    }
}

/// The revision table: this revision, and a line to write on.
pub fn revisions(job: &Job, width: f64, language: Language) -> LaidTable {
    let head = &job.head;
    let [rev, date, by] = if width < NARROW { [14.0, 22.0, 28.0] } else { [30.0, 30.0, 40.0] };
    let columns = vec![
        Column::centred(language.text("sheet.rev"), rev).bold(),
        Column::left(language.text("sheet.revision"), width - rev - date - by - 10.0),
        Column::left(language.text("sheet.date"), date),
        Column::left(language.text("sheet.by"), by),
    ];
    let by = head.prepared_by.clone().unwrap_or_default();
    let rows = vec![vec![
        head.revision.clone(),
        language.text("sheet.issued").to_owned(),
        head.date.clone().unwrap_or_default(),
        by,
    ]];
    Table { id: "table-revisions".to_owned(), title: String::new(), columns, rows, size: SMALL }.laid(width)
}

/// The mark of an order that a rule stops, with what stops it.
pub fn not_released(stops: &[String], width: f64, language: Language) -> Block {
    held("not-released", ["sheet.not_released", "sheet.these_stop"].map(|key| language.text(key)), stops, width)
}

/// The mark of an order that leaves sizes open, with them.
pub fn draft(open: &str, width: f64, language: Language) -> Block {
    held("draft", ["sheet.draft", "sheet.decide"].map(|key| language.text(key)), &[open.to_owned()], width)
}

/// A word in large letters, and below it why it stands there.
fn held(id: &str, [word, lead]: [&str; 2], reasons: &[String], width: f64) -> Block {
    let inside = width - 6.0;
    let fits = |size: &f64| measure::width(word, *size, Lettering::Bold) <= inside;
    let size = LARGE.into_iter().find(fits).unwrap_or(SMALL);
    let title = Paragraph::of(vec![word.to_owned()], size, Lettering::Bold);
    let mut why: Vec<Paragraph> = vec![Paragraph::wrapped(lead, SMALL, Lettering::Plain, inside)];
    why.extend(reasons.iter().map(|s| Paragraph::wrapped(&format!("– {s}"), SMALL, Lettering::Plain, inside)));
    let gap = TEXT_GAP + 0.3;
    let body: f64 = why.iter().map(|p| p.height + gap).sum();
    let height = 2.5 + title.height + 0.5 + body + 2.8;
    let mut block = Block::new(id, width, height);
    block.group.title = word.to_owned();
    let outer = block.bounds();
    // clear of what stands right above and below
    block.frame(outer.grown(-0.4), LineRole::Frame);
    block.frame(outer.grown(-1.2), LineRole::TableNarrow);
    let mut top = height - 2.5;
    title.put(&mut block, width / 2.0, top, Anchor::Middle);
    top -= title.height + 0.5;
    for paragraph in &why {
        top -= gap;
        paragraph.put(&mut block, 3.0, top, Anchor::Start);
        top -= paragraph.height;
    }
    block
}

/// Length of the check bar, mm.
const BAR: f64 = 100.0;
/// Height of the check bar's ticks at its ends, mm.
const BAR_TICK: f64 = 2.0;
/// Clear distance of the bar from what stands around it, mm.
const BAR_GAP: f64 = 3.0;

/// Id of the check bar's block.
pub const PRINT_CHECK: &str = "print-check";
/// Before the id of a table: the words that say on which sheet it stands.
const ELSEWHERE: &str = "elsewhere-";
/// Clear distance between words that stand beside each other, mm.
const BETWEEN: f64 = 5.0;

/// A bar 100 mm long that shows whether a print has kept its size, with its note beside it, or above it where `width` is too small for both; below
/// it the state the sheet was made in and, by their ids, words on tables that stand `elsewhere`. At least so high, mm.
pub fn print_check(width: f64, least: f64, state: &str, elsewhere: &[(&str, String)], language: Language) -> Block {
    let words = Paragraph::of(vec![language.text("sheet.print_check").to_owned()], SMALL, Lettering::Plain);
    let beside = width >= BAR + words.width + 3.0 * BAR_GAP;
    let width = if beside { width } else { width.max(BAR + 2.0 * BAR_GAP) };
    let state = Paragraph::wrapped(state, SMALL, Lettering::Plain, width - 3.0);
    let (named, rows) = named(elsewhere, width - 3.0);
    let head = match beside {
        true => words.height + 2.0 * PAD,
        false => words.height + TEXT_GAP + BAR_TICK + 3.0 * PAD,
    };
    let height = (state.height + TEXT_GAP + rows + head).max(least);
    let below = height - head;
    let mut block = Block::new(PRINT_CHECK, width, height);
    block.group.title = "Check bar, 100 mm".to_owned();
    block.frame(block.bounds(), LineRole::TableWide);
    words.put(&mut block, 1.5, height - PAD, Anchor::Start);
    let top = below + PAD - TEXT_GAP;
    state.put(&mut block, 1.5, top, Anchor::Start);
    let foot = top - state.height;
    block.group.items.extend(named.into_iter().map(|group| Item::Group(group.moved(Point::new(1.5, foot)))));
    let y = if beside { (height + below) / 2.0 } else { below + PAD + BAR_TICK / 2.0 };
    bar(&mut block, Point::new(width - BAR_GAP - BAR, y));
    block
}

/// Words on tables that stand elsewhere, one after the other in rows of this width, mm, and the height of the rows. Their upper left corner is at
/// the origin.
fn named(elsewhere: &[(&str, String)], width: f64) -> (Vec<Group>, f64) {
    let (mut groups, mut x, mut foot) = (Vec::new(), 0.0, 0.0);
    for (id, words) in elsewhere {
        let words = Paragraph::of(vec![words.clone()], SMALL, Lettering::Plain);
        if groups.is_empty() || x + words.width > width {
            (x, foot) = (0.0, foot - TEXT_GAP - words.height);
        }
        let mut block = Block::new(&format!("{ELSEWHERE}{id}"), words.width, words.height);
        words.put(&mut block, 0.0, words.height, Anchor::Start);
        groups.push(block.group.moved(Point::new(x, foot)));
        x += words.width + BETWEEN;
    }
    (groups, -foot)
}

/// The bar with its ticks from its left end on.
fn bar(block: &mut Block, left: Point) {
    block.line(left, left + Point::new(BAR, 0.0), LineRole::TableNarrow);
    for i in 0..=10 {
        let at = left + Point::new(10.0 * f64::from(i), 0.0);
        let reach = Point::new(0.0, if i % 5 == 0 { BAR_TICK / 2.0 } else { BAR_TICK / 4.0 });
        let role = if i % 10 == 0 { LineRole::TableWide } else { LineRole::TableNarrow };
        block.line(at - reach, at + reach, role);
    }
}
