//! The program in a pseudo-terminal: keys in, screen out. Waits poll with a deadline, never sleep blindly.

#![expect(clippy::disallowed_methods, reason = "waiting for a program needs a real deadline")]

use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

const DEADLINE: Duration = Duration::from_secs(30);

/// Asks again until there is an answer, up to the deadline.
pub fn wait_for<T>(mut ask: impl FnMut() -> Option<T>) -> T {
    let end = Instant::now() + DEADLINE;
    loop {
        if let Some(found) = ask() {
            return found;
        }
        assert!(Instant::now() < end, "nothing came in {DEADLINE:?}");
        std::thread::sleep(Duration::from_millis(10));
    }
}

fn cells(n: u16) -> std::num::NonZero<u16> {
    std::num::NonZero::new(n).unwrap()
}

/// A home of its own, so that tests never meet.
pub struct Home(tempfile::TempDir);

impl Home {
    pub fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    /// With the demo yard in it, as it is on an evening in October.
    pub fn demo() -> Self {
        let home = Self::new();
        home.ok(&["demo", "--fresh", "--now", "2026-10-15T18:05"]);
        home
    }

    pub fn path(&self) -> &Path {
        self.0.path()
    }

    pub fn yard(&self) -> PathBuf {
        self.0.path().join("yard.ladderday")
    }

    /// Runs a command without a terminal: exit code, stdout, stderr.
    pub fn run(&self, args: &[&str]) -> (i32, String, String) {
        let out = std::process::Command::new(env!("CARGO_BIN_EXE_ladderday"))
            .args(args)
            .env("HOME", self.path())
            .env_remove("XDG_DATA_HOME")
            .env_remove("XDG_CONFIG_HOME")
            .env_remove("XDG_STATE_HOME")
            .stdin(std::process::Stdio::null())
            .output()
            .unwrap();
        let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
        (out.status.code().unwrap_or(-1), text(&out.stdout), text(&out.stderr))
    }

    /// Runs a command that must succeed, on this home's yard; gives its stdout.
    pub fn ok(&self, args: &[&str]) -> String {
        let yard = self.yard();
        let mut all = vec!["--yard", yard.to_str().unwrap()];
        all.extend(args);
        let (code, out, err) = self.run(&all);
        assert_eq!(code, 0, "{args:?}: {err}{out}");
        out
    }
}

/// A running program with its screen.
pub struct Terminal {
    master: Box<dyn MasterPty + Send>,
    writer: Box<dyn Write + Send>,
    child: Box<dyn Child + Send + Sync>,
    bytes: Receiver<Vec<u8>>,
    parser: vt100::Parser,
}

impl Terminal {
    /// Starts the program on this home's yard.
    pub fn start(home: &Home, args: &[&str], cols: u16, rows: u16) -> Self {
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_ladderday"));
        command.args(["--yard", home.yard().to_str().unwrap()]);
        command.args(args);
        Self::start_command(home, command, cols, rows)
    }

    /// Starts any program in a terminal of its own.
    pub fn start_command(home: &Home, mut command: CommandBuilder, cols: u16, rows: u16) -> Self {
        let size = PtySize { rows, cols, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        command.env("HOME", home.path());
        command.env("TERM", "xterm-256color");
        command.env_remove("NO_COLOR");
        command.env("LC_ALL", "C.UTF-8");
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().unwrap();
        let writer = pair.master.take_writer().unwrap();
        let (send, bytes) = channel();
        std::thread::spawn(move || {
            let mut buffer = vec![0_u8; 65536];
            while let Ok(n) = reader.read(&mut buffer) {
                if n == 0 || send.send(buffer[..n].to_vec()).is_err() {
                    return;
                }
            }
        });
        Self {
            master: pair.master,
            writer,
            child,
            bytes,
            parser: vt100::Parser::new(cells(rows), cells(cols), 0),
        }
    }

    /// Types keys as bytes.
    pub fn keys(&mut self, keys: &str) -> &mut Self {
        self.writer.write_all(keys.as_bytes()).unwrap();
        self.writer.flush().unwrap();
        self
    }

    pub fn screen(&mut self) -> String {
        while let Ok(bytes) = self.bytes.try_recv() {
            self.parser.process(&bytes);
        }
        self.parser.screen().contents()
    }

    /// Waits until the screen shows all of these texts.
    pub fn shows(&mut self, texts: &[&str]) -> &mut Self {
        let until = Instant::now() + DEADLINE;
        loop {
            let screen = self.screen();
            if texts.iter().all(|t| screen.contains(t)) {
                return self;
            }
            let left = until.saturating_duration_since(Instant::now());
            assert!(!left.is_zero(), "waited for {texts:?}; the screen shows\n{screen}");
            if let Ok(bytes) = self.bytes.recv_timeout(left.min(Duration::from_millis(200))) {
                self.parser.process(&bytes);
            }
        }
    }

    /// Whether the screen shows a text within some seconds.
    pub fn shows_soon(&mut self, text: &str) -> bool {
        let until = Instant::now() + Duration::from_secs(5);
        while Instant::now() < until {
            if self.screen().contains(text) {
                return true;
            }
            if let Ok(bytes) = self.bytes.recv_timeout(Duration::from_millis(100)) {
                self.parser.process(&bytes);
            }
        }
        false
    }

    /// Waits for the end; gives the exit code.
    pub fn ends(&mut self) -> u32 {
        let until = Instant::now() + DEADLINE;
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.exit_code();
            }
            assert!(Instant::now() < until, "it did not end; the screen shows\n{}", self.screen());
            if let Ok(bytes) = self.bytes.recv_timeout(Duration::from_millis(50)) {
                self.parser.process(&bytes);
            }
        }
    }

    /// Sends the program a signal by its name.
    pub fn signal(&mut self, name: &str) -> &mut Self {
        let pid = self.child.process_id().unwrap().to_string();
        assert!(std::process::Command::new("kill").args(["-s", name, &pid]).status().unwrap().success());
        self
    }

    /// Waits until the program was stopped: it gives the terminal back before, and is woken by nothing until then.
    pub fn stands_still(&mut self) -> &mut Self {
        let pid = self.child.process_id().unwrap().to_string();
        let until = Instant::now() + DEADLINE;
        loop {
            let state = std::process::Command::new("ps").args(["-o", "stat=", "-p", &pid]).output().unwrap();
            if state.stdout.first() == Some(&b'T') {
                return self;
            }
            assert!(Instant::now() < until, "it goes on");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits until the terminal is as a shell expects it, or is not.
    pub fn becomes_sane(&mut self, wanted: bool) -> &mut Self {
        let until = Instant::now() + DEADLINE;
        loop {
            self.screen();
            let screen = self.parser.screen();
            let quiet = !screen.alternate_screen()
                && !screen.hide_cursor()
                && !screen.bracketed_paste()
                && screen.mouse_protocol_mode() == vt100::MouseProtocolMode::None;
            // The line discipline: letters are echoed and lines are edited.
            let line = self.master.get_termios().is_some_and(|t| {
                let flags = format!("{:?}", t.local_flags);
                flags.contains("ECHO") && flags.contains("ICANON")
            });
            if (quiet && line) == wanted && (wanted || !quiet) {
                return self;
            }
            assert!(Instant::now() < until, "screen given back {quiet}, lines {line}, wanted {wanted}");
            if let Ok(bytes) = self.bytes.recv_timeout(Duration::from_millis(50)) {
                self.parser.process(&bytes);
            }
        }
    }

    pub fn resize(&mut self, cols: u16, rows: u16) {
        // What stood there is lost in a terminal that shrank: the program must draw all of it again.
        self.screen();
        self.parser = vt100::Parser::new(cells(rows), cells(cols), 0);
        self.master.resize(PtySize { rows, cols, pixel_width: 0, pixel_height: 0 }).unwrap();
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
    }
}
