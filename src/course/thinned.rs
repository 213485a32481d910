//! Which passes of a picture are drawn, so that lines beside each other stay lines on paper.

use crate::geometry::Point;
use std::collections::HashMap;

/// Places along a motion that are looked at, one for such a length on paper, mm, and at most so many.
const STEP: f64 = 2.0;
const MOST: usize = 200;

/// Of motions on paper, each rapid or not, those that are drawn: a motion all of which lies nearer than `apart` to drawn ones of its kind is not. The last
/// ones come first: it is the finished pass that must be seen.
pub fn thinned(travels: &[(bool, Vec<Point>)], apart: f64) -> Vec<bool> {
    let mut drawn = vec![true; travels.len()];
    if apart <= 0.0 {
        return drawn;
    }
    let mut near = Near { apart, places: HashMap::new() };
    for (i, (is_rapid, points)) in travels.iter().enumerate().rev() {
        let places = places(points, apart);
        drawn[i] = !places.iter().all(|p| near.holds(*is_rapid, *p));
        if drawn[i] {
            places.into_iter().for_each(|p| near.take(*is_rapid, p));
        }
    }
    drawn
}

/// Places along a line, so near to each other that none between them is farther than a little from one.
fn places(points: &[Point], apart: f64) -> Vec<Point> {
    let step = STEP.min(apart);
    let along = |p: &[Point]| {
        let n = ((p[0].distance(p[1]) / step).ceil() as usize).clamp(1, MOST);
        let (a, b) = (p[0], p[1]);
        (0..=n).map(move |i| a.lerp(b, i as f64 / n as f64))
    };
    points.windows(2).flat_map(along).collect()
}

/// What is drawn so far, in squares as wide as lines must lie apart.
struct Near {
    apart: f64,
    places: HashMap<(bool, i64, i64), Vec<Point>>,
}

impl Near {
    fn square(&self, p: Point) -> (i64, i64) {
        ((p.x / self.apart).floor() as i64, (p.y / self.apart).floor() as i64)
    }

    fn take(&mut self, is_rapid: bool, p: Point) {
        let (x, y) = self.square(p);
        self.places.entry((is_rapid, x, y)).or_default().push(p);
    }

    fn holds(&self, is_rapid: bool, p: Point) -> bool {
        let (x, y) = self.square(p);
        let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (is_rapid, x + dx, y + dy)));
        around.filter_map(|square| self.places.get(&square)).flatten().any(|q| q.distance(p) < self.apart)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn passes(count: usize, between: f64) -> Vec<(bool, Vec<Point>)> {
        let at = |i: usize| i as f64 * between;
        let cut = |i: usize| (false, vec![Point::new(0.0, at(i)), Point::new(50.0, at(i))]);
        let step = |i: usize| (false, vec![Point::new(50.0, at(i)), Point::new(50.0, at(i + 1))]);
        (0..count).flat_map(|i| [cut(i), step(i)]).collect()
    }

    #[test]
    fn passes_wide_apart_are_all_drawn_and_close_ones_in_turn() {
        assert!(thinned(&passes(20, 1.5), 1.2).iter().all(|d| *d));
        let drawn = thinned(&passes(60, 0.31), 1.2);
        let cuts: Vec<usize> = (0..60).filter(|i| drawn[2 * i]).collect();
        assert!(cuts.windows(2).all(|w| w[1] - w[0] == 4), "{cuts:?}");
        assert!(cuts.contains(&59), "the last pass is drawn");
        assert!(thinned(&passes(60, 0.001), 0.0).iter().all(|d| *d));
    }

    #[test]
    fn a_rapid_move_beside_a_cut_is_drawn() {
        let line = || vec![Point::ORIGIN, Point::new(40.0, 0.0)];
        assert_eq!(thinned(&[(true, line()), (false, line()), (false, line())], 1.0), [true, false, true]);
    }
}
