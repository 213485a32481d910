//! All elements together: displacements, and from them the stress at every node.

use super::element::{Forces, places, stiffness, stresses};
use super::material::Material;
use super::mesh::Mesh;
use super::{Held, Load, Stress, StressError};
use crate::section::Feature;
use super::factor::Rows;
use nalgebra::DVector;

/// Stiffness of a blotter under the flange over Young's modulus of the wheel, 1/mm: half a millimetre of 100 MPa on a wheel of 40 GPa. From memory;
/// the tension at bore and fillets hardly follows it.
const BLOTTER: f64 = 0.005;

/// Simpson's weights of the two ends and the middle of a stretch.
const SIMPSON: [f64; 3] = [1.0 / 6.0, 1.0 / 6.0, 4.0 / 6.0];

/// Displacements of all nodes, radial and axial in turn, with Young's modulus 1.
pub(super) fn displacements(
    mesh: &Mesh,
    material: &Material<'_>,
    load: Load,
    held: Held,
) -> Result<DVector<f64>, StressError> {
    let size = 2 * mesh.nodes.len();
    let mut whole = Rows::beginning(first_columns(mesh));
    let mut forces = DVector::zeros(size);
    for triangle in &mesh.triangles {
        let corners = places(&mesh.nodes, triangle);
        let (own, pull) = stiffness(&corners, material, load.poisson, load.density * load.angular * load.angular)
            .ok_or(StressError::Folded)?;
        let number = |k: usize| 2 * triangle[k / 2] + k % 2;
        for i in 0..12 {
            forces[number(i)] += pull[i];
            for j in 0..=i {
                whole.add(number(i), number(j), own[i % 2][j % 2][j / 2][i / 2]);
            }
        }
    }
    hold(mesh, held, &mut whole);
    let moved = whole.solve(&forces).map_err(|_| StressError::NoSection)?;
    if moved.iter().all(|x| x.is_finite()) { Ok(moved) } else { Err(StressError::NoSection) }
}

/// The first column of each row that is not 0: that of the earliest node with which its node shares an element.
fn first_columns(mesh: &Mesh) -> Vec<usize> {
    let mut first: Vec<usize> = (0..mesh.nodes.len()).collect();
    for triangle in &mesh.triangles {
        let earliest = triangle.iter().copied().fold(usize::MAX, usize::min);
        triangle.iter().for_each(|&i| first[i] = first[i].min(earliest));
    }
    first.into_iter().flat_map(|i| [2 * i, 2 * i]).collect()
}

/// Keeps the wheel from drifting along its axis: by blotters where it is mounted, at one node where it is free.
fn hold(mesh: &Mesh, held: Held, whole: &mut Rows) {
    let mut is_held = false;
    if let Held::Between { from, to } = held {
        for (ends, feature) in &mesh.outline {
            let [a, b, middle] = ends.map(|i| mesh.nodes[i]);
            let faces_flange =
                !matches!(feature, Feature::Bore | Feature::OutsideDiameter) && middle.x > from && middle.x < to;
            if faces_flange {
                is_held = true;
                let spring = BLOTTER * middle.x * (b.x - a.x).abs();
                ends.iter().zip(SIMPSON).for_each(|(i, weight)| whole.add(2 * i + 1, 2 * i + 1, weight * spring));
            }
        }
    }
    if !is_held {
        // no force acts along the axis, so this one node carries none
        whole.add(1, 1, 1.0);
    }
}

/// Stress at every node, MPa: the mean over the elements there, those that hold together all round before lands.
pub(super) fn nodal(mesh: &Mesh, material: &Material<'_>, load: Load, moved: &DVector<f64>) -> Vec<Stress> {
    let mut sums = vec![[(Stress::NONE, 0.0); 2]; mesh.nodes.len()];
    for triangle in &mesh.triangles {
        let corners = places(&mesh.nodes, triangle);
        let own = Forces::from_fn(|k, _| moved[2 * triangle[k / 2] + k % 2]);
        let (at, are_lands) = stresses(&corners, &own, material, load.poisson);
        let area = (corners[1] - corners[0]).cross(corners[2] - corners[0]);
        for (node, stress) in triangle.iter().zip(at) {
            let (sum, weight) = &mut sums[*node][usize::from(are_lands)];
            *sum = sum.plus(stress.times(area));
            *weight += area;
        }
    }
    let mean = |[whole, lands]: [(Stress, f64); 2]| {
        let (sum, weight) = if whole.1 > 0.0 { whole } else { lands };
        sum.times(1.0 / weight)
    };
    sums.into_iter().map(mean).collect()
}
