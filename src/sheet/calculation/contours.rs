//! Lines of equal value over the half-section as a block: the outline, the lines, a ring round the greatest value.

use crate::drawing::{Anchor, Fill, Item, Lettering, LineRole};
use crate::geometry::Point;
use crate::report::Contours;
use crate::sheet::block::{Block, PAD, Paragraph};
use crate::sheet::tables::SMALL;

/// Greatest height of the section, mm of paper.
const FIELD: f64 = 75.0;
/// Clear distance round the section, mm.
const CLEAR: f64 = 4.0;
/// Radius of the ring round the greatest value, mm.
const RING: f64 = 2.0;

/// The section in a block of this width, mm: radius to the right, side A below.
pub fn block(id: &str, title: &str, contours: &Contours, width: f64) -> Block {
    let bounds = contours.outline.bounds();
    let scale = ((width - 2.0 * CLEAR) / bounds.width()).min(FIELD / bounds.height());
    let heading = Paragraph::wrapped(title, SMALL, Lettering::Bold, width);
    let below = Paragraph::wrapped(&contours.legend, SMALL, Lettering::Plain, width);
    let source = Paragraph::wrapped(&format!("Source: {}", contours.source), SMALL, Lettering::Plain, width);
    let field = bounds.height() * scale;
    let texts = heading.height + below.height + source.height;
    let height = texts + field + 2.0 * CLEAR + 3.0 * PAD + 2.0 * PAD;
    let mut block = Block::new(&format!("contours-{id}"), width, height);
    block.group.title = title.to_owned();
    heading.put(&mut block, 0.0, height - PAD, Anchor::Start);
    let foot = PAD + source.height + PAD + below.height + PAD + CLEAR;
    let place = |p: Point| Point::new(CLEAR + (p.x - bounds.min.x) * scale, foot + (p.y - bounds.min.y) * scale);
    let mut fine = Vec::new();
    for (i, (_, line)) in contours.levels.iter().enumerate() {
        let pieces = line.iter().map(|(a, b)| (place(*a), place(*b)));
        if i % contours.stands_out == 0 {
            pieces.for_each(|(from, to)| block.line(from, to, LineRole::Curve));
        } else {
            fine.extend(pieces);
        }
    }
    block.group.items.push(Item::Hatch { lines: fine });
    let drawn =
        contours.outline.translated(Point::ORIGIN - bounds.min).scaled(scale).translated(Point::new(CLEAR, foot));
    block.group.items.push(Item::Contour { contour: drawn, role: Some(LineRole::Visible), fill: Fill::None });
    let ring =
        Item::Circle { centre: place(contours.greatest.0), radius: RING, role: LineRole::Visible, fill: Fill::None };
    block.group.items.push(ring);
    below.put(&mut block, 0.0, PAD + source.height + PAD + below.height, Anchor::Start);
    source.put(&mut block, 0.0, PAD + source.height, Anchor::Start);
    block
}
