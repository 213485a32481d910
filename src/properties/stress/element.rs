//! One triangle of six nodes turning about the axis: its stiffness, its load, its stress. Sides on arcs are curved.

use crate::quantity::N_PER_MM3;
use super::{Stress, Triangle, material::Material};
use crate::geometry::Point;
use nalgebra::{SVector, Vector4};
use crate::tolerance::LEAST_HELD;

/// Places of the quadrature in natural coordinates, with weights that sum to a half: exact to degree 4 (Dunavant 1985).
const QUADRATURE: [(f64, f64, f64); 6] = {
    const A: f64 = 0.445_948_490_915_965;
    const B: f64 = 0.091_576_213_509_771;
    const WA: f64 = 0.223_381_589_678_011 / 2.0;
    const WB: f64 = 0.109_951_743_655_322 / 2.0;
    [
        (A, A, WA),
        (1.0 - 2.0 * A, A, WA),
        (A, 1.0 - 2.0 * A, WA),
        (B, B, WB),
        (1.0 - 2.0 * B, B, WB),
        (B, 1.0 - 2.0 * B, WB),
    ]
};

/// Where a quadratic triangle's stress is most exact, in natural coordinates.
const EXACT: [(f64, f64); 3] = [(1.0 / 6.0, 1.0 / 6.0), (2.0 / 3.0, 1.0 / 6.0), (1.0 / 6.0, 2.0 / 3.0)];

/// Natural coordinates of the six nodes.
const NODES: [(f64, f64); 6] = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (0.5, 0.0), (0.5, 0.5), (0.0, 0.5)];

/// Stiffness of one element: forces along the radius and along the axis, by a displacement along either; each by node moved, then by node held.
pub(super) type Stiffness = [[[[f64; 6]; 6]; 2]; 2];
/// Forces on its nodes, in the same order.
pub(super) type Forces = SVector<f64, 12>;
/// Stress by a displacement of one node, along the radius and along the axis: radial, axial, hoop, shear.
type Pull = [[f64; 4]; 2];

/// What an element is at one of its places.
struct Place {
    r: f64,
    z: f64,
    /// Values of the shape functions.
    values: [f64; 6],
    /// Their slopes along the radius and along the axis, 1/mm.
    by_r: [f64; 6],
    by_z: [f64; 6],
    /// Twice the area of the triangle there; not above 0 where it is folded over.
    stretch: f64,
}

fn shapes(s: f64, t: f64) -> ([f64; 6], [(f64, f64); 6]) {
    let u = 1.0 - s - t;
    let values = [u * (2.0 * u - 1.0), s * (2.0 * s - 1.0), t * (2.0 * t - 1.0), 4.0 * u * s, 4.0 * s * t, 4.0 * t * u];
    let slopes = [
        (1.0 - 4.0 * u, 1.0 - 4.0 * u),
        (4.0 * s - 1.0, 0.0),
        (0.0, 4.0 * t - 1.0),
        (4.0 * (u - s), -4.0 * s),
        (4.0 * t, 4.0 * s),
        (-4.0 * t, 4.0 * (u - t)),
    ];
    (values, slopes)
}

fn place(corners: &[Point; 6], s: f64, t: f64) -> Place {
    let (values, slopes) = shapes(s, t);
    let (mut at, mut ds, mut dt) = (Point::ORIGIN, Point::ORIGIN, Point::ORIGIN);
    for i in 0..NODES.len() {
        (at, ds, dt) = (at + corners[i] * values[i], ds + corners[i] * slopes[i].0, dt + corners[i] * slopes[i].1);
    }
    let stretch = ds.cross(dt);
    let (mut by_r, mut by_z) = ([0.0; 6], [0.0; 6]);
    for (i, (a, b)) in slopes.into_iter().enumerate() {
        (by_r[i], by_z[i]) = ((a * dt.y - b * ds.y) / stretch, (b * ds.x - a * dt.x) / stretch);
    }
    Place { r: at.x, z: at.y, values, by_r, by_z, stretch }
}

/// Stress by strain with Young's modulus 1; lands bear no hoop stress.
#[derive(Clone, Copy)]
struct Law {
    /// Radial and axial stress by their own strain, and by each other's.
    direct: f64,
    cross: f64,
    /// Hoop stress by hoop strain, and by the two others.
    hoop: f64,
    hoop_cross: f64,
    shear: f64,
}

impl Law {
    fn of(poisson: f64, are_lands: bool) -> Law {
        let shear = 0.5 / (1.0 + poisson);
        if are_lands {
            let k = 1.0 / (1.0 - poisson * poisson);
            return Law { direct: k, cross: k * poisson, hoop: 0.0, hoop_cross: 0.0, shear };
        }
        let k = 1.0 / ((1.0 + poisson) * (1.0 - 2.0 * poisson));
        let (direct, cross) = (k * (1.0 - poisson), k * poisson);
        Law { direct, cross, hoop: direct, hoop_cross: cross, shear }
    }

    /// What displacements do at a place: a radial one stretches along the radius and round the axis, an axial one along the axis, both shear.
    fn pull(&self, place: &Place, node: usize) -> Pull {
        let (by_r, by_z, round) = (place.by_r[node], place.by_z[node], place.values[node] / place.r);
        let along_the_radius = [
            self.direct * by_r + self.hoop_cross * round,
            self.cross * by_r + self.hoop_cross * round,
            self.hoop_cross * by_r + self.hoop * round,
            self.shear * by_z,
        ];
        [along_the_radius, [self.cross * by_z, self.direct * by_z, self.hoop_cross * by_z, self.shear * by_r]]
    }
}

/// The corners and middles of an element.
pub(super) fn places(nodes: &[Point], triangle: &Triangle) -> [Point; 6] {
    triangle.map(|i| nodes[i])
}

/// Whether an element is folded over at a place where it is integrated.
pub(super) fn is_folded(corners: &[Point; 6]) -> bool {
    QUADRATURE.iter().any(|&(s, t, _)| place(corners, s, t).stretch <= 0.0)
}

/// Stiffness and centrifugal load of an element per radian; `None` where it is folded over.
pub(super) fn stiffness(
    corners: &[Point; 6],
    material: &Material<'_>,
    poisson: f64,
    inertia: f64,
) -> Option<(Stiffness, Forces)> {
    let (mut stiffness, mut forces) = (Stiffness::default(), Forces::zeros());
    for (s, t, weight) in QUADRATURE {
        let p = place(corners, s, t);
        if !(p.stretch > 0.0 && p.r > 0.0) {
            return None;
        }
        let share = material.land_share(p.r, p.z);
        // lands that are used up still hold a little, so that their nodes have a place
        let held = share.unwrap_or(1.0).max(LEAST_HELD);
        let volume = weight * p.stretch * p.r * held;
        let law = Law::of(poisson, share.is_some());
        for moved in 0..NODES.len() {
            for (along, [radial, axial, hoop, shear]) in law.pull(&p, moved).into_iter().enumerate() {
                let (a, b, c, d) = (radial * volume, axial * volume, hoop * volume / p.r, shear * volume);
                let [out, across] = &mut stiffness;
                let rows = out[along][moved].iter_mut().zip(&mut across[along][moved]);
                for (((by_r, by_z), value), (out, across)) in p.by_r.iter().zip(&p.by_z).zip(&p.values).zip(rows) {
                    *out += by_r * a + value * c + by_z * d;
                    *across += by_z * b + by_r * d;
                }
            }
        }
        for (i, value) in p.values.iter().enumerate() {
            forces[2 * i] += value * inertia * N_PER_MM3 * p.r * volume;
        }
    }
    Some((stiffness, forces))
}

/// Stress at the six nodes, carried on from where it is most exact; whether they are lands.
pub(super) fn stresses(
    corners: &[Point; 6],
    moved: &Forces,
    material: &Material<'_>,
    poisson: f64,
) -> ([Stress; 6], bool) {
    let centre = place(corners, 1.0 / 3.0, 1.0 / 3.0);
    let are_lands = material.land_share(centre.r, centre.z).is_some();
    let law = Law::of(poisson, are_lands);
    let exact = EXACT.map(|(s, t)| {
        let here = place(corners, s, t);
        (0..NODES.len()).fold(Vector4::zeros(), |sum, i| {
            let [out, across] = law.pull(&here, i).map(Vector4::from);
            sum + out * moved[2 * i] + across * moved[2 * i + 1]
        })
    });
    let at = NODES.map(|(s, t)| {
        // the plane through the three
        let (a, b) = ((s - 1.0 / 6.0) * 2.0, (t - 1.0 / 6.0) * 2.0);
        let v = exact[0] * (1.0 - a - b) + exact[1] * a + exact[2] * b;
        Stress { radial: v[0], axial: v[1], hoop: v[2], shear: v[3] }
    });
    (at, are_lands)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The weights integrate every power up to the fourth over the unit triangle: ∫ sᵃ tᵇ = a!·b!/(a + b + 2)!.
    #[test]
    fn the_quadrature_is_exact_to_the_fourth_degree() {
        let factorial = |n: u32| (1..=n).map(f64::from).product::<f64>();
        for a in 0..=4_u32 {
            for b in 0..=(4 - a) {
                let sum: f64 = QUADRATURE.iter().map(|(s, t, w)| w * s.powi(a as i32) * t.powi(b as i32)).sum();
                let want = factorial(a) * factorial(b) / factorial(a + b + 2);
                assert!((sum - want).abs() < 1e-14, "{a} {b}: {sum} {want}");
            }
        }
    }

    #[test]
    fn shape_functions_are_one_at_their_own_node() {
        for (i, (s, t)) in NODES.into_iter().enumerate() {
            let (values, slopes) = shapes(s, t);
            for (j, value) in values.iter().enumerate() {
                assert!((value - if i == j { 1.0 } else { 0.0 }).abs() < 1e-15);
            }
            assert!((slopes.iter().map(|d| d.0).sum::<f64>()).abs() < 1e-14);
        }
    }
}
