//! Numerical integration over an interval.
//!
//! Gauss–Legendre nodes are computed once by Newton's method on the Legendre recurrence (Press et al., Numerical Recipes, give the same
//! method). [`smooth_ends`] makes an integrand with square-root behaviour at its ends analytic, so that few nodes suffice.

use std::sync::OnceLock;

/// Nodes in (0, 1) and weights that sum to 1.
#[derive(Debug, Clone)]
pub struct Rule {
    nodes: Vec<(f64, f64)>,
}

impl Rule {
    /// The Gauss–Legendre rule of `n` nodes, exact for polynomials of degree 2n − 1.
    pub fn gauss(n: usize) -> Rule {
        let nodes = (0..n)
            .map(|i| {
                let (x, slope) = legendre_root(n, i);
                ((1.0 - x) / 2.0, 1.0 / ((1.0 - x * x) * slope * slope))
            })
            .collect();
        Rule { nodes }
    }

    /// Pairs of node in (0, 1) and weight.
    pub fn nodes(&self) -> &[(f64, f64)] {
        &self.nodes
    }
}

/// The i-th root of the Legendre polynomial of degree n, from the largest down, and the slope there.
fn legendre_root(n: usize, i: usize) -> (f64, f64) {
    let size = n as f64;
    let mut x = (std::f64::consts::PI * (i as f64 + 0.75) / (size + 0.5)).cos();
    let mut slope = 1.0;
    for _ in 0..100 {
        let (mut p, mut before) = (1.0, 0.0);
        for k in 0..n {
            let k = k as f64;
            (p, before) = (((2.0 * k + 1.0) * x * p - k * before) / (k + 1.0), p);
        }
        slope = size * (x * p - before) / (x * x - 1.0);
        let step = p / slope;
        x -= step;
        if step.abs() < f64::EPSILON {
            break;
        }
    }
    (x, slope)
}

/// The shared rule of 4, 8, 12 … 32 nodes (the next size up for others).
pub fn gauss(n: usize) -> &'static Rule {
    static RULES: [OnceLock<Rule>; 8] = [const { OnceLock::new() }; 8];
    let index = n.div_ceil(4).clamp(1, RULES.len()) - 1;
    RULES[index].get_or_init(|| Rule::gauss(4 * (index + 1)))
}

/// The substitution x = a + (b−a)·t²·(3−2t): returns x and dx/dt. Square roots of the distance to either end become analytic in t, and
/// polynomials stay polynomials, so that few nodes are exact for them.
pub fn smooth_ends(a: f64, b: f64, t: f64) -> (f64, f64) {
    let (left, width) = (1.0 - t, b - a);
    // measured from the nearer end, so that an end is met to full relative precision
    let x = if t < 0.5 { a + width * t * t * (3.0 - 2.0 * t) } else { b - width * left * left * (1.0 + 2.0 * t) };
    (x, 6.0 * width * t * left)
}
