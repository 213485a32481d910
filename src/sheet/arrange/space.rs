//! The free area of a sheet: the largest empty rectangles, and placing a rectangle into the one where it costs least.

use crate::geometry::{Bounds, Point};
use crate::tolerance::ABUTTING;

/// What is still free.
#[derive(Debug, Clone)]
pub struct Space {
    free: Vec<Bounds>,
}

impl Space {
    /// All of an area.
    pub fn new(area: Bounds) -> Space {
        Space { free: vec![area] }
    }

    /// Takes a rectangle and a clear border around it out of what is free.
    pub fn occupy(&mut self, taken: Bounds, border: f64) {
        let taken = taken.grown(border);
        let mut next: Vec<Bounds> = Vec::with_capacity(self.free.len() + 4);
        for &free in &self.free {
            if !free.overlaps(taken) {
                next.push(free);
                continue;
            }
            let parts = [
                Bounds { max: Point::new(taken.min.x, free.max.y), ..free },
                Bounds { min: Point::new(taken.max.x, free.min.y), ..free },
                Bounds { max: Point::new(free.max.x, taken.min.y), ..free },
                Bounds { min: Point::new(free.min.x, taken.max.y), ..free },
            ];
            next.extend(parts.into_iter().filter(|p| p.width() > 1.0 && p.height() > 1.0));
        }
        self.free = maximal(next);
    }

    /// Where a rectangle fits at the least cost, by its lower left corner: it is tried in the corners of every free rectangle.
    pub fn place(&self, width: f64, height: f64, cost: impl Fn(Bounds) -> f64) -> Option<Bounds> {
        let size = Point::new(width, height);
        let fits = self.free.iter().filter(|f| f.width() + ABUTTING >= width && f.height() + ABUTTING >= height);
        let spots = fits.flat_map(|f| {
            let (x, y) = ([f.min.x, f.max.x - width], [f.min.y, f.max.y - height]);
            [Point::new(x[0], y[0]), Point::new(x[1], y[0]), Point::new(x[0], y[1]), Point::new(x[1], y[1])]
        });
        let best = spots.map(|at| Bounds { min: at, max: at + size }).map(|b| (cost(b), b));
        best.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, b)| b)
    }

    /// The empty rectangles, each as large as it can be; they overlap.
    pub fn free(&self) -> &[Bounds] {
        &self.free
    }
}

/// Those of the rectangles that lie in no other one.
fn maximal(all: Vec<Bounds>) -> Vec<Bounds> {
    let inside = |i: usize| {
        let within = |(k, other): (usize, &Bounds)| k != i && other.contains(all[i]) && (*other != all[i] || k < i);
        all.iter().enumerate().any(within)
    };
    (0..all.len()).filter(|&i| !inside(i)).map(|i| all[i]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn boxed(x: f64, y: f64, w: f64, h: f64) -> Bounds {
        Bounds::of(Point::new(x, y), Point::new(x + w, y + h))
    }

    #[test]
    fn what_is_placed_keeps_clear_of_what_is_taken() {
        let mut space = Space::new(boxed(0.0, 0.0, 100.0, 60.0));
        let mut placed: Vec<Bounds> = Vec::new();
        for (w, h) in [(40.0, 30.0), (30.0, 30.0), (20.0, 20.0), (50.0, 20.0), (25.0, 8.0)] {
            let b = space.place(w, h, |b| b.min.x + b.min.y).unwrap();
            assert!(placed.iter().all(|p| !p.grown(1.999).overlaps(b)), "{b:?} among {placed:?}");
            space.occupy(b, 2.0);
            placed.push(b);
        }
        assert_eq!(space.place(90.0, 40.0, |_| 0.0), None);
    }
}
