//! The geometry kernel over random wheels: closed, simple, measured the same from every start, direction and mirror, and judged by the `geo` crate.

use crate::support::{job, random_orders};
use geo::{Area, Centroid, Coord, LineString, Polygon};
use std::f64::consts::PI;
use wheeldraft::geometry::{Contour, Edge, Moments, Point};
use wheeldraft::groove::plan;
use wheeldraft::properties;
use wheeldraft::section::Section;
use wheeldraft::wheel::{SideName, Wheel};

const WHEELS: u64 = 300;

fn wheels() -> impl Iterator<Item = (u64, Wheel)> {
    (0..WHEELS).map(|seed| (seed, job(&random_orders::order(seed)).wheel))
}

fn numbers(m: Moments) -> [f64; 10] {
    [m.area, m.x, m.y, m.xx, m.xy, m.yy, m.xxx, m.xxy, m.xyy, m.yyy]
}

#[track_caller]
fn close(got: f64, want: f64, relative: f64, what: &str) {
    assert!((got - want).abs() <= relative * want.abs(), "{what}: {got} against {want}");
}

#[test]
fn sections_are_closed_and_run_counter_clockwise() {
    for (seed, wheel) in wheels() {
        let section = Section::of(&wheel).unwrap();
        let edges = section.contour().edges();
        for (i, e) in edges.iter().enumerate() {
            assert_eq!(e.end(), edges[(i + 1) % edges.len()].start(), "order {seed}, edge {i}");
            assert!(e.length() > 0.0, "order {seed}, edge {i} has no length");
        }
        assert!(section.moments().area > 0.0, "order {seed}");
    }
}

/// No two edges touch but neighbours at their shared end: sampled points of one are off every other.
#[test]
fn sections_do_not_touch_themselves() {
    for (seed, wheel) in wheels() {
        let section = Section::of(&wheel).unwrap();
        for (i, e) in section.contour().edges().iter().enumerate() {
            let middle = e.at(0.5);
            let across = e.direction(0.5).unwrap().left() * 1e-4;
            assert!(section.contour().contains(middle + across), "order {seed}: left of edge {i} is material");
            assert!(!section.contour().contains(middle - across), "order {seed}: right of edge {i} is air");
        }
    }
}

#[test]
fn integrals_are_the_same_from_every_start_direction_and_mirror() {
    for (seed, wheel) in wheels().take(60) {
        let contour = Section::of(&wheel).unwrap().contour().clone();
        let want = numbers(contour.moments());
        for first in 0..contour.edges().len() {
            let from = contour.started_at(first);
            for (got, want) in numbers(from.moments()).into_iter().zip(want) {
                close(got, want, 1e-12, &format!("order {seed} from edge {first}"));
            }
            for (got, want) in numbers(from.reversed().moments()).into_iter().zip(want) {
                close(-got, want, 1e-12, &format!("order {seed} back from edge {first}"));
            }
        }
        // mirrored in r: odd powers of x change sign; mirrored in z: odd powers of y
        let flipped = numbers(contour.mirrored_x().moments());
        let upside = numbers(contour.mirrored_y().moments());
        for (i, (odd_x, odd_y)) in
            [(0, 0), (1, 0), (0, 1), (0, 0), (1, 1), (0, 0), (1, 0), (0, 1), (1, 0), (0, 1)].into_iter().enumerate()
        {
            let sign = |odd: i32| if odd == 1 { -1.0 } else { 1.0 };
            close(flipped[i] * sign(odd_x), want[i], 1e-12, &format!("order {seed} mirrored in r"));
            close(upside[i] * sign(odd_y), want[i], 1e-12, &format!("order {seed} mirrored in z"));
        }
    }
}

/// A wheel turned round (sides swapped) has the same volume and its centroid on the other side.
#[test]
fn swapped_sides_mirror_the_wheel() {
    for (seed, wheel) in wheels().take(60) {
        let mut swapped = wheel.clone();
        std::mem::swap(&mut swapped.side_a, &mut swapped.side_b);
        let one = Section::of(&wheel).unwrap().revolved();
        let two = Section::of(&swapped).unwrap().revolved();
        close(two.volume, one.volume, 1e-12, &format!("order {seed}"));
        close(two.polar, one.polar, 1e-12, &format!("order {seed}"));
        close(wheel.thickness * two.volume - two.z, one.z, 1e-11, &format!("order {seed}"));
    }
}

#[test]
fn volumes_lie_between_their_bounds() {
    for (seed, wheel) in wheels().take(120) {
        let section = Section::of(&wheel).unwrap();
        let p = properties::of_section(&wheel, &section, None);
        let (d, h, t) = (wheel.outside_diameter, wheel.bore, wheel.thickness);
        let straight = PI / 4.0 * (d * d - h * h) * t;
        assert!(p.plain.volume > 0.0 && p.plain.volume <= straight * (1.0 + 1e-12), "order {seed}");
        assert!(p.wheel.volume > 0.0 && p.wheel.volume <= p.plain.volume * (1.0 + 1e-12), "order {seed}");
        let mut naive = 0.0;
        for name in SideName::BOTH {
            if let Some(g) = &wheel.side(name).grooves {
                naive += f64::from(g.pattern.count()) * g.width * (g.depth + 0.1 * t) * d;
            }
        }
        if let Some(g) = &wheel.face {
            naive += f64::from(g.pattern.count()) * g.transverse_width() * g.depth * t;
        }
        assert!(p.wheel.groove_volume >= 0.0 && p.wheel.groove_volume <= naive * (1.0 + 1e-12), "order {seed}");
        let singly: f64 = [p.grooves.side_a, p.grooves.side_b, p.grooves.face]
            .into_iter()
            .flatten()
            .map(|g| f64::from(g.count) * g.volume_each)
            .sum();
        assert!(p.wheel.groove_volume <= singly * (1.0 + 1e-9), "order {seed}: overlaps count once");
    }
}

/// The contour as a polygon of `n` chords an arc.
fn flattened(contour: &Contour, n: usize) -> Polygon<f64> {
    let mut points: Vec<Coord<f64>> = Vec::new();
    for edge in contour.edges() {
        let steps = if matches!(edge, Edge::Arc(_)) { n } else { 1 };
        points.extend((0..steps).map(|i| edge.at(i as f64 / steps as f64)).map(|Point { x, y }| Coord { x, y }));
    }
    Polygon::new(LineString::from(points), Vec::new())
}

/// Area and area·centroid by the `geo` crate on chords, extrapolated to no chord error (its leading term falls with n²).
fn by_geo(contour: &Contour) -> [f64; 3] {
    let at = |n: usize| {
        let polygon = flattened(contour, n);
        let (area, centre) = (polygon.signed_area(), polygon.centroid().unwrap());
        [area, area * centre.x(), area * centre.y()]
    };
    let (coarse, fine) = (at(200), at(400));
    [0, 1, 2].map(|i| fine[i] + (fine[i] - coarse[i]) / 3.0)
}

#[test]
fn sections_and_groove_plans_agree_with_the_geo_crate() {
    for (seed, wheel) in wheels() {
        let section = Section::of(&wheel).unwrap();
        let m = section.moments();
        for (got, want) in [m.area, m.x, m.y].into_iter().zip(by_geo(section.contour())) {
            close(got, want, 1e-10, &format!("section of order {seed}"));
        }
        for name in SideName::BOTH {
            let Some(outline) = plan::placed(&wheel, name, 1) else { continue };
            let outline = outline.unwrap();
            let m = outline.moments();
            let [area, ..] = by_geo(&outline);
            assert!(area > 0.0, "order {seed}");
            close(m.area, area, 1e-9, &format!("groove plan of order {seed}"));
        }
    }
}
