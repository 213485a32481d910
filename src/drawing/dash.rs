//! Broken lines, stretched so that each starts and ends on a dash (ISO 128-2: on a long dash where there are two lengths).
//!
//! Worked out once, so that every writer breaks a line at the same places.

use super::{LineRole, Pen};

/// How one line is broken up; an empty pattern is an unbroken line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dashes {
    /// Lengths of dash, gap, dash, gap …, mm, repeated along the line.
    pub pattern: Vec<f64>,
    /// Where in the pattern the line starts, mm.
    pub phase: f64,
}

/// Share of (pattern + dash) below which a line is too short to be broken up and stays whole. A line of half of it still shows one gap or dot
/// between two dashes of half their length.
const SHORTEST: f64 = 0.5;

/// The dashes of an open line of this length, mm: the pattern is stretched so that a whole number of repeats and one more dash fill it.
pub fn open(pen: &Pen, role: LineRole, length: f64) -> Dashes {
    let pattern = pen.dashes(role);
    let Some(&dash) = pattern.first() else { return Dashes::default() };
    let period: f64 = pattern.iter().sum();
    if length < SHORTEST * (period + dash) {
        return Dashes::default();
    }
    let repeats = ((length - dash) / period).round().max(1.0);
    stretched(&pattern, length / (repeats * period + dash), 0.0)
}

/// The dashes of a full circle of this circumference, mm: a whole number of repeats, where possible a multiple of four with a dash in the
/// middle of each quarter point, so that centre lines cross it on dashes.
pub fn closed(pen: &Pen, role: LineRole, length: f64) -> Dashes {
    let pattern = pen.dashes(role);
    let Some(&dash) = pattern.first() else { return Dashes::default() };
    let period: f64 = pattern.iter().sum();
    if length < SHORTEST * 4.0 * period {
        return Dashes::default();
    }
    let repeats = ((length / period / 4.0).round() * 4.0).max(4.0);
    stretched(&pattern, length / (repeats * period), dash / 2.0)
}

fn stretched(pattern: &[f64], factor: f64, phase: f64) -> Dashes {
    Dashes { pattern: pattern.iter().map(|l| l * factor).collect(), phase: phase * factor }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PEN: Pen = Pen::GROUP_05;

    /// What is left of the line's length after whole repeats.
    fn rest(length: f64, dashes: &Dashes) -> f64 {
        let period: f64 = dashes.pattern.iter().sum();
        length - (length / period + 1e-9).floor() * period
    }

    #[test]
    fn an_open_line_ends_on_a_whole_dash() {
        for role in [LineRole::Axis, LineRole::Blank, LineRole::Hidden, LineRole::CuttingPlane] {
            for tenths in 30..4000 {
                let length = f64::from(tenths) / 10.0;
                let dashes = open(&PEN, role, length);
                let Some(&dash) = dashes.pattern.first() else {
                    let nominal: f64 = PEN.dashes(role).iter().sum::<f64>() + PEN.dashes(role)[0];
                    assert!(length < nominal / 2.0, "{role:?} {length}");
                    continue;
                };
                assert!((rest(length, &dashes) - dash).abs() < 1e-6, "{role:?} {length}: {dashes:?}");
                let stretch = dash / PEN.dashes(role)[0];
                assert!((0.5..=1.5).contains(&stretch), "{role:?} {length}: {stretch}");
            }
        }
    }

    #[test]
    fn a_circle_closes_with_dashes_on_its_quarters() {
        for role in [LineRole::Axis, LineRole::Hidden] {
            for length in [30.0, 95.3, 800.0] {
                let dashes = closed(&PEN, role, length);
                let period: f64 = dashes.pattern.iter().sum();
                let repeats = length / period;
                assert!((repeats / 4.0 - (repeats / 4.0).round()).abs() < 1e-9, "{role:?} {length}");
                assert!((dashes.phase - dashes.pattern[0] / 2.0).abs() < 1e-12);
            }
        }
        assert_eq!(closed(&PEN, LineRole::Axis, 2.0), Dashes::default());
        assert_eq!(open(&PEN, LineRole::Visible, 50.0), Dashes::default());
    }
}
