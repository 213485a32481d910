//! What a wheel is made of at a place of its half-section: all round, or lands between grooves.

use crate::groove::{Grooves, SideGroove};
use crate::section::Section;
use crate::wheel::{SideName, Wheel};
use std::f64::consts::TAU;

/// A wheel, its section and its grooves.
pub(super) struct Material<'a> {
    pub(super) wheel: &'a Wheel,
    pub(super) section: &'a Section,
    grooves: Grooves<'a>,
}

impl<'a> Material<'a> {
    pub(super) fn of(wheel: &'a Wheel, section: &'a Section) -> Material<'a> {
        Material { wheel, section, grooves: Grooves::of(wheel, section) }
    }

    /// Share of the circle that is material at (r, z), where grooves split it into lands; `None` where it holds together all round.
    pub(super) fn land_share(&self, r: f64, z: f64) -> Option<f64> {
        let sides = [(SideName::A, z), (SideName::B, self.wheel.thickness - z)];
        let cut = sides.into_iter().filter_map(|(name, depth)| {
            let (floor, share) = self.floor(name, r)?;
            (depth < floor).then_some(share)
        });
        cut.chain(self.face_share(r)).reduce(|a, b| a * b)
    }

    /// Depth of the floor of a side's grooves at radius r, mm, and the share of the circle that their lands leave; `None` where none is cut.
    pub(super) fn floor(&self, name: SideName, r: f64) -> Option<(f64, f64)> {
        let (groove, set) = (self.grooves.side(name)?, self.wheel.side(name).grooves.as_ref()?);
        let u = along(groove, r);
        if u < groove.inner_u || groove.outer_u.is_some_and(|o| u > o) {
            return None;
        }
        let floor = groove.floor.depth(u);
        let edge = |v: f64| (v / r).clamp(-1.0, 1.0).asin();
        let angle = edge(groove.offset + groove.half_width) - edge(groove.offset - groove.half_width);
        let share = (1.0 - f64::from(set.pattern.count()) * angle / TAU).max(0.0);
        (floor > self.section.profile(name).depth_at(r)).then_some((floor, share))
    }

    /// Inner and outer radius of a side's grooves, mm; nothing where it has none.
    pub(super) fn ends(&self, name: SideName) -> impl Iterator<Item = f64> {
        let ends = self.grooves.side(name).map(|g| {
            let inner = g.inner_u.hypot(g.offset).max(self.wheel.bore_radius());
            let outer = g.outer_u.map_or(f64::INFINITY, |u| u.hypot(g.offset)).min(self.wheel.outside_radius());
            [inner, outer]
        });
        ends.into_iter().flatten()
    }

    /// Share of the circle that the face's grooves leave at radius r; `None` below their floor.
    fn face_share(&self, r: f64) -> Option<f64> {
        let half = self.grooves.face()?.half_angle(r)?;
        let count = self.wheel.face.as_ref()?.pattern.count();
        Some((1.0 - f64::from(count) * 2.0 * half / TAU).max(0.0))
    }

    /// Radius of the floor of the face's grooves at their centre line, mm.
    pub(super) fn face_floor(&self) -> Option<f64> {
        self.grooves.face().map(|g| g.floor_u)
    }
}

/// u of the centre line at radius r, mm.
fn along(g: &SideGroove, r: f64) -> f64 {
    ((r - g.offset) * (r + g.offset)).max(0.0).sqrt()
}
