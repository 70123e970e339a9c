//! The screens line by line, for screen readers: no cursor, no columns side by side, the same keys and commands.
//!
//! A line that is typed answers what is asked; else it is a digit of a screen, a key as settings name it (`enter`,
//! `d`), or a command of the list by its name (`do-step`). An empty line reads the place one stands at again.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::action::Action;
use super::carry_out::{Outcome, begin, carry_out};
use super::effect::Effect;
use super::find::rank;
use super::host::Host;
use super::keymap::Key;
use super::look::{Depth, Look, Theme};
use super::popup::{Pick, Popup};
use super::run::Options;
use super::screens;
use super::state::{State, Tone};
use super::update::{press, update};
use super::widgets::text::clean;
use super::widgets::{Canvas, Field};
use crate::answers::view::ScreenId;

/// Columns of a page before it is read: below those that put parts side by side.
const WIDE: u16 = 108;
/// Rows of a page: more is read by going on in the list.
const HIGH: u16 = 600;
/// Milliseconds between two lines: a line is never a doubled key.
const APART_MS: u64 = 10_000;

/// What is read without anything being done.
enum Read {
    /// The marked row.
    Here,
    Page,
    Refusal(String),
}

/// A talk in lines.
pub struct Talk {
    state: State,
    clock_ms: u64,
    /// The page that was read last, to tell when it has become another.
    read: Option<(ScreenId, Option<usize>)>,
}

impl Talk {
    /// Begins with Today.
    pub fn begin(host: &mut dyn Host, options: &Options) -> (Self, Vec<String>) {
        let mut state = begin(host, options);
        state.look = Look { theme: Theme::Plain, depth: Depth::Sixteen, ascii: state.look.ascii };
        state.mouse = false;
        state.lines = true;
        let mut talk = Self { state, clock_ms: 0, read: None };
        let mut out = vec!["ladderday, line by line. ? tells the keys, : the commands, q leaves.".to_owned()];
        out.extend(talk.answer());
        (talk, out)
    }

    /// What stands before the line to be typed.
    pub fn prompt(&self) -> String {
        match self.state.popups.last() {
            Some(Popup::Prompt(p)) => format!("{}: ", clean(&p.title)),
            Some(Popup::Form(f)) => format!("{}: ", f.line().map_or("", |l| l.of.label.as_str())),
            Some(Popup::Pick(_)) => "number or letters, esc closes: ".to_owned(),
            _ => format!("{}: ", self.state.screen.name()),
        }
    }

    /// Takes a line; gives what is to be read, and how it goes on.
    pub fn line(&mut self, host: &mut dyn Host, typed: &str) -> (Vec<String>, Outcome) {
        let typed = clean(typed);
        let typed = typed.trim();
        self.clock_ms += APART_MS;
        self.state.status = None;
        let effects = match self.state.popups.last_mut() {
            Some(_) if typed == "esc" => update(&mut self.state, Action::ClosePopup),
            Some(Popup::Prompt(prompt)) => {
                prompt.field = Field::new(typed);
                update(&mut self.state, Action::AcceptText)
            }
            Some(Popup::Form(form)) => match form.typed(typed) {
                Some(action) => update(&mut self.state, action),
                None => Vec::new(),
            },
            Some(Popup::Pick(pick)) => match chosen(pick, typed) {
                Some(at) => {
                    pick.at = at;
                    update(&mut self.state, Action::PickRow)
                }
                None => Vec::new(),
            },
            _ => match self.on_screen(typed) {
                Ok(effects) => effects,
                Err(read) => {
                    // What is known of the row that is marked now is read with it.
                    let outcome = carry_out(&mut self.state, host, Vec::new());
                    return (self.read(read), outcome);
                }
            },
        };
        let outcome = carry_out(&mut self.state, host, effects);
        host.settled(self.state.phase);
        super::carry_out::poll(&mut self.state, host);
        // Line by line nothing comes in later: what was asked for is waited for.
        super::carry_out::show_weighed(&mut self.state, host, true);
        (self.answer(), outcome)
    }

    fn read(&self, what: Read) -> Vec<String> {
        match what {
            Read::Here => self.here(),
            Read::Page => self.page(),
            Read::Refusal(line) => vec![line],
        }
    }

    fn on_screen(&mut self, typed: &str) -> Result<Vec<Effect>, Read> {
        if typed.is_empty() {
            return Err(Read::Here);
        }
        if typed == "page" {
            return Err(Read::Page);
        }
        if let Some(words) = typed.strip_prefix('/').filter(|w| !w.is_empty()) {
            let effects = screens::start_find(&mut self.state);
            match self.state.popups.pop() {
                Some(Popup::Find(_)) => {
                    screens::set_filter(&mut self.state, words.to_owned());
                    return Err(Read::Page);
                }
                Some(Popup::Pick(mut pick)) => {
                    pick.field = Some(Field::new(words));
                    pick.refill();
                    self.state.popups.push(Popup::Pick(pick));
                }
                other => self.state.popups.extend(other),
            }
            return Ok(effects);
        }
        let key = Key::parse(typed).filter(|k| *k != Key::AnyChar);
        let ten = (typed == "10").then_some(Key::Char('0'));
        if let Some(key) = key.or(ten) {
            return Ok(press(&mut self.state, key, self.clock_ms));
        }
        match Action::from_name(typed.trim_start_matches(':').trim()) {
            Some(action) => Ok(update(&mut self.state, action)),
            None => Err(Read::Refusal(format!(
                "\"{typed}\" is no key and no command; ? tells the keys, : the commands"
            ))),
        }
    }

    /// What is to be read after a line: what was said, what is open, else the page where it is another one.
    fn answer(&mut self) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(status) = self.state.status.take() {
            let sign = if status.tone == Tone::Refused { "Not done: " } else { "" };
            out.push(format!("{sign}{}", status.text));
        }
        // A page to read is read at once and closed.
        while let Some(Popup::Reading(page)) = self.state.popups.pop_if(|p| matches!(p, Popup::Reading(_))) {
            out.push(clean(&page.title));
            out.extend(page.lines.iter().map(|(label, text)| spoken(label, text)));
        }
        match self.state.popups.last() {
            Some(Popup::Prompt(p)) => {
                out.extend(p.refusal.as_ref().map(|why| format!("Not taken: {}", clean(why))));
                let now = p.field.text();
                let now = if now.is_empty() { String::new() } else { format!(" Now: {}", clean(now)) };
                out.push(format!("{}. Takes {}.{now}", clean(&p.title), clean(&p.takes)));
            }
            Some(Popup::Form(form)) => out.extend(form.spoken().iter().map(|l| clean(l))),
            Some(Popup::Pick(pick)) => out.extend(offered(pick)),
            _ => {
                let session = (self.state.screen == ScreenId::Walk)
                    .then(|| self.state.walk.page.as_ref().map(|p| p.session_at))
                    .flatten();
                let now = Some((self.state.screen, session));
                if self.read == now {
                    out.extend(self.here());
                } else {
                    self.read = now;
                    out.extend(self.page());
                }
            }
        }
        out
    }

    /// The whole page.
    fn page(&self) -> Vec<String> {
        let frame = &self.state.frame;
        let mut out = vec![spoken(self.state.screen.name(), &format!("{}, {}", frame.season, frame.now))];
        out.extend(frame.read_only.as_ref().map(|why| format!("read only: {why}")));
        out.extend(Self::drawn(&self.state));
        out
    }

    /// The marked row; in Walk the whole of its step.
    fn here(&self) -> Vec<String> {
        if self.state.screen == ScreenId::Walk && self.state.walk.step().is_some() {
            let mut state = self.state.clone();
            state.walk.big = true;
            return Self::drawn(&state);
        }
        Self::drawn(&self.state).into_iter().filter(|l| l.starts_with('›') || l.starts_with('>')).collect()
    }

    fn drawn(state: &State) -> Vec<String> {
        let mut buffer = Buffer::empty(Rect::new(0, 0, WIDE, HIGH));
        let area = buffer.area;
        let mut canvas = Canvas::new(&mut buffer, state.look);
        if state.has_page(state.screen) || state.frame.empty {
            screens::draw(state, &mut canvas, area);
        }
        canvas.finish();
        let row = |cells: &[ratatui::buffer::Cell]| -> String {
            cells.iter().map(ratatui::buffer::Cell::symbol).collect()
        };
        let rows = buffer.content.chunks(usize::from(WIDE)).map(row);
        rows.map(|r| readable(&r)).filter(|r| !r.is_empty()).collect()
    }
}

/// The row that a typed line chooses: by its number among those shown, or the only one its letters leave.
fn chosen(pick: &mut Pick, typed: &str) -> Option<usize> {
    if let Some(n) = typed.parse::<usize>().ok().filter(|n| (1..=pick.shown.len()).contains(n)) {
        return Some(n - 1);
    }
    let texts: Vec<String> = pick.rows.iter().map(|(text, word)| format!("{text} {word}")).collect();
    pick.shown = rank(typed, texts.iter().map(String::as_str));
    (pick.shown.len() == 1).then_some(0)
}

/// The rows of a list with their numbers.
fn offered(pick: &Pick) -> Vec<String> {
    let rows = pick.shown.iter().filter_map(|n| pick.rows.get(*n));
    let mut out = vec![clean(&pick.title)];
    out.extend((1..).zip(rows).map(|(n, (text, word))| {
        let beside = if word.is_empty() { String::new() } else { format!(", {}", clean(word)) };
        format!("{n}. {}{beside}", clean(text))
    }));
    if pick.shown.is_empty() {
        out.push("Nothing matches; other letters, or esc".to_owned());
    }
    out
}

fn spoken(label: &str, text: &str) -> String {
    if label.is_empty() { clean(text) } else { format!("{}: {}", clean(label), clean(text)) }
}

/// A drawn row as it is read aloud: without lines, bars and chips' marks; gaps between columns become commas.
fn readable(row: &str) -> String {
    let drawn = |c: char| matches!(c, '\u{2500}'..='\u{259f}');
    let text: String = row.chars().map(|c| if drawn(c) { ' ' } else { c }).collect();
    let mut parts: Vec<String> = Vec::new();
    for part in text.split("  ").map(str::trim).filter(|p| !p.is_empty()) {
        let chip = part.strip_prefix('[').and_then(|p| p.split_once(']'));
        match chip.and_then(|(inside, rest)| Some((inside.split_once(' ')?.1, rest))) {
            Some((word, rest)) => parts.push(format!("{word}{rest}")),
            None => parts.push(part.to_owned()),
        }
    }
    // The mark of the row stays with what it marks.
    match parts.split_first() {
        Some((mark, rest)) if matches!(mark.as_str(), "›" | ">") => format!("{mark} {}", rest.join(", ")),
        _ => parts.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_reads_without_what_is_drawn() {
        let row = "›  [○ open]   18:42 Hang the box           Mast box   ███░░░  13 min │";
        assert_eq!(readable(row), "› open, 18:42 Hang the box, Mast box, 13 min");
        assert_eq!(readable("──────────"), "");
    }
}
