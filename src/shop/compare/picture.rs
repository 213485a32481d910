//! Both half-sections over each other: the new one tinted and drawn wide, the old one dashed where it differs, small differences enlarged.

use super::Comparison;
use crate::geometry::clipped;
use crate::dossier::Dossier;
use crate::drawing::{Drawing, Fill, Item, LineRole, Text};
use crate::geometry::{Bounds, Edge, Point};
use crate::section::Section;
use crate::shop::paper::{Align, Cell, Column, Flow, Format, Grid, Head, SMALL, TEXT};
use crate::wheel::{Job, Written};

/// Height of the picture of the whole, mm.
const WHOLE: f64 = 70.0;
/// Width and height of an enlargement, mm.
const DETAIL: (f64, f64) = (56.0, 34.0);
/// Most enlargements side by side.
const DETAILS: usize = 4;
/// A difference that is larger than this on the picture of the whole needs no enlargement, mm.
const SEEN: f64 = 2.5;

/// Scales of ISO 5455, paper over real, the largest first.
const SCALES: [(f64, f64); 12] = [
    (50.0, 1.0),
    (20.0, 1.0),
    (10.0, 1.0),
    (5.0, 1.0),
    (2.0, 1.0),
    (1.0, 1.0),
    (1.0, 2.0),
    (1.0, 5.0),
    (1.0, 10.0),
    (1.0, 20.0),
    (1.0, 50.0),
    (1.0, 100.0),
];

/// The sheets of a comparison: the first holds the picture and as many changes as fit, the others the rest.
pub fn picture(old: &Dossier, new: &Dossier, comparison: &Comparison) -> Vec<Drawing> {
    let overlay = Overlay::of(&old.section, &new.section);
    let new = &new.job;
    let mut head = Head::of(new, "Comparison");
    let (a, b) = (&comparison.old, &comparison.new);
    head.foot = vec![format!(
        "Old: {} (fingerprint {}). New: {} (fingerprint {}). Grooves are not part of the section; they stand in the table.",
        a.order,
        a.fingerprint.get(..8).unwrap_or_default(),
        b.order,
        b.fingerprint.get(..8).unwrap_or_default()
    )];
    let mut flow = Flow::new(head, Format::lying(new));
    flow.heading(&format!("{} → {}: half-section, scale {}", a.order, b.order, overlay.scale_name(flow.width())));
    flow.picture(WHOLE, |at, width| overlay.whole(at, width));
    let details = overlay.details(flow.width());
    if !details.is_empty() {
        flow.picture(DETAIL.1 + 8.0, |at, width| overlay.draw_details(&details, at, width, new));
    }
    flow.picture(5.0, legend);
    flow.grid(&changes(comparison, &Written::of(new)));
    flow.finish()
}

fn legend(at: Point, _: f64) -> Vec<Item> {
    let y = at.y + 1.5;
    let line = |x: f64, role| {
        let (from, to) = (Point::new(at.x + x, y + SMALL / 2.0), Point::new(at.x + x + 14.0, y + SMALL / 2.0));
        Item::Line { from, to, role }
    };
    let text = |x: f64, words: &str| Item::Text(Text::new(words, Point::new(at.x + x, y), SMALL));
    vec![
        line(0.0, LineRole::Visible),
        text(16.0, "new (tinted)"),
        line(45.0, LineRole::Hidden),
        text(61.0, "old, where it differs"),
    ]
}

/// The changes as a table; added and removed findings below them.
fn changes(comparison: &Comparison, written: &Written) -> Grid {
    let mut grid =
        Grid::new(vec![Column::new("What", 3.0, Align::Left), Column::new("Old → new (difference)", 5.0, Align::Left)]);
    let row = |what: &str, text: &str| vec![Cell::new(what), Cell::new(text)];
    grid.rows.extend(comparison.changes.iter().map(|c| {
        // what a person typed stays as it is
        let typed = c.old.is_string() || c.new.is_string();
        row(&c.label, &if typed { c.text.clone() } else { written.sentence(&c.text) })
    }));
    grid.rows.extend(comparison.reckoned.iter().map(|r| row(&r.label, &written.sentence(&r.text))));
    grid.rows.extend(
        comparison.appeared.iter().map(|f| row(&format!("finding appeared: {}", f.id), &written.sentence(&f.message))),
    );
    grid.rows
        .extend(comparison.went.iter().map(|f| row(&format!("finding went: {}", f.id), &written.sentence(&f.message))));
    grid
}

/// Two half-sections in (r, z).
struct Overlay {
    /// Edges of the old one that the new one has not.
    old: Vec<Edge>,
    /// All corners of the old one.
    corners: Vec<Point>,
    new: Section,
    window: Bounds,
}

/// A place to enlarge.
struct Detail {
    centre: Point,
    scale: (f64, f64),
}

impl Overlay {
    fn of(before: &Section, after: &Section) -> Overlay {
        let window = before.contour().bounds().union(after.contour().bounds());
        let same = |e: &Edge| after.contour().edges().contains(e);
        let old = before.contour().edges().iter().filter(|e| !same(e)).copied().collect();
        let corners = before.contour().edges().iter().map(Edge::start).collect();
        Overlay { old, corners, new: after.clone(), window }
    }

    fn scale(&self, width: f64) -> (f64, f64) {
        let fits = |&(paper, real): &(f64, f64)| {
            let f = paper / real;
            // room for the names of the sides above and below
            self.window.width() * f <= width - 30.0 && self.window.height() * f <= WHOLE - 12.0
        };
        SCALES.into_iter().find(fits).unwrap_or(SCALES[SCALES.len() - 1])
    }

    fn scale_name(&self, width: f64) -> String {
        name(self.scale(width))
    }

    /// The picture of the whole in a box with its lower left corner at `at`.
    fn whole(&self, at: Point, width: f64) -> Vec<Item> {
        let (paper, real) = self.scale(width);
        let f = paper / real;
        let centre = Point::new(at.x + width / 2.0, at.y + WHOLE / 2.0);
        let shift = centre - self.window.centre() * f;
        let place = |e: &Edge| e.scaled(f).translated(shift);
        let contour = self.new.contour().scaled(f).translated(shift);
        let mut items = vec![Item::Contour { contour, role: Some(LineRole::Visible), fill: Fill::Tint }];
        items.extend(self.old.iter().map(|e| Item::edge(&place(e), LineRole::Hidden)));
        let half = self.window.height() * f / 2.0;
        let mid = self.window.width() * f / 2.0;
        let text = |words: &str, dx: f64, dy: f64| {
            Item::Text(Text::new(words, Point::new(centre.x + dx, centre.y + dy), TEXT).centred())
        };
        items.push(text("side B", 0.0, half + 2.0));
        items.push(text("side A", 0.0, -half - 2.0 - TEXT));
        items.push(Item::Text(Text::new("bore", centre + Point::new(-mid - 2.0, -TEXT / 2.0), TEXT).ended()));
        items.push(Item::Text(Text::new("outside", centre + Point::new(mid + 2.0, -TEXT / 2.0), TEXT)));
        items
    }

    /// Corners of the new contour that moved by too little to be seen on the whole, the smallest move first.
    fn details(&self, width: f64) -> Vec<Detail> {
        let (paper, real) = self.scale(width);
        let whole = paper / real;
        let moved = |p: Point| {
            let d = self.corners.iter().map(|o| o.distance(p)).fold(f64::INFINITY, f64::min);
            (d > 0.0 && d * whole < SEEN).then_some((p, d))
        };
        let mut corners: Vec<(Point, f64)> =
            self.new.contour().edges().iter().filter_map(|e| moved(e.start())).collect();
        corners.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut chosen: Vec<Detail> = Vec::new();
        for (centre, d) in corners {
            let f = |(paper, real): (f64, f64)| paper / real;
            let scale = SCALES.into_iter().rev().find(|s| d * f(*s) >= SEEN).unwrap_or(SCALES[0]);
            let apart = |c: &Detail| c.centre.distance(centre) * f(c.scale) > DETAIL.0;
            if chosen.len() < DETAILS && chosen.iter().all(apart) {
                chosen.push(Detail { centre, scale });
            }
        }
        chosen
    }

    fn draw_details(&self, details: &[Detail], at: Point, width: f64, job: &Job) -> Vec<Item> {
        let step = width / DETAILS as f64;
        let each = details.iter().enumerate();
        each.flat_map(|(i, d)| self.detail(d, Point::new(at.x + step * i as f64, at.y), job)).collect()
    }

    fn detail(&self, detail: &Detail, at: Point, job: &Job) -> Vec<Item> {
        let f = detail.scale.0 / detail.scale.1;
        let centre = at + Point::new(DETAIL.0 / 2.0, DETAIL.1 / 2.0);
        let shift = centre - detail.centre * f;
        let window = Bounds::of(at, at + Point::new(DETAIL.0, DETAIL.1));
        let mut items = Vec::new();
        let edges = self.new.contour().edges().iter().map(|e| (e, LineRole::Visible));
        for (edge, role) in edges.chain(self.old.iter().map(|e| (e, LineRole::Hidden))) {
            let parts = clipped(&edge.scaled(f).translated(shift), window);
            items.extend(parts.iter().map(|part| Item::edge(part, role)));
        }
        for (from, to) in [
            (window.min, Point::new(window.max.x, window.min.y)),
            (Point::new(window.max.x, window.min.y), window.max),
            (window.max, Point::new(window.min.x, window.max.y)),
            (Point::new(window.min.x, window.max.y), window.min),
        ] {
            items.push(Item::Line { from, to, role: LineRole::TableNarrow });
        }
        let place = Written::of(job).measured(2.0 * detail.centre.x);
        let words = format!("at Ø{place} ({})", name(detail.scale));
        items.push(Item::Text(Text::new(words, Point::new(at.x, window.max.y + 1.5), TEXT)));
        items
    }
}

fn name((paper, real): (f64, f64)) -> String {
    format!("{paper}:{real}")
}
