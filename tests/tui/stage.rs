//! A screen without a terminal: keys go in, text comes out.

use ladderday::tui::effect::Effect;
use ladderday::tui::keymap::Key;
use ladderday::tui::run::{Outcome, carry_out, poll};
use ladderday::tui::state::State;
use ladderday::tui::update::{click, press};
use ladderday::tui::{Host, Keymap, Look, draw};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::fake::{Fake, Fill};

/// State, host and an event clock that moves 200 ms a key.
pub(super) struct Stage<H = Fake> {
    pub(super) state: State,
    pub(super) host: H,
    pub(super) clock_ms: u64,
    pub(super) outcome: Outcome,
}

impl Stage {
    pub(super) fn new(fill: Fill) -> Self {
        Self::looking(fill, Look::default())
    }

    pub(super) fn looking(fill: Fill, look: Look) -> Self {
        Self::of(Fake::new(fill), look)
    }
}

impl<H: Host> Stage<H> {
    pub(super) fn of(mut host: H, look: Look) -> Self {
        let mut state = State::new(host.frame(), look, Keymap::default());
        let first = vec![Effect::Load(state.screen)];
        carry_out(&mut state, &mut host, first);
        Self { state, host, clock_ms: 0, outcome: Outcome::Go }
    }

    /// Presses keys, named as in settings, with spaces between them.
    pub(super) fn keys(&mut self, keys: &str) -> &mut Self {
        for name in keys.split_whitespace() {
            self.key(Key::parse(name).unwrap_or_else(|| panic!("{name} is no key")), 200);
        }
        self
    }

    /// Types text letter by letter.
    pub(super) fn text(&mut self, text: &str) -> &mut Self {
        for letter in text.chars() {
            self.key(Key::Char(letter), 200);
        }
        self
    }

    /// Presses one key some time after the last one.
    pub(super) fn key(&mut self, key: Key, after_ms: u64) -> &mut Self {
        self.clock_ms += after_ms;
        let effects = press(&mut self.state, key, self.clock_ms);
        self.outcome = carry_out(&mut self.state, &mut self.host, effects);
        self
    }

    /// A click on a cell of the last picture.
    pub(super) fn click(&mut self, at: (u16, u16)) {
        let effects = click(&mut self.state, at);
        self.outcome = carry_out(&mut self.state, &mut self.host, effects);
    }

    /// Takes in what long work has done meanwhile.
    pub(super) fn later(&mut self) -> &mut Self {
        poll(&mut self.state, &mut self.host);
        self
    }

    pub(super) fn buffer(&mut self, width: u16, height: u16) -> Buffer {
        let mut buffer = Buffer::empty(Rect::new(0, 0, width, height));
        self.state.size = (width, height);
        draw::draw(&self.state, &mut buffer);
        buffer
    }

    /// Draws, so that what can be clicked is known.
    pub(super) fn hits(&mut self, width: u16, height: u16) {
        let mut buffer = Buffer::empty(Rect::new(0, 0, width, height));
        self.state.size = (width, height);
        self.state.hits = draw::draw(&self.state, &mut buffer);
    }

    /// The picture as text, 80x24.
    pub(super) fn picture(&mut self) -> String {
        lines(&self.buffer(80, 24))
    }

    pub(super) fn status(&self) -> &str {
        self.state.status.as_ref().map_or("", |s| &s.text)
    }

    /// Panics with the picture where a text isn't in it.
    pub(super) fn shows(&mut self, text: &str) -> &mut Self {
        let picture = self.picture();
        assert!(picture.contains(text), "\"{text}\" is not in\n{picture}");
        self
    }

    pub(super) fn hides(&mut self, text: &str) -> &mut Self {
        let picture = self.picture();
        assert!(!picture.contains(text), "\"{text}\" is in\n{picture}");
        self
    }
}

/// The rows of a buffer as text.
pub(super) fn lines(buffer: &Buffer) -> String {
    let wide = usize::from(buffer.area.width).max(1);
    let row = |cells: &[ratatui::buffer::Cell]| {
        let text: String = cells.iter().map(ratatui::buffer::Cell::symbol).collect();
        text.trim_end().to_owned()
    };
    buffer.content.chunks(wide).map(row).collect::<Vec<_>>().join("\n")
}
