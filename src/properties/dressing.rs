//! Dressing a side: area, length of the diamond's path and time, with a recess and without.

use std::f64::consts::PI;

/// One dressing of the ring between two diameters, the diamond fed along the radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingDressing {
    /// Area dressed, mm².
    pub area: f64,
    /// Length of the spiral the diamond runs, m: area / lead.
    pub path: f64,
    /// Time, s; `None` where the spindle speed is not known.
    pub time: Option<f64>,
}

/// Dressing of the ring from `inner` to `outer` diameter, mm, at a lead in mm per revolution.
pub fn ring(outer: f64, inner: f64, lead: f64, rpm: Option<f64>) -> RingDressing {
    let area = PI / 4.0 * ((outer - inner) * (outer + inner)).max(0.0);
    let turns = ((outer - inner) / 2.0 / lead).max(0.0);
    RingDressing { area, path: area / lead / 1000.0, time: rpm.map(|n| turns / n * 60.0) }
}

/// What a recess spares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saving {
    /// Dressed from the flange's clearance out.
    pub without: RingDressing,
    /// Dressed from the recess out.
    pub with: RingDressing,
    /// Share of the area, and of the diamond's path, that is spared, 0 to 1.
    pub area_share: f64,
    /// Share of the time that is spared, 0 to 1.
    pub time_share: f64,
}

/// What a recess of this diameter spares on a side dressed from diameter `inner` to `outer`, all in mm.
pub fn saving(outer: f64, recess: f64, inner: f64, lead: f64, rpm: Option<f64>) -> Saving {
    let inner = inner.min(outer);
    let recess = recess.clamp(inner, outer);
    let (without, with) = (ring(outer, inner, lead, rpm), ring(outer, recess, lead, rpm));
    let share = |part: f64, whole: f64| if whole > 0.0 { 1.0 - part / whole } else { 0.0 };
    Saving {
        without,
        with,
        area_share: share(with.area, without.area),
        time_share: share(outer - recess, outer - inner),
    }
}

/// What a recess spares over the wheel's life.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LifeSaving {
    /// Side dressings.
    pub dressings: u32,
    /// Path of the diamond spared, m.
    pub path: f64,
    /// Time spared, s; `None` where the spindle speed is not known.
    pub time: Option<f64>,
}

/// What a recess spares over all side dressings, one for each `between` mm of radius that the wheel wears from `outer` to `worn` diameter; the
/// others as in [`saving`].
pub fn life_saving(outer: f64, worn: f64, between: f64, recess: f64, inner: f64, lead: f64, rpm: Option<f64>) -> LifeSaving {
    let dressings = ((outer - worn).max(0.0) / 2.0 / between).floor();
    let mut sum = LifeSaving { dressings: dressings as u32, path: 0.0, time: rpm.map(|_| 0.0) };
    for i in 1..=sum.dressings {
        let s = saving(outer - 2.0 * between * f64::from(i), recess, inner, lead, rpm);
        sum.path += s.without.path - s.with.path;
        sum.time = sum.time.zip(s.without.time).zip(s.with.time).map(|((sum, without), with)| sum + without - with);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ring_in_closed_form() {
        // 400 to 200 mm at 0.1 mm: area π/4·(400² − 200²) = 94 247.780 mm², 1000 turns, path 942.478 m, one minute at 1000 rpm
        let d = ring(400.0, 200.0, 0.1, Some(1000.0));
        assert!((d.area - 94_247.779_607_693_8).abs() < 1e-6);
        assert!((d.path - 942.477_796_076_938).abs() < 1e-9);
        assert!((d.time.unwrap() - 60.0).abs() < 1e-9);
    }

    #[test]
    fn the_spiral_is_as_long_as_its_area_over_the_lead() {
        // length of r = a + (lead/2π)·φ, summed over small chords, against area / lead
        let (outer, inner, lead) = (200.0, 100.0, 0.5);
        let steps = 400_000;
        let turns = (outer - inner) / 2.0 / lead;
        let at = |i: usize| {
            let t = i as f64 / f64::from(steps);
            let r: f64 = inner / 2.0 + (outer - inner) / 2.0 * t;
            let angle = std::f64::consts::TAU * turns * t;
            (r * angle.cos(), r * angle.sin())
        };
        let length: f64 = (0..steps as usize)
            .map(|i| {
                let ((x0, y0), (x1, y1)) = (at(i), at(i + 1));
                (x1 - x0).hypot(y1 - y0)
            })
            .sum();
        let path = ring(outer, inner, lead, None).path * 1000.0;
        assert!((length / path - 1.0).abs() < 1e-5, "{length} {path}");
    }

    /// From 600 to 400 mm, dressed after each 10 mm of radius: ten times, and each time the ring from 310 to 360 mm is spared.
    #[test]
    fn a_life_spares_the_ring_at_every_dressing() {
        let life = life_saving(600.0, 400.0, 10.0, 360.0, 310.0, 0.1, Some(1000.0));
        let once = ring(360.0, 310.0, 0.1, Some(1000.0));
        assert_eq!(life.dressings, 10);
        assert!((life.path - 10.0 * once.path).abs() < 1e-6);
        assert!((life.time.unwrap() - 10.0 * once.time.unwrap()).abs() < 1e-6);
        assert_eq!(life_saving(600.0, 600.0, 10.0, 360.0, 310.0, 0.1, None).dressings, 0);
        // a wheel worn into its recess has nothing left to spare there
        let into = life_saving(600.0, 300.0, 10.0, 360.0, 310.0, 0.1, None);
        assert!(into.path < f64::from(into.dressings) * once.path);
    }

    #[test]
    fn a_recess_spares_the_ring_it_removes() {
        let s = saving(660.4, 406.4, 304.8, 0.1, Some(950.0));
        let share = (406.4_f64.powi(2) - 304.8_f64.powi(2)) / (660.4_f64.powi(2) - 304.8_f64.powi(2));
        assert!((s.area_share - share).abs() < 1e-12);
        assert!((s.time_share - (406.4 - 304.8) / (660.4 - 304.8)).abs() < 1e-12);
        // a recess within the flange spares nothing, one beyond the wheel everything
        assert_eq!(saving(400.0, 100.0, 150.0, 0.1, None).area_share, 0.0);
        assert_eq!(saving(400.0, 500.0, 150.0, 0.1, None).area_share, 1.0);
        // a flange as large as the wheel leaves nothing to dress and nothing to spare
        let none = saving(400.0, 300.0, 400.0, 0.1, Some(950.0));
        assert_eq!((none.area_share, none.time_share), (0.0, 0.0));
    }
}
