//! A pictorial of the grooved side in isometric axonometry (ISO 5456-3), so that no one mistakes one side for the other.
//!
//! The side shown faces the lower left. Its plane's x runs to the lower right, y upwards, depth into the wheel to the upper right, each drawn at its true
//! length. Edges are drawn where nothing of the wheel stands before them; of many grooves only a few are drawn, and the caption says so.

use super::canvas::Canvas;
use super::{Context, Scale, View, ViewError, ViewKind};
use crate::drawing::LineRole;
use crate::geometry::Point;
use crate::section::Profile;
use crate::side_view::SideView;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{SideName, Wheel};
use std::f64::consts::{FRAC_PI_4, PI, TAU};

/// Chords that stand for a full circle.
const CHORDS: usize = 96;
/// Places along a sight line looked at for material before a point.
const SIGHT_STEPS: usize = 24;
/// Least distance on paper of two groove lines at their inner ends, mm; nearer grooves are shown by a few.
const LEAST_CLEAR: f64 = 1.2;
/// How many grooves are drawn where not all can be.
const FEW: usize = 9;

/// The pictorial at one scale.
pub(super) fn build(scale: Scale, context: &Context) -> Result<View, ViewError> {
    let wheel = &context.job.wheel;
    let side = shown_side(wheel);
    let title = format!("Pictorial view of side {}", side.letter());
    let mut canvas = Canvas::new(context, scale, "view-pictorial", title);
    let picture = Picture {
        wheel,
        profile: context.section.profile(side),
        view: SideView::of(wheel, context.section, side),
        factor: canvas.factor,
    };
    for (line, role) in picture.lines() {
        for pair in line.windows(2) {
            canvas.line(pair[0], pair[1], role);
        }
    }
    let outline = canvas.bounds();
    let note =
        if picture.shows_all_grooves() { "pictorial, not for measuring" } else { "pictorial, some grooves only" };
    let caption = format!("Side {}", side.letter());
    Ok(canvas.finish(ViewKind::Pictorial, &caption, &[note], outline.centre().x, outline))
}

/// The side worth a picture: a grooved one, else one that is cut, A before B.
fn shown_side(wheel: &Wheel) -> SideName {
    let grooved = SideName::BOTH.into_iter().find(|&s| wheel.side(s).grooves.is_some());
    let cut = SideName::BOTH.into_iter().find(|&s| !wheel.side(s).is_plain());
    grooved.or(cut).unwrap_or(SideName::A)
}

struct Picture<'a> {
    wheel: &'a Wheel,
    profile: &'a Profile,
    view: SideView,
    factor: f64,
}

impl Picture<'_> {
    /// A point of the side as seen, x and y in its plane and depth into the wheel, on paper.
    fn paper(&self, p: Point, depth: f64) -> Point {
        let (sin, cos) = (PI / 6.0).sin_cos();
        Point::new((p.x + depth) * cos, p.y + (depth - p.x) * sin) * self.factor
    }

    /// Whether nothing stands between a point and the viewer. The sight line through it leaves the wheel along −depth, +x, +y alike.
    fn is_seen(&self, p: Point, depth: f64) -> bool {
        (1..=SIGHT_STEPS).all(|i| {
            let nearer = depth * i as f64 / SIGHT_STEPS as f64;
            let r = (p + Point::new(nearer, nearer)).length();
            r >= self.wheel.outside_radius()
                || r <= self.wheel.bore_radius()
                || self.profile.depth_inside(r) >= depth - nearer - SAME_LENGTH
        })
    }

    /// The seen parts of a circle about the axis.
    fn circle(&self, r: f64, depth: f64) -> Vec<Vec<Point>> {
        let at = |i: usize| Point::polar(r, TAU * i as f64 / CHORDS as f64);
        let seen: Vec<bool> = (0..CHORDS).map(|i| self.is_seen(at(i), depth)).collect();
        let mut runs: Vec<Vec<Point>> = Vec::new();
        for i in 0..CHORDS {
            if seen[i] && seen[(i + 1) % CHORDS] {
                let (from, to) = (self.paper(at(i), depth), self.paper(at(i + 1), depth));
                match runs.last_mut().filter(|run| run.last() == Some(&from)) {
                    Some(run) => run.push(to),
                    None => runs.push(vec![from, to]),
                }
            }
        }
        runs
    }

    fn lines(&self) -> Vec<(Vec<Point>, LineRole)> {
        let mut out = Vec::new();
        for corner in
            self.profile.edges().windows(2).map(|w| w[1].0.start()).chain([self.profile.start(), self.profile.end()])
        {
            out.extend(self.circle(corner.x, corner.y).into_iter().map(|l| (l, LineRole::Visible)));
        }
        out.extend(self.rim().into_iter().map(|l| (l, LineRole::Visible)));
        out.extend(self.grooves().into_iter().map(|l| (l, LineRole::Fine)));
        out
    }

    /// The far edge of the periphery and the two outlines that join it to the near one.
    fn rim(&self) -> Vec<Vec<Point>> {
        let r = self.wheel.outside_radius();
        let (near, far) = (self.profile.end().y, self.wheel.thickness);
        // along the outlines the periphery's tangent runs in depth: at −45° and 135° of the side's plane
        let (first, last) = (-FRAC_PI_4, 3.0 * FRAC_PI_4);
        let steps = CHORDS / 2;
        let arc =
            (0..=steps).map(|i| self.paper(Point::polar(r, first + (last - first) * i as f64 / steps as f64), far));
        let outline =
            |angle: f64| vec![self.paper(Point::polar(r, angle), near), self.paper(Point::polar(r, angle), far)];
        vec![arc.collect(), outline(first), outline(last)]
    }

    fn shows_all_grooves(&self) -> bool {
        self.view.grooves.as_ref().is_none_or(|g| {
            g.directions.len() < 2 || TAU * g.inner_radius / g.directions.len() as f64 * self.factor >= LEAST_CLEAR
        })
    }

    /// Centre lines of the grooves, on the side's surface.
    fn grooves(&self) -> Vec<Vec<Point>> {
        let Some(g) = &self.view.grooves else { return Vec::new() };
        let drawn: Vec<f64> = match self.shows_all_grooves() {
            true => g.directions.clone(),
            false => g.directions.iter().copied().take(FEW).collect(),
        };
        let outer_u = g
            .groove
            .outer_u
            .unwrap_or(((g.outer_radius - g.groove.offset) * (g.outer_radius + g.groove.offset)).sqrt());
        let ends = [g.groove.inner_u, outer_u].map(|u| Point::new(u, g.groove.offset));
        let place = |p: Point, direction: f64| {
            let on_side = self.view.seen_point(p.rotated(direction));
            (on_side, self.profile.depth_inside(p.length()))
        };
        let lines = drawn.into_iter().map(|direction| ends.map(|p| place(p, direction)));
        let seen = lines.filter(|ends| ends.iter().all(|&(p, depth)| self.is_seen(p, depth)));
        seen.map(|ends| ends.iter().map(|&(p, depth)| self.paper(p, depth)).collect()).collect()
    }
}
