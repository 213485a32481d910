//! A side as seen from outside: circles, grooves by the rule for features that repeat, limit circles, where the section is taken.

use super::canvas::Canvas;
use super::section::AXIS_OVERSHOOT;
use super::{Context, Scale, View, ViewError, ViewKind, groove_detail, runout_detail};
use crate::drawing::{Fill, Item, LineRole, Text};
use crate::geometry::{Bounds, Edge, Point, Turn};
use crate::order::DrawingStyle;
use crate::section::Feature;
use crate::sheet::dimension::{Called, Column, Label, mark};
use crate::side_view::{SideCircle, SideGrooveView, SideView};
use crate::wheel::{Pattern, Requirement, SideGrooves, SideName, Wheel};
use std::f64::consts::{PI, TAU};

/// Grooves narrower than this on paper are not drawn with two lines each, mm.
const NARROWEST: f64 = 0.7;
/// Least land between two grooves drawn fully, and least pitch of grooves drawn as single lines, mm of paper.
const CLEAREST: f64 = 1.2;
/// Circles nearer than this to one already drawn are left out, mm of paper: wide lines would run together.
const CIRCLE_GAP: f64 = 1.1;
/// Edges that turn the surface by less than this are drawn narrow, radians: they are hardly seen on the wheel either.
const BLUNT: f64 = 0.2;
/// Least and greatest radius of the ring around a detail, mm.
const RING: (f64, f64) = (3.5, 6.0);
/// Seen directions: of the first ring, of the second, of the note on count and pitch, of the skew.
const RING_DIRECTION: f64 = 0.75 * PI;
const SECOND_RING_DIRECTION: f64 = 1.25 * PI;
const NOTE_DIRECTION: f64 = -0.6;
const SKEW_DIRECTION: f64 = -1.0;
/// Most grooves looked at for the place of a ring.
const MOST_TRIED: usize = 90;
/// From a ring to the middle of its letter, mm.
const RING_LETTER: f64 = 4.5;
/// Length of the wide ends of a cutting plane, mm.
const PLANE_END: f64 = 8.0;
/// Half length of the arrow of rotation, mm.
const ROTATION: f64 = 11.0;
/// Share of the radius at which a groove is called out where its end is taken.
const INSIDE_RIM: f64 = 0.9;
/// Callouts nearer to each other than this share one, mm.
const TOGETHER: f64 = 6.0;
/// Length of the arrows at them, mm.
const PLANE_ARROW: f64 = 10.0;
/// Grooves drawn fully beside a ring, where all others are single lines.
const FULL_BY_RING: usize = 3;
/// Grooves drawn at all where even single lines would run together.
const FULL_IN_SECTOR: usize = 7;

/// How the grooves of a side are shown at a scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shown {
    /// Every groove with its outline.
    All,
    /// A single line each, three with their outlines.
    Lines,
    /// Seven grooves in one sector, and the two circles that limit them.
    Sector,
}

/// The view of a side at one scale.
pub(super) fn build(side: SideName, scale: Scale, context: &Context) -> Result<View, ViewError> {
    let id = format!("view-side-{}", side.letter().to_lowercase());
    let title = format!("Side {} as seen from outside it", side.letter());
    let geometry = SideView::of(&context.job.wheel, context.section, side);
    let mut drawing = Drawing { canvas: Canvas::new(context, scale, id, title), context, geometry };
    drawing.axes();
    let full = drawing.grooves();
    drawing.circles(&full);
    drawing.notches();
    let rings = drawing.rings();
    if drawing.carries_cutting_plane() {
        drawing.cutting_plane();
    }
    drawing.rotation();
    drawing.columns(rings)?;
    let r = drawing.radius();
    let outline = Bounds::of(Point::new(-r, -r), Point::new(r, r));
    let caption = format!("Side {} ({scale})", side.letter());
    let below = match side {
        SideName::A => "",
        SideName::B => "seen from outside side B: angles run clockwise here",
    };
    Ok(drawing.canvas.finish(ViewKind::Side(side), &caption, &[below], 0.0, outline))
}

struct Drawing<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
    geometry: SideView,
}

impl Drawing<'_> {
    fn wheel(&self) -> &Wheel {
        &self.context.job.wheel
    }

    /// Outside radius on paper.
    fn radius(&self) -> f64 {
        self.wheel().outside_radius() * self.canvas.factor
    }

    fn ordered(&self) -> Option<&SideGrooves> {
        self.wheel().side(self.geometry.side).grooves.as_ref()
    }

    /// An edge in the wheel's x and y as seen, on paper.
    fn paper(&self, edge: &Edge) -> Edge {
        self.geometry.seen(edge).scaled(self.canvas.factor)
    }

    /// A direction in the wheel's x and y as seen.
    fn seen_direction(&self, angle: f64) -> f64 {
        if self.geometry.side == SideName::A { angle } else { PI - angle }
    }

    fn axes(&mut self) {
        let reach = self.radius() + AXIS_OVERSHOOT;
        for along in [Point::new(reach, 0.0), Point::new(0.0, reach)] {
            self.canvas.line(-along, along, LineRole::Axis);
        }
    }

    /// The circles that can be told apart on paper: outside diameter and bore always, edges before smooth changes.
    fn circles(&mut self, full: &[f64]) {
        let mut wanted: Vec<SideCircle> = self.geometry.circles.clone();
        let bore = self.wheel().bore_radius();
        let rank = |c: &SideCircle| {
            let main = c.feature == Feature::OutsideDiameter || (c.radius - bore).abs() < 1e-9;
            (!main, !c.sharp)
        };
        wanted.sort_by(|a, b| rank(a).cmp(&rank(b)).then(b.radius.total_cmp(&a.radius)));
        let mut drawn: Vec<f64> = Vec::new();
        for circle in wanted {
            let r = circle.radius * self.canvas.factor;
            if drawn.iter().any(|d| (d - r).abs() < CIRCLE_GAP) {
                continue;
            }
            drawn.push(r);
            let role = if circle.turn >= BLUNT { LineRole::Visible } else { LineRole::Fine };
            let notched = circle.feature == Feature::OutsideDiameter && self.shows_notches();
            let arcs = if notched {
                self.geometry.notches.as_ref().and_then(|n| n.between(circle.radius, &n.directions))
            } else if circle.grooved && !full.is_empty() {
                self.geometry.grooves.as_ref().and_then(|g| g.between(circle.radius, full))
            } else {
                None
            };
            match arcs {
                Some(arcs) => {
                    let arcs: Vec<Edge> = arcs.iter().map(|e| self.paper(e)).collect();
                    self.canvas.edges(arcs, role);
                }
                None => self.canvas.circle(r, role),
            }
        }
    }

    /// How the grooves are shown at this scale.
    fn shown(&self, grooves: &SideGrooveView) -> Shown {
        let s = self.canvas.factor;
        let places = self.ordered().map_or(1, |g| g.pattern.places);
        let width = 2.0 * grooves.groove.half_width * s;
        let pitch = TAU * grooves.inner_radius / f64::from(places) * s;
        if width >= NARROWEST && pitch - width >= CLEAREST {
            Shown::All
        } else if pitch >= CLEAREST {
            Shown::Lines
        } else {
            Shown::Sector
        }
    }

    /// Draws the grooves; returns the directions of those drawn with their outlines.
    fn grooves(&mut self) -> Vec<f64> {
        let Some(grooves) = self.geometry.grooves.clone() else { return Vec::new() };
        let shown = self.shown(&grooves);
        let width = 2.0 * grooves.groove.half_width * self.canvas.factor;
        let role = if width >= 1.2 { LineRole::Visible } else { LineRole::Fine };
        let near = |count: usize| nearest(&grooves.directions, self.ring_direction(), count);
        let full = match shown {
            Shown::All => grooves.directions.clone(),
            // two lines nearer than half a millimetre would only be one thick one
            _ if width < 0.5 => Vec::new(),
            Shown::Lines => near(FULL_BY_RING),
            Shown::Sector => near(FULL_IN_SECTOR),
        };
        let single = match shown {
            Shown::All => Vec::new(),
            Shown::Lines => grooves.directions.iter().copied().filter(|d| !full.contains(d)).collect(),
            Shown::Sector if full.is_empty() => near(FULL_IN_SECTOR),
            Shown::Sector => Vec::new(),
        };
        for &direction in &full {
            let edges: Vec<Edge> = grooves.edges.iter().map(|e| self.paper(&e.rotated(direction))).collect();
            self.canvas.edges(edges, role);
            if let Some(tip) = grooves.tip.filter(|_| width >= 2.0 * CLEAREST) {
                self.canvas.edges([self.paper(&tip.rotated(direction))], LineRole::Visible);
            }
        }
        let centre = centre_line(&grooves);
        for &direction in &single {
            self.canvas.edges([self.paper(&centre.rotated(direction))], LineRole::Fine);
        }
        if shown == Shown::Sector {
            self.canvas.circle(grooves.inner_radius * self.canvas.factor, LineRole::Fine);
            if grooves.ended {
                self.canvas.circle(grooves.outer_radius * self.canvas.factor, LineRole::Fine);
            }
        }
        full
    }

    /// Whether the ends of the face's grooves can be drawn one by one.
    fn shows_notches(&self) -> bool {
        self.geometry.notches.as_ref().is_some_and(|n| {
            let width = 2.0 * n.half_angle * self.radius();
            let places = self.wheel().face.as_ref().map_or(1, |f| f.pattern.places);
            let pitch = TAU * self.radius() / f64::from(places);
            width >= NARROWEST && pitch - width >= CLEAREST
        })
    }

    /// The ends of the face's grooves: notches, or single short lines where notches would run together.
    fn notches(&mut self) {
        let Some(notches) = self.geometry.notches.clone() else { return };
        let drawn = self.shows_notches();
        let places = self.wheel().face.as_ref().map_or(1, |f| f.pattern.places);
        let pitch = TAU * self.radius() / f64::from(places);
        let directions = if drawn || pitch >= CLEAREST {
            notches.directions.clone()
        } else {
            nearest(&notches.directions, self.ring_direction(), FULL_IN_SECTOR)
        };
        let depth = notches.edges.iter().map(|e| e.start().x.min(e.end().x)).fold(f64::MAX, f64::min);
        let single = Edge::line(Point::new(depth, 0.0), Point::new(self.wheel().outside_radius(), 0.0));
        for direction in directions {
            let edges: Vec<Edge> = if drawn {
                notches.edges.iter().map(|e| self.paper(&e.rotated(direction))).collect()
            } else {
                vec![self.paper(&single.rotated(direction))]
            };
            self.canvas.edges(edges, if drawn { LineRole::Visible } else { LineRole::Fine });
        }
    }

    /// Where values will be called out, on paper.
    fn targets(&self, grooves: &SideGrooveView) -> Vec<Point> {
        let seen = [NOTE_DIRECTION, SKEW_DIRECTION].into_iter().filter_map(|seen| self.outer_end(grooves, seen));
        let first = grooves.directions.first().copied();
        let place = self.ordered().map(|g| (g.pattern.angle_deg(1) + g.skew_deg).to_radians());
        seen.chain([first, place].into_iter().flatten().map(|d| self.end_of(grooves, d))).collect()
    }

    /// The outer end of the groove of a direction, on paper.
    fn end_of(&self, grooves: &SideGrooveView, direction: f64) -> Point {
        self.paper(&centre_line(grooves).rotated(direction)).end()
    }

    /// The groove to put a ring around, nearest to a seen direction of those where ring and letter meet nothing called out; `None` where every
    /// groove is too near to something.
    fn ring_groove(&self, grooves: &SideGrooveView, wished: f64, taken: Option<f64>) -> Option<f64> {
        let targets = self.targets(grooves);
        let step = grooves.directions.len().div_ceil(MOST_TRIED);
        let apart = |a: f64, b: f64| {
            let turn = (a - b).rem_euclid(TAU);
            turn.min(TAU - turn)
        };
        let angle = |d: &f64| self.end_of(grooves, *d).angle();
        let free = |d: &&f64| {
            let phi = angle(d);
            let other = taken.is_none_or(|t| apart(angle(&t), phi) * self.radius() > 4.0 * RING.1);
            other && self.has_room(phi, &targets)
        };
        let candidates = grooves.directions.iter().step_by(step.max(1)).filter(free);
        candidates.min_by(|a, b| apart(angle(a), wished).total_cmp(&apart(angle(b), wished))).copied()
    }

    /// Whether a ring at the rim with its letter outside has room in a seen direction.
    fn has_room(&self, phi: f64, targets: &[Point]) -> bool {
        let (sin, cos) = phi.sin_cos();
        let r = self.radius();
        let letter = Point::polar(r + RING.1 + RING_LETTER, phi);
        // beside the marks of the cutting plane, off the level centre line, short of the columns
        let clear = letter.x.abs() >= PLANE_ARROW + 2.0 * self.context.style.letter
            && letter.y.abs() >= self.context.style.letter
            && letter.x.abs() + self.context.style.letter / 2.0 <= r + 1.0;
        let meets = |t: &&Point| {
            let near = |y: f64, room: f64| (t.y - y).abs() < room;
            t.x * cos >= 0.0 && (near(r * sin, RING.1 + 2.0) || near(letter.y, self.context.style.letter))
        };
        clear && !targets.iter().any(|t| meets(&t))
    }

    /// Direction of the groove around which others are drawn fully, where not all are.
    fn ring_direction(&self) -> f64 {
        let wished = self.seen_direction(RING_DIRECTION);
        let Some(grooves) = &self.geometry.grooves else { return wished };
        let ring = self.ring_groove(grooves, RING_DIRECTION, None);
        ring.or(nearest(&grooves.directions, wished, 1).first().copied()).unwrap_or(wished)
    }

    /// The letter of a detail that will be shown.
    fn letter(&self, what: &str) -> Option<char> {
        let of = format!("{}.{what}", self.geometry.side.key());
        self.context.shown.iter().find_map(|r| match &r.kind {
            ViewKind::Detail { letter, of: shown } if *shown == of => Some(*letter),
            _ => None,
        })
    }

    /// The rings of details, with their letters beside them; where there is no room, the letter is called out in a column.
    fn rings(&mut self) -> Vec<Called> {
        let Some(grooves) = self.geometry.grooves.clone() else { return Vec::new() };
        let mut called = Vec::new();
        let groove = self.ring_groove(&grooves, RING_DIRECTION, None);
        if let Some(letter) = self.letter("grooves") {
            let size = groove_detail::side_size(self.wheel(), self.geometry.side);
            match groove {
                Some(direction) => self.ring("ring-groove", self.end_of(&grooves, direction), size, letter),
                None => called.extend(self.called_ring("ring-groove", &grooves, 0.55, letter)),
            }
        }
        if let Some(letter) = self.letter("grooves.inner_end") {
            let size = self.ordered().map_or(0.0, runout_detail::size);
            match self.ring_groove(&grooves, SECOND_RING_DIRECTION, Some(self.ring_direction())) {
                Some(direction) => {
                    let at = self.paper(&centre_line(&grooves).rotated(direction)).start();
                    self.ring("ring-inner-end", at, size, letter);
                }
                None => called.extend(self.called_ring("ring-inner-end", &grooves, 0.0, letter)),
            }
        }
        called
    }

    /// A small ring a share of the way along the groove nearest to the usual direction, its letter called out.
    fn called_ring(&mut self, name: &str, grooves: &SideGrooveView, share: f64, letter: char) -> Option<Called> {
        let direction = *nearest(&grooves.directions, self.seen_direction(RING_DIRECTION), 1).first()?;
        let at = self.paper(&centre_line(grooves).rotated(direction)).at(share);
        let ring = Item::Circle { centre: at, radius: RING.0, role: LineRole::Dimension, fill: Fill::None };
        self.canvas.mark(name, vec![ring]);
        let target = at + Point::new(RING.0 * at.x.signum(), 0.0);
        let label = Label::letter(letter, self.context.style);
        let (group, characteristic) = (format!("{}-{name}-letter", self.canvas.id), format!("mark:{name}-letter"));
        Some(Called { group, characteristic, field: String::new(), target, rise: 0.0, label, second: None })
    }

    /// A ring with its letter outside the wheel, and a line between them where that is far.
    fn ring(&mut self, name: &str, at: Point, size: f64, letter: char) {
        let Some(outward) = at.unit() else { return };
        let style = self.context.style;
        let radius = (size / 2.0 * self.canvas.factor).clamp(RING.0, RING.1);
        let mut items = vec![Item::Circle { centre: at, radius, role: LineRole::Dimension, fill: Fill::None }];
        let off = (at.length() + radius).max(self.radius() + 1.0) + RING_LETTER;
        if off - at.length() - radius > 1.5 * RING_LETTER {
            items.push(mark::line(at + outward * radius, outward * (off - RING_LETTER + 0.5)));
        }
        let middle = outward * off - Point::new(0.0, style.letter / 2.0);
        items.push(Item::Text(Text::new(letter, middle, style.letter).centred()));
        self.canvas.mark(name, items);
    }

    /// The cutting plane stands on the first side shown.
    fn carries_cutting_plane(&self) -> bool {
        let sides = self.context.shown.iter().filter_map(|r| match r.kind {
            ViewKind::Side(side) => Some(side),
            _ => None,
        });
        let section = self.context.shown.iter().any(|r| r.kind == ViewKind::Section);
        section && sides.into_iter().next() == Some(self.geometry.side)
    }

    /// Where section A–A is taken: wide ends of the upright axis, arrows in the direction it is seen in (side A lies to the left there), the
    /// letter twice.
    fn cutting_plane(&mut self) {
        let style = self.context.style;
        let sight = if self.geometry.side == SideName::A { -1.0 } else { 1.0 };
        // ISO 128: the arrow's tip on the line; ASME Y14.3: its tail
        let us = style.dimensioning == DrawingStyle::Us;
        let (tail, tip) = if us { (0.0, PLANE_ARROW) } else { (-PLANE_ARROW, 0.0) };
        let near = self.radius() + AXIS_OVERSHOOT + 1.0;
        for (up, name) in [(1.0, "cutting-plane-upper"), (-1.0, "cutting-plane-lower")] {
            let (from, to) = (Point::new(0.0, up * near), Point::new(0.0, up * (near + PLANE_END)));
            let mut items = vec![Item::Line { from, to, role: LineRole::CuttingPlane }];
            let y = up * (near + 0.7 * PLANE_END);
            items.push(mark::line(Point::new(sight * tail, y), Point::new(sight * tip, y)));
            items.extend(mark::arrow(Point::new(sight * tip, y), Point::new(sight, 0.0)));
            let off = PLANE_ARROW + style.letter;
            let x = if us { sight * off } else { -sight * off };
            items.push(Item::Text(Text::new("A", Point::new(x, y - style.letter / 2.0), style.letter).centred()));
            self.canvas.mark(name, items);
        }
    }

    /// The rotation that skewed grooves ask for: their outer ends lead.
    fn rotation(&mut self) {
        let Some(skew) = self.ordered().map(|g| g.skew_deg).filter(|s| *s != 0.0) else { return };
        let mirrored = self.geometry.side == SideName::B;
        let left_turning = (skew > 0.0) != mirrored;
        let below = if self.carries_cutting_plane() { PLANE_END + 10.0 } else { 7.0 };
        let r = self.radius() + AXIS_OVERSHOOT + below;
        let half = (ROTATION / r).min(0.4);
        let angles = [1.5 * PI - half, 1.5 * PI + half];
        let (from, to) = if left_turning { (angles[0], angles[1]) } else { (angles[1], angles[0]) };
        let turn = if left_turning { Turn::Left } else { Turn::Right };
        let (start, end) = (Point::polar(r, from), Point::polar(r, to));
        let Ok(Edge::Arc(arc)) = Edge::arc(start, end, Point::ORIGIN, r, turn) else { return };
        let mut items = vec![Item::Arc { arc, role: LineRole::Dimension }];
        let forward = end.left() * (1.0 / r) * turn.sign();
        items.extend(mark::arrow(end, forward));
        let style = self.context.style;
        let at = Point::new(0.0, -r - 2.0 - style.text);
        items.push(Item::Text(Text::new("rotation", at, style.text).centred()));
        self.canvas.mark("rotation", items);
    }

    fn columns(&mut self, rings: Vec<Called>) -> Result<(), ViewError> {
        let called: Vec<Called> = self.called().into_iter().chain(rings).collect();
        let r = self.radius();
        let (right, left): (Vec<Called>, Vec<Called>) = called.into_iter().partition(|c| c.target.x >= 0.0);
        for (towards, called) in [(1.0, right), (-1.0, left)] {
            let column = Column { towards, edge: towards * r, low: -r - 3.0, high: r + 3.0, called };
            let Some(groups) = column.fill() else {
                return Err(self.canvas.crowded("the values called out do not fit beside it"));
            };
            self.canvas.put_groups(groups);
        }
        Ok(())
    }

    /// Where a groove near a seen direction meets its outer end, on paper.
    fn outer_end(&self, grooves: &SideGrooveView, seen: f64) -> Option<Point> {
        let off = |d: &&f64| {
            let turn = (self.end_of(grooves, **d).angle() - seen).rem_euclid(TAU);
            turn.min(TAU - turn)
        };
        let direction = grooves.directions.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some(self.end_of(grooves, *direction))
    }

    fn called(&mut self) -> Vec<Called> {
        let (Some(grooves), Some(ordered)) = (self.geometry.grooves.clone(), self.ordered().cloned()) else {
            return Vec::new();
        };
        let (key, style) = (format!("{}.grooves", self.geometry.side.key()), self.context.style);
        let mut out: Vec<Called> = Vec::new();
        let at = self.outer_end(&grooves, NOTE_DIRECTION);
        let pattern = self.canvas.requirement(&format!("{key}.count")).zip(at);
        let first = ordered.pattern.cut().next().zip(grooves.directions.first().map(|d| self.end_of(&grooves, *d)));
        let start = self.canvas.requirement(&format!("{key}.start_deg"));
        let together = at.zip(first).is_some_and(|(at, (_, end))| at.distance(end) < TOGETHER);
        if let Some((count, at)) = pattern {
            let word = first.filter(|_| together && start.is_none()).map(|(k, _)| format!("groove {k}"));
            let pitch = format!("{key}.pitch_deg");
            out.push(pitch_note(&mut self.canvas, count, &pitch, &ordered.pattern, at, word));
        }
        match (start, first) {
            (Some(start), _) => out.push(self.direction_of_first(start, &grooves, &ordered.pattern, together)),
            (None, Some((k, end))) if !together => out.push(self.first_groove(k, end)),
            _ => {}
        }
        let at = self.outer_end(&grooves, SKEW_DIRECTION);
        if let Some((requirement, mut at)) = self.canvas.requirement(&format!("{key}.skew_deg")).zip(at) {
            // the centre line leaves the rim point P in the frame's direction; P itself lies at −skew there
            let rim = centre_line(&grooves).end();
            let label = Label::of(requirement, style).followed_by("skew", style);
            let measured = if grooves.ended { ordered.skew_deg } else { -rim.angle().to_degrees() };
            let crowded = out.iter().any(|c| c.target.distance(at) < TOGETHER);
            if crowded {
                at = at * (INSIDE_RIM * INSIDE_RIM);
            }
            let called = self.canvas.called(requirement, at, measured, label);
            out.push(Called { rise: if crowded { -2.0 * TOGETHER } else { 0.0 }, ..called });
        }
        out
    }

    /// The direction of groove 1 from the wheel's x axis, at its outer end; its place is shown where it is not cut.
    fn direction_of_first(
        &mut self,
        start: &Requirement,
        grooves: &SideGrooveView,
        pattern: &Pattern,
        together: bool,
    ) -> Called {
        let style = self.context.style;
        let cut = pattern.omit.binary_search(&1).is_err();
        let label = Label::of(start, style).followed_by(if cut { "groove 1" } else { "place 1, not cut" }, style);
        let turn = self.ordered().map_or(0.0, |g| g.skew_deg);
        let target = self.end_of(grooves, (pattern.angle_deg(1) + turn).to_radians());
        // the place itself lies on the circle of the outer ends, in the direction counted from +x as seen from side A
        let place = self.seen_direction(target.angle()) - self.skew_of_end(grooves);
        let measured = nearest_turn(place.to_degrees(), start.nominal);
        let target = if together { target * INSIDE_RIM } else { target };
        let called = self.canvas.called(start, target, measured, label);
        Called { rise: if together { 2.0 * TOGETHER } else { 0.0 }, ..called }
    }

    /// Angle by which a groove's outer end lies off the direction of its place, radians: 0 where it runs out through the outside diameter.
    fn skew_of_end(&self, grooves: &SideGrooveView) -> f64 {
        let end = centre_line(grooves).end();
        end.angle() + grooves.groove.turn
    }

    /// Groove 1, or the first that is cut: the one that index tables begin with.
    fn first_groove(&self, k: u32, target: Point) -> Called {
        let label = Label::text(format!("groove {k}"), self.context.style);
        let (group, characteristic) = (format!("{}-groove-1", self.canvas.id), "mark:groove-1".to_owned());
        Called { group, characteristic, field: String::new(), target, rise: 0.0, label, second: None }
    }
}

/// `180 × 2° (=360°)`: the count and the pitch in one note, each a dimension of its own.
pub(super) fn pitch_note(
    canvas: &mut Canvas,
    count: &Requirement,
    pitch_id: &str,
    pattern: &Pattern,
    target: Point,
    word: Option<String>,
) -> Called {
    let style = canvas.context.style;
    let label = Label::of(count, style).followed_by("×", style);
    let mut called = canvas.called(count, target, count.nominal, label);
    if let Some(pitch) = canvas.requirement(pitch_id) {
        let rest = if pattern.omit.is_empty() {
            "(=360°)".to_owned()
        } else {
            format!("({} of {} places)", pattern.count(), pattern.places)
        };
        let rest = word.map_or(rest.clone(), |w| format!("{rest}, {w}"));
        let label = Label::of(pitch, style).followed_by(rest, style);
        let group = canvas.note(pitch, pitch.nominal, &label);
        called.second = Some((group, pitch.id.clone(), pitch.field.clone(), label));
    }
    called
}

/// The centre line of one groove as far as it is seen, in its own frame.
fn centre_line(grooves: &SideGrooveView) -> Edge {
    let v = grooves.groove.offset;
    let along = |r: f64| ((r - v) * (r + v)).max(0.0).sqrt();
    let points = grooves.edges.iter().flat_map(|e| [e.start(), e.end()]);
    let innermost = points.map(|p| p.x).fold(f64::MAX, f64::min);
    let inner = if innermost.is_finite() && innermost < along(grooves.outer_radius) {
        innermost
    } else {
        along(grooves.inner_radius)
    };
    Edge::line(Point::new(inner, v), Point::new(along(grooves.outer_radius), v))
}

/// An angle in degrees, turned by whole circles to come nearest to another.
fn nearest_turn(degrees: f64, to: f64) -> f64 {
    degrees + ((to - degrees) / 360.0).round() * 360.0
}

/// The directions nearest to one, at most so many.
fn nearest(directions: &[f64], to: f64, count: usize) -> Vec<f64> {
    let off = |d: &f64| {
        let turn = (d - to).rem_euclid(TAU);
        turn.min(TAU - turn)
    };
    let mut sorted = directions.to_vec();
    sorted.sort_by(|a, b| off(a).total_cmp(&off(b)));
    sorted.truncate(count);
    sorted
}
