//! Buy drawn: needs, baskets by vendor, order-by dates.

use chrono::NaiveDate;
use ratatui::layout::Rect;

use super::state::{BuyState, Part};
use crate::answers::view::{Basket, Buy, NeedRow};
use crate::answers::words::say_date;
use crate::tui::look::{Role, Tint};
use crate::tui::screens::next;
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::counted;
use crate::tui::widgets::{Canvas, panes};

/// Draws Buy.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.buy.page else { return };
    panes::tabs(canvas, area, 0, Part::ALL.map(|(part, name)| (name, None, part == state.buy.part)));
    let proven = if page.proven { "proven least cost" } else { "best found" };
    if !page.baskets.is_empty() {
        canvas.right(area, 0, &format!("{}, {proven}", total(page)), Role::Strong);
    }
    if page.tried.is_none() {
        if state.buy.list.filter.is_empty() || page.needs.is_empty() {
            canvas.next(area, 1, &next(page).unwrap_or_else(|| next::of_all(state)));
        } else {
            let found = format!("{}{}", state.buy.list.narrowed(page.needs.len()), how_many(page));
            canvas.text(area, 0, 1, &found, Role::Strong);
        }
    }
    if let Some(tried) = &page.tried {
        let used = canvas.chip(area, 0, 1, Tint::Note, "what if");
        canvas.text(area, used + 1, 1, tried, Role::Strong);
    }
    let body = panes::below(area, 2);
    if state.buy.part == Part::Needs {
        needs(state, page, canvas, body);
        return;
    }
    let room = usize::from(body.width).saturating_sub(table::ASIDE);
    let (heads, lines) = part(&state.buy, page, room);
    if rows(&lines) == 0 {
        canvas.wrapped(body, 1, nothing(state.buy.part), Role::Strong);
        return;
    }
    table::draw(canvas, body, &heads, &lines, Some(state.buy.top));
}

/// "14 needs, 10 late, 3 not met by any price told".
fn how_many(page: &Buy) -> String {
    let unmet = page.needs.iter().filter(|n| n.vendor.is_none()).count();
    let unmet = if unmet > 0 { format!(", {unmet} not met by any price told") } else { String::new() };
    let late = page.needs.iter().filter(|n| n.late).count();
    let late = if late > 0 { format!(", {late} late") } else { String::new() };
    format!("{}{late}{unmet}", counted(page.needs.len(), "need", "needs"))
}

/// What is to be ordered first, where and by when, with the key.
fn next(page: &Buy) -> Option<String> {
    let first = page
        .needs
        .iter()
        .filter(|n| n.vendor.is_some())
        .min_by_key(|n| (!n.late, n.order_by.is_none(), n.order_by, n.need_by))?;
    let day = match first.order_by {
        _ if first.late => "today".to_owned(),
        Some(day) => format!("by {}", say_date(day)),
        None => "any day".to_owned(),
    };
    let from = first.vendor.as_deref().unwrap_or_default();
    Some(format!("o: order {day} {} × {} from {from}; {}", first.quantity, first.title, how_many(page)))
}

const NO_NEED: &str = "No need is noted. Needs come from faults, lost and scrapped pieces, shortfalls of the plan and \
                       your own notes; n adds one.";

fn needs(state: &State, page: &Buy, canvas: &mut Canvas, area: Rect) {
    if page.needs.is_empty() {
        let ordered: Vec<String> =
            page.to_come().map(|o| format!("{} of {}, expected {}", o.code, o.vendor, o.expected)).collect();
        let words = if ordered.is_empty() && state.frame.empty {
            "No need is noted: nothing is told that could need something.".to_owned()
        } else if ordered.is_empty() {
            NO_NEED.to_owned()
        } else {
            format!("All that is known to be needed is ordered: {}; r when it comes.", ordered.join("; "))
        };
        let mut row = canvas.wrapped(area, 1, &words, Role::Strong) + 2;
        for line in &page.not_told {
            row += canvas.wrapped(area, row, &format!("• not known: {line}"), Role::Text);
        }
        return;
    }
    if state.buy.list.shown.is_empty() {
        canvas.wrapped(area, 0, "Nothing matches. Esc shows all again.", Role::Strong);
        return;
    }
    let rows: Vec<Line> = state
        .buy
        .list
        .shown
        .iter()
        .filter_map(|n| page.needs.get(*n).map(|need| Line::Row(*n, cells(need))))
        .collect();
    let heads = ["Many", "What", "Order by", "Need by", "From"];
    let below = panes::list(canvas, area, (&heads, &rows, state.buy.list.marked()), 7);
    if let Some(need) = state.buy.list.marked().and_then(|n| page.needs.get(n)) {
        let mut row = canvas.headed(below, 0, &format!("{} × {}", need.quantity, need.title));
        let day = |d: Option<NaiveDate>| d.map_or_else(|| "not told".to_owned(), say_date);
        let order = if need.late {
            "late: order at once".to_owned()
        } else {
            format!("order by {}", day(need.order_by))
        };
        let dates = format!("{order}, needed by {}", day(need.need_by));
        row += canvas.labelled(below, row, "when", &dates);
        if let Some(vendor) = &need.vendor {
            row += canvas.labelled(below, row, "from", vendor);
        }
        let begins = format!("{}: ", need.title);
        for why in page.unmet.iter().filter_map(|line| line.strip_prefix(&begins)) {
            row += canvas.labelled(below, row, "not met", why);
        }
        for reason in &need.reasons {
            row += canvas.labelled(below, row, "because", reason);
        }
    }
}

/// Of all baskets.
fn total(page: &Buy) -> String {
    page.total.map_or_else(String::new, |t| t.show(&page.currency))
}

/// "order by Mon 3 Aug 2026".
pub fn order_by(basket: &Basket) -> String {
    basket.order_by.map_or_else(|| "any day".to_owned(), |d| format!("order by {}", say_date(d)))
}

fn cells(need: &NeedRow) -> Vec<Cell> {
    let day = |d: Option<NaiveDate>| d.map_or_else(|| "–".to_owned(), |d| d.format("%-d %b %Y").to_string());
    let from = match &need.vendor {
        Some(vendor) => vendor.into(),
        None => Cell::Chip(Tint::Stop, "not met".to_owned()),
    };
    let order =
        if need.late { Cell::Chip(Tint::Stop, "late".to_owned()) } else { Cell::Right(day(need.order_by)) };
    vec![
        Cell::Right(need.quantity.to_string()),
        (&need.title).into(),
        order,
        Cell::Right(day(need.need_by)),
        from,
    ]
}

/// What is said of a part without a row.
const fn nothing(part: Part) -> &'static str {
    match part {
        Part::Needs => NO_NEED,
        Part::Baskets => "No basket: no offer is told that meets a need. Import vendors and offers.",
        Part::Calendar => "No order-by date: no need has both an offer and a date.",
        Part::Tried => "Nothing is tried. w tries a budget, vendors nearby, a vendor closed, a need dropped.",
    }
}

/// Rows that can be marked.
pub fn rows(lines: &[Line]) -> usize {
    lines.iter().filter(|l| matches!(l, Line::Row(..))).count()
}

/// The heads and lines of a part but that of the needs.
pub fn part(here: &BuyState, page: &Buy, room: usize) -> ([&'static str; 5], Vec<Line>) {
    let mut lines = Vec::new();
    let row = |lines: &mut Vec<Line>, cells| lines.push(Line::Row(rows(lines), cells));
    let text = |lines: &mut Vec<Line>, text: &str| {
        let n = rows(lines);
        let (first, rest) = table::whole(text, n == here.top, room);
        lines.push(Line::Row(n, vec![first.into(), "".into(), "".into(), "".into(), "".into()]));
        lines.extend(rest);
    };
    match here.part {
        Part::Needs => {}
        Part::Baskets => {
            for basket in &page.baskets {
                let late = if basket.late { "  ✗ too late" } else { "" };
                let [goods, shipping, total] =
                    [basket.goods, basket.shipping, basket.total].map(|m| m.show(&page.currency));
                let sums = format!("goods {goods}, shipping {shipping}");
                let head = format!("{}: {total}{late}, {}; {sums}", basket.vendor, order_by(basket));
                lines.push(Line::Group(head));
                for line in &basket.lines {
                    let pack = if line.pack == 1 { String::new() } else { format!("of {}", line.pack) };
                    let price = Cell::Right(line.price.show(&page.currency));
                    let packs = Cell::Right(format!("{} ×", line.packs));
                    row(
                        &mut lines,
                        vec![packs, pack.into(), (&line.item).into(), price, (&line.priced).into()],
                    );
                }
            }
            return (["Packs", "", "What", "Price", "Priced"], lines);
        }
        Part::Calendar => {
            page.calendar.iter().for_each(|line| text(&mut lines, line));
            if !page.orders.is_empty() {
                lines.push(Line::Group("Ordered".to_owned()));
            }
            for order in &page.orders {
                let [code, ordered, expected] =
                    [&order.code, &order.ordered, &order.expected].map(Cell::word);
                row(&mut lines, vec![code, (&order.vendor).into(), ordered, expected, (&order.state).into()]);
            }
            if !page.orders.is_empty() {
                return (["Order by", "From", "Ordered", "Expected", ""], lines);
            }
        }
        Part::Tried => {
            let Some(against) = &page.against else { return ([""; 5], lines) };
            against.split("; ").for_each(|part| text(&mut lines, part));
            lines.push(Line::Group("What changes".to_owned()));
            page.changes.iter().for_each(|line| text(&mut lines, line));
            if page.changes.is_empty() {
                text(&mut lines, "No vendor and no need changes.");
            }
            if !page.left_out.is_empty() {
                lines.push(Line::Group("Left out, over the budget".to_owned()));
            }
            page.left_out.iter().for_each(|line| text(&mut lines, line));
        }
    }
    ([""; 5], lines)
}
