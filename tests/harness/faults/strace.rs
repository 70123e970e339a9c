//! Running this program again under strace.

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::path::Path;
use std::process::{Command, Stdio};

/// What happens at the n-th call of a name, counted from 1.
#[derive(Debug, Clone)]
pub struct Fault<'a> {
    pub call: &'a str,
    pub n: usize,
    /// At every call from the n-th on.
    pub on: bool,
    /// "EIO", "ENOSPC"; "KILL" kills the process at it.
    pub how: &'a str,
}

/// What the child said and whether the fault was met.
pub struct Ran {
    pub acknowledged: Vec<u64>,
    /// Code and message of each refusal.
    pub refused: Vec<(String, String)>,
    pub hit: bool,
    /// Ended by itself, with success.
    pub well: bool,
    /// The calls, where nothing was to fail.
    pub log: String,
}

pub fn is_there() -> bool {
    Command::new("strace").arg("-V").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok()
}

/// Runs this program with `args`, with a fault or else with all calls logged.
pub fn run(folder: &Path, args: &[&str], fault: Option<&Fault<'_>>) -> Ran {
    let log = folder.join("calls.log");
    let mut command = Command::new("strace");
    command.args(["-f", "-qq", "-s", "8", "-o"]).arg(&log);
    if let Some(f) = fault {
        let how = if f.how == "KILL" { "signal=KILL".to_owned() } else { format!("error={}", f.how) };
        let plus = if f.on { "+" } else { "" };
        command.args(["-e", &format!("trace={}", f.call)]);
        command.args(["-e", &format!("inject={}:{how}:when={}{plus}", f.call, f.n)]);
    } else {
        command.arg("-y");
    }
    command.arg("--").arg(std::env::current_exe().unwrap()).args(args);
    let output = command.stderr(Stdio::null()).output().unwrap();
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let log = String::from_utf8_lossy(&fs::read(&log).unwrap()).into_owned();
    Ran {
        acknowledged: text.lines().filter_map(|l| l.strip_suffix('.').and_then(|n| n.parse().ok())).collect(),
        refused: text
            .lines()
            .filter_map(|l| l.strip_prefix("! ")?.split_once(' '))
            .map(|(code, what)| (code.to_owned(), what.to_owned()))
            .collect(),
        hit: output.status.signal() == Some(9) || log.contains("(INJECTED)"),
        well: output.status.success(),
        log,
    }
}

/// How often each call was made.
pub fn counts(log: &str) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for (call, _) in calls(log) {
        *counts.entry(call.to_owned()).or_default() += 1;
    }
    counts
}

/// Each call's name with what follows its opening bracket.
pub fn calls(log: &str) -> impl Iterator<Item = (&str, &str)> {
    log.lines().filter_map(|line| {
        let line = line.trim_start_matches(|c: char| c.is_ascii_digit()).trim_start();
        let (call, rest) = line.split_once('(')?;
        call.chars().all(|c| c.is_ascii_alphanumeric() || c == '_').then_some((call, rest))
    })
}
