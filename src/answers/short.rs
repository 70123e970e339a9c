//! The short words of a step for lists and bars: the deed in at most eighteen letters; the whole title stands beside.

use crate::domain::StepDeed;

/// Letters that a short deed has at most.
pub const MOST: usize = 18;

/// Where a title begins with when or where: what is done comes after it.
const LEADS: [&str; 5] = ["On the ground:", "From the ground:", "Warm season:", "It stays:", "After dark:"];
/// Words that a deed can do without.
const ARTICLES: [&str; 6] = ["the", "its", "a", "an", "every", "each"];
/// Words before which a deed can end.
const JOINTS: [&str; 21] = [
    "and", "or", "to", "from", "with", "in", "on", "over", "of", "at", "for", "by", "before", "after",
    "when", "until", "that", "where", "into", "under", "forecast",
];

/// "Ask for buried-line marks": a deed that stands alone, without a prop beside it, by the first clause of its title.
pub fn lone_deed(title: &str) -> String {
    capital(first_clause(title))
}

/// A look of the night's round: what it goes over besides the night's own.
pub fn round_deed(deed: StepDeed, title: &str) -> String {
    match title.split_once(": ") {
        Some(("Tonight", looks)) => {
            let patch = looks.contains("patch of ") || looks.contains("still off ");
            let more = [
                (patch, "patch"),
                (looks.contains("; this week: "), "weekly"),
                (looks.contains("; after snow "), "ice"),
            ];
            let more: Vec<&str> = more.into_iter().filter(|(is, _)| *is).map(|(_, word)| word).collect();
            match more.as_slice() {
                [] => "Look round".to_owned(),
                [one] => format!("Look round, {one}"),
                [one, other] => format!("Look, {one}+{other}"),
                _ => "Look round, all".to_owned(),
            }
        }
        Some(("This week", _)) => "Weekly look".to_owned(),
        Some((when @ "After snow or ice", _)) => when.to_owned(),
        _ => short_deed(deed, title),
    }
}

fn first_clause(title: &str) -> &str {
    let title = LEADS.iter().find_map(|l| title.strip_prefix(l)).unwrap_or(title).trim();
    let first = title.split([':', ';', ',', '(']).next().unwrap_or_default().trim();
    if first.chars().count() < 3 { title } else { first }
}

/// "Bench test", "Drive the stakes", "Pack away": what is done, from the deed and the title of its recipe.
pub fn short_deed(deed: StepDeed, title: &str) -> String {
    match deed {
        StepDeed::Disconnect => return "Unplug".to_owned(),
        StepDeed::Pack => return "Pack away".to_owned(),
        StepDeed::Dry => return "Lay out to dry".to_owned(),
        StepDeed::GroundLight => return "Light on ground".to_owned(),
        _ => {}
    }
    let clause = first_clause(title);
    if clause.chars().count() <= MOST {
        return capital(clause);
    }
    if deed == StepDeed::Power {
        return "Plug in".to_owned();
    }
    let is = |list: &[&str], word: &str| list.contains(&word.to_lowercase().as_str());
    let words: Vec<&str> = clause.split_whitespace().filter(|w| !is(&ARTICLES, w)).collect();
    let long =
        |n: usize| words.iter().take(n).map(|w| w.chars().count() + 1).sum::<usize>().saturating_sub(1);
    let joint = |n: usize| words.get(n).is_some_and(|w| is(&JOINTS, w));
    let most = (1..=words.len()).rev().find(|n| long(*n) <= MOST).unwrap_or(1);
    let ends = |n: &usize| joint(*n) && !joint(n - 1) && (*n > 1 || long(1) > 3);
    let whole = most == words.len();
    let mut n = if whole { most } else { (1..=most).rev().find(ends).unwrap_or(most) };
    while n > 1 && joint(n - 1) {
        n -= 1;
    }
    let text = words.get(..n).unwrap_or_default().join(" ");
    capital(&text.chars().take(MOST).collect::<String>())
}

fn capital(text: &str) -> String {
    let mut letters = text.trim_end_matches([',', ':', ';', ' ']).chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_deed_says_what_is_done() {
        let cases = [
            (StepDeed::BenchTest, "Bench test: all colours, every pixel, 20 minutes on", "Bench test"),
            (StepDeed::Drive, "Drive the stakes; cap and flag the tops", "Drive the stakes"),
            (StepDeed::Set, "Sleeve the prop over its stakes", "Sleeve prop"),
            (StepDeed::Care, "It stays: cap and seal the leads, look it over", "Cap and seal leads"),
            (StepDeed::Test, "On, light-test the group with its own pattern, off again", "On, light-test"),
            (StepDeed::Power, "Press the outlet's test button, plug the outdoor cord in", "Plug in"),
            (StepDeed::Power, "Lights on", "Lights on"),
            (StepDeed::Other, "", ""),
            (StepDeed::Other, "Übergrößenträgerbefestigungsschraube", "Übergrößenträgerbe"),
        ];
        assert_eq!(lone_deed("Ask for buried-line marks: path, hedge"), "Ask for buried-line marks");
        for (deed, title, short) in cases {
            assert_eq!(short_deed(deed, title), short);
        }
    }
}
