//! The order in which nodes are eliminated: ring by ring from one end of the section to the other, so that the rows of the factor stay short
//! (Cuthill and McKee 1969, turned round: George 1971).

use super::Triangle;
use std::collections::VecDeque;

/// Nodes that share a triangle with each node, itself among them.
fn neighbours(count: usize, triangles: &[Triangle]) -> Vec<Vec<usize>> {
    let mut lists: Vec<Vec<usize>> = vec![Vec::new(); count];
    for t in triangles {
        t.iter().for_each(|&i| lists[i].extend(t));
    }
    lists.iter_mut().for_each(|list| {
        list.sort_unstable();
        list.dedup();
    });
    lists
}

/// Numbers of all nodes in the order in which to eliminate them.
pub(super) fn elimination(count: usize, triangles: &[Triangle]) -> Vec<usize> {
    let mut lists = neighbours(count, triangles);
    // of one ring, those with few neighbours come first
    let degree: Vec<usize> = lists.iter().map(Vec::len).collect();
    lists.iter_mut().for_each(|list| list.sort_by_key(|&i| degree[i]));
    let mut order = Vec::with_capacity(count);
    let mut is_taken = vec![false; count];
    for first in 0..count {
        if !is_taken[first] {
            let end = last(&lists, last(&lists, first));
            outward(&lists, end, &mut is_taken, &mut order);
        }
    }
    order.reverse();
    order
}

/// The node that is reached last from a node.
fn last(lists: &[Vec<usize>], from: usize) -> usize {
    let mut order = Vec::new();
    outward(lists, from, &mut vec![false; lists.len()], &mut order);
    order.last().copied().unwrap_or(from)
}

/// Appends all nodes that hang together with one, the nearest first.
fn outward(lists: &[Vec<usize>], from: usize, is_taken: &mut [bool], order: &mut Vec<usize>) {
    let mut open = VecDeque::from([from]);
    is_taken[from] = true;
    while let Some(i) = open.pop_front() {
        order.push(i);
        for &j in &lists[i] {
            if !std::mem::replace(&mut is_taken[j], true) {
                open.push_back(j);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A strip of squares, two triangles each, corners only; its numbers thrown about.
    fn strip(length: usize) -> (usize, Vec<Triangle>) {
        let count = 2 * (length + 1);
        let number = |i: usize| (i * 37) % count;
        let square = |k: usize| {
            let [a, b, c, d] = [2 * k, 2 * k + 1, 2 * k + 2, 2 * k + 3].map(number);
            [[a, c, b, a, c, b], [b, c, d, b, c, d]]
        };
        (count, (0..length).flat_map(square).collect())
    }

    #[test]
    fn no_node_is_lost() {
        let (count, triangles) = strip(50);
        // one more that belongs to no triangle
        let mut order = elimination(count + 1, &triangles);
        order.sort_unstable();
        assert_eq!(order, (0..=count).collect::<Vec<_>>());
    }

    /// Neighbours along a strip of one square stay within a few places of each other.
    #[test]
    fn rows_stay_short() {
        let (count, triangles) = strip(50);
        let order = elimination(count, &triangles);
        let mut place = vec![0; count];
        order.iter().enumerate().for_each(|(at, &i)| place[i] = at);
        let span = |t: &Triangle| t.iter().flat_map(|&i| t.iter().map(move |&j| (i, j))).map(|(i, j)| place[i].abs_diff(place[j])).max();
        assert!(triangles.iter().filter_map(span).max() <= Some(3));
    }
}
