//! A search over the places of feeds with shrinking steps.

/// From `start` (ascending), every feed moves back, forth or not at all by a step that shrinks when none of it lessens
/// `drop`; feeds stay inside `range` and apart.
pub(in crate::calc::electrical) fn pattern_search(
    start: Vec<usize>,
    range: std::ops::Range<usize>,
    mut drop: impl FnMut(&[usize]) -> f64,
) -> Vec<usize> {
    let mut feeds = start;
    let mut least = drop(&feeds);
    let mut step = (range.len() / 4).max(1);
    loop {
        let mut better: Option<Vec<usize>> = None;
        for moves in 1..3_usize.pow(feeds.len() as u32) {
            let mut moved = feeds.clone();
            for (at, feed) in moved.iter_mut().enumerate() {
                *feed = match moves / 3_usize.pow(at as u32) % 3 {
                    1 => feed.saturating_add(step),
                    2 => feed.saturating_sub(step),
                    _ => *feed,
                };
            }
            if moved.iter().all(|feed| range.contains(feed)) && moved.is_sorted_by(|a, b| a < b) {
                let here = drop(&moved);
                if here < least - 1e-12 {
                    (least, better) = (here, Some(moved));
                }
            }
        }
        match better {
            Some(moved) => feeds = moved,
            None if step == 1 => return feeds,
            None => step /= 2,
        }
    }
}
