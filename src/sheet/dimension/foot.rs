//! Values called out under a round view: the corners beside a circle are narrow, and what stands under it makes the view no wider.

use super::leader::{CLEAR, Called, TEXT_GAP};
use crate::drawing::Group;
use crate::geometry::Point;

/// How far outside the circle a leader from its upper part turns down, mm.
const BESIDE: f64 = 5.0;
/// Distance of leaders that run down side by side, mm.
const APART: f64 = 4.0;
/// Length of a shoulder beyond its text, mm.
const SHOULDER: f64 = 2.0;
/// Leaders from below this share of the radius run straight down; others would lie along the circle.
const LOW: f64 = 0.45;

/// Values under a circle about the origin.
#[derive(Debug, Clone)]
pub struct Foot {
    /// Radius of the circle, mm.
    pub radius: f64,
    /// Height below which lettering may stand.
    pub top: f64,
    /// What to call out.
    pub called: Vec<Called>,
}

impl Foot {
    /// Draws everything: the lowest target's value uppermost, what is called out on the left under what is on the right.
    pub fn groups(&self) -> Vec<Group> {
        let mut groups = Vec::new();
        let (mut top, mut left) = (self.top, f64::INFINITY);
        for side in [1.0, -1.0] {
            let mut own: Vec<&Called> = self.called.iter().filter(|c| (c.target.x >= 0.0) == (side > 0.0)).collect();
            own.sort_by(|a, b| a.target.y.total_cmp(&b.target.y));
            // how far out the last leader of this side turned
            let mut out = if side > 0.0 { 0.0 } else { (-left).max(0.0) };
            for called in own {
                let low = called.target.y < -LOW * self.radius;
                let wished = if low { called.target.x.abs() + APART } else { self.radius + BESIDE };
                let x = wished.max(out + APART);
                let shoulder = top - (called.above() - called.drop()) - called.below() - TEXT_GAP;
                let knee = Point::new(side * x, shoulder);
                let beside = Point::new(side * x, called.target.y);
                let bends = if low { vec![knee] } else { vec![beside, knee] };
                let far = side * (x - SHOULDER - called.width());
                let start = if side > 0.0 { far } else { knee.x + SHOULDER };
                groups.push(called.drawn(&bends, far, start));
                (top, left, out) = (shoulder - called.drop() - CLEAR, left.min(far), x);
            }
        }
        groups
    }
}
