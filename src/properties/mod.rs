//! The numbers of a wheel: section, solid, mass, balance, lands. Millimetres, kilograms and degrees, whatever unit the order uses.

pub mod balance;
pub mod clamping;
pub mod density;
pub mod dressing;
pub mod lands;
pub mod mark;
pub mod planner;
pub mod recess;
pub mod speed;
pub mod strength;
pub mod stress;
pub mod wear;
mod worked;

pub use worked::Worked;

use crate::quantity::{KG_PER_MM3, KG_M2_PER_MM5, G_PER_MM3};
use crate::geometry::Point;
use crate::groove::{AllRemoved, Grooves, Removed, SideGroove};
use crate::section::{Revolved, Section, SectionError};
use crate::tolerance::BALANCED_SHARE;
use crate::wheel::{Job, SideName, Wheel};
use lands::Lands;
use serde::Serialize;

/// All numbers of one wheel, serialised under the keys of the order format's results.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Properties {
    /// The half-section without grooves.
    pub section: SectionNumbers,
    /// The solid of revolution without grooves.
    pub plain: PlainNumbers,
    /// The wheel with all grooves cut.
    pub wheel: WheelNumbers,
    /// The grooves, by where they are cut.
    pub grooves: GrooveSets,
}

/// The half-section without grooves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SectionNumbers {
    /// Area, mm².
    pub area: f64,
    /// Distance of its centroid from the axis, mm.
    pub centroid_r: f64,
    /// z of its centroid, mm.
    pub centroid_z: f64,
}

/// The solid of revolution without grooves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PlainNumbers {
    /// Volume, mm³.
    pub volume: f64,
    /// z of its centroid, mm.
    pub centroid_z: f64,
}

/// The wheel with all grooves cut, overlapping grooves counted once.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WheelNumbers {
    /// Volume, mm³.
    pub volume: f64,
    /// Volume of all grooves, mm³: what the coolant can fill.
    pub groove_volume: f64,
    /// z of the centroid, mm.
    pub centroid_z: f64,
    /// |∫ (x, y) dV|, mm⁴; 0 where the grooves balance each other to within rounding, as evenly pitched, complete ones do.
    pub static_moment: f64,
    /// Direction of ∫ (x, y) dV, degrees counter-clockwise from +x, in [0, 360): the heavy side; null where the wheel is balanced.
    pub static_moment_deg: Option<f64>,
    /// ∫ (x² + y²) dV about the axis, mm⁵.
    pub polar_moment: f64,
    /// ∫ (y² + z²) dV about an axis through the centroid square to the wheel's axis, mean over all such directions, mm⁵.
    pub transverse_moment: f64,
    /// Mass, kg; null where no density is given.
    pub mass: Option<f64>,
    /// Moment of inertia about the axis, kg·m².
    pub polar_inertia: Option<f64>,
    /// Moment of inertia about an axis through the centroid square to the wheel's axis, kg·m².
    pub transverse_inertia: Option<f64>,
    /// Static unbalance, g·mm.
    pub unbalance: Option<f64>,
}

/// The grooves, by where they are cut; null where none are.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GrooveSets {
    /// Of side A.
    pub side_a: Option<GrooveNumbers>,
    /// Of side B.
    pub side_b: Option<GrooveNumbers>,
    /// Of the face.
    pub face: Option<GrooveNumbers>,
}

impl Properties {
    /// The same with masses by another density, kg/m³; without masses where it is `None`.
    pub fn of_density(&self, density: Option<f64>) -> Properties {
        Properties { wheel: self.wheel.of_density(density), ..self.clone() }
    }
}

impl WheelNumbers {
    fn of_density(self, density: Option<f64>) -> WheelNumbers {
        let scaled = |value: f64, power: f64| density.map(|d| value * d * power);
        WheelNumbers {
            mass: scaled(self.volume, KG_PER_MM3),
            polar_inertia: scaled(self.polar_moment, KG_M2_PER_MM5),
            transverse_inertia: scaled(self.transverse_moment, KG_M2_PER_MM5),
            unbalance: scaled(self.static_moment, G_PER_MM3),
            ..self
        }
    }
}

/// One set of grooves.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GrooveNumbers {
    /// Grooves cut.
    pub count: u32,
    /// Angle from place to place, degrees.
    pub pitch_deg: f64,
    /// What one groove alone removes, mm³.
    pub volume_each: f64,
    /// Arc length of the land between two grooves at the outside diameter, mm.
    pub land_outer: f64,
    /// The same at the inner end (of the face: at the depth of the grooves), mm; 0 where they have run into each other.
    pub land_inner: f64,
    /// Share of the ring between the inner end and the outside diameter (of the face: of the periphery) left ungrooved in plan, 0 to 1.
    pub land_share: f64,
    /// Diameter inside which neighbouring grooves run into each other, mm; null for a single groove.
    pub merge_diameter: Option<f64>,
}

/// The numbers of an order's wheel.
///
/// # Errors
/// Where the wheel has no section, which `wheel::resolve` refuses beforehand.
pub fn of(job: &Job) -> Result<Properties, SectionError> {
    let section = Section::of(&job.wheel)?;
    Ok(of_section(&job.wheel, &section, job.density()))
}

/// The numbers of a wheel whose section is at hand; `density` in kg/m³.
pub fn of_section(wheel: &Wheel, section: &Section, density: Option<f64>) -> Properties {
    let moments = section.moments();
    let plain = section.revolved();
    let grooves = Grooves::of(wheel, section);
    let removed = grooves.removed();
    Properties {
        section: SectionNumbers {
            area: moments.area,
            centroid_r: moments.x / moments.area,
            centroid_z: moments.y / moments.area,
        },
        plain: PlainNumbers { volume: plain.volume, centroid_z: plain.z / plain.volume },
        wheel: wheel_numbers(wheel, &plain, &removed.together, density),
        grooves: sets(wheel, &grooves, &removed),
    }
}

fn wheel_numbers(wheel: &Wheel, plain: &Revolved, removed: &Removed, density: Option<f64>) -> WheelNumbers {
    let volume = plain.volume - removed.volume;
    let centroid_z = (plain.z - removed.z) / volume;
    let polar_moment = plain.polar - removed.polar;
    let heavy = Point::ORIGIN - removed.first;
    let noise = BALANCED_SHARE * removed.volume * wheel.outside_radius();
    let static_moment = if heavy.length() > noise { heavy.length() } else { 0.0 };
    // Steiner: moved to the centroid along z, and by half of its distance from the axis squared, the mean over all directions
    let off_axis = static_moment / volume;
    let to_centroid = (centroid_z * centroid_z + off_axis * off_axis / 2.0) * volume;
    let transverse_moment = polar_moment / 2.0 + (plain.zz - removed.zz) - to_centroid;
    WheelNumbers {
        volume,
        groove_volume: removed.volume,
        centroid_z,
        static_moment,
        static_moment_deg: (static_moment > 0.0).then(|| heavy.angle().to_degrees().rem_euclid(360.0)),
        polar_moment,
        transverse_moment,
        mass: None,
        polar_inertia: None,
        transverse_inertia: None,
        unbalance: None,
    }
    .of_density(density)
}

fn sets(wheel: &Wheel, grooves: &Grooves, removed: &AllRemoved) -> GrooveSets {
    let side = |name: SideName, one: Option<Removed>| {
        let set = wheel.side(name).grooves.as_ref()?;
        let lands = Lands::of_side(grooves.side(name)?, &set.pattern, set.inner_diameter / 2.0);
        Some(numbers(&set.pattern, one?, lands))
    };
    let face = || {
        let set = wheel.face.as_ref()?;
        Some(numbers(&set.pattern, removed.one_face?, Lands::of_face(grooves.face()?, &set.pattern)))
    };
    GrooveSets {
        side_a: side(SideName::A, removed.one_side_a),
        side_b: side(SideName::B, removed.one_side_b),
        face: face(),
    }
}

fn numbers(pattern: &crate::wheel::Pattern, one: Removed, lands: Lands) -> GrooveNumbers {
    GrooveNumbers {
        count: pattern.count(),
        pitch_deg: pattern.pitch_deg(),
        volume_each: one.volume,
        land_outer: lands.outer,
        land_inner: lands.inner,
        land_share: lands.share,
        merge_diameter: lands.merge_diameter,
    }
}

/// The least thickness left under the grooves, along the axis.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WallLeft {
    /// Thickness left, mm; negative where grooves break through.
    pub thickness: f64,
    /// Radius at which it is least, mm.
    pub radius: f64,
    /// Whether two opposite grooves face each other there (else a groove faces the ungrooved opposite side).
    pub opposite_grooves: bool,
}

/// The least thickness left under the side grooves; `None` where no side is grooved.
pub fn wall_left(wheel: &Wheel, section: &Section) -> Option<WallLeft> {
    let grooves = Grooves::of(wheel, section);
    let sides: Vec<&SideGroove> = SideName::BOTH.into_iter().filter_map(|s| grooves.side(s)).collect();
    let aligned = lands::opposite_grooves_overlap(wheel, &grooves);
    let radii = wall_radii(wheel, section, &sides);
    let mut least: Option<WallLeft> = None;
    for r in radii {
        let floors: Vec<f64> = sides.iter().map(|g| floor_on_circle(g, section, r)).collect();
        let surfaces: Vec<f64> = sides.iter().map(|g| section.profile(g.side.other()).depth_inside(r)).collect();
        let mut offer = |thickness: f64, opposite_grooves: bool| {
            if least.is_none_or(|l| thickness < l.thickness) {
                least = Some(WallLeft { thickness, radius: r, opposite_grooves });
            }
        };
        for (floor, surface) in floors.iter().zip(&surfaces).filter(|(f, _)| **f > 0.0) {
            offer(wheel.thickness - floor - surface, false);
        }
        if aligned && floors.len() == 2 && floors.iter().all(|f| *f > 0.0) {
            offer(wheel.thickness - floors[0] - floors[1], true);
        }
    }
    least
}

/// Deepest removed depth of a groove on the circle r; 0 where it removes nothing there.
fn floor_on_circle(groove: &SideGroove, section: &Section, r: f64) -> f64 {
    let u = ((r - groove.offset) * (r + groove.offset)).max(0.0).sqrt();
    let inside = u >= groove.inner_u && groove.outer_u.is_none_or(|o| u <= o);
    let floor = groove.floor.depth(u);
    if inside && floor > section.profile(groove.side).depth_at(r) { floor } else { 0.0 }
}

/// Radii to look at: where anything changes form, and an even scan between.
fn wall_radii(wheel: &Wheel, section: &Section, sides: &[&SideGroove]) -> Vec<f64> {
    const SCAN: usize = 64;
    let (bore, outside) = (wheel.bore_radius(), wheel.outside_radius());
    let mut radii: Vec<f64> = (0..=SCAN).map(|i| bore + (outside - bore) * i as f64 / SCAN as f64).collect();
    radii.extend(SideName::BOTH.into_iter().flat_map(|s| section.profile(s).spans().iter().map(|span| span.inner)));
    for g in sides {
        let ends = [Some(g.inner_u), g.outer_u, g.floor.rise.map(|r| r.tangent_u)];
        radii.extend(ends.into_iter().flatten().map(|u| u.hypot(g.offset)));
    }
    radii.retain(|r| (bore..=outside).contains(r));
    radii
}
