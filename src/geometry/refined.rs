//! Integrals to a share of their own size: Gauss's rules on smoothed intervals, finer ones and halves until two agree.

use super::quadrature::{gauss, smooth_ends};
use crate::tolerance::{INTEGRAL_ERROR, SHORT_PIECE};

/// Nodes over an interval: two neighbouring rules that agree are enough, else the next finer one is tried.
const NODES: [usize; 4] = [4, 8, 16, 24];
/// Deepest bisection of an interval: a kink costs its interval squared, and 2⁻²⁴ squared is below rounding.
const DEEPEST_SPLIT: usize = 24;

/// Something that can be summed with weights: an integrand.
pub(crate) trait Summed: Copy + Default {
    /// `self + weight · other`
    fn add(self, weight: f64, other: &Self) -> Self;
    /// Sizes that an error is measured in: the volume first.
    fn sizes(&self) -> [f64; 2];
}

/// ∫ f over rising intervals, where f may behave as a square root at either end of each: Gauss's rules on the smoothed interval, finer ones and
/// halves until two differ by no more than a share of the whole integral and `beside`, a sum that the integral will be added to.
pub(crate) fn integrate<S: Summed>(pieces: &[(f64, f64)], beside: &S, f: impl Fn(usize, f64) -> S) -> S {
    let all = pieces.last().map_or(0.0, |p| p.1) - pieces.first().map_or(0.0, |p| p.0);
    let first = pieces.iter().enumerate().map(|(i, &(a, b))| {
        let rung = usize::from(b - a > SHORT_PIECE * all);
        Estimate::of(a, b, rung, &|r| f(i, r))
    });
    let first: Vec<Estimate<S>> = first.collect();
    let whole = first.iter().fold(S::default(), |sum, e| sum.add(1.0, &e.fine));
    let (own, other) = (whole.sizes(), beside.sizes());
    let limits = [0, 1].map(|i| INTEGRAL_ERROR * (own[i].abs() + other[i].abs()));
    let mut sum = S::default();
    for (i, (&(a, b), estimate)) in pieces.iter().zip(first).enumerate() {
        sum = sum.add(1.0, &refined(a, b, &|r| f(i, r), estimate, limits, 0));
    }
    sum
}

/// An integral by two neighbouring rules.
#[derive(Clone, Copy)]
struct Estimate<S> {
    /// Index of the finer rule.
    rung: usize,
    coarse: S,
    fine: S,
}

impl<S: Summed> Estimate<S> {
    /// By the rule of this index and the next.
    fn of(a: f64, b: f64, rung: usize, f: &impl Fn(f64) -> S) -> Self {
        Estimate { rung: rung + 1, coarse: by_rule(a, b, rung, f), fine: by_rule(a, b, rung + 1, f) }
    }

    /// The next finer one; `None` where there is none.
    fn finer(self, a: f64, b: f64, f: &impl Fn(f64) -> S) -> Option<Self> {
        let rung = self.rung + 1;
        (rung < NODES.len()).then(|| Estimate { rung, coarse: self.fine, fine: by_rule(a, b, rung, f) })
    }

    fn is_within(&self, limits: [f64; 2]) -> bool {
        let (coarse, fine) = (self.coarse.sizes(), self.fine.sizes());
        (0..2).all(|i| (coarse[i] - fine[i]).abs() <= limits[i])
    }
}

fn by_rule<S: Summed>(a: f64, b: f64, rung: usize, f: &impl Fn(f64) -> S) -> S {
    gauss(NODES[rung]).nodes().iter().fold(S::default(), |sum, &(t, w)| {
        let (r, scale) = smooth_ends(a, b, t);
        sum.add(w * scale, &f(r))
    })
}

fn refined<S: Summed>(
    a: f64,
    b: f64,
    f: &impl Fn(f64) -> S,
    estimate: Estimate<S>,
    limits: [f64; 2],
    depth: usize,
) -> S {
    if depth >= DEEPEST_SPLIT || estimate.is_within(limits) {
        return estimate.fine;
    }
    if let Some(finer) = estimate.finer(a, b, f) {
        return refined(a, b, f, finer, limits, depth);
    }
    let middle = a + (b - a) / 2.0;
    let half = |a: f64, b: f64| refined(a, b, f, Estimate::of(a, b, 1, f), limits, depth + 1);
    half(a, middle).add(1.0, &half(middle, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A number beside the place it stands for.
    #[derive(Debug, Clone, Copy, Default)]
    struct Pair(f64, f64);

    impl Summed for Pair {
        fn add(self, weight: f64, other: &Pair) -> Pair {
            Pair(self.0 + weight * other.0, self.1 + weight * other.1)
        }

        fn sizes(&self) -> [f64; 2] {
            [self.0, self.1]
        }
    }

    /// Closed forms: √x at its root, and a quarter of a circle with a root at either end; the kink of |x − 1/3| lies in no piece's end.
    #[test]
    fn square_roots_and_kinks_keep_their_digits() {
        let f = |_: usize, x: f64| Pair((x * (1.0 - x)).sqrt(), (x - 1.0 / 3.0).abs());
        let sum = integrate(&[(0.0, 0.25), (0.25, 1.0)], &Pair::default(), f);
        assert!((sum.0 - std::f64::consts::PI / 8.0).abs() < 1e-10, "{}", sum.0);
        assert!((sum.1 - (1.0 / 18.0 + 2.0 / 9.0)).abs() < 1e-10, "{}", sum.1);
    }

    /// What it is added to sets how exact it need be: beside a large sum a small integral takes the first two rules.
    #[test]
    fn an_integral_beside_a_large_sum_is_no_more_exact_than_the_sum_asks() {
        let calls = std::cell::Cell::new(0);
        let f = |_: usize, x: f64| {
            calls.set(calls.get() + 1);
            Pair((x - 0.3).abs().sqrt(), 0.0)
        };
        integrate(&[(0.0, 1.0)], &Pair(1e12, 1.0), f);
        let few = calls.replace(0);
        integrate(&[(0.0, 1.0)], &Pair::default(), f);
        assert!(few < 30 && calls.get() > 5 * few, "{few} {}", calls.get());
    }
}
