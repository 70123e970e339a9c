//! The terminal as it is drawn on, and how it goes away.

use std::io::{self, Stdout};

use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;

/// Whether the terminal itself went away.
pub(super) fn is_gone(why: &io::Error) -> bool {
    const EIO: i32 = 5;
    const ENXIO: i32 = 6;
    matches!(
        why.kind(),
        io::ErrorKind::UnexpectedEof | io::ErrorKind::BrokenPipe | io::ErrorKind::NotConnected
    ) || matches!(why.raw_os_error(), Some(EIO | ENXIO))
}

/// The terminal as ratatui has it. Dropped, that one says on stderr where it can't show the cursor, and saying so
/// panics once the terminal is gone; `give_back` shows the cursor in any case.
pub(super) struct Screen(Option<Terminal<CrosstermBackend<Stdout>>>);

impl Screen {
    pub(super) fn new(out: Stdout) -> io::Result<Self> {
        Ok(Self(Some(Terminal::new(CrosstermBackend::new(out))?)))
    }

    pub(super) fn terminal(&mut self) -> io::Result<&mut Terminal<CrosstermBackend<Stdout>>> {
        self.0.as_mut().ok_or_else(|| io::ErrorKind::UnexpectedEof.into())
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        if let Some(mut terminal) = self.0.take()
            && terminal.show_cursor().is_err()
        {
            std::mem::forget(terminal);
        }
    }
}
