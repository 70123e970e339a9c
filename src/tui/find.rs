//! Finding by a few letters, in any order of words.

use nucleo_matcher::pattern::{AtomKind, CaseMatching, Normalization, Pattern};
use nucleo_matcher::{Config, Matcher, Utf32Str};

/// The places of the texts that match, best first; all of them, in order, where nothing is asked.
///
/// Texts that hold every word asked for as it stands are taken alone; letters with gaps count where there are none.
pub fn rank<'a>(asked: &str, texts: impl Iterator<Item = &'a str> + Clone) -> Vec<usize> {
    if asked.trim().is_empty() {
        return texts.enumerate().map(|(at, _)| at).collect();
    }
    let whole = matches(asked, AtomKind::Substring, texts.clone());
    if whole.is_empty() { matches(asked, AtomKind::Fuzzy, texts) } else { whole }
}

fn matches<'a>(asked: &str, kind: AtomKind, texts: impl Iterator<Item = &'a str>) -> Vec<usize> {
    let pattern = Pattern::new(asked, CaseMatching::Ignore, Normalization::Smart, kind);
    let mut matcher = Matcher::new(Config::DEFAULT);
    let mut letters = Vec::new();
    let mut found: Vec<(u32, usize)> = texts
        .enumerate()
        .filter_map(|(at, text)| {
            pattern.score(Utf32Str::new(text, &mut letters), &mut matcher).map(|score| (score, at))
        })
        .collect();
    found.sort_by_key(|(score, at)| (std::cmp::Reverse(*score), *at));
    found.into_iter().map(|(_, at)| at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_by_letters_and_keeps_order_without() {
        let texts = ["boat cut-outs", "roof stars", "bridge arches"];
        assert_eq!(rank("rfst", texts.iter().copied()), [1]);
        assert_eq!(rank("", texts.iter().copied()), [0, 1, 2]);
        let mut whole = rank("s ar", texts.iter().copied());
        whole.sort_unstable();
        assert_eq!(whole, [1, 2], "only those with every word as it stands");
        assert!(rank("zzz", texts.iter().copied()).is_empty());
    }
}
