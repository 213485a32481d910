//! The density of the abrasive: given, weighed, or estimated from the structure of its mark.

use super::mark::{Bond, Mark};
use crate::wheel::Job;

/// Where a density comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The order gives it.
    Given,
    /// The blank's weight over its volume.
    Weighed,
    /// Estimated from the structure: a guide only.
    Estimated,
}

/// A density, and how far it can be trusted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Density {
    /// kg/m³.
    pub value: f64,
    /// Where it comes from.
    pub origin: Origin,
}

/// What an estimate goes by.
#[derive(Debug, Clone, PartialEq)]
pub struct Structures {
    /// Structure and density in g/cm³ of vitrified alumina wheels, rising; straight between, and beyond the ends.
    pub known: Vec<(f64, f64)>,
    /// Grain share at structure 0, % of volume, and its fall with each structure.
    pub grain_share: (f64, f64),
}

/// Densities of the grains, g/cm³: fused alumina and silicon carbide (handbook values of the minerals, rounded).
const ALUMINA: f64 = 3.95;
const SILICON_CARBIDE: f64 = 3.21;

/// Structures the estimate is for; outside it the straight line means nothing.
const STRUCTURES: std::ops::RangeInclusive<u32> = 2..=14;

/// The density of an order's abrasive: the order's own, else an estimate from its mark.
pub fn of(job: &Job, mark: Option<&Mark>, structures: &Structures) -> Option<Density> {
    if let Some(value) = job.density() {
        let given = job.blank.as_ref().is_some_and(|b| b.density.is_some());
        return Some(Density { value, origin: if given { Origin::Given } else { Origin::Weighed } });
    }
    Some(Density { value: estimate(mark?, structures)?, origin: Origin::Estimated })
}

/// Density of a vitrified alumina or silicon carbide wheel by its structure, kg/m³; `None` for others, and without a structure.
pub fn estimate(mark: &Mark, structures: &Structures) -> Option<f64> {
    let n = mark.structure.filter(|n| STRUCTURES.contains(n))?;
    if mark.bond != Bond::Vitrified {
        return None;
    }
    let n = f64::from(n);
    let alumina = straight(&structures.known, n)?;
    let (at_zero, fall) = structures.grain_share;
    let share = (at_zero - fall * n) / 100.0;
    match mark.abrasive {
        'A' => Some(1000.0 * alumina),
        // the same bond and pores, other grains
        'C' => Some(1000.0 * (alumina - share * (ALUMINA - SILICON_CARBIDE))),
        _ => None,
    }
}

/// Straight between the known points and beyond the outer two.
fn straight(known: &[(f64, f64)], x: f64) -> Option<f64> {
    let above = known.partition_point(|&(k, _)| k < x).clamp(1, known.len().checked_sub(1)?.max(1));
    let ((x0, y0), (x1, y1)) = (known[above - 1], *known.get(above)?);
    Some(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
}

#[cfg(test)]
mod tests {
    use super::super::mark::parse;
    use super::*;

    fn structures() -> Structures {
        Structures { known: vec![(6.0, 2.2), (8.0, 2.06)], grain_share: (62.0, 2.0) }
    }

    #[test]
    fn tutorials_give_two_points_and_the_line_through_them() {
        // tutorials: 2.2 g/cm³ at structure 6, 2.06 at 8; 50 % grain at 6, so silicon carbide lies 0.5 · 0.74 lower
        let at = |text: &str| estimate(&parse(text).unwrap(), &structures());
        let near = |text: &str, want: f64| assert!((at(text).unwrap() - want).abs() < 1e-9, "{text}");
        near("A 54 K 6 V", 2200.0);
        near("A 54 K 8 V", 2060.0);
        near("A 54 K 7 V", 2130.0);
        near("A 54 K 5 V", 2270.0);
        near("A 54 K 10 V", 1920.0);
        near("C 54 K 6 V", 1830.0);
        // of three points the two on either side count, or the outer two
        let three = Structures { known: vec![(4.0, 2.4), (6.0, 2.2), (8.0, 2.06)], grain_share: (62.0, 2.0) };
        for (structure, want) in [(2, 2600.0), (4, 2400.0), (5, 2300.0), (6, 2200.0), (7, 2130.0), (9, 1990.0)] {
            let got = estimate(&parse(&format!("A 54 K {structure} V")).unwrap(), &three).unwrap();
            assert!((got - want).abs() < 1e-9, "structure {structure}: {got}");
        }
        assert_eq!(at("A 54 K V"), None);
        assert_eq!(at("A 54 K 40 V"), None);
        assert_eq!(at("A 54 K 6 B"), None);
        assert_eq!(at("Z 54 K 6 V"), None);
    }
}
