//! The wheel from new to worn out: speeds, mass, lands and grooves at every diameter, and what happens on the way.
//!
//! The worn wheel is the same wheel cut smaller: its corners are dressed again at the new diameter, recesses, tapers and grooves stay where they
//! are. Once the outside diameter has come down to a recess, what is left is as thick as the recess left it.

use super::lands::Lands;
use super::speed::{energy, rpm_at, surface_speed};
use super::{Properties, of_section};
use crate::section::Section;
use crate::tolerance::SAME_LENGTH;
use crate::wheel::{FaceGrooves, Job, Side, SideGrooves, SideName, Wheel};

/// The wheel at one diameter.
#[derive(Debug, Clone, PartialEq)]
pub struct WearStage {
    /// Outside diameter, mm.
    pub diameter: f64,
    /// Surface speed at the machine's rpm, m/s.
    pub speed: Option<f64>,
    /// Rpm at which the surface speed of the new wheel is kept, within the marked maximum.
    pub rpm_constant_speed: Option<f64>,
    /// Mass, kg.
    pub mass: Option<f64>,
    /// Energy at the machine's rpm, J.
    pub energy: Option<f64>,
    /// Thickness at the outside diameter without its corners, mm.
    pub rim: f64,
    /// Ungrooved share of the ring left, and length of the grooves left in mm, of side A and side B.
    pub sides: [Option<(f64, f64)>; 2],
    /// Depth of the face grooves left, mm.
    pub face_depth: Option<f64>,
}

/// Something that happens as the wheel wears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Event {
    /// The face grooves are worn away.
    FaceGroovesGone,
    /// The grooves of a side are worn away.
    GroovesGone(SideName),
    /// The wheel is worn into a step of a recess, counted from 0 at the outermost.
    RecessReached(SideName, usize),
    /// The machine's travel is used up.
    TravelUsed,
    /// The flanges are reached.
    FlangeReached,
}

impl Event {
    /// In words.
    pub fn words(self) -> String {
        match self {
            Event::FaceGroovesGone => "face grooves worn away".into(),
            Event::GroovesGone(side) => format!("grooves of side {} worn away", side.letter()),
            Event::RecessReached(side, i) => {
                format!("worn into step {} of the recess on side {}", i + 1, side.letter())
            }
            Event::TravelUsed => "the machine's travel is used up".into(),
            Event::FlangeReached => "the flanges are reached".into(),
        }
    }
}

/// A wheel from new to worn out.
#[derive(Debug, Clone, PartialEq)]
pub struct Wear {
    /// Stages, the new wheel first.
    pub stages: Vec<WearStage>,
    /// What happens, at which diameter in mm, in order of wear.
    pub events: Vec<(f64, Event)>,
    /// Diameter at which the wheel is worn out, mm.
    pub end: f64,
}

/// Diameter to which a wheel can be worn: the end of the travel, but no smaller than its flanges; `None` where neither is known.
pub fn end_diameter(job: &Job) -> Option<f64> {
    let d = job.wheel.outside_diameter;
    let travel = job.machine.travel_on_diameter().map(|t| d - t);
    let end = match (travel, job.mount.flange_diameter) {
        (Some(t), Some(f)) => t.max(f),
        (Some(t), None) => t,
        (None, f) => f?,
    };
    // something of the rim must be left to compute with
    Some(end.max(job.wheel.bore * 1.02)).filter(|e| *e < d - SAME_LENGTH)
}

/// The wheel in `steps` equal steps from new to worn out, with a stage wherever something happens; density in kg/m³.
pub fn of(job: &Job, density: Option<f64>, steps: usize) -> Option<Wear> {
    let end = end_diameter(job)?;
    let d = job.wheel.outside_diameter;
    let events = events(job, end);
    let mut diameters: Vec<f64> = (0..=steps).map(|i| d + (end - d) * i as f64 / steps.max(1) as f64).collect();
    diameters.extend(events.iter().map(|e| e.0));
    diameters.sort_by(|a, b| b.total_cmp(a));
    diameters.dedup_by(|b, a| (*a - *b).abs() < SAME_LENGTH);
    let stages = diameters.into_iter().map(|x| stage(job, density, x)).collect();
    Some(Wear { stages, events, end })
}

fn stage(job: &Job, density: Option<f64>, diameter: f64) -> WearStage {
    let wheel = worn(&job.wheel, diameter);
    let numbers: Option<Properties> = Section::of(&wheel).ok().map(|s| of_section(&wheel, &s, density));
    let rpm = job.machine.spindle_rpm;
    let new_speed = rpm.map(|n| surface_speed(job.wheel.outside_diameter, n));
    let marked = job.marked_speed();
    let kept = match (new_speed, marked) {
        (Some(v), Some(m)) => Some(v.min(m)),
        (None, m) => m,
        // without the marked maximum nothing is said of a higher rpm
        (Some(_), None) => None,
    };
    let side = |name: SideName| {
        let g = wheel.side(name).grooves.as_ref()?;
        let lands: Option<Lands> = crate::groove::SideGroove::of(&wheel, name)
            .map(|one| Lands::of_side(&one, &g.pattern, g.inner_diameter / 2.0));
        Some((lands?.share, (g.outer_diameter.unwrap_or(diameter).min(diameter) - g.inner_diameter) / 2.0))
    };
    let outside = wheel.outside_radius();
    WearStage {
        diameter,
        speed: rpm.map(|n| surface_speed(diameter, n)),
        rpm_constant_speed: kept.map(|v| rpm_at(diameter, v)),
        mass: numbers.as_ref().and_then(|n| n.wheel.mass),
        energy: numbers.as_ref().and_then(|n| Some(energy(n.wheel.polar_inertia?, rpm?))),
        rim: wheel.thickness - wheel.side_a.nominal_depth(outside) - wheel.side_b.nominal_depth(outside),
        sides: [side(SideName::A), side(SideName::B)],
        face_depth: wheel.face.as_ref().map(|f| f.depth),
    }
}

fn events(job: &Job, end: f64) -> Vec<(f64, Event)> {
    let wheel = &job.wheel;
    let mut events: Vec<(f64, Event)> = Vec::new();
    if let Some(face) = &wheel.face {
        events.push((wheel.outside_diameter - 2.0 * face.depth, Event::FaceGroovesGone));
    }
    for name in SideName::BOTH {
        let side = wheel.side(name);
        events.extend(side.grooves.iter().map(|g| (g.inner_diameter, Event::GroovesGone(name))));
        events.extend(side.recess.iter().enumerate().map(|(i, s)| (s.diameter, Event::RecessReached(name, i))));
    }
    events.retain(|e| e.0 > end + SAME_LENGTH);
    events.sort_by(|a, b| b.0.total_cmp(&a.0));
    let by_flange = job.mount.flange_diameter.is_some_and(|f| f > end - SAME_LENGTH);
    events.push((end, if by_flange { Event::FlangeReached } else { Event::TravelUsed }));
    events
}

/// The wheel worn to a smaller outside diameter, mm.
pub fn worn(wheel: &Wheel, diameter: f64) -> Wheel {
    if diameter >= wheel.outside_diameter - SAME_LENGTH {
        return wheel.clone();
    }
    let mut worn = wheel.clone();
    worn.outside_diameter = diameter;
    worn.face = wheel.face.as_ref().and_then(|f| worn_face(f, wheel.outside_diameter, diameter));
    for name in SideName::BOTH {
        let (side, sunk) = worn_side(wheel.side(name), wheel.outside_diameter, diameter);
        worn.thickness -= sunk;
        match name {
            SideName::A => worn.side_a = side,
            SideName::B => worn.side_b = side,
        }
    }
    if Section::of(&worn).is_err() {
        // the corner no longer fits beside the recess: it has been worn away
        worn.side_a.corner = None;
        worn.side_b.corner = None;
    }
    worn
}

/// A side at a smaller diameter, and by how much its outermost plane now lies below the datum plane, mm.
fn worn_side(side: &Side, was: f64, diameter: f64) -> (Side, f64) {
    let mut worn = side.clone();
    let inside = |d: f64| d < diameter - SAME_LENGTH;
    let reached = side.recess.iter().rposition(|s| !inside(s.diameter));
    let mut sunk = 0.0;
    if let Some(i) = reached {
        sunk = side.recess[i].depth;
        worn.recess =
            side.recess[i + 1..].iter().map(|s| crate::wheel::RecessStep { depth: s.depth - sunk, ..*s }).collect();
        worn.taper = None;
    } else if let Some(taper) = side.taper {
        let (inner, outer) = taper.sloped();
        let radius = diameter / 2.0;
        if radius <= inner + SAME_LENGTH {
            // all that is left lies on one flat
            worn.taper = None;
            sunk = taper.depth_at(radius);
            worn.recess.iter_mut().for_each(|s| s.depth -= sunk);
        } else if radius < outer && taper.from_diameter > taper.to_diameter {
            // thins towards the bore: the datum plane goes with the new rim
            sunk = taper.depth_at(radius);
            worn.taper = Some(crate::wheel::Taper { from_diameter: diameter, depth: taper.depth - sunk, ..taper });
            worn.recess.iter_mut().for_each(|s| s.depth -= sunk);
        }
    }
    worn.grooves = side.grooves.as_ref().and_then(|g| worn_grooves(g, was, diameter, sunk));
    (worn, sunk)
}

fn worn_grooves(g: &SideGrooves, was: f64, diameter: f64, sunk: f64) -> Option<SideGrooves> {
    let depth = g.depth - sunk;
    if g.inner_diameter >= diameter - SAME_LENGTH || depth <= SAME_LENGTH {
        return None;
    }
    let mut worn = g.clone();
    worn.depth = depth;
    worn.outer_diameter = g.outer_diameter.filter(|&d| d < diameter - SAME_LENGTH);
    // the line stays in space: its distance from the axis is R·sin(skew) before and after
    let skew = g.skew_deg.to_radians();
    let turned = (was * skew.sin() / diameter).clamp(-1.0, 1.0).asin();
    worn.skew_deg = turned.to_degrees();
    worn.pattern.start_deg = g.pattern.start_deg + (skew - turned).to_degrees();
    Some(worn)
}

fn worn_face(f: &FaceGrooves, was: f64, diameter: f64) -> Option<FaceGrooves> {
    let depth = f.depth - (was - diameter) / 2.0;
    // the groove keeps its turn for each mm of the axis, so its angle falls with the diameter
    let helix = (f.helix_deg.to_radians().tan() * diameter / was).atan().to_degrees();
    (depth > SAME_LENGTH).then(|| FaceGrooves { depth, helix_deg: helix, ..f.clone() })
}
