//! Sorts by time in a few steps for each activity, whatever the order: times are small numbers.
//!
//! D. E. Knuth, The Art of Computer Programming 3, 5.2.5 (radix sorting from the least digit on, each digit by counting).

/// Values of one digit.
const DIGIT: u32 = 1 << 10;
/// Turns the order of signed numbers into that of unsigned ones.
const SIGN: u32 = 1 << 31;

#[derive(Default)]
pub(super) struct Sorter {
    times: Vec<u32>,
    counts: Vec<u32>,
    other: Vec<u32>,
}

impl Sorter {
    /// Those of `order` by time; in that order where the time is the same.
    pub(super) fn sort(&mut self, order: &[u32], list: &mut Vec<u32>, time: impl Fn(usize) -> i32) {
        self.times.clear();
        self.times.extend((0..order.len()).map(|j| time(j) as u32 ^ SIGN));
        let low = self.times.iter().copied().min().unwrap_or(0);
        let span = self.times.iter().copied().max().unwrap_or(0) - low;
        list.clear();
        list.resize(order.len(), 0);
        self.digit(order, list, |t| (t - low) % DIGIT, span.min(DIGIT - 1));
        let (mut left, mut unit) = (span / DIGIT, DIGIT);
        while left > 0 {
            let mut other = std::mem::take(&mut self.other);
            other.clone_from(list);
            self.digit(&other, list, |t| (t - low) / unit % DIGIT, left.min(DIGIT - 1));
            self.other = other;
            left /= DIGIT;
            unit = unit.saturating_mul(DIGIT);
        }
    }

    fn digit(&mut self, from: &[u32], to: &mut [u32], digit: impl Fn(u32) -> u32, most: u32) {
        let (times, counts) = (&self.times, &mut self.counts);
        counts.clear();
        counts.resize(most as usize + 2, 0);
        for t in times {
            counts[digit(*t) as usize + 1] += 1;
        }
        let mut sum = 0;
        for c in counts.iter_mut() {
            sum += *c;
            *c = sum;
        }
        for j in from {
            let at = &mut counts[digit(times[*j as usize]) as usize];
            to[*at as usize] = *j;
            *at += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use fastrand::Rng;

    #[test]
    fn the_order_is_that_of_time_and_then_of_before() {
        let mut rng = Rng::with_seed(3);
        let mut sorter = Sorter::default();
        for span in [0, 1, 9, 1_023, 1_024, 1_025, 3_000_000, i32::MAX] {
            for _ in 0..50 {
                let n = rng.usize(0..300);
                let mut order: Vec<u32> = (0..n as u32).collect();
                rng.shuffle(&mut order);
                let low = if rng.bool() { i32::MIN } else { rng.i32(-50..=0) };
                let times: Vec<i32> = (0..n).map(|_| low.saturating_add(rng.i32(0..=span))).collect();
                let mut list = vec![9];
                sorter.sort(&order, &mut list, |j| times[j]);
                let mut expected = order.clone();
                expected.sort_by_key(|j| times[*j as usize]);
                assert_eq!(list, expected, "span {span}");
            }
        }
    }
}
