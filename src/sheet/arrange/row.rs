//! Views in projection: side by side with their axes on one line.

use crate::geometry::{Bounds, Point};
use crate::order::Projection;
use crate::sheet::view::{View, ViewKind};
use crate::wheel::SideName;

/// Clear distance between two views in projection, mm.
const GAP: f64 = 8.0;

/// One or more views that keep their places to each other: section and side views in line, or a single view.
#[derive(Debug, Clone)]
pub struct Row<'a> {
    /// The views, each with where its origin lies from the row's lower left corner.
    pub views: Vec<(&'a View, Point)>,
    /// Extent along x, mm.
    pub width: f64,
    /// Extent along y, mm.
    pub height: f64,
}

impl<'a> Row<'a> {
    /// A single view.
    pub fn single(view: &'a View) -> Row<'a> {
        let b = view.bounds;
        Row { views: vec![(view, Point::ORIGIN - b.min)], width: b.width(), height: b.height() }
    }

    /// Section and side views in projection. Third angle: what is seen from the left stands left; first angle: it stands right.
    pub fn projected(section: &'a View, sides: &[&'a View], projection: Projection) -> Row<'a> {
        let left_side = match projection {
            Projection::Third => SideName::A,
            Projection::First => SideName::B,
        };
        let on_left = |v: &&View| v.kind == ViewKind::Side(left_side);
        let mut order: Vec<&View> = sides.iter().copied().filter(|v| on_left(v)).collect();
        order.push(section);
        order.extend(sides.iter().copied().filter(|v| !on_left(v)));
        let low = order.iter().map(|v| v.bounds.min.y).fold(f64::INFINITY, f64::min);
        let high = order.iter().map(|v| v.bounds.max.y).fold(f64::NEG_INFINITY, f64::max);
        let mut x = 0.0;
        let mut views = Vec::new();
        for view in order {
            views.push((view, Point::new(x - view.bounds.min.x, -low)));
            x += view.bounds.width() + GAP;
        }
        Row { views, width: x - GAP, height: high - low }
    }

    /// Extent along x times extent along y, mm².
    pub fn area(&self) -> f64 {
        self.width * self.height
    }

    /// The boxes of its views where its lower left corner lies at `at`.
    pub fn boxes(&self, at: Point) -> impl Iterator<Item = Bounds> + '_ {
        self.views.iter().map(move |(v, origin)| {
            let by = at + *origin;
            Bounds { min: v.bounds.min + by, max: v.bounds.max + by }
        })
    }
}
