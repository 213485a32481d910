//! The shop's file of limits: read, checked, and laid over the built-in one.

mod read;
mod written;

pub use written::schema;

use super::finding::SwitchedOff;
use super::guide::GradeGuide;
use super::limits::{Limit, LimitKey, Limits};
use crate::json::Problems;
use crate::properties::balance::BalanceScope;
use crate::properties::density::Structures;
use crate::properties::planner;
use crate::properties::recess::Guide;
use crate::quantity::{LengthUnit, Twin};
use crate::wheel::{self, GeneralTolerances, Job, Usual, UsualSizes};
use std::sync::{Arc, OnceLock};

/// The limits that ship with the program, also the template of a shop's own file.
pub const BUILT_IN: &str = include_str!("../../../templates/shop-rules.json");

/// The limits in force, and the rules a shop has switched off.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopRules {
    name: String,
    /// The file as read.
    text: Arc<str>,
    /// Its SHA-256.
    hash: String,
    /// One for each of [`LimitKey::ALL`], in that order.
    sources: Vec<Limit>,
    limits: Limits,
    /// k of the permissible unbalance for this shop's use, √g.
    balance_k: f64,
    switched_off: Vec<SwitchedOff>,
    guide: GradeGuide,
    general: Option<Arc<GeneralTolerances>>,
}

impl ShopRules {
    /// The limits that ship with the program.
    ///
    /// # Panics
    /// Never in a program whose tests have passed: they read the embedded file.
    pub fn built_in() -> ShopRules {
        static RULES: OnceLock<ShopRules> = OnceLock::new();
        let read = || match read::read(None, BUILT_IN) {
            Ok(rules) => rules,
            Err(problems) => panic!("the embedded shop-rules.json is broken: {problems:?}"),
        };
        RULES.get_or_init(read).clone()
    }

    /// A shop's own file. What it leaves out stays as built in.
    ///
    /// # Errors
    /// Every problem of the file at once, each with its place.
    pub fn read(text: &str) -> Result<ShopRules, Problems> {
        read::read(Some(&ShopRules::built_in()), text)
    }

    /// What the file calls itself.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The file as read: a pack carries a copy.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// SHA-256 of the file, 64 hexadecimal digits.
    pub fn hash(&self) -> &str {
        &self.hash
    }

    /// The rules the shop has switched off.
    pub fn switched_off(&self) -> &[SwitchedOff] {
        &self.switched_off
    }

    /// Which wheels suit which work.
    pub fn guide(&self) -> &GradeGuide {
        &self.guide
    }

    /// What sizes may differ by where an order says nothing; `None` where the shop's file has no such tables.
    pub fn general_tolerances(&self) -> Option<&Arc<GeneralTolerances>> {
        self.general.as_ref()
    }

    /// Reads and resolves an order; sizes it leaves open count as is usual in this shop.
    ///
    /// # Errors
    /// Every problem of the file at once, each with its place.
    pub fn open(&self, order: &[u8]) -> Result<Job, Problems> {
        wheel::open(order, &self.usual_sizes())
    }

    /// What the shop proposes for sizes that an order leaves open.
    pub fn usual_sizes(&self) -> UsualSizes {
        use LimitKey as K;
        let l = &self.limits;
        let why = |key: K| self.limit(key).source.clone();
        let twin = |key: K, value: Twin| Usual { value, why: why(key) };
        UsualSizes {
            used: twin(K::UsualUsed, l.usual_used),
            groove_width: twin(K::UsualGrooveWidth, l.usual_groove_width),
            groove_depth: twin(K::UsualGrooveDepth, l.usual_groove_depth),
            outside_recess: twin(K::UsualOutsideRecess, l.usual_outside_recess),
            disc_diameter: twin(K::UsualDiscDiameter, l.usual_disc_diameter),
            recess_fillet: twin(K::UsualRecessFillet, l.usual_recess_fillet),
            recess_depth_share: Usual { value: l.usual_recess_depth_share, why: why(K::UsualRecessDepthShare) },
            corner_radius: twin(K::UsualCornerRadius, l.usual_corner_radius),
            corner_chamfer: twin(K::UsualCornerChamfer, l.usual_corner_chamfer),
            bore_chamfer: twin(K::UsualBoreChamfer, l.usual_bore_chamfer),
            taper_depth: twin(K::UsualTaperDepth, l.usual_taper_depth),
            pitches: Usual { value: l.usual_pitches.clone(), why: why(K::UsualPitches) },
        }
    }

    /// A limit with its source.
    pub fn limit(&self, key: LimitKey) -> &Limit {
        &self.sources[key as usize]
    }

    /// The values in force.
    pub fn limits(&self) -> &Limits {
        &self.limits
    }

    /// k of the permissible unbalance for this shop's use, √g.
    pub fn balance_k(&self) -> f64 {
        self.balance_k
    }

    /// Speed of the speed test over a marked speed in m/s; `None` where no published factor reaches so far.
    pub fn test_factor(&self, marked: f64) -> Option<f64> {
        let (limits, no_more) = (&self.limits, super::limits::no_more);
        if no_more(marked, limits.speed_test_factor_to) {
            Some(limits.speed_test_factor)
        } else {
            no_more(marked, limits.speed_test_factor_fast_to).then_some(limits.speed_test_factor_fast)
        }
    }

    /// What the permitted unbalance goes by.
    pub fn balance_scope(&self) -> BalanceScope {
        BalanceScope {
            k: self.balance_k,
            least_diameter: self.limits.unbalance_least_diameter,
            least_speed: self.limits.unbalance_least_speed,
        }
    }

    /// Least diameter of a recess that a flange of this diameter enters, mm.
    pub fn flange_clearance(&self, flange: f64) -> f64 {
        self.limits.recess_flange_factor * flange + self.limits.recess_flange_allowance
    }

    /// What the estimate of a density goes by.
    pub fn structures(&self) -> Structures {
        let table = &self.limits.structure_density;
        let mut known: Vec<(f64, f64)> = table.iter().filter_map(|(n, d)| Some((n.parse().ok()?, *d))).collect();
        known.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (fall, at_zero) = self.limits.grain_share;
        Structures { known, grain_share: (at_zero, fall) }
    }

    /// What the proposal of a recess goes by; round sizes in the order's unit.
    pub fn recess_guide(&self, unit: LengthUnit) -> Guide {
        let limits = &self.limits;
        let (diameter_step, depth_step) = match unit {
            LengthUnit::Inch => (limits.recess_diameter_step_inch, limits.recess_depth_step_inch),
            LengthUnit::Millimetre => (limits.recess_diameter_step_mm, limits.recess_depth_step_mm),
        };
        Guide {
            flange_factor: self.limits.recess_flange_factor,
            flange_allowance: self.limits.recess_flange_allowance,
            fillet_factor: self.limits.flat_fillet_factor,
            one_side_share: self.limits.recess_thickness_share,
            two_sides_share: self.limits.two_recess_least_share,
            caution_share: self.limits.two_recess_caution_share,
            diameter_step,
            depth_step,
        }
    }

    /// What counts of grooves are held against.
    pub fn groove_limits(&self) -> planner::Limits {
        planner::Limits {
            land_least: self.limits.land_least,
            land_ratio: self.limits.land_ask_ratio,
            share_least: self.limits.land_share_least,
            frequency_margin: self.limits.excitation_margin,
        }
    }
}
