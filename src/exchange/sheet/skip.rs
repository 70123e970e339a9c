//! Lines of a list that are no props: totals, headings, titles told again.

use super::columns::Columns;
use super::number;
use super::titles::Role;
use crate::exchange::csv::grid::Line;

/// Words of a line of sums.
const TOTAL: &[&str] = &["total", "totals", "subtotal", "subtotals", "sum", "sums"];
const BESIDE: &[&str] = &[
    "grand", "sub", "of", "all", "props", "items", "lights", "count", "qty", "quantity", "pieces", "the",
    "number", "in", "overall",
];

fn is_total(text: &str) -> bool {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    words.iter().any(|w| TOTAL.contains(w)) && words.iter().all(|w| TOTAL.contains(w) || BESIDE.contains(w))
}

/// The lines that are props, and in words why each other is none.
pub(super) fn props<'a>(
    lines: &'a [Line],
    titles: &[String],
    columns: &Columns,
) -> (Vec<&'a Line>, Vec<String>) {
    let mut props = Vec::new();
    let mut said = Vec::new();
    let name = |l: &Line| columns.cell(l, Role::Name).to_owned();
    let others = |l: &Line| {
        let at = columns.at(Role::Name);
        l.cells.iter().enumerate().filter(|(i, c)| Some(*i) != at && !c.is_empty()).count()
    };
    let shouts = |t: &str| t.chars().filter(|c| c.is_alphabetic()).count() > 2 && t.to_uppercase() == t;
    let shouted = lines.iter().filter(|l| shouts(&name(l))).count();
    // The name of a part of the yard over its props may stand in a column of its own.
    let part_of_yard = |l: &Line, told: &str| {
        told.is_empty() && others(l) == 1 && l.cells.iter().any(|c| c.chars().any(char::is_alphabetic))
    };
    let mut sum = 0_i64;
    for line in lines {
        let told = name(line);
        let first = line.cells.iter().find(|c| !c.is_empty()).map_or("", String::as_str);
        let count = columns.cell(line, Role::Count);
        let bare_sum = told.is_empty()
            && others(line) <= 1
            && (number::how_many(count) == Ok(sum) || count.starts_with('='));
        let skip = if is_total(if told.is_empty() { first } else { &told }) || bare_sum {
            Some("is a total")
        } else if !titles.is_empty() && line.cells.iter().zip(titles).all(|(c, t)| c == t) {
            Some("tells the titles again")
        } else if part_of_yard(line, &told)
            || (others(line) == 0 && (told.ends_with(':') || (shouts(&told) && 2 * shouted < lines.len())))
        {
            Some("is a heading")
        } else {
            None
        };
        if let Some(why) = skip {
            let shown = if told.is_empty() { first } else { &told };
            said.push(format!("line {} {shown:?} {why}: no prop", line.number));
        } else {
            sum += number::how_many(count).unwrap_or(i64::from(number::is_untold(count)));
            props.push(line);
        }
    }
    (props, said)
}
