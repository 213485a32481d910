//! Values called out under a view, where they make it no wider.

use super::leader::{CLEAR, Called, TEXT_GAP};
use crate::drawing::Group;
use crate::geometry::Point;

/// How far outside the view a leader from its upper part turns down, mm.
const BESIDE: f64 = 5.0;
/// Distance of leaders that run down side by side, mm.
const APART: f64 = 4.0;
/// Least distance of two level leaders, mm: an arrow is about a millimetre wide.
const ARROWS_CLEAR: f64 = 2.0;
/// Length of a shoulder beyond its text, mm.
const SHOULDER: f64 = 2.0;
/// Values under a view.
#[derive(Debug, Clone)]
pub struct Foot {
    /// x of the view's middle.
    pub middle: f64,
    /// Half of the view's width, mm.
    pub radius: f64,
    /// Leaders from targets below this height run straight down; others would lie along the outline.
    pub low: f64,
    /// Height below which lettering may stand.
    pub top: f64,
    /// What to call out.
    pub called: Vec<Called>,
}

impl Foot {
    /// Whether leaders that leave the view level do so clear of each other's arrows.
    pub fn is_clear(&self) -> bool {
        let level = |c: &&Called| c.target.y >= self.low;
        let side = |c: &Called| c.target.x >= self.middle;
        let level: Vec<&Called> = self.called.iter().filter(level).collect();
        let near = |a: &Called, b: &Called| side(a) == side(b) && (a.target.y - b.target.y).abs() < ARROWS_CLEAR;
        level.iter().enumerate().all(|(i, a)| level[..i].iter().all(|b| !near(a, b)))
    }

    /// Draws everything: the lowest target's value uppermost, what is called out on the left under what is on the right.
    pub fn groups(&self) -> Vec<Group> {
        let mut groups = Vec::new();
        let (mut top, mut left) = (self.top, f64::INFINITY);
        for side in [1.0, -1.0] {
            let mut own: Vec<&Called> = self.called.iter().filter(|c| (c.target.x >= self.middle) == (side > 0.0)).collect();
            own.sort_by(|a, b| a.target.y.total_cmp(&b.target.y));
            // how far out the last leader of this side turned
            let mut out = if side > 0.0 { 0.0 } else { (-left).max(0.0) };
            for called in own {
                let low = called.target.y < self.low;
                let wished = if low { (called.target.x - self.middle).abs() + APART } else { self.radius + BESIDE };
                let x = wished.max(out + APART);
                let shoulder = top - (called.above() - called.drop()) - called.below() - TEXT_GAP;
                let knee = Point::new(self.middle + side * x, shoulder);
                let beside = Point::new(knee.x, called.target.y);
                let bends = if low { vec![knee] } else { vec![beside, knee] };
                let far = side * (x - SHOULDER - called.width());
                let start = if side > 0.0 { self.middle + far } else { knee.x + SHOULDER };
                groups.push(called.drawn(&bends, self.middle + far, start));
                (top, left, out) = (shoulder - called.drop() - CLEAR, left.min(far), x);
            }
        }
        groups
    }
}
