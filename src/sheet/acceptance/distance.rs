//! Distances between boxes of ink and pieces of lines.

use crate::geometry::Point;

/// Distance between two straight pieces; 0 where they meet.
pub fn between_pieces(a: (Point, Point), b: (Point, Point)) -> f64 {
    if meet(a, b) {
        return 0.0;
    }
    let ends = [to_piece(a.0, b), to_piece(a.1, b), to_piece(b.0, a), to_piece(b.1, a)];
    ends.into_iter().fold(f64::INFINITY, f64::min)
}

/// Distance of a point from a straight piece.
pub fn to_piece(p: Point, (from, to): (Point, Point)) -> f64 {
    let along = to - from;
    let length = along.dot(along);
    let t = if length > 0.0 { ((p - from).dot(along) / length).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(from.lerp(to, t))
}

fn meet(a: (Point, Point), b: (Point, Point)) -> bool {
    let side = |l: (Point, Point), p: Point| (l.1 - l.0).cross(p - l.0);
    side(a, b.0) * side(a, b.1) < 0.0 && side(b, a.0) * side(b, a.1) < 0.0
}

/// Distance of a box (corners counter-clockwise) from a straight piece; 0 where they touch or the piece lies inside.
pub fn box_to_piece(corners: &[Point; 4], piece: (Point, Point)) -> f64 {
    if inside(corners, piece.0) {
        return 0.0;
    }
    sides(corners).map(|side| between_pieces(side, piece)).fold(f64::INFINITY, f64::min)
}

/// Distance between two boxes; 0 where they touch.
pub fn between_boxes(a: &[Point; 4], b: &[Point; 4]) -> f64 {
    if inside(a, b[0]) || inside(b, a[0]) {
        return 0.0;
    }
    sides(a).map(|side| box_to_piece(b, side)).fold(f64::INFINITY, f64::min)
}

fn sides(corners: &[Point; 4]) -> impl Iterator<Item = (Point, Point)> + '_ {
    (0..4).map(|i| (corners[i], corners[(i + 1) % 4]))
}

fn inside(corners: &[Point; 4], p: Point) -> bool {
    sides(corners).all(|(a, b)| (b - a).cross(p - a) >= 0.0)
}

/// Whether two lines cross, or lie on one another over more than `slack`; lines that only touch with an end do not cross.
pub fn cross(a: (Point, Point), b: (Point, Point), slack: f64) -> bool {
    let (along_a, along_b) = (a.1 - a.0, b.1 - b.0);
    let (Some(ua), Some(ub)) = (along_a.unit(), along_b.unit()) else { return false };
    let off = |u: Point, origin: Point, p: Point| u.cross(p - origin);
    let (b0, b1) = (off(ua, a.0, b.0), off(ua, a.0, b.1));
    let (a0, a1) = (off(ub, b.0, a.0), off(ub, b.0, a.1));
    if b0.abs() < slack && b1.abs() < slack {
        let (s, t) = (ua.dot(b.0 - a.0), ua.dot(b.1 - a.0));
        return s.max(t).min(along_a.length()) - s.min(t).max(0.0) > slack;
    }
    let apart = |p: f64, q: f64| (p > slack && q < -slack) || (p < -slack && q > slack);
    apart(b0, b1) && apart(a0, a1)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SQUARE: [Point; 4] = [Point::new(0.0, 0.0), Point::new(4.0, 0.0), Point::new(4.0, 2.0), Point::new(0.0, 2.0)];

    #[test]
    fn distances_by_hand() {
        let piece = |a: (f64, f64), b: (f64, f64)| (Point::new(a.0, a.1), Point::new(b.0, b.1));
        assert_eq!(box_to_piece(&SQUARE, piece((-1.0, 3.0), (9.0, 3.0))), 1.0);
        assert_eq!(box_to_piece(&SQUARE, piece((7.0, 6.0), (7.0, 6.0))), 5.0);
        assert_eq!(box_to_piece(&SQUARE, piece((1.0, 1.0), (2.0, 1.0))), 0.0);
        assert_eq!(box_to_piece(&SQUARE, piece((-1.0, 1.0), (9.0, 1.0))), 0.0);
        let other = SQUARE.map(|p| p + Point::new(6.0, 0.5));
        assert_eq!(between_boxes(&SQUARE, &other), 2.0);
        assert_eq!(between_boxes(&SQUARE, &SQUARE.map(|p| p * 0.25 + Point::new(1.0, 0.5))), 0.0);
    }

    #[test]
    fn lines_cross_inside_each_other_only() {
        let line = |a: (f64, f64), b: (f64, f64)| (Point::new(a.0, a.1), Point::new(b.0, b.1));
        let a = line((0.0, 0.0), (10.0, 0.0));
        assert!(cross(a, line((5.0, -1.0), (6.0, 1.0)), 0.02));
        assert!(!cross(a, line((5.0, 0.0), (6.0, 1.0)), 0.02));
        assert!(!cross(a, line((10.0, -1.0), (10.0, 1.0)), 0.02));
        assert!(cross(a, line((5.0, 0.0), (15.0, 0.0)), 0.02));
        assert!(!cross(a, line((10.0, 0.0), (15.0, 0.0)), 0.02));
    }
}
