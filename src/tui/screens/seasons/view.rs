//! Seasons drawn: years, planned against taken, what the record says.

use ratatui::layout::Rect;

use super::state::Part;
use crate::answers::view::{DateConflict, RecordBar, SeasonRow, Seasons};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::next;
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{counted, minutes, wrap};
use crate::tui::widgets::{Canvas, panes};
use crate::units::Money;

/// Draws Seasons.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.seasons.page else { return };
    panes::tabs(canvas, area, 0, Part::ALL.map(|(part, name)| (name, None, part == state.seasons.part)));
    canvas.next(area, 1, &next(page).unwrap_or_else(|| next::of_all(state)));
    let body = panes::below(area, 2);
    match state.seasons.part {
        Part::Years => years(state, page, canvas, body),
        Part::Dates => dates(state, page, canvas, body),
        Part::Durations => durations(state, page, canvas, body),
        Part::Rates => rates(state, page, canvas, body),
        Part::Record => record(state, page, canvas, body),
    }
}

/// What the year asks for: the close of a show that is over, the round of one that is lit, the next one to open.
fn next(page: &Seasons) -> Option<String> {
    let of = |state: &str| page.rows.iter().find(|r| r.state == state);
    if let Some(row) = of("to close") {
        // What is open, without the command that ends it.
        return Some(match row.open.first().map(|open| open.split(": ").next().unwrap_or(open)) {
            Some(open) if open.contains("takedown") => format!("2 Walk: {open}, {}", row.name),
            Some(open) => format!("c: close {}; still open: {open}", row.name),
            None => format!("c: close {}, which is over", row.name),
        });
    }
    if let Some(row) = of("lit") {
        return Some(format!("2 Walk: the round of {}, which is lit", row.name));
    }
    let ahead = page.dates.rows.iter().find(|r| !r.past);
    match (ahead, of("planned")) {
        (Some(date), _) => Some(format!("{}: {}, {}", date.on(), date.title, date.show)),
        (None, Some(row)) => Some(format!("e: the dates of {}", row.name)),
        (None, None) if page.rows.is_empty() => None,
        (None, None) => Some("n: open the next season".to_owned()),
    }
}

fn years(state: &State, page: &Seasons, canvas: &mut Canvas, area: Rect) {
    if page.rows.is_empty() {
        canvas.wrapped(
            area,
            0,
            "No season yet. n opens one: a code, a name, the date of lights on.",
            Role::Strong,
        );
        return;
    }
    let wide = area.width >= panes::WIDE;
    let most = page.rows.iter().map(|r| r.faults).max().unwrap_or(0);
    let rows: Vec<Line> =
        page.rows.iter().enumerate().map(|(at, r)| Line::Row(at, cells(r, wide, most))).collect();
    let heads = [
        "Season",
        "State",
        if wide { "Lit" } else { "" },
        "Props",
        // Steps whose time somebody took: not all that were done.
        "Timed",
        "Planned",
        "Taken",
        "Faults",
        "",
    ];
    let lower = panes::list(canvas, area, (&heads, &rows, Some(state.seasons.at)), 8);
    if let Some(row) = page.rows.get(state.seasons.at) {
        one_season(row, page, canvas, lower);
    }
}

/// All about the marked season, with its hours and faults beside those of the others.
fn one_season(row: &SeasonRow, page: &Seasons, canvas: &mut Canvas, area: Rect) {
    let mut at = canvas.headed(area, 0, &row.name);
    let hours = row.hours.as_ref().map_or_else(String::new, |h| format!(", {h}"));
    at += canvas.labelled(area, at, "lit", &format!("{}{hours}", row.lit));
    if row.taken_min > 0 && row.planned_min > 0 {
        let timed = counted(row.steps_done, "timed step", "timed steps");
        let text = format!("{timed} took {}; planned {}", minutes(row.taken_min), minutes(row.planned_min));
        at += canvas.labelled(area, at, "time", &text);
    }
    at += years_of_show(row, page, canvas, panes::below(area, at));
    for text in &row.differences {
        at += canvas.labelled(area, at, "undecided", text);
    }
    if row.code != row.name {
        canvas.labelled(area, at, "code", &row.code);
    }
}

/// Faults, hours and money of the years of one show, each against the most of them; gives the rows used.
fn years_of_show(row: &SeasonRow, page: &Seasons, canvas: &mut Canvas, area: Rect) -> usize {
    // A code is the name of the show with the year.
    let show = |code: &str| code.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
    let same = |r: &&SeasonRow| r.steps_done > 0 && show(&r.code) == show(&row.code);
    let years: Vec<&SeasonRow> = page.rows.iter().filter(same).collect();
    let room = usize::from(area.height).saturating_sub(1 + row.differences.len());
    if years.len() < 2 || room == 0 {
        return 0;
    }
    let faults = |r: &SeasonRow| i64::try_from(r.faults).unwrap_or(i64::MAX);
    let money = |r: &SeasonRow| r.spent.map_or(0, Money::cents);
    let most = |of: &dyn Fn(&SeasonRow) -> i64| years.iter().map(|r| of(r)).max().unwrap_or(0);
    let tops = (most(&faults), most(&|r| r.taken_min), most(&money));
    let lines: Vec<Line> = years
        .iter()
        .map(|r| {
            let paid = |m: Money| m.show(&r.currency);
            let cells = vec![
                Cell::word(&r.name),
                Cell::word(share_bar(faults(r), tops.0)),
                Cell::Right(r.faults.to_string()),
                Cell::word(share_bar(r.taken_min, tops.1)),
                Cell::Right(minutes(r.taken_min)),
                Cell::word(share_bar(money(r), tops.2)),
                Cell::Right(r.spent.map_or_else(|| "not told".to_owned(), paid)),
            ];
            Line::Row(usize::MAX, cells)
        })
        .collect();
    let heads = ["Over years", "Faults", "", "Time taken", "", "Spent, yard", ""];
    let high = lines.len().min(room) + 1;
    table::draw(canvas, Rect { height: high as u16, ..area }, &heads, &lines, None);
    high
}

/// Ten cells for the largest of a row of values.
fn share_bar(value: i64, most: i64) -> String {
    let cells =
        usize::try_from(value.max(0).saturating_mul(10).saturating_add(most / 2) / most.max(1)).unwrap_or(0);
    let cells = if value > 0 { cells.clamp(1, 10) } else { 0 };
    format!("{}{}", "━".repeat(cells), "─".repeat(10 - cells))
}

fn cells(row: &SeasonRow, wide: bool, most: usize) -> Vec<Cell> {
    let tint = match row.state.as_str() {
        "closed" => Tint::Done,
        // What the year asks for now: the close of a show, or the show that is lit.
        "lit" | "to close" => Tint::Doing,
        _ => Tint::Note,
    };
    let taken = if row.taken_min > 0 { minutes(row.taken_min) } else { "–".to_owned() };
    let many = if row.faults > 0 { (row.faults * 8 / most.max(1)).max(1) } else { 0 };
    vec![
        (&row.name).into(),
        Cell::Chip(tint, row.state.clone()),
        if wide { (&row.lit).into() } else { "".into() },
        Cell::Right(row.placements.to_string()),
        Cell::Right(row.steps_done.to_string()),
        Cell::Right(if row.steps_done > 0 { minutes(row.planned_min) } else { "–".to_owned() }),
        Cell::Right(taken),
        Cell::Right(row.faults.to_string()),
        if wide { "━".repeat(many).into() } else { "".into() },
    ]
}

/// The dates of all coming shows below each other, then what contradicts itself.
fn dates(state: &State, page: &Seasons, canvas: &mut Canvas, area: Rect) {
    if page.dates.rows.is_empty() {
        let text = "No date of a coming show is told yet. e in Seasons tells the dates of the marked one.";
        canvas.wrapped(area, 0, text, Role::Strong);
        return;
    }
    let mut low = 0;
    let measure = |c: &DateConflict| wrap(&conflict(c), usize::from(area.width).saturating_sub(14)).len();
    let most = page.dates.conflicts.iter().map(measure).sum::<usize>().max(1) + page.dates.not_told.len();
    let low_rows = u16::try_from(most).unwrap_or(u16::MAX).min(area.height / 2);
    let list = Rect { height: area.height.saturating_sub(low_rows + 1), ..area };
    let lower = Rect { y: list.y + list.height + 1, height: low_rows, ..area };
    let rows: Vec<Line> = page
        .dates
        .rows
        .iter()
        .enumerate()
        .map(|(at, r)| {
            let past = if r.past { "past" } else { "" };
            Line::Row(at, vec![Cell::word(r.on()), (&r.show).into(), (&r.title).into(), past.into()])
        })
        .collect();
    let heads = ["Day", "Show", "What", ""];
    let rows = table::read_below(&heads, rows, state.seasons.at, list.width);
    table::draw(canvas, list, &heads, &rows, Some(state.seasons.at));
    for c in &page.dates.conflicts {
        low += canvas.labelled(lower, low, "conflict", &conflict(c));
    }
    if page.dates.conflicts.is_empty() {
        canvas.text(lower, 1, 0, "No conflict of dates or pieces found in what is told.", Role::Text);
        low += 1;
    }
    for line in &page.dates.not_told {
        low += canvas.labelled(lower, low, "not told", line);
    }
}

fn conflict(c: &DateConflict) -> String {
    format!("{}: {}", c.what, c.remedy)
}

fn durations(state: &State, page: &Seasons, canvas: &mut Canvas, area: Rect) {
    if page.durations.is_empty() {
        let text = "Nothing was timed yet. Ticks in Walk time the steps by themselves.";
        canvas.wrapped(area, 0, text, Role::Strong);
        return;
    }
    let mut last = "";
    let rows: Vec<Line> = page
        .durations
        .iter()
        .enumerate()
        .flat_map(|(at, (name, planned, taken, times))| {
            let (method, title) = name.split_once(": ").unwrap_or(("", name));
            let head = (method != last).then(|| Line::Group(method.to_owned()));
            last = method;
            let percent = if *planned > 0 {
                format!("{} {:>3} %", of_plan(*planned, *taken), taken.saturating_mul(100) / planned)
            } else {
                "not planned".to_owned()
            };
            let cells = vec![
                title.into(),
                Cell::Right(times.to_string()),
                Cell::Right(minutes(*planned)),
                Cell::Right(minutes(*taken)),
                Cell::Right(percent),
            ];
            head.into_iter().chain([Line::Row(at, cells)])
        })
        .collect();
    let heads = ["Step", "Times", "Planned", "Taken", "Of plan (│)"];
    let rows = table::read_below(&heads, rows, state.seasons.at, area.width);
    table::draw(canvas, area, &heads, &rows, Some(state.seasons.at));
}

fn record(state: &State, page: &Seasons, canvas: &mut Canvas, area: Rect) {
    let room = usize::from(area.width).saturating_sub(4);
    let mut lines: Vec<String> = Vec::new();
    for text in page.findings.iter().skip(state.seasons.at) {
        for (n, part) in wrap(text, room).iter().enumerate() {
            lines.push(format!("{} {part}", if n == 0 { "•" } else { " " }));
        }
    }
    page_of(state, &lines, canvas, area);
}

fn rates(state: &State, page: &Seasons, canvas: &mut Canvas, area: Rect) {
    let mut lines: Vec<String> = Vec::new();
    let mut by = "";
    for b in page.bars.iter().skip(state.seasons.at) {
        if b.by != by {
            by = b.by;
            if !lines.is_empty() {
                lines.push(String::new());
            }
            let head = match by {
                "seasons of use" => {
                    "Without a failure so far, 0 to 100 % (█ share, ▒ 95 % interval)".to_owned()
                }
                "week" => "Faults by week of the season".to_owned(),
                "weather" => "Faults by weather".to_owned(),
                _ => format!(
                    "Failed by {by}: █ share of the things out a season, ▒ interval, │ weighed with the usual"
                ),
            };
            lines.extend(wrap(&head, usize::from(area.width).saturating_sub(1)));
        }
        lines.push(format!("  {:<28.28} {} {}", b.name, bar(b), b.text));
    }
    page_of(state, &lines, canvas, area);
}

/// Lines to read, with how many are out of sight below.
fn page_of(state: &State, lines: &[String], canvas: &mut Canvas, area: Rect) {
    if lines.is_empty() {
        let text = "The record says nothing yet: a season of ticks and faults is needed.";
        canvas.wrapped(area, 0, text, Role::Strong);
        return;
    }
    for (row, line) in lines.iter().take(usize::from(area.height)).enumerate() {
        let role = if line.starts_with([' ', '•']) { Role::Text } else { Role::Strong };
        canvas.text(area, 1, row, line, role);
    }
    table::more(canvas, area, state.seasons.at, lines.len().saturating_sub(usize::from(area.height)));
}

/// Ten cells for nothing to twice the plan, the plan in the middle.
fn of_plan(planned: i64, taken: i64) -> String {
    let cells =
        taken.saturating_mul(5).saturating_add(planned / 2).checked_div(planned).unwrap_or(0).clamp(0, 10);
    (0..10)
        .map(|c| match c {
            c if c < cells => '█',
            5 => '│',
            _ => '░',
        })
        .collect()
}

/// Twenty cells for the whole: the interval, and where the share lies in it.
fn bar(b: &RecordBar) -> String {
    let at = |permille: u16| (permille / 50).min(19);
    (0..20)
        .map(|c| match c {
            c if c == at(b.estimate) => '█',
            c if b.drawn.map(at) == Some(c) => '│',
            c if matches!(b.by, "week" | "weather") && c < at(b.estimate) => '█',
            c if (at(b.lower)..=at(b.upper)).contains(&c) => '▒',
            _ => '░',
        })
        .collect()
}
