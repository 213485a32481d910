//! A groove of the face in its own frame: u outwards along the direction of its place (at z = 0), v counter-clockwise across.

use crate::geometry::roots;
use crate::wheel::{FaceBottom, Wheel};

/// One groove across the periphery.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceGroove {
    /// Half of the width in a plane across the wheel's axis, mm.
    pub half_width: f64,
    /// Half of the width across the groove itself, mm; the radial half axis of a round bottom.
    pub half_across: f64,
    /// u of the deepest point, mm.
    pub floor_u: f64,
    /// Outside radius of the wheel, mm.
    pub outside_radius: f64,
    /// Shape of the bottom.
    pub bottom: FaceBottom,
    /// Turn per mm of z, radians; 0 for a straight groove.
    pub twist: f64,
}

impl FaceGroove {
    /// The face grooves of a wheel; `None` where it has none.
    pub fn of(wheel: &Wheel) -> Option<FaceGroove> {
        let g = wheel.face.as_ref()?;
        let outside_radius = wheel.outside_radius();
        Some(FaceGroove {
            half_width: g.transverse_width() / 2.0,
            half_across: g.width / 2.0,
            floor_u: outside_radius - g.depth,
            outside_radius,
            bottom: g.bottom,
            twist: g.twist(1.0, outside_radius),
        })
    }

    /// Smallest u of the groove at distance v from its centre line, mm; `None` outside its walls.
    pub fn floor_at(&self, v: f64) -> Option<f64> {
        if v.abs() > self.half_width {
            return None;
        }
        Some(match self.bottom {
            FaceBottom::Flat => self.floor_u,
            FaceBottom::Round => {
                let share = v / self.half_width;
                self.floor_u + self.half_across * (1.0 - ((1.0 - share) * (1.0 + share)).max(0.0).sqrt())
            }
        })
    }

    /// Half of the angle of the circle r inside the groove in a plane across the axis, radians; `None` below its floor.
    pub fn half_angle(&self, r: f64) -> Option<f64> {
        if r <= self.floor_u {
            return None;
        }
        let wall = (self.half_width / r).min(1.0).asin();
        match self.bottom {
            FaceBottom::Flat => {
                let u = self.floor_u;
                Some(wall.min(((r - u) * (r + u)).max(0.0).sqrt().atan2(u)))
            }
            FaceBottom::Round => Some(self.round_half_angle(r, wall)),
        }
    }

    fn round_half_angle(&self, r: f64, wall: f64) -> f64 {
        let above = |a: f64| {
            let (sin, cos) = a.sin_cos();
            // beyond the wall there is no floor; rounding may carry v just past it
            let v = (r * sin).min(self.half_width);
            r * cos - self.floor_at(v).unwrap_or(f64::MAX)
        };
        if above(wall) >= 0.0 { wall } else { roots::between(0.0, wall, above).unwrap_or(0.0) }
    }

    /// Radii at which the transverse section changes form.
    pub(super) fn plan_breaks(&self) -> Vec<f64> {
        let mut breaks = vec![self.floor_u, self.floor_u.hypot(self.half_width)];
        if self.bottom == FaceBottom::Round {
            breaks.push((self.floor_u + self.half_across).hypot(self.half_width));
        }
        breaks
    }
}
