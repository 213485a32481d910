//! Rounding the corner between two straight lines by a tangent arc.

use super::{Arc, Edge, Line, Point, Turn};
use crate::tolerance::SAME_LENGTH;

/// Why a corner cannot be rounded with the radius asked for.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FilletError {
    /// The lines run on in one direction, or turn back on each other: there is no corner.
    #[error("the two lines make no corner")]
    NoCorner,
    /// The arc would begin before the first line does.
    #[error("the radius needs {needs} of the first line, which is {has} long")]
    FirstTooShort {
        /// Tangent length the radius needs.
        needs: f64,
        /// Length of the line.
        has: f64,
    },
    /// The arc would end after the second line does.
    #[error("the radius needs {needs} of the second line, which is {has} long")]
    SecondTooShort {
        /// Tangent length the radius needs.
        needs: f64,
        /// Length of the line.
        has: f64,
    },
}

/// The arc of `radius` tangent to the line `a → corner` and to the line `corner → b`, running from the first to the second.
/// Works for convex and concave corners alike. Where the tangent length equals a line's length the arc ends exactly on its end.
///
/// # Errors
/// Where there is no corner, or a line is too short for the radius.
pub fn round_corner(a: Point, corner: Point, b: Point, radius: f64) -> Result<Arc, FilletError> {
    let along = (corner - a).unit().ok_or(FilletError::NoCorner)?;
    let onward = (b - corner).unit().ok_or(FilletError::NoCorner)?;
    let cross = along.cross(onward);
    let turn_angle = cross.atan2(along.dot(onward));
    let needs = radius * (turn_angle.abs() / 2.0).tan();
    let start = tangent_point(corner, a, needs).map_err(|has| FilletError::FirstTooShort { needs, has })?;
    let end = tangent_point(corner, b, needs).map_err(|has| FilletError::SecondTooShort { needs, has })?;
    let turn = if cross > 0.0 { Turn::Left } else { Turn::Right };
    let centre = start + along.left() * (radius * turn.sign());
    Arc::new(start, end, centre, radius, turn).map_err(|_| FilletError::NoCorner)
}

/// The point `needs` from `corner` towards `far`; `far` itself where that is the same length; the line's length where it is too short.
fn tangent_point(corner: Point, far: Point, needs: f64) -> Result<Point, f64> {
    let has = corner.distance(far);
    if (needs - has).abs() <= SAME_LENGTH {
        return Ok(far);
    }
    if needs > has {
        return Err(has);
    }
    Ok(corner + (far - corner) * (needs / has))
}

/// Rounds the end of a chain of straight lines into the line from its last point to `below`: the arc is tangent to one of the chain's lines and to
/// that last line, and what of the chain lies beyond the tangent point is cut away. Returns the index of the line it touches and the arc.
///
/// # Errors
/// Where no line of the chain is touched between its ends with the rest of the chain cut away.
pub fn round_end(chain: &[Point], below: Point, radius: f64) -> Result<(usize, Arc), FilletError> {
    let rim = *chain.last().ok_or(FilletError::NoCorner)?;
    let mut first_error = None;
    for i in (0..chain.len().saturating_sub(1)).rev() {
        let (a, b) = (chain[i], chain[i + 1]);
        // the line continued to the last line's x
        let share = (rim.x - a.x) / (b.x - a.x);
        let corner = if i + 2 == chain.len() { rim } else { a + (b - a) * share };
        match round_corner(a, corner, below, radius) {
            Ok(arc) if reaches(&arc, b) && chain[i + 1..].iter().all(|&p| cuts_away(&arc, p)) => {
                return Ok((i, arc));
            }
            Ok(_) => {}
            Err(e) => first_error = first_error.or(Some(e)),
        }
    }
    Err(first_error.unwrap_or(FilletError::NoCorner))
}

/// Whether the arc begins no further along x than `end`.
fn reaches(arc: &Arc, end: Point) -> bool {
    arc.start().x <= end.x + SAME_LENGTH
}

/// Whether a point of the chain, at or beyond the arc's beginning, lies on the arc or on the side of it that is cut away; so does whatever lies on
/// the two lines it is tangent to.
fn cuts_away(arc: &Arc, p: Point) -> bool {
    p.distance(arc.centre()) >= arc.radius() - SAME_LENGTH
}

/// The edges of `a → corner → b` with the corner rounded: what is left of the lines, and the arc between them.
///
/// # Errors
/// As [`round_corner`].
pub fn rounded(a: Point, corner: Point, b: Point, radius: f64) -> Result<Vec<Edge>, FilletError> {
    let arc = round_corner(a, corner, b, radius)?;
    let lines = [Line { start: a, end: arc.start() }, Line { start: arc.end(), end: b }];
    let [first, second] = lines.map(|l| (l.start != l.end).then_some(Edge::Line(l)));
    Ok([first, Some(Edge::Arc(arc)), second].into_iter().flatten().collect())
}
