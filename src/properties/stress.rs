//! Stress in the turning wheel: finite elements in the half-section, axisymmetric, quadratic, so that bending by one-sided recesses and the
//! tension at fillets and floors come out.
//!
//! The wheel is loaded by its own mass. Where grooves are cut, the layer between surface and groove floor is split into lands: they carry
//! their load and bear tension along the radius and the axis, but no hoop stress. A groove's own notch is not in it: [`notch_factor`] tells. Neither
//! are clamping bolts, heat and grinding forces. A guide, then: the speed test proves the wheel. Stresses do not depend on Young's modulus.

mod element;
mod factor;
mod lines;
mod material;
mod mesh;
mod notch;
mod order;
mod solve;

pub use notch::factor as notch_factor;

use crate::geometry::Point;
use crate::section::{Feature, Section};
use crate::wheel::{Corner, SideName, Wheel};
use material::Material;
use mesh::Mesh;

/// How fast it turns, and of what it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Density, kg/m³.
    pub density: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Angular speed, rad/s.
    pub angular: f64,
}

/// How the wheel is held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// By nothing.
    Free,
    /// Between two flanges with blotters that bear on a ring, radii in mm; without friction.
    Between {
        /// Inner radius of the ring.
        from: f64,
        /// Outer radius of the ring.
        to: f64,
    },
}

/// How finely the section is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fineness {
    /// Squares of the largest elements that would cover the section.
    pub elements: usize,
    /// Elements along each fillet.
    pub of_fillet: usize,
}

impl Default for Fineness {
    fn default() -> Fineness {
        Fineness { elements: 48, of_fillet: 4 }
    }
}

/// Stress at one place, MPa, tension positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stress {
    /// Along the radius.
    pub radial: f64,
    /// Along the axis.
    pub axial: f64,
    /// Round the axis.
    pub hoop: f64,
    /// Shear between radius and axis.
    pub shear: f64,
}

impl Stress {
    const NONE: Stress = Stress { radial: 0.0, axial: 0.0, hoop: 0.0, shear: 0.0 };

    /// The greatest tension in any direction.
    pub fn tension(&self) -> f64 {
        let (mean, half) = ((self.radial + self.axial) / 2.0, (self.radial - self.axial) / 2.0);
        (mean + half.hypot(self.shear)).max(self.hoop)
    }

    fn plus(self, o: Stress) -> Stress {
        Stress {
            radial: self.radial + o.radial,
            axial: self.axial + o.axial,
            hoop: self.hoop + o.hoop,
            shear: self.shear + o.shear,
        }
    }

    fn times(self, k: f64) -> Stress {
        Stress { radial: k * self.radial, axial: k * self.axial, hoop: k * self.hoop, shear: k * self.shear }
    }
}

/// The greatest tension along one part of the outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Which part.
    pub feature: Feature,
    /// Where, (r, z) in mm.
    pub at: Point,
    /// How much, MPa.
    pub tension: f64,
}

/// One triangle: its corners counter-clockwise, then the nodes between 0–1, 1–2 and 2–0.
type Triangle = [usize; 6];

/// Stress all over the half-section.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Places of the nodes, (r, z) in mm.
    pub nodes: Vec<Point>,
    /// Triangles: three corners counter-clockwise, then the nodes between the first two, the last two, the last and the first.
    pub triangles: Vec<[usize; 6]>,
    /// Stress at each node.
    pub stress: Vec<Stress>,
    /// The greatest tension of each part of the outline, the greatest first.
    pub peaks: Vec<Peak>,
}

/// Why stresses cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum StressError {
    /// The wheel has no section, or one that cannot be divided.
    #[error("the section cannot be divided into elements")]
    NoSection,
    /// An element at a curved edge is folded over.
    #[error("an edge of the section is curved too sharply for its elements")]
    Folded,
}

/// Share of the lesser of thickness and rim width below which chamfers and corners are left out of the model: they hold nothing and weigh nothing.
const SMALL_CORNER: f64 = 0.1;

/// Stress in a wheel.
///
/// Recess corners ordered sharp get the fillet `least_fillet`, mm, as any tool leaves one: at a sharp corner the computed tension has no limit.
///
/// # Errors
/// Where the wheel has no section, or one that cannot be divided.
pub fn of_wheel(
    wheel: &Wheel,
    least_fillet: f64,
    held: Held,
    load: Load,
    fineness: Fineness,
) -> Result<Field, StressError> {
    let simple = simplified(wheel, least_fillet);
    let section = Section::of(&simple).map_err(|_| StressError::NoSection)?;
    let material = Material::of(&simple, &section);
    let mesh = Mesh::of(&material, fineness)?;
    let moved = solve::displacements(&mesh, &material, load, held)?;
    let stress = solve::nodal(&mesh, &material, load, &moved);
    let peaks = peaks(&mesh, &stress);
    Ok(Field { nodes: mesh.nodes, triangles: mesh.triangles, stress, peaks })
}

/// The wheel without chamfers and corners too small to matter, and with fillets where its recesses have none.
fn simplified(wheel: &Wheel, least_fillet: f64) -> Wheel {
    let mut simple = wheel.clone();
    let small = SMALL_CORNER * wheel.thickness.min(wheel.outside_radius() - wheel.bore_radius());
    if wheel.bore_chamfer < small {
        simple.bore_chamfer = 0.0;
    }
    for name in SideName::BOTH {
        let side = simple.side_mut(name);
        let is_small = match side.corner {
            Some(Corner::Radius(r)) => r < small,
            Some(Corner::Chamfer { run, angle_deg }) => run.max(run * angle_deg.to_radians().tan()) < small,
            None => true,
        };
        if is_small {
            side.corner = None;
        }
    }
    for name in SideName::BOTH {
        for i in 0..wheel.side(name).recess.len() {
            if wheel.side(name).recess[i].fillet_radius > 0.0 {
                continue;
            }
            // a step shallower than the fillet gets half of what it has room for
            let room = step_room(wheel, name, i) / 2.0;
            simple.side_mut(name).recess[i].fillet_radius = least_fillet.min(room);
        }
    }
    simple
}

/// Length of wall and floor at an inner corner, the lesser, mm.
fn step_room(wheel: &Wheel, name: SideName, i: usize) -> f64 {
    let side = wheel.side(name);
    let step = side.recess[i];
    let radius = step.diameter / 2.0;
    let above = if i == 0 { side.nominal_depth(radius) } else { side.recess[i - 1].depth };
    let inner = side.recess.get(i + 1).map_or(wheel.bore_radius() + wheel.bore_chamfer, |s| s.diameter / 2.0);
    (step.depth - above).min(radius - inner).max(0.0)
}

/// The greatest tension of each part of the outline.
fn peaks(mesh: &Mesh, stress: &[Stress]) -> Vec<Peak> {
    let mut peaks: Vec<Peak> = Vec::new();
    for (nodes, feature) in &mesh.outline {
        for &i in nodes {
            let here = Peak { feature: *feature, at: mesh.nodes[i], tension: stress[i].tension() };
            match peaks.iter_mut().find(|p| p.feature == *feature) {
                Some(known) if known.tension >= here.tension => {}
                Some(known) => *known = here,
                None => peaks.push(here),
            }
        }
    }
    peaks.sort_by(|a, b| b.tension.total_cmp(&a.tension));
    peaks
}

impl Field {
    /// The greatest tension anywhere, MPa, and where.
    pub fn greatest(&self) -> (f64, Point) {
        let all = self.stress.iter().map(Stress::tension).zip(&self.nodes);
        let most = all.max_by(|a, b| a.0.total_cmp(&b.0));
        most.map_or((0.0, Point::ORIGIN), |(tension, at)| (tension, *at))
    }

    /// The greatest tension along the bore, MPa.
    #[cfg_attr(not(feature = "inside"), allow(dead_code, reason = "the tests of this package ask for it"))]
    pub fn bore(&self) -> f64 {
        self.peaks.iter().find(|p| p.feature == Feature::Bore).map_or(0.0, |p| p.tension)
    }
}
