//! The numbers against closed forms and published values; each value's source stands beside it.

use crate::support::job;
use serde_json::{Value, json};
use std::f64::consts::PI;
use wheeldraft::properties::{self, Properties};

/// The numbers of a wheel in millimetres, density 2.20 g/cm³.
fn of(wheel: Value) -> Properties {
    let order = json!({
        "order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": wheel,
        "blank": {"density": "2.20 g/cm3"}
    });
    properties::of(&job(&order)).expect("a section")
}

#[track_caller]
fn close(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs(), "{got} against {want}: {:e}", got / want - 1.0);
}

/// Closed form of a ring: πT(b²−a²), its inertia ½m(a²+b²) and m(3(a²+b²)+T²)/12 (Machinery's Handbook, moments of inertia of a hollow cylinder).
fn ring(d: f64, t: f64, h: f64) -> [f64; 3] {
    let (a, b) = (h / 2.0, d / 2.0);
    let v = PI * t * (b * b - a * a);
    [v, v * (a * a + b * b) / 2.0, v * (3.0 * (a * a + b * b) + t * t) / 12.0]
}

#[test]
fn plain_rings_agree_with_the_closed_form_to_1e_12() {
    for (d, t, h) in [(610.0, 25.0, 203.2), (400.0, 50.0, 127.0), (50.0, 6.0, 10.0), (1200.0, 150.0, 304.8)] {
        let p = of(json!({"outside_diameter": d, "thickness": t, "bore": h}));
        let [v, polar, transverse] = ring(d, t, h);
        close(p.wheel.volume, v, 1e-12);
        close(p.plain.volume, v, 1e-12);
        close(p.wheel.polar_moment, polar, 1e-12);
        close(p.wheel.transverse_moment, transverse, 1e-12);
        close(p.wheel.centroid_z, t / 2.0, 1e-13);
        close(p.section.area, t * (d - h) / 2.0, 1e-13);
        close(p.section.centroid_r, (d + h) / 4.0, 1e-13);
        assert_eq!(p.wheel.static_moment, 0.0);
        assert_eq!(p.wheel.unbalance, Some(0.0));
    }
}

/// Calculated values of the project's list of check values (calc): volume, mass, centroid, inertia.
#[test]
fn recessed_and_tapered_wheels_agree_with_the_check_values() {
    let five = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_b": {"recess": [{"diameter": 200, "depth": 15}]}}));
    close(five.wheel.volume, 5_368_577.365, 2e-10);
    close(five.wheel.mass.unwrap(), 11.81087, 5e-7);
    close(five.wheel.centroid_z, 24.08329, 3e-7);
    close(five.wheel.polar_inertia.unwrap(), 0.2693100, 2e-7);
    close(five.wheel.transverse_inertia.unwrap(), 0.1370335, 4e-7);
    // the same by subtracting the ring of the recess
    let (full, hole) = (ring(400.0, 50.0, 127.0), ring(200.0, 15.0, 127.0));
    close(five.wheel.volume, full[0] - hole[0], 1e-12);
    close(five.wheel.polar_moment, full[1] - hole[1], 1e-12);

    let stepped = of(json!({"outside_diameter": 500, "thickness": 63, "bore": 203.2,
        "side_b": {"recess": [{"diameter": 300, "depth": 10}, {"diameter": 260, "depth": 18}]},
        "side_a": {"recess": [{"diameter": 280, "depth": 8}]}}));
    close(stepped.wheel.volume, 9_545_934.361, 1e-10);
    close(stepped.wheel.mass.unwrap(), 21.00106, 3e-7);
    close(stepped.wheel.centroid_z, 30.80664, 2e-7);
    close(stepped.wheel.polar_inertia.unwrap(), 0.8008033, 1e-7);
    close(stepped.wheel.transverse_inertia.unwrap(), 0.4068039, 2e-7);

    let tapered = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_a": {"taper": {"from_diameter": 200, "to_diameter": 400, "depth": 20}}}));
    close(tapered.wheel.volume, 4_602_603.407, 2e-10);
    // cylinder less the ring above a cone: 2π∫ r·s·(r−100) dr, s = 20/100
    let removed = 2.0
        * PI
        * 0.2
        * (200f64.powi(3) / 3.0 - 50.0 * 200f64.powi(2) - (100f64.powi(3) / 3.0 - 50.0 * 100f64.powi(2)));
    close(tapered.wheel.volume, ring(400.0, 50.0, 127.0)[0] - removed, 1e-12);
}

/// A convex corner radius R removes R²(1−π/4); its centroid lies 0.223368·R from the sharp corner (calc; R 5 at r 200 removes 6704.267 mm³).
#[test]
fn corner_radius_agrees_with_pappus() {
    let wheel = |corner: Value| of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127, "side_a": corner}));
    let (sharp, round) = (wheel(json!({})), wheel(json!({"corner": {"radius": 5}})));
    close(sharp.wheel.volume - round.wheel.volume, 6704.267, 1e-6);
    let spandrel = 25.0 * (1.0 - PI / 4.0);
    let centroid = 200.0 - 5.0 * (10.0 - 3.0 * PI) / (3.0 * (4.0 - PI));
    close(round.wheel.volume, sharp.wheel.volume - 2.0 * PI * centroid * spandrel, 1e-12);
}

/// Torus of D 5 in and d 1.5 in: V 27.76 in³ (Machinery's Handbook 31, p. 93): here the rounded rim of a wheel.
#[test]
fn full_round_rim_agrees_with_the_half_torus() {
    let p = of(json!({"outside_diameter": 165.1, "thickness": 38.1, "bore": 127,
        "side_a": {"corner": {"radius": 19.05}}, "side_b": {"corner": {"radius": 19.05}}}));
    // the outer half of the torus: π²·r²·R + 4/3·π·r³ with R = 63.5, r = 19.05; the whole torus is 2π²·R·r²
    let (big, small) = (63.5f64, 19.05f64);
    let outer_half = PI * PI * small * small * big + 4.0 / 3.0 * PI * small.powi(3);
    close(p.wheel.volume, outer_half, 1e-12);
    let inner_half = PI * PI * small * small * big - 4.0 / 3.0 * PI * small.powi(3);
    close((p.wheel.volume + inner_half) / 25.4f64.powi(3), 27.76, 3e-4);
}

/// Plan area of a strip in a disc, S(r) = r²·asin(w/2r) + (w/2)·√(r²−w²/4).
fn strip(r: f64, w: f64) -> f64 {
    r * r * (w / 2.0 / r).asin() + w / 2.0 * (r * r - w * w / 4.0).sqrt()
}

#[test]
fn flat_side_grooves_agree_with_the_strip_formula() {
    for (d, inner, w, depth, n, each) in
        [(400.0, 200.0, 3.0, 5.0, 180, 1500.0281), (610.0, 300.0, 3.0, 6.0, 120, 2790.0229)]
    {
        let p = of(json!({"outside_diameter": d, "thickness": 50, "bore": 127,
            "side_a": {"grooves": {"count": n, "width": w, "depth": depth, "inner_diameter": inner}}}));
        // square inner end: a plane at u = inner/2, not an arc: ∫√(R²−v²)dv − w·a
        let square = depth * (strip(d / 2.0, w) - w * inner / 2.0);
        let arc = depth * (strip(d / 2.0, w) - strip(inner / 2.0, w));
        close(arc, each, 1e-7);
        close(p.grooves.side_a.unwrap().volume_each, square, 1e-12);
        close(p.wheel.groove_volume, f64::from(n) * square, 1e-12);
        assert_eq!(p.wheel.static_moment, 0.0);
    }
}

#[test]
fn flat_face_grooves_agree_with_the_strip_formula() {
    for (d, t, w, depth, n, each) in [(400.0, 50.0, 3.0, 5.0, 180, 749.7187), (610.0, 25.0, 4.0, 6.0, 72, 599.7814)] {
        let p = of(json!({"outside_diameter": d, "thickness": t, "bore": 127,
            "face": {"grooves": {"count": n, "width": w, "depth": depth}}}));
        let exact = t * (strip(d / 2.0, w) - w * (d / 2.0 - depth));
        close(exact, each, 1e-7);
        close(p.grooves.face.unwrap().volume_each, exact, 1e-11);
        close(p.wheel.groove_volume, f64::from(n) * exact, 1e-11);
    }
}

/// Calc: 180 grooves at 2°, 3 mm wide: land at Ø400 57.03 %, merge inside Ø171.896.
#[test]
fn lands_of_a_two_degree_pitch() {
    let p = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_b": {"grooves": {"pitch_deg": 2, "width": 3, "depth": 5, "inner_diameter": 200}}}));
    let g = p.grooves.side_b.unwrap();
    assert_eq!((g.count, g.pitch_deg), (180, 2.0));
    let pitch = 2.0 * PI * 200.0 / 180.0;
    close(pitch, 6.98132, 1e-6);
    close(g.land_outer / pitch, 0.5703, 1e-4);
    close(g.merge_diameter.unwrap(), 171.896, 3e-6);
    close(g.land_inner, 100.0 * (2f64.to_radians() - 2.0 * (1.5f64 / 100.0).asin()), 1e-12);
    let ring = PI * (200.0 * 200.0 - 100.0 * 100.0);
    close(g.land_share, 1.0 - 180.0 * (strip(200.0, 3.0) - 300.0) / ring, 1e-12);
}

/// Grooves that merge near the axis: the union in plan has the closed form of n sectors whose inner part is a full ring.
#[test]
fn merging_grooves_are_counted_once() {
    let (n, w, depth, a, big) = (60u32, 10.0f64, 4.0, 80.0f64, 200.0);
    let p = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_a": {"grooves": {"count": n, "width": w, "depth": depth, "inner_diameter": 160}}}));
    // half a sector: between the centre line and the bisector at π/n; the wall leaves the bisector at r = w / (2 sin(π/n))
    let half = PI / f64::from(n);
    assert!(w / (2.0 * half.sin()) > a, "the grooves merge");
    let merge = w / (2.0 * half.sin());
    // inside: the triangle u ≥ a below the bisector up to the wall's corner; outside: the strip
    let corner_u = merge * half.cos();
    let triangle = (corner_u * corner_u - a * a) / 2.0 * half.tan();
    let rest = strip(big, w) / 2.0 - w / 2.0 * corner_u;
    close(p.wheel.groove_volume, 2.0 * f64::from(n) * depth * (triangle + rest), 1e-10);
    assert!(p.grooves.side_a.unwrap().volume_each * f64::from(n) > p.wheel.groove_volume);
    assert_eq!(p.grooves.side_a.unwrap().land_inner, 0.0);
}

/// Side grooves under face grooves of the same pitch: the face groove takes the whole thickness, so the shared part is a prism.
#[test]
fn side_and_face_grooves_share_their_crossing() {
    let wheel = |face: Value, side: Value| {
        of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127, "face": face, "side_a": side}))
    };
    let face = json!({"grooves": {"count": 72, "width": 3, "depth": 5}});
    let side = json!({"grooves": {"count": 72, "width": 3, "depth": 4, "inner_diameter": 300}});
    let (both, only_face, only_side) =
        (wheel(face.clone(), side.clone()), wheel(face, json!({})), wheel(json!({}), side));
    let shared = 72.0 * 4.0 * (strip(200.0, 3.0) - 3.0 * 195.0);
    let sum = only_face.wheel.groove_volume + only_side.wheel.groove_volume - shared;
    close(both.wheel.groove_volume, sum, 1e-10);
}

/// An omitted groove: the wheel is heavy there by exactly what that groove would have removed.
#[test]
fn an_omitted_groove_is_the_heavy_side() {
    let wheel = |omit: Value| {
        of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_a": {"grooves": {"count": 90, "start_deg": 30, "omit": omit, "width": 3, "depth": 5, "inner_diameter": 200}}}))
    };
    let p = wheel(json!([11]));
    let g = p.grooves.side_a.unwrap();
    assert_eq!(g.count, 89);
    // ∫u dV of one groove: depth·∫(R²−v²−a²)/2 dv
    let (r2, a2, w) = (200.0f64 * 200.0, 100.0f64 * 100.0, 3.0f64);
    let moment = 5.0 * ((r2 - a2) * w - w.powi(3) / 12.0) / 2.0;
    close(p.wheel.static_moment, moment, 1e-12);
    close(p.wheel.static_moment_deg.unwrap(), 70.0, 1e-12);
    close(p.wheel.unbalance.unwrap(), moment * 2.2e-3, 1e-12);
    assert_eq!(wheel(json!([])).wheel.static_moment, 0.0);
    // grooves 11 and 56 lie opposite: left out together they balance, and nothing points anywhere
    let both = wheel(json!([11, 56])).wheel;
    assert_eq!((both.static_moment, both.static_moment_deg, both.unbalance), (0.0, None, Some(0.0)));
}

/// One deep groove moves the centroid off the axis: the transverse moment is about an axis through it, the mean over all directions
/// (parallel axes: half of the squared distance counts).
#[test]
fn a_centroid_off_the_axis() {
    let (d, t, h, w, depth, inner) = (400.0, 50.0, 127.0, 20.0, 30.0, 80.0);
    let p = of(json!({"outside_diameter": d, "thickness": t, "bore": h,
        "side_a": {"grooves": {"count": 1, "start_deg": 30, "width": w, "depth": depth, "inner_diameter": 2.0 * inner}}}));
    let [ring_volume, polar, transverse] = ring(d, t, h);
    // the groove is [inner, √(R² − v²)] × [−w/2, w/2] × [0, depth] in u, v, z
    let r = d / 2.0;
    let outer = |v: f64| (r * r - v * v).sqrt();
    let (mut area, mut first, mut second) = (0.0, 0.0, 0.0);
    let steps = 20_000;
    for i in 0..steps {
        let v = w * ((f64::from(i) + 0.5) / f64::from(steps) - 0.5);
        let (dv, u) = (w / f64::from(steps), outer(v));
        area += dv * (u - inner);
        first += dv * (u * u - inner * inner) / 2.0;
        second += dv * ((u.powi(3) - inner.powi(3)) / 3.0 + v * v * (u - inner));
    }
    let volume = ring_volume - depth * area;
    let (x, z) = (-depth * first / volume, (ring_volume * t / 2.0 - area * depth * depth / 2.0) / volume);
    let zz = transverse - polar / 2.0 + ring_volume * t * t / 4.0 - area * depth.powi(3) / 3.0;
    let want = (polar - depth * second) / 2.0 + zz - volume * (z * z + x * x / 2.0);
    close(p.wheel.transverse_moment, want, 1e-9);
    // about the axis itself it would be larger by half of V·x², which is well beyond that
    assert!(volume * x * x / 2.0 > 1e-6 * want);
}

/// Round and vee bottoms on a plain side, away from the rim: prisms whose cross-section is a rectangle with a half circle or a triangle.
#[test]
fn shaped_bottoms_are_prisms() {
    let (w, depth) = (4.0f64, 5.0);
    let of_bottom = |extra: Value| {
        let mut g = json!({"count": 12, "width": w, "depth": depth, "inner_diameter": 200});
        for (k, v) in extra.as_object().unwrap() {
            g[k] = v.clone();
        }
        let p = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127, "side_b": {"grooves": g}}));
        p.grooves.side_b.unwrap().volume_each
    };
    let flat = of_bottom(json!({}));
    close(flat, depth * (strip(200.0, w) - w * 100.0), 1e-12);
    let ended = of_bottom(json!({"outer_diameter": 300}));
    close(ended, depth * w * 50.0, 1e-12);
    let round = of_bottom(json!({"bottom": "round", "outer_diameter": 300}));
    close(round, 50.0 * ((depth - w / 2.0) * w + PI * w * w / 8.0), 1e-11);
    let vee = of_bottom(json!({"bottom": "vee", "vee_angle_deg": 90, "outer_diameter": 300}));
    close(vee, 50.0 * ((depth - w / 2.0) * w + w * w / 4.0), 1e-11);
    let round_end = of_bottom(json!({"inner_end": "round", "outer_diameter": 300}));
    close(round_end, depth * (w * (50.0 - w / 2.0) + PI * w * w / 8.0), 1e-11);
    // run-out: the area under a cutter's arc of radius c over its rise, beside the straight part
    let c = 75.0f64;
    let rise = (depth * (2.0 * c - depth)).sqrt();
    let under = {
        let angle = (rise / c).asin();
        c * c * angle / 2.0 + rise * (c - depth) / 2.0 - (c - depth) * rise
    };
    let runout = of_bottom(json!({"inner_end": "runout", "cutter_diameter": 150, "outer_diameter": 300}));
    close(runout, w * (depth * (50.0 - rise) + under), 1e-11);
}

/// A skewed groove ended short by planes across it is the same prism, only longer.
#[test]
fn skewed_groove_is_a_longer_prism() {
    for skew in [20.0f64, -35.0] {
        let p = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127, "side_a": {"grooves":
            {"count": 7, "width": 4, "depth": 5, "inner_diameter": 280, "outer_diameter": 360, "skew_deg": skew}}}));
        let off = 200.0 * skew.to_radians().sin();
        let along = |r: f64| (r * r - off * off).sqrt();
        close(p.grooves.side_a.unwrap().volume_each, 20.0 * (along(180.0) - along(140.0)), 1e-11);
    }
}

/// A helix does not change what one face groove removes beyond its wider transverse section.
#[test]
fn helical_face_groove_removes_its_transverse_section_times_the_thickness() {
    let helix = 25.0f64;
    let p = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "face": {"grooves": {"count": 36, "width": 3, "depth": 5, "helix_deg": helix, "omit": [1]}}}));
    let w = 3.0 / helix.to_radians().cos();
    close(p.grooves.face.unwrap().volume_each, 50.0 * (strip(200.0, w) - w * 195.0), 1e-11);
    let round = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "face": {"grooves": {"count": 36, "width": 3, "depth": 5, "bottom": "round"}}}));
    let section = strip(200.0, 3.0) - 3.0 * (195.0 + 1.5) + PI * 9.0 / 8.0;
    close(round.grooves.face.unwrap().volume_each, 50.0 * section, 1e-11);
}

/// The ring begins at the circle of the inner end: the corner a skewed groove's square end reaches inside of it is not of the ring.
/// F(r, y) = ∫ √(r² − y²) dy, elementary.
#[test]
fn a_skewed_grooves_land_share_counts_the_ring_alone() {
    let (big, a, w, skew) = (200.0f64, 110.0f64, 6.0, 25.0f64);
    let p = of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_a": {"grooves": {"count": 30, "width": w, "depth": 3, "inner_diameter": 220, "skew_deg": skew}}}));
    let off = big * skew.to_radians().sin();
    let (low, high) = (off - w / 2.0, off + w / 2.0);
    let f = |r: f64, y: f64| (y * (r * r - y * y).sqrt() + r * r * (y / r).asin()) / 2.0;
    // nearer to the axis than the centre line the circle bounds the groove, farther off the square end does
    let inside = f(a, off) - f(a, low) + (a * a - off * off).sqrt() * (high - off);
    let one = f(big, high) - f(big, low) - inside;
    close(p.grooves.side_a.unwrap().land_share, 1.0 - 30.0 * one / (PI * (big * big - a * a)), 1e-12);
}

/// Skewed grooves lie aside from their directions: wherever the circle is begun, each shares the same with the face grooves.
#[test]
fn a_turned_pattern_of_skewed_and_face_grooves_shares_the_same() {
    let at = |start: f64| {
        of(json!({"outside_diameter": 400, "thickness": 50, "bore": 127,
            "face": {"grooves": {"count": 36, "width": 8, "depth": 5, "start_deg": start + 4.9}},
            "side_a": {"grooves": {"count": 108, "width": 2, "depth": 4, "inner_diameter": 300, "skew_deg": 27, "start_deg": start}}}))
    };
    let first = at(0.0).wheel;
    for step in 1..12 {
        let turned = at(f64::from(step) * 31.7).wheel;
        close(turned.groove_volume, first.groove_volume, 1e-10);
        assert!(turned.static_moment < 1e-9 * turned.volume, "{}", turned.static_moment);
    }
}

/// Grooves ended short by planes are boxes: ∫u², ∫v², ∫z² of a box, and Steiner's theorem for the whole wheel.
#[test]
fn grooves_that_are_boxes_agree_with_the_closed_form_in_every_number() {
    let (d, t, h) = (400.0, 50.0, 127.0);
    // side A: n grooves of w × depth from u = 90 to 150; side B others
    let boxes = [("side_a", 12u32, 4.0f64, 6.0f64, 90.0f64, 150.0f64), ("side_b", 5, 7.0, 3.0, 100.0, 160.0)];
    let mut wheel = json!({"outside_diameter": d, "thickness": t, "bore": h});
    let [mut volume, mut polar, transverse] = ring(d, t, h);
    let (mut z, mut zz) = (volume * t / 2.0, transverse - polar / 2.0 + volume * t * t / 4.0);
    for (side, n, w, depth, from, to) in boxes {
        wheel[side] = json!({"grooves": {"count": n, "width": w, "depth": depth, "inner_diameter": 2.0 * from, "outer_diameter": 2.0 * to}});
        let all = f64::from(n) * (to - from) * w * depth;
        volume -= all;
        polar -= f64::from(n) * depth * (w * (to.powi(3) - from.powi(3)) / 3.0 + (to - from) * w.powi(3) / 12.0);
        let (low, high) = if side == "side_a" { (0.0, depth) } else { (t - depth, t) };
        z -= all * (low + high) / 2.0;
        zz -= all * (high * high + high * low + low * low) / 3.0;
    }
    let p = of(wheel);
    close(p.wheel.volume, volume, 1e-12);
    close(p.wheel.centroid_z, z / volume, 1e-12);
    close(p.wheel.polar_moment, polar, 1e-12);
    close(p.wheel.transverse_moment, polar / 2.0 + zz - z * z / volume, 1e-12);
    close(p.wheel.mass.unwrap(), volume * 2.2e-6, 1e-12);
    close(p.wheel.polar_inertia.unwrap(), polar * 2.2e-12, 1e-12);
    assert_eq!((p.wheel.static_moment, p.wheel.static_moment_deg), (0.0, None));
}

/// Two rectangles: the rim, and what the recess leaves of the hub.
#[test]
fn the_centroid_of_a_recessed_section_is_that_of_two_rectangles() {
    let p = of(
        json!({"outside_diameter": 400, "thickness": 50, "bore": 120, "side_b": {"recess": [{"diameter": 200, "depth": 20}]}}),
    );
    let (rim, hub) = (100.0 * 50.0, 40.0 * 30.0);
    close(p.section.area, rim + hub, 1e-13);
    close(p.section.centroid_r, (rim * 150.0 + hub * 80.0) / (rim + hub), 1e-13);
    close(p.section.centroid_z, (rim * 25.0 + hub * 15.0) / (rim + hub), 1e-13);
    // turned about the axis each weighs with its radius
    close(p.plain.centroid_z, (rim * 150.0 * 25.0 + hub * 80.0 * 15.0) / (rim * 150.0 + hub * 80.0), 1e-13);
}
