//! The limits a shop may have to change, by name, and what kind of value each takes.

use super::finding::{Authority, Basis};
use crate::tolerance::SAME_SHARE;
use crate::quantity::Twin;
use crate::tolerance::SAME_LENGTH;

/// What a limit's value looks like in the shop's file, and the range that makes sense.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// A plain number or a fraction such as `"1/3"`, between the two values.
    Number(f64, f64),
    /// A length; the limit's unit is `mm` or `in`; between the two values in mm.
    Length(f64, f64),
    /// A length for orders in inches and the round one near it for orders in mm, `{"in": …, "mm": …}`; between the two values in mm.
    Twin(f64, f64),
    /// A list of numbers, rising.
    Numbers,
    /// Ranges `[low, high]` of lengths; the limit's unit is `mm` or `in`.
    Windows,
    /// One range `[low, high]` of plain numbers.
    Range,
    /// Length limits by size, `{"up_to": …, "value": …}` or `{"below": …, "value": …}`, rising; the last without either.
    Brackets,
    /// Numbers by name.
    Table,
    /// One of the names of another limit's table.
    Name,
    /// Nothing but the source: the rule needs no number.
    Nothing,
}

/// A limit's value, lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub enum LimitValue {
    /// One number.
    Number(f64),
    /// A length for orders in inches and one for orders in mm.
    Twin(Twin),
    /// Several numbers.
    Numbers(Vec<f64>),
    /// Ranges.
    Ranges(Vec<(f64, f64)>),
    /// One range.
    Range(f64, f64),
    /// Limits by size.
    Brackets(Brackets),
    /// Numbers by name.
    Table(Vec<(String, f64)>),
    /// A name.
    Name(String),
    /// No number.
    Nothing,
}

/// Limits by size, lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Brackets {
    /// Those that end at a size, rising.
    pub up_to: Vec<Bracket>,
    /// The limit of what is larger.
    pub beyond: f64,
}

impl Brackets {
    /// The limit of a size, mm.
    pub fn at(&self, size: f64) -> f64 {
        let fits = |b: &&Bracket| match b.includes_end {
            true => size <= b.to + SAME_LENGTH,
            false => size < b.to - SAME_LENGTH,
        };
        self.up_to.iter().find(fits).map_or(self.beyond, |b| b.value)
    }
}

/// A limit up to a size, lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracket {
    /// The size it ends at.
    pub to: f64,
    /// Whether that size itself still belongs to it.
    pub includes_end: bool,
    /// The limit.
    pub value: f64,
}

/// One limit as it stands in the shop's file.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// Its value, lengths in mm.
    pub value: LimitValue,
    /// Unit as written in the file.
    pub unit: String,
    /// Who says so.
    pub source: String,
    /// Where in it; empty where a shop's own limit does not say.
    pub section: String,
    /// Which edition; empty where a shop's own limit does not say.
    pub edition: String,
    /// What kind of source it is.
    pub kind: Authority,
    /// How well it is founded.
    pub basis: Basis,
    /// The wheel types and bonds it covers; empty where a shop's own limit does not say.
    pub covers: String,
    /// Who has checked it against the source; empty until someone has.
    pub checked_by: String,
}

/// A type that values of one kind, or of several, are read into.
trait Typed: Sized {
    fn of(value: &LimitValue) -> Option<Self>;
}

macro_rules! typed {
    ($($type:ty: $pattern:pat => $value:expr;)+) => {
        $(impl Typed for $type {
            fn of(value: &LimitValue) -> Option<$type> {
                match value {
                    $pattern => Some($value),
                    _ => None,
                }
            }
        })+
    };
}

typed! {
    f64: LimitValue::Number(x) => *x;
    Twin: LimitValue::Twin(twin) => *twin;
    Vec<f64>: LimitValue::Numbers(list) => list.clone();
    Vec<(f64, f64)>: LimitValue::Ranges(list) => list.clone();
    (f64, f64): LimitValue::Range(low, high) => (*low, *high);
    Brackets: LimitValue::Brackets(brackets) => brackets.clone();
    Vec<(String, f64)>: LimitValue::Table(list) => list.clone();
    String: LimitValue::Name(name) => name.clone();
}

/// The type that a limit of a kind is read into; lengths in mm.
macro_rules! value_of {
    (Number) => { f64 };
    (Length) => { f64 };
    (Twin) => { Twin };
    (Numbers) => { Vec<f64> };
    (Windows) => { Vec<(f64, f64)> };
    (Range) => { (f64, f64) };
    (Brackets) => { Brackets };
    (Table) => { Vec<(String, f64)> };
    (Name) => { String };
}

macro_rules! limit_keys {
    (
        values { $($(#[$doc:meta])+ $name:ident = $field:ident: $kind:ident $(($($range:expr),+))?;)+ }
        sources { $($(#[$said:meta])+ $source:ident = $text:ident;)+ }
    ) => {
        /// The names of the limits.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum LimitKey { $($(#[$doc])+ $name,)+ $($(#[$said])+ $source),+ }

        impl LimitKey {
            /// All of them.
            pub const ALL: &'static [LimitKey] = &[$(LimitKey::$name,)+ $(LimitKey::$source),+];

            /// Its name in the shop's file.
            pub fn name(self) -> &'static str {
                match self { $(LimitKey::$name => stringify!($field),)+ $(LimitKey::$source => stringify!($text)),+ }
            }

            /// What kind of value it takes.
            pub fn kind(self) -> Kind {
                match self {
                    $(LimitKey::$name => Kind::$kind $(($($range),+))?,)+
                    $(LimitKey::$source => Kind::Nothing),+
                }
            }
        }

        /// The values in force, each in the type of its kind; lengths in mm.
        #[derive(Debug, Clone, PartialEq)]
        pub struct Limits { $($(#[$doc])+ pub $field: value_of!($kind)),+ }

        impl Limits {
            /// Out of the limits as read, one for each of [`LimitKey::ALL`] in that order; `None` where one has no value of its kind.
            pub(super) fn of(read: &[Limit]) -> Option<Limits> {
                let value = |key: LimitKey| read.get(key as usize).map(|limit| &limit.value);
                Some(Limits { $($field: Typed::of(value(LimitKey::$name)?)?),+ })
            }
        }
    };
}

limit_keys! {
    values {
        /// Least flange diameter as a share of the altered outside diameter.
        FlangeShare = flange_share: Number(0.0, 1.0);
        /// Greatest bore as a share of the outside diameter, cylindrical, centreless and surface work.
        BoreShareCylindrical = bore_share_cylindrical: Number(0.0, 1.0);
        /// Greatest bore as a share of the outside diameter, other uses.
        BoreShareOther = bore_share_other: Number(0.0, 1.0);
        /// Least thickness left by a recess on one side, as a share of the thickness.
        RecessThicknessShare = recess_thickness_share: Number(0.0, 1.0);
        /// Thickness left by recesses on both sides below which caution is due, as a share.
        TwoRecessCautionShare = two_recess_caution_share: Number(0.0, 1.0);
        /// Least thickness left by recesses on both sides, as a share.
        TwoRecessLeastShare = two_recess_least_share: Number(0.0, 1.0);
        /// Factor of the flange diameter in the least recess diameter.
        RecessFlangeFactor = recess_flange_factor: Number(1.0, 2.0);
        /// Length added to that.
        RecessFlangeAllowance = recess_flange_allowance: Length(0.0, 100.0);
        /// How many fillet radii the flat of a recess must exceed the flange by.
        FlatFilletFactor = flat_fillet_factor: Number(0.0, 10.0);
        /// How far a slope may reach under the flange.
        TaperUnderFlange = taper_under_flange: Length(0.0, 100.0);
        /// Greatest thickness of wheels sold for cutting off, by outside diameter.
        ThinWheel = thin_wheel: Brackets;
        /// Rim left by tapers below which to ask, as a share of the thickness.
        ThinRimShare = thin_rim_share: Number(0.0, 1.0);
        /// Greatest surface speed as a share of the marked maximum.
        SpeedShare = speed_share: Number(0.0, 1.0);
        /// Speed of the speed test as a multiple of the marked maximum.
        SpeedTestFactor = speed_test_factor: Number(1.0, 3.0);
        /// Marked speed up to which that factor holds, m/s.
        SpeedTestFactorTo = speed_test_factor_to: Number(1.0, 500.0);
        /// The factor above it.
        SpeedTestFactorFast = speed_test_factor_fast: Number(1.0, 3.0);
        /// Marked speed up to which that factor holds, m/s.
        SpeedTestFactorFastTo = speed_test_factor_fast_to: Number(1.0, 500.0);
        /// Least time at test speed, min; never 0.
        SpeedTestMinutes = speed_test_minutes: Number(0.1, 60.0);
        /// Published time at test speed, s, that the shop's own is held against.
        SpeedTestHold = speed_test_hold: Number(1.0, 3600.0);
        /// Below this diameter the ring test says nothing.
        RingTestDiameter = ring_test_diameter: Length(0.0, 1000.0);
        /// Below this thickness the ring test says nothing.
        RingTestThickness = ring_test_thickness: Length(0.0, 1000.0);
        /// Greatest difference of thickness, by outside diameter.
        ThicknessVariation = thickness_variation: Brackets;
        /// Least distance from the hole to the flange's bearing ring.
        BearingClearOfHole = bearing_clear_of_hole: Length(0.0, 100.0);
        /// Least width on which a flange bears, as a share of its diameter.
        BearingWidthShare = bearing_width_share: Number(0.0, 0.5);
        /// Blotters for each mounting.
        Blotter = blotter: Number(0.0, 2.0);
        /// Most that a bushing takes from the hole's diameter, by outside diameter.
        BushingReduction = bushing_reduction: Brackets;
        /// Least length of a bushing, as a share of the thickness.
        BushingLengthShare = bushing_length_share: Number(0.0, 1.0);
        /// Least fillet radius of a recess.
        RecessFilletLeast = recess_fillet_least: Length(0.0, 100.0);
        /// Radius at the root of grooves whose bottom is not round.
        GrooveRootRadius = groove_root_radius: Length(0.001, 100.0);
        /// Radius worn between two side dressings.
        WearPerSideDressing = wear_per_side_dressing: Length(0.1, 1000.0);
        /// Hub bolts.
        HubBolts = hub_bolts: Number(1.0, 100.0);
        /// Their nominal diameter.
        HubBoltDiameter = hub_bolt_diameter: Length(1.0, 100.0);
        /// Torque of each, N·m.
        BoltTorque = bolt_torque: Number(0.1, 1000.0);
        /// Torque over force and diameter of a bolt.
        NutFactor = nut_factor: Number(0.01, 1.0);
        /// Friction between wheel, blotter and flange.
        BlotterFriction = blotter_friction: Number(0.01, 1.0);
        /// Greatest tension altered over blank, at equal surface speed, above which to ask.
        StressRatio = stress_ratio: Number(0.1, 10.0);
        /// Trial run before the day's work, min.
        RunIn = run_in: Number(0.1, 60.0);
        /// Trial run after a wheel was changed, min.
        RunInAfterChange = run_in_after_change: Number(0.1, 60.0);
        /// How far above the horizontal the guard's opening may begin, degrees.
        GuardTop = guard_top: Number(0.0, 180.0);
        /// Weight of a harmonic below which it is told and not asked about.
        HarmonicWeight = harmonic_weight: Number(0.0, 2.0);
        /// Upper deviation of the spindle.
        SpindleUpperDeviation = spindle_upper_deviation: Length(-1.0, 1.0);
        /// Lower deviation of the spindle.
        SpindleLowerDeviation = spindle_lower_deviation: Length(-1.0, 0.0);
        /// Balance factor k by use, √g.
        UnbalanceK = unbalance_k: Table;
        /// Which use of that table applies.
        UnbalanceUse = unbalance_use: Name;
        /// Least diameter the balance formula is for.
        UnbalanceDiameter = unbalance_least_diameter: Length(0.0, 1000.0);
        /// Least speed the balance formula is for, m/s.
        UnbalanceSpeed = unbalance_least_speed: Number(0.0, 200.0);
        /// Mass above which one person does not lift alone, kg.
        LiftingMass = lifting_mass: Number(0.0, 200.0);
        /// Greatest exposure of the wheel by its guard, degrees.
        GuardExposure = guard_exposure: Number(0.0, 360.0);
        /// Burst speed over maximum speed, machine grinding at ordinary speed.
        BurstFactor = burst_factor: Number(1.0, 5.0);
        /// The same for other uses.
        BurstFactorOther = burst_factor_other: Number(1.0, 5.0);
        /// Thickness above which a wheel without recess is asked about.
        WideWithoutRecess = wide_without_recess: Length(0.0, 1000.0);
        /// Usual pitch of side grooves, degrees.
        GroovePitch = groove_pitch: Number(0.0, 360.0);
        /// Fillet windows of crank journals.
        FilletWindows = fillet_windows: Windows;
        /// Tensile strength of vitrified wheels, from and to, MPa.
        TensileStrength = tensile_strength: Range;
        /// Poisson's ratio of the wheel.
        PoissonRatio = poisson_ratio: Number(0.0, 0.5);
        /// Density at structures named in the table, g/cm³; straight between and beyond.
        StructureDensity = structure_density: Table;
        /// Grain share at structure 0 and its fall with each structure, % of volume.
        GrainShare = grain_share: Range;
        /// Preferred maximum speeds, m/s.
        PreferredSpeeds = preferred_speeds: Numbers;
        /// Colour stripes by speed, m/s.
        SpeedStripes = speed_stripes: Table;
        /// Grit designations.
        GritSizes = grit_sizes: Numbers;
        /// Outside diameter above which the label states the rpm.
        LabelRpmDiameter = label_rpm_diameter: Length(0.0, 1000.0);
        /// Share by which the groove frequency must keep away from a natural frequency.
        ExcitationMargin = excitation_margin: Number(0.0, 1.0);
        /// Wall left under grooves below which to ask, as a share of the thickness.
        GrooveWallAskShare = groove_wall_ask_share: Number(0.0, 1.0);
        /// Wall left under grooves below which to stop, as a share of the thickness.
        GrooveWallLeastShare = groove_wall_least_share: Number(0.0, 1.0);
        /// Least land between two grooves.
        LandLeast = land_least: Length(0.0, 100.0);
        /// Land below which to ask, as a multiple of the groove width.
        LandAskRatio = land_ask_ratio: Number(0.0, 10.0);
        /// Least share of the side's ring that must stay land.
        LandShareLeast = land_share_least: Number(0.0, 1.0);
        /// Step of recess diameters a shop turns, inch orders.
        RecessDiameterStepInch = recess_diameter_step_inch: Length(0.01, 100.0);
        /// Step of recess diameters a shop turns, millimetre orders.
        RecessDiameterStepMm = recess_diameter_step_mm: Length(0.01, 100.0);
        /// Step of recess depths a shop turns, inch orders.
        RecessDepthStepInch = recess_depth_step_inch: Length(0.01, 100.0);
        /// Step of recess depths a shop turns, millimetre orders.
        RecessDepthStepMm = recess_depth_step_mm: Length(0.01, 100.0);
        /// Lead of the side dressing diamond where the order names none, per revolution.
        SideDressLead = side_dress_lead: Length(0.001, 10.0);
        /// How much of a crankshaft grinder's wheel is used, on the radius: proposed where a draft leaves it open, as all that follow.
        UsualUsed = usual_used: Twin(1.0, 1000.0);
        /// Usual width of grooves.
        UsualGrooveWidth = usual_groove_width: Twin(0.1, 100.0);
        /// Usual depth of grooves.
        UsualGrooveDepth = usual_groove_depth: Twin(0.1, 100.0);
        /// How far outside of a recess grooves and tapers usually begin, on the diameter.
        UsualOutsideRecess = usual_outside_recess: Twin(0.1, 1000.0);
        /// Usual diameter of the disc that leaves a run-out.
        UsualDiscDiameter = usual_disc_diameter: Twin(10.0, 1000.0);
        /// Usual fillet radius of a recess.
        UsualRecessFillet = usual_recess_fillet: Twin(0.1, 100.0);
        /// Usual depth of a recess as a share of the thickness.
        UsualRecessDepthShare = usual_recess_depth_share: Number(0.01, 0.49);
        /// Usual corner radius.
        UsualCornerRadius = usual_corner_radius: Twin(0.1, 100.0);
        /// Usual corner chamfer.
        UsualCornerChamfer = usual_corner_chamfer: Twin(0.1, 100.0);
        /// Usual chamfer of the bore.
        UsualBoreChamfer = usual_bore_chamfer: Twin(0.1, 100.0);
        /// Usual depth of a taper.
        UsualTaperDepth = usual_taper_depth: Twin(0.01, 100.0);
        /// Usual pitches of grooves, degrees, the finest first; each divides the circle.
        UsualPitches = usual_pitches: Numbers;
    }
    sources {
        /// Source of what the record of the speed test holds.
        TestRecord = test_record;
        /// Source of asking the maker for the new shape's speed.
        ShapeConsent = shape_consent;
        /// Source of what makers advise of altering.
        Altering = altering;
        /// Source of carrying restrictions and expiry over.
        RestrictionCarried = restriction_carried;
        /// Source of taking the blank's own sizes and rpm off.
        OldMarking = old_marking;
        /// Source of marking sets.
        SetMark = set_mark;
        /// Source of vouching for a standard's number.
        ConformityClaim = conformity_claim;
        /// Source of the heavy point's mark.
        HeavyPoint = heavy_point;
        /// Source of how wheels are kept.
        Storage = storage;
        /// Source of rounding the marked rpm down.
        MarkedRpm = marked_rpm;
        /// Source of the caution on side grinding.
        SideGrinding = side_grinding;
        /// Source of stating intentional grooves.
        IntentionalGrooves = intentional_grooves;
        /// Source of the rule of bolts and thickness.
        BoltReach = bolt_reach;
        /// Source of the rule of recess and worn-out wheel.
        RecessTravel = recess_travel;
        /// Source of what is due after altering.
        AfterAltering = after_altering;
        /// Source of the fields of the specification mark.
        SpecificationMark = specification_mark;
        /// Source of the direction of skewed grooves.
        SkewDirection = skew_direction;
        /// Source of the grade guide.
        GradeGuide = grade_guide;
    }
}

impl Limit {
    /// The value as a reader understands it, with its unit; lengths in the unit of the file.
    pub fn shown(&self) -> String {
        let scale = if self.unit == "in" { crate::quantity::MM_PER_INCH } else { 1.0 };
        let number = |x: f64| crate::quantity::trimmed(x / scale, 5);
        let value = match &self.value {
            LimitValue::Number(x) => number(*x),
            LimitValue::Twin(Twin { inch, mm }) => {
                format!("{} in, {} mm", crate::quantity::trimmed(inch / crate::quantity::MM_PER_INCH, 5), number(*mm))
            }
            LimitValue::Numbers(list) => list.iter().map(|&x| number(x)).collect::<Vec<_>>().join(", "),
            LimitValue::Ranges(list) => {
                list.iter().map(|&(l, h)| format!("{} to {}", number(l), number(h))).collect::<Vec<_>>().join(", ")
            }
            LimitValue::Range(low, high) => format!("{} to {}", number(*low), number(*high)),
            LimitValue::Brackets(brackets) => {
                let part = |b: &Bracket| match b.includes_end {
                    true => format!("{} up to {}, ", number(b.value), number(b.to)),
                    false => format!("{} below {}, ", number(b.value), number(b.to)),
                };
                let sizes: String = brackets.up_to.iter().map(part).collect();
                format!("{sizes}{} beyond", number(brackets.beyond))
            }
            LimitValue::Table(list) => {
                list.iter().map(|(name, x)| format!("{name} {}", number(*x))).collect::<Vec<_>>().join(", ")
            }
            LimitValue::Name(name) => name.clone(),
            LimitValue::Nothing => return String::new(),
        };
        format!("{value} {}", self.unit).trim_end().to_owned()
    }
}

/// Whether a speed, share or angle is at most another; equal ones are.
pub(super) fn no_more(value: f64, limit: f64) -> bool {
    value <= limit + SAME_SHARE * limit.abs().max(value.abs())
}
