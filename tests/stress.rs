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
