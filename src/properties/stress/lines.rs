//! Lines of equal tension.

use super::{Field, Stress};
use crate::geometry::Point;
use crate::tolerance::ROUNDED;

/// The four flat triangles that stand in for one of six nodes, by its nodes.
const PARTS: [[usize; 3]; 4] = [[0, 3, 5], [3, 1, 4], [5, 4, 2], [3, 4, 5]];

impl Field {
    /// The line along which the greatest tension in any direction is `level`, MPa, in straight pieces, (r, z) in mm.
    pub fn line_of(&self, level: f64) -> Vec<(Point, Point)> {
        let level = level * (1.0 + ROUNDED);
        let tension: Vec<f64> = self.stress.iter().map(Stress::tension).collect();
        let piece = |[a, b, c]: [usize; 3]| {
            let crossed = [(a, b), (b, c), (c, a)].into_iter().filter_map(|(i, j)| {
                let (from, to) = (tension[i] - level, tension[j] - level);
                ((from < 0.0) != (to < 0.0)).then(|| self.nodes[i].lerp(self.nodes[j], from / (from - to)))
            });
            match crossed.collect::<Vec<_>>().as_slice() {
                [p, q] => Some((*p, *q)),
                _ => None,
            }
        };
        self.pieces().filter_map(piece).collect()
    }

    /// The triangles of three nodes that those of six are made of.
    pub fn pieces(&self) -> impl Iterator<Item = [usize; 3]> {
        self.triangles.iter().flat_map(|t| PARTS.map(|part| part.map(|k| t[k])))
    }
}
