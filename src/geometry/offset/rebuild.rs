//! Puts the library's approximate pieces back on the exact carriers of the source contour.

use super::carrier::Carrier;
use super::{Offset, OffsetError, Source, turn_of};
use crate::geometry::{Contour, Edge, Point};
use crate::tolerance::{OFFSET_MATCH, ROUNDED};

/// One piece: what it belongs to, what it lies on, and its approximate start.
#[derive(Clone, Copy)]
struct Piece {
    source: Source,
    carrier: Carrier,
    start: Point,
}

/// The exact curve of approximate pieces (start, end, bulge); `None` where they enclose nothing, as when a curve shrinks to a point.
pub(super) fn on_carriers(
    contour: &Contour,
    to_left: f64,
    pieces: &[(Point, Point, f64)],
) -> Result<Option<Offset>, OffsetError> {
    let mut found: Vec<Piece> = Vec::new();
    for &(start, end, bulge) in pieces.iter().filter(|(a, b, _)| a.distance(*b) > OFFSET_MATCH / 10.0) {
        let (source, carrier) = explain(contour, to_left, (start, end, bulge))?;
        if found.last().is_none_or(|p| p.source != source) {
            found.push(Piece { source, carrier, start });
        }
    }
    if found.len() > 1 && found.first().map(|p| p.source) == found.last().map(|p| p.source) {
        found.remove(0);
    }
    if found.len() < 2 {
        return Ok(None);
    }
    let n = found.len();
    let images = images(contour, to_left);
    let vertex = |i: usize| exact_vertex(&found[(i + n - 1) % n], &found[i], &images);
    let vertices: Vec<Point> = (0..n).map(vertex).collect::<Result<_, _>>()?;
    let mut edges = Vec::with_capacity(n);
    let mut sources = Vec::with_capacity(n);
    for (i, piece) in found.iter().enumerate() {
        let (start, end) = (vertices[i], vertices[(i + 1) % n]);
        if start == end {
            continue;
        }
        let edge = match piece.carrier {
            Carrier::Line(..) => Edge::line(start, end),
            Carrier::Circle(centre, radius, turn) => {
                Edge::arc(start, end, centre, radius, turn).map_err(|_| OffsetError::Unexplained { at: start })?
            }
        };
        edges.push(edge);
        sources.push(piece.source);
    }
    match Contour::new(edges) {
        Ok(contour) => Ok(Some(Offset { contour, sources })),
        Err(_) => Err(OffsetError::Unexplained { at: vertices[0] }),
    }
}

/// The part of the source whose parallel a piece lies on: the one that fits best.
fn explain(contour: &Contour, to_left: f64, piece: (Point, Point, f64)) -> Result<(Source, Carrier), OffsetError> {
    let (start, end, bulge) = piece;
    let middle = middle(start, end, bulge);
    let candidates = contour.edges().iter().enumerate().flat_map(|(i, edge)| {
        let beside = Carrier::beside(edge, to_left).map(|c| (Source::Edge(i), c, edge.nearest(middle)));
        let about = (Source::Corner(i), Carrier::about(edge.start(), to_left), edge.start());
        [beside, Some(about)].into_iter().flatten()
    });
    let fit = |&(_, carrier, foot): &(Source, Carrier, Point)| {
        let kind = match carrier {
            Carrier::Line(_, d) => bulge.abs() < ROUNDED && d.dot(end - start) > 0.0,
            Carrier::Circle(_, _, turn) => bulge != 0.0 && turn == turn_of(bulge),
        };
        let off = [start, middle, end].map(|p| carrier.off(p)).into_iter().fold(0.0, f64::max);
        // the foot on the source tells apart parts that share a line or a circle
        let foot = (foot.distance(middle) - to_left.abs()).abs();
        if kind { off.max(foot) } else { f64::INFINITY }
    };
    let best = candidates.map(|c| (fit(&c), c)).min_by(|a, b| a.0.total_cmp(&b.0));
    match best {
        Some((off, (source, carrier, _))) if off <= OFFSET_MATCH => Ok((source, carrier)),
        _ => Err(OffsetError::Unexplained { at: middle }),
    }
}

/// Middle of a piece given by its bulge.
fn middle(start: Point, end: Point, bulge: f64) -> Point {
    // the sagitta is bulge · chord / 2, to the right of the chord where the arc turns left
    start.lerp(end, 0.5) + (end - start).left() * (-bulge / 2.0)
}

/// Both ends of every edge, moved aside: where parallels of edges that join smoothly meet.
fn images(contour: &Contour, to_left: f64) -> Vec<Point> {
    let ends =
        contour.edges().iter().flat_map(|e| [0.0, 1.0].map(|t| e.direction(t).map(|d| e.at(t) + d.left() * to_left)));
    ends.flatten().collect()
}

/// Where one piece ends and the next begins, on both carriers.
fn exact_vertex(before: &Piece, after: &Piece, images: &[Point]) -> Result<Point, OffsetError> {
    let about = after.start;
    let fits = |p: Point| before.carrier.holds(p) && after.carrier.holds(p);
    let image = images
        .iter()
        .filter(|p| p.distance(about) <= OFFSET_MATCH && fits(**p))
        .min_by(|a, b| a.distance(about).total_cmp(&b.distance(about)));
    if let Some(&image) = image {
        return Ok(image);
    }
    before
        .carrier
        .meet(&after.carrier, about)
        .filter(|p| p.distance(about) <= 10.0 * OFFSET_MATCH && fits(*p))
        .ok_or(OffsetError::Unexplained { at: about })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Turn;

    #[test]
    fn middle_of_a_quarter_turn() {
        // quarter of the unit circle counter-clockwise from (1, 0)
        let m = middle(Point::new(1.0, 0.0), Point::new(0.0, 1.0), (std::f64::consts::PI / 8.0).tan());
        let want = Point::polar(1.0, std::f64::consts::FRAC_PI_4);
        assert!(m.distance(want) < 1e-15);
        assert_eq!(turn_of(-0.2), Turn::Right);
    }

    /// A square of half 10 about (30, −20), counter-clockwise.
    fn square() -> Contour {
        let at = |x: f64, y: f64| Point::new(30.0 + x, y - 20.0);
        Contour::polygon(&[at(-10.0, -10.0), at(10.0, -10.0), at(10.0, 10.0), at(-10.0, 10.0)]).unwrap()
    }

    type Bit = (Point, Point, f64);

    /// The straight pieces through these points about (30, −20), closed.
    fn pieces(points: &[(f64, f64)]) -> Vec<Bit> {
        let at = |(x, y): (f64, f64)| Point::new(30.0 + x, y - 20.0);
        points.iter().zip(points.iter().cycle().skip(1)).map(|(&a, &b)| (at(a), at(b), 0.0)).collect()
    }

    const INNER: [(f64, f64); 4] = [(-8.0, -8.0), (8.0, -8.0), (8.0, 8.0), (-8.0, 8.0)];

    /// The parallel 2 to the left has four edges, wherever it begins, however often an edge is parted, and whatever is shorter than the matching.
    #[test]
    fn pieces_of_one_edge_are_one_edge() {
        let begun_within = [(0.0, -8.0), (3.0, -8.0), (8.0, -8.0), (8.0, 8.0), (-8.0, 8.0), (-8.0, -8.0), (-5.0, -8.0)];
        let with_a_speck = [(-8.0, -8.0), (8.0, -8.0), (8.0, -8.0 + 0.9e-5), (8.0, 8.0), (-8.0, 8.0)];
        for points in [&INNER[..], &begun_within[..], &with_a_speck[..]] {
            let found = on_carriers(&square(), 2.0, &pieces(points)).unwrap().unwrap();
            assert_eq!(found.contour.edges().len(), 4);
            assert!((found.contour.area() - 256.0).abs() < 1e-9);
            let mut sources = found.sources.clone();
            sources.sort_by_key(|s| if let Source::Edge(i) = s { *i } else { 9 });
            assert_eq!(sources, [0, 1, 2, 3].map(Source::Edge));
        }
        // there and back encloses nothing
        let one = [(Point::new(22.0, -28.0), Point::new(38.0, -28.0), 0.0)];
        assert_eq!(on_carriers(&square(), 2.0, &one), Ok(None));
        assert_eq!(on_carriers(&square(), 2.0, &[]), Ok(None));
    }

    /// A piece that is aside of every carrier, runs backwards, or turns the wrong way about a corner is nothing of this contour's.
    #[test]
    fn what_nothing_explains_is_refused() {
        let with = |change: &dyn Fn(&mut Vec<Bit>)| {
            let mut bits = pieces(&INNER);
            change(&mut bits);
            on_carriers(&square(), 2.0, &bits)
        };
        let down = |by: f64| Point::new(0.0, -by);
        for (aside, right) in [(0.9e-4, true), (1.1e-4, false), (-1.1e-4, false), (1.0, false)] {
            let moved = with(&|bits| bits[0] = (bits[0].0 + down(aside), bits[0].1 + down(aside), 0.0));
            assert_eq!(moved.is_ok(), right, "{aside}");
        }
        assert!(with(&|bits| bits[0] = (bits[0].1, bits[0].0, 0.0)).is_err());
        assert!(with(&|bits| bits[0].2 = 0.1).is_err());
        // a quarter turn to the right about the corner (40, −30) is its parallel on the outside; one to the left is not
        let (start, end) = (Point::new(40.0, -32.0), Point::new(42.0, -30.0));
        let quarter = (std::f64::consts::PI / 8.0).tan();
        assert!(explain(&square(), -2.0, (start, end, quarter)).is_ok());
        assert!(explain(&square(), -2.0, (end, start, -quarter)).is_err());
        assert!(explain(&square(), -2.0, (start, end, 0.0)).is_err());
    }

    /// A vertex lies where its two carriers meet, as long as that is near where the library has it: 1e-3 mm.
    #[test]
    fn a_vertex_far_from_where_it_was_is_refused() {
        for (along, right) in [(0.0, true), (0.5e-4, true), (0.9e-3, true), (1.1e-3, false), (0.1, false)] {
            let mut bits = pieces(&INNER);
            bits[0].0 = bits[0].0 + Point::new(along, 0.0);
            let found = on_carriers(&square(), 2.0, &bits);
            assert_eq!(found.is_ok(), right, "{along}");
            if let Ok(Some(found)) = found {
                assert!((found.contour.area() - 256.0).abs() < 1e-9);
            }
        }
    }
}
