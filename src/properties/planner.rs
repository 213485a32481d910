//! Which number of grooves: lands, coolant, frequency and index for each count, held against limits.

use super::lands::{Lands, radial_plan_area};
use crate::groove::{FaceGroove, SideGroove};
use crate::tolerance::{ROUNDED, SAME_LENGTH, SAME_SHARE};
use crate::wheel::{MOST_PLACES, Pattern, SideName, Wheel};
use std::ops::RangeInclusive;

/// What the counts are held against; lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Limits {
    /// Least land at the inner end.
    pub land_least: f64,
    /// Least land at the inner end as a multiple of the groove width.
    pub land_ratio: f64,
    /// Least ungrooved share of the ring.
    pub share_least: f64,
    /// Share by which the groove frequency keeps away from natural frequencies.
    pub frequency_margin: f64,
}

/// Grooves whose count is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Grooves<'a> {
    /// Radial grooves with parallel walls and a flat bottom in a ring, mm.
    Ring {
        /// Outside diameter.
        outside_diameter: f64,
        /// Inner end.
        inner_diameter: f64,
        /// Width.
        width: f64,
        /// Depth; without it no volume.
        depth: Option<f64>,
    },
    /// Those of a side of an ordered wheel.
    Side(&'a Wheel, SideName),
    /// Those of its face.
    Face(&'a Wheel),
}

/// Grooves, and everything their count is held against.
#[derive(Debug, Clone, PartialEq)]
pub struct Question<'a> {
    /// The grooves.
    pub grooves: Grooves<'a>,
    /// Coolant that one groove carries, mm³; the same for every count. `None` computes it for a ring of known depth.
    pub volume_each: Option<f64>,
    /// Thickness left under the grooves and the least it may be, mm; the same for every count.
    pub wall: Option<(f64, f64)>,
    /// Spindle speed, 1/min; without it no frequency.
    pub rpm: Option<f64>,
    /// Natural frequencies of the machine, Hz.
    pub natural: Vec<f64>,
    /// Smallest step of the indexing head, degrees.
    pub index_step: Option<f64>,
    /// Greatest error of the pitch, degrees.
    pub pitch_tolerance: Option<f64>,
}

impl Grooves<'_> {
    /// Lands between so many of them, and their width, mm; `None` where the wheel has no such grooves.
    fn lands(&self, count: u32) -> Option<(Lands, f64)> {
        let pattern = Pattern { places: count, start_deg: 0.0, omit: Vec::new() };
        match *self {
            Grooves::Ring { outside_diameter, inner_diameter, width, .. } => {
                Some((Lands::of_radial(outside_diameter, inner_diameter, width, count), width))
            }
            Grooves::Side(wheel, name) => {
                let set = wheel.side(name).grooves.as_ref()?;
                let groove = SideGroove::of(wheel, name)?;
                Some((Lands::of_side(&groove, &pattern, set.inner_diameter / 2.0), set.width))
            }
            Grooves::Face(wheel) => {
                let set = wheel.face.as_ref()?;
                Some((Lands::of_face(&FaceGroove::of(wheel)?, &pattern), set.transverse_width()))
            }
        }
    }

    /// Volume of one groove of a ring, mm³.
    fn volume(&self) -> Option<f64> {
        match *self {
            Grooves::Ring { outside_diameter, inner_diameter, width, depth } => {
                Some(radial_plan_area(inner_diameter / 2.0, outside_diameter / 2.0, width) * depth?)
            }
            _ => None,
        }
    }
}

/// Why a count is not recommended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Against {
    /// Grooves run into each other, or the land is below the least.
    Land,
    /// The land is narrower than the groove asks for.
    NarrowLand,
    /// Too little of the ring is left.
    Share,
    /// Too little wall is left under the grooves.
    Wall,
    /// The groove frequency lies near a natural frequency.
    Frequency,
    /// The indexing head cannot hold the pitch within its tolerance.
    Index,
}

impl Against {
    /// In a word or two.
    pub fn word(self) -> &'static str {
        match self {
            Against::Land => "land too small",
            Against::NarrowLand => "land narrower than groove",
            Against::Share => "too little land in all",
            Against::Wall => "wall too thin",
            Against::Frequency => "near a natural frequency",
            Against::Index => "index too coarse",
        }
    }
}

/// One count and what it comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Grooves.
    pub count: u32,
    /// Pitch, degrees.
    pub pitch_deg: f64,
    /// Lands, and where grooves merge.
    pub lands: Lands,
    /// Coolant that the grooves carry in one revolution, mm³.
    pub coolant: Option<f64>,
    /// Thickness left under the grooves, mm.
    pub wall: Option<f64>,
    /// Groove frequency, Hz.
    pub frequency: Option<f64>,
    /// Greatest error of a pitch by the steps of the indexing head, degrees.
    pub index_error: Option<f64>,
    /// What speaks against it; nothing where it meets all limits.
    pub against: Vec<Against>,
}

/// Frequency at which grooves pass, Hz: N·n/60.
pub fn frequency(count: u32, rpm: f64) -> f64 {
    f64::from(count) * rpm / 60.0
}

/// Share of the load that a harmonic of the groove frequency carries where grooves take the share `groove` of the pitch: 2·|sin(kπs)|/(kπ), the
/// amplitude in the Fourier series of a load that is 1 on the lands and 0 over the grooves.
pub fn harmonic_weight(groove: f64, harmonic: u32) -> f64 {
    let turn = f64::from(harmonic) * std::f64::consts::PI;
    2.0 * (turn * groove).sin().abs() / turn
}

/// Greatest deviation of the angle between neighbouring grooves when each of `count` places is rounded to a multiple of `step` degrees.
pub fn index_error(count: u32, step: f64) -> f64 {
    let pitch = 360.0 / f64::from(count);
    let place = |k: u32| f64::from(k) * 360.0 / f64::from(count);
    let rounded = |k: u32| if k == count { 360.0 } else { (place(k) / step).round() * step };
    let error = (0..count).map(|k| (rounded(k + 1) - rounded(k) - pitch).abs()).fold(0.0, f64::max);
    // angles that are multiples of the step come out within rounding
    if error < ROUNDED { 0.0 } else { error }
}

/// The natural frequency nearest to `frequency` among those within the margin.
pub fn resonance(frequency: f64, natural: &[f64], margin: f64) -> Option<f64> {
    let apart = |f: f64| (frequency - f).abs() / f;
    natural
        .iter()
        .copied()
        .filter(|&f| apart(f) < margin * (1.0 - SAME_SHARE))
        .min_by(|a, b| apart(*a).total_cmp(&apart(*b)))
}

/// Whether a count divides the circle well: its pitch has at most two decimals.
pub fn divides_well(count: u32) -> bool {
    36_000_u32.is_multiple_of(count)
}

/// Counts of a range worth a line: all of a short range, those that divide the circle well of a long one.
pub fn counts(range: RangeInclusive<u32>) -> Vec<u32> {
    const SHORT: u32 = 40;
    let (from, to) = (*range.start(), *range.end());
    if to.saturating_sub(from) < SHORT { range.collect() } else { range.filter(|n| divides_well(*n)).collect() }
}

/// The most radial grooves of this width that leave a land of `land` or more on the circle of this diameter, mm, up to [`MOST_PLACES`]: an arc of
/// 2·r·asin(w/2r) for the groove and the land make the pitch. `None` where not even one does.
pub fn most_grooves(diameter: f64, width: f64, land: f64) -> Option<u32> {
    let r = diameter / 2.0;
    let each = 2.0 * r * (width / diameter).min(1.0).asin() + land - SAME_LENGTH;
    let most = (std::f64::consts::TAU * r / each).floor();
    (most >= 1.0).then(|| (most as u32).min(MOST_PLACES))
}

/// The counts that divide the circle well nearest to one: at or below it, and above it.
pub fn round_counts(count: u32) -> [Option<u32>; 2] {
    let below = (1..=count).rev().find(|n| divides_well(*n));
    [below, (count + 1..=MOST_PLACES).find(|n| divides_well(*n))]
}

/// Every count with what it comes to: those that meet all limits first, each group by rising count.
pub fn sweep(question: &Question<'_>, limits: &Limits, counts: &[u32]) -> Vec<Choice> {
    let mut choices: Vec<Choice> = counts.iter().filter_map(|&n| choice(question, limits, n)).collect();
    choices.sort_by_key(|c| (!c.against.is_empty(), c.count));
    choices
}

fn choice(q: &Question<'_>, limits: &Limits, count: u32) -> Option<Choice> {
    let (lands, width) = q.grooves.lands(count)?;
    let volume = q.volume_each.or_else(|| q.grooves.volume());
    let frequency = q.rpm.map(|rpm| frequency(count, rpm));
    let index_error = q.index_step.map(|step| index_error(count, step));
    let mut against = Vec::new();
    let land = lands.inner.min(lands.outer);
    if count > 1 && land < limits.land_least - SAME_LENGTH {
        against.push(Against::Land);
    } else if count > 1 && land < limits.land_ratio * width - SAME_LENGTH {
        against.push(Against::NarrowLand);
    }
    if lands.share < limits.share_least - SAME_SHARE {
        against.push(Against::Share);
    }
    if q.wall.is_some_and(|(left, least)| left < least - SAME_LENGTH) {
        against.push(Against::Wall);
    }
    if frequency.is_some_and(|f| resonance(f, &q.natural, limits.frequency_margin).is_some()) {
        against.push(Against::Frequency);
    }
    if index_error.is_some_and(|e| e > q.pitch_tolerance.unwrap_or(0.0) + ROUNDED) {
        against.push(Against::Index);
    }
    Some(Choice {
        count,
        pitch_deg: 360.0 / f64::from(count),
        lands,
        coolant: volume.map(|v| f64::from(count) * v),
        wall: q.wall.map(|(left, _)| left),
        frequency,
        index_error,
        against,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn excitation_and_index() {
        // 180 grooves at 1500 rpm: 4500 Hz (calculated)
        assert!((frequency(180, 1500.0) - 4500.0).abs() < 1e-12);
        assert_eq!(index_error(180, 0.5), 0.0);
        assert_eq!(index_error(180, 2.0), 0.0);
        // 2° in steps of 0.3°: places 2, 4, 6 become 2.1, 3.9, 6: pitches 2.1, 1.8, 2.1
        assert!((index_error(180, 0.3) - 0.2).abs() < 1e-9);
        // 7 grooves of 51.428…° in whole degrees: 51, 103, 154, …: at worst 52 − 51.428…
        assert!((index_error(7, 1.0) - (52.0 - 360.0 / 7.0)).abs() < 1e-9);
    }

    /// On Ø400 grooves of 3 mm and lands of 8 mm make a pitch of 11.000028 mm of 1256.637: 114 of them (calculated).
    #[test]
    fn the_most_grooves_leave_the_land_and_one_more_does_not() {
        assert_eq!(most_grooves(400.0, 3.0, 8.0), Some(114));
        let land = |n: u32| Lands::of_radial(400.0, 200.0, 3.0, n).outer;
        for least in [0.5, 2.0, 8.0, 30.0] {
            let most = most_grooves(400.0, 3.0, least).unwrap();
            assert!(land(most) >= least && land(most + 1) < least, "{least}: {most}");
            // on the limit is met
            assert_eq!(most_grooves(400.0, 3.0, land(most)), Some(most));
        }
        assert_eq!((most_grooves(400.0, 3.0, 2000.0), most_grooves(400.0, 3.0, 1253.0)), (None, Some(1)));
        assert_eq!(round_counts(114), [Some(100), Some(120)]);
        assert_eq!(round_counts(180), [Some(180), Some(200)]);
    }

    #[test]
    fn a_resonance_on_the_margin_is_far_enough() {
        assert_eq!(resonance(4500.0, &[4500.0 / 1.1], 0.1), None);
        assert_eq!(resonance(4500.0, &[5000.0], 0.1), None);
        assert_eq!(resonance(4501.0, &[5000.0], 0.1), Some(5000.0));
        assert_eq!(resonance(4500.0, &[3000.0, 4400.0, 4600.0], 0.1), Some(4600.0));
        assert_eq!(resonance(4500.0, &[], 0.1), None);
    }

    #[test]
    fn choices_that_meet_all_limits_come_first() {
        let q = Question {
            grooves: Grooves::Ring { outside_diameter: 400.0, inner_diameter: 200.0, width: 3.0, depth: Some(5.0) },
            volume_each: None,
            wall: None,
            rpm: Some(1500.0),
            natural: vec![2250.0],
            index_step: Some(0.5),
            pitch_tolerance: None,
        };
        let limits = Limits { land_least: 1.0, land_ratio: 1.0, share_least: 0.5, frequency_margin: 0.1 };
        let found = sweep(&q, &limits, &[180, 90, 60, 72, 7]);
        let order: Vec<u32> = found.iter().map(|c| c.count).collect();
        assert_eq!(order, [60, 72, 7, 90, 180]);
        let of = |n: u32| found.iter().find(|c| c.count == n).unwrap();
        // trade values: 180 grooves of 3 × 5 from Ø200 to Ø400 remove 270 005.063 mm³; the land at Ø200 is 0.49 mm
        assert!((of(180).coolant.unwrap() - 270_005.063).abs() < 5e-4);
        assert!((of(180).lands.outer / 6.981_32 - 0.5703).abs() < 5e-5);
        assert_eq!(of(180).against, [Against::Land, Against::Share]);
        assert_eq!(of(90).against, [Against::Frequency]);
        assert_eq!(of(7).against, [Against::Index]);
        assert!(of(60).against.is_empty());
    }
}
