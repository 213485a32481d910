//! An isometric picture (ISO 5456-3) of the side that has most on it, so that no one mistakes one side for the other.
//!
//! The side faces the reader to the lower left. Circles become ellipses, drawn as chords; what lies behind a nearer edge is left out.

use super::canvas::Canvas;
use super::{Context, Scale, View, ViewError, ViewKind};
use crate::drawing::LineRole;
use crate::geometry::{Bounds, Point};
use crate::side_view::SideView;
use crate::wheel::{SideName, Wheel};
use crate::tolerance::ROUNDED;
use std::f64::consts::{PI, TAU};

/// Chords of an ellipse.
const CHORDS: u32 = 96;
/// Ellipses nearer than this to one already drawn are left out, mm of paper.
const CLEAR: f64 = 0.9;
/// Grooves nearer than this to each other are thinned out, mm of paper.
const GROOVE_PITCH: f64 = 0.9;

/// The side the picture shows: the one with the most steps, tapers and grooves to see.
pub(super) fn side(wheel: &Wheel) -> SideName {
    let shown = |name: SideName| {
        let side = wheel.side(name);
        let cut = 2 * side.recess.len() + 2 * usize::from(side.grooves.is_some()) + usize::from(side.taper.is_some());
        (cut, side.corner.is_some())
    };
    if shown(SideName::B) > shown(SideName::A) { SideName::B } else { SideName::A }
}

/// The picture at one scale.
pub(super) fn build(scale: Scale, context: &Context) -> Result<View, ViewError> {
    let side = side(&context.job.wheel);
    let title = context.style.of_side("view.picture_title", side);
    let canvas = Canvas::new(context, scale, "view-pictorial", title);
    let geometry = SideView::of(&context.job.wheel, context.section, side);
    let mut picture = Picture { canvas, context, side, geometry, openings: Vec::new() };
    picture.rings();
    picture.rim();
    picture.grooves();
    picture.face_grooves();
    let bounds = picture.canvas.bounds();
    let outline = Bounds::of(bounds.min, bounds.max);
    let caption = context.style.of_side("view.picture", side);
    Ok(picture.canvas.finish(ViewKind::Pictorial, &caption, &[""], bounds.centre().x, outline))
}

struct Picture<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
    side: SideName,
    geometry: SideView,
    /// Openings looked through so far: radius and depth on paper.
    openings: Vec<(f64, f64)>,
}

/// Unit vectors of the picture: along x and y of the side as seen, and into the wheel.
const ALONG_X: (f64, f64) = (0.866_025_403_784_438_6, -0.5);
const ALONG_Y: (f64, f64) = (0.0, 1.0);
const INWARDS: (f64, f64) = (0.866_025_403_784_438_6, 0.5);

/// A point of the side's plane as seen, and its depth, in the picture.
fn project(p: Point, depth: f64) -> Point {
    let axis = |(x, y): (f64, f64), by: f64| Point::new(x * by, y * by);
    axis(ALONG_X, p.x) + axis(ALONG_Y, p.y) + axis(INWARDS, depth)
}

/// The point of the plane at a depth that is seen at the same place of the picture.
fn back(q: Point, depth: f64) -> Point {
    let rest = q - Point::new(INWARDS.0 * depth, INWARDS.1 * depth);
    let x = rest.x / ALONG_X.0;
    Point::new(x, rest.y - ALONG_X.1 * x)
}

impl Picture<'_> {
    fn wheel(&self) -> &Wheel {
        &self.context.job.wheel
    }

    /// Whether something at (p, depth) is seen through all openings in front of it.
    fn is_seen(&self, p: Point, depth: f64) -> bool {
        let q = project(p, depth);
        self.openings.iter().all(|&(radius, d)| d >= depth || back(q, d).length() < radius)
    }

    /// A circle of the side at a depth, as chords where it is seen.
    fn ring(&mut self, radius: f64, depth: f64, seen: impl Fn(&Self, Point) -> bool) {
        let at = |i: u32| Point::polar(radius, TAU * f64::from(i) / f64::from(CHORDS));
        for i in 0..CHORDS {
            let middle = Point::polar(radius, TAU * (f64::from(i) + 0.5) / f64::from(CHORDS));
            if seen(self, middle) {
                self.canvas.line(project(at(i), depth), project(at(i + 1), depth), LineRole::Visible);
            }
        }
    }

    /// Edges of the side, from the outside in, then the far end of the bore.
    fn rings(&mut self) {
        let s = self.canvas.factor;
        let profile = self.context.section.profile(self.side);
        let outside = self.wheel().outside_radius();
        let mut drawn: Vec<(f64, f64)> = Vec::new();
        for circle in self.geometry.circles.clone().iter().filter(|c| c.sharp) {
            let r = circle.radius;
            let (near, far) = if r >= outside { (0.0, 0.0) } else { (profile.depth_at(r), profile.depth_inside(r)) };
            let walls = if (near - far).abs() < ROUNDED { vec![near] } else { vec![near, far] };
            for depth in walls {
                let (radius, depth) = (r * s, depth * s);
                let close = |&(a, b): &(f64, f64)| (a - radius).abs() + (b - depth).abs() < CLEAR;
                if drawn.iter().any(close) {
                    continue;
                }
                drawn.push((radius, depth));
                self.ring(radius, depth, |me, p| me.is_seen(p, depth));
            }
            if far > near {
                self.openings.push((r * s, near * s));
            }
        }
        let bore = self.wheel().bore_radius() * s;
        self.openings.push((bore, profile.start().y * s));
        let far = self.wheel().thickness * s;
        self.ring(bore, far, |me, p| me.is_seen(p, far));
        self.openings.clear();
    }

    /// The far rim where it is seen past the near one, and the two outlines of the periphery.
    fn rim(&mut self) {
        let s = self.canvas.factor;
        let (r, t) = (self.wheel().outside_radius() * s, self.wheel().thickness * s);
        self.ring(r, t, |_, p| back(project(p, t), 0.0).length() > r);
        // tangents in the direction of depth: p′ = (−sin, cos) of the ellipse is parallel to it
        let cross = |a: (f64, f64), b: (f64, f64)| a.0 * b.1 - a.1 * b.0;
        let angle = cross(ALONG_Y, INWARDS).atan2(cross(ALONG_X, INWARDS));
        for turn in [angle, angle + PI] {
            let p = Point::polar(r, turn);
            self.canvas.line(project(p, 0.0), project(p, t), LineRole::Visible);
        }
    }

    /// The grooves as single lines over the side and down the rim.
    fn grooves(&mut self) {
        let Some(grooves) = self.geometry.grooves.clone() else { return };
        let s = self.canvas.factor;
        let depth = self.wheel().side(self.side).grooves.as_ref().map_or(0.0, |g| g.depth) * s;
        let r = self.wheel().outside_radius() * s;
        let count = grooves.directions.len().max(1);
        let pitch = TAU * grooves.inner_radius * s * 0.6 / count as f64;
        let step = (GROOVE_PITCH / pitch).ceil().max(1.0) as usize;
        let v = grooves.groove.offset;
        let innermost = grooves.edges.iter().flat_map(|e| [e.start(), e.end()]).map(|p| p.x).fold(f64::MAX, f64::min);
        let outer = ((grooves.outer_radius - v) * (grooves.outer_radius + v)).max(0.0).sqrt();
        for direction in grooves.directions.iter().step_by(step) {
            let place = |u: f64| self.geometry.seen_point(Point::new(u, v).rotated(*direction)) * s;
            let (from, to) = (place(innermost.min(outer)), place(outer));
            self.canvas.line(project(from, 0.0), project(to, 0.0), LineRole::Fine);
            let foot = project(to, depth);
            if !grooves.ended && back(foot, 0.0).length() > r {
                self.canvas.line(project(to, 0.0), foot, LineRole::Fine);
            }
        }
    }

    /// The face's grooves as single lines across the periphery where it is seen, each with its depth on the near side.
    fn face_grooves(&mut self) {
        let (Some(notches), Some(face)) = (self.geometry.notches.clone(), self.wheel().face.clone()) else { return };
        let s = self.canvas.factor;
        let (r, t) = (self.wheel().outside_radius() * s, self.wheel().thickness * s);
        let pitch = TAU * r * 0.6 / f64::from(face.pattern.places);
        let step = (GROOVE_PITCH / pitch).ceil().max(1.0) as usize;
        // from the near side to the far one the place turns as the helix says, the other way where the far side is side A
        let along = face.twist(self.wheel().thickness, self.wheel().outside_radius());
        let along = if self.side == SideName::A { along } else { -along };
        for direction in notches.directions.iter().step_by(step) {
            let place = |turn: f64, radius: f64| self.geometry.seen_point(Point::polar(radius, direction + turn));
            let (near, far) = (place(0.0, r), place(along, r));
            let seen = |p: Point| back(project(p, t), 0.0).length() > r;
            if seen(near) && seen(far) {
                self.canvas.line(project(near, 0.0), project(far, t), LineRole::Fine);
            }
            self.canvas.line(project(near, 0.0), project(place(0.0, r - face.depth * s), 0.0), LineRole::Fine);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_point_is_seen_in_the_plane_it_came_from() {
        for (p, depth) in [(Point::new(3.0, -4.0), 0.0), (Point::new(-1.5, 2.0), 7.0)] {
            let again = back(project(p, depth), depth);
            assert!((again - p).length() < 1e-12, "{again:?}");
        }
    }
}
