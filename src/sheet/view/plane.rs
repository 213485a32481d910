//! The upright plane that sections are cut in, and what of the grooves lies in it: its upper half in the direction of +y, its lower half opposite.
//!
//! A groove is drawn where the plane runs along its centre line. A set of which the plane meets no groove so is turned into it (ISO 128: features
//! that repeat around an axis), which the section says in words; a place left uncut stays uncut in the section.

use super::groove_section::GrooveSection;
use super::Style;
use crate::geometry::{Edge, Point};
use crate::groove::FaceGroove;
use crate::section::Section;
use crate::size::{GrooveSet, SideName};
use crate::tolerance::SAME_DIRECTION_DEG;
use crate::wheel::{FaceGrooves, Pattern, Wheel};
use std::f64::consts::TAU;

/// Directions of the two halves of the plane, degrees counter-clockwise as seen from outside side A.
const HALVES: [f64; 2] = [90.0, 270.0];
/// Chords of a helical groove's bottom cut by the plane.
const CHORDS: i32 = 12;
/// Steps after which the radius of a helical groove's bottom stands still.
const SETTLED: usize = 6;

/// How the grooves of a set meet one half of the plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Meets {
    /// The plane runs along one of them.
    Cut,
    /// One is turned into the plane.
    Turned,
    /// None is drawn.
    Missed,
}

/// How the grooves of a pattern meet both halves; those of a `straight` set run along radii or along the axis.
fn meets(pattern: &Pattern, straight: bool) -> [Meets; 2] {
    let pitch = pattern.pitch_deg();
    let nearest = HALVES.map(|half| {
        let steps = ((half - pattern.start_deg) / pitch).round();
        let place = steps.rem_euclid(f64::from(pattern.places)) as u32 + 1;
        let off = (half - pattern.start_deg - steps * pitch).abs();
        (place, off)
    });
    let mut found = nearest.map(|(place, off)| match pattern.omit.binary_search(&place) {
        Ok(_) => Meets::Missed,
        Err(_) if straight && off < SAME_DIRECTION_DEG => Meets::Cut,
        Err(_) => Meets::Turned,
    });
    // one groove is not drawn twice
    if nearest[0].0 == nearest[1].0 {
        found[usize::from(nearest[0].1 <= nearest[1].1)] = Meets::Missed;
    }
    if found.contains(&Meets::Cut) {
        found = found.map(|m| if m == Meets::Turned { Meets::Missed } else { m });
    }
    found
}

/// All grooves of a wheel in the plane.
pub(super) struct Plane {
    thickness: f64,
    sides: Vec<(SideName, [Meets; 2], GrooveSection)>,
    face: Option<FaceSection>,
}

/// The grooves of the face in the plane.
struct FaceSection {
    groove: FaceGroove,
    pattern: Pattern,
    meets: [Meets; 2],
    /// z where the periphery begins and ends.
    rim: [f64; 2],
    /// z where the floor of a straight groove begins and ends.
    floor: [f64; 2],
}

impl Plane {
    /// The grooves of a wheel.
    pub fn of(wheel: &Wheel, section: &Section) -> Plane {
        let side = |name: SideName| {
            let grooves = wheel.side(name).grooves.as_ref()?;
            let meets = meets(&grooves.pattern, grooves.skew_deg == 0.0);
            Some((name, meets, GrooveSection::of(wheel, section, name)?))
        };
        let sides = SideName::BOTH.into_iter().filter_map(side).collect();
        let face = wheel.face.as_ref().and_then(|g| FaceSection::of(g, wheel, section));
        Plane { thickness: wheel.thickness, sides, face }
    }

    /// The same without what is turned into the plane.
    pub fn without_turned(mut self) -> Plane {
        let sides = self.sides.iter_mut().map(|(_, meets, _)| meets);
        for meets in sides.chain(self.face.iter_mut().map(|f| &mut f.meets)).flatten() {
            if *meets == Meets::Turned {
                *meets = Meets::Missed;
            }
        }
        self
    }

    /// Walls and floors in a half, in (r, z).
    pub fn edges(&self, half: usize) -> Vec<Edge> {
        let drawn = self.sides.iter().filter(|(_, meets, _)| meets[half] != Meets::Missed);
        let mut edges: Vec<Edge> = drawn
            .flat_map(|(side, _, section)| section.edges.iter().map(|e| on_side(e, *side, self.thickness)))
            .collect();
        edges.extend(self.face.iter().flat_map(|f| f.edges(half)));
        edges
    }

    /// Whether a point (r, z) of a half lies in a groove.
    pub fn is_void(&self, half: usize, r: f64, z: f64) -> bool {
        let in_side = |(side, meets, section): &(SideName, [Meets; 2], GrooveSection)| {
            let depth = if *side == SideName::A { z } else { self.thickness - z };
            meets[half] != Meets::Missed && section.is_void(r, depth)
        };
        self.sides.iter().any(in_side) || self.face.as_ref().is_some_and(|f| f.is_void(half, r, z))
    }

    /// Whether the grooves of a side are drawn in a half.
    pub fn shows(&self, side: SideName, half: usize) -> bool {
        self.sides.iter().any(|(name, meets, _)| *name == side && meets[half] != Meets::Missed)
    }

    /// What a view of these halves must say of the grooves: those turned into the plane, those that it shows nowhere.
    pub fn notes(&self, halves: &[usize], style: &Style) -> Vec<String> {
        let sides = self.sides.iter().map(|(side, meets, _)| (GrooveSet::Side(*side), meets));
        let all: Vec<(GrooveSet, &[Meets; 2])> =
            sides.chain(self.face.iter().map(|f| (GrooveSet::Face, &f.meets))).collect();
        let named = |wanted: &dyn Fn(&[Meets; 2]) -> bool| {
            let words = |set: GrooveSet| match set {
                GrooveSet::Side(side) => style.of_side("view.side", side),
                GrooveSet::Face => style.say("view.of_the_face").to_owned(),
            };
            let words: Vec<String> = all.iter().filter(|(_, m)| wanted(m)).map(|(set, _)| words(*set)).collect();
            (!words.is_empty()).then(|| words.join(style.say("view.and_of")))
        };
        let turned = named(&|m| halves.iter().any(|&h| m[h] == Meets::Turned));
        let missed = named(&|m| halves.iter().all(|&h| m[h] == Meets::Missed));
        let told = |key: &'static str, of: Option<String>| of.map(|which| style.put(key, &[("which", &which)]));
        told("view.turned", turned).into_iter().chain(told("view.missed", missed)).collect()
    }
}

/// An edge in (r, depth below a side's datum plane) in (r, z).
fn on_side(edge: &Edge, side: SideName, thickness: f64) -> Edge {
    match side {
        SideName::A => *edge,
        SideName::B => edge.mirrored_y().translated(Point::new(0.0, thickness)),
    }
}

impl FaceSection {
    fn of(ordered: &FaceGrooves, wheel: &Wheel, section: &Section) -> Option<FaceSection> {
        let groove = FaceGroove::of(wheel)?;
        let (r, t) = (groove.outside_radius, wheel.thickness);
        let at = |r: f64| {
            let depth = |side| section.profile(side).depth_inside(r);
            [depth(SideName::A), t - depth(SideName::B)]
        };
        let nominal = |side: SideName| wheel.side(side).nominal_depth(r);
        let rim = [nominal(SideName::A), t - nominal(SideName::B)];
        let pattern = ordered.pattern.clone();
        let meets = meets(&pattern, true);
        let mut found = FaceSection { groove, pattern, meets, rim, floor: at(groove.floor_u) };
        if groove.twist != 0.0 {
            found.meets = [0, 1].map(|h| if found.helical(h).is_empty() { Meets::Missed } else { Meets::Cut });
        }
        Some(found)
    }

    /// Angle by which a half of the plane lies off the nearest groove at z, radians; `None` where that place is left uncut.
    fn off(&self, half: usize, z: f64) -> Option<f64> {
        let pitch = TAU / f64::from(self.pattern.places);
        let from_first = (HALVES[half] - self.pattern.start_deg).to_radians() - self.groove.twist * z;
        let steps = (from_first / pitch).round();
        let place = steps.rem_euclid(f64::from(self.pattern.places)) as u32 + 1;
        self.pattern.omit.binary_search(&place).is_err().then_some(from_first - steps * pitch)
    }

    /// Radius of the bottom at an angle off a groove's middle, mm; `None` outside its walls.
    fn bottom(&self, off: f64) -> Option<f64> {
        let (sin, cos) = off.sin_cos();
        let mut r = self.groove.floor_u;
        for _ in 0..SETTLED {
            r = self.groove.floor_at(r * sin)? / cos;
        }
        (r < self.groove.outside_radius).then_some(r)
    }

    fn is_void(&self, half: usize, r: f64, z: f64) -> bool {
        match self.groove.twist == 0.0 {
            true => self.meets[half] != Meets::Missed && r > self.groove.floor_u,
            false => self.off(half, z).and_then(|off| self.bottom(off)).is_some_and(|bottom| r > bottom),
        }
    }

    fn edges(&self, half: usize) -> Vec<Edge> {
        if self.groove.twist != 0.0 {
            return self.helical(half);
        }
        let floor = self.floor.map(|z| Point::new(self.groove.floor_u, z));
        if self.meets[half] == Meets::Missed { Vec::new() } else { vec![Edge::line(floor[0], floor[1])] }
    }

    /// Walls and bottoms of helical grooves that run through the plane, as chords.
    fn helical(&self, half: usize) -> Vec<Edge> {
        let (groove, pitch) = (self.groove, TAU / f64::from(self.pattern.places));
        let Some(widest) = groove.half_angle(groove.outside_radius) else { return Vec::new() };
        let passed = |z: f64| ((HALVES[half] - self.pattern.start_deg).to_radians() - groove.twist * z) / pitch;
        let ends = self.rim.map(passed);
        let (first, last) = (ends[0].min(ends[1]).floor() as i64, ends[0].max(ends[1]).ceil() as i64);
        let mut edges = Vec::new();
        for step in first..=last {
            let place = step.rem_euclid(i64::from(self.pattern.places)) as u32 + 1;
            if self.pattern.omit.binary_search(&place).is_ok() {
                continue;
            }
            let middle = (passed(0.0) - step as f64) * pitch / groove.twist;
            let at = |i: i32| {
                let off = widest * f64::from(i) / f64::from(CHORDS);
                let r = if i.abs() == CHORDS { groove.outside_radius } else { self.bottom(off).unwrap_or(groove.floor_u) };
                Point::new(r, middle - off / groove.twist)
            };
            let chords = (-CHORDS..CHORDS).map(|i| (at(i), at(i + 1)));
            let inside = chords.filter(|(a, b)| [a.y, b.y].iter().all(|z| (self.rim[0]..=self.rim[1]).contains(z)));
            edges.extend(inside.filter(|(a, b)| a != b).map(|(a, b)| Edge::line(a, b)));
        }
        edges
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Meets::{Cut, Missed, Turned};

    fn pattern(places: u32, start_deg: f64, omit: &[u32]) -> Pattern {
        Pattern { places, start_deg, omit: omit.to_vec() }
    }

    #[test]
    fn a_groove_is_drawn_where_the_plane_runs_along_it() {
        assert_eq!(meets(&pattern(180, 0.0, &[]), true), [Cut, Cut]);
        // place 46 of 180 stands upright
        assert_eq!(meets(&pattern(180, 0.0, &[46]), true), [Missed, Cut]);
        // five grooves, one of them upright
        assert_eq!(meets(&pattern(5, 90.0, &[]), true), [Cut, Missed]);
    }

    #[test]
    fn where_the_plane_runs_along_none_one_is_turned_into_it() {
        assert_eq!(meets(&pattern(7, 0.0, &[]), true), [Turned, Turned]);
        assert_eq!(meets(&pattern(180, 0.0, &[]), false), [Turned, Turned]);
        // grooves 30 to 32 of 120 lie about the upright direction: nothing is drawn there
        assert_eq!(meets(&pattern(120, 0.0, &[30, 31, 32]), false), [Missed, Turned]);
    }

    #[test]
    fn a_single_groove_is_drawn_once() {
        assert_eq!(meets(&pattern(1, 0.0, &[]), true), [Turned, Missed]);
        assert_eq!(meets(&pattern(1, 270.0, &[]), true), [Missed, Cut]);
    }
}
