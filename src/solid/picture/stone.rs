//! Where there is stone: the turned wheel less everything its grooves take, asked place by place.

use crate::geometry::Point;
use crate::groove::{FaceGroove, SideGroove, plan::direction};
use crate::section::Section;
use crate::solid::Vector;
use crate::solid::contact::begins;
use crate::solid::plan::Frame;
use crate::wheel::{Pattern, SideName, Wheel};
use std::f64::consts::TAU;

/// The stone of a wheel.
pub struct Stone<'a> {
    wheel: &'a Wheel,
    section: &'a Section,
    sides: [Option<(SideGroove, &'a Pattern, f64)>; 2],
    face: Option<(FaceGroove, &'a Pattern)>,
    /// Lengths below this do not count, mm.
    slack: f64,
}

impl<'a> Stone<'a> {
    /// Of a wheel; lengths below `slack`, mm, and grooves narrower than `pen`, mm, do not count.
    pub fn of(wheel: &'a Wheel, section: &'a Section, (slack, pen): (f64, f64)) -> Stone<'a> {
        let sides = SideName::BOTH.map(|side| {
            let set = wheel.side(side).grooves.as_ref().filter(|g| g.width > pen)?;
            Some((SideGroove::of(wheel, side)?, &set.pattern, direction(set, 1)))
        });
        let face = FaceGroove::of(wheel).filter(|g| 2.0 * g.half_width > pen).zip(wheel.face.as_ref().map(|f| &f.pattern));
        Stone { wheel, section, sides, face, slack }
    }

    /// Whether there is stone at a place.
    pub fn is_at(&self, p: Vector) -> bool {
        let r = p.x.hypot(p.y);
        let (bore, rim) = (self.wheel.bore_radius(), self.wheel.outside_radius());
        if r < bore + self.slack || r > rim - self.slack {
            return false;
        }
        let depths = self.depths(p.z);
        let is_deep = |(side, depth): (SideName, f64)| depth > self.section.profile(side).depth_at(r) + self.slack;
        SideName::BOTH.into_iter().zip(depths).all(is_deep) && !self.is_taken(p, -self.slack)
    }

    /// Depth below either side's datum plane.
    fn depths(&self, z: f64) -> [f64; 2] {
        [z, self.wheel.thickness - z]
    }

    /// Whether a groove takes a place that lies deeper than this within it, mm.
    pub fn is_taken(&self, p: Vector, within: f64) -> bool {
        let plan = Point::new(p.x, p.y);
        let by_side = |(set, depth): (&Option<(SideGroove, &Pattern, f64)>, f64)| {
            set.as_ref().is_some_and(|(groove, pattern, first)| side_takes((groove, pattern, *first), plan, depth, within))
        };
        let by_face = || self.face.as_ref().is_some_and(|(groove, pattern)| face_takes((groove, pattern), p, within));
        self.sides.iter().zip(self.depths(p.z)).any(by_side) || by_face()
    }
}

/// Angle of a place in the order's sense, radians.
fn angle(p: Point) -> f64 {
    (-p.y).atan2(p.x)
}

/// Places of a pattern, from 0, whose grooves may lie over an angle from place 1's, both in radians; those not cut left out.
fn near(pattern: &Pattern, angle: f64, half: f64) -> impl Iterator<Item = u32> {
    let pitch = TAU / f64::from(pattern.places);
    let [from, to] = [((angle - half) / pitch).ceil() as i64, ((angle + half) / pitch).floor() as i64];
    // no more than all of them
    let to = to.min(from + i64::from(pattern.places) - 1);
    (from..=to).map(|k| k.rem_euclid(i64::from(pattern.places)) as u32).filter(|k| pattern.omit.binary_search(&(k + 1)).is_err())
}

fn side_takes((groove, pattern, first): (&SideGroove, &Pattern, f64), p: Point, depth: f64, within: f64) -> bool {
    let r = p.length();
    let share = |v: f64| (v / r).clamp(-1.0, 1.0).asin();
    let [low, high] = [-1.0, 1.0].map(|sign| share(groove.offset + sign * (groove.half_width - within)));
    let pitch = TAU / f64::from(pattern.places);
    near(pattern, angle(p) - first - (low + high) / 2.0, (high - low) / 2.0).any(|k| {
        let (u, v) = Frame::new(first + f64::from(k) * pitch).local(p);
        let across = v - groove.offset;
        u > 0.0
            && across.abs() < groove.half_width - within
            && u > begins(groove, across) + within
            && groove.outer_u.is_none_or(|outer| u < outer - within)
            && depth < groove.depth(u, v) - within
    })
}

fn face_takes((groove, pattern): (&FaceGroove, &Pattern), p: Vector, within: f64) -> bool {
    let plan = Point::new(p.x, p.y);
    if plan.length() < groove.floor_u {
        return false;
    }
    let half = (groove.half_width / plan.length()).min(1.0).asin();
    let first = pattern.start_deg.to_radians() + groove.twist * p.z;
    let pitch = TAU / f64::from(pattern.places);
    near(pattern, angle(plan) - first, half).any(|k| {
        let (u, v) = Frame::new(first + f64::from(k) * pitch).local(plan);
        v.abs() < groove.half_width - within && groove.floor_at(v.abs().min(groove.half_width)).is_some_and(|floor| u > floor + within)
    })
}
