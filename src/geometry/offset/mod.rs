//! Parallel curves: where the centre of a round tool runs when its edge follows a contour.
//!
//! Which pieces of the parallel curve survive is found by `cavalier_contours`; its result is then put back on exact carriers (the source's
//! lines and circles moved aside, and circles about its corners) and verified from both sides. A result that fails is an error, never a path.

mod carrier;
mod rebuild;

use super::{Contour, Edge, Point, Turn};
use crate::tolerance::SAME_LENGTH;
use cavalier_contours::polyline::{PlineCreation, PlineSource, PlineSourceMut, Polyline};

/// What an edge of a parallel curve belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// It runs beside this edge of the source contour.
    Edge(usize),
    /// It turns about the corner where this edge of the source contour begins.
    Corner(usize),
}

/// One parallel curve, each edge with what it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Offset {
    /// The curve; it runs in the sense of its source.
    pub contour: Contour,
    /// What each edge of the curve belongs to, in the same order.
    pub sources: Vec<Source>,
}

/// Why there is no parallel curve that could be trusted.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum OffsetError {
    /// The distance is zero or not a finite number.
    #[error("a parallel curve needs a distance other than 0, not {0}")]
    Distance(f64),
    /// A piece of the curve is no parallel of anything in the source.
    #[error("the parallel curve has a piece at ({}, {}) that nothing of the contour explains", .at.x, .at.y)]
    Unexplained {
        /// Where.
        at: Point,
    },
    /// The curve is not as far from the source as asked.
    #[error("the parallel curve at ({}, {}) is {distance} from the contour, not {asked}", .at.x, .at.y)]
    WrongDistance {
        /// Where on the curve.
        at: Point,
        /// Distance there.
        distance: f64,
        /// Distance asked for.
        asked: f64,
    },
    /// A place that a round tool of this radius can reach is not on the curve.
    #[error("the parallel curve leaves out ({}, {}), which the tool can reach", .at.x, .at.y)]
    Missing {
        /// Centre of the tool at that place.
        at: Point,
    },
}

/// The curves at distance `to_left` to the left of the contour as travelled (negative: to the right): outwards of a counter-clockwise contour
/// where negative. Convex corners are rounded as a rolling tool leaves them; pieces nearer than the distance to anything are cut off. Empty
/// where nothing is far enough away.
///
/// # Errors
/// Where the distance is 0 or not finite, or the result fails its verification: every end, quarter and middle of its edges lies at the
/// distance, and every place of the source whose tool centre is clear has that centre on the result (both to [`SAME_LENGTH`]).
pub fn parallel(contour: &Contour, to_left: f64) -> Result<Vec<Offset>, OffsetError> {
    if to_left == 0.0 || !to_left.is_finite() {
        return Err(OffsetError::Distance(to_left));
    }
    // near the origin there are more digits for what the library compares
    let shift = contour.bounds().centre();
    let source = contour.translated(-shift);
    let raw = polyline(&source).parallel_offset(to_left);
    let mut found = Vec::new();
    for line in &raw {
        let pieces: Vec<(Point, Point, f64)> = line
            .iter_segments()
            .map(|(a, b)| (Point::new(a.x, a.y) + shift, Point::new(b.x, b.y) + shift, a.bulge))
            .collect();
        found.extend(rebuild::on_carriers(contour, to_left, &pieces)?);
    }
    for offset in &found {
        verify_distance(contour, to_left.abs(), &offset.contour)?;
    }
    verify_complete(contour, to_left, &found)?;
    found.sort_by(|a, b| b.contour.area().abs().total_cmp(&a.contour.area().abs()));
    Ok(found)
}

/// The contour as the library's polyline; arcs near a half circle and above are split, since it knows none above a half.
fn polyline(contour: &Contour) -> Polyline<f64> {
    let mut line = Polyline::with_capacity(contour.edges().len() + 4, true);
    for edge in contour.edges() {
        let start = edge.start();
        match edge {
            Edge::Line(_) => line.add(start.x, start.y, 0.0),
            Edge::Arc(arc) => {
                let parts = (arc.sweep().abs() / 3.0).ceil().max(1.0);
                let bulge = (arc.sweep() / parts / 4.0).tan();
                for i in 0..parts as u32 {
                    let p = arc.at(f64::from(i) / parts);
                    line.add(p.x, p.y, bulge);
                }
            }
        }
    }
    line
}

fn verify_distance(source: &Contour, asked: f64, result: &Contour) -> Result<(), OffsetError> {
    for edge in result.edges() {
        for t in [0.0, 0.25, 0.5, 0.75] {
            let at = edge.at(t);
            let distance = source.distance(at);
            if (distance - asked).abs() > SAME_LENGTH {
                return Err(OffsetError::WrongDistance { at, distance, asked });
            }
        }
    }
    Ok(())
}

/// Whether every place of the source whose tool centre is clear of the rest is followed.
fn verify_complete(source: &Contour, to_left: f64, results: &[Offset]) -> Result<(), OffsetError> {
    for edge in source.edges() {
        for t in [0.02, 0.25, 0.5, 0.75, 0.98] {
            let Some(direction) = edge.direction(t) else { continue };
            let at = edge.at(t) + direction.left() * to_left;
            let clear = source.distance(at) > to_left.abs() - SAME_LENGTH / 10.0;
            if clear && !results.iter().any(|r| r.contour.distance(at) <= SAME_LENGTH) {
                return Err(OffsetError::Missing { at });
            }
        }
    }
    Ok(())
}

/// The turn of a bulge's arc: positive counter-clockwise.
fn turn_of(bulge: f64) -> Turn {
    if bulge > 0.0 { Turn::Left } else { Turn::Right }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(half: f64) -> Contour {
        let at = |x: f64, y: f64| Point::new(30.0 + x * half, y * half - 20.0);
        Contour::polygon(&[at(-1.0, -1.0), at(1.0, -1.0), at(1.0, 1.0), at(-1.0, 1.0)]).unwrap()
    }

    fn found(contour: Contour) -> Offset {
        let sources = (0..contour.edges().len()).map(Source::Edge).collect();
        Offset { contour, sources }
    }

    /// What the library never gives must be refused all the same: squares of half 10, 2 to their left, are one of half 8.
    #[test]
    fn a_curve_at_another_distance_is_refused() {
        assert_eq!(verify_distance(&square(10.0), 2.0, &square(8.0)), Ok(()));
        assert_eq!(verify_distance(&square(10.0), 2.0, &square(8.0 + 0.9 * SAME_LENGTH)), Ok(()));
        for wrong in [8.0 + 1.1 * SAME_LENGTH, 8.0 - 1.1 * SAME_LENGTH, 9.0, 7.0] {
            let refused = verify_distance(&square(10.0), 2.0, &square(wrong)).unwrap_err();
            let OffsetError::WrongDistance { distance, asked, .. } = refused else { panic!("{refused}") };
            assert!((distance - (10.0 - wrong)).abs() < 1e-12 && asked == 2.0);
        }
    }

    #[test]
    fn a_place_that_is_left_out_is_refused() {
        assert_eq!(verify_complete(&square(10.0), 2.0, &[found(square(8.0))]), Ok(()));
        assert!(matches!(verify_complete(&square(10.0), 2.0, &[]), Err(OffsetError::Missing { .. })));
        // half of it is there
        let (a, b) = (Point::new(22.0, -28.0), Point::new(38.0, -28.0));
        let half = Contour::polygon(&[a, b, Point::new(38.0, -12.0)]).unwrap();
        assert!(matches!(verify_complete(&square(10.0), 2.0, &[found(half)]), Err(OffsetError::Missing { .. })));
        // a little aside is not there; where nothing is clear, nothing is missing
        let aside = found(square(8.0 + 2.0 * SAME_LENGTH));
        assert!(matches!(verify_complete(&square(10.0), 2.0, &[aside]), Err(OffsetError::Missing { .. })));
        assert_eq!(verify_complete(&square(10.0), 10.0 + SAME_LENGTH, &[]), Ok(()));
    }
}
