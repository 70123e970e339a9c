//! Terminal, threads, signals and clock: the only place of the screens that touches them.
//!
//! Draws only after an event that changed something; idle it sleeps until the next minute. The terminal is given back
//! as it was after leaving, an error, a panic, TERM, HUP, INT, QUIT, and while stopped.

use std::collections::VecDeque;
use std::io::{self, IsTerminal, Stdout, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::{Duration, Instant, SystemTime};

use crossterm::event::{
    DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, EnableMouseCapture, Event as TermEvent,
    MouseEventKind,
};
use crossterm::terminal::{
    BeginSynchronizedUpdate, Clear, ClearType, EndSynchronizedUpdate, EnterAlternateScreen,
    LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use crossterm::{cursor, execute, style};
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP};
use signal_hook::iterator::Signals;

use super::action::Action;
use super::draw::draw;
use super::effect::Effect;
use super::host::Host;
use super::keymap::{Key, Keymap};
use super::look::{Depth, Look, Theme};
use super::state::State;
use super::update::{loaded, performed, press, refused, update};
use crate::app::view::ScreenId;
use crate::app::{Problem, ProblemKind};

/// How the screens are to run.
#[derive(Debug, Clone, Default)]
pub struct Options {
    pub look: Look,
    pub keymap: Keymap,
    /// The wheel moves the mark; clicks do nothing.
    pub mouse: bool,
}

/// Why the screens ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    Quit,
    /// A signal asked for the end; a shell expects exit code 128 + its number.
    Signal(i32),
}

/// What the loop does after effects were carried out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    Go,
    Suspend,
    Quit,
}

enum Event {
    Key(Key, u64),
    Paste(String),
    Wheel(Action),
    Resize,
    Signal(i32),
    InputEnded,
}

/// Whether the terminal is ours now, so that it is given back once only.
static TAKEN: AtomicBool = AtomicBool::new(false);

/// The look that fits the environment: NO_COLOR, COLORTERM, TERM.
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
    let poor = term == "linux" || term.starts_with("vt");
    Look { theme, depth, ascii: ascii || poor }
}

/// Shows the screens until they are left.
///
/// # Errors
/// Where there is no terminal, or it can't be read or written any more.
pub fn run(host: &mut dyn Host, options: Options) -> Result<Ended, Problem> {
    if !(io::stdout().is_terminal() && io::stdin().is_terminal()) {
        return Err(Problem::new(
            ProblemKind::Use,
            "no-terminal",
            "the screens need a terminal, and there is none",
        )
        .hint("every deed is also a command: ladderday --help"));
    }
    let mut state = State::new(host.frame(), options.look, options.keymap);
    carry_out(&mut state, host, vec![Effect::Load(ScreenId::Today)]);
    state.background = host.background();
    let events = listen().map_err(broken)?;
    hook_panic();
    let taken = Taken::new(options.mouse).map_err(broken)?;
    let ended = turn(&mut state, host, &events, options.mouse);
    drop(taken);
    ended.map_err(broken)
}

fn broken(why: io::Error) -> Problem {
    Problem::new(ProblemKind::File, "terminal", format!("the terminal can't be used any more: {why}"))
        .hint("all deeds are saved; start again in a working terminal")
}

/// The loop: wait, act, draw.
fn turn(state: &mut State, host: &mut dyn Host, events: &Receiver<Event>, mouse: bool) -> io::Result<Ended> {
    let mut terminal = Terminal::new(CrosstermBackend::new(io::stdout()))?;
    let mut clock = wall();
    picture(&mut terminal, state)?;
    loop {
        let wait = Duration::from_millis(if state.background.is_some() { 500 } else { 60_000 });
        let first = match events.recv_timeout(wait) {
            Ok(event) => Some(event),
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => return Err(io::ErrorKind::UnexpectedEof.into()),
        };
        let idle = first.is_none();
        let before = (state.frame.clone(), state.background.clone(), state.status.clone());
        let mut next = first;
        while let Some(event) = next {
            match act(state, host, event)? {
                Act::On => {}
                Act::End(ended) => return Ok(ended),
                Act::Suspend => suspend(&mut terminal, mouse)?,
                Act::Afresh => afresh(&mut terminal)?,
                Act::Redraw => {
                    // Stopped without warning, the shell may have set the terminal its own way.
                    disable_raw_mode()?;
                    take(mouse)?;
                    afresh(&mut terminal)?;
                }
            }
            next = events.try_recv().ok();
        }
        state.frame = host.frame();
        let now = wall();
        if now + Duration::from_secs(60) < clock {
            state.refuse("The computer's clock went back; the times of deeds follow it");
        }
        clock = now;
        let changed = poll(state, host);
        if !idle || changed || before != (state.frame.clone(), state.background.clone(), state.status.clone())
        {
            picture(&mut terminal, state)?;
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
            // Pasted text is text: it goes into an open field and never acts as keys.
            for letter in text.chars().filter(|c| !c.is_control()) {
                if state.keymap.action(state.mode(), Key::AnyChar).is_some() {
                    let effects = update(state, Action::TypeChar(letter));
                    carry_out(state, host, effects);
                }
            }
            Vec::new()
        }
        Event::Wheel(action) => update(state, action),
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
    })
}

/// Carries out what an update wanted, in order; what follows a refusal is left out.
pub fn carry_out(state: &mut State, host: &mut dyn Host, effects: Vec<Effect>) -> Outcome {
    let mut queue = VecDeque::from(effects);
    while let Some(effect) = queue.pop_front() {
        match effect {
            Effect::Perform(ask) => match host.perform(&ask) {
                Ok(said) => {
                    performed(state, &ask, &said);
                    state.frame = host.frame();
                    let here = state.screen;
                    ScreenId::ALL.into_iter().filter(|s| *s != here).for_each(|s| state.forget_page(s));
                    queue.push_front(Effect::Load(here));
                }
                Err(problem) => {
                    refused(state, &problem);
                    queue.clear();
                }
            },
            Effect::Load(screen) => {
                let want = state.want();
                match host.page(screen, &want) {
                    Ok(page) => loaded(state, page),
                    Err(problem) => {
                        state.forget_page(screen);
                        refused(state, &problem);
                        queue.clear();
                    }
                }
            }
            Effect::Run(action) => {
                for effect in update(state, action).into_iter().rev() {
                    queue.push_front(effect);
                }
            }
            Effect::OpenPhoto { fault, number } => match host.open_photo(&fault, number) {
                Ok(said) => state.say(said),
                Err(problem) => refused(state, &problem),
            },
            Effect::StopWork => {
                host.stop();
                state.say("Stopped; the best found so far stays");
            }
            Effect::Suspend => return Outcome::Suspend,
            Effect::Quit => return Outcome::Quit,
        }
    }
    state.background = host.background();
    Outcome::Go
}

/// Takes in what long work has changed; true where something shows differently.
fn poll(state: &mut State, host: &mut dyn Host) -> bool {
    let changed = host.poll();
    for screen in &changed {
        if *screen == state.screen {
            carry_out(state, host, vec![Effect::Load(*screen)]);
        } else {
            state.forget_page(*screen);
        }
    }
    state.background = host.background();
    changed.contains(&state.screen)
}

fn picture(terminal: &mut Terminal<CrosstermBackend<Stdout>>, state: &mut State) -> io::Result<()> {
    execute!(io::stdout(), BeginSynchronizedUpdate)?;
    terminal.draw(|frame| {
        let area = frame.area();
        state.size = (area.width, area.height);
        draw(state, frame.buffer_mut());
    })?;
    execute!(io::stdout(), EndSynchronizedUpdate)
}

fn suspend(terminal: &mut Terminal<CrosstermBackend<Stdout>>, mouse: bool) -> io::Result<()> {
    give_back();
    // Stops the whole process here until it is continued.
    signal_hook::low_level::emulate_default_handler(SIGTSTP)?;
    take(mouse)?;
    afresh(terminal)
}

/// Forgets what stood on the screen. `Terminal::clear` would ask for the cursor's place, and the answer would go to
/// the thread that reads keys.
fn afresh(terminal: &mut Terminal<CrosstermBackend<Stdout>>) -> io::Result<()> {
    execute!(io::stdout(), Clear(ClearType::All))?;
    *terminal = Terminal::new(CrosstermBackend::new(io::stdout()))?;
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
    if mouse {
        execute!(io::stdout(), EnableMouseCapture)?;
    }
    Ok(())
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

/// A panic first gives the terminal back, then says what it says.
fn hook_panic() {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        give_back();
        before(info);
    }));
}
