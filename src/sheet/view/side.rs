//! A side as seen from outside: its circles, its grooves, the cutting plane, the ring of the groove's detail, count and pitch.
//!
//! Side A shows the wheel's x to the right and y up. Side B is seen from the other end of the axis, so x runs to the left there; angles still count
//! from +x as seen from side A, and the caption says so.

use super::canvas::Canvas;
use super::{Context, Scale, View, ViewError, ViewKind, groove_detail};
use crate::drawing::{Fill, Item, LineRole, Text};
use crate::geometry::{Bounds, Edge, Point};
use crate::sheet::dimension::mark::arrow;
use crate::sheet::dimension::{Called, Column, Label};
use crate::side_view::{SideGrooveView, SideView};
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{SideName, Wheel};
use std::f64::consts::{FRAC_PI_4, PI, TAU};

/// Centre lines run this far beyond the part, mm.
const AXIS_OVERSHOOT: f64 = 3.0;
/// Where the wide ends of the cutting plane begin and end, mm off the part.
const PLANE: (f64, f64) = (5.0, 12.0);
/// Length of the arrows at the cutting plane, mm.
const PLANE_ARROW: f64 = 7.0;
/// Least width of a groove and least clear distance between two at their inner ends for all to be drawn in full, mm on paper.
const FULL: (f64, f64) = (0.7, 1.2);
/// The same for grooves drawn in wide lines.
const WIDE: (f64, f64) = (2.0, 2.5);
/// Least distance of single lines that stand for grooves, mm on paper.
const LEAST_PITCH: f64 = 1.2;
/// Grooves drawn in full beside single lines, and alone.
const FEW: (usize, usize) = (3, 7);
/// Radius of a detail's ring, mm on paper.
const RING: (f64, f64) = (3.5, 12.0);
/// Clear distance between a ring and its letter, mm.
const RING_GAP: f64 = 1.5;

/// The view of one side at one scale.
pub(super) fn build(side: SideName, scale: Scale, context: &Context) -> Result<View, ViewError> {
    let letter = side.letter();
    let id = format!("view-side-{}", letter.to_ascii_lowercase());
    let canvas = Canvas::new(context, scale, id, format!("Side {letter} seen from outside"));
    let wheel = &context.job.wheel;
    let mut view = Seen { canvas, context, wheel, view: SideView::of(wheel, context.section, side), side };
    let shown = view.view.grooves.as_ref().map(|g| view.repeated(g));
    view.circles(shown.as_ref());
    if let Some(shown) = &shown {
        view.grooves(shown);
    }
    view.centre_lines();
    let outline = view.outline();
    if view.carries_cutting_plane() {
        view.cutting_plane();
    }
    view.ring(shown.as_ref());
    view.values(outline, shown.as_ref())?;
    let caption = format!("Side {letter} ({scale})");
    let below = match side {
        SideName::A => "",
        SideName::B => "seen from outside side B: angles run clockwise here",
    };
    Ok(view.canvas.finish(ViewKind::Side(side), &caption, &[below], 0.0, outline))
}

/// How the grooves are shown.
struct Repeated {
    /// Directions of the grooves drawn in full, the one by the detail's ring first.
    full: Vec<f64>,
    /// Directions of the grooves shown by their centre line.
    lines: Vec<f64>,
    role: LineRole,
    /// Whether every groove is shown in some way.
    all: bool,
}

struct Seen<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
    wheel: &'a Wheel,
    view: SideView,
    side: SideName,
}

impl Seen<'_> {
    fn outline(&self) -> Bounds {
        let r = self.wheel.outside_radius() * self.canvas.factor;
        Bounds::of(Point::new(-r, -r), Point::new(r, r))
    }

    fn on_paper(&self, edge: &Edge) -> Edge {
        self.view.seen(edge).scaled(self.canvas.factor)
    }

    /// Chooses how to show the grooves by what can be told apart on paper.
    fn repeated(&self, g: &SideGrooveView) -> Repeated {
        let s = self.canvas.factor;
        let count = self.wheel.side(self.side).grooves.as_ref().map_or(1, |o| o.pattern.places);
        let width = 2.0 * g.groove.half_width * s;
        let pitch = TAU / f64::from(count) * g.inner_radius * s;
        // the detail's ring stands in the upper left quarter as seen
        let wished = if self.side == SideName::A { 3.0 * FRAC_PI_4 } else { FRAC_PI_4 };
        let mut near = g.directions.clone();
        let off = |d: &f64| {
            let apart = (d - g.groove.turn - wished).rem_euclid(TAU);
            apart.min(TAU - apart)
        };
        near.sort_by(|a, b| off(a).total_cmp(&off(b)));
        let role = if width >= WIDE.0 && pitch - width >= WIDE.1 { LineRole::Visible } else { LineRole::Fine };
        if count == 1 || (width >= FULL.0 && pitch - width >= FULL.1) {
            return Repeated { full: near, lines: Vec::new(), role, all: true };
        }
        if pitch >= LEAST_PITCH {
            let lines = near.split_off(FEW.0.min(near.len()));
            return Repeated { full: near, lines, role: LineRole::Fine, all: true };
        }
        near.truncate(FEW.1);
        Repeated { full: near, lines: Vec::new(), role: LineRole::Fine, all: false }
    }

    fn circles(&mut self, shown: Option<&Repeated>) {
        let s = self.canvas.factor;
        for circle in self.view.circles.clone().iter().filter(|c| c.sharp) {
            let arcs = match (&self.view.grooves, shown) {
                (Some(g), Some(shown)) if circle.grooved => g.between(circle.radius, &shown.full),
                _ => None,
            };
            match arcs {
                Some(arcs) => {
                    let seen: Vec<Edge> = arcs.iter().map(|e| self.on_paper(e)).collect();
                    self.canvas.edges(seen, LineRole::Visible);
                }
                None => self.canvas.circle(circle.radius * s, LineRole::Visible),
            }
        }
    }

    fn grooves(&mut self, shown: &Repeated) {
        let Some(g) = self.view.grooves.clone() else { return };
        for &direction in &shown.full {
            let edges = g.edges.iter().chain(g.tip.as_ref()).map(|e| self.on_paper(&e.rotated(direction)));
            let edges: Vec<Edge> = edges.collect();
            self.canvas.edges(edges, shown.role);
        }
        let outer_u = ((g.outer_radius - g.groove.offset) * (g.outer_radius + g.groove.offset)).sqrt();
        let line = Edge::line(Point::new(g.groove.inner_u, g.groove.offset), Point::new(outer_u, g.groove.offset));
        for &direction in &shown.lines {
            let edge = self.on_paper(&line.rotated(direction));
            self.canvas.edges([edge], LineRole::Fine);
        }
        if !shown.all {
            let s = self.canvas.factor;
            let at_edge = |r: f64| self.view.circles.iter().any(|c| (c.radius - r).abs() <= SAME_LENGTH);
            let limits = [Some(g.inner_radius), g.ended.then_some(g.outer_radius)];
            for r in limits.into_iter().flatten().filter(|&r| !at_edge(r)) {
                self.canvas.circle(r * s, LineRole::Fine);
            }
        }
    }

    fn centre_lines(&mut self) {
        let reach = self.wheel.outside_radius() * self.canvas.factor + AXIS_OVERSHOOT;
        self.canvas.line(Point::new(-reach, 0.0), Point::new(reach, 0.0), LineRole::Axis);
        self.canvas.line(Point::new(0.0, -reach), Point::new(0.0, reach), LineRole::Axis);
    }

    /// The cutting plane stands on the first side shown.
    fn carries_cutting_plane(&self) -> bool {
        let first = self.context.shown.iter().find_map(|r| match r.kind {
            ViewKind::Side(side) => Some(side),
            _ => None,
        });
        first == Some(self.side)
    }

    /// Wide ends above and below with arrows in the direction in which section A–A is seen: side A lies to the left there.
    fn cutting_plane(&mut self) {
        let r = self.wheel.outside_radius() * self.canvas.factor;
        let towards = if self.side == SideName::A { -1.0 } else { 1.0 };
        let height = self.context.style.letter;
        let mut items = Vec::new();
        for up in [1.0, -1.0] {
            let (from, to) = (Point::new(0.0, up * (r + PLANE.0)), Point::new(0.0, up * (r + PLANE.1)));
            items.push(Item::Line { from, to, role: LineRole::CuttingPlane });
            let tip = to + Point::new(towards * PLANE_ARROW, 0.0);
            items.push(Item::Line { from: to, to: tip, role: LineRole::Dimension });
            items.extend(arrow(tip, Point::new(towards, 0.0)));
            let x = towards * (PLANE_ARROW + 1.0 + height / 2.0);
            items.push(Item::Text(Text::new("A", Point::new(x, to.y - height / 2.0), height).centred()));
        }
        self.canvas.mark("cutting-plane", items);
    }

    /// The ring of the groove's detail with its letter, where that detail is shown.
    fn ring(&mut self, shown: Option<&Repeated>) {
        let of_grooves = format!("{}.grooves", self.side.key());
        let letter = self.context.shown.iter().find_map(|r| match &r.kind {
            ViewKind::Detail { letter, of } if *of == of_grooves => Some(*letter),
            _ => None,
        });
        let (Some(letter), Some(g), Some(shown)) = (letter, &self.view.grooves, shown) else { return };
        let Some(&direction) = shown.full.first() else { return };
        let s = self.canvas.factor;
        let radius = (groove_detail::side_size(self.wheel, self.side) / 2.0 * s).clamp(RING.0, RING.1);
        // across the outer end of the groove, so that the letter stands outside the wheel
        let u = ((g.outer_radius - g.groove.offset) * (g.outer_radius + g.groove.offset)).sqrt();
        let end = self.view.seen_point(Point::new(u, g.groove.offset).rotated(direction)) * s;
        let Some(outwards) = end.unit() else { return };
        let centre = end - outwards * (0.4 * radius);
        let height = self.context.style.letter;
        let off = (self.wheel.outside_radius() * s).max(centre.length() + radius) + RING_GAP + 0.75 * height;
        let at = outwards * off - Point::new(0.0, height / 2.0);
        let ring = Item::Circle { centre, radius, role: LineRole::Fine, fill: Fill::None };
        self.canvas.mark("ring", vec![ring, Item::Text(Text::new(letter.to_string(), at, height).centred())]);
    }

    /// Count, pitch and skew, called out to the right.
    fn values(&mut self, outline: Bounds, shown: Option<&Repeated>) -> Result<(), ViewError> {
        let style = self.context.style;
        let key = format!("{}.grooves", self.side.key());
        let Some(g) = self.view.grooves.clone().filter(|_| shown.is_some()) else { return Ok(()) };
        let all: Vec<f64> = shown.map(|s| s.full.iter().chain(&s.lines).copied().collect()).unwrap_or_default();
        let mut called = Vec::new();
        for (what, height) in [("count", 0.35), ("skew_deg", -0.2)] {
            let Some(requirement) = self.canvas.requirement(&format!("{key}.{what}")) else { continue };
            let target = self.wall_near(&g, &all, height * PI / 2.0);
            if what == "skew_deg" {
                let label = Label::of(requirement, style).followed_by("from radial", style);
                called.push(self.canvas.called(requirement, target, g.groove.turn.to_degrees(), label));
                continue;
            }
            let label = Label::of(requirement, style).followed_by("grooves", style);
            let mut one: Called = self.canvas.called(requirement, target, requirement.nominal, label);
            if let Some(pitch) = self.canvas.requirement(&format!("{key}.pitch_deg")) {
                let complete = self.wheel.side(self.side).grooves.as_ref().is_some_and(|o| o.pattern.omit.is_empty());
                let label = Label::of(pitch, style);
                let label = if complete { label.followed_by("(=360°)", style) } else { label };
                let group = self.canvas.note(pitch, pitch.nominal, &label);
                one.second = Some((group, pitch.id.clone(), pitch.field.clone(), label));
            }
            called.push(one);
        }
        let column = Column { towards: 1.0, edge: outline.max.x, low: outline.min.y, high: outline.max.y, called };
        let Some(groups) = column.fill() else {
            return Err(self.canvas.crowded("the grooves' values do not fit beside it"));
        };
        self.canvas.put_groups(groups);
        Ok(())
    }

    /// The outer end of the drawn groove nearest to a direction as seen.
    fn wall_near(&self, g: &SideGrooveView, drawn: &[f64], wished: f64) -> Point {
        let u = ((g.outer_radius - g.groove.offset) * (g.outer_radius + g.groove.offset)).sqrt();
        let at = |d: f64| self.view.seen_point(Point::new(0.98 * u, g.groove.offset).rotated(d)) * self.canvas.factor;
        let aim = Point::polar(1.0, wished);
        let places = drawn.iter().map(|&d| at(d));
        places.max_by(|p, q| p.dot(aim).total_cmp(&q.dot(aim))).unwrap_or(Point::ORIGIN)
    }
}
