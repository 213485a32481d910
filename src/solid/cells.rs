//! The cells of a plan: what its edges part it into.

use super::plan::{Path, PlanEdge};
use crate::geometry::Point;
use std::f64::consts::TAU;

/// Halvings that find a place at a given distance along an edge.
const HALVINGS: usize = 40;
/// Share of the shortest edge at a point at which the edges' directions are compared, so that edges that touch are told apart.
const LOOK_AT: f64 = 0.25;

/// A cell: the edges around it, counter-clockwise in the plan, and whether each is run along in its own direction.
#[derive(Debug, Clone)]
pub struct Cell {
    /// Its edges.
    pub edges: Vec<(usize, bool)>,
}

/// All cells, the one outside included.
pub fn of(points: &[Point], edges: &[PlanEdge]) -> Vec<Cell> {
    let next = followers(points, edges);
    let mut is_done = vec![false; 2 * edges.len()];
    let mut cells = Vec::new();
    for first in 0..next.len() {
        let mut round = Vec::new();
        let mut half = first;
        while !is_done[half] {
            is_done[half] = true;
            round.push((half / 2, half % 2 == 0));
            half = next[half];
        }
        if !round.is_empty() {
            cells.push(Cell { edges: round });
        }
    }
    cells
}

/// The half-edge that follows each one around the cell to its left. Half-edge 2e runs along edge e, 2e + 1 against it.
fn followers(points: &[Point], edges: &[PlanEdge]) -> Vec<usize> {
    let mut leaving: Vec<Vec<usize>> = vec![Vec::new(); points.len()];
    for (e, edge) in edges.iter().enumerate() {
        leaving[edge.ends[0]].push(2 * e);
        leaving[edge.ends[1]].push(2 * e + 1);
    }
    let mut next = vec![0; 2 * edges.len()];
    for (p, halves) in leaving.iter_mut().enumerate() {
        if let &mut [one, other] = halves.as_mut_slice() {
            // of two each follows the other, whatever their directions
            next[one ^ 1] = other;
            next[other ^ 1] = one;
            continue;
        }
        let reach = |half: &usize| edges[half / 2].path.at(0.5).distance(points[p]);
        let look = LOOK_AT * halves.iter().map(reach).fold(f64::MAX, f64::min);
        let mut by_angle: Vec<(f64, usize)> =
            halves.iter().map(|&half| (direction(&edges[half / 2].path, half % 2 == 0, points[p], look), half)).collect();
        by_angle.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (i, &(_, half)) in by_angle.iter().enumerate() {
            // what arrives by the twin of this one goes on by the one before it, clockwise
            let before = by_angle[(i + by_angle.len() - 1) % by_angle.len()].1;
            next[half ^ 1] = before;
        }
    }
    next
}

/// Direction in which an edge lies at a distance from its end.
fn direction(path: &Path, is_forward: bool, from: Point, away: f64) -> f64 {
    if let Path::Line(a, b) = path {
        return (if is_forward { *b - *a } else { *a - *b }).angle().rem_euclid(TAU);
    }
    let at = |t: f64| path.at(if is_forward { t } else { 1.0 - t });
    let (mut low, mut high) = (0.0, 0.5);
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if at(middle).distance(from) < away { low = middle } else { high = middle }
    }
    (at(high) - from).angle().rem_euclid(TAU)
}
