//! Equations of a section's nodes: symmetric, positive, each row kept from its first number that is not 0 to the diagonal (George and Liu 1981).

use nalgebra::{DVector, DVectorView};

/// The lower half of a symmetric matrix, row by row.
pub(super) struct Rows {
    /// Column of each row's first number.
    first: Vec<usize>,
    /// Where each row's numbers begin; one more for the end.
    begin: Vec<usize>,
    values: Vec<f64>,
}

/// The equations have no one solution.
#[derive(Debug, PartialEq)]
pub(super) struct Singular;

impl Rows {
    /// A matrix of zeros whose rows begin in these columns, none right of the diagonal.
    pub(super) fn beginning(first: Vec<usize>) -> Rows {
        let mut begin = Vec::with_capacity(first.len() + 1);
        let mut count = 0;
        for (row, column) in first.iter().enumerate() {
            begin.push(count);
            count += row + 1 - column;
        }
        begin.push(count);
        Rows { first, begin, values: vec![0.0; count] }
    }

    /// Adds to one number and to the one across the diagonal, which is kept once.
    pub(super) fn add(&mut self, i: usize, j: usize, value: f64) {
        let (row, column) = (i.max(j), i.min(j));
        self.values[self.begin[row] + column - self.first[row]] += value;
    }

    /// Numbers of a row from a column on, the diagonal left out.
    fn before(&self, row: usize, from: usize) -> &[f64] {
        &self.values[self.begin[row] + from - self.first[row]..self.begin[row + 1] - 1]
    }

    /// The solution for one right-hand side.
    pub(super) fn solve(mut self, right: &DVector<f64>) -> Result<DVector<f64>, Singular> {
        self.factor()?;
        let mut x = right.clone();
        for row in 0..self.first.len() {
            let known = x.rows_range(self.first[row]..row).dot(&view(self.before(row, self.first[row])));
            x[row] = (x[row] - known) / self.diagonal(row);
        }
        for row in (0..self.first.len()).rev() {
            x[row] /= self.diagonal(row);
            let here = x[row];
            x.rows_range_mut(self.first[row]..row).axpy(-here, &view(self.before(row, self.first[row])), 1.0);
        }
        Ok(x)
    }

    fn diagonal(&self, row: usize) -> f64 {
        self.values[self.begin[row + 1] - 1]
    }

    /// Puts Cholesky's factor in the matrix's place.
    fn factor(&mut self) -> Result<(), Singular> {
        for row in 0..self.first.len() {
            let (done, rest) = self.values.split_at_mut(self.begin[row]);
            let own = &mut rest[..row + 1 - self.first[row]];
            for column in self.first[row]..row {
                let from = self.first[row].max(self.first[column]);
                let above = &done[self.begin[column] + from - self.first[column]..self.begin[column + 1]];
                let (above, diagonal) = above.split_at(above.len() - 1);
                let at = column - self.first[row];
                own[at] = (own[at] - view(above).dot(&view(&own[from - self.first[row]..at]))) / diagonal[0];
            }
            let (own, diagonal) = own.split_at_mut(row - self.first[row]);
            let square = diagonal[0] - view(own).norm_squared();
            // a wheel that nothing holds, or an element turned inside out
            if square.is_nan() || square <= 0.0 {
                return Err(Singular);
            }
            diagonal[0] = square.sqrt();
        }
        Ok(())
    }
}

fn view(numbers: &[f64]) -> DVectorView<'_, f64> {
    DVectorView::from_slice(numbers, numbers.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::DMatrix;

    /// Against nalgebra's own Cholesky of the whole matrix.
    #[test]
    fn it_solves_what_the_whole_matrix_solves() {
        let first = vec![0, 0, 1, 0, 2, 4, 3, 6];
        let size = first.len();
        let mut rows = Rows::beginning(first.clone());
        let mut whole = DMatrix::zeros(size, size);
        for (row, &from) in first.iter().enumerate() {
            for column in from..=row {
                let value = if row == column { 10.0 + row as f64 } else { ((3 * row + 5 * column) % 7) as f64 / 4.0 - 0.6 };
                // on either side of the diagonal
                if row % 2 == 0 { rows.add(row, column, value) } else { rows.add(column, row, value) }
                whole[(row, column)] = value;
                whole[(column, row)] = value;
            }
        }
        let right = DVector::from_fn(size, |i, _| 1.0 - i as f64 / 3.0);
        let want = whole.cholesky().expect("positive").solve(&right);
        let got = rows.solve(&right).expect("positive");
        assert!((got - want).norm() < 1e-14);
    }

    #[test]
    fn what_has_no_one_solution_is_refused() {
        let mut rows = Rows::beginning(vec![0, 0]);
        [(0, 0), (1, 0), (1, 1)].into_iter().for_each(|(i, j)| rows.add(i, j, 1.0));
        assert_eq!(rows.solve(&DVector::zeros(2)), Err(Singular));
    }
}
