//! What is on a sheet, taken apart for the check: lettering as turned boxes of ink, lines as straight pieces with their width and owner.

use crate::drawing::{Drawing, Fill, Group, Item, LineRole, Pen, Text, measure};
use crate::geometry::{Arc, Bounds, Edge, Point};
use crate::size::Subject;

/// Greatest distance of an arc from its pieces, mm: far below every limit checked.
const SAGITTA: f64 = 0.005;
/// Longest piece, mm, so that long lines are found in the grid without searching half of the sheet.
const LONGEST: f64 = 20.0;

/// Index of the group that owns something.
pub type Owner = usize;

/// A lettering on the sheet.
#[derive(Debug, Clone)]
pub struct Lettered {
    /// What it says.
    pub content: String,
    /// Corners of its ink, counter-clockwise.
    pub corners: [Point; 4],
    /// Box around them.
    pub bounds: Bounds,
    /// The dimension or mark it belongs to.
    pub owner: Option<Owner>,
    /// The group directly under the sheet it belongs to.
    pub top: usize,
}

/// A straight piece of a line.
#[derive(Debug, Clone, Copy)]
pub struct Piece {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Half of the line's width, mm.
    pub half: f64,
    /// What the line means; `None` for the rim of a black shape.
    pub role: Option<LineRole>,
    /// The dimension or mark it belongs to.
    pub owner: Option<Owner>,
    /// The group directly under the sheet it belongs to.
    pub top: usize,
}

/// A group that is a dimension or a mark.
#[derive(Debug, Clone)]
pub struct Owning {
    /// The group's id.
    pub id: String,
    /// What it says it shows.
    pub subject: Subject,
    /// Tips of its arrowheads, mm.
    pub tips: Vec<Point>,
    /// The group directly under the sheet it belongs to.
    pub top: usize,
}

/// A group directly under the sheet.
#[derive(Debug, Clone)]
pub struct Top {
    /// Its id.
    pub id: String,
    /// Box around all its ink; `None` where it has none.
    pub bounds: Option<Bounds>,
}

/// A sheet taken apart.
#[derive(Debug, Clone, Default)]
pub struct Parts {
    /// All lettering.
    pub texts: Vec<Lettered>,
    /// All lines, long ones in several pieces.
    pub pieces: Vec<Piece>,
    /// All lines that belong to dimensions, whole.
    pub dimension_lines: Vec<Piece>,
    /// The part's own edges, exact, each with the group directly under the sheet it belongs to.
    pub edges: Vec<(Edge, usize)>,
    /// The dimensions and marks.
    pub owners: Vec<Owning>,
    /// The groups directly under the sheet.
    pub tops: Vec<Top>,
}

impl Parts {
    /// Takes a sheet apart. Everything on it must stand in a group.
    pub fn of(drawing: &Drawing) -> Parts {
        let (mut parts, pen) = (Parts::default(), &drawing.pen);
        for item in &drawing.items {
            match item {
                Item::Group(group) => parts.top(&group.id, pen).group(group, None),
                loose => parts.top("loose", pen).item(loose, None),
            }
        }
        parts
    }

    /// Takes one group apart as if it stood alone on a sheet.
    pub fn of_group(group: &Group, pen: &Pen) -> Parts {
        let mut parts = Parts::default();
        parts.top(&group.id, pen).group(group, None);
        parts
    }

    /// Begins what stands directly under the sheet.
    fn top<'a>(&'a mut self, id: &str, pen: &'a Pen) -> Walk<'a> {
        let top = self.tops.len();
        self.tops.push(Top { id: id.to_owned(), bounds: None });
        Walk { parts: self, pen, top }
    }
}

struct Walk<'a> {
    parts: &'a mut Parts,
    pen: &'a Pen,
    top: usize,
}

impl Walk<'_> {
    fn group(&mut self, group: &Group, owner: Option<Owner>) {
        let owner = group.subject.map_or(owner, |subject| {
            self.parts.owners.push(Owning { id: group.id.clone(), subject, tips: Vec::new(), top: self.top });
            Some(self.parts.owners.len() - 1)
        });
        for item in &group.items {
            self.item(item, owner);
        }
    }

    fn item(&mut self, item: &Item, owner: Option<Owner>) {
        match item {
            Item::Line { from, to, role } => {
                self.edge(&Edge::line(*from, *to), Some(*role));
                self.line(*from, *to, Some(*role), owner);
            }
            Item::Arc { arc, role } => {
                self.edge(&Edge::Arc(*arc), Some(*role));
                self.arc(arc, Some(*role), owner);
            }
            Item::Circle { centre, radius, role, fill: _ } => self.circle(*centre, *radius, *role, owner),
            Item::Contour { contour, role, fill } => {
                if role.is_none() && *fill != Fill::Solid {
                    self.grow(contour.bounds());
                    return;
                }
                for edge in contour.edges() {
                    self.edge(edge, *role);
                    match edge {
                        Edge::Line(l) => self.line(l.start, l.end, *role, owner),
                        Edge::Arc(a) => self.arc(a, *role, owner),
                    }
                }
                if let (Some(owner), Fill::Solid, [_, _, _]) = (owner, fill, contour.edges()) {
                    self.parts.owners[owner].tips.push(tip(contour.edges()));
                }
            }
            Item::Area { outlines, .. } => {
                for edge in outlines.iter().flat_map(|c| c.edges()) {
                    self.line(edge.start(), edge.end(), None, owner);
                }
            }
            Item::Hatch { lines } => {
                for &(from, to) in lines {
                    self.line(from, to, Some(LineRole::Hatching), owner);
                }
            }
            Item::Text(text) => self.text(text, owner),
            Item::Group(group) => self.group(group, owner),
        }
    }

    fn edge(&mut self, edge: &Edge, role: Option<LineRole>) {
        if role == Some(LineRole::Visible) {
            self.parts.edges.push((*edge, self.top));
        }
    }

    fn grow(&mut self, b: Bounds) {
        let top = &mut self.parts.tops[self.top].bounds;
        *top = Some(top.map_or(b, |t| t.union(b)));
    }

    fn text(&mut self, text: &Text, owner: Option<Owner>) {
        let Some(quad) = measure::ink_on_sheet(text) else { return };
        let bounds = quad.bounds();
        self.grow(bounds);
        self.parts.texts.push(Lettered { content: text.content.clone(), corners: quad.corners, bounds, owner, top: self.top });
    }

    fn line(&mut self, from: Point, to: Point, role: Option<LineRole>, owner: Option<Owner>) {
        let half = role.map_or(0.0, |r| self.pen.width(r) / 2.0);
        let piece = Piece { from, to, half, role, owner, top: self.top };
        self.grow(Bounds::of(from, to).grown(half));
        if role == Some(LineRole::Dimension) {
            self.parts.dimension_lines.push(piece);
        }
        let n = (from.distance(to) / LONGEST).ceil().max(1.0);
        if n == 1.0 {
            self.parts.pieces.push(piece);
            return;
        }
        let cut = |i: f64| if i == n { to } else { from.lerp(to, i / n) };
        let mut i = 0.0;
        while i < n {
            self.parts.pieces.push(Piece { from: cut(i), to: cut(i + 1.0), ..piece });
            i += 1.0;
        }
    }

    fn arc(&mut self, arc: &Arc, role: Option<LineRole>, owner: Option<Owner>) {
        let n = pieces_of(arc.radius(), arc.sweep().abs());
        self.chain(arc.points(n), role, owner);
    }

    fn circle(&mut self, centre: Point, radius: f64, role: LineRole, owner: Option<Owner>) {
        let n = pieces_of(radius, std::f64::consts::TAU).max(8);
        let at = |i: usize| centre + Point::polar(radius, std::f64::consts::TAU * (i % n) as f64 / n as f64);
        self.chain((0..=n).map(at), Some(role), owner);
    }

    /// Lines from each point to the next.
    fn chain(&mut self, points: impl Iterator<Item = Point>, role: Option<LineRole>, owner: Option<Owner>) {
        let mut last = None;
        for point in points {
            if let Some(last) = last {
                self.line(last, point, role, owner);
            }
            last = Some(point);
        }
    }
}

/// How many straight pieces keep within the sagitta.
fn pieces_of(radius: f64, sweep: f64) -> usize {
    let step = 2.0 * (1.0 - (SAGITTA / radius).min(1.0)).acos();
    ((sweep / step).ceil() as usize).clamp(1, 720)
}

/// The sharpest corner of a triangle.
fn tip(edges: &[Edge]) -> Point {
    let corners = [edges[0].start(), edges[1].start(), edges[2].start()];
    let spread = |i: usize| {
        let (a, b) = (corners[(i + 1) % 3] - corners[i], corners[(i + 2) % 3] - corners[i]);
        a.cross(b).abs().atan2(a.dot(b))
    };
    let sharpest = (0..3).min_by(|&a, &b| spread(a).total_cmp(&spread(b))).unwrap_or(0);
    corners[sharpest]
}
