//! Terminals joined into sets, each member a fixed step above its set's root.

/// Sets of terminals with a voltage step to the root of each.
pub(super) struct Union {
    parent: Vec<usize>,
    step: Vec<f64>,
}

impl Union {
    pub(super) fn new(count: usize) -> Self {
        Self { parent: (0..count).collect(), step: vec![0.0; count] }
    }

    /// Root of `x`, and how far `x` lies above it.
    pub(super) fn find(&mut self, x: usize) -> (usize, f64) {
        let (mut root, mut total) = (x, 0.0);
        while self.parent[root] != root {
            total += self.step[root];
            root = self.parent[root];
        }
        let (mut at, mut left) = (x, total);
        while self.parent[at] != root && at != root {
            let (next, step) = (self.parent[at], self.step[at]);
            self.parent[at] = root;
            self.step[at] = left;
            left -= step;
            at = next;
        }
        (root, total)
    }

    /// Joins by v_b = v_a + emf; the volts by which an existing joint disagrees otherwise.
    pub(super) fn join(&mut self, a: usize, b: usize, emf: f64) -> Result<(), f64> {
        let ((root_a, step_a), (root_b, step_b)) = (self.find(a), self.find(b));
        if root_a == root_b {
            return Err(step_a + emf - step_b);
        }
        // The lower number stays root, so that roots do not depend on the order of joining.
        if root_a < root_b {
            self.parent[root_b] = root_a;
            self.step[root_b] = step_a + emf - step_b;
        } else {
            self.parent[root_a] = root_b;
            self.step[root_a] = step_b - emf - step_a;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_add_up_along_any_path() {
        let mut union = Union::new(5);
        assert_eq!(union.join(3, 1, 5.0), Ok(()));
        assert_eq!(union.join(2, 3, 0.5), Ok(()));
        assert_eq!(union.join(4, 1, -1.0), Ok(()));
        assert_eq!(union.find(1), (1, 0.0));
        assert_eq!(union.find(2), (1, -5.5));
        assert_eq!(union.find(4), (1, 1.0));
        assert_eq!(union.find(0), (0, 0.0));
        // A second joint of 2 and 4 says by how much it disagrees.
        assert_eq!(union.join(2, 4, 6.0), Err(-0.5));
    }
}
