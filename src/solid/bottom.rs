//! Surfaces of the bottoms of a side's grooves.

use super::plan::Frame;
use super::{Surface, Vector};
use crate::groove::SideGroove;
use crate::wheel::{Bottom, SideName};

/// A piece of a groove's bottom that is one surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Piece {
    /// Whether it lies on the rise that a run-out leaves.
    pub is_risen: bool,
    /// Of a vee, whether it is the flank at the larger v.
    pub is_upper: bool,
}

/// A groove's own axes in space.
struct Axes<'a> {
    frame: &'a Frame,
    side: SideName,
    thickness: f64,
}

impl Axes<'_> {
    fn place(&self, u: f64, v: f64, depth: f64) -> Vector {
        let p = self.frame.plan(u, v);
        let z = if self.side == SideName::A { depth } else { self.thickness - depth };
        Vector::new(p.x, p.y, z)
    }

    fn way(&self, u: f64, v: f64, deeper: f64) -> Vector {
        (self.place(u, v, deeper) - self.place(0.0, 0.0, 0.0)).normalize()
    }
}

/// The surface of a piece of a groove's bottom, and whether its own normal points out of the wheel.
pub fn surface(groove: &SideGroove, frame: &Frame, piece: Piece, thickness: f64) -> (Surface, bool) {
    let axes = Axes { frame, side: groove.side, thickness };
    let (floor, offset, w) = (&groove.floor, groove.offset, groove.half_width);
    // depth gained for each mm across, towards larger v
    let flank = match groove.bottom {
        Bottom::Vee { angle_deg } => {
            let steep = 1.0 / (angle_deg / 2.0).to_radians().tan();
            if piece.is_upper { -steep } else { steep }
        }
        _ => 0.0,
    };
    let rise = floor.rise.filter(|_| piece.is_risen);
    match (groove.bottom, rise) {
        (Bottom::Flat | Bottom::Vee { .. }, None) => {
            let origin = axes.place(0.0, offset, floor.at_axis);
            // outwards: towards less depth
            (Surface::Plane { origin, axis: axes.way(floor.slope, flank, -1.0) }, true)
        }
        (Bottom::Flat, Some(rise)) => {
            let origin = axes.place(rise.centre_u, offset, rise.centre_depth);
            (Surface::Cylinder { origin, axis: axes.way(0.0, 1.0, 0.0), radius: rise.radius }, false)
        }
        (Bottom::Vee { .. }, Some(rise)) => {
            let centre = axes.place(rise.centre_u, offset, rise.centre_depth);
            swept(&axes, centre, axes.way(0.0, 1.0, 0.0), rise.radius, axes.way(0.0, 1.0, flank))
        }
        (Bottom::Round, None) if floor.slope == 0.0 => {
            let origin = axes.place(0.0, offset, floor.at_axis - w);
            (Surface::Cylinder { origin, axis: axes.way(1.0, 0.0, 0.0), radius: w }, false)
        }
        (Bottom::Round, None) => {
            let centre = axes.place(0.0, offset, floor.at_axis - w);
            swept(&axes, centre, axes.way(1.0, 0.0, 0.0), w, axes.way(1.0, 0.0, floor.slope))
        }
        (Bottom::Round, Some(rise)) => {
            let centre = axes.place(rise.centre_u, offset, rise.centre_depth - w);
            let [along, across, deeper] = [axes.way(1.0, 0.0, 0.0), axes.way(0.0, 1.0, 0.0), axes.way(0.0, 0.0, 1.0)];
            let reach = [groove.inner_u, rise.tangent_u].map(|u| u - rise.centre_u);
            (Surface::Tube { centre, along, across, deeper, radius: rise.radius, minor: w, reach }, false)
        }
    }
}

/// A circle swept along a line, and whether its normal points to less depth at its deepest place.
fn swept(axes: &Axes, centre: Vector, axis: Vector, radius: f64, along: Vector) -> (Surface, bool) {
    let deeper = axes.way(0.0, 0.0, 1.0);
    let normal = axis.cross(&deeper).cross(&along);
    (Surface::Swept { centre, axis, radius, along }, normal.dot(&deeper) < 0.0)
}
