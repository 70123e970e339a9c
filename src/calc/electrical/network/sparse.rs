//! Sparse symmetric factors L D Lᵀ, row by row along the elimination tree.
//!
//! After T. A. Davis, "Algorithm 849: a concise sparse Cholesky factorization package", ACM Transactions on
//! Mathematical Software 31 (2005). Without pivoting: every pivot must be positive, which is what the caller wants to
//! know.

const NONE: usize = usize::MAX;

/// The pattern of a symmetric matrix and of its factor; rows and columns in the order of elimination.
#[derive(Debug)]
pub(super) struct Pattern {
    /// Entries left of the diagonal in row k are `columns[rows[k]..rows[k + 1]]`.
    rows: Vec<usize>,
    columns: Vec<usize>,
    parent: Vec<usize>,
    /// Where column i of L begins.
    begins: Vec<usize>,
}

/// L and D, with room to work in.
#[derive(Debug)]
pub(super) struct Factor {
    index: Vec<usize>,
    value: Vec<f64>,
    filled: Vec<usize>,
    diagonal: Vec<f64>,
    work: Vec<f64>,
    flag: Vec<usize>,
    path: Vec<usize>,
}

impl Pattern {
    /// From the places off the diagonal, as (row, column) with column < row; sorts them and drops doubles.
    pub(super) fn of(size: usize, mut places: Vec<(usize, usize)>) -> Self {
        places.sort_unstable();
        places.dedup();
        let mut rows = vec![0; size + 1];
        for &(row, _) in &places {
            rows[row + 1] += 1;
        }
        for k in 0..size {
            rows[k + 1] += rows[k];
        }
        let columns: Vec<usize> = places.into_iter().map(|(_, column)| column).collect();
        let (mut parent, mut flag, mut counts) = (vec![NONE; size], vec![NONE; size], vec![0_usize; size]);
        for k in 0..size {
            flag[k] = k;
            for &column in &columns[rows[k]..rows[k + 1]] {
                let mut i = column;
                while flag[i] != k {
                    if parent[i] == NONE {
                        parent[i] = k;
                    }
                    counts[i] += 1;
                    flag[i] = k;
                    i = parent[i];
                }
            }
        }
        let mut begins = vec![0; size + 1];
        for k in 0..size {
            begins[k + 1] = begins[k] + counts[k];
        }
        Self { rows, columns, parent, begins }
    }

    /// How many places there are off the diagonal.
    pub(super) fn places(&self) -> usize {
        self.columns.len()
    }

    /// The number of a place that was given to [`Pattern::of`].
    pub(super) fn slot(&self, row: usize, column: usize) -> usize {
        let start = self.rows[row];
        start + self.columns[start..self.rows[row + 1]].partition_point(|&at| at < column)
    }

    /// An empty factor of this pattern.
    pub(super) fn factor(&self) -> Factor {
        let size = self.parent.len();
        let entries = self.begins[size];
        Factor {
            index: vec![0; entries],
            value: vec![0.0; entries],
            filled: vec![0; size],
            diagonal: vec![0.0; size],
            work: vec![0.0; size],
            flag: vec![NONE; size],
            path: vec![0; size],
        }
    }
}

impl Factor {
    /// Factors the matrix with this diagonal and these values by slot; false where a pivot is not positive.
    pub(super) fn fill(&mut self, pattern: &Pattern, diagonal: &[f64], values: &[f64]) -> bool {
        let size = diagonal.len();
        let entries = |k: usize| pattern.rows[k]..pattern.rows[k + 1];
        self.filled.fill(0);
        self.flag.fill(NONE);
        self.work.fill(0.0);
        for (k, &own) in diagonal.iter().enumerate() {
            let mut top = size;
            self.flag[k] = k;
            for (&column, value) in pattern.columns[entries(k)].iter().zip(&values[entries(k)]) {
                let mut i = column;
                self.work[i] += value;
                let mut length = 0;
                while self.flag[i] != k {
                    self.path[length] = i;
                    length += 1;
                    self.flag[i] = k;
                    i = pattern.parent[i];
                }
                while length > 0 {
                    length -= 1;
                    top -= 1;
                    self.path[top] = self.path[length];
                }
            }
            let mut pivot = own;
            for at in top..size {
                let i = self.path[at];
                let y = std::mem::take(&mut self.work[i]);
                let (start, end) = (pattern.begins[i], pattern.begins[i] + self.filled[i]);
                for (row, value) in self.index[start..end].iter().zip(&self.value[start..end]) {
                    self.work[*row] -= value * y;
                }
                let entry = y / self.diagonal[i];
                pivot -= entry * y;
                self.index[end] = k;
                self.value[end] = entry;
                self.filled[i] += 1;
            }
            // A pivot that is all rounding says as little as a negative one.
            if pivot.is_nan() || pivot <= 1e-13 * own.abs() {
                return false;
            }
            self.diagonal[k] = pivot;
        }
        true
    }

    /// Solves in place.
    pub(super) fn solve(&self, pattern: &Pattern, x: &mut [f64]) {
        let size = x.len();
        for k in 0..size {
            let y = x[k];
            let range = pattern.begins[k]..pattern.begins[k + 1];
            for (row, value) in self.index[range.clone()].iter().zip(&self.value[range]) {
                x[*row] -= value * y;
            }
        }
        for (y, pivot) in x.iter_mut().zip(&self.diagonal) {
            *y /= pivot;
        }
        for k in (0..size).rev() {
            let range = pattern.begins[k]..pattern.begins[k + 1];
            let sum: f64 = self.index[range.clone()]
                .iter()
                .zip(&self.value[range])
                .map(|(row, value)| value * x[*row])
                .sum();
            x[k] -= sum;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A 4 x 4 matrix with a ring, so that fill arises; checked by multiplying back.
    #[test]
    fn factors_give_back_the_right_hand_side() {
        let places = vec![(1, 0), (2, 1), (3, 2), (3, 0)];
        let pattern = Pattern::of(4, places.clone());
        let diagonal = [4.0, 5.0, 6.0, 7.0];
        let mut values = vec![0.0; pattern.places()];
        for (at, &(row, column)) in places.iter().enumerate() {
            values[pattern.slot(row, column)] = -1.0 - at as f64 / 10.0;
        }
        let mut factor = pattern.factor();
        assert!(factor.fill(&pattern, &diagonal, &values));
        let right = [1.0, -2.0, 3.0, 0.5];
        let mut x = right;
        factor.solve(&pattern, &mut x);
        for k in 0..4 {
            let mut sum = diagonal[k] * x[k];
            for &(row, column) in &places {
                let value = values[pattern.slot(row, column)];
                sum += if row == k { value * x[column] } else { 0.0 };
                sum += if column == k { value * x[row] } else { 0.0 };
            }
            assert!((sum - right[k]).abs() < 1e-12, "row {k}: {sum}");
        }
    }

    #[test]
    fn a_matrix_that_is_not_positive_definite_is_refused() {
        let pattern = Pattern::of(2, vec![(1, 0)]);
        assert!(!pattern.factor().fill(&pattern, &[1.0, 1.0], &[2.0]));
    }
}
