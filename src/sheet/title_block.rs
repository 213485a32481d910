//! The title block: the template's cells filled with what the order says (fields of ISO 7200), and the sign of the projection method.

use super::block::{Block, LINE_GAP, PAD, TEXT_GAP, fitted};
use super::template::{Cell, Field, Logo, Template, height_of};
use crate::drawing::{Anchor, Fill, Item, Lettering, LineRole, Pen};
use crate::language::Language;
use crate::geometry::{Bounds, Point};
use crate::order::Projection;

/// Capital height of the labels, mm.
const LABEL: f64 = 2.5;
/// Smallest lettering, mm.
const SMALLEST: f64 = 2.5;
/// Clear distance between a cell's lettering and its sides, mm.
const SIDE: f64 = 1.5;

/// What the cells show.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Values {
    /// The value of each field that is plain text.
    pub texts: Vec<(Field, String)>,
    /// The projection method.
    pub projection: Option<Projection>,
}

impl Values {
    fn of(&self, field: Field) -> &str {
        self.texts.iter().find(|(f, _)| *f == field).map_or("", |(_, v)| v)
    }
}

/// A drawn title block.
#[derive(Debug, Clone, PartialEq)]
pub struct TitleBlock {
    /// What is drawn.
    pub block: Block,
    /// Labels and whole texts of the cells whose text had to be cut: they belong into the notes.
    pub cut: Vec<(String, String)>,
}

/// Draws the title block of a first sheet.
pub fn draw(template: &Template, values: &Values, pen: &Pen) -> TitleBlock {
    let below = if template.has(Field::DocumentType) { "" } else { &template.document_type };
    cells(template, &template.cells, (values, below), pen)
}

/// Draws the strip of a further sheet.
pub fn strip(template: &Template, values: &Values, pen: &Pen) -> TitleBlock {
    cells(template, &template.continuation, (values, ""), pen)
}

/// The cells filled with their values; under the title stands what is given with them.
fn cells(template: &Template, cells: &[Cell], (values, below): (&Values, &str), pen: &Pen) -> TitleBlock {
    let mut block = Block::new("title-block", template.width, height_of(cells));
    block.group.title = "Title block".to_owned();
    let mut cut = Vec::new();
    for cell in cells {
        let bounds = Bounds::of(Point::new(cell.x, cell.y), Point::new(cell.x + cell.width, cell.y + cell.height));
        cell_borders(&mut block, bounds);
        match cell.field {
            Field::Logo => logo(&mut block, template.shop.logo.as_ref(), bounds, pen),
            Field::Projection => projection_sign(&mut block, values.projection, bounds),
            Field::Owner => owner(&mut block, template, cell, bounds, &mut cut),
            Field::Title => two_texts(&mut block, cell, bounds, [values.of(Field::Title), below], &mut cut),
            Field::DocumentType => value(&mut block, cell, &template.document_type, bounds, &mut cut),
            Field::Text => value(&mut block, cell, &cell.text, bounds, &mut cut),
            field => value(&mut block, cell, values.of(field), bounds, &mut cut),
        }
    }
    let outer = block.bounds();
    block.frame(outer, LineRole::TableWide);
    TitleBlock { block, cut }
}

/// The upper and the left side of a cell where they are not the block's own: each border once.
fn cell_borders(block: &mut Block, b: Bounds) {
    let right = Point::new(b.max.x, b.min.y);
    let left = Point::new(b.min.x, b.max.y);
    for (from, to, own) in [
        (left, b.max, b.max.y >= block.height),
        (right, b.max, b.max.x >= block.width),
        (b.min, left, b.min.x <= 0.0),
        (b.min, right, b.min.y <= 0.0),
    ] {
        let line = Item::Line { from, to, role: LineRole::TableNarrow };
        if !own && !block.group.items.contains(&line) {
            block.group.items.push(line);
        }
    }
}

/// Sizes to try for a value, from the wanted one down.
fn sizes(wanted: f64) -> Vec<f64> {
    let mut sizes: Vec<f64> = [wanted, 5.0, 3.5, 3.0].into_iter().filter(|&s| s <= wanted && s > SMALLEST).collect();
    sizes.dedup();
    sizes.push(SMALLEST);
    sizes
}

fn weight(bold: bool) -> Lettering {
    if bold { Lettering::Bold } else { Lettering::Plain }
}

/// A label above a value.
fn value(block: &mut Block, cell: &Cell, text: &str, bounds: Bounds, cut: &mut Vec<(String, String)>) {
    let top = label(block, cell, bounds);
    let (width, height) = (bounds.width() - 2.0 * SIDE, top - bounds.min.y - PAD);
    let fit = fitted(text, &sizes(cell.size), weight(cell.bold), width, height);
    let slack = (height - fit.paragraph.height).max(0.0);
    fit.paragraph.put(block, bounds.min.x + SIDE, top - slack / 2.0, Anchor::Start);
    if fit.cut {
        cut.push((cell.label.clone(), text.to_owned()));
    }
}

/// Draws the label; the height from which the value may begin.
fn label(block: &mut Block, cell: &Cell, bounds: Bounds) -> f64 {
    if cell.label.is_empty() {
        return bounds.max.y - PAD;
    }
    let fit = fitted(&cell.label, &[LABEL], Lettering::Plain, bounds.width() - 2.0 * SIDE, LABEL * 1.5);
    fit.paragraph.put(block, bounds.min.x + SIDE, bounds.max.y - PAD, Anchor::Start);
    bounds.max.y - PAD - fit.paragraph.height - TEXT_GAP
}

fn owner(block: &mut Block, template: &Template, cell: &Cell, bounds: Bounds, cut: &mut Vec<(String, String)>) {
    let address = template.shop.address.join(", ");
    two_texts(block, cell, bounds, [&template.shop.name, &address], cut);
}

/// A main text in the cell's lettering and a lesser one in the smallest below it.
fn two_texts(block: &mut Block, cell: &Cell, bounds: Bounds, texts: [&str; 2], cut: &mut Vec<(String, String)>) {
    let mut top = label(block, cell, bounds);
    let width = bounds.width() - 2.0 * SIDE;
    let room = top - bounds.min.y - PAD;
    let lesser = fitted(texts[1], &[SMALLEST], Lettering::Plain, width, room / 2.0);
    let below = if texts[1].is_empty() { 0.0 } else { lesser.paragraph.height + TEXT_GAP };
    let main = fitted(texts[0], &sizes(cell.size), weight(cell.bold), width, room - below);
    let slack = (room - below - main.paragraph.height).max(0.0);
    top -= slack / 2.0;
    main.paragraph.put(block, bounds.min.x + SIDE, top, Anchor::Start);
    if !texts[1].is_empty() {
        let at = top - main.paragraph.height - TEXT_GAP;
        lesser.paragraph.put(block, bounds.min.x + SIDE, at, Anchor::Start);
    }
    for (fit, text) in [(&main, texts[0]), (&lesser, texts[1])] {
        if fit.cut && !text.is_empty() {
            cut.push((cell.label.clone(), text.to_owned()));
        }
    }
}

fn logo(block: &mut Block, logo: Option<&Logo>, bounds: Bounds, pen: &Pen) {
    let Some(logo) = logo else { return };
    let margin = LINE_GAP + pen.wide;
    block.group.items.extend(logo.fitted(bounds.grown(-margin)));
}

/// The sign of ISO 5456-2: a cone's frustum beside its end view. First angle: the wide end faces the circles; third angle: the narrow one.
fn projection_sign(block: &mut Block, projection: Option<Projection>, bounds: Bounds) {
    let Some(projection) = projection else { return };
    // proportions of the sign: wide end 2 h, narrow end h, length 2 h
    let h = ((bounds.height() - 2.0 * PAD - 1.0) / 2.0).min((bounds.width() - 2.0 * PAD) / 6.5).min(3.5);
    let centre = bounds.centre();
    let third = projection == Projection::Third;
    // third angle: circles left of the cone, whose narrow end is left; first angle: cone left, its narrow end left, circles right
    let (cone, circles) = if third { (1.75 * h, -1.75 * h) } else { (-1.75 * h, 1.75 * h) };
    let (left, right) = (centre.x + cone - h, centre.x + cone + h);
    let y = centre.y;
    let corner = |x: f64, half: f64| Point::new(x, y + half);
    let sides = [
        (corner(left, -h / 2.0), corner(left, h / 2.0)),
        (corner(left, h / 2.0), corner(right, h)),
        (corner(right, h), corner(right, -h)),
        (corner(right, -h), corner(left, -h / 2.0)),
    ];
    for (from, to) in sides {
        block.line(from, to, LineRole::Visible);
    }
    let middle = Point::new(centre.x + circles, y);
    for radius in [h, h / 2.0] {
        block.group.items.push(Item::Circle { centre: middle, radius, role: LineRole::Visible, fill: Fill::None });
    }
    let over = 0.35 * h;
    block.line(Point::new(left - over, y), Point::new(right + over, y), LineRole::Axis);
    block.line(Point::new(middle.x - h - over, y), Point::new(middle.x + h + over, y), LineRole::Axis);
    block.line(Point::new(middle.x, y - h - over), Point::new(middle.x, y + h + over), LineRole::Axis);
}

/// A text for a cell that has no more room: where the whole text stands.
pub fn cut_note(label: &str, text: &str, language: Language) -> String {
    let label = if label.is_empty() { language.text("title.owner") } else { label };
    language.put("title.in_full", &[("label", label), ("text", text)])
}
