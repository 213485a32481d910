//! The order in which nodes are eliminated: halves first, what joins them last, so that the factor stays thin (nested dissection; George 1973).

use super::mesh::Triangle;
use crate::geometry::Point;

/// Parts of no more nodes than this are left as they are.
const SMALL: usize = 8;

/// Numbers of all nodes of a mesh in the order in which to eliminate them.
pub(super) fn elimination(nodes: &[Point], triangles: &[Triangle]) -> Vec<usize> {
    let mut neighbours: Vec<Vec<usize>> = vec![Vec::new(); nodes.len()];
    for t in triangles {
        t.iter().for_each(|&i| neighbours[i].extend(t));
    }
    neighbours.iter_mut().for_each(|list| {
        list.sort_unstable();
        list.dedup();
    });
    let mut order = Vec::with_capacity(nodes.len());
    dissect(nodes, &neighbours, (0..nodes.len()).collect(), &mut vec![false; nodes.len()], &mut order);
    order
}

/// Appends a part's nodes: both halves, then the nodes of the one that touch the other. `beyond` is all false before and after.
fn dissect(
    nodes: &[Point],
    neighbours: &[Vec<usize>],
    mut part: Vec<usize>,
    beyond: &mut Vec<bool>,
    order: &mut Vec<usize>,
) {
    if part.len() <= SMALL {
        return order.extend(part);
    }
    let span = |of: &dyn Fn(usize) -> f64| {
        let (low, high) =
            part.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), &i| (l.min(of(i)), h.max(of(i))));
        high - low
    };
    let lies_flat = span(&|i| nodes[i].x) >= span(&|i| nodes[i].y);
    let key = |i: usize| if lies_flat { nodes[i].x } else { nodes[i].y };
    part.sort_by(|a, b| key(*a).total_cmp(&key(*b)));
    let far = part.split_off(part.len() / 2);
    far.iter().for_each(|&i| beyond[i] = true);
    let (joint, near): (Vec<usize>, Vec<usize>) =
        part.into_iter().partition(|&i| neighbours[i].iter().any(|&j| beyond[j]));
    far.iter().for_each(|&i| beyond[i] = false);
    dissect(nodes, neighbours, near, beyond, order);
    dissect(nodes, neighbours, far, beyond, order);
    order.extend(joint);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every node once, whatever the mesh.
    #[test]
    fn no_node_is_lost() {
        let nodes: Vec<Point> = (0..100).map(|i| Point::new(f64::from(i % 10), f64::from(i / 10))).collect();
        let square = |i: usize| [i, i + 1, i + 11, i, i + 11, i + 10];
        let triangles: Vec<Triangle> = (0..89).filter(|i| i % 10 < 9).map(square).collect();
        let mut order = elimination(&nodes, &triangles);
        assert_ne!(order, (0..100).collect::<Vec<_>>());
        order.sort_unstable();
        assert_eq!(order, (0..100).collect::<Vec<_>>());
    }
}
