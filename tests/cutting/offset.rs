//! Parallel curves against hand-computed ones, and over every reference order.

use super::support::{reference_jobs, section};
use wheeldraft::geometry::{Contour, Edge, Point, Turn, offset};

fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// The outermost parallel curve outside a counter-clockwise contour.
fn outside(contour: &Contour, distance: f64) -> Contour {
    offset::parallel(contour, -distance).expect("an offset").remove(0).contour
}

#[test]
fn rectangle_from_every_start_both_ways() {
    let (w, h, d) = (30.0, 7.0, 2.5);
    let contour = Contour::polygon(&[p(100.0, -3.0), p(130.0, -3.0), p(130.0, 4.0), p(100.0, 4.0)]).unwrap();
    // Steiner: area + perimeter·d + π·d²; inwards the rectangle shrinks by d on each side
    let grown = w * h + 2.0 * (w + h) * d + std::f64::consts::PI * d * d;
    let shrunk = (w - 2.0 * d) * (h - 2.0 * d);
    for first in 0..4 {
        let c = contour.started_at(first);
        assert!((outside(&c, d).area() / grown - 1.0).abs() < 1e-14);
        let back = offset::parallel(&c.reversed(), d).unwrap().remove(0).contour;
        assert!((back.area() / -grown - 1.0).abs() < 1e-14);
        let inner = offset::parallel(&c, d).unwrap();
        assert_eq!(inner.len(), 1);
        assert!((inner[0].contour.area() / shrunk - 1.0).abs() < 1e-14);
        let inner = offset::parallel(&c.reversed(), -d).unwrap();
        assert!((inner[0].contour.area() / -shrunk - 1.0).abs() < 1e-14);
    }
    assert_eq!(offset::parallel(&contour, 3.6).unwrap().len(), 0);
}

/// An L with a fillet of 2 in its inner corner; the tool goes round the outside.
fn ell(fillet: f64) -> Contour {
    let corner = p(10.0, 5.0);
    let mut edges = vec![Edge::line(p(0.0, 0.0), p(40.0, 0.0)), Edge::line(p(40.0, 0.0), p(40.0, 5.0))];
    let (foot, head) = (corner + p(fillet, 0.0), corner + p(0.0, fillet));
    edges.push(Edge::line(p(40.0, 5.0), foot));
    if fillet > 0.0 {
        edges.push(Edge::arc(foot, head, corner + p(fillet, fillet), fillet, Turn::Right).unwrap());
    }
    edges.push(Edge::line(head, p(10.0, 30.0)));
    edges.push(Edge::line(p(10.0, 30.0), p(0.0, 30.0)));
    edges.push(Edge::line(p(0.0, 30.0), p(0.0, 0.0)));
    Contour::new(edges).unwrap()
}

#[test]
fn inner_corner_larger_equal_smaller_than_the_tool() {
    let d = 2.0;
    for fillet in [0.0, 1.0, 2.0, 3.5] {
        let source = ell(fillet);
        for first in 0..source.edges().len() {
            let grown = outside(&source.started_at(first), d);
            // by hand: Steiner's sum of the convex corners; the inner corner's fillet shrinks to fillet − d or, where it is smaller than
            // the tool, the lines run to the sharp point (12, 7)
            let left = (fillet - d).max(0.0);
            let around = 40.0 + 5.0 + 30.0 + 25.0 + 10.0 + 30.0;
            // a strip along each side, the square in the inner corner once, five convex quarter turns
            let strips = d * around - d * d + 5.0 * std::f64::consts::FRAC_PI_4 * d * d;
            let by_hand = 40.0 * 5.0 + 10.0 * 25.0 + strips + left * left * (1.0 - std::f64::consts::FRAC_PI_4);
            assert!((grown.area() / by_hand - 1.0).abs() < 1e-13, "fillet {fillet}: {} {by_hand}", grown.area());
            let arcs: Vec<f64> = grown
                .edges()
                .iter()
                .filter_map(|e| if let Edge::Arc(a) = e { Some(a.radius()) } else { None })
                .collect();
            assert_eq!(arcs.iter().filter(|r| **r == d).count(), 5);
            assert_eq!(arcs.len(), if left > 0.0 { 6 } else { 5 });
        }
    }
}

#[test]
fn every_reference_section_has_a_verified_path_for_every_nose() {
    for (name, job) in reference_jobs() {
        let section = section(&job);
        for nose in [0.05, 0.2, 0.4, 0.762, 0.8, 1.0, 1.5875, 2.0, 3.0, 5.0] {
            let result = offset::parallel(&section, -nose);
            let curves = result.unwrap_or_else(|e| panic!("{name}, nose {nose}: {e}"));
            assert!(curves[0].contour.area() > section.area());
            assert_eq!(curves[0].contour.edges().len(), curves[0].sources.len());
        }
    }
}
