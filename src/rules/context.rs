//! What the rules read: the job, the shop's limits, and what both come to.

use super::limits::LimitKey;
use super::shop::ShopRules;
use crate::quantity::{LengthUnit, trimmed};
use crate::section::Section;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Job, SideName, Wheel};

/// One order under the rules.
pub(super) struct Context<'a> {
    pub(super) job: &'a Job,
    pub(super) shop: &'a ShopRules,
    pub(super) section: Option<Section>,
}

impl<'a> Context<'a> {
    pub(super) fn of(job: &'a Job, shop: &'a ShopRules) -> Context<'a> {
        Context { job, shop, section: Section::of(&job.wheel).ok() }
    }

    pub(super) fn wheel(&self) -> &'a Wheel {
        &self.job.wheel
    }

    pub(super) fn number(&self, key: LimitKey) -> f64 {
        self.shop.number(key)
    }

    /// A length in the order's unit, as a message says it.
    pub(super) fn len(&self, mm: f64) -> String {
        let unit = self.job.units;
        let decimals = if unit == LengthUnit::Inch { 4 } else { 3 };
        format!("{} {}", trimmed(mm / unit.mm(), decimals), unit.symbol())
    }

    /// Thickness left at the bore between the two sides, chamfers left aside, mm.
    pub(super) fn thickness_at_bore(&self) -> f64 {
        let wheel = self.wheel();
        let depth = |name: SideName| {
            let side = wheel.side(name);
            side.recess.last().map_or_else(|| side.nominal_depth(wheel.bore_radius()), |s| s.depth)
        };
        wheel.thickness - depth(SideName::A) - depth(SideName::B)
    }

    /// Diameter at which the machine's travel is used up, mm; `None` where the order does not say.
    pub(super) fn worn_out_diameter(&self) -> Option<f64> {
        Some(self.wheel().outside_diameter - self.job.machine.travel_on_diameter()?)
    }

    /// The marked maximum speed of the blank, m/s.
    pub(super) fn marked_speed(&self) -> Option<f64> {
        self.job.blank.as_ref()?.max_operating_speed
    }
}

/// Whether a length is at least another; equal lengths are.
pub(super) fn at_least(length: f64, limit: f64) -> bool {
    length >= limit - SAME_LENGTH
}

/// Whether a length is at most another; equal lengths are.
pub(super) fn at_most(length: f64, limit: f64) -> bool {
    length <= limit + SAME_LENGTH
}

/// The JSON pointer of a side, or of something on it.
pub(super) fn on_side(side: SideName, rest: &str) -> String {
    format!("/wheel/{}{rest}", side.key())
}
