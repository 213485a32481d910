//! Lands between grooves: what is left of a side or of the face in plan.

use crate::geometry::quadrature::{gauss, smooth_ends};
use crate::geometry::roots;
use crate::groove::{FaceGroove, Grooves, SideGroove};
use crate::wheel::{Bottom, InnerEnd, Pattern, Side, SideGrooves, SideName, Wheel, land};
use std::f64::consts::{PI, TAU};

/// Steps in which the radii between two changes of the plan's form are looked through for where neighbouring grooves meet.
const MEETING_STEPS: usize = 8;

/// Lands of one set of grooves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lands {
    /// Arc length of a land at the outside diameter, mm.
    pub outer: f64,
    /// Arc length of a land at the inner end, mm; 0 where grooves have run into each other.
    pub inner: f64,
    /// Share left ungrooved in plan, 0 to 1.
    pub share: f64,
    /// Diameter inside which neighbours run into each other, mm; `None` for a single groove.
    pub merge_diameter: Option<f64>,
}

impl Lands {
    /// Nothing left.
    const NONE: Lands = Lands { outer: 0.0, inner: 0.0, share: 0.0, merge_diameter: None };

    /// Of a side's grooves, whose centre lines begin at `inner_radius`, mm.
    pub fn of_side(groove: &SideGroove, pattern: &Pattern, inner_radius: f64) -> Lands {
        let pitch = TAU / f64::from(pattern.places);
        let (low, high) = (groove.offset - groove.half_width, groove.offset + groove.half_width);
        let land = |r: f64| land(r, pattern, [low, high]);
        let outside = groove.outside_radius;
        let ring = PI * (outside * outside - inner_radius * inner_radius);
        Lands {
            outer: land(outside),
            inner: land(inner_radius),
            share: 1.0 - covered(groove, pattern, inner_radius) / ring,
            merge_diameter: (pattern.places > 1).then(|| merge_diameter(low, high, pitch)),
        }
    }

    /// Of `count` radial grooves with square inner ends in a ring; diameters and width in mm, `inner_diameter` below `outside_diameter`.
    pub fn of_radial(outside_diameter: f64, inner_diameter: f64, width: f64, count: u32) -> Lands {
        let pattern = Pattern { places: count.max(1), start_deg: 0.0, omit: Vec::new() };
        let set = SideGrooves {
            pattern,
            width,
            depth: 1.0,
            bottom: Bottom::Flat,
            inner_diameter,
            inner_end: InnerEnd::Square,
            outer_diameter: None,
            skew_deg: 0.0,
        };
        let wheel = Wheel {
            outside_diameter,
            thickness: 2.0,
            // lands do not ask for it
            bore: 0.0,
            bore_chamfer: 0.0,
            side_a: Side { grooves: Some(set.clone()), ..Side::default() },
            side_b: Side::default(),
            face: None,
        };
        let groove = SideGroove::of(&wheel, SideName::A);
        groove.map_or(Lands::NONE, |g| Lands::of_side(&g, &set.pattern, inner_diameter / 2.0))
    }

    /// Of the face's grooves.
    pub fn of_face(groove: &FaceGroove, pattern: &Pattern) -> Lands {
        let pitch = TAU / f64::from(pattern.places);
        let outside = groove.outside_radius;
        let (low, high) = (-groove.half_width, groove.half_width);
        let land = |r: f64| land(r, pattern, [low, high]);
        let each = 2.0 * (groove.half_width / outside).min(1.0).asin();
        Lands {
            outer: land(outside),
            inner: land(groove.floor_u),
            share: 1.0 - union_of_arcs(each, pattern) / TAU,
            merge_diameter: (pattern.places > 1).then(|| merge_diameter(low, high, pitch)),
        }
    }
}

/// Plan area of one radial groove from radius a (its inner end an arc about the axis) to radius b, mm²:
/// S(b) − S(a) with S(r) = r²·asin(w/2r) + (w/2)·√(r² − w²/4), the strip of the disc of radius r.
pub fn radial_plan_area(a: f64, b: f64, width: f64) -> f64 {
    let half = width / 2.0;
    let strip = |r: f64| r * r * (half / r).min(1.0).asin() + half * ((r - half) * (r + half)).max(0.0).sqrt();
    strip(b) - strip(a)
}

/// Diameter of the point where the wall v = high of one groove meets the wall v = low of the next, turned by the pitch, mm.
fn merge_diameter(low: f64, high: f64, pitch: f64) -> f64 {
    let sin = pitch.sin().abs();
    // two opposite grooves have parallel walls: they share the strip about the axis
    if sin < f64::EPSILON * 4.0 {
        return high - low;
    }
    2.0 * ((high * high - 2.0 * high * low * pitch.cos() + low * low).max(0.0).sqrt() / sin)
}

/// Angle covered on a circle by arcs of equal angle laid at the places cut, overlaps counted once, radians.
fn union_of_arcs(each: f64, pattern: &Pattern) -> f64 {
    let pitch = TAU / f64::from(pattern.places);
    let cut: Vec<u32> = if pattern.omit.is_empty() { Vec::new() } else { pattern.cut().collect() };
    if cut.is_empty() {
        return f64::from(pattern.places) * each.min(pitch);
    }
    let gaps = cut.iter().zip(cut.iter().cycle().skip(1)).map(|(&k, &next)| {
        let steps = (next + pattern.places - k - 1) % pattern.places + 1;
        f64::from(steps) * pitch
    });
    gaps.map(|gap| each.min(gap)).sum()
}

/// Plan area that all grooves of a side cover of the ring outside `inner_radius`, overlaps counted once, mm². A skewed groove's square
/// end reaches into the circle of its inner end with one corner: that is not of the ring.
fn covered(groove: &SideGroove, pattern: &Pattern, inner_radius: f64) -> f64 {
    let pitch = TAU / f64::from(pattern.places);
    let (near, far) = groove.reach();
    let near = near.max(inner_radius);
    let arcs = |r: f64| groove.angles(r).into_iter().flatten().map(|(a, b)| b - a);
    let mut breaks = groove.plan_breaks();
    breaks.retain(|r| *r > near && *r < far);
    breaks.extend([near, far]);
    breaks.sort_by(f64::total_cmp);
    // where neighbours run into each other, be it along their walls or at their inner ends
    let meet = |w: &[f64]| roots::scan(w[0], w[1], MEETING_STEPS, |r| arcs(r).sum::<f64>() - pitch);
    let meetings: Vec<f64> = breaks.windows(2).flat_map(meet).collect();
    breaks.extend(meetings);
    breaks.sort_by(f64::total_cmp);
    let on_circle = |r: f64| arcs(r).map(|each| union_of_arcs(each, pattern)).sum::<f64>();
    breaks
        .windows(2)
        .map(|w| {
            let weigh = |&(t, weight): &(f64, f64)| {
                let (r, scale) = smooth_ends(w[0], w[1], t);
                weight * scale * r * on_circle(r)
            };
            gauss(32).nodes().iter().map(weigh).sum::<f64>()
        })
        .sum()
}

/// Whether any groove of side A lies opposite one of side B: their centre directions nearer than the half widths allow, at the outside diameter.
pub fn opposite_grooves_overlap(wheel: &Wheel, grooves: &Grooves) -> bool {
    let (Some(a), Some(b)) = (grooves.side(SideName::A), grooves.side(SideName::B)) else { return false };
    let (Some(set_a), Some(set_b)) = (&wheel.side_a.grooves, &wheel.side_b.grooves) else { return false };
    let directions = |p: &Pattern| p.cut().map(|k| p.angle_deg(k).rem_euclid(360.0)).collect::<Vec<f64>>();
    let (first, mut second) = (directions(&set_a.pattern), directions(&set_b.pattern));
    second.sort_by(f64::total_cmp);
    let reach = ((a.half_width + b.half_width) / a.outside_radius).min(1.0).asin().to_degrees();
    first.iter().any(|&d| {
        let i = second.partition_point(|&x| x < d);
        let near = [second[i % second.len()], second[(i + second.len() - 1) % second.len()]];
        near.into_iter().any(|x| {
            let apart = (x - d).rem_euclid(360.0);
            apart.min(360.0 - apart) < reach
        })
    })
}
