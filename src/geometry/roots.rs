//! Roots of a continuous function between two places of opposite sign.

use crate::tolerance::ROOT_WIDTH;

/// A place in [a, b] where f changes sign, by the Illinois form of regula falsi guarded with bisection; `None` where f(a) and f(b) have the same
/// sign. An end where f is exactly 0 is returned.
pub fn between(mut a: f64, mut b: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Some(a);
    }
    if fb == 0.0 {
        return Some(b);
    }
    if (fa > 0.0) == (fb > 0.0) || !(fa.is_finite() && fb.is_finite()) {
        return None;
    }
    let mut kept = 0;
    for turn in 0..200 {
        if (b - a).abs() <= ROOT_WIDTH * a.abs().max(b.abs()) {
            break;
        }
        let falsi = (a * fb - b * fa) / (fb - fa);
        let inside = falsi > a.min(b) && falsi < a.max(b);
        let x = if turn % 3 == 2 || !inside { a + (b - a) / 2.0 } else { falsi };
        let fx = f(x);
        if fx == 0.0 {
            return Some(x);
        }
        if (fx > 0.0) == (fa > 0.0) {
            (a, fa) = (x, fx);
            if kept == 1 {
                fb /= 2.0;
            }
            kept = 1;
        } else {
            (b, fb) = (x, fx);
            if kept == -1 {
                fa /= 2.0;
            }
            kept = -1;
        }
    }
    Some(a + (b - a) / 2.0)
}

/// All sign changes of f in [a, b] that a scan in `steps` equal steps can see, in rising order.
pub fn scan(a: f64, b: f64, steps: usize, f: impl Fn(f64) -> f64) -> Vec<f64> {
    let at = |i: usize| a + (b - a) * i as f64 / steps as f64;
    let mut found: Vec<f64> = (0..steps).filter_map(|i| between(at(i), at(i + 1), &f)).collect();
    found.dedup();
    found
}
