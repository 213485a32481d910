//! A plan of grooves: straight walls in pairs, alike around one centre.

use super::order::number;
use super::sizes::Snap;
use super::{Drawn, Role, TakeoffError, not};
use crate::geometry::{Edge, Point};
use crate::size::SideName;
use crate::tolerance::DRAWN_DEGREES;
use serde_json::{Map, Value};
use std::f64::consts::TAU;

/// What a plan says of the grooves of a side; mm, degrees counter-clockwise as seen from outside side A.
#[derive(Debug, Clone, PartialEq)]
pub struct GroovePlan {
    /// Places on the full circle.
    pub places: u32,
    /// Direction of the first groove.
    pub start_deg: f64,
    /// Places that are not cut, from 1.
    pub omit: Vec<u32>,
    /// Width between the walls.
    pub width: f64,
    /// Diameter at which they begin.
    pub inner_diameter: f64,
    /// Diameter at which they end; `None` runs out through the outside diameter.
    pub outer_diameter: Option<f64>,
    /// Whether the inner end is a half circle.
    pub is_round: bool,
    /// Turn of the centre line about its end at the outside diameter.
    pub skew_deg: f64,
}

/// One wall, pointing outwards from the centre.
#[derive(Debug, Clone, Copy)]
struct Wall {
    /// Direction, radians.
    heading: f64,
    /// How far it passes the centre, to the left above 0.
    offset: f64,
    /// Where it begins and ends along its direction, from the foot of the centre.
    from: f64,
    to: f64,
}

impl Wall {
    fn of(edge: &Edge, centre: Point) -> Option<Wall> {
        let Edge::Line(l) = edge else { return None };
        let (a, b) = (l.start - centre, l.end - centre);
        let (a, b) = if a.length() <= b.length() { (a, b) } else { (b, a) };
        let along = (b - a).unit()?;
        let wall = Wall { heading: along.angle(), offset: along.cross(a), from: along.dot(a), to: along.dot(b) };
        // a wall is longer than it lies off the centre: ends across a groove are not
        (wall.to - wall.from > wall.offset.abs() && wall.from > 0.0).then_some(wall)
    }

    fn is_like(&self, other: &Wall, gap: f64) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= 2.0 * gap;
        near(self.offset, other.offset) && near(self.from, other.from) && near(self.to, other.to)
    }
}

/// Reads a plan seen from outside a side. Its centre is that of the largest circle, or the drawing's origin.
///
/// # Errors
/// Where no straight walls stand in pairs around one centre at an even pitch.
pub fn groove_plan(drawn: &[Drawn], side: SideName, gap: f64) -> Result<GroovePlan, TakeoffError> {
    let outline = || drawn.iter().filter(|d| d.role == Role::Outline).map(|d| d.edge);
    let circles = drawn.iter().filter_map(|d| match d.edge {
        Edge::Arc(a) => Some(a),
        Edge::Line(_) => None,
    });
    let rim = circles.max_by(|a, b| a.radius().total_cmp(&b.radius()));
    let centre = rim.map_or(Point::ORIGIN, |a| a.centre());
    let hand = |e: Edge| {
        if side == SideName::B { e.translated(Point::ORIGIN - centre).mirrored_y().translated(centre) } else { e }
    };
    let walls: Vec<Wall> = outline().filter_map(|e| Wall::of(&hand(e), centre)).collect();
    let [left, right] =
        sorts(&walls, gap).ok_or_else(|| not("the plan holds no walls of grooves in pairs that are alike"))?;
    let (width, offset) = (left[0].offset - right[0].offset, (left[0].offset + right[0].offset) / 2.0);
    let (places, start, omit) = pitch(&left, left[0].to)?;
    let is_round = outline().any(|e| matches!(e, Edge::Arc(a) if (a.radius() - width / 2.0).abs() <= gap && rim.is_some_and(|r| r.radius() > 2.0 * a.radius())));
    let inner = left[0].from - if is_round { width / 2.0 } else { 0.0 };
    let outer = left[0].to.hypot(left[0].offset);
    let through = rim.is_none_or(|r| outer >= r.radius() - 2.0 * gap);
    let rim_radius = rim.map_or(outer, |r| r.radius());
    let skew = (-offset / rim_radius).asin();
    // the centre line meets the outside diameter in the direction of the groove's place
    let start_deg = tidy((start - skew).rem_euclid(TAU).to_degrees());
    Ok(GroovePlan {
        places,
        start_deg: if 360.0 - start_deg < DRAWN_DEGREES { 0.0 } else { start_deg },
        omit,
        width,
        inner_diameter: 2.0 * inner.hypot(offset),
        outer_diameter: (!through).then(|| 2.0 * left[0].to.hypot(offset)),
        is_round,
        skew_deg: tidy(skew.to_degrees()),
    })
}

fn tidy(deg: f64) -> f64 {
    let plain = (deg * 100.0).round() / 100.0;
    if (plain - deg).abs() <= DRAWN_DEGREES { plain } else { deg }
}

/// The two sorts of walls there are most of, the left one first.
fn sorts(walls: &[Wall], gap: f64) -> Option<[Vec<Wall>; 2]> {
    let mut sorts: Vec<Vec<Wall>> = Vec::new();
    for wall in walls {
        match sorts.iter_mut().find(|sort| sort[0].is_like(wall, gap)) {
            // a wall drawn twice is one
            Some(sort) if sort.iter().any(|w| (w.heading - wall.heading).abs() * wall.to <= gap) => {}
            Some(sort) => sort.push(*wall),
            None => sorts.push(vec![*wall]),
        }
    }
    sorts.sort_by_key(|sort| std::cmp::Reverse(sort.len()));
    let [first, second, ..] = sorts.as_slice() else { return None };
    if first.len() != second.len() || (first[0].offset - second[0].offset).abs() <= gap {
        return None;
    }
    let (first, second) = (first.clone(), second.clone());
    Some(if first[0].offset > second[0].offset { [first, second] } else { [second, first] })
}

/// Places on the circle, the direction of the first, and which are left out.
fn pitch(walls: &[Wall], radius: f64) -> Result<(u32, f64, Vec<u32>), TakeoffError> {
    let mut headings: Vec<f64> = walls.iter().map(|w| w.heading.rem_euclid(TAU)).collect();
    headings.sort_by(f64::total_cmp);
    // the one nearest to direction 0 is the first; rounding may put it just below a full turn
    let near_zero = |h: f64| h.min(TAU - h);
    let first = headings.iter().copied().min_by(|a, b| near_zero(*a).total_cmp(&near_zero(*b))).unwrap_or(0.0);
    let mut gaps: Vec<f64> = headings.windows(2).map(|w| w[1] - w[0]).collect();
    gaps.push(headings[0] + TAU - headings[headings.len() - 1]);
    let least = gaps.iter().copied().fold(f64::INFINITY, f64::min);
    let places = (TAU / least).round();
    let place = |h: f64| ((h - first).rem_euclid(TAU) * places / TAU).round() % places;
    let even = headings.iter().all(|&h| {
        let ideal = first + place(h) * TAU / places;
        let off = (h - ideal).rem_euclid(TAU);
        off.min(TAU - off) * radius <= super::DRAWN_GAP
    });
    if !even {
        return Err(not("the grooves of the plan do not lie at an even pitch"));
    }
    let cut: Vec<u32> = headings.iter().map(|&h| place(h) as u32 + 1).collect();
    Ok((places as u32, first, (1..=places as u32).filter(|k| !cut.contains(k)).collect()))
}

impl GroovePlan {
    /// As the order's field, with the depth that a plan cannot say, mm.
    pub(super) fn written(&self, snap: &Snap, depth: f64) -> Value {
        let length = |mm: f64| number(snap.written(snap.tidy(mm)));
        let mut out = Map::new();
        out.insert("count".into(), Value::from(self.places));
        if self.start_deg != 0.0 {
            out.insert("start_deg".into(), number(self.start_deg));
        }
        if !self.omit.is_empty() {
            out.insert("omit".into(), Value::from(self.omit.clone()));
        }
        out.insert("width".into(), length(self.width));
        out.insert("depth".into(), number(snap.written(depth)));
        out.insert("inner_diameter".into(), length(self.inner_diameter));
        if let Some(outer) = self.outer_diameter {
            out.insert("outer_diameter".into(), length(outer));
        }
        if self.is_round {
            out.insert("inner_end".into(), Value::from("round"));
        }
        if self.skew_deg != 0.0 {
            out.insert("skew_deg".into(), number(self.skew_deg));
        }
        Value::Object(out)
    }
}
