//! Which lane each dimension of a band takes, so that nothing crosses anything.
//!
//! Everything is one-dimensional: t runs along the band, lane 0 is nearest to the part. An item's extension lines stand at its two ends and reach
//! from the part to its lane; what it draws on its lane (line, arrow tails, text) covers an interval. An extension line at e crosses an item's
//! drawing exactly if e lies strictly inside the interval and the item is on a nearer lane. Hence: e inside the interval of i puts the owner of e
//! below i. Of that graph, the longest path to an item is its lane, and the result crosses nothing by construction.

use crate::tolerance::SAME_PLACE;

/// Least gap between two items on one lane, mm.
pub const LANE_GAP: f64 = 1.5;
/// Most branches looked at before the best found so far is taken.
const MOST_BRANCHES: usize = 3_000;

/// One way to draw an item.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seat {
    /// Where its drawing begins.
    pub low: f64,
    /// Where its drawing ends.
    pub high: f64,
    /// How unwelcome it is; 0 is best.
    pub penalty: f64,
    /// Whether its text lies across its own ends, so that no extension line of another may stand there either.
    pub covers_ends: bool,
}

/// An item to place.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Where its extension lines stand.
    pub ends: [f64; 2],
    /// The ways it may be drawn, the most welcome first.
    pub seats: Vec<Seat>,
}

impl Wanted {
    fn size(&self) -> f64 {
        (self.ends[1] - self.ends[0]).abs()
    }

    fn is_own(&self, e: f64) -> bool {
        self.ends.iter().any(|own| (own - e).abs() <= SAME_PLACE)
    }
}

/// Where an item went.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placed {
    /// Which of its seats.
    pub seat: usize,
    /// Its lane, 0 nearest to the part.
    pub lane: usize,
}

/// Places all items; `None` where every combination of seats has a cycle.
pub fn solve(items: &[Wanted]) -> Option<Vec<Placed>> {
    let mut search = Search { items, chosen: Vec::new(), best: None, branches: 0 };
    search.descend(0.0);
    search.best.map(|(_, placed)| placed)
}

/// Whether an item with the ends of `owner` must lie below one drawn on this seat.
fn below(owner: &Wanted, of: &Wanted, seat: &Seat) -> bool {
    let inside = |e: f64| e > seat.low + SAME_PLACE && e < seat.high - SAME_PLACE;
    owner.ends.iter().any(|&e| inside(e) && (seat.covers_ends || !of.is_own(e)))
}

fn overlap(a: &Seat, b: &Seat) -> bool {
    a.low < b.high + LANE_GAP && b.low < a.high + LANE_GAP
}

struct Search<'a> {
    items: &'a [Wanted],
    chosen: Vec<usize>,
    best: Option<(f64, Vec<Placed>)>,
    branches: usize,
}

impl Search<'_> {
    fn seat(&self, item: usize) -> &Seat {
        &self.items[item].seats[self.chosen[item]]
    }

    fn descend(&mut self, cost: f64) {
        self.branches += 1;
        // whatever follows takes a lane at least
        let dear = self.best.as_ref().is_some_and(|(best, _)| cost + 1.0 >= *best);
        if dear || self.branches > MOST_BRANCHES {
            return;
        }
        let next = self.chosen.len();
        if next == self.items.len() {
            if let Some(placed) = self.layers() {
                let lanes = placed.iter().map(|p| p.lane + 1).max().unwrap_or(0);
                let total = cost + lanes as f64;
                if self.best.as_ref().is_none_or(|(best, _)| total < *best) {
                    self.best = Some((total, placed));
                }
            }
            return;
        }
        for seat in 0..self.items[next].seats.len() {
            self.chosen.push(seat);
            if !(0..next).any(|other| self.clash(other, next)) {
                self.descend(cost + self.items[next].seats[seat].penalty);
            }
            self.chosen.pop();
        }
    }

    /// Whether each of two items would have to lie below the other.
    fn clash(&self, a: usize, b: usize) -> bool {
        below(&self.items[a], &self.items[b], self.seat(b)) && below(&self.items[b], &self.items[a], self.seat(a))
    }

    /// The lane of each item for the chosen seats; `None` where they form a cycle.
    fn layers(&self) -> Option<Vec<Placed>> {
        let n = self.items.len();
        let under: Vec<Vec<usize>> = (0..n)
            .map(|i| (0..n).filter(|&j| j != i && below(&self.items[j], &self.items[i], self.seat(i))).collect())
            .collect();
        let mut lanes: Vec<Option<usize>> = vec![None; n];
        for _ in 0..n {
            let ready = (0..n).filter(|&i| lanes[i].is_none() && under[i].iter().all(|&j| lanes[j].is_some()));
            let next = ready.min_by(|&a, &b| self.items[a].size().total_cmp(&self.items[b].size()))?;
            let least = under[next].iter().filter_map(|&j| lanes[j]).map(|l| l + 1).max().unwrap_or(0);
            let taken = |lane: usize| (0..n).any(|i| lanes[i] == Some(lane) && overlap(self.seat(i), self.seat(next)));
            lanes[next] = (least..least + n + 1).find(|&lane| !taken(lane));
        }
        Some((0..n).map(|i| Placed { seat: self.chosen[i], lane: lanes[i].unwrap_or(0) }).collect())
    }
}

/// Moves places apart until neighbours are `gap` apart, as little as possible in the sense of least squares (isotonic regression by pooling
/// adjacent violators); the order is kept. `places` must rise.
pub fn spread(places: &[f64], gap: f64) -> Vec<f64> {
    let gaps: Vec<f64> = (0..places.len()).map(|i| gap * i as f64).collect();
    spread_by(places, &gaps)
}

/// The same where each place has a distance of its own to the first: place i and j > i end up at least `from_first[j] − from_first[i]` apart.
pub fn spread_by(places: &[f64], from_first: &[f64]) -> Vec<f64> {
    // with the gaps taken out, the task is: the nearest sequence that does not fall
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (&p, &gap) in places.iter().zip(from_first) {
        pools.push((p - gap, 1));
        while let [.., (before, m), (last, n)] = pools[..] {
            if before <= last {
                break;
            }
            pools.truncate(pools.len() - 2);
            pools.push(((before * m as f64 + last * n as f64) / (m + n) as f64, m + n));
        }
    }
    let level = pools.iter().flat_map(|&(value, n)| std::iter::repeat_n(value, n));
    level.zip(from_first).map(|(v, gap)| v + gap).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn wanted(a: f64, b: f64, text: f64) -> Wanted {
        let seats = vec![
            Seat { low: a, high: b, penalty: if b - a > text { 0.0 } else { 50.0 }, covers_ends: false },
            Seat { low: a, high: b + 1.0 + text, penalty: 1.0, covers_ends: false },
            Seat { low: a - 1.0 - text, high: b, penalty: 1.5, covers_ends: false },
        ];
        Wanted { ends: [a, b], seats }
    }

    /// What is drawn crosses nothing: the definition itself, without the graph.
    fn crossings(items: &[Wanted], placed: &[Placed]) -> usize {
        let mut found = 0;
        for (i, p) in items.iter().zip(placed) {
            let seat = i.seats[p.seat];
            for (j, q) in items.iter().zip(placed) {
                if std::ptr::eq(i, j) {
                    continue;
                }
                let passes = |e: f64| q.lane >= p.lane && e > seat.low + 2e-6 && e < seat.high - 2e-6 && !i.is_own(e);
                found += j.ends.iter().filter(|&&e| passes(e)).count();
                let other = j.seats[q.seat];
                found += usize::from(p.lane == q.lane && seat.low < other.high && other.low < seat.high);
            }
        }
        found
    }

    #[test]
    fn nested_sizes_lie_shortest_nearest() {
        let items = [wanted(-40.0, 40.0, 10.0), wanted(-10.0, 10.0, 10.0), wanted(-25.0, 25.0, 10.0)];
        let placed = solve(&items).unwrap();
        assert_eq!(placed.iter().map(|p| p.lane).collect::<Vec<_>>(), [2, 0, 1]);
        assert_eq!(crossings(&items, &placed), 0);
    }

    #[test]
    fn sizes_from_one_datum_lie_shortest_nearest() {
        let items = [wanted(0.0, 30.0, 5.0), wanted(0.0, 10.0, 5.0), wanted(0.0, 20.0, 5.0)];
        let placed = solve(&items).unwrap();
        assert_eq!(placed.iter().map(|p| p.lane).collect::<Vec<_>>(), [2, 0, 1]);
    }

    #[test]
    fn interlocked_sizes_cannot_be_placed() {
        let items = [wanted(0.0, 20.0, 5.0), wanted(10.0, 30.0, 5.0)];
        let fixed: Vec<Wanted> = items.iter().map(|w| Wanted { seats: vec![w.seats[0]], ..w.clone() }).collect();
        assert_eq!(solve(&fixed), None);
    }

    #[test]
    fn spread_keeps_order_and_moves_as_little_as_it_can() {
        assert_eq!(spread(&[0.0, 10.0], 2.0), [0.0, 10.0]);
        assert_eq!(spread(&[0.0, 0.0], 2.0), [-1.0, 1.0]);
        assert_eq!(spread(&[0.0, 1.0, 20.0], 2.0), [-0.5, 1.5, 20.0]);
    }

    proptest! {
        #[test]
        fn whatever_is_placed_crosses_nothing(
            sizes in prop::collection::vec((0_i32..40, 1_i32..40, 1_i32..30), 1..8)
        ) {
            let items: Vec<Wanted> = sizes
                .iter()
                .map(|&(a, length, text)| wanted(f64::from(a), f64::from(a + length), f64::from(text)))
                .collect();
            if let Some(placed) = solve(&items) {
                prop_assert_eq!(crossings(&items, &placed), 0);
            }
        }

        #[test]
        fn concentric_sizes_with_texts_that_fit_are_always_placed(mut radii in prop::collection::vec(12_i32..400, 1..9)) {
            radii.sort_unstable();
            radii.dedup();
            let items: Vec<Wanted> =
                radii.iter().map(|&r| wanted(-f64::from(r), f64::from(r), 20.0)).collect();
            let placed = solve(&items);
            prop_assert!(placed.is_some());
            prop_assert_eq!(crossings(&items, &placed.unwrap_or_default()), 0);
        }

        #[test]
        fn spread_places_are_apart(mut places in prop::collection::vec(-50.0_f64..50.0, 1..12), gap in 0.1_f64..5.0) {
            places.sort_by(f64::total_cmp);
            let out = spread(&places, gap);
            for pair in out.windows(2) {
                prop_assert!(pair[1] - pair[0] >= gap - 1e-9);
            }
            let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
            prop_assert!((mean(&out) - mean(&places)).abs() < 1e-9);
        }
    }
}
