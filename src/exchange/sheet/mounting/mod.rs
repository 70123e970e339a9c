//! How a thing is mounted, understood from the words people use: "zip-tied to the fence" is tied on.
//!
//! The heaviest cue decides, and is read back; where two ways weigh the same, or nothing is told, three are offered.
//! A word never becomes a deed that drills, bonds or pierces unless it says so, and "no screws" takes such ways out.
//!
//! Not here: recipes (rows of `method.csv` and `recipe_step.csv`), files.

mod cues;
mod groups;
mod words;

use cues::cues;
use groups::{BOND_WORDS, BONDS, DOUBTFUL, DRILLS, GROUPS, HOLE_WORDS, LINES, NOT_ON_A_ROOF};
use words::{Word, is_filling, one_off, words};

/// A method that a yard knows: its code, its name, and the words people say for it, parted by `;`.
#[derive(Debug, Clone, Copy)]
pub struct Way<'a> {
    pub code: &'a str,
    pub name: &'a str,
    pub also: &'a str,
}

/// What a phrase was taken for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reading<'a> {
    /// The method's code, and the words of the phrase that decided.
    Understood { code: &'a str, because: String },
    /// Not certain: the three that come nearest, and why it may not be at all.
    Unsure { nearest: Vec<&'a str>, never: Option<&'static str> },
}

/// A cue that a phrase has.
struct Found<'a> {
    weight: u32,
    cue: &'static str,
    code: &'a str,
    /// The words of the phrase that tell it.
    because: String,
    /// Whether one of them is read for another that it differs from by a letter.
    mended: bool,
}

/// What is offered where nothing is near.
const USUAL: &[&str] = &["tie", "clip", "stake", "hang_from", "laid", "set_out"];
/// Shipped methods that no cue tells, only their own words.
const PLAIN: &[&str] = &["set_out", "desk", "box", "cable_run", "sound", "radio", "network", "hang_plain"];
/// A cue lighter than this is where a thing is, not how it is held: words of a method's row go before it.
const HOW: u32 = 46;
/// A word this short is not mended.
const LEAST_MENDED: usize = 5;

/// Takes a phrase for one of `ways`; `place` is where the thing goes, as far as it is told.
pub fn understand<'a>(phrase: &str, place: &str, ways: &[Way<'a>]) -> Reading<'a> {
    let plain = flat(phrase);
    // A full name, or a code that is no word, is meant as it stands; and an owner's own words for an own method.
    let own = |w: &&Way<'_>| !PLAIN.contains(&w.code) && !cues().any(|(code, ..)| code == w.code);
    let exact =
        ways.iter().find(|w| flat(w.name) == plain || (w.code.contains('_') && w.code == phrase.trim()));
    let mine = || ways.iter().filter(own).find(|w| says(w, &plain));
    if let Some(way) = exact.or_else(mine) {
        return Reading::Understood { code: way.code, because: phrase.trim().to_owned() };
    }
    let mut told = words(phrase, &is_known, &holds);
    mend(&mut told);
    let there = words(place, &is_known, &holds);
    let never = LINES.iter().any(|line| cue_of(line, &told, &there).is_some());
    if never {
        let why = "nothing is fixed to or near a power or telephone line or its pole";
        return Reading::Unsure { nearest: nearest(&told, &there, &plain, ways, &[]), never: Some(why) };
    }
    let out = denied(&told);
    let mut found: Vec<Found<'a>> = Vec::new();
    for (code, cue, weight) in cues() {
        let Some(way) = ways.iter().find(|w| w.code == code).filter(|_| !out.contains(&code)) else {
            continue;
        };
        if let Some(used) = cue_of(cue, &told, &there) {
            let mended = used.iter().any(|at| told.get(*at).is_some_and(|w| w.mended));
            found.push(Found { weight, cue, code: way.code, because: surface(phrase, &told, &used), mended });
        }
    }
    found.sort_by_key(|f| std::cmp::Reverse(f.weight));
    let unsure = |first: &[&'a str]| Reading::Unsure {
        nearest: nearest(&told, &there, &plain, ways, first),
        never: None,
    };
    // The words that the method's own row tells. Where words tell the place they go before them with what is only set
    // in place, makes holes or sticks.
    let how = found.first().is_some_and(|f| f.weight >= HOW);
    let plainly = |code: &str| code != "set_out" && !pierces(code);
    let also =
        |w: &&Way<'_>| !out.contains(&w.code) && (found.is_empty() || plainly(w.code)) && says(w, &plain);
    if let Some(way) = ways.iter().find(also).filter(|_| !how) {
        return Reading::Understood { code: way.code, because: phrase.trim().to_owned() };
    }
    let Some(Found { weight, cue, code, because, mended }) = found.first() else { return unsure(&[]) };
    let rival = found.iter().find(|f| f.weight == *weight && f.code != *code);
    let on_roof = cue_of("ROOF", &told, &[]).is_some() && NOT_ON_A_ROOF.contains(code);
    // "Hook" alone makes holes; with a word beside it that is not known, it may be a hook of another kind.
    let bare = DOUBTFUL.contains(cue);
    // Where only the place is understood, a word that is not may say how.
    let strange = (bare || *weight < HOW) && told.iter().any(|w| !is_known(&w.stem) && !is_filling(&w.stem));
    // A word that is not spelt so makes no holes and sticks nothing.
    if *mended && pierces(code) {
        return unsure(&[code]);
    }
    if let Some(rival) = rival {
        return unsure(&[code, rival.code]);
    }
    if on_roof {
        return unsure(&["roof_strap", "clip", "bracket"]);
    }
    if strange {
        return unsure(if bare { &["hook", "adhesive_hook", "hang_from"] } else { &[] });
    }
    Reading::Understood { code, because: because.clone() }
}

/// Whether a text says how a thing is held, and not only where: for knowing a column by what it holds.
pub fn says_how(text: &str, ways: &[Way<'_>]) -> bool {
    let told = words(text, &is_known, &holds);
    let heavy = cues().filter(|(code, _, weight)| *weight >= HOW && ways.iter().any(|w| w.code == *code));
    heavy.into_iter().any(|(_, cue, _)| cue_of(cue, &told, &[]).is_some())
        || ways.iter().any(|w| flat(w.name) == flat(text))
}

/// Whether a way makes holes or sticks.
pub(super) fn pierces(code: &str) -> bool {
    DRILLS.contains(&code) || BONDS.contains(&code)
}

/// Whether a stem means anything here.
fn is_known(stem: &str) -> bool {
    cues().any(|(_, cue, _)| cue.split(' ').any(|s| s == stem))
        || GROUPS.iter().any(|(_, members)| members.split_whitespace().any(|s| s == stem))
        || HOLE_WORDS.iter().chain(BOND_WORDS).any(|w| *w == stem)
        || LINES.iter().any(|line| line.split(' ').any(|s| s == stem))
}

/// Whether a word makes holes or sticks.
fn holds(stem: &str) -> bool {
    HOLE_WORDS.contains(&stem) || BOND_WORDS.contains(&stem)
}

/// Puts right what is one letter off a single known word.
fn mend(told: &mut [Word]) {
    for word in told.iter_mut().filter(|w| w.stem.chars().count() >= LEAST_MENDED && !is_known(&w.stem)) {
        let all = cues().flat_map(|(_, cue, _)| cue.split(' '));
        let mut near = all.filter(|s| s.chars().count() >= LEAST_MENDED && one_off(s, &word.stem));
        if let Some(first) = near.next()
            && near.all(|other| other == first)
        {
            first.clone_into(&mut word.stem);
            word.mended = true;
        }
    }
}

/// The words that make up a cue, each once; nothing where one is missing or denied.
fn cue_of(cue: &str, told: &[Word], there: &[Word]) -> Option<Vec<usize>> {
    let mut used: Vec<usize> = Vec::new();
    for part in cue.split(' ') {
        let group = GROUPS.iter().find(|(name, _)| *name == part).map(|(_, members)| *members);
        let fits = |w: &Word| match group {
            Some(members) => members.split_whitespace().any(|m| m == w.stem),
            None => w.stem == part,
        };
        let here = told.iter().enumerate().find(|(at, w)| !w.denied && !used.contains(at) && fits(w));
        match here {
            Some((at, _)) => used.push(at),
            None if group.is_some() && part != "GLASS" && there.iter().any(fits) => {}
            None => return None,
        }
    }
    (!used.is_empty()).then_some(used)
}

/// The words as they stand in the phrase.
fn surface(phrase: &str, told: &[Word], used: &[usize]) -> String {
    let mut spans: Vec<(usize, usize)> =
        used.iter().filter_map(|at| told.get(*at)).map(|w| (w.from, w.to)).collect();
    spans.sort_unstable();
    spans.dedup();
    let mut out = String::new();
    let mut end = None;
    for (from, to) in spans {
        let between = end.and_then(|end: usize| phrase.get(end..from));
        match between {
            Some(text) if text.chars().count() <= 1 => out.push_str(text),
            Some(_) => out.push_str(" … "),
            None => {}
        }
        out.push_str(phrase.get(from..to).unwrap_or_default());
        end = Some(to);
    }
    out
}

/// The ways that denied words take out: those they name, and all that drill or stick.
fn denied(told: &[Word]) -> Vec<&'static str> {
    let no: Vec<Word> =
        told.iter().filter(|w| w.denied).map(|w| Word { denied: false, ..w.clone() }).collect();
    let mut out: Vec<&str> =
        cues().filter(|(_, cue, w)| *w >= 60 && cue_of(cue, &no, &[]).is_some()).map(|c| c.0).collect();
    if no.iter().any(|w| HOLE_WORDS.contains(&w.stem.as_str())) {
        out.extend(DRILLS);
    }
    if no.iter().any(|w| BOND_WORDS.contains(&w.stem.as_str())) {
        out.extend(BONDS);
    }
    out
}

/// Lower case, words parted by single blanks.
fn flat(text: &str) -> String {
    let parts: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    parts.join(" ").to_lowercase()
}

fn says(way: &Way<'_>, plain: &str) -> bool {
    !plain.is_empty() && (flat(way.code) == *plain || way.also.split(';').any(|also| flat(also) == *plain))
}

/// The three ways that come nearest, those of `first` before all.
fn nearest<'a>(told: &[Word], there: &[Word], plain: &str, ways: &[Way<'a>], first: &[&str]) -> Vec<&'a str> {
    let score = |way: &Way<'a>| -> u32 {
        let mine = cues().filter(|(code, ..)| *code == way.code);
        let part = mine.map(|(_, cue, weight)| {
            let parts = cue.split(' ').count() as u32;
            let there = cue.split(' ').filter(|p| cue_of(p, told, there).is_some()).count() as u32;
            weight * there / parts.max(1)
        });
        let alike =
            way.also.split(';').chain([way.name]).map(|t| likeness(&flat(t), plain)).max().unwrap_or(0);
        part.max().unwrap_or(0).max(alike)
    };
    let rank = |code: &str| first.iter().position(|f| *f == code).unwrap_or(first.len());
    let usual = |code: &str| USUAL.iter().position(|u| *u == code).unwrap_or(USUAL.len());
    let mut all: Vec<_> =
        ways.iter().map(|w| (rank(w.code), u32::MAX - score(w), usual(w.code), w.code)).collect();
    all.sort_unstable();
    all.into_iter().take(3).map(|w| w.3).collect()
}

/// How many pairs of letters two texts share, 0 to 60 (Dice's coefficient).
fn likeness(a: &str, b: &str) -> u32 {
    let pairs = |t: &str| -> Vec<(char, char)> { t.chars().zip(t.chars().skip(1)).collect() };
    let (a, mut b) = (pairs(a), pairs(b));
    let all = (a.len() + b.len()) as u32;
    let mut shared = 0_u32;
    for pair in a {
        if let Some(at) = b.iter().position(|p| *p == pair) {
            b.swap_remove(at);
            shared += 1;
        }
    }
    (120 * shared).checked_div(all).unwrap_or(0)
}
