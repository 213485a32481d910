//! A side as seen from outside: circles, grooves by the rule for features that repeat, limit circles, where the section is taken.

mod called;
mod marks;
mod rings;

pub(super) use called::pitch_note;

use super::canvas::Canvas;
use super::section::AXIS_OVERSHOOT;
use super::{Context, DetailOf, Scale, View, ViewError, ViewKind, groove_detail, runout_detail};
use crate::drawing::{Fill, Item, LineRole, Text};
use crate::geometry::{Bounds, Edge, Point, Turn};
use crate::order::DrawingStyle;
use crate::section::Feature;
use crate::sheet::acceptance;
use crate::sheet::dimension::{Called, Column, Foot, Label, mark};
use crate::side_view::{Notches, SideCircle, SideGrooveView, SideView};
use crate::wheel::{Pattern, Requirement, SideGrooves, SideName, Wheel};
use crate::tolerance::ROUNDED;
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
/// Seen directions: of the first ring, of the note on count and pitch, of the skew.
const RING_DIRECTION: f64 = 0.75 * PI;
const NOTE_DIRECTION: f64 = -0.6;
const SKEW_DIRECTION: f64 = -1.0;
/// Length of the arrows at the ends of a cutting plane, mm.
const PLANE_ARROW: f64 = 10.0;
/// Grooves drawn fully beside a ring, where all others are single lines.
const FULL_BY_RING: usize = 3;
/// Grooves drawn at all where even single lines would run together.
const FULL_IN_SECTOR: usize = 7;

/// Directions in which the letter of a small ring may stand beside it, radians, and shares of a groove at which its ring may lie.
const NEAR_TURNS: [f64; 8] = [0.75 * PI, 0.25 * PI, 1.25 * PI, 1.75 * PI, 0.0, PI, 0.5 * PI, 1.5 * PI];
const NEAR_SHARES: [f64; 6] = [0.55, 0.3, 0.75, 0.15, 0.9, 0.0];
/// Those of them that are tried where values stand close along the wheel.
const NEAR_CLOSE: [f64; 2] = [0.5 * PI, 0.25 * PI];
const FEW: usize = 4;
/// By how much the columns of values may be higher than the wheel at either end, mm, in the order they are tried.
const COLUMN_SPARES: [f64; 3] = [3.0, 15.0, 30.0];
/// Greatest diameter on paper of a wheel whose values stand under it, mm: beside a larger one there is more room than below it.
const VALUES_BELOW: f64 = 140.0;
/// Leaders from below this share of the radius run straight down to values under the wheel.
const LOW: f64 = 0.45;
/// A leader from above this share of the radius runs along the radius: a level one would lie along the outline.
const STEEP: f64 = 0.75;
/// Clear height between what is drawn and the values under it, mm.
const FOOT_GAP: f64 = 1.5;
/// Most places tried for rings whose letters are called out.
const MOST_PASSED: usize = 24;

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
///
/// A leader may end up in the way of a ring once all are spread. Then the rings are made small, and one place for them and their letters after
/// the other is tried.
pub(super) fn build(side: SideName, scale: Scale, context: &Context) -> Result<View, ViewError> {
    let geometry = SideView::of(&context.job.wheel, context.section, side);
    let ringed = geometry.grooves.is_some();
    let placed = |values: Values, rings: Rings| {
        let view = drawn(&geometry, scale, context, (values, rings))?;
        let checked = acceptance::check_view(&view, context.style).is_empty();
        Ok(View { checked, ..view })
    };
    let checked = |rings: Rings| placed(Values::Beside, rings);
    let is_clean = |view: &Result<View, ViewError>| view.as_ref().is_ok_and(|v| v.checked);
    if context.job.wheel.outside_diameter * scale.factor() <= VALUES_BELOW {
        // where grooves are few, the ring lies where one of them is, and its letter may be in the way
        let few = geometry.grooves.as_ref().is_some_and(|g| g.directions.len() <= FEW);
        let near = NEAR_CLOSE.into_iter().filter(|_| few).map(|turn| (Values::Close, Rings::Near { turn, share: NEAR_SHARES[0] }));
        let ways = std::iter::once((Values::Close, Rings::Wished)).chain(near).chain([(Values::Below, Rings::Wished)]);
        if let Some(view) = ways.map(|(values, rings)| placed(values, rings)).find(is_clean) {
            return view;
        }
    }
    let first = checked(Rings::Wished);
    if !ringed || is_clean(&first) {
        return first;
    }
    let near = NEAR_SHARES.into_iter().flat_map(|share| NEAR_TURNS.map(|turn| Rings::Near { turn, share }));
    let ways = near.chain((0..MOST_PASSED).map(|passed| Rings::Called { passed })).chain([Rings::Unmarked]);
    ways.map(checked).find(is_clean).unwrap_or(first)
}

/// Where the values called out stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Values {
    /// In columns left and right.
    Beside,
    /// Upright along the wheel where they are called out level with it, the others under it.
    Close,
    /// Under the wheel, which makes the view no wider.
    Below,
}

/// How the rings of details are drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Rings {
    /// Large, with their letters outside the wheel where there is room.
    Wished,
    /// Small, with their letters right beside them in a direction (radians); a groove's own ring a share of the way along it.
    Near { turn: f64, share: f64 },
    /// With their letters called out, so many places passed over.
    Called { passed: usize },
    /// Not at all: the captions of the details say what they show.
    Unmarked,
}

/// The view with its values and rings in one way.
fn drawn(geometry: &SideView, scale: Scale, context: &Context, (placed, rings): (Values, Rings)) -> Result<View, ViewError> {
    let side = geometry.side;
    let id = format!("view-side-{}", side.letter().to_lowercase());
    let style = context.style;
    let title = style.of_side("view.side_title", side);
    let canvas = Canvas::new(context, scale, id, title);
    let mut drawing = Drawing { canvas, context, geometry: geometry.clone(), rings };
    drawing.axes();
    let full = drawing.grooves();
    drawing.circles(&full);
    drawing.notches();
    let values = drawing.called();
    let letters = if rings == Rings::Unmarked { Vec::new() } else { drawing.rings(&values) };
    if drawing.carries_cutting_plane() {
        drawing.cutting_plane();
    }
    drawing.rotation();
    match placed {
        Values::Beside => drawing.columns(values.into_iter().chain(letters))?,
        Values::Close | Values::Below => {
            drawing.columns(letters.into_iter())?;
            let values = if placed == Values::Close { drawing.close(values) } else { values };
            let (radius, top) = (drawing.radius(), drawing.canvas.bounds().min.y - FOOT_GAP);
            let foot = Foot { middle: 0.0, radius, low: -LOW * radius, top, called: values };
            if !foot.is_clear() {
                return Err(drawing.canvas.crowded("values called out level with each other"));
            }
            drawing.canvas.put_groups(foot.groups());
        }
    }
    let r = drawing.radius();
    let outline = Bounds::of(Point::new(-r, -r), Point::new(r, r));
    let caption = style.put("view.side_caption", &[("side", side.letter()), ("scale", &scale.to_string())]);
    let grooved = geometry.grooves.is_some();
    let below = match side {
        SideName::A => "",
        SideName::B if !grooved => "",
        SideName::B => style.say("view.side_b_angles"),
    };
    Ok(drawing.canvas.finish(ViewKind::Side(side), &caption, &[below], 0.0, outline))
}

struct Drawing<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
    geometry: SideView,
    rings: Rings,
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
            let main = c.feature == Feature::OutsideDiameter || (c.radius - bore).abs() < ROUNDED;
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
        self.geometry.notches.as_ref().filter(|n| self.depth_of(n) >= NARROWEST).is_some_and(|n| {
            let width = 2.0 * n.half_angle * self.radius();
            let places = self.wheel().face.as_ref().map_or(1, |f| f.pattern.places);
            let pitch = TAU * self.radius() / f64::from(places);
            width >= NARROWEST && pitch - width >= CLEAREST
        })
    }

    /// How deep the ends of the face's grooves are on paper, mm: shallow ones would be specks on the rim.
    fn depth_of(&self, notches: &Notches) -> f64 {
        (self.wheel().outside_radius() - floor(notches)) * self.canvas.factor
    }

    /// The ends of the face's grooves: notches, or single short lines where notches would run together.
    fn notches(&mut self) {
        let Some(notches) = self.geometry.notches.clone().filter(|n| self.depth_of(n) >= NARROWEST) else { return };
        let drawn = self.shows_notches();
        let places = self.wheel().face.as_ref().map_or(1, |f| f.pattern.places);
        let pitch = TAU * self.radius() / f64::from(places);
        let directions = if drawn || pitch >= CLEAREST {
            notches.directions.clone()
        } else {
            nearest(&notches.directions, self.ring_direction(), FULL_IN_SECTOR)
        };
        let single = Edge::line(Point::new(floor(&notches), 0.0), Point::new(self.wheel().outside_radius(), 0.0));
        for direction in directions {
            let edges: Vec<Edge> = if drawn {
                notches.edges.iter().map(|e| self.paper(&e.rotated(direction))).collect()
            } else {
                vec![self.paper(&single.rotated(direction))]
            };
            self.canvas.edges(edges, if drawn { LineRole::Visible } else { LineRole::Fine });
        }
    }

    /// The outer end of the groove of a direction, on paper.
    fn end_of(&self, grooves: &SideGrooveView, direction: f64) -> Point {
        self.paper(&centre_line(grooves).rotated(direction)).end()
    }

    /// Direction of the groove around which others are drawn fully, where not all are.
    fn ring_direction(&self) -> f64 {
        let wished = self.seen_direction(RING_DIRECTION);
        let Some(grooves) = &self.geometry.grooves else { return wished };
        let ring = self.ring_groove(grooves, RING_DIRECTION, None);
        ring.or(nearest(&grooves.directions, wished, 1).first().copied()).unwrap_or(wished)
    }

    /// Draws the values that are called out level with the wheel or above it, each by a short leader; the others.
    fn close(&mut self, values: Vec<Called>) -> Vec<Called> {
        let r = self.radius();
        let drawn = |c: &Called| match c.target.y {
            y if y < -LOW * r => None,
            y if y > STEEP * r => Some(c.radial(r)),
            _ => c.upright(r),
        };
        let mut below = Vec::new();
        for called in values {
            match drawn(&called) {
                Some(group) => self.canvas.put_groups(vec![group]),
                None => below.push(called),
            }
        }
        below
    }

    fn columns(&mut self, called: impl Iterator<Item = Called>) -> Result<(), ViewError> {
        let r = self.radius();
        let (right, left): (Vec<Called>, Vec<Called>) = called.partition(|c| c.target.x >= 0.0);
        for (towards, called) in [(1.0, right), (-1.0, left)] {
            let column = |more: f64| {
                let called = called.clone();
                Column { towards, edge: towards * r, low: -r - more, high: r + more, called }.fill()
            };
            let Some(groups) = COLUMN_SPARES.into_iter().find_map(column) else {
                return Err(self.canvas.crowded("the values called out do not fit beside it"));
            };
            self.canvas.put_groups(groups);
        }
        Ok(())
    }
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

/// Least radius of a notch's outline, mm.
fn floor(notches: &Notches) -> f64 {
    notches.edges.iter().map(|e| e.start().x.min(e.end().x)).fold(f64::MAX, f64::min)
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
