//! The stone of a turned wheel in the plane of its section, as columns at close radii, each with the stretches of depth that are still there.

use crate::geometry::{Contour, Edge, Point};

/// Distance of columns, mm, unless the wheel is so wide that there would be more than [`MOST_COLUMNS`].
const COLUMN: f64 = 0.05;
const MOST_COLUMNS: f64 = 6000.0;

/// A stretch of depth, from the smaller to the greater.
pub type Stretch = (f64, f64);

/// Columns of stone; x of a point is the depth w, y the radius.
#[derive(Debug, Clone)]
pub struct Stone {
    first: f64,
    apart: f64,
    columns: Vec<Vec<Stretch>>,
}

impl Stone {
    /// Stone between two radii, each column filled by the function of its radius.
    pub fn new(inner: f64, outer: f64, fill: impl Fn(f64) -> Vec<Stretch>) -> Stone {
        let apart = COLUMN.max((outer - inner) / MOST_COLUMNS);
        // columns stand half a distance inside, never on a wall of the ordered shape
        let n = ((outer - inner) / apart).floor().max(1.0) as usize;
        let mut stone = Stone { first: inner + apart / 2.0, apart, columns: Vec::new() };
        stone.columns = (0..n).map(|i| fill(stone.radius(i))).collect();
        stone
    }

    /// The same seen from the other side: depths counted from a plane so far behind.
    pub fn turned(&self, thickness: f64) -> Stone {
        let turned = |column: &Vec<Stretch>| column.iter().rev().map(|s| (thickness - s.1, thickness - s.0)).collect();
        Stone { columns: self.columns.iter().map(turned).collect(), ..self.clone() }
    }

    /// Distance from column to column.
    pub fn apart(&self) -> f64 {
        self.apart
    }

    /// Count of columns.
    pub fn len(&self) -> usize {
        self.columns.len()
    }

    /// Radius of a column.
    pub fn radius(&self, i: usize) -> f64 {
        self.first + self.apart * i as f64
    }

    /// What stands in a column.
    pub fn column(&self, i: usize) -> &[Stretch] {
        &self.columns[i]
    }

    /// Columns between two radii.
    pub fn between(&self, low: f64, high: f64) -> std::ops::Range<usize> {
        let at = |r: f64| ((r - self.first) / self.apart).max(0.0);
        let end = (at(high).floor() as usize + 1).min(self.columns.len());
        let end = if high < self.first { 0 } else { end };
        (at(low).ceil() as usize).min(end)..end
    }

    /// The first place, by radius, where a nose of this radius that runs straight from one centre to another meets stone.
    pub fn meets(&self, swept: &Swept) -> Option<Point> {
        let (low, high) = swept.radii();
        self.between(low, high).find_map(|i| {
            let (from, to) = swept.stretch(self.radius(i))?;
            let hit = self.columns[i].iter().find(|s| s.0 < to && s.1 > from)?;
            Some(Point::new(hit.0.max(from), self.radius(i)))
        })
    }

    /// Takes away what is swept.
    pub fn cut(&mut self, swept: &Swept) {
        let (low, high) = swept.radii();
        for i in self.between(low, high) {
            let Some((from, to)) = swept.stretch(self.radius(i)) else { continue };
            let column = &mut self.columns[i];
            if column.iter().all(|s| s.0 >= to || s.1 <= from) {
                continue;
            }
            let mut left = Vec::with_capacity(column.len() + 1);
            for &(a, b) in column.iter() {
                if a < from.min(b) {
                    left.push((a, b.min(from)));
                }
                if b > to.max(a) {
                    left.push((a.max(to), b));
                }
            }
            *column = left;
        }
    }
}

/// The depths of a contour on a line of constant radius.
pub fn crossings(contour: &Contour, r: f64) -> Vec<Stretch> {
    let mut at: Vec<f64> = contour.edges().iter().flat_map(|e| on_radius(e, r)).flatten().collect();
    at.sort_by(f64::total_cmp);
    at.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

fn on_radius(edge: &Edge, r: f64) -> [Option<f64>; 2] {
    match edge {
        Edge::Line(l) => {
            // half open, so that a corner counts once
            let crosses = (l.start.y <= r) != (l.end.y <= r);
            let share = (r - l.start.y) / (l.end.y - l.start.y);
            [crosses.then_some(l.start.x + (l.end.x - l.start.x) * share), None]
        }
        Edge::Arc(a) => {
            let away = r - a.centre().y;
            let half = ((a.radius() - away) * (a.radius() + away)).sqrt();
            let at = |w: f64| (w.is_finite() && a.sweeps(Point::new(w, away).angle())).then(|| a.centre().x + w);
            [at(half), at(-half)]
        }
    }
}

/// What a round nose sweeps on a straight path.
#[derive(Debug, Clone, Copy)]
pub struct Swept {
    from: Point,
    to: Point,
    nose: f64,
    aside: Point,
}

impl Swept {
    /// Of a nose of this radius whose centre runs from one point to another.
    pub fn new(from: Point, to: Point, nose: f64) -> Swept {
        let aside = (to - from).left().unit().map_or(Point::ORIGIN, |n| n * nose);
        Swept { from, to, nose, aside }
    }

    fn radii(&self) -> (f64, f64) {
        (self.from.y.min(self.to.y) - self.nose, self.from.y.max(self.to.y) + self.nose)
    }

    /// The depths swept at a radius.
    fn stretch(&self, r: f64) -> Option<Stretch> {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut add = |w: f64| {
            low = low.min(w);
            high = high.max(w);
        };
        for centre in [self.from, self.to] {
            let away = r - centre.y;
            if away.abs() < self.nose {
                let half = ((self.nose - away) * (self.nose + away)).sqrt();
                add(centre.x - half);
                add(centre.x + half);
            }
        }
        let corners = [self.from + self.aside, self.to + self.aside, self.to - self.aside, self.from - self.aside];
        for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            if (a.y <= r) != (b.y <= r) {
                add(a.x + (b.x - a.x) * (r - a.y) / (b.y - a.y));
            }
        }
        (high > low).then_some((low, high))
    }
}
