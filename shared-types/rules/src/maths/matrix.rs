//! Dense matrices for least squares: solving by Householder QR, and the singular values with both sets of vectors.
//!
//! Written out here instead of taken from a library for three reasons. Only `+ - × ÷` and the square root occur,
//! which IEEE 754 rounds one way everywhere, so phone and server agree to the bit whatever features other crates
//! switch on (a linear algebra crate takes its `hypot` from the platform as soon as any crate in the build enables
//! `std` in num-traits). One-sided Jacobi gives the small singular values to high relative accuracy, and those are
//! what tells a loose network from a weak one. And it is under 200 lines in a program that every phone downloads.
//! Both methods from memory (Golub and Van Loan, *Matrix Computations*); checked against numpy in
//! `tests/tests/oracles`.

use setdown_types::order;

/// A matrix of `rows` by `columns`, kept column by column.
#[derive(Clone, Debug, PartialEq)]
pub struct Matrix {
    rows: usize,
    columns: usize,
    data: Vec<f64>,
}

impl Matrix {
    /// A matrix of zeros.
    pub fn zeros(rows: usize, columns: usize) -> Self {
        Self {
            rows,
            columns,
            data: vec![0.0; rows * columns],
        }
    }

    /// The number of rows.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// The number of columns.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// The number in a row and a column; 0 outside.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        if row >= self.rows {
            return 0.0;
        }
        self.column(column).get(row).copied().unwrap_or(0.0)
    }

    /// Writes the number in a row and a column; nothing happens outside.
    pub fn set(&mut self, row: usize, column: usize, value: f64) {
        if row < self.rows
            && let Some(place) = self.column_mut(column).get_mut(row)
        {
            *place = value;
        }
    }

    /// Adds to the number in a row and a column; nothing happens outside.
    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        self.set(row, column, self.at(row, column) + value);
    }

    /// One column; empty outside.
    pub fn column(&self, column: usize) -> &[f64] {
        let start = column.saturating_mul(self.rows);
        self.data.get(start..start + self.rows).unwrap_or(&[])
    }

    fn column_mut(&mut self, column: usize) -> &mut [f64] {
        let start = column.saturating_mul(self.rows);
        self.data
            .get_mut(start..start + self.rows)
            .unwrap_or(&mut [])
    }

    /// Two different columns at once, the first one before the second.
    fn pair_mut(&mut self, first: usize, second: usize) -> Option<(&mut [f64], &mut [f64])> {
        let rows = self.rows;
        let (before, after) = self.data.split_at_mut_checked(second.checked_mul(rows)?)?;
        Some((
            before.get_mut(first * rows..(first + 1) * rows)?,
            after.get_mut(..rows)?,
        ))
    }
}

/// The sum of the products of two lists.
pub fn dot(first: &[f64], second: &[f64]) -> f64 {
    first.iter().zip(second).map(|(a, b)| a * b).sum()
}

/// The x that makes |A·x − b| least, by Householder QR; `None` where a column is (nearly) made up of the others.
pub fn least_squares(mut matrix: Matrix, mut right: Vec<f64>) -> Option<Vec<f64>> {
    let columns = matrix.columns();
    if matrix.rows() < columns || right.len() != matrix.rows() {
        return None;
    }
    let mut diagonal = vec![0.0; columns];
    for step in 0..columns {
        let norm = libm::sqrt(dot(
            matrix.column(step).get(step..)?,
            matrix.column(step).get(step..)?,
        ));
        let head = matrix.at(step, step);
        if norm <= 0.0 || !norm.is_finite() {
            return None;
        }
        let on_diagonal = if head > 0.0 { -norm } else { norm };
        *diagonal.get_mut(step)? = on_diagonal;
        matrix.set(step, step, head - on_diagonal);
        reflect_rest(&mut matrix, &mut right, step)?;
    }
    back_substitute(&matrix, &diagonal, &right)
}

/// Applies the reflection kept in column `step` to the columns after it and to the right side.
fn reflect_rest(matrix: &mut Matrix, right: &mut [f64], step: usize) -> Option<()> {
    let length = dot(
        matrix.column(step).get(step..)?,
        matrix.column(step).get(step..)?,
    );
    if length <= 0.0 {
        return Some(());
    }
    for other in step + 1..matrix.columns() {
        let (mirror, column) = matrix.pair_mut(step, other)?;
        reflect(mirror.get(step..)?, column.get_mut(step..)?, length);
    }
    reflect(
        matrix.column(step).get(step..)?,
        right.get_mut(step..)?,
        length,
    );
    Some(())
}

fn reflect(mirror: &[f64], column: &mut [f64], length: f64) {
    let share = 2.0 * dot(mirror, column) / length;
    for (value, part) in column.iter_mut().zip(mirror) {
        *value -= share * part;
    }
}

fn back_substitute(matrix: &Matrix, diagonal: &[f64], right: &[f64]) -> Option<Vec<f64>> {
    let mut solution = vec![0.0; diagonal.len()];
    for row in (0..diagonal.len()).rev() {
        let mut value = *right.get(row)?;
        for (column, known) in solution.iter().enumerate().skip(row + 1) {
            value -= matrix.at(row, column) * known;
        }
        let found = value / diagonal.get(row)?;
        if !found.is_finite() {
            return None;
        }
        *solution.get_mut(row)? = found;
    }
    Some(solution)
}

/// A = U·diag(s)·Vᵀ with the singular values falling.
#[derive(Clone, Debug, PartialEq)]
pub struct Singular {
    /// Left vectors, as many columns as A has; a column of a zero singular value is zero.
    pub left: Matrix,
    /// Singular values, largest first.
    pub values: Vec<f64>,
    /// Right vectors.
    pub right: Matrix,
}

/// At most this many rounds over all pairs of columns; ten are usual.
const MOST_ROUNDS: usize = 60;

/// The singular values and vectors by one-sided Jacobi rotations.
pub fn singular(matrix: &Matrix) -> Singular {
    let columns = matrix.columns();
    let mut work = matrix.clone();
    let mut right = Matrix::zeros(columns, columns);
    for column in 0..columns {
        right.set(column, column, 1.0);
    }
    for _ in 0..MOST_ROUNDS {
        if !round_of_rotations(&mut work, &mut right) {
            break;
        }
    }
    sorted(&work, &right)
}

/// Turns every pair of columns square to each other; whether any needed it.
fn round_of_rotations(work: &mut Matrix, right: &mut Matrix) -> bool {
    let columns = work.columns();
    let mut turned = false;
    for first in 0..columns {
        for second in first + 1..columns {
            let (a, b) = (work.column(first), work.column(second));
            let (aa, bb, ab) = (dot(a, a), dot(b, b), dot(a, b));
            // Squared lengths this far apart belong to a column that is zero but for rounding.
            let negligible = aa.min(bb) <= 1e-30 * aa.max(bb);
            if negligible || ab.abs() <= 1e-15 * libm::sqrt(aa * bb) {
                continue;
            }
            let half_difference = (bb - aa) / (2.0 * ab);
            let root = libm::sqrt(1.0 + half_difference * half_difference);
            let tangent = if half_difference >= 0.0 {
                1.0 / (half_difference + root)
            } else {
                -1.0 / (root - half_difference)
            };
            let cosine = 1.0 / libm::sqrt(1.0 + tangent * tangent);
            rotate(work, first, second, cosine, cosine * tangent);
            rotate(right, first, second, cosine, cosine * tangent);
            turned = true;
        }
    }
    turned
}

fn rotate(matrix: &mut Matrix, first: usize, second: usize, cosine: f64, sine: f64) {
    let Some((one, two)) = matrix.pair_mut(first, second) else {
        return;
    };
    for (a, b) in one.iter_mut().zip(two) {
        let (old_a, old_b) = (*a, *b);
        *a = cosine * old_a - sine * old_b;
        *b = sine * old_a + cosine * old_b;
    }
}

fn sorted(work: &Matrix, right: &Matrix) -> Singular {
    let columns = work.columns();
    let length = |column: usize| libm::sqrt(dot(work.column(column), work.column(column)));
    let mut order: Vec<(f64, usize)> = (0..columns)
        .map(|column| (length(column), column))
        .collect();
    order::sort_by(&mut order, |a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut result = Singular {
        left: Matrix::zeros(work.rows(), columns),
        values: order.iter().map(|(value, _)| *value).collect(),
        right: Matrix::zeros(columns, columns),
    };
    for (place, (value, from)) in order.iter().enumerate() {
        for row in 0..work.rows() {
            let part = if *value > 0.0 {
                work.at(row, *from) / value
            } else {
                0.0
            };
            result.left.set(row, place, part);
        }
        for row in 0..columns {
            result.right.set(row, place, right.at(row, *from));
        }
    }
    result
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matrix(rows: &[&[f64]]) -> Matrix {
        let mut made = Matrix::zeros(rows.len(), rows[0].len());
        for (r, row) in rows.iter().enumerate() {
            for (c, value) in row.iter().enumerate() {
                made.set(r, c, *value);
            }
        }
        made
    }

    /// Worked out: the line 1 + 2x through three points is met exactly.
    #[test]
    fn exact_line() {
        let design = matrix(&[&[1.0, 0.0], &[1.0, 1.0], &[1.0, 3.0]]);
        let solution = least_squares(design, vec![1.0, 3.0, 7.0]).unwrap();
        assert!((solution[0] - 1.0).abs() < 1e-14 && (solution[1] - 2.0).abs() < 1e-14);
    }

    /// A column twice over has no single answer.
    #[test]
    fn doubled_column() {
        let design = matrix(&[&[1.0, 1.0], &[2.0, 2.0], &[3.0, 3.0]]);
        let found = singular(&design);
        assert!((found.values[0] - libm::sqrt(28.0)).abs() < 1e-14);
        assert!(found.values[1] < 1e-14);
    }

    /// Outside the matrix there is nothing, and nothing panics.
    #[test]
    fn outside() {
        let mut small = Matrix::zeros(2, 2);
        small.set(5, 0, 1.0);
        small.set(0, 5, 1.0);
        assert_eq!(small.at(5, 0) + small.at(0, 5), 0.0);
        assert_eq!(least_squares(Matrix::zeros(2, 2), vec![1.0, 1.0]), None);
        assert_eq!(least_squares(Matrix::zeros(1, 2), vec![1.0]), None);
    }
}
