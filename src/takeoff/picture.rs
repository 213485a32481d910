//! What was recognised, over what was read.

use super::{Drawn, TakenOff};
use crate::drawing::{About, Drawing, Item, LineRole, Pen, Text};
use crate::geometry::{Bounds, Edge, Point};
use crate::quantity::trimmed;

/// A4 lying, mm.
const WIDTH: f64 = 297.0;
const HEIGHT: f64 = 210.0;
const MARGIN: f64 = 12.0;
/// Where the list of sizes begins.
const LIST: f64 = 205.0;
const LETTERS: f64 = 2.5;
const LINE: f64 = 4.2;

/// One sheet: every line that was read narrow, the section that the order gives wide over it, the sizes as drawn and as ordered beside it.
pub fn picture(drawn: &[Drawn], taken: &TakenOff, name: &str) -> Drawing {
    let read: Vec<Edge> = drawn.iter().map(|d| taken.axis.framed(&d.edge)).collect();
    let made: Vec<Edge> = placed(taken, &read);
    let bounds = made.iter().map(Edge::bounds).reduce(Bounds::union);
    let bounds = bounds.unwrap_or(Bounds::of(Point::ORIGIN, Point::new(1.0, 1.0)));
    let room = Point::new(LIST - 2.0 * MARGIN, HEIGHT - 3.0 * MARGIN - LINE);
    let scale = (room.x / bounds.width()).min(room.y / bounds.height());
    let centre = Point::new(MARGIN + room.x / 2.0, MARGIN + room.y / 2.0);
    let lay = |e: &Edge| e.translated(Point::ORIGIN - bounds.centre()).scaled(scale).translated(centre);
    let frame =
        Bounds::of(Point::new(MARGIN, MARGIN), Point::new(MARGIN + room.x, MARGIN + room.y)).grown(MARGIN / 2.0);
    let mut items: Vec<Item> = Vec::new();
    // what lies far beside the section is no help to the eye
    items.extend(read.iter().map(&lay).filter(|e| frame.contains(e.bounds())).map(|e| item(&e, LineRole::Fine)));
    items.extend(made.iter().map(|e| item(&lay(e), LineRole::Visible)));
    items.extend(words(taken, name));
    Drawing {
        title: format!("Take-off of {name}"),
        description: format!(
            "What was recognised in {name}, wide, over what was read of it, narrow; sizes as drawn and as ordered."
        ),
        width: WIDTH,
        height: HEIGHT,
        pen: Pen::GROUP_05,
        items,
        about: About { subject: "Take-off".to_owned(), ..About::default() },
    }
}

/// The section that the order gives, laid onto the half that was read.
fn placed(taken: &TakenOff, read: &[Edge]) -> Vec<Edge> {
    let low = taken.face.iter().map(|e| e.bounds().min.y).fold(f64::INFINITY, f64::min);
    let flat = |e: &Edge| e.translated(Point::new(0.0, low)).transposed();
    let above: Vec<Edge> = taken.section.contour().edges().iter().map(flat).collect();
    let below: Vec<Edge> = above.iter().map(Edge::mirrored_y).collect();
    // turned over where the drawing was read from its other end
    let hands = [
        above.clone(),
        below.clone(),
        above.iter().map(Edge::mirrored_x).collect(),
        below.iter().map(Edge::mirrored_x).collect(),
    ];
    let off = |made: &[Edge]| -> f64 {
        let near = |p: Point| read.iter().map(|e| e.distance(p)).fold(f64::INFINITY, f64::min);
        made.iter().map(|e| near(e.at(0.5))).sum()
    };
    hands.into_iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(above)
}

fn item(edge: &Edge, role: LineRole) -> Item {
    match edge {
        Edge::Line(l) => Item::Line { from: l.start, to: l.end, role },
        Edge::Arc(arc) => Item::Arc { arc: *arc, role },
    }
}

fn words(taken: &TakenOff, name: &str) -> Vec<Item> {
    let mut lines =
        vec![format!("greatest distance from what is drawn: {} mm", trimmed(taken.deviation, 6)), String::new()];
    lines.push("as drawn → as ordered".to_owned());
    lines.extend(taken.sizes.iter().map(|s| {
        let unit = if s.is_angle { "°" } else { " mm" };
        format!("{}: {} → {}{unit}", s.name, trimmed(s.drawn, 4), trimmed(s.size, 4))
    }));
    let at = |i: usize| Point::new(LIST, HEIGHT - 2.0 * MARGIN - LINE * i as f64);
    let title = Text::new(format!("Take-off of {name}"), Point::new(MARGIN, HEIGHT - MARGIN - LETTERS), 3.5).bold();
    let most = ((HEIGHT - 3.0 * MARGIN) / LINE) as usize;
    let list = lines.iter().take(most).enumerate().map(|(i, text)| Item::Text(Text::new(text, at(i), LETTERS)));
    std::iter::once(Item::Text(title)).chain(list).collect()
}
