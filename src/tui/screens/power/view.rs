//! Power drawn: the tree with load bars, the voltage along a string, the findings.

use ratatui::layout::Rect;

use super::curve::{curve, volts};
use super::flow::way_words;
use super::found::findings;
use super::state::{Part, tried_lines};
use crate::answers::view::{Level, Power, PowerNode};
use crate::tui::look::{Role, Tint};
use crate::tui::screens::next;
use crate::tui::state::State;
use crate::tui::widgets::canvas::Click;
use crate::tui::widgets::table::{self, Cell, Line};
use crate::tui::widgets::text::{width, wrap};
use crate::tui::widgets::{Canvas, panes};

/// Rows from which what is not known may take four.
const TALL: u16 = 30;

/// Draws Power.
pub fn draw(state: &State, canvas: &mut Canvas, area: Rect) {
    let Some(page) = &state.power.page else { return };
    let many = |part: Part| (part == Part::Findings).then_some(page.findings.len());
    let tabs = panes::tabs(
        canvas,
        area,
        0,
        Part::ALL.map(|(part, name)| (name, many(part), part == state.power.part)),
    );
    let head = match &page.tried {
        Some(tried) => format!("WHAT IF {}; w goes back", tried.what),
        None => page.level.clone(),
    };
    let wide = usize::from(area.width);
    let asked = next(state, page).unwrap_or_else(|| next::of_all(state));
    let mut top = 1 + canvas.next(area, 1, &asked);
    // Beside the tabs where it has room there.
    if tabs + 2 + width(&head) <= wide {
        canvas.right(area, 0, &head, Role::Strong);
    } else {
        canvas.text(area, 0, top, &head, Role::Strong);
        top += 1;
    }
    let rows = match area.height {
        // Where nothing was found there is room for all of it.
        high if page.findings.is_empty() => usize::from(high / 2),
        high if high >= TALL => 4,
        _ => 2,
    };
    let told = not_known(page, wide, rows);
    let low = told.len() as u16;
    let top = top as u16;
    let body = Rect { y: area.y + top, height: area.height.saturating_sub(top + low), ..area };
    match state.power.part {
        Part::Tree => tree(state, page, canvas, body),
        Part::Voltage => voltage(state, page, canvas, body),
        Part::Findings => findings(state, page, canvas, body),
        Part::Numbers => numbers(state, page, canvas, body),
        Part::Tried => tried(state, page, canvas, body),
    }
    for (row, text) in told.iter().enumerate() {
        let at = usize::from(area.height.saturating_sub(low)) + row;
        canvas.text(area, 0, at, text, Role::Text);
    }
}

/// What the marked finding asks for; nothing where it is but a note.
fn next(state: &State, page: &Power) -> Option<String> {
    let found = page.findings.get(state.power.at).filter(|_| state.power.part == Part::Findings)?;
    let deed = found.remedy.split("; ").next().unwrap_or_default();
    let here = format!("Enter: {deed}; {}", found.place);
    matches!(found.level, Level::Stop | Level::Mend).then_some(here)
}

/// What is not known, in so many rows; the last one says how much more there is.
fn not_known(page: &Power, wide: usize, rows: usize) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let all = page.not_told.len();
    for (n, text) in page.not_told.iter().enumerate() {
        let left = all - n - 1;
        let said = |left: usize| {
            let more = if left > 0 {
                format!(" (and {left} more; Enter on a finding has them)")
            } else {
                String::new()
            };
            wrap(&format!("• not known: {text}{more}"), wide)
        };
        let lines = said(0);
        // The next one may not have room: then this one says what is left.
        let next =
            page.not_told.get(n + 1).map_or(0, |text| wrap(&format!("• not known: {text}"), wide).len());
        if left > 0 && out.len() + lines.len() + next > rows {
            out.extend(said(left));
            break;
        }
        out.extend(lines);
    }
    out
}

fn tree(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    if page.nodes.is_empty() {
        let text = "No circuit, box or supply is told, so nothing is checked here. Import circuits, outlets and links.";
        canvas.wrapped(area, 1, text, Role::Strong);
        return;
    }
    tree_head(canvas, area);
    let list = panes::below(Rect { height: area.height.saturating_sub(1), ..area }, 1);
    // The marked row whole: a name may be too long beside its bars.
    if let Some(node) = page.nodes.get(state.power.at) {
        let code = if node.code.is_empty() { String::new() } else { format!(" ({})", node.code) };
        let last = usize::from(area.height.saturating_sub(1));
        canvas.text(
            area,
            2,
            last,
            &format!("{} {}{code}: {}", node.kind, node.name, node.load),
            Role::Strong,
        );
    }
    let shown = state.power.shown();
    let at = shown.iter().position(|n| *n == state.power.at).unwrap_or(0);
    let room = usize::from(list.height);
    let top = table::top(at, shown.len(), room);
    for (row, n) in shown.iter().skip(top).take(room).enumerate() {
        let Some(node) = page.nodes.get(*n) else { continue };
        let line = Rect { y: list.y + row as u16, height: 1, ..list };
        canvas.click(line, Click::Row(*n));
        let sign = match (state.power.has_below(*n), state.power.folded.contains(n)) {
            (true, true) => "+ ",
            (true, false) => "- ",
            _ => "  ",
        };
        node_line(node, (*n == state.power.at, sign), canvas, line);
    }
    table::more(canvas, list, top, shown.len().saturating_sub(top + room));
}

/// The columns at the right of the tree, by how wide the screen is.
struct Columns {
    load: usize,
    bar: usize,
    indent: usize,
    /// Whether a prop's code has room.
    codes: bool,
}

impl Columns {
    const fn of(area: Rect) -> Self {
        if area.width >= 100 {
            Self { load: 18, bar: 20, indent: 2, codes: true }
        } else {
            Self { load: 17, bar: 10, indent: 1, codes: false }
        }
    }

    fn split(&self, area: Rect) -> (Rect, Rect) {
        let wide = ((self.lowest() + 14) as u16).min(area.width);
        let x = area.x + area.width - wide;
        (Rect { width: (area.width - wide).saturating_sub(1), ..area }, Rect { x, width: wide, ..area })
    }

    const fn percent(&self) -> usize {
        self.load + 1 + self.bar
    }

    const fn lowest(&self) -> usize {
        self.percent() + 6
    }
}

fn tree_head(canvas: &mut Canvas, area: Rect) {
    let columns = Columns::of(area);
    let (name, right) = columns.split(area);
    canvas.text(
        name,
        2,
        0,
        if canvas.area().width >= 100 { "Circuit to prop; ← folds, → opens" } else { "Circuit to prop" },
        Role::Strong,
    );
    canvas.text(right, 0, 0, "Load and limit", Role::Strong);
    canvas.text(right, columns.load + 1 + limit_at(columns.bar), 0, "│ limit", Role::Strong);
    canvas.text(right, columns.lowest(), 0, "Low V limit", Role::Strong);
}

/// The column of a bar at which the limit stands: a quarter of the bar is for what passes it.
const fn limit_at(bar: usize) -> usize {
    bar * 4 / 5
}

/// A load with its limit marked.
fn load_bar(share: u32, bar: usize) -> String {
    let limit = limit_at(bar);
    let full = (limit * share as usize + 500) / 1000;
    let full = if share > 0 { full.max(1) } else { 0 };
    // Only what passes the limit covers its mark.
    let full = if share <= 1000 { full.min(limit) } else { full.max(limit + 1) };
    (0..bar)
        .map(|c| match c {
            c if c < full => '█',
            c if c == limit => '│',
            c if c < limit => '░',
            _ => ' ',
        })
        .collect()
}

fn node_line(node: &PowerNode, (on, fold): (bool, &str), canvas: &mut Canvas, area: Rect) {
    let role = if on { Role::Selected } else { Role::Text };
    let strong = if on { role } else { Role::Strong };
    canvas.fill(area, role);
    let columns = Columns::of(area);
    let (name, right) = columns.split(area);
    let text = match (node.kind, columns.codes) {
        // A prop is known by its name.
        ("prop", true) => format!("{} ({})", node.name, node.code),
        // Of several feeds of one prop the pixel tells them apart: it comes before what may be cut.
        ("prop", false) => match node.name.split_once(", feed at ") {
            Some((prop, pixel)) => format!("feed {pixel}, {prop}"),
            None => node.name.clone(),
        },
        (kind, _) if node.code.is_empty() => format!("{kind} {}", node.name),
        (_, false) if !node.name.is_empty() && node.name != node.code => node.name.clone(),
        (kind, _) => format!("{kind} {}  {}", node.code, node.name),
    };
    let indent = (node.depth * columns.indent).min(20);
    canvas.text(area, 0, 0, if on { "›" } else { " " }, role);
    canvas.text(name, 1 + indent, 0, &format!("{fold}{text}"), role);
    let used = canvas.text(right, 0, 0, &node.load, role);
    match node.share {
        Some(share) if used <= columns.load => {
            let bar = if on { role } else { Role::Full };
            canvas.text(right, columns.load + 1, 0, &load_bar(share, columns.bar), bar);
            canvas.text(right, columns.percent(), 0, &format!("{:>4} %", (share + 5) / 10), role);
            if share > 1000 && node.lowest_mv.is_none() {
                canvas.text(right, columns.lowest(), 0, " ✗ over", strong);
            }
        }
        Some(share) => {
            canvas.text(right, columns.percent(), 0, &format!("{:>4} %", (share + 5) / 10), role);
        }
        None => {
            canvas.text(right, columns.load + 1, 0, "limit not told", role);
        }
    }
    let Some(low) = node.lowest_mv else { return };
    let (sign, role) = match node.limit_mv {
        Some(limit) if low < limit => ("✗", strong),
        Some(_) => ("✓", role),
        None => ("", role),
    };
    let figure = |mv: i64| format!("{}.{:02}", mv / 1000, (mv % 1000).abs() / 10);
    let limit = node.limit_mv.map_or_else(|| "-".to_owned(), figure);
    canvas.text(right, columns.lowest(), 0, &format!("{:>5} {limit:>5} {sign}", figure(low)), role);
}

fn voltage(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    let Some(string) = page.strings.get(state.power.at) else {
        canvas.wrapped(
            area,
            1,
            "No string has length, wire and supply told: no voltage is computed.",
            Role::Strong,
        );
        return;
    };
    let list = (area.height / 3).clamp(3, 8);
    let rows: Vec<Line> = page
        .strings
        .iter()
        .enumerate()
        .map(|(at, s)| {
            let low = s.millivolts.iter().min().map_or_else(|| "not known".to_owned(), |v| volts(*v));
            let sign = match (s.limit_mv, s.millivolts.iter().min()) {
                (Some(limit), Some(low)) if low < &limit => Cell::Chip(Tint::Stop, "below".to_owned()),
                (Some(_), Some(_)) => Cell::Chip(Tint::Done, "above".to_owned()),
                _ => "not told".into(),
            };
            let limit = s.limit_mv.map_or_else(|| "–".to_owned(), volts);
            Line::Row(at, vec![(&s.name).into(), Cell::Right(low), Cell::Right(limit), sign])
        })
        .collect();
    let heads = ["String, worst first", "Lowest", "Limit", ""];
    table::draw(canvas, Rect { height: list, ..area }, &heads, &rows, Some(state.power.at));
    let chart = Rect { y: area.y + list, height: area.height - list, ..area };
    curve(string, canvas, chart);
}

fn numbers(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    if page.numbers.is_empty() {
        canvas.wrapped(area, 1, "No data lead to a prop with pixels is told: no numbers.", Role::Strong);
        return;
    }
    let open = page.numbers.iter().filter(|n| n.proposed).count();
    let text = match open {
        0 => "every data lead has its numbers".to_owned(),
        n => format!(
            "{n} proposed, not written: {}; n another way, k writes",
            way_words(page.numbering).to_lowercase()
        ),
    };
    canvas.text(area, 0, 0, &text, Role::Strong);
    let rows: Vec<Line> = page
        .numbers
        .iter()
        .enumerate()
        .map(|(at, n)| {
            let chip = if n.proposed {
                Cell::Chip(Tint::Open, "proposed".to_owned())
            } else {
                Cell::Chip(Tint::Done, "set".to_owned())
            };
            let short = |place: &str| place.replace("universe ", "").replace(" slot ", "/");
            let from_to = format!("{} to {}", short(&n.first), short(&n.last));
            Line::Row(at, vec![chip, (&n.name).into(), from_to.into(), (&n.groups).into()])
        })
        .collect();
    let list = panes::below(area, 1);
    let heads = ["", "Prop", "Universe/slot", "Multicast group"];
    let rows = table::read_below(&heads, rows, state.power.at, list.width);
    table::draw(canvas, list, &heads, &rows, Some(state.power.at));
}

fn tried(state: &State, page: &Power, canvas: &mut Canvas, area: Rect) {
    if page.tried.is_none() {
        let text = "Nothing is tried. w tries another level, another wire in a lead, or one more feed, and shows here \
             what it changes. Facts stay as they are.";
        canvas.wrapped(area, 1, text, Role::Strong);
        return;
    }
    let lines = tried_lines(page);
    if lines.is_empty() {
        canvas.wrapped(area, 1, "No voltage, no load and no finding changes.", Role::Strong);
        return;
    }
    let rows: Vec<Line> = lines
        .into_iter()
        .enumerate()
        .map(|(at, [kind, name, before, after])| {
            Line::Row(at, vec![kind.into(), name.into(), before.into(), after.into()])
        })
        .collect();
    let heads = ["", "Where", "Before", "Then"];
    let rows = table::read_below(&heads, rows, state.power.at, area.width);
    table::draw(canvas, area, &heads, &rows, Some(state.power.at));
}
