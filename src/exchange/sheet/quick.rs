//! One prop told in a line, as it comes to mind: "8 boat cut-outs, 50 pixels, 5 V, path left, zip-tied".
//!
//! Parts stand between commas, in any order after the name; each is known by what it says. The short form of files
//! (name, how many, where, how mounted) is read as before.

use super::known::plain;
use super::mounting::{Reading, Way, pierces, says_how, understand};
use super::number;
use crate::domain::{Method, Place};
use crate::exchange::csv::grid;
use crate::units::{Current, Length, Mass, Power, System, Voltage};

/// What a line tells; texts are read further as cells of a list.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Quick {
    pub name: String,
    pub count: Option<i64>,
    pub place: Option<String>,
    pub how: Option<String>,
    pub length: Option<String>,
    pub worth: Option<String>,
    pub permanent: bool,
    /// What it is as a thing: columns of `product`, as typed.
    pub product: Vec<(String, String)>,
    /// What was not made out, kept.
    pub note: Vec<String>,
}

/// The parts of a line: between commas outside quotes.
pub(super) fn parts(line: &str) -> Vec<String> {
    let tidy = |cell: &str| cell.split_whitespace().collect::<Vec<_>>().join(" ");
    match grid::lines(line, ',', grid::OF_A_LIST, tidy) {
        Ok(lines) => lines.into_iter().next().map(|l| l.cells).unwrap_or_default(),
        // A quote by itself is a mark of inches.
        Err(_) => line.split(',').map(tidy).collect(),
    }
}

/// A number that stands before or after a name: "8 stars", "8x stars", "stars x8", "a dozen stars".
pub(super) fn counted(text: &str) -> (String, Option<i64>) {
    let words: Vec<&str> = text.split(' ').collect();
    let read = |t: &str| number::how_many(t).ok();
    // A measure belongs to the name: "2 m star", "12 V strip".
    let measures = |w: Option<&&str>| {
        w.is_some_and(|w| {
            Length::parse(&format!("1 {w}"), System::Si).is_ok()
                || matches!(w.to_lowercase().as_str(), "v" | "w" | "in" | "watt" | "volt")
        })
    };
    for first in (1..=2.min(words.len().saturating_sub(1))).rev() {
        let (front, rest) = words.split_at(first);
        // "A star" is one, without saying how many.
        let told = front.join(" ");
        if let Some(n) = read(&told)
            .filter(|_| !matches!(told.to_lowercase().as_str(), "a" | "no") && !measures(rest.first()))
        {
            let rest: Vec<&str> = rest
                .iter()
                .copied()
                .skip_while(|w| matches!(w.to_lowercase().as_str(), "x" | "×" | "of"))
                .collect();
            return (rest.join(" "), Some(n));
        }
    }
    if let Some((last, rest)) = words
        .split_last()
        .filter(|(l, rest)| !rest.is_empty() && l.to_lowercase().starts_with(['x', '×', '(']))
        && let Some(n) = read(last)
    {
        return (rest.join(" "), Some(n));
    }
    (text.to_owned(), None)
}

/// A column of the product that a part tells.
fn product(part: &str) -> Option<(&'static str, String)> {
    let lower = part.to_lowercase();
    let bare =
        lower.trim_end_matches("each").trim_end_matches("per pixel").trim_end_matches("a pixel").trim();
    if let Some((n, word)) =
        bare.split_once(' ').or_else(|| bare.find(|c: char| !c.is_ascii_digit()).map(|at| bare.split_at(at)))
        && let Ok(pixels) = number::how_many(n)
        && matches!(word.trim(), "pixels" | "pixel" | "px" | "nodes" | "leds" | "bulbs" | "lights" | "lamps")
    {
        return Some(("pixels", pixels.to_string()));
    }
    let has_unit = bare.chars().any(char::is_alphabetic);
    let volts = bare.trim_end_matches("dc").trim().trim_end_matches("olts").trim_end_matches("olt");
    let watts = bare.trim_end_matches("atts").trim_end_matches("att");
    if has_unit && Voltage::parse(volts, System::Si).is_ok() {
        return Some(("volts_mv", volts.to_owned()));
    }
    if has_unit && Power::parse(watts, System::Si).is_ok() {
        return Some(("load_mw", watts.to_owned()));
    }
    if has_unit && Current::parse(bare, System::Si).is_ok() {
        return Some(("pixel_ma", bare.to_owned()));
    }
    if has_unit && Mass::parse(bare, System::Si).is_ok() {
        return Some(("mass_g", bare.to_owned()));
    }
    if bare.starts_with("ip")
        && bare.len() == 4
        && bare.get(2..).is_some_and(|d| d.chars().all(|c| c.is_ascii_digit()))
    {
        return Some(("ip_class", bare.to_uppercase()));
    }
    // Names of driver chips: letters, three or four figures, a letter or none.
    let letters = bare.chars().take_while(char::is_ascii_alphabetic).count();
    let figures = bare.chars().skip(letters).take_while(char::is_ascii_digit).count();
    let rest = bare.len().saturating_sub(letters + figures);
    ((2..=3).contains(&letters) && (3..=4).contains(&figures) && rest <= 1)
        .then(|| ("chip", bare.to_uppercase()))
}

/// Reads a line; `places` and `methods` are those the yard knows.
pub fn quick(line: &str, places: &[Place], methods: &[Method]) -> Quick {
    let ways: Vec<Way<'_>> =
        methods.iter().map(|m| Way { code: &m.code, name: &m.name, also: &m.also }).collect();
    quick_of(parts(line), places, &ways)
}

/// Reads the parts of a line.
pub(super) fn quick_of(parts: Vec<String>, places: &[Place], ways: &[Way<'_>]) -> Quick {
    let known =
        |text: &str| places.iter().any(|p| plain(&p.name) == plain(text) || plain(&p.code) == plain(text));
    let mut parts = parts.into_iter();
    let (name, count) = counted(&parts.next().unwrap_or_default());
    let mut told = Quick { name, count, ..Quick::default() };
    let mut open: Vec<String> = Vec::new();
    for (at, part) in parts.enumerate() {
        let lower = part.to_lowercase();
        let measured = part.trim_end_matches("long").trim_end_matches("tall").trim_end_matches("high").trim();
        let unit = measured.chars().any(|c| c.is_alphabetic() || matches!(c, '"' | '\'' | '″' | '′'));
        if at == 0 && told.count.is_none() && number::how_many(&part).is_ok() {
            told.count = number::how_many(&part).ok();
        } else if at == 0 && (part.is_empty() || number::is_untold(&part)) {
            // The short form with how many left open.
        } else if let Some((column, text)) = product(&part) {
            told.product.push((column.to_owned(), text));
        } else if unit && Length::parse(measured, System::Si).is_ok() {
            told.length = Some(measured.to_owned());
        } else if let Some(worth) = lower.strip_prefix("worth ") {
            told.worth = Some(worth.to_owned());
        } else if matches!(lower.as_str(), "all year" | "permanent" | "year round" | "stays up") {
            told.permanent = true;
        } else {
            open.push(part);
        }
    }
    // What is left says where and how; in that order, where its words do not say which.
    for part in open.clone() {
        if told.place.is_none() && known(&part) {
            told.place = Some(part.clone());
            open.retain(|p| *p != part);
        } else if told.how.is_none() && !known(&part) && says_how(&part, ways) && !part.is_empty() {
            told.how = Some(part.clone());
            open.retain(|p| *p != part);
        }
    }
    if open.is_empty()
        && let Some((name, how, place)) = sentence(&told.name, ways)
    {
        told.name = name;
        told.how.get_or_insert(how);
        told.place = told.place.or(place);
    }
    for part in open {
        if told.place.is_none() {
            told.place = Some(part);
        } else if told.how.is_none() {
            told.how = Some(part);
        } else if !part.is_empty() {
            told.note.push(part);
        }
    }
    told
}

/// Where a sentence goes on to say where a thing is.
const WHERE: &str = "on onto in into under over along from at by around round to off across through between";
/// What stands before a place without being of it.
const LEADING: &str = "a an the my our each every both";

/// "candy canes poked in the dirt along the walk": the name, how it is mounted, and where, if the words are understood.
fn sentence(text: &str, ways: &[Way<'_>]) -> Option<(String, String, Option<String>)> {
    let is = |list: &str, word: &str| list.split(' ').any(|w| w == word.to_lowercase());
    let words: Vec<&str> = text.split(' ').collect();
    let mut from = words.iter().position(|w| is(WHERE, w)).filter(|at| *at > 0)?;
    // What is done to it, before where: "zip tied to", "thrown over".
    let deed = |w: &str| {
        w.ends_with("ed") || w.ends_with("ing") || is("hung thrown stuck wound bound slung laid", w)
    };
    let done = from > 1 && words.get(from - 1).is_some_and(|w| deed(w));
    if done {
        from -= 1;
        let with = from > 1 && words.get(from - 1).is_some_and(|w| is("zip cable twist wire hot duct", w));
        from -= usize::from(with);
    }
    let (name, rest) = words.split_at(from);
    let how = rest.join(" ");
    let Reading::Understood { code, .. } = understand(&how, "", ways) else { return None };
    // What makes holes or sticks is never only heard out of a name.
    if !says_how(&how, ways) || (pierces(code) && !done) {
        return None;
    }
    // The last that only says where.
    let mut place = None;
    for phrase in rest.split(|w| is(WHERE, w)).skip(usize::from(done)) {
        let phrase: Vec<&str> = phrase
            .iter()
            .copied()
            .skip_while(|w| is(LEADING, w) || w.chars().all(|c| c.is_ascii_digit()))
            .take_while(|w| !deed(w) && !is("with w/ using", w))
            .collect();
        let phrase = phrase.join(" ");
        if !phrase.is_empty() && !says_how(&phrase, ways) {
            place = Some(phrase);
        }
    }
    Some((name.join(" "), how, place))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(line: &str) -> Quick {
        quick(line, &[], &[])
    }

    #[test]
    fn a_number_before_or_after_the_name_is_how_many() {
        for (line, name, count) in [
            ("8 boat cut-outs", "boat cut-outs", Some(8)),
            ("8x boat cut-outs", "boat cut-outs", Some(8)),
            ("8 x boats", "boats", Some(8)),
            ("boats x8", "boats", Some(8)),
            ("boats (8)", "boats", Some(8)),
            ("a dozen stars", "stars", Some(12)),
            ("twelve stars", "stars", Some(12)),
            ("a pair of reindeer", "reindeer", Some(2)),
            ("a star", "a star", None),
            ("2 m star", "2 m star", None),
            ("12 V strip", "12 V strip", None),
            ("Bridge arches, 6", "Bridge arches", Some(6)),
            ("4th of July sign", "4th of July sign", None),
            ("7", "7", None),
        ] {
            let told = of(line);
            assert_eq!((told.name.as_str(), told.count), (name, count), "{line}");
        }
    }

    #[test]
    fn a_sentence_says_what_how_and_where() {
        let rows = [
            ("stake", "Ground stake"),
            ("tie", "Tied on"),
            ("clip", "Clipped on"),
            ("laid", "Laid or stood"),
            ("throw", "Thrown over"),
            ("drape", "Net or drape over a shrub"),
            ("hang_from", "Hung from a branch"),
            ("hook", "Hang from hooks"),
            ("bracket", "Screwed or bracketed"),
            ("glue", "Glued on"),
        ];
        let ways = rows.map(|(code, name)| Way { code, name, also: "" });
        for (line, name, how, place) in [
            (
                "5 candy canes poked in the dirt along the sidewalk",
                "candy canes",
                Some("poked in the dirt along the sidewalk"),
                Some("sidewalk"),
            ),
            (
                "string lights on the gutter with those plastic clips, 40 ft",
                "string lights",
                Some("on the gutter with those plastic clips"),
                Some("gutter"),
            ),
            (
                "lit balls dangling from the maple",
                "lit balls",
                Some("dangling from the maple"),
                Some("maple"),
            ),
            (
                "garland zip tied to the porch rail",
                "garland",
                Some("zip tied to the porch rail"),
                Some("porch rail"),
            ),
            (
                "net lights thrown over the 3 bushes",
                "net lights",
                Some("thrown over the 3 bushes"),
                Some("bushes"),
            ),
            (
                "2 light up reindeer standing on the lawn",
                "light up reindeer",
                Some("standing on the lawn"),
                Some("lawn"),
            ),
            ("sign screwed to the fence", "sign", Some("screwed to the fence"), Some("fence")),
            // A name that goes on is a name, and no hole is heard out of it.
            ("Elf on the shelf", "Elf on the shelf", None, None),
            ("star on the chimney", "star on the chimney", None, None),
            ("bell on a screw", "bell on a screw", None, None),
            ("Santa in a sleigh", "Santa in a sleigh", None, None),
            ("4th of July sign", "4th of July sign", None, None),
        ] {
            let told = quick_of(parts(line), &[], &ways);
            let read = (told.name.as_str(), told.how.as_deref(), told.place.as_deref());
            assert_eq!(read, (name, how, place), "{line}");
        }
    }

    #[test]
    fn parts_are_known_by_what_they_say() {
        let told = of(
            "8 boat cut-outs, 50 pixels each, 5 V, ws2811, 55 mA per pixel, IP67, 2.3 m long, worth 4, path left, all year",
        );
        let product: Vec<&str> = told.product.iter().map(|p| p.0.as_str()).collect();
        assert_eq!(product, ["pixels", "volts_mv", "chip", "pixel_ma", "ip_class"]);
        assert_eq!(
            (told.length.as_deref(), told.worth.as_deref(), told.permanent),
            (Some("2.3 m"), Some("4"), true)
        );
        assert_eq!(told.place.as_deref(), Some("path left"));
        let told = of("Boats, 6, drive edge, timber base");
        assert_eq!((told.place.as_deref(), told.how.as_deref()), (Some("drive edge"), Some("timber base")));
        let told = of("\"Star, big\",,porch");
        assert_eq!(
            (told.name.as_str(), told.count, told.place.as_deref()),
            ("Star, big", None, Some("porch"))
        );
    }
}
