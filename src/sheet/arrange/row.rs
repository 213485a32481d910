//! Views in projection: side by side with their axes on one line.

use crate::geometry::{Bounds, Point};
use crate::order::Projection;
use crate::sheet::view::{View, ViewKind};
use crate::wheel::SideName;

/// Clear distance between two views in projection, mm.
const GAP: f64 = 6.0;

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

    /// Section and side views in projection, as many of them as are given, with their axes on one line. Third angle: what is seen from the left
    /// stands left; first angle: it stands right.
    pub fn projected(views: &[&'a View], projection: Projection) -> Row<'a> {
        let from_left = |v: &View| match v.kind {
            ViewKind::Side(SideName::A) => -1,
            ViewKind::Side(SideName::B) => 1,
            _ => 0,
        };
        let mut order: Vec<&View> = views.to_vec();
        order.sort_by_key(|v| if projection == Projection::Third { from_left(v) } else { -from_left(v) });
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
