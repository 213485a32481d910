//! A symmetric system whose matrix has entries near its diagonal only, as elements in a row give: Cholesky's way within the band, in time that
//! grows with the number of unknowns and not with its cube.

/// Most neighbours on either side of an unknown that it is coupled with: the highest degree of an element.
pub(super) const REACH: usize = 4;

/// The lower half of a symmetric matrix: row `i` holds the entries of columns `i - REACH` to `i`.
#[derive(Debug, Clone)]
pub(super) struct Band {
    rows: Vec<[f64; REACH + 1]>,
}

impl Band {
    /// All zeros.
    pub(super) fn zeros(size: usize) -> Band {
        Band { rows: vec![[0.0; REACH + 1]; size] }
    }

    /// Adds to an entry on the diagonal or at most [`REACH`] left of it; the upper half is the lower one's image.
    pub(super) fn add(&mut self, row: usize, column: usize, value: f64) {
        self.rows[row][column + REACH - row] += value;
    }

    fn at(&self, row: usize, column: usize) -> f64 {
        self.rows[row][column + REACH - row]
    }

    /// The unknowns for a right-hand side; `None` where the matrix is not positive definite.
    pub(super) fn solved(self, mut side: Vec<f64>) -> Option<Vec<f64>> {
        let factor = self.factored()?;
        for i in 0..side.len() {
            let known: f64 = (i.saturating_sub(REACH)..i).map(|k| factor.at(i, k) * side[k]).sum();
            side[i] = (side[i] - known) / factor.at(i, i);
        }
        for i in (0..side.len()).rev() {
            let known: f64 = (i + 1..side.len().min(i + REACH + 1)).map(|k| factor.at(k, i) * side[k]).sum();
            side[i] = (side[i] - known) / factor.at(i, i);
        }
        Some(side)
    }

    /// The triangle L of A = L Lᵀ.
    fn factored(mut self) -> Option<Band> {
        for i in 0..self.rows.len() {
            let first = i.saturating_sub(REACH);
            for j in first..=i {
                let known: f64 = (first..j).map(|k| self.at(i, k) * self.at(j, k)).sum();
                let rest = self.at(i, j) - known;
                let entry = if j < i { rest / self.at(j, j) } else { rest.sqrt() };
                // the root of what is negative is no number
                if j == i && !(entry > 0.0 && entry.is_finite()) {
                    return None;
                }
                self.rows[i][j + REACH - i] = entry;
            }
        }
        Some(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    /// Against the dense solution by nalgebra.
    #[test]
    fn is_the_dense_solution() {
        for size in [1, 2, 4, 5, 9, 30] {
            let mut band = Band::zeros(size);
            let mut dense = DMatrix::zeros(size, size);
            for i in 0..size {
                for j in i.saturating_sub(REACH)..=i {
                    let value = if i == j { 9.0 + i as f64 } else { ((7 * i + 3 * j) % 5) as f64 / 3.0 - 0.6 };
                    band.add(i, j, value / 2.0);
                    band.add(i, j, value / 2.0);
                    dense[(i, j)] = value;
                    dense[(j, i)] = value;
                }
            }
            let side: Vec<f64> = (0..size).map(|i| (i as f64 - 2.5) * 1.3).collect();
            let expected = dense.cholesky().unwrap().solve(&DVector::from_vec(side.clone()));
            let got = band.solved(side).unwrap();
            for (got, expected) in got.iter().zip(expected.iter()) {
                assert!((got - expected).abs() < 1e-14, "{got} {expected}");
            }
        }
    }

    #[test]
    fn what_is_not_positive_definite_has_no_solution() {
        assert_eq!(Band::zeros(3).solved(vec![1.0; 3]), None);
        let mut band = Band::zeros(2);
        for (i, j, value) in [(0, 0, 1.0), (1, 0, 2.0), (1, 1, 3.0)] {
            band.add(i, j, value);
        }
        assert_eq!(band.solved(vec![1.0; 2]), None);
        for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let mut band = Band::zeros(1);
            band.add(0, 0, value);
            assert_eq!(band.solved(vec![1.0]), None);
        }
    }
}
