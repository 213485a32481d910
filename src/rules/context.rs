//! What the rules read: the job, the shop's limits, and what both come to.

pub(super) use super::limits::no_more;
use super::limits::Limits;
use super::shop::ShopRules;
use crate::both::both;
use crate::certainty::Certainty;
use crate::language::Language;
use crate::properties::balance;
use crate::properties::density::Density;
use crate::properties::mark::{Mark, MarkError};
use crate::properties::strength::{Question, Strength};
use crate::properties::{Properties, Worked};
use crate::quantity::Written;
use crate::reach::{self, Left};
use crate::section::Section;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{Job, SideName, Wheel};

/// One order under the rules.
pub(super) struct Context<'a> {
    pub(super) job: &'a Job,
    pub(super) shop: &'a ShopRules,
    pub(super) limits: &'a Limits,
    pub(super) section: Option<&'a Section>,
    pub(super) numbers: Option<&'a Properties>,
    /// The blank's specification mark, read; `None` where the order gives none.
    pub(super) mark: Option<&'a Result<Mark, MarkError>>,
    pub(super) density: Option<Density>,
    pub(super) strength: Strength,
    /// What the order's tools leave.
    pub(super) left: Vec<Left>,
}

impl<'a> Context<'a> {
    pub(super) fn of(job: &'a Job, worked: Option<&'a Worked>, shop: &'a ShopRules) -> Context<'a> {
        let density = worked.and_then(|w| w.density);
        let (poisson, least_fillet) = (shop.limits().poisson_ratio, shop.limits().recess_fillet_least);
        let (left, strength) = both(
            || worked.map_or_else(Vec::new, |w| reach::of(job, &w.section)),
            || Strength::of(job, Question::of(job, density, poisson, least_fillet)),
        );
        Context {
            job,
            shop,
            limits: shop.limits(),
            section: worked.map(|w| &w.section),
            numbers: worked.map(|w| &w.numbers),
            mark: worked.and_then(|w| w.mark.as_ref()),
            density,
            left,
            strength,
        }
    }

    pub(super) fn wheel(&self) -> &'a Wheel {
        &self.job.wheel
    }

    /// A length in the order's unit, as a message says it.
    pub(super) fn len(&self, mm: f64) -> String {
        Written::plain_in(self.job.units).measured(mm)
    }

    /// What a tool leaves, as a message says it.
    pub(super) fn said(&self, left: &Left) -> String {
        left.words(&Written::plain_in(self.job.units), Language::En)
    }

    /// Thickness left at the bore between the two sides, chamfers left aside, mm.
    pub(super) fn thickness_at_bore(&self) -> f64 {
        self.wheel().hub_thickness()
    }

    /// Least thickness left anywhere within the recesses, what tapers take away included, mm.
    pub(super) fn least_thickness_of_recesses(&self) -> f64 {
        let wheel = self.wheel();
        // depths only grow inwards within a recess and are straight outside: the least lies just inside a wall, or at the bore
        let depth = |name: SideName, r: f64| {
            let side = wheel.side(name);
            let step = side.recess.iter().rev().find(|s| r <= s.diameter / 2.0 + SAME_LENGTH);
            step.map_or_else(|| side.nominal_depth(r), |s| s.depth)
        };
        let walls =
            SideName::BOTH.into_iter().flat_map(|s| wheel.side(s).recess.iter().map(|step| step.diameter / 2.0));
        let left = |r: f64| wheel.thickness - depth(SideName::A, r) - depth(SideName::B, r);
        walls.chain([wheel.bore_radius()]).map(left).fold(f64::INFINITY, f64::min)
    }

    /// Least diameter of a recess that a flange of this diameter enters, mm.
    pub(super) fn recess_for_flange(&self, flange: f64) -> f64 {
        self.shop.flange_clearance(flange)
    }

    /// Diameter at which the machine's travel is used up, mm; `None` where the order does not say.
    pub(super) fn worn_out_diameter(&self) -> Option<f64> {
        Some(self.wheel().outside_diameter - self.job.machine.travel_on_diameter()?)
    }

    /// The greatest static unbalance, g·mm.
    pub(super) fn permitted_unbalance(&self) -> Certainty<f64> {
        balance::permitted(self.job, self.mass(), &self.shop.balance_scope())
    }

    /// Mass of the wheel, kg, by a given, weighed or estimated density.
    pub(super) fn mass(&self) -> Option<f64> {
        self.numbers?.wheel.mass
    }

    /// The mark, where the order gives one that can be read.
    pub(super) fn read_mark(&self) -> Option<&Mark> {
        self.mark?.as_ref().ok()
    }

    /// The maximum speed the altered wheel is marked with, m/s.
    pub(super) fn marked_speed(&self) -> Option<f64> {
        self.job.marked_speed()
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A share of 1e-12 is rounding, whatever the size; lengths are the same to 1e-7 mm.
    #[test]
    fn what_counts_as_on_the_limit() {
        for limit in [1e-3, 1.0, 35.0, 1e6] {
            assert!(no_more(limit, limit) && no_more(limit * (1.0 + 0.5e-12), limit) && no_more(0.9 * limit, limit));
            assert!(!no_more(limit * (1.0 + 3e-12), limit));
        }
        assert!(at_least(10.0 - 0.9e-7, 10.0) && !at_least(10.0 - 1.1e-7, 10.0));
        assert!(at_most(10.0 + 0.9e-7, 10.0) && !at_most(10.0 + 1.1e-7, 10.0));
    }
}
