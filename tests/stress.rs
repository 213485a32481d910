//! Stress in the turning wheel against closed forms: the uniform ring, the hyperbolic disc, a ring half of lands; convergence and balance of
//! forces on wheels that have no closed form.

use crate::support::job;
use proptest::prelude::*;
use serde_json::json;
use wheeldraft::properties::speed::{angular, rpm_at};
use wheeldraft::properties::stress::{Disc, Fineness, Layers, Load, StressAt, Stresses, WheelDisc, solve};
use wheeldraft::section::Section;

fn ring(inner: f64, outer: f64, load: Load, fineness: Fineness) -> Stresses {
    let layers = |_: f64| Layers { core: 25.0, lands: 0.0 };
    solve(&Disc { inner, outer, breaks: Vec::new(), layers: &layers }, load, fineness).unwrap()
}

fn at_surface_speed(density: f64, poisson: f64, outer: f64, speed: f64) -> Load {
    Load { density, poisson, angular: angular(rpm_at(2.0 * outer, speed)) }
}

/// Stress in a uniform ring, MPa (Timoshenko, Strength of Materials; Roark, Formulas for Stress and Strain).
fn uniform(a: f64, b: f64, r: f64, load: Load) -> StressAt {
    let (a, b, x, nu) = (a / 1000.0, b / 1000.0, r / 1000.0, load.poisson);
    let k = load.density * load.angular.powi(2) / 8.0 * 1e-6;
    let radial = k * (3.0 + nu) * (a * a + b * b - a * a * b * b / (x * x) - x * x);
    let hoop = k * ((3.0 + nu) * (a * a + b * b + a * a * b * b / (x * x)) - (1.0 + 3.0 * nu) * x * x);
    StressAt { r, radial, hoop }
}

#[test]
fn published_rings() {
    // outside and bore diameter mm, density, ν, m/s, bore hoop, greatest radial and its radius, rim hoop (calculated from Timoshenko's forms)
    let rows = [
        (400.0, 127.0, 2200.0, 0.2, 35.0, 2.2103, 0.5021, 112.694, 0.7563),
        (610.0, 203.2, 2200.0, 0.2, 33.0, 1.9698, 0.4262, 176.034, 0.6918),
        (610.0, 203.2, 2200.0, 0.2, 49.5, 4.4321, 0.9589, 176.034, 1.5566),
        (610.0, 406.4, 2200.0, 0.2, 33.0, 2.1293, 0.1068, 248.950, 1.3299),
    ];
    for (d, h, density, nu, v, bore, radial, at, rim) in rows {
        let load = at_surface_speed(density, nu, d / 2.0, v);
        let s = ring(h / 2.0, d / 2.0, load, Fineness::default());
        let most = s.greatest_radial().unwrap();
        for (got, want) in [(s.bore_hoop(), bore), (most.radial, radial), (s.rim_hoop(), rim)] {
            assert!((got - want).abs() <= 1e-4, "{d} × {h}: {got} against {want}");
        }
        // a maximum is flat: the nearest node lies within an element's third of it
        assert!((most.r - at).abs() < (d - h) / 2.0 / 48.0, "{} against {at}", most.r);
    }
    let steel = Load { density: 7800.0, poisson: 0.3, angular: angular(3000.0) };
    let s = ring(50.0, 250.0, steel, Fineness::default());
    assert!((s.bore_hoop() - 40.0311).abs() < 1e-4 && (s.rim_hoop() - 10.0078).abs() < 1e-4);
    assert!((s.greatest_radial().unwrap().radial - 12.7022).abs() < 2e-4);
}

#[test]
fn a_uniform_ring_at_every_radius() {
    let load = at_surface_speed(2200.0, 0.2, 300.0, 50.0);
    let s = ring(100.0, 300.0, load, Fineness { degree: 4, elements: 60 });
    for p in &s.points {
        let want = uniform(100.0, 300.0, p.r, load);
        assert!((p.hoop - want.hoop).abs() < 1e-6 && (p.radial - want.radial).abs() < 1e-6, "{p:?} {want:?}");
    }
}

/// Hoop stress at the bore of a disc whose thickness falls as r^−β, MPa: u = A·r^m1 + B·r^m2 + P·r³ (Timoshenko, Strength of Materials II; Den
/// Hartog, Advanced Strength of Materials).
fn hyperbolic(a: f64, b: f64, beta: f64, load: Load, at: f64) -> StressAt {
    let (nu, w) = (load.poisson, load.density * load.angular.powi(2));
    let root = (beta * beta / 4.0 + 1.0 + nu * beta).sqrt();
    let (m1, m2) = (beta / 2.0 + root, beta / 2.0 - root);
    let p = -(1.0 - nu * nu) * w / (8.0 - (3.0 + nu) * beta);
    let (a, b, x) = (a / 1000.0, b / 1000.0, at / 1000.0);
    // radial stress ∝ (m + ν)·r^(m−1) of each power, 0 at both ends
    let term = |m: f64, r: f64| (m + nu) * r.powf(m - 1.0);
    let (ra, rb) = (-p * (3.0 + nu) * a * a, -p * (3.0 + nu) * b * b);
    let det = term(m1, a) * term(m2, b) - term(m2, a) * term(m1, b);
    let c1 = (ra * term(m2, b) - term(m2, a) * rb) / det;
    let c2 = (term(m1, a) * rb - ra * term(m1, b)) / det;
    let scale = 1e-6 / (1.0 - nu * nu);
    let sum =
        |f: &dyn Fn(f64) -> f64| c1 * f(m1) * x.powf(m1 - 1.0) + c2 * f(m2) * x.powf(m2 - 1.0) + p * f(3.0) * x * x;
    StressAt { r: at, radial: scale * sum(&|m| m + nu), hoop: scale * sum(&|m| 1.0 + nu * m) }
}

#[test]
fn the_hyperbolic_disc() {
    let load = at_surface_speed(2200.0, 0.2, 305.0, 49.5);
    for beta in [0.5_f64, 1.0, 1.7] {
        let layers = |r: f64| Layers { core: 40.0 * (r / 100.0).powf(-beta), lands: 0.0 };
        let disc = Disc { inner: 101.6, outer: 305.0, breaks: Vec::new(), layers: &layers };
        let s = solve(&disc, load, Fineness { degree: 4, elements: 60 }).unwrap();
        for p in &s.points {
            let want = hyperbolic(101.6, 305.0, beta, load, p.r);
            assert!(
                (p.hoop - want.hoop).abs() < 1e-6 && (p.radial - want.radial).abs() < 1e-6,
                "β {beta}: {p:?} {want:?}"
            );
        }
    }
    // with β = 0 the form is the uniform ring's
    let (h, u) = (hyperbolic(101.6, 305.0, 0.0, load, 150.0), uniform(101.6, 305.0, 150.0, load));
    assert!((h.hoop - u.hoop).abs() < 1e-9 && (h.radial - u.radial).abs() < 1e-9);
}

#[test]
fn the_error_falls_with_the_degree() {
    let load = at_surface_speed(2200.0, 0.2, 300.0, 50.0);
    let want = uniform(100.0, 300.0, 100.0, load).hoop;
    for degree in 1..=4 {
        let error =
            |elements: usize| (ring(100.0, 300.0, load, Fineness { degree, elements }).bore_hoop() - want).abs();
        let order = (error(12) / error(24)).log2();
        assert!(order > degree as f64 - 0.35, "degree {degree}: order {order}");
    }
}

/// A ring with lands all the way: hoop stress in the core only, load and radial force in both. With A11 = hc/(1 − ν²) + l, A22 = hc/(1 − ν²) the
/// displacement is A·r^m + B·r^−m + P·r³, m = √(A22/A11), P = −ρω²(hc + l)/(9·A11 − A22) (E = 1); a polar-orthotropic disc (Lekhnitskii).
#[test]
fn lands_carry_their_load_but_no_hoop_stress() {
    let load = at_surface_speed(2200.0, 0.2, 300.0, 50.0);
    let (hc, l, nu) = (30.0, 15.0, load.poisson);
    let layers = |_: f64| Layers { core: hc, lands: l };
    let disc = Disc { inner: 100.0, outer: 300.0, breaks: Vec::new(), layers: &layers };
    let s = solve(&disc, load, Fineness { degree: 4, elements: 60 }).unwrap();
    let plane = hc / (1.0 - nu * nu);
    let (a11, a12, a22) = (plane + l, nu * plane, plane);
    let m = (a22 / a11).sqrt();
    let p = -load.density * load.angular.powi(2) * (hc + l) / (9.0 * a11 - a22);
    let (a, b): (f64, f64) = (0.1, 0.3);
    let term = |m: f64, r: f64| (a11 * m + a12) * r.powf(m - 1.0);
    let (ra, rb) = (-p * (3.0 * a11 + a12) * a * a, -p * (3.0 * a11 + a12) * b * b);
    let det = term(m, a) * term(-m, b) - term(-m, a) * term(m, b);
    let (c1, c2) = ((ra * term(-m, b) - term(-m, a) * rb) / det, (term(m, a) * rb - ra * term(m, b)) / det);
    for point in &s.points {
        let x = point.r / 1000.0;
        let strain =
            |f: &dyn Fn(f64) -> f64| c1 * f(m) * x.powf(m - 1.0) + c2 * f(-m) * x.powf(-m - 1.0) + p * f(3.0) * x * x;
        let (radial, hoop) = (strain(&|m| m), strain(&|_| 1.0));
        let want = 1e-6 * (hoop + nu * radial) / (1.0 - nu * nu);
        assert!((point.hoop - want).abs() < 1e-6, "{point:?} {want}");
    }
    // and more than in the whole ring, which has half as much again to hold with
    assert!(s.bore_hoop() > ring(100.0, 300.0, load, Fineness::default()).bore_hoop());
}

/// Each element gives its ends and what lies evenly between; of two breaks' distance there are at least two.
#[test]
fn as_many_elements_as_are_asked_for() {
    let load = at_surface_speed(2200.0, 0.2, 300.0, 50.0);
    for (degree, elements) in [(4, 12), (2, 7), (1, 100), (3, 2)] {
        let s = ring(100.0, 300.0, load, Fineness { degree, elements });
        assert_eq!(s.points.len(), elements * (degree + 1));
    }
    let layers = |_: f64| Layers { core: 25.0, lands: 0.0 };
    let parted = Disc { inner: 100.0, outer: 300.0, breaks: vec![101.0, 150.0], layers: &layers };
    // 20 mm an element: two in the first millimetre, three in the next 49, eight in the last 150
    let s = solve(&parted, load, Fineness { degree: 2, elements: 10 }).unwrap();
    assert_eq!(s.points.len(), (2 + 3 + 8) * 3);
}

#[test]
fn nothing_to_hold_is_an_error() {
    let load = at_surface_speed(2200.0, 0.2, 300.0, 50.0);
    let none = |_: f64| Layers { core: 0.0, lands: 0.0 };
    let disc = |inner: f64, outer: f64| Disc { inner, outer, breaks: Vec::new(), layers: &none };
    assert!(solve(&disc(100.0, 300.0), load, Fineness::default()).is_err());
    assert!(solve(&disc(300.0, 300.0), load, Fineness::default()).is_err());
    assert!(solve(&disc(f64::NAN, 300.0), load, Fineness::default()).is_err());
}

/// A wheel with steps on side A, a taper on side B, grooves on both sides and the face.
fn stepped(depth: f64, groove: f64, taper: f64, count: u32) -> wheeldraft::wheel::Job {
    job(&json!({
        "order": {"number": "1", "revision": "A"}, "units": "mm",
        "wheel": {
            "outside_diameter": 600, "thickness": 60, "bore": 200, "bore_chamfer": 1,
            "side_a": {
                "recess": [{"diameter": 380, "depth": depth, "fillet_radius": 2}, {"diameter": 330, "depth": depth + 8.0, "fillet_radius": 3}],
                "corner": {"radius": 4},
                "grooves": {"count": count, "width": 2, "depth": groove, "inner_diameter": 400}
            },
            "side_b": {
                "taper": {"from_diameter": 420, "to_diameter": 600, "depth": taper},
                "grooves": {"count": count, "width": 1.5, "depth": groove, "inner_diameter": 420, "inner_end": "runout", "cutter_diameter": 120}
            },
            "face": {"grooves": {"count": 60, "width": 3, "depth": 4}}
        }
    }))
}

/// ∫ y dr over the points of elements of degree 4 (Boole's rule); only as exact as this rule is at rounded corners.
fn integral(points: &[StressAt], y: impl Fn(&StressAt) -> f64) -> f64 {
    let weights = [7.0, 32.0, 12.0, 32.0, 7.0];
    points.chunks(5).map(|c| (c[4].r - c[0].r) / 90.0 * c.iter().zip(weights).map(|(p, w)| w * y(p)).sum::<f64>()).sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Half of the wheel: hoop forces at the cut hold the load of the half, ∫ h·σθ dr = ∫ ρω²r²·(h + l) dr, whatever its steps and grooves.
    #[test]
    fn forces_balance(depth in 2.0..14.0, groove in 0.5..6.0, taper in 0.5..4.0, count in 6u32..200) {
        let job = stepped(depth, groove, taper, count);
        let section = Section::of(&job.wheel).unwrap();
        let disc = WheelDisc::of(&job.wheel, &section);
        let load = at_surface_speed(2200.0, 0.2, 300.0, 33.0);
        let s = disc.stresses(load).unwrap();
        // the layers jump at the ends of elements: look just inside
        let inside = |p: &StressAt, c: &[StressAt]| disc.layers(p.r.clamp(c[0].r + 1e-9, c[4].r - 1e-9));
        let (mut held, mut pulled) = (0.0, 0.0);
        for c in s.points.chunks(5) {
            held += integral(c, |p| inside(p, c).core * p.hoop);
            let w = load.density * load.angular.powi(2) * 1e-12;
            pulled += integral(c, |p| { let l = inside(p, c); w * p.r * p.r * (l.core + l.lands) });
        }
        prop_assert!((held / pulled - 1.0).abs() < 1e-3, "{held} {pulled}");
        let (bore, rim) = (s.points[0], s.points[s.points.len() - 1]);
        let most = s.greatest();
        prop_assert!(bore.radial.abs() < 2e-3 * most && rim.radial.abs() < 2e-3 * most, "free ends {bore:?} {rim:?}");
    }
}

#[test]
fn either_side_and_any_speed() {
    let job = stepped(10.0, 4.0, 2.0, 120);
    let mut mirrored = job.wheel.clone();
    std::mem::swap(&mut mirrored.side_a, &mut mirrored.side_b);
    let load = at_surface_speed(2200.0, 0.2, 300.0, 33.0);
    let of = |wheel| WheelDisc::of(wheel, &Section::of(wheel).unwrap()).stresses(load).unwrap();
    let (a, b) = (of(&job.wheel), of(&mirrored));
    assert!((a.bore_hoop() / b.bore_hoop() - 1.0).abs() < 1e-9);
    let faster = Load { angular: 1.5 * load.angular, ..load };
    let section = Section::of(&job.wheel).unwrap();
    let c = WheelDisc::of(&job.wheel, &section).stresses(faster).unwrap();
    assert!((c.greatest() / a.at_speed(1.5).greatest() - 1.0).abs() < 1e-9);
    // steps and grooves leave less to hold with: more stress than in the plain ring
    assert!(a.bore_hoop() > uniform(100.0, 300.0, 100.0, load).hoop);
}

/// Thickness that holds and thickness in lands at one radius of a wheel Ø400 × 50 × 127.
fn layers(parts: serde_json::Value, r: f64) -> Layers {
    let mut wheel = json!({"outside_diameter": 400, "thickness": 50, "bore": 127});
    for (key, value) in parts.as_object().unwrap() {
        wheel[key] = value.clone();
    }
    let job = job(&json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": wheel}));
    let section = Section::of(&job.wheel).unwrap();
    WheelDisc::of(&job.wheel, &section).layers(r)
}

#[track_caller]
fn splits(parts: &serde_json::Value, r: f64, core: f64, lands: f64) {
    let got = layers(parts.clone(), r);
    assert!((got.core - core).abs() < 1e-9 && (got.lands - lands).abs() < 1e-9, "{got:?} against {core}, {lands}");
}

/// 90 grooves of 3 mm leave 1 − 90·2·asin(1.5/r)/2π of the circle r; as deep as they are, the wheel is split.
#[test]
fn grooves_split_the_wheel_as_deep_as_they_are() {
    let share = |r: f64| 1.0 - 90.0 * (1.5 / r).asin() / std::f64::consts::PI;
    let set = |depth: f64, more: serde_json::Value| {
        let mut set = json!({"count": 90, "width": 3, "depth": depth, "inner_diameter": 200});
        for (key, value) in more.as_object().unwrap() {
            set[key] = value.clone();
        }
        set
    };
    let a = json!({"side_a": {"grooves": set(5.0, json!({}))}});
    splits(&a, 99.9, 50.0, 0.0);
    splits(&a, 100.0, 45.0, 5.0 * share(100.0));
    splits(&a, 170.0, 45.0, 5.0 * share(170.0));
    // of every third left out, two thirds are cut
    let omit: Vec<u32> = (1..=30).map(|k| 3 * k).collect();
    splits(
        &json!({"side_b": {"grooves": set(5.0, json!({"omit": omit}))}}),
        170.0,
        45.0,
        5.0 * (1.0 + 2.0 * share(170.0)) / 3.0,
    );
    // ended at a plane 150 from the axis
    let ended = json!({"side_a": {"grooves": set(5.0, json!({"outer_diameter": 300}))}});
    splits(&ended, 150.0, 45.0, 5.0 * share(150.0));
    splits(&ended, 150.1, 50.0, 0.0);
    // a recess takes its part of them
    let recessed = json!({"side_a": {"grooves": set(5.0, json!({})), "recess": [{"diameter": 260, "depth": 3}]}});
    splits(&recessed, 120.0, 45.0, 2.0 * share(120.0));
    splits(&recessed, 140.0, 45.0, 5.0 * share(140.0));
    let deeper = json!({"side_a": {"grooves": set(5.0, json!({})), "recess": [{"diameter": 260, "depth": 8}]}});
    splits(&deeper, 120.0, 42.0, 0.0);
    // both sides, each with its own
    let both = json!({"side_a": {"grooves": set(5.0, json!({}))}, "side_b": {"grooves": set(4.0, json!({"inner_diameter": 240}))}});
    splits(&both, 110.0, 45.0, 5.0 * share(110.0));
    splits(&both, 150.0, 41.0, 9.0 * share(150.0));
    // so many that they run into each other: nothing of the layer is left near the axis
    let merged = json!({"side_a": {"grooves": set(5.0, json!({"count": 240}))}});
    splits(&merged, 101.0, 45.0, 0.0);
}

/// A skewed groove's walls run at offsets R·sin(skew) ± w/2 from the axis, and its inner end lies on its circle.
#[test]
fn skewed_and_rising_grooves_split_the_wheel_where_they_are() {
    let offset = 200.0 * 20f64.to_radians().sin();
    let share =
        |r: f64| 1.0 - 60.0 * (((offset + 1.5) / r).asin() - ((offset - 1.5) / r).asin()) / std::f64::consts::TAU;
    for skew in [20.0, -20.0] {
        let skewed = json!({"side_a": {"grooves": {"count": 60, "width": 3, "depth": 5, "inner_diameter": 200, "skew_deg": skew}}});
        splits(&skewed, 99.99, 50.0, 0.0);
        splits(&skewed, 100.01, 45.0, 5.0 * share(100.01));
        splits(&skewed, 180.0, 45.0, 5.0 * share(180.0));
    }
    // along the arc of a cutter Ø100 the depth is −45 + √(50² − (u − tangent)²)
    let rising = json!({"side_b": {"grooves": {"count": 90, "width": 3, "depth": 5, "inner_diameter": 200, "inner_end": "runout", "cutter_diameter": 100}}});
    let tangent = 100.0 + (5.0f64 * 95.0).sqrt();
    let depth = -45.0 + (2500.0 - (110.0 - tangent).powi(2)).sqrt();
    let left = 1.0 - 90.0 * (1.5f64 / 110.0).asin() / std::f64::consts::PI;
    splits(&rising, 110.0, 50.0 - depth, depth * left);
}

/// Beyond their floor the face's grooves split the whole thickness; of what side grooves leave too.
#[test]
fn face_grooves_split_the_whole_rim() {
    let face = json!({"grooves": {"count": 72, "width": 3, "depth": 5}});
    let share = |r: f64, n: f64| 1.0 - n * (1.5 / r).asin() / std::f64::consts::PI;
    splits(&json!({"face": face}), 195.0, 50.0, 0.0);
    splits(&json!({"face": face}), 199.0, 0.0, 50.0 * share(199.0, 72.0));
    let both =
        json!({"face": face, "side_a": {"grooves": {"count": 90, "width": 3, "depth": 5, "inner_diameter": 200}}});
    splits(&both, 199.0, 0.0, (45.0 + 5.0 * share(199.0, 90.0)) * share(199.0, 72.0));
    // hardly beyond the flat floor the circle is cut as far as it lies above it: acos(195/r) either way
    let r = 195.001f64;
    let cut = 72.0 * (195.0 / r).acos() / std::f64::consts::PI;
    splits(&json!({"face": face}), r, 0.0, 50.0 * (1.0 - cut));
}

/// Elements end where the thickness jumps or kinks: at steps, at both ends of grooves along their line, at a run-out's tangent, at the face's floor.
#[test]
fn elements_end_where_the_thickness_changes() {
    let order = json!({"order": {"number": "1", "revision": "A"}, "units": "mm", "wheel": {
        "outside_diameter": 400, "thickness": 50, "bore": 127,
        "side_a": {"recess": [{"diameter": 166.6, "depth": 3}],
            "grooves": {"count": 20, "width": 3, "depth": 5, "inner_diameter": 203, "outer_diameter": 307, "skew_deg": 12}},
        "side_b": {"grooves": {"count": 20, "width": 3, "depth": 5, "inner_diameter": 222.2, "inner_end": "runout", "cutter_diameter": 100}},
        "face": {"grooves": {"count": 20, "width": 3, "depth": 7.7}}}});
    let job = job(&order);
    let section = Section::of(&job.wheel).unwrap();
    let load = at_surface_speed(2200.0, 0.2, 200.0, 33.0);
    let s = WheelDisc::of(&job.wheel, &section).stresses(load).unwrap();
    for r in [63.5, 83.3, 101.5, 153.5, 111.1, 111.1 + (5.0f64 * 95.0).sqrt(), 192.3, 200.0] {
        assert!(s.points.iter().any(|p| (p.r - r).abs() < 1e-9), "nothing ends at {r}");
    }
}

/// Two rings of different thickness grown together: u = A·r + B/r − K·r³ in each (E = 1), free at bore and rim, the same u and the same radial force
/// where they meet (Timoshenko's ring, joined).
fn two_rings(ends: [f64; 3], thick: [f64; 2], load: Load, at: f64) -> StressAt {
    let [a, c, b] = ends.map(|r| r / 1000.0);
    let nu = load.poisson;
    let k = load.density * load.angular.powi(2) * (1.0 - nu * nu) / 8.0;
    let scale = 1.0 / (1.0 - nu * nu);
    let radial = |r: f64| [scale * (1.0 + nu), -scale * (1.0 - nu) / (r * r), -scale * (3.0 + nu) * k * r * r];
    let hoop = |r: f64| [scale * (1.0 + nu), scale * (1.0 - nu) / (r * r), -scale * (1.0 + 3.0 * nu) * k * r * r];
    let (bore, rim, meet) = (radial(a), radial(b), radial(c));
    let [h, l] = thick;
    #[rustfmt::skip]
    let system = nalgebra::Matrix4::new(
        bore[0], bore[1], 0.0, 0.0,
        0.0, 0.0, rim[0], rim[1],
        c, 1.0 / c, -c, -1.0 / c,
        h * meet[0], h * meet[1], -l * meet[0], -l * meet[1],
    );
    let right = nalgebra::Vector4::new(-bore[2], -rim[2], 0.0, (l - h) * meet[2]);
    let x = system.lu().solve(&right).unwrap();
    let r = at / 1000.0;
    let (p, q) = if at < ends[1] { (x[0], x[1]) } else { (x[2], x[3]) };
    let sum = |f: [f64; 3]| 1e-6 * (f[0] * p + f[1] * q + f[2]);
    StressAt { r: at, radial: sum(radial(r)), hoop: sum(hoop(r)) }
}

#[test]
fn a_stepped_ring_agrees_with_two_joined_rings() {
    let load = at_surface_speed(2200.0, 0.2, 300.0, 50.0);
    let meet = 187.3;
    let layers = |r: f64| Layers { core: if r < meet { 20.0 } else { 50.0 }, lands: 0.0 };
    // breaks outside, at the ends and twice in one place change nothing
    let breaks = vec![meet, 90.0, 310.0, 100.0, 300.0, meet + 1e-8];
    let s = solve(&Disc { inner: 100.0, outer: 300.0, breaks, layers: &layers }, load, Fineness::default()).unwrap();
    for (i, p) in s.points.iter().enumerate() {
        let outer_half = s.points[i / 5 * 5].r >= meet - 1e-6;
        let at = if outer_half { p.r.max(meet) } else { p.r.min(meet - 1e-9) };
        let want = two_rings([100.0, meet, 300.0], [20.0, 50.0], load, at);
        assert!((p.hoop - want.hoop).abs() < 1e-5 && (p.radial - want.radial).abs() < 1e-5, "{p:?} {want:?}");
    }
    // the thin hub is stretched most at the bore, and the greatest of both kinds is that
    let most = s.greatest_hoop().unwrap();
    assert_eq!((most.r, s.greatest()), (100.0, most.hoop));
    let want = two_rings([100.0, meet, 300.0], [20.0, 50.0], load, 100.0).hoop;
    assert!((most.hoop - want).abs() < 1e-5 && most.hoop > uniform(100.0, 300.0, 100.0, load).hoop);
    let faster = s.at_speed(2.0);
    assert!(
        faster
            .points
            .iter()
            .zip(&s.points)
            .all(|(f, p)| f.r == p.r && f.hoop == 4.0 * p.hoop && f.radial == 4.0 * p.radial)
    );
}

#[test]
fn what_cannot_be_computed_is_an_error_of_its_kind() {
    use wheeldraft::properties::stress::StressError::{NoRim, NoThickness};
    let load = at_surface_speed(2200.0, 0.2, 300.0, 50.0);
    let whole = |_: f64| Layers { core: 25.0, lands: 0.0 };
    let of = |inner, outer, load| {
        solve(&Disc { inner, outer, breaks: Vec::new(), layers: &whole }, load, Fineness::default())
            .map(|s| s.points.len())
    };
    assert!(of(100.0, 300.0, load).is_ok());
    for (inner, outer) in [(0.0, 300.0), (-100.0, 300.0), (300.0, 100.0), (100.0, 100.0), (100.0, f64::INFINITY)] {
        assert_eq!(of(inner, outer, load), Err(NoRim), "{inner} {outer}");
    }
    assert_eq!(of(100.0, 300.0, Load { density: f64::NAN, ..load }), Err(NoRim));
    assert_eq!(of(100.0, 300.0, Load { angular: f64::INFINITY, ..load }), Err(NoRim));
    // a gap somewhere, or below nothing
    for core in [0.0, -5.0] {
        let gap = |r: f64| Layers { core: if r > 200.0 { core } else { 25.0 }, lands: 0.0 };
        let disc = Disc { inner: 100.0, outer: 300.0, breaks: vec![200.0], layers: &gap };
        assert_eq!(solve(&disc, load, Fineness::default()).map(|s| s.points.len()), Err(NoThickness));
    }
}

/// Where there are lands only, no hoop stress holds them: each carries what is outside of it, r·σr = ρω²(b³ − r³)/3.
#[test]
fn lands_alone_hang_on_what_is_inside() {
    let load = at_surface_speed(2200.0, 0.2, 300.0, 50.0);
    let (meet, outer) = (250.0, 300.0);
    let layers = |r: f64| if r < meet { Layers { core: 30.0, lands: 0.0 } } else { Layers { core: 0.0, lands: 18.0 } };
    let s =
        solve(&Disc { inner: 100.0, outer, breaks: vec![meet], layers: &layers }, load, Fineness::default()).unwrap();
    for element in s.points.chunks(5).filter(|e| e[0].r >= meet) {
        for p in element {
            let (x, b) = (p.r / 1000.0, outer / 1000.0);
            let want = 1e-6 * load.density * load.angular.powi(2) * (b.powi(3) - x.powi(3)) / (3.0 * x);
            assert!(p.hoop == 0.0 && (p.radial - want).abs() < 1e-6, "{p:?} {want}");
        }
    }
    // the core's rim carries them: its radial force there is theirs
    let core = s.points.chunks(5).rfind(|e| e[0].r < meet).unwrap()[4];
    let lands = s.points.chunks(5).find(|e| e[0].r >= meet).unwrap()[0];
    assert!((core.radial * 30.0 - lands.radial * 18.0).abs() < 1e-4, "{core:?} {lands:?}");
}
