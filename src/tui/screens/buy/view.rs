//! Buy drawn: needs, baskets by vendor, order-by dates.

use chrono::NaiveDate;
use ratatui::layout::Rect;

use super::state::{Part, State as Here};
use crate::answers::view::{Basket, Buy, NeedRow};
use crate::answers::words::say_date;
use crate::tui::look::{Role, Tint};
use crate::tui::state::State;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{counted, wrap};
use crate::tui::widgets::{Canvas, panes};

/// Draws Buy.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.buy.page else { return };
    let mut col = 0;
    for (part, name) in Part::ALL {
        let role = if part == state.buy.part { Role::Selected } else { Role::Text };
        col += canvas.text(area, col, 0, &format!(" {name} "), role) + 1;
    }
    canvas.text(area, col, 0, "Tab", Role::Key);
    let proven = if page.proven { "proven least cost" } else { "best found" };
    if !page.baskets.is_empty() {
        canvas.right(area, 0, &format!("{}, {proven}", total(page)), Role::Strong);
    }
    if page.tried.is_none() && !page.needs.is_empty() {
        let unmet = page.needs.iter().filter(|n| n.vendor.is_none()).count();
        let unmet = if unmet > 0 { format!(", {unmet} not met by any price told") } else { String::new() };
        let late = page.needs.iter().filter(|n| n.late).count();
        let late = if late > 0 { format!(", {late} late") } else { String::new() };
        let needs = counted(page.needs.len(), "need", "needs");
        canvas.text(area, 0, 1, &format!("{needs}{late}{unmet}"), Role::Strong);
    }
    if let Some(tried) = &page.tried {
        let used = canvas.chip(area, 0, 1, Tint::Note, "what if");
        canvas.text(area, used + 1, 1, tried, Role::Strong);
    }
    let body = Rect { y: area.y + 2, height: area.height.saturating_sub(2), ..area };
    if state.buy.part == Part::Needs {
        needs(state, page, canvas, body);
        return;
    }
    let wide = usize::from(body.width);
    let wrapped = |(text, role): (String, Role)| -> Vec<(String, Role)> {
        let lead: String = text.chars().take_while(|c| *c == ' ').collect();
        if text.chars().count() <= wide {
            return vec![(text, role)];
        }
        let parts = wrap(text.trim_start(), wide.saturating_sub(lead.len() + 4));
        let begin = |n: usize| if n == 0 { lead.clone() } else { format!("{lead}    ") };
        parts.iter().enumerate().map(|(n, part)| (format!("{}{part}", begin(n)), role)).collect()
    };
    let lines: Vec<(String, Role)> = lines(&state.buy).into_iter().flat_map(wrapped).collect();
    let room = usize::from(body.height);
    let top = state.buy.top.min(lines.len().saturating_sub(room));
    for (row, (text, role)) in lines.iter().skip(top).take(room).enumerate() {
        canvas.text(body, 0, row, text, *role);
    }
    table::more(canvas, body, top, lines.len().saturating_sub(top + room));
}

const NO_NEED: &str = "No need is noted. Needs come from faults, lost and scrapped pieces, shortfalls of the plan and \
                       your own notes; n adds one.";

fn needs(state: &State, page: &Buy, canvas: &mut Canvas, area: Rect) {
    if page.needs.is_empty() {
        let words = match page.not_told.join("; ").as_str() {
            "" => NO_NEED.to_owned(),
            told => format!("{NO_NEED} Not known: {told}."),
        };
        canvas.wrapped(area, 0, &words, Role::Strong);
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
    let (list, below) = panes::split(canvas, area, 62, 7);
    let heads = ["Many", "What", "", "Order by", "Need by", "From"];
    table::draw(canvas, list, &heads, &rows, state.buy.list.marked());
    if let Some(need) = state.buy.list.marked().and_then(|n| page.needs.get(n)) {
        let mut row = canvas.headed(below, 0, &format!("{} × {}", need.quantity, need.title));
        let day = |d: Option<NaiveDate>| d.map_or_else(|| "not told".to_owned(), say_date);
        let dates = format!("order by {}, needed by {}", day(need.order_by), day(need.need_by));
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
    let mark = if need.late { Cell::Chip(Tint::Stop, "late".to_owned()) } else { "".into() };
    vec![
        Cell::Right(need.quantity.to_string()),
        (&need.title).into(),
        mark,
        Cell::Right(day(need.order_by)),
        Cell::Right(day(need.need_by)),
        from,
    ]
}

/// The lines of the parts that are read, not marked.
pub fn lines(here: &Here) -> Vec<(String, Role)> {
    let Some(page) = &here.page else { return Vec::new() };
    let mut out = Vec::new();
    if here.part == Part::Baskets {
        for basket in &page.baskets {
            let late = if basket.late { "  ✗ too late" } else { "" };
            let head = format!("{}   {}{late}", basket.vendor, order_by(basket));
            out.push((head, Role::Strong));
            for line in &basket.lines {
                let pack = if line.pack == 1 { String::new() } else { format!(" of {}", line.pack) };
                out.push((
                    format!(
                        "  {:>4} ×{pack}  {}   {}   {}",
                        line.packs,
                        line.item,
                        line.price.show(&page.currency),
                        line.priced
                    ),
                    Role::Text,
                ));
            }
            let [goods, shipping, total] =
                [basket.goods, basket.shipping, basket.total].map(|m| m.show(&page.currency));
            let sum = format!("  goods {goods}, shipping {shipping}, total {total}");
            out.push((sum, Role::Text));
            out.push((String::new(), Role::Text));
        }
        if page.baskets.is_empty() {
            out.push((
                "No basket: no offer is told that meets a need. Import vendors and offers.".to_owned(),
                Role::Strong,
            ));
        }
        return out;
    }
    if here.part == Part::Tried {
        return tried(page);
    }
    out.extend(page.calendar.iter().map(|line| (line.clone(), Role::Text)));
    if page.calendar.is_empty() {
        out.push(("No order-by date: no need has both an offer and a date.".to_owned(), Role::Strong));
    }
    if !page.orders.is_empty() {
        out.push((String::new(), Role::Text));
        out.push(("Ordered".to_owned(), Role::Strong));
    }
    for order in &page.orders {
        let text = format!(
            "  {}  {}  ordered {}, expected {}: {}",
            order.code, order.vendor, order.ordered, order.expected, order.state
        );
        out.push((text, Role::Text));
    }
    out
}

/// What a trial changes against the facts.
fn tried(page: &Buy) -> Vec<(String, Role)> {
    let Some(against) = &page.against else {
        let text = "Nothing is tried. w tries a budget, vendors nearby, a vendor closed, a need dropped.";
        return vec![(text.to_owned(), Role::Strong)];
    };
    let mut out: Vec<_> = against.split("; ").map(|part| (part.to_owned(), Role::Strong)).collect();
    out.push((String::new(), Role::Text));
    out.extend(page.changes.iter().map(|line| (format!("  {line}"), Role::Text)));
    if page.changes.is_empty() {
        out.push(("  No vendor and no need changes.".to_owned(), Role::Text));
    }
    if !page.left_out.is_empty() {
        out.push(("Left out, over the budget".to_owned(), Role::Strong));
    }
    out.extend(page.left_out.iter().map(|line| (format!("  {line}"), Role::Text)));
    out
}
