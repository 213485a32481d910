//! What one groove removes by itself, and what a whole pattern of grooves that keep clear of each other removes.

use super::side::{Floor, Interval, SideGroove};
use super::{FaceGroove, Removed};
use crate::geometry::refined::{Summed, integrate};
use crate::geometry::quadrature::{gauss, smooth_ends};
use crate::geometry::{Point, roots};
use crate::section::{Profile, Section, Span};
use crate::tolerance::{NO_PIECE, SAME_LENGTH};
use crate::wheel::{Pattern, SideName, Wheel};
use std::f64::consts::PI;
use std::sync::OnceLock;

/// Nodes over the angle where no closed form exists.
const ANGULAR_NODES: usize = 16;
/// The same where the substitution leaves no square root: a quarter of a wave of a cosine and half a wave, to 1e-14.
const SMOOTH_NODES: usize = 8;
const HALF_WAVE_NODES: usize = 16;
/// Share of the circle's radius up to which a wall may lie aside of the axis for that substitution: beyond it the circle runs along the wall.
const ASIDE: f64 = 0.7;
/// Steps of the scan for places where the floor meets the section's surface, per span.
const CROSSING_STEPS: usize = 6;

/// What a side's groove alone removes, in its own frame.
pub(super) fn side_groove(groove: &SideGroove, section: &Section, wheel: &Wheel) -> Local {
    let profile = section.profile(groove.side);
    let (near, far) = groove.reach();
    let near = near.max(wheel.bore_radius());
    let (mut intervals, mut spans) = (Vec::new(), Vec::new());
    for span in profile.spans() {
        let (a, b) = (span.inner.max(near), span.outer.min(far));
        if b > a {
            intervals.extend(pieces(a, b, side_breaks(groove, span, a, b)));
            spans.resize(intervals.len(), span);
        }
    }
    integrate(&intervals, &Local::default(), |i, r| slice(groove, r, spans[i].depth(r)))
}

/// What a face groove alone removes, laid at place 1.
pub(super) fn face_groove(groove: &FaceGroove, section: &Section, wheel: &Wheel) -> Removed {
    let (a, outside) = (groove.floor_u.max(wheel.bore_radius()), wheel.outside_radius());
    let breaks = groove.plan_breaks().into_iter().chain(section_breaks(section));
    let sum = integrate(&pieces(a, outside, breaks.collect()), &Removed::default(), |_, r| {
        face_slice(groove, section, wheel.thickness, r)
    });
    let direction = wheel.face.as_ref().map_or(0.0, |g| g.pattern.angle_deg(1)).to_radians();
    Removed { first: sum.first.rotated(direction), ..sum }
}

/// A whole pattern of grooves that keep clear of each other, from the one at place 1.
pub(super) fn patterned(one: Removed, pattern: &Pattern) -> Removed {
    one.repeated(f64::from(pattern.count()), pattern_first(one.first, pattern))
}

/// First moments of a pattern from those of place 1. A full circle of two or more sums to nothing, so the omitted places count with the opposite sign.
fn pattern_first(one: Point, pattern: &Pattern) -> Point {
    let at = |k: u32| one.rotated((f64::from(k - 1) * 360.0 / f64::from(pattern.places)).to_radians());
    if pattern.places == 1 {
        return one;
    }
    pattern.omit.iter().map(|&k| at(k)).fold(Point::ORIGIN, |sum, p| sum - p)
}

/// Radii at which the section changes form, on either side.
pub(super) fn section_breaks(section: &Section) -> impl Iterator<Item = f64> + '_ {
    let ends = |p: &'_ Profile| p.spans().iter().map(|s| s.inner).collect::<Vec<_>>();
    SideName::BOTH.into_iter().flat_map(move |side| ends(section.profile(side)))
}

/// Radii within a span at which the groove's slice changes form: its plan's corners, and where its floor meets the surface.
pub(super) fn side_breaks(groove: &SideGroove, span: &Span, a: f64, b: f64) -> Vec<f64> {
    let mut breaks = groove.plan_breaks();
    let (low, high) = groove.walls();
    let clear = |u: f64, v: f64| groove.depth(u, v) - span.depth(u.hypot(v));
    // along the walls and the centre line, and along u itself where the axis lies between the walls
    let mut lines = vec![low, high, groove.offset];
    if low < 0.0 && high > 0.0 {
        lines.push(0.0);
    }
    for v in lines {
        let u_at = |r: f64| ((r - v) * (r + v)).max(0.0).sqrt();
        breaks.extend(roots::scan(a, b, CROSSING_STEPS, |r| clear(u_at(r), v)));
    }
    // along the planes across the centre line
    for u in [Some(groove.inner_u), groove.round_centre_u(), groove.outer_u, groove.floor.rise.map(|r| r.tangent_u)] {
        let Some(u) = u else { continue };
        let crossings = roots::scan(low, high, 4, |v| clear(u, v));
        breaks.extend(crossings.into_iter().map(|v| u.hypot(v)));
    }
    breaks
}

/// The intervals between rising breaks of [a, b]; breaks nearer than [`SAME_LENGTH`]·10⁻³ to each other count as one.
pub(super) fn pieces(a: f64, b: f64, mut breaks: Vec<f64>) -> Vec<Interval> {
    breaks.retain(|r| *r > a && *r < b);
    breaks.push(b);
    breaks.sort_by(f64::total_cmp);
    let mut out = Vec::with_capacity(breaks.len());
    let mut from = a;
    for to in breaks {
        if to - from > NO_PIECE {
            out.push((from, to));
            from = to;
        }
    }
    if let Some(last) = out.last_mut() {
        last.1 = b;
    }
    out
}

impl Summed for Removed {
    fn add(self, w: f64, o: &Removed) -> Removed {
        self.plus(o.scaled(w))
    }
    fn sizes(&self) -> [f64; 2] {
        [self.volume, self.zz]
    }
}

/// Integrals over the slice of one groove on a circle about the axis, or over the whole groove: depths below the side's datum plane,
/// first moments in the frame of the centre line.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Local {
    volume: f64,
    first: Point,
    depth: f64,
    depth_squared: f64,
    polar: f64,
}

impl Local {
    fn plus(self, other: &Local) -> Local {
        self.add(1.0, other)
    }

    /// The same for the groove at place 1 of its side.
    pub(super) fn placed(self, groove: &SideGroove, wheel: &Wheel) -> Removed {
        let pattern = wheel.side(groove.side).grooves.as_ref().map_or(0.0, |g| g.pattern.angle_deg(1));
        self.on_side(groove.side, wheel.thickness, pattern.to_radians() + groove.turn)
    }

    /// The same as integrals about side A's datum plane and the wheel's x and y.
    fn on_side(self, side: SideName, thickness: f64, direction: f64) -> Removed {
        let (t, v) = (thickness, self.volume);
        let (z, zz) = match side {
            SideName::A => (self.depth, self.depth_squared),
            SideName::B => (t * v - self.depth, t * t * v - 2.0 * t * self.depth + self.depth_squared),
        };
        Removed { volume: v, first: self.first.rotated(direction), z, zz, polar: self.polar }
    }
}

impl Summed for Local {
    fn add(self, w: f64, o: &Local) -> Local {
        Local {
            volume: self.volume + w * o.volume,
            first: self.first + o.first * w,
            depth: self.depth + w * o.depth,
            depth_squared: self.depth_squared + w * o.depth_squared,
            polar: self.polar + w * o.polar,
        }
    }
    fn sizes(&self) -> [f64; 2] {
        [self.volume, self.depth_squared]
    }
}

/// What the groove removes on the circle r, per mm of r: `surface` is the depth of the section there.
fn slice(groove: &SideGroove, r: f64, surface: f64) -> Local {
    let mut sum = Local::default();
    for interval in groove.angles(r).into_iter().flatten() {
        if is_smooth(groove, r, interval) && groove.lies_below(r, surface) {
            sum = sum.plus(&round_slice(groove, r, surface, interval));
            continue;
        }
        for (a, b) in cut_angles(groove, r, surface, interval) {
            let part = if groove.is_flat_across() && is_straight(&groove.floor, r, a, b) {
                flat_slice(&groove.floor, r, surface, a, b)
            } else {
                curved_slice(groove, r, surface, a, b)
            };
            sum = sum.plus(&part);
        }
    }
    sum
}

/// Whether the floor over this angle is the straight one throughout.
fn is_straight(floor: &Floor, r: f64, a: f64, b: f64) -> bool {
    let furthest = if a < 0.0 && b > 0.0 { a.abs().max(b) } else { a.abs().max(b.abs()) };
    floor.rise.is_none_or(|rise| r * furthest.cos() >= rise.tangent_u - SAME_LENGTH)
}

/// The parts of an interval of angle over which the groove's bottom lies below the surface, split where its form changes.
pub(super) fn cut_angles(groove: &SideGroove, r: f64, surface: f64, interval: Interval) -> Vec<Interval> {
    let mut splits = vec![interval.0];
    let mut inside: Vec<f64> = groove.form_changes(r).into_iter().flatten().collect();
    inside.retain(|a| *a > interval.0 && *a < interval.1);
    inside.sort_by(f64::total_cmp);
    inside.dedup();
    splits.extend(inside);
    splits.push(interval.1);
    let clear = |a: f64| groove.depth_at(r, a) - surface;
    let mut out = Vec::with_capacity(4);
    for pair in splits.windows(2) {
        below(pair[0], pair[1], &clear, &mut out);
    }
    out
}

/// The part of [a, b] where `clear` is above 0: it is monotone there, or has a single maximum inside.
fn below(a: f64, b: f64, clear: &impl Fn(f64) -> f64, out: &mut Vec<Interval>) {
    let (at_a, at_b) = (clear(a), clear(b));
    match (at_a > 0.0, at_b > 0.0) {
        (true, true) => out.push((a, b)),
        (true, false) => out.extend(roots::between(a, b, clear).filter(|&x| x > a).map(|x| (a, x))),
        (false, true) => out.extend(roots::between(a, b, clear).filter(|&x| x < b).map(|x| (x, b))),
        (false, false) => {
            // a maximum inside shows at one of a few places between
            let top = (1..8).map(|i| a + (b - a) * f64::from(i) / 8.0).max_by(|p, q| clear(*p).total_cmp(&clear(*q)));
            if let Some(top) = top.filter(|&t| clear(t) > 0.0) {
                let from = roots::between(a, top, clear).unwrap_or(a);
                let to = roots::between(top, b, clear).unwrap_or(b);
                out.push((from, to));
            }
        }
    }
}

/// A floor that is straight along and flat across: the depth on the circle is d = p + q·cos a, and every integral is a closed form.
fn flat_slice(floor: &Floor, r: f64, surface: f64, a: f64, b: f64) -> Local {
    let (p, q) = (floor.at_axis, floor.slope * r);
    let (half, mid) = ((b - a) / 2.0, (a + b) / 2.0);
    // ∫ cosⁿ a and ∫ sin a, differences written as products so that narrow intervals keep their digits
    let angle = b - a;
    let cos1 = 2.0 * mid.cos() * half.sin();
    let sin1 = 2.0 * mid.sin() * half.sin();
    let cos2 = half + (2.0 * mid).cos() * (2.0 * half).sin() / 2.0;
    let sin_cos = (2.0 * mid).sin() * (2.0 * half).sin() / 2.0;
    let cos3 = cos1 - (b.sin().powi(3) - a.sin().powi(3)) / 3.0;
    let rise = p - surface;
    let volume = rise * angle + q * cos1;
    let (p2, q2, s2) = (p * p, q * q, surface * surface);
    let squares = (p2 - s2) * angle + 2.0 * p * q * cos1 + q2 * cos2;
    let cubes = (p2 * p - s2 * surface) * angle + 3.0 * p2 * q * cos1 + 3.0 * p * q2 * cos2 + q2 * q * cos3;
    Local {
        volume: r * volume,
        first: Point::new(rise * cos1 + q * cos2, rise * sin1 + q * sin_cos) * (r * r),
        depth: r * squares / 2.0,
        depth_squared: r * cubes / 3.0,
        polar: r * r * r * volume,
    }
}

/// Any other floor, by Gauss's rule over the angle.
fn curved_slice(groove: &SideGroove, r: f64, surface: f64, a: f64, b: f64) -> Local {
    if is_smooth(groove, r, (a, b)) {
        return round_slice(groove, r, surface, (a, b));
    }
    let mut sum = Local::default();
    for &(t, weight) in gauss(ANGULAR_NODES).nodes() {
        let (angle, scale) = smooth_ends(a, b, t);
        let (sin, cos) = angle.sin_cos();
        let depth = groove.depth(r * cos, r * sin);
        sum = sum.add(weight * scale, &column(Point::new(r * cos, r * sin), r, surface, depth));
    }
    sum
}

/// What a column at a place (u, v) on the circle r removes, per mm of r and unit of angle.
fn column(place: Point, r: f64, surface: f64, depth: f64) -> Local {
    let area = r * (depth - surface);
    Local {
        volume: area,
        first: place * area,
        depth: area * (depth + surface) / 2.0,
        depth_squared: area * (depth * depth + depth * surface + surface * surface) / 3.0,
        polar: r * r * area,
    }
}

/// Whether the bottom over this angle is a smooth wave: round across, with a straight floor along.
fn is_smooth(groove: &SideGroove, r: f64, (a, b): Interval) -> bool {
    groove.is_round_across() && groove.walls_aside() < ASIDE * r && is_straight(&groove.floor, r, a, b)
}

/// A round bottom with a straight floor. At v = half width · sin φ from the centre line the bottom is a cosine of φ; from wall to wall that is half a
/// wave, whose places are the same on every circle.
fn round_slice(groove: &SideGroove, r: f64, surface: f64, interval: Interval) -> Local {
    let w = groove.half_width;
    let mut sum = Local::default();
    let mut add = |sin: f64, cos: f64, weight: f64| {
        let v = groove.offset + w * sin;
        let u = ((r - v) * (r + v)).sqrt();
        let depth = groove.floor.at_axis + groove.floor.slope * u - (w - w * cos);
        // dv = w cos φ dφ, and the angle grows by dv/u
        sum = sum.add(weight * w * cos / u, &column(Point::new(u, v), r, surface, depth));
    };
    if interval == groove.wall_angles(r) {
        let places = half_wave();
        if groove.offset != 0.0 {
            places.iter().for_each(|&[sin, cos, weight]| add(sin, cos, weight));
            return sum;
        }
        // of a radial groove one half is the other's mirror image
        places[..places.len() / 2].iter().for_each(|&[sin, cos, weight]| add(sin, cos, 2.0 * weight));
        return Local { first: Point::new(sum.first.x, 0.0), ..sum };
    }
    let phase = |angle: f64| ((r * angle.sin() - groove.offset) / w).clamp(-1.0, 1.0).asin();
    let (from, to) = (phase(interval.0), phase(interval.1));
    for &(t, weight) in gauss(SMOOTH_NODES).nodes() {
        let (sin, cos) = (from + (to - from) * t).sin_cos();
        add(sin, cos, weight * (to - from));
    }
    sum
}

/// Sine, cosine and weight of the places of Gauss's rule over half a wave.
fn half_wave() -> &'static [[f64; 3]] {
    static PLACES: OnceLock<Vec<[f64; 3]>> = OnceLock::new();
    PLACES.get_or_init(|| {
        let place = |&(t, weight): &(f64, f64)| {
            let (sin, cos) = (PI * (t - 0.5)).sin_cos();
            [sin, cos, weight * PI]
        };
        gauss(HALF_WAVE_NODES).nodes().iter().map(place).collect()
    })
}

/// What a face groove removes on the circle r, per mm of r, in the frame of its place.
fn face_slice(groove: &FaceGroove, section: &Section, thickness: f64, r: f64) -> Removed {
    let Some(half) = groove.half_angle(r) else { return Removed::default() };
    let low = section.profile(SideName::A).depth_at(r);
    let high = thickness - section.profile(SideName::B).depth_at(r);
    let (angle, column) = (2.0 * half, high - low);
    // a helical groove's slice turns with z: ∫ e^{i·twist·z} dz = column · sinc · e^{i·twist·middle}
    let turn = groove.twist * column / 2.0;
    let sinc = if turn == 0.0 { 1.0 } else { turn.sin() / turn };
    let chord = 2.0 * half.sin() * r * r * column * sinc;
    Removed {
        volume: r * angle * column,
        first: Point::polar(chord, groove.twist * (high + low) / 2.0),
        z: r * angle * column * (high + low) / 2.0,
        zz: r * angle * (high.powi(3) - low.powi(3)) / 3.0,
        polar: r * r * r * angle * column,
    }
}
