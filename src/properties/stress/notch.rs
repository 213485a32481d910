//! How much tension gathers at the root of a notch, by a handbook's formula.

/// Tension at the root of a notch over the tension beside it: `depth` and `radius` of the root in the same unit, a single notch in the edge of a
/// half-plane under tension. From depth = radius on 0.855 + 2.21·√(depth/radius) (Peterson's Stress Concentration Factors, notch in a semi-infinite
/// element), below it Inglis's 1 + 2·√(depth/radius), no more than the other at equal depth and radius. Neighbours shield each other, so a
/// ring of grooves has less.
pub fn factor(depth: f64, radius: f64) -> f64 {
    if depth <= 0.0 {
        return 1.0;
    }
    let ratio = (depth / radius).sqrt();
    if ratio >= 1.0 { 0.855 + 2.21 * ratio } else { 1.0 + 2.0 * ratio }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A half round notch has 3.065 (Ling's solution, as Peterson quotes it); no notch has 1, and a crack no limit.
    #[test]
    fn known_notches() {
        assert!((factor(2.0, 2.0) - 3.065).abs() < 1e-12);
        assert!((factor(0.0, 1.0) - 1.0).abs() < 1e-12);
        // Peterson's chart: depth 4 times the radius, 5.275
        assert!((factor(4.0, 1.0) - 5.275).abs() < 1e-12);
        assert!((factor(0.25, 1.0) - 2.0).abs() < 1e-12);
        assert!(factor(1.0, 1e-6) > 2000.0);
    }
}
