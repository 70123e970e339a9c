//! Equilibrium of guys that pull but never push, around a mast pinned at its foot.

/// A guy as the solver sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spring {
    /// Unit vector from the mast to the anchor, east and north.
    pub(super) towards: (f64, f64),
    /// Cosine of the slope.
    pub(super) cos: f64,
    /// N a metre of stretch.
    pub(super) stiffness: f64,
    /// N at rest.
    pub(super) pretension: f64,
}

/// Steps before giving up; a handful suffice, since the energy is convex and piecewise quadratic.
const MOST_STEPS: usize = 200;

/// Pulls of the guys under a horizontal force at their level; nothing where they can't hold it.
///
/// The shift of the mast head minimises the energy of the taut guys less the work of the force: Newton steps,
/// shortened where the energy would rise, the guys that pull taken anew at each step.
pub(super) fn pulls(springs: &[Spring], force: (f64, f64)) -> Option<Vec<f64>> {
    let stiffest = springs.iter().map(|s| s.stiffness * s.cos * s.cos).fold(0.0, f64::max);
    if stiffest <= 0.0 {
        return None;
    }
    let size = force.0.hypot(force.1) + springs.iter().map(|s| s.pretension * s.cos).fold(0.0, f64::max);
    let pull = |s: &Spring, u: (f64, f64)| {
        let stretch = -(u.0 * s.towards.0 + u.1 * s.towards.1) * s.cos;
        (s.pretension + s.stiffness * stretch).max(0.0)
    };
    // What is left of the force, which must vanish.
    let rest = |u: (f64, f64)| {
        springs.iter().fold(force, |r, s| {
            let p = pull(s, u) * s.cos;
            (r.0 + p * s.towards.0, r.1 + p * s.towards.1)
        })
    };
    // Of two shifts that balance within rounding any will do; a shift beyond this is a mast that falls.
    let far = 1e6 * size / stiffest + 1.0;
    let mut u = (0.0, 0.0);
    for _ in 0..MOST_STEPS {
        let r = rest(u);
        if r.0.hypot(r.1) <= 1e-10 * size {
            return Some(springs.iter().map(|s| pull(s, u)).collect());
        }
        if u.0.hypot(u.1) > far {
            return None;
        }
        // A trace of stiffness everywhere keeps the step finite where only one guy pulls.
        let (mut xx, mut xy, mut yy) = (1e-7 * stiffest, 0.0, 1e-7 * stiffest);
        for s in springs.iter().filter(|s| pull(s, u) > 0.0) {
            let k = s.stiffness * s.cos * s.cos;
            xx += k * s.towards.0 * s.towards.0;
            xy += k * s.towards.0 * s.towards.1;
            yy += k * s.towards.1 * s.towards.1;
        }
        let det = xx * yy - xy * xy;
        let step = ((yy * r.0 - xy * r.1) / det, (xx * r.1 - xy * r.0) / det);
        // The step is shortened to where the energy stops falling: what is left of the force turns against it.
        let along = |share: f64| {
            let r = rest((u.0 + share * step.0, u.1 + share * step.1));
            r.0 * step.0 + r.1 * step.1
        };
        let (mut low, mut high) = (0.0, 1.0);
        if along(1.0) < 0.0 {
            for _ in 0..60 {
                let middle = f64::midpoint(low, high);
                if along(middle) < 0.0 { high = middle } else { low = middle }
            }
        }
        u = (u.0 + high * step.0, u.1 + high * step.1);
    }
    // Balanced to a millionth is as well as rounding lets it be where guys barely touch.
    let r = rest(u);
    (r.0.hypot(r.1) <= 1e-6 * size).then(|| springs.iter().map(|s| pull(s, u)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ring(n: usize, pretension: f64) -> Vec<Spring> {
        (0..n)
            .map(|i| {
                let a = i as f64 / n as f64 * std::f64::consts::TAU;
                Spring { towards: (a.sin(), a.cos()), cos: 0.6, stiffness: 9000.0, pretension }
            })
            .collect()
    }

    #[test]
    fn one_guy_against_the_wind_takes_it_all() {
        let got = pulls(&ring(4, 0.0), (0.0, 300.0)).unwrap();
        assert!((got[2] - 500.0).abs() < 1e-6 && got[0].abs() < 1e-6, "{got:?}");
    }

    #[test]
    fn guys_on_one_side_do_not_hold() {
        assert_eq!(pulls(&ring(4, 0.0)[..2], (0.0, 300.0)), None);
        assert_eq!(pulls(&[], (0.0, 300.0)), None);
    }

    proptest! {
        #[test]
        fn what_is_found_balances(n in 3_usize..9, p in 0.0..500.0_f64, h in 1.0..2000.0_f64, turn in 0.0..6.3_f64) {
            let springs = ring(n, p);
            let got = pulls(&springs, (h * turn.sin(), h * turn.cos())).unwrap();
            let rest = springs.iter().zip(&got).fold((h * turn.sin(), h * turn.cos()), |r, (s, t)| {
                (r.0 + t * s.cos * s.towards.0, r.1 + t * s.cos * s.towards.1)
            });
            prop_assert!(rest.0.hypot(rest.1) < 1e-5 * (h + p));
            prop_assert!(got.iter().all(|t| *t >= 0.0));
        }
    }
}
