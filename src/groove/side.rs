//! A groove of a side in the frame of its centre line.

use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Bottom, InnerEnd, SideGrooves, SideName, Wheel};

/// An interval of angle about the axis, radians, from the groove's direction.
pub type Interval = (f64, f64);

/// One groove of a side: its plan, its floor, its bottom and its ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideGroove {
    /// The side it is cut into.
    pub side: SideName,
    /// v of the centre line: 0 for a radial groove, −R·sin(skew) for a skewed one, mm.
    pub offset: f64,
    /// Turn of the frame from the direction of the groove's place, radians: the skew.
    pub turn: f64,
    /// Half of the width, mm.
    pub half_width: f64,
    /// u at the inner end of the centre line, mm.
    pub inner_u: f64,
    /// u of the plane that ends it; `None` where it runs out through the outside diameter.
    pub outer_u: Option<f64>,
    /// Outside radius of the wheel, mm.
    pub outside_radius: f64,
    /// The floor along the centre line.
    pub floor: Floor,
    /// Shape across.
    pub bottom: Bottom,
    /// Shape of the inner end.
    pub inner_end: InnerEnd,
}

/// The floor along the centre line: depth below the datum plane over u.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Floor {
    /// Depth of the straight floor, continued to u = 0, mm.
    pub at_axis: f64,
    /// Growth of the depth per mm of u.
    pub slope: f64,
    /// The arc that a disc cutter leaves at the inner end.
    pub rise: Option<Rise>,
}

/// The arc of a run-out in the (u, depth) plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rise {
    /// u where the arc meets the straight floor.
    pub tangent_u: f64,
    /// u of the cutter's centre.
    pub centre_u: f64,
    /// Depth of the cutter's centre, mostly negative: outside the wheel.
    pub centre_depth: f64,
    /// Radius of the cutter.
    pub radius: f64,
}

impl Floor {
    /// Depth of the floor's lowest line at u, mm.
    pub fn depth(&self, u: f64) -> f64 {
        match self.rise {
            Some(rise) if u < rise.tangent_u => {
                let d = u - rise.centre_u;
                rise.centre_depth + ((rise.radius - d) * (rise.radius + d)).max(0.0).sqrt()
            }
            _ => self.at_axis + self.slope * u,
        }
    }

    /// The floor of a groove: straight from (inner u, depth) to (outer u, depth), risen along a cutter's arc that passes through
    /// (inner u, `surface`) where a cutter is given.
    fn new(inner: (f64, f64), outer: (f64, f64), surface: f64, cutter_diameter: Option<f64>) -> Floor {
        let slope = (outer.1 - inner.1) / (outer.0 - inner.0);
        let straight = Floor { at_axis: inner.1 - slope * inner.0, slope, rise: None };
        let Some(cutter) = cutter_diameter else { return straight };
        let radius = cutter / 2.0;
        // Unit vector along the floor (c, s); the cutter's centre lies `radius` from the floor on the outer side of the wheel's side.
        let c = 1.0 / (1.0 + slope * slope).sqrt();
        let s = slope * c;
        let height = (inner.1 - surface) * c;
        let along = (height * (2.0 * radius - height)).max(0.0).sqrt();
        let tangent_u = inner.0 - height * s + along * c;
        let tangent_depth = straight.depth(tangent_u);
        let rise =
            Rise { tangent_u, centre_u: tangent_u + radius * s, centre_depth: tangent_depth - radius * c, radius };
        Floor { rise: Some(rise), ..straight }
    }
}

impl SideGroove {
    /// The same, at least so wide, mm: as a disc leaves it that is wider within the tolerance.
    pub fn at_least(self, width: f64) -> SideGroove {
        SideGroove { half_width: self.half_width.max(width / 2.0), ..self }
    }

    /// The groove of one side of a wheel; `None` where that side has none.
    pub fn of(wheel: &Wheel, side: SideName) -> Option<SideGroove> {
        let g = wheel.side(side).grooves.as_ref()?;
        Some(SideGroove::new(g, wheel, side))
    }

    fn new(g: &SideGrooves, wheel: &Wheel, side: SideName) -> SideGroove {
        let outside_radius = wheel.outside_radius();
        let turn = g.skew_deg.to_radians();
        let offset = -outside_radius * turn.sin();
        let along = |radius: f64| ((radius - offset) * (radius + offset)).max(0.0).sqrt();
        let outer_diameter = g.outer_diameter.filter(|&d| d < wheel.outside_diameter - SAME_LENGTH);
        let (inner_r, outer_r) = (g.inner_diameter / 2.0, outer_diameter.unwrap_or(wheel.outside_diameter) / 2.0);
        let (inner_u, outer_u) = (along(inner_r), along(outer_r));
        let nominal = |r: f64| wheel.side(side).nominal_depth(r);
        let cutter = match g.inner_end {
            InnerEnd::Runout { cutter_diameter } => Some(cutter_diameter),
            _ => None,
        };
        let inner = (inner_u, nominal(inner_r) + g.depth);
        let floor = Floor::new(inner, (outer_u, nominal(outer_r) + g.depth), nominal(inner_r), cutter);
        SideGroove {
            side,
            offset,
            turn,
            half_width: g.width / 2.0,
            inner_u,
            outer_u: outer_diameter.map(|_| outer_u),
            outside_radius,
            floor,
            bottom: g.bottom,
            inner_end: g.inner_end,
        }
    }

    /// Whether the bottom is flat across, so that the depth on a circle about the axis is linear in the cosine of the angle.
    pub(super) fn is_flat_across(&self) -> bool {
        self.bottom == Bottom::Flat
    }

    /// Whether the bottom is half a circle across.
    pub(super) fn is_round_across(&self) -> bool {
        self.bottom == Bottom::Round
    }

    /// How far the further wall lies aside of the axis, mm.
    pub(super) fn walls_aside(&self) -> f64 {
        self.offset.abs() + self.half_width
    }

    /// By how much the bottom lies above the floor's lowest line, at distance `across` from the centre line, mm.
    pub fn lift(&self, across: f64) -> f64 {
        match self.bottom {
            Bottom::Flat => 0.0,
            Bottom::Round => {
                let w = self.half_width;
                w - ((w - across) * (w + across)).max(0.0).sqrt()
            }
            Bottom::Vee { angle_deg } => across.abs() / (angle_deg / 2.0).to_radians().tan(),
        }
    }

    /// Depth of the bottom below the datum plane at (u, v), mm, wherever in plan.
    pub fn depth(&self, u: f64, v: f64) -> f64 {
        self.floor.depth(u) - self.lift(v - self.offset)
    }

    /// Depth on the circle r at the angle `a` from the frame's u axis.
    pub(super) fn depth_at(&self, r: f64, a: f64) -> f64 {
        let (sin, cos) = a.sin_cos();
        self.depth(r * cos, r * sin)
    }

    /// The walls' v.
    pub(super) fn walls(&self) -> (f64, f64) {
        (self.offset - self.half_width, self.offset + self.half_width)
    }

    /// u of the middle of a round inner end's half circle.
    pub(super) fn round_centre_u(&self) -> Option<f64> {
        (self.inner_end == InnerEnd::Round).then_some(self.inner_u + self.half_width)
    }

    /// The angles at which the circle r meets the walls.
    pub(super) fn wall_angles(&self, r: f64) -> Interval {
        let (low, high) = self.walls();
        ((low / r).max(-1.0).asin(), (high / r).min(1.0).asin())
    }

    /// Whether its bottom lies below this depth all over its plan on the circle r: told by bounds, so that it may where this says no.
    pub(super) fn lies_below(&self, r: f64, depth: f64) -> bool {
        let aside = self.walls_aside();
        let nearest = ((r - aside) * (r + aside)).max(0.0).sqrt();
        let floor = self.floor.depth(nearest).min(self.floor.depth(r));
        floor - self.lift(self.offset - self.half_width) > depth
    }

    /// The angles of the circle r that lie in the groove's plan: at most two intervals.
    pub fn angles(&self, r: f64) -> [Option<Interval>; 2] {
        let (low, high) = self.walls();
        if low >= r || high <= -r {
            return [None, None];
        }
        let walls = self.wall_angles(r);
        let beyond = |u: f64| (u < r).then(|| (-angle_beyond(u, r), angle_beyond(u, r)));
        let inner = match self.round_centre_u() {
            None => beyond(self.inner_u),
            Some(centre_u) => hull(self.round_end_angles(r, centre_u), beyond(centre_u).and_then(|i| meet(i, walls))),
        };
        let Some(inside) = inner.and_then(|i| meet(i, walls)) else { return [None, None] };
        match self.outer_u.and_then(beyond) {
            None => [Some(inside), None],
            Some((a, b)) => [meet(inside, (-2.0, a)), meet(inside, (b, 2.0))],
        }
    }

    /// The angles of the circle r inside the disc of a round inner end.
    fn round_end_angles(&self, r: f64, centre_u: f64) -> Option<Interval> {
        let distance = centre_u.hypot(self.offset);
        // half-angle form of the cosine rule: no digits are lost where the circles barely meet
        let (w, apart) = (self.half_width, r - distance);
        let square = (w - apart) * (w + apart) / (4.0 * r * distance);
        let direction = self.offset.atan2(centre_u);
        let half = 2.0 * square.clamp(0.0, 1.0).sqrt().asin();
        (square > 0.0).then_some((direction - half, direction + half))
    }

    /// Angles at which the depth over the angle changes form within the plan: the nearest point of the centre line, u = r, the run-out's tangent.
    pub(super) fn form_changes(&self, r: f64) -> [Option<f64>; 4] {
        let centre = (self.offset.abs() < r).then(|| (self.offset / r).asin());
        let tangent = self.floor.rise.filter(|rise| rise.tangent_u < r).map(|rise| angle_beyond(rise.tangent_u, r));
        [centre, Some(0.0), tangent, tangent.map(|t| -t)]
    }

    /// Radii at which the groove's plan changes form as seen from the axis.
    pub fn plan_breaks(&self) -> Vec<f64> {
        let (low, high) = self.walls();
        let mut breaks = Vec::with_capacity(20);
        let mut across = |u: f64| {
            breaks.extend([u.hypot(low), u.hypot(high), u.hypot(self.offset)]);
            if low < 0.0 && high > 0.0 {
                breaks.push(u);
            }
        };
        across(self.inner_u);
        if let Some(rise) = self.floor.rise {
            across(rise.tangent_u);
        }
        if let Some(u) = self.outer_u {
            across(u);
        }
        if let Some(u) = self.round_centre_u() {
            across(u);
            let distance = u.hypot(self.offset);
            breaks.extend([distance - self.half_width, distance + self.half_width]);
        }
        breaks
    }

    /// Smallest and largest radius of the plan, mm.
    pub fn reach(&self) -> (f64, f64) {
        let (low, high) = self.walls();
        let nearest = if low < 0.0 && high > 0.0 { 0.0 } else { low.abs().min(high.abs()) };
        let inner = self.inner_u.hypot(nearest);
        let outer = self.outer_u.map_or(self.outside_radius, |u| u.hypot(low.abs().max(high.abs())));
        (inner, outer.min(self.outside_radius))
    }

    /// The greatest depth of the floor anywhere in the plan, mm: a bound, not always reached.
    pub(super) fn deepest(&self) -> f64 {
        let ends = [self.inner_u, self.outer_u.unwrap_or(self.outside_radius)];
        ends.map(|u| self.floor.at_axis + self.floor.slope * u).into_iter().fold(f64::MIN, f64::max)
    }
}

/// Angle from the u axis at which the circle r crosses the line at u, acos(u/r) without loss of digits where they barely meet.
fn angle_beyond(u: f64, r: f64) -> f64 {
    ((r - u) * (r + u)).max(0.0).sqrt().atan2(u)
}

/// What two intervals share; `None` where that has no length.
fn meet(a: Interval, b: Interval) -> Option<Interval> {
    let both = (a.0.max(b.0), a.1.min(b.1));
    (both.1 > both.0).then_some(both)
}

/// The smallest interval around both.
fn hull(a: Option<Interval>, b: Option<Interval>) -> Option<Interval> {
    match (a, b) {
        (Some(a), Some(b)) => Some((a.0.min(b.0), a.1.max(b.1))),
        (one, other) => one.or(other),
    }
}
