//! Elements along the radius: polynomials of the displacement between equally spaced nodes.

use super::band::{Band, REACH};
use super::{Disc, Fineness, Load, StressAt};
use crate::geometry::quadrature::gauss;
use crate::tolerance::SAME_LENGTH;

/// Metres per millimetre, and megapascals per pascal.
const M_PER_MM: f64 = 1e-3;
const MPA_PER_PA: f64 = 1e-6;

/// The divided radius.
pub(super) struct Mesh {
    /// How many nodes there are; neighbours share the one between them.
    pub(super) nodes: usize,
    pub(super) elements: Vec<Element>,
    pub(super) shapes: Shapes,
}

/// Value and slope (per unit of t) of a shape function.
type Shape = (f64, f64);

/// The shape functions of an element, the same for all, at the points t in [0, 1] where they are needed.
pub(super) struct Shapes {
    /// At the points of the quadrature.
    within: Vec<Sample>,
    /// At the nodes.
    nodes: Vec<Vec<Shape>>,
}

/// A point of the quadrature.
struct Sample {
    t: f64,
    weight: f64,
    shapes: Vec<Shape>,
}

/// One element.
pub(super) struct Element {
    /// Index of its first node.
    first: usize,
    /// Ends, mm.
    inner: f64,
    outer: f64,
}

impl Mesh {
    pub(super) fn of(disc: &Disc<'_>, fineness: Fineness) -> Mesh {
        let degree = fineness.degree.clamp(1, REACH);
        let longest = (disc.outer - disc.inner) / fineness.elements.max(1) as f64;
        let mut ends = disc.breaks.clone();
        ends.retain(|r| *r > disc.inner + SAME_LENGTH && *r < disc.outer - SAME_LENGTH);
        ends.extend([disc.inner, disc.outer]);
        ends.sort_by(f64::total_cmp);
        ends.dedup_by(|b, a| *b - *a <= SAME_LENGTH);
        let mut mesh = Mesh { nodes: 1, elements: Vec::new(), shapes: Shapes::of(degree) };
        for pair in ends.windows(2) {
            let count = ((pair[1] - pair[0]) / longest - 1e-9).ceil().max(2.0) as usize;
            let at = |i: usize| pair[0] + (pair[1] - pair[0]) * i as f64 / count as f64;
            for i in 0..count {
                mesh.push(at(i), at(i + 1), degree);
            }
        }
        mesh
    }

    fn push(&mut self, inner: f64, outer: f64, degree: usize) {
        self.elements.push(Element { first: self.nodes - 1, inner, outer });
        self.nodes += degree;
    }
}

impl Shapes {
    fn of(degree: usize) -> Shapes {
        let within =
            gauss(8).nodes().iter().map(|&(t, weight)| Sample { t, weight, shapes: shapes(degree, t) }).collect();
        let nodes = (0..=degree).map(|i| shapes(degree, i as f64 / degree as f64)).collect();
        Shapes { within, nodes }
    }
}

/// Values and slopes of the polynomials of a degree that are 1 at one of its evenly spaced nodes and 0 at the others, at t.
fn shapes(degree: usize, t: f64) -> Vec<Shape> {
    let node = |i: usize| i as f64 / degree as f64;
    (0..=degree)
        .map(|i| {
            let others: Vec<usize> = (0..=degree).filter(|&j| j != i).collect();
            let factor = |j: usize| (t - node(j)) / (node(i) - node(j));
            let value = others.iter().map(|&j| factor(j)).product();
            let slope = others
                .iter()
                .map(|&k| {
                    let rest: f64 = others.iter().filter(|&&j| j != k).map(|&j| factor(j)).product();
                    rest / (node(i) - node(k))
                })
                .sum();
            (value, slope)
        })
        .collect()
}

impl Element {
    /// Adds the element's stiffness and load; E = 1, lengths in metres.
    pub(super) fn add_to(&self, stiffness: &mut Band, force: &mut [f64], shapes: &Shapes, disc: &Disc<'_>, load: Load) {
        let length = (self.outer - self.inner) * M_PER_MM;
        let nu = load.poisson;
        for Sample { t, weight, shapes } in &shapes.within {
            let r_mm = self.inner + (self.outer - self.inner) * t;
            let layers = (disc.layers)(r_mm);
            let (core, lands) = (layers.core.max(0.0), layers.lands.max(0.0));
            let r = r_mm * M_PER_MM;
            let plane = core / (1.0 - nu * nu);
            let shapes: Vec<(f64, f64)> = shapes.iter().map(|(n, s)| (n / r, s / length)).collect();
            let dr = weight * length;
            for (i, &(hoop_i, radial_i)) in shapes.iter().enumerate() {
                let row = self.first + i;
                force[row] += load.density * load.angular.powi(2) * r * r * (core + lands) * hoop_i * r * dr;
                for (j, &(hoop_j, radial_j)) in shapes[..=i].iter().enumerate() {
                    let radial = plane * (radial_j + nu * hoop_j) + lands * radial_j;
                    let hoop = plane * (hoop_j + nu * radial_j);
                    stiffness.add(row, self.first + j, (radial * radial_i + hoop * hoop_i) * r * dr);
                }
            }
        }
    }

    /// Stresses at both ends and evenly between: of the core, or of the lands where there is no core.
    pub(super) fn stresses(&self, displacement: &[f64], shapes: &Shapes, disc: &Disc<'_>, nu: f64) -> Vec<StressAt> {
        let has_core = (disc.layers)((self.inner + self.outer) / 2.0).core > 0.0;
        let length = (self.outer - self.inner) * M_PER_MM;
        let steps = shapes.nodes.len() - 1;
        let at_node = |(k, shapes): (usize, &Vec<(f64, f64)>)| {
            let t = k as f64 / steps as f64;
            let r = self.inner + (self.outer - self.inner) * t;
            let (mut u, mut slope) = (0.0, 0.0);
            for (i, (value, d)) in shapes.iter().enumerate() {
                u += value * displacement[self.first + i];
                slope += d * displacement[self.first + i];
            }
            let (radial, hoop) = (slope / length, u / (r * M_PER_MM));
            if !has_core {
                return StressAt { r, radial: MPA_PER_PA * radial, hoop: 0.0 };
            }
            let scale = MPA_PER_PA / (1.0 - nu * nu);
            StressAt { r, radial: scale * (radial + nu * hoop), hoop: scale * (hoop + nu * radial) }
        };
        shapes.nodes.iter().enumerate().map(at_node).collect()
    }
}
