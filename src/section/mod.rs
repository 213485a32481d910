//! The half-section: the material on one side of the axis in the (r, z) half-plane, without grooves, as exact lines and arcs.
//!
//! r is the contour's x, z its y. Every edge knows which feature of the wheel made it.

mod feature;
mod profile;

pub use feature::Feature;
pub use profile::{Profile, Span};

use crate::geometry::{Contour, ContourError, Edge, Moments, Point};
use crate::wheel::{SideName, Wheel};
use std::f64::consts::PI;

/// The half-section of a wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    contour: Contour,
    features: Vec<Feature>,
    profile_a: Profile,
    profile_b: Profile,
    thickness: f64,
}

/// Why a wheel has no section. `wheel::resolve` refuses such wheels with the features named; this is the last line of defence.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SectionError {
    /// A rounded corner does not fit between its neighbours.
    #[error("{feature:?} does not fit: {why}")]
    DoesNotFit {
        /// The feature.
        feature: Feature,
        /// The geometric reason.
        why: String,
    },
    /// The edges do not close.
    #[error("the section does not close: {0}")]
    Open(#[from] ContourError),
}

/// Volume and moments of a solid of revolution about the z axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Revolved {
    /// Volume, mm³.
    pub volume: f64,
    /// ∫ z dV, mm⁴.
    pub z: f64,
    /// ∫ (x² + y²) dV, mm⁵.
    pub polar: f64,
    /// ∫ z² dV, mm⁵.
    pub zz: f64,
}

impl Section {
    /// The half-section of a resolved wheel, counter-clockwise in (r, z): along side A outwards, up the outside diameter, along side B
    /// inwards, down the bore.
    ///
    /// # Errors
    /// Where a corner or fillet does not fit or the sides meet, which `wheel::resolve` refuses beforehand.
    pub fn of(wheel: &Wheel) -> Result<Section, SectionError> {
        let profile_a = Profile::of(wheel, SideName::A)?;
        let profile_b = Profile::of(wheel, SideName::B)?;
        let top = Point::new(0.0, wheel.thickness);
        let mut edges: Vec<(Edge, Feature)> = profile_a.edges().to_vec();
        let upper: Vec<(Edge, Feature)> =
            profile_b.edges().iter().rev().map(|(e, f)| (e.reversed().mirrored_y().translated(top), *f)).collect();
        let (rim_a, bore_a) = (profile_a.end(), profile_a.start());
        let (rim_b, bore_b) = match (upper.first(), upper.last()) {
            (Some((first, _)), Some((last, _))) => (first.start(), last.end()),
            _ => return Err(ContourError::TooFew(0).into()),
        };
        if rim_a != rim_b {
            edges.push((Edge::line(rim_a, rim_b), Feature::OutsideDiameter));
        }
        edges.extend(upper);
        if bore_b != bore_a {
            edges.push((Edge::line(bore_b, bore_a), Feature::Bore));
        }
        let (edges, features): (Vec<Edge>, Vec<Feature>) = edges.into_iter().unzip();
        let contour = Contour::new(edges)?;
        Ok(Section { contour, features, profile_a, profile_b, thickness: wheel.thickness })
    }

    /// The closed contour in (r, z), counter-clockwise.
    pub fn contour(&self) -> &Contour {
        &self.contour
    }

    /// Edges with their features.
    pub fn edges(&self) -> impl Iterator<Item = (&Edge, Feature)> {
        self.contour.edges().iter().zip(self.features.iter().copied())
    }

    /// The profile of one side: depth below its datum plane over the radius.
    pub fn profile(&self, side: SideName) -> &Profile {
        match side {
            SideName::A => &self.profile_a,
            SideName::B => &self.profile_b,
        }
    }

    /// Thickness left at radius r, mm; where a wall stands at r, that just outside it.
    pub fn thickness_at(&self, r: f64) -> f64 {
        self.thickness - self.profile_a.depth_at(r) - self.profile_b.depth_at(r)
    }

    /// Area integrals of the half-section in (r, z).
    pub fn moments(&self) -> Moments {
        self.contour.moments()
    }

    /// Volume and moments of the solid of revolution.
    pub fn revolved(&self) -> Revolved {
        let m = self.moments();
        Revolved { volume: 2.0 * PI * m.x, z: 2.0 * PI * m.xy, polar: 2.0 * PI * m.xxx, zz: 2.0 * PI * m.xyy }
    }
}
