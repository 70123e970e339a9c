//! Finding by a few letters, in any order of words.

use nucleo_matcher::pattern::{AtomKind, CaseMatching, Normalization, Pattern};
use nucleo_matcher::{Config, Matcher, Utf32Str};

/// The places of the texts that match, best first; all of them, in order, where nothing is asked.
///
/// Words that begin as asked come first, those nearer to the beginning, where names stand, before others. Letters with
/// gaps count only where no text holds every word as it stands, and only close together.
pub fn rank<'a>(asked: &str, texts: impl Iterator<Item = &'a str> + Clone) -> Vec<usize> {
    if asked.trim().is_empty() {
        return texts.enumerate().map(|(at, _)| at).collect();
    }
    let whole = matches(asked, AtomKind::Substring, texts.clone());
    if whole.is_empty() { matches(asked, AtomKind::Fuzzy, texts) } else { whole }
}

/// Within so many letters nearer is no better: a code may stand before a name.
const NAME: u32 = 16;
/// Letters with gaps between them reach no further than so many times their number.
const REACH: usize = 2;

fn matches<'a>(asked: &str, kind: AtomKind, texts: impl Iterator<Item = &'a str>) -> Vec<usize> {
    let pattern = Pattern::new(asked, CaseMatching::Ignore, Normalization::Smart, kind);
    let mut matcher = Matcher::new(Config::DEFAULT);
    let (mut letters, mut hits) = (Vec::new(), Vec::new());
    let mut found: Vec<((usize, u32), usize)> = Vec::new();
    for (at, text) in texts.enumerate() {
        let within = Utf32Str::new(text, &mut letters);
        let begins = |n: u32| n == 0 || !within.get(n - 1).is_alphanumeric();
        let mut key = (0, 0);
        let all = pattern.atoms.iter().all(|atom| {
            hits.clear();
            if atom.indices(within, &mut matcher, &mut hits).is_none() {
                return false;
            }
            let (first, last) =
                (hits.iter().min().copied().unwrap_or(0), hits.iter().max().copied().unwrap_or(0));
            key = (key.0 + usize::from(!begins(first)), key.1 + first / NAME);
            kind == AtomKind::Substring || (begins(first) && (last - first) as usize <= hits.len() * REACH)
        });
        if all {
            found.push((key, at));
        }
    }
    found.sort_unstable();
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
        // Scattered letters are no find, and a name comes before what contains the word.
        let round = ["Look round: plugs off the ground, paths clear, all about it", "Check the schedule"];
        assert!(rank("boat", round.iter().copied()).is_empty());
        let places = ["Lawn edge (main box to mast box)", "Mast lawn", "Foremast"];
        assert_eq!(rank("mast", places.iter().copied()), [1, 0, 2]);
    }
}
