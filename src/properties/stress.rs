//! Stress in the turning wheel: plane stress in a disc whose thickness changes with the radius, by finite elements along the radius.
//!
//! The wheel is a ring free at bore and rim, loaded by its own mass. Where grooves are cut, the layer between surface and groove floor is
//! split into lands: they carry their load radially and add their mass, but no hoop stress. Only forces averaged over the thickness are
//! followed; a step's own notch effect, clamping, heat and grinding forces are not. A guide, then: the speed test proves the wheel.
//!
//! With u the radial displacement, εr = u′, εθ = u/r, the core has σr = E(εr + νεθ)/(1 − ν²), σθ = E(εθ + νεr)/(1 − ν²), the lands σr = Eεr; virtual
//! work gives ∫ [(h σr + l Eεr) δεr + h σθ δεθ] r dr = ∫ ρω²r² (h + l) δu dr. Stresses do not depend on E, which is set to 1.

mod band;
mod disc;
mod element;

pub use disc::{Layers, WheelDisc};

use band::Band;
use element::Mesh;

/// A disc whose thickness changes with the radius.
pub struct Disc<'a> {
    /// Bore radius, mm.
    pub inner: f64,
    /// Outside radius, mm.
    pub outer: f64,
    /// Radii where the thickness jumps or kinks, in any order, mm.
    pub breaks: Vec<f64>,
    /// Thickness at a radius.
    pub layers: &'a dyn Fn(f64) -> Layers,
}

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

/// Stress at one radius, MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StressAt {
    /// Radius, mm.
    pub r: f64,
    /// Radial stress, tension positive.
    pub radial: f64,
    /// Hoop stress.
    pub hoop: f64,
}

/// Stress along the radius, from the bore out; a radius where the thickness jumps stands twice.
#[derive(Debug, Clone, PartialEq)]
pub struct Stresses {
    /// The stresses.
    pub points: Vec<StressAt>,
}

/// Why stresses cannot be computed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StressError {
    /// The disc has no width or a size that is not finite.
    #[error("the disc has no rim between bore and outside diameter")]
    NoRim,
    /// Somewhere there is no material at all.
    #[error("the disc has no thickness somewhere between bore and outside diameter")]
    NoThickness,
}

/// How finely the radius is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fineness {
    /// Degree of the displacement within an element, 1 to 4.
    pub degree: usize,
    /// Elements over the whole rim; between two breaks there are at least two.
    pub elements: usize,
}

impl Default for Fineness {
    fn default() -> Fineness {
        Fineness { degree: 4, elements: 48 }
    }
}

impl Stresses {
    /// Hoop stress at the bore, MPa.
    pub fn bore_hoop(&self) -> f64 {
        self.points.first().map_or(0.0, |p| p.hoop)
    }

    /// Hoop stress at the outside diameter, MPa.
    pub fn rim_hoop(&self) -> f64 {
        self.points.last().map_or(0.0, |p| p.hoop)
    }

    /// Where the radial stress is greatest.
    pub fn greatest_radial(&self) -> Option<StressAt> {
        self.points.iter().copied().max_by(|a, b| a.radial.total_cmp(&b.radial))
    }

    /// Where the hoop stress is greatest.
    pub fn greatest_hoop(&self) -> Option<StressAt> {
        self.points.iter().copied().max_by(|a, b| a.hoop.total_cmp(&b.hoop))
    }

    /// The greatest tension anywhere, MPa.
    pub fn greatest(&self) -> f64 {
        self.points.iter().map(|p| p.radial.max(p.hoop)).fold(0.0, f64::max)
    }

    /// The same wheel at `factor` times the speed: stresses grow with its square.
    pub fn at_speed(&self, factor: f64) -> Stresses {
        let k = factor * factor;
        let points = self.points.iter().map(|p| StressAt { r: p.r, radial: k * p.radial, hoop: k * p.hoop });
        Stresses { points: points.collect() }
    }
}

/// Stresses of a disc.
///
/// # Errors
/// Where the disc has no rim, or no material at some radius.
pub fn solve(disc: &Disc<'_>, load: Load, fineness: Fineness) -> Result<Stresses, StressError> {
    let sizes = [disc.inner, disc.outer, load.density, load.angular];
    if !(disc.inner > 0.0 && disc.outer > disc.inner && sizes.iter().all(|x| x.is_finite())) {
        return Err(StressError::NoRim);
    }
    let mesh = Mesh::of(disc, fineness);
    let size = mesh.nodes;
    let (mut stiffness, mut force) = (Band::zeros(size), vec![0.0; size]);
    for element in &mesh.elements {
        element.add_to(&mut stiffness, &mut force, &mesh.shapes, disc, load);
    }
    let displacement = stiffness.solved(force).ok_or(StressError::NoThickness)?;
    let points: Vec<StressAt> =
        mesh.elements.iter().flat_map(|e| e.stresses(&displacement, &mesh.shapes, disc, load.poisson)).collect();
    if points.iter().any(|p| !(p.radial.is_finite() && p.hoop.is_finite())) {
        return Err(StressError::NoThickness);
    }
    Ok(Stresses { points })
}
