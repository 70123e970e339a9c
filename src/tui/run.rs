//! Terminal, threads, signals and clock: the only place of the screens that touches them.
//!
//! A terminal that goes away is an ordinary end. Draws only after an event that changed something; idle it sleeps until the next minute. The terminal is given back
//! as it was after leaving, an error, a panic, TERM, HUP, INT, QUIT, and while stopped.

use std::io::{self, IsTerminal, Write};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::{Duration, Instant, SystemTime};

use crossterm::event::{
    DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, EnableMouseCapture, Event as TermEvent,
    MouseButton, MouseEventKind,
};
use crossterm::terminal::{
    BeginSynchronizedUpdate, Clear, ClearType, EndSynchronizedUpdate, EnterAlternateScreen,
    LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use crossterm::{cursor, execute, style};
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP};
use signal_hook::iterator::Signals;

use super::action::Action;
use super::ahead::{Ahead, QUIET_MS};
use super::carry_out::begin;
pub use super::carry_out::{Outcome, carry_out, poll};
use super::clipboard::osc52;
use super::draw::{draw, waiting};
use super::host::Host;
use super::keymap::{Key, Keymap};
use super::look::{self, Depth, Look, Theme};
use super::paste::paste;
use super::screen::{Screen, is_gone};
use super::state::{GLOVE_MS, State};
use super::update::{click, press, update};
use crate::app::{Problem, ProblemKind, io_words, leave_panic_note};

/// How the screens are to run.
#[derive(Debug, Clone)]
pub struct Options {
    pub look: Look,
    pub keymap: Keymap,
    /// Clicks and the wheel count.
    pub mouse: bool,
    /// The same key within so many milliseconds counts once in Walk.
    pub glove_ms: u64,
    /// Whose steps Walk shows; nothing is all.
    pub whose: Option<String>,
    /// The settings file for reading: faults first, then the sample.
    pub settings: Vec<(String, String)>,
    /// Said at start: what is wrong in the settings, or how the last run ended.
    pub notice: Option<String>,
    /// Where the text of a panic is left.
    pub panic_note: Option<PathBuf>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            look: Look::default(),
            keymap: Keymap::default(),
            mouse: false,
            glove_ms: GLOVE_MS,
            whose: None,
            settings: Vec::new(),
            notice: None,
            panic_note: None,
        }
    }
}

/// Why the screens ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    Quit,
    /// The demo yard is asked for.
    Demo,
    /// A signal asked for the end; a shell expects exit code 128 + its number.
    Signal(i32),
}

enum Event {
    Key(Key, u64),
    Paste(String),
    Wheel(Action),
    Click(u16, u16),
    Resize,
    Signal(i32),
    InputEnded,
}

/// Whether the terminal is ours now, so that it is given back once only.
static TAKEN: AtomicBool = AtomicBool::new(false);

/// The look that fits NO_COLOR, COLORTERM, TERM, and the locale where one is told.
///
/// `theme` and `ascii` are what was asked for; colours are left out where NO_COLOR is set, whatever was asked.
#[expect(clippy::disallowed_methods, reason = "the environment of the terminal is read here only")]
pub fn fitting_look(theme: Option<Theme>, ascii: bool) -> Look {
    let env = |name: &str| std::env::var(name).unwrap_or_default();
    let (colorterm, term) = (env("COLORTERM"), env("TERM"));
    let depth = match colorterm.as_str() {
        "truecolor" | "24bit" => Depth::True,
        _ if term.contains("256color") => Depth::Indexed,
        _ => Depth::Sixteen,
    };
    let theme = if env("NO_COLOR").is_empty() { theme.unwrap_or(Theme::Day) } else { Theme::Plain };
    let poor = term == "linux" || term.starts_with("vt") || look::poor_locale(env);
    Look { theme, depth, ascii: ascii || poor }
}

/// Shows the screens of what `open` opens until they are left.
///
/// # Errors
/// What `open` refuses. Where there is no terminal, or it can't be read or written any more.
pub fn run<H: Host>(open: impl FnOnce() -> Result<H, Problem>, options: Options) -> Result<Ended, Problem> {
    if !(io::stdout().is_terminal() && io::stdin().is_terminal()) {
        return Err(Problem::new(
            ProblemKind::Use,
            "no-terminal",
            "the screens need a terminal, and there is none",
        )
        .hint("every deed is also a command: ladderday --help"));
    }
    let events = listen().map_err(broken)?;
    hook_panic(options.panic_note.clone());
    let taken = Taken::new(options.mouse).map_err(broken)?;
    // A large yard takes a moment to read; the screen answers before.
    let mut screen = Screen::new(io::stdout()).map_err(broken)?;
    let ended =
        screen.terminal().and_then(|t| t.draw(|frame| waiting(options.look, frame.buffer_mut())).map(|_| ()));
    if let Err(why) = ended {
        return if is_gone(&why) { Ok(Ended::Signal(SIGHUP)) } else { Err(broken(why)) };
    }
    let mut host = open()?;
    let mut state = begin(&mut host, &options);
    state.background = host.background();
    let ended = turn(&mut screen, &mut state, &mut host, &events);
    drop(screen);
    drop(taken);
    match ended {
        // Its window was closed, or the line to it was cut: all deeds are saved, and nobody is there to be told.
        Err(why) if is_gone(&why) => Ok(Ended::Signal(SIGHUP)),
        other => other.map_err(broken),
    }
}

fn broken(why: io::Error) -> Problem {
    Problem::new(
        ProblemKind::File,
        "terminal",
        format!("the terminal can't be used any more: {}", io_words(&why)),
    )
    .hint("all deeds are saved; start again in a working terminal")
}

/// The loop: wait, act, draw.
fn turn(
    terminal: &mut Screen,
    state: &mut State,
    host: &mut dyn Host,
    events: &Receiver<Event>,
) -> io::Result<Ended> {
    let mut clock = wall();
    let mut mouse = state.mouse;
    picture(terminal, state)?;
    host.shown();
    state.background = host.background();
    let mut ahead = Ahead::default();
    let (mut quiet, mut settled) = (QUIET_MS, false);
    loop {
        let wait = match (settled, state.background.is_some()) {
            (false, _) => quiet,
            (true, true) => 500,
            (true, false) => 60_000,
        };
        let first = match events.recv_timeout(Duration::from_millis(wait)) {
            Ok(event) => Some(event),
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => return Err(io::ErrorKind::UnexpectedEof.into()),
        };
        let idle = first.is_none();
        if idle && ahead.next(state).is_some() {
            ahead.prepare(state, host);
            (quiet, settled) = (0, false);
            continue;
        }
        let before = (state.frame.clone(), state.background.clone(), state.status.clone());
        if idle && !settled {
            host.settled(state.phase);
        }
        let mut next = first;
        while let Some(event) = next {
            match act(state, host, event)? {
                Act::On => {}
                Act::End(ended) => return Ok(ended),
                Act::Suspend => suspend(terminal, mouse)?,
                Act::Afresh => afresh(terminal)?,
                Act::Redraw => {
                    // Stopped without warning, the shell may have set the terminal its own way.
                    disable_raw_mode()?;
                    take(mouse)?;
                    afresh(terminal)?;
                }
            }
            next = events.try_recv().ok();
        }
        if std::mem::replace(&mut mouse, state.mouse) != state.mouse {
            set_mouse(mouse)?;
        }
        if let Some(text) = state.copied.take() {
            execute!(io::stdout(), style::Print(osc52(&text)))?;
        }
        state.frame = host.frame();
        let now = wall();
        if now + Duration::from_secs(60) < clock {
            state.refuse("The computer's clock went back; the times of deeds follow it");
        }
        clock = now;
        let changed = poll(state, host);
        // Long work that has ended has changed pages.
        let ended = before.1.is_some() && state.background.is_none();
        settled = idle && !changed && !ended;
        if !settled {
            (ahead, quiet) = (Ahead::default(), QUIET_MS);
        }
        if !idle || changed || before != (state.frame.clone(), state.background.clone(), state.status.clone())
        {
            picture(terminal, state)?;
        }
    }
}

enum Act {
    On,
    Afresh,
    Redraw,
    Suspend,
    End(Ended),
}

fn act(state: &mut State, host: &mut dyn Host, event: Event) -> io::Result<Act> {
    let effects = match event {
        Event::Key(key, at_ms) => press(state, key, at_ms),
        Event::Paste(text) => {
            // Pasted text is text: it goes into an open field, all at once, and never acts as keys.
            paste(state, &text)
        }
        Event::Wheel(action) => update(state, action),
        Event::Click(col, row) => click(state, (col, row)),
        // A terminal that shrank and grew again has lost what it showed.
        Event::Resize => return Ok(Act::Afresh),
        Event::Signal(SIGTSTP) => return Ok(Act::Suspend),
        Event::Signal(SIGCONT) => return Ok(Act::Redraw),
        Event::Signal(signal) => return Ok(Act::End(Ended::Signal(signal))),
        Event::InputEnded => return Err(io::ErrorKind::UnexpectedEof.into()),
    };
    Ok(match carry_out(state, host, effects) {
        Outcome::Go => Act::On,
        Outcome::Suspend => Act::Suspend,
        Outcome::Quit => Act::End(Ended::Quit),
        Outcome::Demo => Act::End(Ended::Demo),
    })
}

fn picture(screen: &mut Screen, state: &mut State) -> io::Result<()> {
    execute!(io::stdout(), BeginSynchronizedUpdate)?;
    screen.terminal()?.draw(|frame| {
        let area = frame.area();
        state.size = (area.width, area.height);
        state.hits = draw(state, frame.buffer_mut());
    })?;
    execute!(io::stdout(), EndSynchronizedUpdate)
}

fn suspend(screen: &mut Screen, mouse: bool) -> io::Result<()> {
    give_back();
    // Stops the whole process here until it is continued.
    signal_hook::low_level::emulate_default_handler(SIGTSTP)?;
    take(mouse)?;
    afresh(screen)
}

/// Forgets what stood on the screen. `Terminal::clear` would ask for the cursor's place, and the answer would go to
/// the thread that reads keys.
fn afresh(screen: &mut Screen) -> io::Result<()> {
    execute!(io::stdout(), Clear(ClearType::All))?;
    *screen = Screen::new(io::stdout())?;
    Ok(())
}

/// Starts the threads that wait for keys and signals.
fn listen() -> io::Result<Receiver<Event>> {
    let (send, receive) = mpsc::channel();
    let mut signals = Signals::new([SIGTERM, SIGHUP, SIGINT, SIGQUIT, SIGTSTP, SIGCONT])?;
    let signalled = send.clone();
    thread::Builder::new().name("signals".to_owned()).spawn(move || {
        for signal in signals.forever() {
            if signalled.send(Event::Signal(signal)).is_err() {
                return;
            }
        }
    })?;
    thread::Builder::new().name("keys".to_owned()).spawn(move || read_keys(&send))?;
    Ok(receive)
}

#[expect(clippy::disallowed_methods, reason = "the event clock of the doubled-key rule")]
fn read_keys(send: &Sender<Event>) {
    let start = Instant::now();
    while let Ok(event) = crossterm::event::read() {
        let at_ms = u64::try_from(start.elapsed().as_millis()).unwrap_or(u64::MAX);
        let events = match event {
            TermEvent::Key(key) => {
                Key::from_event(&key).into_iter().map(|key| Event::Key(key, at_ms)).collect()
            }
            TermEvent::Paste(text) => vec![Event::Paste(text)],
            TermEvent::Resize(..) => vec![Event::Resize],
            TermEvent::Mouse(mouse) => match mouse.kind {
                MouseEventKind::ScrollUp => vec![Event::Wheel(Action::MoveUp)],
                MouseEventKind::Down(MouseButton::Left) => vec![Event::Click(mouse.column, mouse.row)],
                MouseEventKind::ScrollDown => vec![Event::Wheel(Action::MoveDown)],
                _ => Vec::new(),
            },
            _ => Vec::new(),
        };
        if events.into_iter().any(|event| send.send(event).is_err()) {
            return;
        }
    }
    // Fails only where the loop has ended already.
    let _ = send.send(Event::InputEnded);
}

#[expect(clippy::disallowed_methods, reason = "only compared with itself, to notice a clock that went back")]
fn wall() -> SystemTime {
    SystemTime::now()
}

/// Holds the terminal; gives it back when dropped.
struct Taken;

impl Taken {
    fn new(mouse: bool) -> io::Result<Self> {
        let taken = Self;
        take(mouse)?;
        Ok(taken)
    }
}

impl Drop for Taken {
    fn drop(&mut self) {
        give_back();
    }
}

fn take(mouse: bool) -> io::Result<()> {
    TAKEN.store(true, Ordering::SeqCst);
    enable_raw_mode()?;
    execute!(io::stdout(), EnterAlternateScreen, EnableBracketedPaste, cursor::Hide)?;
    if mouse { set_mouse(true) } else { Ok(()) }
}

fn set_mouse(on: bool) -> io::Result<()> {
    if on { execute!(io::stdout(), EnableMouseCapture) } else { execute!(io::stdout(), DisableMouseCapture) }
}

/// Gives the terminal back; what fails here fails because the terminal is gone.
fn give_back() {
    if !TAKEN.swap(false, Ordering::SeqCst) {
        return;
    }
    let _ = execute!(
        io::stdout(),
        EndSynchronizedUpdate,
        DisableMouseCapture,
        DisableBracketedPaste,
        style::ResetColor,
        LeaveAlternateScreen,
        cursor::Show
    );
    let _ = disable_raw_mode();
    let _ = io::stdout().flush();
}

/// A panic first gives the terminal back, then leaves its text for the next start, then says what it says.
fn hook_panic(note: Option<PathBuf>) {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        give_back();
        if let Some(file) = &note {
            let text = format!("ladderday {}: {info}\n", env!("CARGO_PKG_VERSION"));
            // A note that can't be left must not hide the panic itself.
            let _ = leave_panic_note(file, &text);
        }
        before(info);
    }));
}
