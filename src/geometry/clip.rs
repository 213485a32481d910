//! The parts of an edge inside an upright window.

use super::{Arc, Bounds, Edge, Point};

/// The parts of a line or arc that lie in the window, in its direction; arcs stay arcs.
pub fn clipped(edge: &Edge, window: Bounds) -> Vec<Edge> {
    let mut cuts = vec![0.0, 1.0];
    cuts.extend(match edge {
        Edge::Line(l) => line_cuts(l.start, l.end, window),
        Edge::Arc(arc) => arc_cuts(arc, window),
    });
    cuts.retain(|t| (0.0..=1.0).contains(t));
    cuts.sort_by(f64::total_cmp);
    let inside =
        |p: Point| (window.min.x..=window.max.x).contains(&p.x) && (window.min.y..=window.max.y).contains(&p.y);
    let parts = cuts.windows(2).filter(|w| inside(edge.at((w[0] + w[1]) / 2.0)));
    parts.filter_map(|w| part(edge, w[0], w[1])).collect()
}

/// Where the window's four lines cut a straight edge, as shares of its length.
fn line_cuts(a: Point, b: Point, window: Bounds) -> Vec<f64> {
    let d = b - a;
    let at = |from: f64, by: f64, limit: f64| (limit - from) / by;
    // a parallel line gives an infinite or undefined share, which is no cut
    [at(a.x, d.x, window.min.x), at(a.x, d.x, window.max.x), at(a.y, d.y, window.min.y), at(a.y, d.y, window.max.y)]
        .into_iter()
        .filter(|t| t.is_finite())
        .collect()
}

/// The same for an arc.
fn arc_cuts(arc: &Arc, window: Bounds) -> Vec<f64> {
    let (c, r) = (arc.centre(), arc.radius());
    let mut angles = Vec::new();
    for x in [window.min.x, window.max.x] {
        let angle = ((x - c.x) / r).acos();
        angles.extend([angle, -angle]);
    }
    for y in [window.min.y, window.max.y] {
        let angle = ((y - c.y) / r).asin();
        angles.extend([angle, std::f64::consts::PI - angle]);
    }
    let share = |angle: f64| {
        let turned = arc.turn().sign() * (angle - arc.start_angle());
        turned.rem_euclid(std::f64::consts::TAU) / arc.sweep().abs()
    };
    // no meeting, no angle
    angles.into_iter().filter(|a| a.is_finite()).map(share).collect()
}

fn part(edge: &Edge, from: f64, to: f64) -> Option<Edge> {
    let (start, end) = (edge.at(from), edge.at(to));
    if start == end {
        return None;
    }
    match edge {
        Edge::Line(_) => Some(Edge::line(start, end)),
        Edge::Arc(arc) => Edge::arc(start, end, arc.centre(), arc.radius(), arc.turn()).ok(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Turn;

    #[test]
    fn only_what_is_inside_is_left() {
        let window = Bounds::of(Point::new(0.0, 0.0), Point::new(10.0, 6.0));
        let through = clipped(&Edge::line(Point::new(-5.0, 3.0), Point::new(20.0, 3.0)), window);
        assert_eq!(through, [Edge::line(Point::new(0.0, 3.0), Point::new(10.0, 3.0))]);
        assert!(clipped(&Edge::line(Point::new(-5.0, 7.0), Point::new(20.0, 7.0)), window).is_empty());
        // the upper half circle of radius 5 about (5, 3) leaves the window at its top and comes back
        let (a, b, c) = (Point::new(10.0, 3.0), Point::new(0.0, 3.0), Point::new(5.0, 3.0));
        let arc = Edge::arc(a, b, c, 5.0, Turn::Left).unwrap();
        let parts = clipped(&arc, window);
        assert_eq!(parts.len(), 2);
        // each part runs from the side to height 3 above the centre: asin(3/5) of a radius of 5
        for part in parts {
            assert!((part.length() - 5.0 * 0.6_f64.asin()).abs() < 1e-12);
        }
    }
}
