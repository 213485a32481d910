//! Printed papers of the shop: pages with a head, a foot and a body of headings, paragraphs, fields and tables that flow from page to page.
//!
//! Everything is a display list; nothing here knows a file format. Texts wrap, rows never part unless one alone is higher than a page, and the
//! heading of a table stands again on the next page.

mod flow;
mod grid;

pub use flow::Flow;
pub use grid::{Align, Cell, Column, Grid};

use crate::dossier::Dossier;
use crate::drawing::Lettering::{Bold, Plain};
use crate::drawing::{About, Drawing, Item, LineRole, Pen, Text, measure};
use crate::geometry::{Contour, Point};
use crate::order::SheetSize;
use crate::quantity::MM_PER_INCH;
use crate::wheel::Job;

/// Capital height of running text and tables, mm.
pub const TEXT: f64 = 2.5;
/// Capital height of field labels, mm.
pub const SMALL: f64 = 2.0;
/// Capital height of headings, mm.
pub const HEADING: f64 = 3.0;
/// Capital height of the paper's title, mm.
pub const TITLE: f64 = 5.0;
/// Lines of text lie this many capital heights apart.
pub const PITCH: f64 = 1.7;

/// What every page of a paper shows around its body.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// What it is, such as `Shop traveller`.
    pub title: String,
    /// Number and revision of the order.
    pub stem: String,
    /// The order's fingerprint, whole.
    pub fingerprint: String,
    /// Who prepared the order.
    pub author: String,
    /// Date of the order's revision.
    pub date: String,
    /// The state it was made in, in one line; empty where it belongs to several orders.
    pub state: String,
    /// The same for programs that read the file, a line each.
    pub about: Vec<String>,
    /// Why the paper must not be worked to, such as `NOT RELEASED`; empty where it may.
    pub bar: String,
    /// Sentences at the foot of every page.
    pub foot: Vec<String>,
}

impl Head {
    /// The head of a paper of this order.
    pub fn of(job: &Job, title: &str) -> Head {
        Head {
            title: title.to_owned(),
            stem: job.file_stem(),
            fingerprint: job.fingerprint().full().to_owned(),
            author: job.head.prepared_by.clone().unwrap_or_default(),
            date: job.head.date.clone().unwrap_or_default(),
            state: String::new(),
            about: Vec::new(),
            bar: String::new(),
            foot: Vec::new(),
        }
    }

    /// The head of a paper made of a dossier: with the state it was made in, and the bar over what must not be worked to.
    pub fn stated(dossier: &Dossier, title: &str) -> Head {
        let state = dossier.state();
        let bar = dossier.bar().to_owned();
        Head { state: state.line(), about: state.lines(), bar, ..Head::of(&dossier.job, title) }
    }

    fn about(&self) -> About {
        About {
            author: self.author.clone(),
            subject: self.title.clone(),
            date: self.date.clone(),
            fingerprint: self.fingerprint.clone(),
            state: self.about.clone(),
        }
    }
}

/// Paper and margins, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Format {
    /// Width of the paper.
    pub width: f64,
    /// Height of the paper.
    pub height: f64,
    /// Left margin: room for filing.
    pub left: f64,
    /// The other margins.
    pub margin: f64,
}

impl Format {
    /// A4 upright, or letter paper where the order asks for sheets of the American series.
    pub fn upright(job: &Job) -> Format {
        let (width, height) = match job.sheets.size {
            Some(SheetSize::A | SheetSize::B | SheetSize::C) => (8.5 * MM_PER_INCH, 11.0 * MM_PER_INCH),
            _ => (210.0, 297.0),
        };
        Format { width, height, left: 20.0, margin: 10.0 }
    }

    /// The same lying.
    pub fn lying(job: &Job) -> Format {
        let f = Format::upright(job);
        Format { width: f.height, height: f.width, ..f }
    }

    /// Width between the margins.
    pub fn inner_width(&self) -> f64 {
        self.width - self.left - self.margin
    }

    /// Right end of the body.
    pub fn right(&self) -> f64 {
        self.width - self.margin
    }
}

/// The pages of a paper: the body's items by page, each with the head, the foot and `page n of m`.
pub(super) fn pages(head: &Head, format: Format, bodies: Vec<Vec<Item>>) -> Vec<Drawing> {
    let count = bodies.len();
    let numbered = bodies.into_iter().enumerate();
    numbered
        .map(|(i, body)| {
            let mut items = head_items(head, format, i + 1, count);
            items.extend(foot_items(head, format));
            items.extend(body);
            Drawing {
                title: format!("{} {}", head.title, head.stem),
                description: format!("{} of order {}, page {} of {count}.", head.title, head.stem, i + 1),
                width: format.width,
                height: format.height,
                pen: Pen::GROUP_05,
                items,
                about: head.about(),
            }
        })
        .collect()
}

/// Height of the head, mm.
const HEAD: f64 = 14.0;

/// Where the body begins.
pub(super) fn body_top(format: Format) -> f64 {
    format.height - format.margin - HEAD
}

/// Where the body ends.
pub(super) fn body_bottom(head: &Head, format: Format) -> f64 {
    let lines = foot_lines(head, format).len();
    format.margin + lines as f64 * SMALL * PITCH + if lines == 0 { 0.0 } else { 4.0 }
}

fn head_items(head: &Head, format: Format, page: usize, count: usize) -> Vec<Item> {
    let (left, right) = (format.left, format.right());
    let top = format.height - format.margin;
    let base = top - TITLE;
    let mut items = vec![Item::Text(Text::new(&head.title, Point::new(left, base), TITLE).bold())];
    let number = Text::new(&head.stem, Point::new(right, base), TITLE).ended().bold();
    let short = head.fingerprint.get(..8).unwrap_or(&head.fingerprint);
    let under = format!("fingerprint {short} · page {page} of {count}");
    items.push(Item::Text(number));
    items.push(Item::Text(Text::new(under, Point::new(right, base - TEXT - 2.0), TEXT).ended()));
    if !head.bar.is_empty() {
        items.extend(bar(head, format, base));
    }
    let rule = top - HEAD + 3.0;
    items.push(Item::Line { from: Point::new(left, rule), to: Point::new(right, rule), role: LineRole::TableWide });
    items
}

/// The bar between title and number, in a box so that it is seen in grey as well.
fn bar(head: &Head, format: Format, base: f64) -> Vec<Item> {
    let used_left = measure::width(&head.title, TITLE, Bold);
    let used_right = measure::width(&head.stem, TITLE, Bold);
    let room = format.inner_width() - used_left - used_right - 16.0;
    // as high as the room allows, never above the title
    let height = (TITLE * room / measure::width(&head.bar, TITLE, Bold)).min(TITLE);
    let centre = format.left + used_left + 8.0 + room / 2.0;
    let half = measure::width(&head.bar, height, Bold) / 2.0 + 2.0;
    let corners = [
        Point::new(centre - half, base - 1.2),
        Point::new(centre + half, base - 1.2),
        Point::new(centre + half, base + height + 1.2),
        Point::new(centre - half, base + height + 1.2),
    ];
    let mut items = Vec::new();
    // four different corners always close
    if let Ok(contour) = Contour::polygon(&corners) {
        items.push(Item::Contour { contour, role: Some(LineRole::TableWide), fill: crate::drawing::Fill::Tint });
    }
    items.push(Item::Text(Text::new(&head.bar, Point::new(centre, base), height).centred().bold()));
    items
}

fn foot_lines(head: &Head, format: Format) -> Vec<String> {
    let state = (!head.state.is_empty()).then_some(&head.state);
    head.foot.iter().chain(state).flat_map(|s| measure::wrapped(s, SMALL, Plain, format.inner_width())).collect()
}

fn foot_items(head: &Head, format: Format) -> Vec<Item> {
    let lines = foot_lines(head, format);
    let step = SMALL * PITCH;
    let mut y = format.margin + step * (lines.len() as f64 - 1.0);
    let mut items = Vec::new();
    if !lines.is_empty() {
        let rule = y + SMALL + 1.5;
        let (from, to) = (Point::new(format.left, rule), Point::new(format.right(), rule));
        items.push(Item::Line { from, to, role: LineRole::TableNarrow });
    }
    for line in lines {
        items.push(Item::Text(Text::new(line, Point::new(format.left, y), SMALL)));
        y -= step;
    }
    items
}
