//! The face view: the periphery as seen along the radius of a groove, the axis horizontal, side A to the left; x is z on paper, y runs around the
//! wheel. The grooves near the middle are drawn in full; the note counts them all.

use super::canvas::Canvas;
use super::{Context, Scale, View, ViewError, ViewKind};
use crate::drawing::LineRole;
use crate::geometry::{Bounds, Point};
use crate::groove::FaceGroove;
use crate::sheet::dimension::{Called, Column, Label};
use crate::wheel::{Pattern, SideName, Wheel};

/// Most grooves drawn in full.
const FEW: i32 = 7;
/// Least clear distance of two walls on paper, mm.
const LEAST_CLEAR: f64 = 1.2;
/// Centre lines run this far beyond the part, mm.
const AXIS_OVERSHOOT: f64 = 3.0;

/// The face view at one scale.
pub(super) fn build(scale: Scale, context: &Context) -> Result<View, ViewError> {
    let canvas = Canvas::new(context, scale, "view-face", "The periphery seen from outside, side A to the left");
    let wheel = &context.job.wheel;
    let found = wheel.face.as_ref().zip(FaceGroove::of(wheel));
    let Some((ordered, groove)) = found else { return Err(canvas.geometry("the face has no grooves")) };
    let mut face = FaceView { canvas, context, wheel, pattern: &ordered.pattern, groove };
    face.outline();
    face.grooves();
    let bounds = face.bounds();
    face.values(bounds)?;
    let caption = format!("Face ({scale})");
    let direction = context.style.angle(ordered.pattern.angle_deg(face.middle_place()).rem_euclid(360.0));
    let below = format!("seen from {direction}, side A to the left");
    Ok(face.canvas.finish(ViewKind::Face, &caption, &[&below], bounds.centre().x, bounds))
}

struct FaceView<'a> {
    canvas: Canvas<'a>,
    context: &'a Context<'a>,
    wheel: &'a Wheel,
    pattern: &'a Pattern,
    groove: FaceGroove,
}

impl FaceView<'_> {
    fn paper(&self, z: f64, y: f64) -> Point {
        Point::new(z, y) * self.canvas.factor
    }

    fn bounds(&self) -> Bounds {
        let r = self.wheel.outside_radius();
        Bounds::of(self.paper(0.0, -r), self.paper(self.wheel.thickness, r))
    }

    /// The wheel's silhouette: every corner of either profile that is seen from the side.
    fn outline(&mut self) {
        let t = self.wheel.thickness;
        for side in SideName::BOTH {
            let z = |depth: f64| if side == SideName::A { depth } else { t - depth };
            let profile = self.context.section.profile(side);
            let mut reached = profile.end().y;
            let mut last = Point::new(self.wheel.outside_radius(), reached);
            self.upright(z(last.y), last.x);
            for (edge, _) in profile.edges().iter().rev() {
                // what lies deeper than an outer place is hidden behind it
                let p = edge.start();
                if p.y < reached {
                    for sign in [-1.0, 1.0] {
                        let (from, to) = (self.paper(z(last.y), sign * last.x), self.paper(z(p.y), sign * p.x));
                        self.canvas.line(from, to, LineRole::Visible);
                    }
                    self.upright(z(p.y), p.x);
                    (reached, last) = (p.y, p);
                }
            }
        }
        let r = self.wheel.outside_radius();
        let ends = SideName::BOTH.map(|s| {
            let depth = self.context.section.profile(s).end().y;
            if s == SideName::A { depth } else { t - depth }
        });
        for y in [-r, r] {
            let (from, to) = (self.paper(ends[0], y), self.paper(ends[1], y));
            self.canvas.line(from, to, LineRole::Visible);
        }
        let (from, to) = (self.paper(0.0, 0.0), self.paper(t, 0.0));
        let beyond = Point::new(AXIS_OVERSHOOT, 0.0);
        self.canvas.line(from - beyond, to + beyond, LineRole::Axis);
    }

    /// The edge of a plane across the axis, from rim to rim.
    fn upright(&mut self, z: f64, r: f64) {
        let (from, to) = (self.paper(z, -r), self.paper(z, r));
        self.canvas.line(from, to, LineRole::Visible);
    }

    /// The place cut that the view looks at.
    fn middle_place(&self) -> u32 {
        self.pattern.cut().next().unwrap_or(1)
    }

    /// How many grooves to either side of the middle one can be told apart on paper.
    fn to_either_side(&self) -> i32 {
        let pitch = self.pattern.pitch_deg().to_radians() * self.wheel.outside_radius() * self.canvas.factor;
        let clear = pitch - 2.0 * self.groove.half_width * self.canvas.factor;
        if clear < LEAST_CLEAR { 0 } else { (FEW - 1) / 2 }
    }

    /// Walls of the grooves near the middle, straight lines on paper: they turn by less than the eye sees.
    fn grooves(&mut self) {
        let middle = i64::from(self.middle_place());
        let places = i64::from(self.pattern.places);
        let many = i64::from(self.to_either_side()).min((places - 1) / 2);
        let [z_a, z_b] = SideName::BOTH.map(|s| self.context.section.profile(s).end().y);
        let ends = [z_a, self.wheel.thickness - z_b];
        for step in -many..=many {
            let place = (middle - 1 + step).rem_euclid(places) as u32 + 1;
            if self.pattern.omit.binary_search(&place).is_ok() {
                continue;
            }
            let angle = step as f64 * self.pattern.pitch_deg().to_radians();
            for wall in [-self.groove.half_width, self.groove.half_width] {
                let r = self.groove.outside_radius;
                let at = |z: f64| self.paper(z, r * (angle + (wall / r).asin() + self.groove.twist * z).sin());
                let (from, to) = (at(ends[0]), at(ends[1]));
                self.canvas.line(from, to, LineRole::Visible);
            }
        }
    }

    /// Count, pitch and helix, called out to the right.
    fn values(&mut self, bounds: Bounds) -> Result<(), ViewError> {
        let style = self.context.style;
        let r = self.groove.outside_radius;
        let z = 0.75 * self.wheel.thickness;
        let wall = self.paper(z, r * ((self.groove.half_width / r).asin() + self.groove.twist * z).sin());
        let mut called: Vec<Called> = Vec::new();
        if let Some(count) = self.canvas.requirement("face.grooves.count") {
            let label = Label::of(count, style).followed_by("grooves", style);
            let mut one = self.canvas.called(count, wall, count.nominal, label);
            if let Some(pitch) = self.canvas.requirement("face.grooves.pitch_deg") {
                let label = Label::of(pitch, style);
                let group = self.canvas.note(pitch, pitch.nominal, &label);
                one.second = Some((group, pitch.id.clone(), pitch.field.clone(), label));
            }
            called.push(one);
        }
        if let Some(helix) = self.canvas.requirement("face.grooves.helix_deg") {
            let label = Label::of(helix, style).followed_by("helix", style);
            let below = self.paper(z, r * (self.groove.twist * z - (self.groove.half_width / r).asin()).sin());
            let measured = (self.groove.twist * r).atan().to_degrees();
            called.push(self.canvas.called(helix, below, measured, label));
        }
        let column = Column { towards: 1.0, edge: bounds.max.x, low: bounds.min.y, high: bounds.max.y, called };
        let Some(groups) = column.fill() else {
            return Err(self.canvas.crowded("the grooves' values do not fit beside it"));
        };
        self.canvas.put_groups(groups);
        Ok(())
    }
}
