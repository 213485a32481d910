//! Plane geometry against figures worked out by hand: right triangles, lenses, circles.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};
use wheeldraft::geometry::quadrature::{gauss, smooth_ends};
use wheeldraft::geometry::{
    Arc, ArcError, Bounds, Contour, ContourError, Edge, FilletError, Point, Turn, offset, roots, round_corner,
    round_end,
};

fn p(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

#[track_caller]
fn near(got: Point, want: Point) {
    assert!(got.distance(want) < 1e-12 * (1.0 + want.length()), "{got:?} against {want:?}");
}

#[track_caller]
fn close(got: f64, want: f64, off: f64) {
    assert!((got - want).abs() <= off, "{got} against {want}: {:e}", got - want);
}

/// An arc about `centre` from one direction to another, degrees.
fn arc(centre: Point, radius: f64, from: f64, to: f64, turn: Turn) -> Arc {
    let at = |deg: f64| centre + Point::polar(radius, deg.to_radians());
    Arc::new(at(from), at(to), centre, radius, turn).unwrap()
}

#[test]
fn what_is_no_arc_is_refused() {
    let new = |start, end, radius| Arc::new(start, end, p(2.0, 1.0), radius, Turn::Left);
    assert!(new(p(5.0, 1.0), p(2.0, 4.0), 3.0).is_ok());
    assert_eq!(new(p(5.0, 1.0), p(5.0, 1.0), 3.0), Err(ArcError::NoLength));
    assert_eq!(new(p(2.0, 1.0), p(2.0, 4.0), 0.0), Err(ArcError::Radius(0.0)));
    assert_eq!(new(p(5.0, 1.0), p(2.0, 4.0), -3.0), Err(ArcError::Radius(-3.0)));
    assert_eq!(new(p(5.0, 1.0), p(2.0, f64::NAN), 3.0), Err(ArcError::NotFinite));
    assert_eq!(new(p(f64::INFINITY, 1.0), p(2.0, 4.0), 3.0), Err(ArcError::NotFinite));
    assert_eq!(new(p(5.0, 1.0), p(2.0, 4.0), f64::INFINITY), Err(ArcError::NotFinite));
    // 1e-12 of the radius and the centre's distance, 5.236: 1e-12 is within it, 1e-11 is not, inside the circle or outside
    for off in [1e-12, -1e-12] {
        assert!(new(p(5.0 + off, 1.0), p(2.0, 4.0), 3.0).is_ok());
    }
    for off in [1e-11, -1e-11] {
        assert!(matches!(new(p(5.0 + off, 1.0), p(2.0, 4.0), 3.0), Err(ArcError::OffCircle { radius: 3.0, .. })));
        assert!(matches!(new(p(5.0, 1.0), p(2.0, 4.0 + off), 3.0), Err(ArcError::OffCircle { radius: 3.0, .. })));
    }
}

#[test]
fn the_box_of_an_arc_holds_the_quarter_points_it_passes() {
    let centre = p(30.0, -20.0);
    for (from, to, turn, x, y) in [
        // which ends of the box are the circle's: (left, right) and (lower, upper)
        (45.0, 135.0, Turn::Left, (false, false), (false, true)),
        (135.0, 225.0, Turn::Left, (true, false), (false, false)),
        (225.0, 315.0, Turn::Left, (false, false), (true, false)),
        (-45.0, 45.0, Turn::Left, (false, true), (false, false)),
        (45.0, 135.0, Turn::Right, (true, true), (true, false)),
        (20.0, 70.0, Turn::Left, (false, false), (false, false)),
    ] {
        let edge = Edge::Arc(arc(centre, 10.0, from, to, turn));
        let ends = Bounds::of(edge.start(), edge.end());
        let side = |reached: bool, end: f64, circle: f64| if reached { circle } else { end };
        let bounds = edge.bounds();
        near(bounds.min, p(side(x.0, ends.min.x, 20.0), side(y.0, ends.min.y, -30.0)));
        near(bounds.max, p(side(x.1, ends.max.x, 40.0), side(y.1, ends.max.y, -10.0)));
        // whole of it lies in its box, and half way along it is on the circle
        close(edge.at(0.5).distance(centre), 10.0, 1e-12);
        let sweep = (to - from).to_radians() - if turn == Turn::Right { 2.0 * PI } else { 0.0 };
        close(edge.length(), 10.0 * sweep.abs(), 1e-12);
    }
}

#[test]
fn a_part_of_an_edge_and_its_direction() {
    let quarter = Edge::Arc(arc(p(1.0, 2.0), 4.0, 0.0, 90.0, Turn::Left));
    let third = quarter.part(1.0 / 3.0, 1.0).unwrap();
    near(third.start(), p(1.0, 2.0) + Point::polar(4.0, PI / 6.0));
    assert_eq!(third.end(), quarter.end());
    assert_eq!(quarter.part(0.5, 0.5), None);
    let line = Edge::line(p(1.0, 1.0), p(5.0, 4.0));
    assert_eq!(line.part(0.5, 0.5), None);
    near(line.part(0.25, 0.75).unwrap().start(), p(2.0, 1.75));
    near(line.direction(0.3).unwrap(), p(0.8, 0.6));
    near(quarter.direction(0.0).unwrap(), p(0.0, 1.0));
    near(quarter.direction(1.0).unwrap(), p(-1.0, 0.0));
    near(quarter.reversed().direction(0.0).unwrap(), p(1.0, 0.0));
    near(Edge::Arc(arc(p(0.0, 0.0), 1.0, 0.0, 90.0, Turn::Right)).direction(0.0).unwrap(), p(0.0, -1.0));
}

#[test]
fn points_part_an_arc_into_equal_pieces() {
    for (from, to, turn, sweep) in [(10.0, 130.0, Turn::Left, 120.0), (10.0, 130.0, Turn::Right, -240.0)] {
        let arc = arc(p(3.0, -2.0), 5.0, from, to, turn);
        for n in [1, 2, 7] {
            let points: Vec<Point> = arc.points(n).collect();
            assert_eq!((points.len(), points[0], points[n]), (n + 1, arc.start(), arc.end()));
            for (i, at) in points.into_iter().enumerate() {
                let share = i as f64 / n as f64;
                near(at, p(3.0, -2.0) + Point::polar(5.0, f64::to_radians(from + sweep * share)));
            }
        }
    }
}

/// A D lying on its back: a half disc of radius 5 about (40, 30), the straight side below.
fn half_disc() -> Contour {
    let centre = p(40.0, 30.0);
    let round = Edge::Arc(arc(centre, 5.0, 0.0, 180.0, Turn::Left));
    Contour::new(vec![round, Edge::line(round.end(), round.start())]).unwrap()
}

/// The lens of two circles of radii 10 and 7 whose centres are 12 apart: they cross at x = 8.125 from the first, y = ±√(100 − 8.125²).
fn lens(inwards: f64) -> Contour {
    let (r, s, apart) = (10.0 - inwards, 7.0 - inwards, 12.0);
    let x = (apart * apart + r * r - s * s) / (2.0 * apart);
    let y = (r * r - x * x).sqrt();
    let (low, high) = (p(x, -y), p(x, y));
    let right = Edge::arc(low, high, p(0.0, 0.0), r, Turn::Left).unwrap();
    let left = Edge::arc(high, low, p(apart, 0.0), s, Turn::Left).unwrap();
    Contour::new(vec![right, left]).unwrap()
}

#[test]
fn a_point_is_inside_or_outside() {
    let grid = |n: i32| {
        (0..n).flat_map(move |i| (0..n).map(move |j| (f64::from(i) / f64::from(n), f64::from(j) / f64::from(n))))
    };
    let (disc, back) = (half_disc(), half_disc().reversed());
    let (l, moved) = (lens(0.0), lens(0.0).translated(p(-50.0, 70.0)));
    // a half disc cut out of a plate: the arc turns right
    let mut bitten = vec![disc.edges()[0].reversed(), Edge::line(p(45.0, 30.0), p(60.0, 30.0))];
    bitten.extend([Edge::line(p(60.0, 30.0), p(60.0, 50.0)), Edge::line(p(60.0, 50.0), p(20.0, 50.0))]);
    bitten.extend([Edge::line(p(20.0, 50.0), p(20.0, 30.0)), Edge::line(p(20.0, 30.0), p(35.0, 30.0))]);
    let bitten = Contour::new(bitten).unwrap();
    for (u, v) in grid(41) {
        let at = p(33.013 + 14.0 * u, 27.017 + 10.0 * v);
        let round = at.distance(p(40.0, 30.0)) < 5.0;
        for contour in [&disc, &back] {
            assert_eq!(contour.contains(at), round && at.y > 30.0, "{at:?}");
        }
        assert_eq!(bitten.contains(at), !round && at.y > 30.0, "{at:?}");
        let at = p(3.011 + 9.0 * u, -7.007 + 14.0 * v);
        let both = at.length() < 10.0 && at.distance(p(12.0, 0.0)) < 7.0;
        assert_eq!(l.contains(at), both, "{at:?}");
        assert_eq!(moved.contains(at + p(-50.0, 70.0)), both, "{at:?}");
    }
}

#[test]
fn what_is_no_contour_is_refused() {
    let (a, b, c) = (p(0.0, 0.0), p(3.0, 0.0), p(0.0, 4.0));
    let refused = |edges: Vec<Edge>| Contour::new(edges).unwrap_err();
    assert_eq!(refused(vec![Edge::line(a, b)]), ContourError::TooFew(1));
    assert_eq!(refused(vec![Edge::line(a, b), Edge::line(b, b), Edge::line(b, a)]), ContourError::NoLength(1));
    assert_eq!(refused(vec![Edge::line(a, b), Edge::line(c, a)]), ContourError::Gap { index: 1, gap: 5.0 });
    assert_eq!(refused(vec![Edge::line(a, b), Edge::line(b, c)]), ContourError::Gap { index: 0, gap: 4.0 });
    let nowhere = p(f64::NAN, 0.0);
    assert_eq!(refused(vec![Edge::line(a, nowhere), Edge::line(nowhere, a)]), ContourError::NotFinite(0));
    // two edges enclose something where one is round
    assert!(lens(0.0).area() > 0.0);
}

#[test]
fn scaled_contours_keep_their_form() {
    let (small, large) = (half_disc(), half_disc().scaled(2.5));
    close(large.area(), 2.5 * 2.5 * small.area(), 1e-11);
    close(large.length(), 2.5 * small.length(), 1e-12);
    let Edge::Arc(a) = large.edges()[0] else { panic!("an arc") };
    assert_eq!((a.radius(), a.centre()), (12.5, p(100.0, 75.0)));
    close(large.distance(p(100.0, 95.0)), 7.5, 1e-12);
}

#[test]
fn a_radius_in_a_corner_of_two_lines() {
    // 3-4-5: between (0, 1) and a line down at 3:4 the half angle's tangent is 1/2 or 2
    let arc = round_corner(p(0.0, 0.0), p(10.0, 0.0), p(10.0, 8.0), 3.0).unwrap();
    assert_eq!((arc.turn(), arc.radius()), (Turn::Left, 3.0));
    near(arc.start(), p(7.0, 0.0));
    near(arc.end(), p(10.0, 3.0));
    near(arc.centre(), p(7.0, 3.0));
    let arc = round_corner(p(0.0, 0.0), p(10.0, 0.0), p(14.0, -3.0), 6.0).unwrap();
    // turned 36.87° to the right: tangent 6·tan(18.43°) = 2
    assert_eq!(arc.turn(), Turn::Right);
    near(arc.start(), p(8.0, 0.0));
    near(arc.end(), p(11.6, -1.2));
    near(arc.centre(), p(8.0, -6.0));
    let refused = |a, corner, b, radius| round_corner(a, corner, b, radius).unwrap_err();
    assert_eq!(refused(p(0.0, 0.0), p(4.0, 0.0), p(9.0, 0.0), 1.0), FilletError::NoCorner);
    assert_eq!(refused(p(0.0, 0.0), p(4.0, 0.0), p(4.0, 0.0), 1.0), FilletError::NoCorner);
    let FilletError::FirstTooShort { needs, has } = refused(p(8.0, 0.0), p(10.0, 0.0), p(10.0, 8.0), 3.0) else {
        panic!("the first line is too short")
    };
    close(needs, 3.0, 1e-14);
    close(has, 2.0, 0.0);
    let FilletError::SecondTooShort { needs, has } = refused(p(0.0, 0.0), p(10.0, 0.0), p(10.0, 2.5), 3.0) else {
        panic!("the second line is too short")
    };
    close(needs, 3.0, 1e-14);
    close(has, 2.5, 0.0);
}

/// A radius as long as its line, to within what counts as the same length (1e-7 mm), takes the line's own end.
#[test]
fn a_radius_as_long_as_its_line_ends_on_its_end() {
    for off in [0.0, 0.9e-7, -0.9e-7] {
        let (a, b) = (p(7.0 + off, 0.0), p(10.0, 9.0));
        let made = round_corner(a, p(10.0, 0.0), b, 3.0);
        // a start that far off the circle makes no arc: the refusal says so
        if off == 0.0 {
            assert_eq!(made.unwrap().start(), a);
        } else {
            assert_eq!(made.unwrap_err(), FilletError::NoCorner);
        }
    }
    let longer = round_corner(p(7.0 - 1.1e-7, 0.0), p(10.0, 0.0), p(10.0, 9.0), 3.0).unwrap();
    near(longer.start(), p(7.0, 0.0));
    let shorter = round_corner(p(7.0 + 1.1e-7, 0.0), p(10.0, 0.0), p(10.0, 9.0), 3.0);
    assert!(matches!(shorter, Err(FilletError::FirstTooShort { .. })), "{shorter:?}");
    // sums that miss by a last bit
    let (corner, foot) = (p(0.3, 0.0), p(0.3 - (0.1 + 0.2), 0.0));
    assert_eq!(round_corner(foot, corner, p(0.3, 1.0), 0.3).unwrap().start(), foot);
}

/// The end of a chain rounded into the line upwards at x = 10.
#[test]
fn the_rim_is_rounded_from_whichever_line_the_arc_touches() {
    // everything lies aside of the origin by this much
    let aside = p(20.0, -7.0);
    let round = |chain: &[Point], radius: f64| {
        let chain: Vec<Point> = chain.iter().map(|&q| q + aside).collect();
        let (touched, arc) = round_end(&chain, p(10.0, 100.0) + aside, radius)?;
        match Edge::Arc(arc).translated(-aside) {
            Edge::Arc(arc) => Ok::<_, FilletError>((touched, arc)),
            Edge::Line(_) => panic!("an arc"),
        }
    };
    let flat_then_slope = [p(0.0, 0.0), p(9.0, 0.0), p(10.0, 1.0)];
    // small: on the slope of 45°, which turns another 45°: tangent 0.5·tan(22.5°)
    let (touched, arc) = round(&flat_then_slope, 0.5).unwrap();
    let tangent = 0.5 * (PI / 8.0).tan();
    assert_eq!(touched, 1);
    near(arc.start(), p(10.0 - tangent * FRAC_PI_4.sin(), 1.0 - tangent * FRAC_PI_4.sin()));
    near(arc.end(), p(10.0, 1.0 + tangent));
    // large: on the flat continued to the rim, the slope cut away
    let (touched, arc) = round(&flat_then_slope, 4.0).unwrap();
    assert_eq!(touched, 0);
    near(arc.start(), p(6.0, 0.0));
    near(arc.centre(), p(6.0, 4.0));
    near(arc.end(), p(10.0, 4.0));
    // the same where lines before it lie in one with it
    let (touched, arc) =
        round(&[p(0.0, 0.0), p(0.5, 0.0), p(1.0, 0.0), p(1.5, 0.0), p(9.0, 0.0), p(10.0, 1.0)], 4.0).unwrap();
    assert_eq!(touched, 3);
    near(arc.centre(), p(6.0, 4.0));
    // the first line falls 3:4 and continued reaches the rim at (10, −7.5): from there 2·tan of half of 126.87°
    let falling = [p(0.0, 0.0), p(8.0, -6.0), p(10.0, -6.5)];
    let (touched, arc) = round(&falling, 3.0).unwrap();
    assert_eq!(touched, 0);
    near(arc.start(), p(10.0 - 0.8 * 6.0, -7.5 + 0.6 * 6.0));
    near(arc.end(), p(10.0, -1.5));
    // it begins exactly where the line it touches ends: what follows turns away from it and is too short
    let (touched, arc) = round(&[p(0.0, 0.0), p(6.0, 0.0), p(8.0, -1.0), p(10.0, -1.0)], 4.0).unwrap();
    assert_eq!(touched, 0);
    near(arc.start(), p(6.0, 0.0));
    // a corner of the chain on the arc itself: (8.4, 0.8) is 2.4 and 3.2 from the centre (6, 4)
    let (touched, _) = round(&[p(0.0, 0.0), p(7.9, 0.0), p(8.4, 0.8), p(10.0, 1.2)], 4.0).unwrap();
    assert_eq!(touched, 0);
}

#[test]
fn a_rim_that_no_arc_fits_is_refused() {
    // 7 is too long for the last line of 5.5, misses the steep one before, and from the first would cut into (4.5, 3), which is there to stay
    let chain = [p(0.0, 0.0), p(4.0, 0.0), p(4.5, 3.0), p(10.0, 3.0)];
    let refused = round_end(&chain, p(10.0, 100.0), 7.0).unwrap_err();
    let FilletError::FirstTooShort { needs, has } = refused else { panic!("{refused}") };
    close(needs, 7.0, 1e-12);
    assert_eq!(has, 5.5);
    let (touched, arc) = round_end(&chain, p(10.0, 100.0), 5.5).unwrap();
    assert_eq!((touched, arc.start()), (2, p(4.5, 3.0)));
    assert_eq!(round_end(&[], p(10.0, 100.0), 7.0).unwrap_err(), FilletError::NoCorner);
    assert_eq!(round_end(&chain[..1], p(10.0, 100.0), 7.0).unwrap_err(), FilletError::NoCorner);
}

#[test]
fn a_lens_is_offset_to_the_lens_of_smaller_circles() {
    for inwards in [0.5, 1.0, 2.0] {
        for (source, sign) in [(lens(0.0), 1.0), (lens(0.0).reversed(), -1.0)] {
            let found = offset::parallel(&source.translated(p(300.0, -200.0)), sign * inwards).unwrap();
            assert_eq!(found.len(), 1);
            let curve = found[0].contour.translated(p(-300.0, 200.0));
            let want = lens(inwards);
            close(curve.area(), sign * want.area(), 1e-10);
            for e in want.edges() {
                assert!(curve.edges().iter().any(|c| c.start().distance(e.start()) < 1e-10), "{curve:?}");
            }
        }
    }
    // outwards: both arcs grow, and about each tip runs an arc
    let grown = &offset::parallel(&lens(0.0), -1.0).unwrap()[0];
    let around = lens(0.0).area() + lens(0.0).length() + PI;
    close(grown.contour.area(), around, 1e-10);
    assert_eq!(grown.sources.iter().filter(|s| matches!(s, offset::Source::Corner(_))).count(), 2);
    // the half thickness of the lens is 2.5: nothing is left
    assert!(offset::parallel(&lens(0.0), 2.6).unwrap().is_empty());
    assert_eq!(offset::parallel(&lens(0.0), 0.0), Err(offset::OffsetError::Distance(0.0)));
    assert_eq!(offset::parallel(&lens(0.0), f64::INFINITY), Err(offset::OffsetError::Distance(f64::INFINITY)));
}

/// A disc of radius 10 less the segment beyond a chord 6 from its centre: the arc turns more than half of the circle.
#[test]
fn a_cut_disc_is_offset_to_a_smaller_one() {
    let cut = |inwards: f64| {
        let (r, chord) = (10.0 - inwards, 6.0 - inwards);
        let half = (r * r - chord * chord).sqrt();
        let arc = Edge::arc(p(chord, half), p(chord, -half), p(0.0, 0.0), r, Turn::Left).unwrap();
        Contour::new(vec![arc, Edge::line(arc.end(), arc.start())]).unwrap()
    };
    for inwards in [0.5, 2.0, 4.0] {
        let found = offset::parallel(&cut(0.0).translated(p(70.0, 10.0)), inwards).unwrap();
        assert_eq!(found.len(), 1);
        close(found[0].contour.area(), cut(inwards).area(), 1e-10);
        assert_eq!(found[0].contour.edges().len(), 2);
    }
}

/// A sector of half angle h about the x axis in polar coordinates: ∫ r^k dr = R^(k+1)/(k+1), and the integrals of powers of sine and cosine.
#[test]
fn moments_of_a_sector_agree_with_their_polar_integrals() {
    let radius = 3.0f64;
    for half in [0.01f64, 0.09, 0.3, 1.0, 1.5, 2.0, 3.0] {
        let arc = arc(p(0.0, 0.0), radius, -half.to_degrees(), half.to_degrees(), Turn::Left);
        let sector = vec![Edge::line(p(0.0, 0.0), arc.start()), Edge::Arc(arc), Edge::line(arc.end(), p(0.0, 0.0))];
        let m = Contour::new(sector).unwrap().moments();
        let (s, c) = half.sin_cos();
        let want = [
            (m.area, radius.powi(2) * half),
            (m.x, radius.powi(3) / 3.0 * 2.0 * s),
            (m.xx, radius.powi(4) / 4.0 * (half + s * c)),
            (m.yy, radius.powi(4) / 4.0 * (half - s * c)),
            (m.xxx, radius.powi(5) / 5.0 * 2.0 * (s - s.powi(3) / 3.0)),
            (m.xyy, radius.powi(5) / 5.0 * 2.0 / 3.0 * s.powi(3)),
            (m.y, 0.0),
            (m.xy, 0.0),
            (m.xxy, 0.0),
            (m.yyy, 0.0),
        ];
        for (i, (got, want)) in want.into_iter().enumerate() {
            close(got, want, 1e-13 * radius.powi(5) * half);
            assert!(
                want == 0.0 || (got / want - 1.0).abs() < 1e-8,
                "half angle {half}, number {i}: {got} against {want}"
            );
        }
    }
}

/// Gauss–Legendre rules are exact to degree 2n − 1 and no further (their definition).
#[test]
fn gauss_rules_are_exact_to_their_degree() {
    for asked in 1..=33usize {
        let rule = gauss(asked);
        let n = (asked.div_ceil(4) * 4).min(32);
        assert_eq!(rule.nodes().len(), n);
        let power = |k: i32| rule.nodes().iter().map(|&(t, w)| w * t.powi(k)).sum::<f64>() * f64::from(k + 1);
        for k in 0..2 * n as i32 {
            close(power(k), 1.0, 1e-13);
        }
        // the degree after misses by 2^(−4n)-like amounts, visible for the smallest only
        if n == 4 {
            assert!((power(8) - 1.0).abs() > 1e-5);
        }
    }
}

/// ∫ √((x − a)(b − x)) dx = π(b − a)²/8: square roots at both ends, exact with a rule of 32 nodes after the substitution.
#[test]
fn smooth_ends_take_square_roots_at_both_ends() {
    for (a, b) in [(0.0, 1.0), (3.0, 7.5), (-2.0, 40.0)] {
        let sum = |f: &dyn Fn(f64) -> f64| {
            let value = |&(t, w): &(f64, f64)| {
                let (x, scale) = smooth_ends(a, b, t);
                w * scale * f(x)
            };
            gauss(32).nodes().iter().map(value).sum::<f64>()
        };
        let size: f64 = b - a;
        close(sum(&|_| 1.0), size, 1e-13 * size);
        close(sum(&|x| ((x - a) * (b - x)).sqrt()), PI * size * size / 8.0, 1e-12 * size * size);
        assert_eq!((smooth_ends(a, b, 0.0).0, smooth_ends(a, b, 1.0).0), (a, b));
        assert_eq!(smooth_ends(a, b, 0.5), ((a + b) / 2.0, 1.5 * size));
    }
    // near an end at 0 not a digit is lost: 3s² − 2s³ from it
    let s: f64 = 1e-9;
    let off = s * s * (3.0 - 2.0 * s);
    assert!((smooth_ends(0.0, 1.0, s).0 / off - 1.0).abs() < 1e-14);
    assert!((smooth_ends(-1.0, 0.0, 1.0 - s).0 / -off - 1.0).abs() < 1e-6);
}

#[test]
fn roots_between_two_signs() {
    for (a, b, f, want) in [
        (0.0, 2.0, (|x| x * x - 2.0) as fn(f64) -> f64, 2f64.sqrt()),
        (1.0, 2.0, |x| x.cos(), FRAC_PI_2),
        (-3.0, 1.0, |x| x.powi(3) + 5.0, -(5f64.cbrt())),
        (0.0, 100.0, |x| 1.0 - (-x / 50.0 + 1.0).exp(), 50.0),
        // flat at one end: regula falsi alone would creep
        (0.0, 1.0, |x| x.powi(9) - 0.5, 0.5f64.powf(1.0 / 9.0)),
        (0.0, 1.0, |x| 0.5 - (1.0 - x).powi(9), 1.0 - 0.5f64.powf(1.0 / 9.0)),
    ] {
        for (a, b) in [(a, b), (b, a)] {
            close(roots::between(a, b, f).expect("a root"), want, 4e-16 * want.abs().max(1.0));
            close(roots::between(a, b, |x| -f(x)).expect("a root"), want, 4e-16 * want.abs().max(1.0));
        }
    }
    assert_eq!(roots::between(1.0, 2.0, |x| x - 1.0), Some(1.0));
    assert_eq!(roots::between(1.0, 2.0, |x| x - 2.0), Some(2.0));
    assert_eq!(roots::between(1.0, 2.0, |x| x), None);
    assert_eq!(roots::between(1.0, 2.0, |x| -x), None);
    assert_eq!(roots::between(0.0, 2.0, |x| 1.0 / x - 1.0), None);
    assert_eq!(roots::between(1.0, 2.0, |x| if x > 1.5 { f64::NAN } else { -1.0 }), None);
}

/// Few steps suffice: a root costs a dozen evaluations, not hundreds.
#[test]
fn a_root_is_found_in_few_steps() {
    let asked = std::cell::Cell::new(0);
    let f = |x: f64| {
        asked.set(asked.get() + 1);
        x.powi(9) - 0.5
    };
    roots::between(0.0, 1.0, f).unwrap();
    assert!(asked.get() < 40, "{}", asked.get());
}

#[test]
fn a_scan_sees_every_sign_change() {
    let found = roots::scan(0.5, 10.0, 40, f64::sin);
    assert_eq!(found.len(), 3);
    for (got, want) in found.into_iter().zip([PI, 2.0 * PI, 3.0 * PI]) {
        close(got, want, 4e-15);
    }
    // a root on a step's end is found once
    assert_eq!(roots::scan(0.0, 4.0, 4, |x| x - 2.0), [2.0]);
    assert_eq!(roots::scan(0.0, 4.0, 4, |x| (x - 1.0) * (x - 2.5)), [1.0, 2.5]);
}

#[test]
fn boxes() {
    let a = Bounds::of(p(4.0, 1.0), p(1.0, 3.0));
    assert_eq!((a.min, a.max), (p(1.0, 1.0), p(4.0, 3.0)));
    assert_eq!((a.width(), a.height(), a.centre()), (3.0, 2.0, p(2.5, 2.0)));
    let b = Bounds::of(p(4.0, 2.0), p(6.0, 7.0));
    assert_eq!(a.union(b), Bounds::of(p(1.0, 1.0), p(6.0, 7.0)));
    assert_eq!(a.grown(0.5), Bounds::of(p(0.5, 0.5), p(4.5, 3.5)));
    // a shared border is no overlap, on whichever side
    let square = |x: f64, y: f64| Bounds::of(p(x, y), p(x + 2.0, y + 2.0));
    let middle = square(0.0, 0.0);
    for (x, y) in [(2.0, 0.0), (-2.0, 0.0), (0.0, 2.0), (0.0, -2.0), (5.0, 0.0), (-5.0, 1.0), (1.0, 5.0), (1.0, -5.0)] {
        assert!(!middle.overlaps(square(x, y)), "{x} {y}");
    }
    for (x, y) in [(1.9, 0.0), (-1.9, 0.0), (0.0, 1.9), (0.0, -1.9), (0.5, 0.5)] {
        assert!(middle.overlaps(square(x, y)), "{x} {y}");
    }
    // its own border is inside
    assert!(middle.contains(middle));
    let inner = |x0: f64, y0: f64, x1: f64, y1: f64| middle.contains(Bounds::of(p(x0, y0), p(x1, y1)));
    assert!(inner(0.5, 0.5, 1.5, 1.5));
    assert!(!inner(-0.1, 0.5, 1.5, 1.5) && !inner(0.5, -0.1, 1.5, 1.5));
    assert!(!inner(0.5, 0.5, 2.1, 1.5) && !inner(0.5, 0.5, 1.5, 2.1));
}
