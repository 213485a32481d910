//! A wheel as a disc: how much of its thickness holds together all round, and how much is lands.

use super::{Disc, Fineness, Load, StressError, Stresses, solve};
use crate::groove::{Grooves, SideGroove};
use crate::section::Section;
use crate::wheel::{SideName, Wheel};
use std::f64::consts::TAU;

/// Thickness at one radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layers {
    /// What holds together all round, mm.
    pub core: f64,
    /// What is split into lands, times the share that they leave, mm.
    pub lands: f64,
}

/// A wheel with its section and grooves, ready to be asked for its thickness.
pub struct WheelDisc<'a> {
    wheel: &'a Wheel,
    section: &'a Section,
    grooves: Grooves<'a>,
}

impl<'a> WheelDisc<'a> {
    /// Of a wheel and its section.
    pub fn of(wheel: &'a Wheel, section: &'a Section) -> WheelDisc<'a> {
        WheelDisc { wheel, section, grooves: Grooves::of(wheel, section) }
    }

    /// Stresses along its radius.
    ///
    /// # Errors
    /// Where the wheel has no material at some radius.
    pub fn stresses(&self, load: Load) -> Result<Stresses, StressError> {
        let layers = |r: f64| self.layers(r);
        let disc = Disc {
            inner: self.wheel.bore_radius(),
            outer: self.wheel.outside_radius(),
            breaks: self.breaks(),
            layers: &layers,
        };
        solve(&disc, load, Fineness::default())
    }

    /// Thickness at radius r, mm.
    pub fn layers(&self, r: f64) -> Layers {
        let mut core = self.section.thickness_at(r).max(0.0);
        let mut lands = 0.0;
        for name in SideName::BOTH {
            let (layer, share) = self.side_layer(name, r);
            let layer = layer.min(core);
            core -= layer;
            lands += layer * share;
        }
        if let Some(share) = self.face_share(r) {
            lands = (lands + core) * share;
            core = 0.0;
        }
        Layers { core, lands }
    }

    /// Depth of the grooves of one side at radius r, mm, and the share of the circle that their lands leave.
    fn side_layer(&self, name: SideName, r: f64) -> (f64, f64) {
        let (Some(g), Some(set)) = (self.grooves.side(name), &self.wheel.side(name).grooves) else { return (0.0, 1.0) };
        let u = along(g, r);
        if u < g.inner_u || g.outer_u.is_some_and(|o| u > o) {
            return (0.0, 1.0);
        }
        let layer = (g.floor.depth(u) - self.section.profile(name).depth_at(r)).max(0.0);
        let edge = |v: f64| (v / r).clamp(-1.0, 1.0).asin();
        let angle = edge(g.offset + g.half_width) - edge(g.offset - g.half_width);
        (layer, (1.0 - f64::from(set.pattern.count()) * angle / TAU).max(0.0))
    }

    /// Share of the circle that the face's grooves leave at radius r; `None` below their floor.
    fn face_share(&self, r: f64) -> Option<f64> {
        let half = self.grooves.face()?.half_angle(r)?;
        let count = self.wheel.face.as_ref()?.pattern.count();
        Some((1.0 - f64::from(count) * 2.0 * half / TAU).max(0.0))
    }

    /// Radii where the thickness jumps or kinks, mm.
    fn breaks(&self) -> Vec<f64> {
        let mut breaks = Vec::new();
        for name in SideName::BOTH {
            breaks.extend(self.section.profile(name).spans().iter().map(|s| s.inner));
            let Some(g) = self.grooves.side(name) else { continue };
            let ends = [Some(g.inner_u), g.outer_u, g.floor.rise.map(|rise| rise.tangent_u)];
            breaks.extend(ends.into_iter().flatten().map(|u| u.hypot(g.offset)));
        }
        breaks.extend(self.grooves.face().map(|g| g.floor_u));
        breaks
    }
}

/// u of the centre line at radius r, mm.
fn along(g: &SideGroove, r: f64) -> f64 {
    ((r - g.offset) * (r + g.offset)).max(0.0).sqrt()
}
