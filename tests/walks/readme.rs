//! The README is run: every command in the state and on the yard that the text says, with the output that it shows.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::terminal::{Home, Terminal, wait_for};

const README: &str = include_str!("../../README.md");

/// A fenced block: what its fence says, and its lines.
struct Block {
    fence: &'static str,
    lines: Vec<&'static str>,
}

fn blocks() -> Vec<Block> {
    let mut out: Vec<Block> = Vec::new();
    let mut open = false;
    for line in README.lines() {
        match line.strip_prefix("```") {
            Some(_) if open => open = false,
            Some(fence) => {
                open = true;
                out.push(Block { fence, lines: Vec::new() });
            }
            None if open => out.last_mut().unwrap().lines.push(line),
            None => {}
        }
    }
    assert!(!open, "a block is not closed");
    out
}

/// Commands of a console block, each with the output shown beneath.
fn commands(block: &Block) -> Vec<(&'static str, Vec<&'static str>)> {
    let mut out: Vec<(&str, Vec<&str>)> = Vec::new();
    for line in &block.lines {
        match (line.strip_prefix("$ "), out.last_mut()) {
            (Some(command), _) => out.push((command, Vec::new())),
            (None, Some((_, shown))) => shown.push(line),
            (None, None) => panic!("output before a command: {line}"),
        }
    }
    out
}

fn all_commands() -> Vec<(&'static str, Vec<&'static str>)> {
    blocks().iter().filter(|b| b.fence == "console").flat_map(commands).collect()
}

/// Whether the lines come one after another; `…` alone stands for any lines, within a line for any letters.
fn is_in(shown: &[&str], out: &str) -> bool {
    let fits = |line: &str, wanted: &str| match wanted.split_once('…') {
        Some((begins, ends)) => line.starts_with(begins) && line.ends_with(ends),
        None => line == wanted,
    };
    let mut lines = out.lines().map(str::trim_end).filter(|l| !l.is_empty()).peekable();
    let mut free = true;
    for wanted in shown.iter().filter(|l| !l.is_empty()) {
        if *wanted == "…" {
            free = true;
        } else if free {
            if !lines.by_ref().any(|l| fits(l, wanted)) {
                return false;
            }
            free = false;
        } else if !lines.next().is_some_and(|l| fits(l, wanted)) {
            return false;
        }
    }
    true
}

#[test]
fn every_command_of_the_readme_runs_and_says_what_it_shows() {
    let home = Home::new();
    let program = std::path::Path::new(env!("CARGO_BIN_EXE_ladderday")).parent().unwrap();
    let path = format!("{}:/usr/bin:/bin", program.display());
    let mut faults = String::new();
    let mut run = 0;
    for block in blocks() {
        if let Some(name) = block.fence.strip_prefix("csv ") {
            std::fs::write(home.path().join(name), block.lines.join("\n")).unwrap();
        }
        if block.fence != "console" {
            continue;
        }
        for (command, shown) in commands(&block) {
            let mut shell = std::process::Command::new("sh");
            shell.args(["-c", command]).current_dir(home.path()).env("PATH", &path).env("HOME", home.path());
            for name in ["XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"] {
                shell.env_remove(name);
            }
            let out = shell.stdin(std::process::Stdio::null()).output().unwrap();
            let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
            let said = text(&out.stdout) + &text(&out.stderr);
            let wanted = command.split("# exits ").nth(1).map_or(0, |n| n.trim().parse().unwrap());
            run += 1;
            if out.status.code() != Some(wanted) || !is_in(&shown, &said) {
                let _ = writeln!(faults, "$ {command}\nends with {:?}\n{said}", out.status.code());
            }
        }
    }
    assert!(faults.is_empty(), "not as the README shows:\n{faults}");
    assert!(run > 30, "{run} commands");
}

#[test]
fn what_is_shown_and_not_said_is_seen() {
    assert!(is_in(&["a", "…", "d"], "a\nb\nc\nd\n") && is_in(&["a … d"], "x\na b c d\n"));
    assert!(!is_in(&["a", "c"], "a\nb\nc\n") && !is_in(&["e"], "a\n"));
}

/// Pictures that are drawn anew: what each begins with.
const PICTURES: [&str; 3] = ["Today  Lantern", "Walk  Midwinter", "Plan  Midwinter"];

#[test]
fn other_blocks_are_pictures_settings_or_building_and_each_is_tried() {
    let home = Home::new();
    let program = env!("CARGO_BIN_EXE_ladderday");
    let ci = include_str!("../../.ci/run");
    let manifest = include_str!("../../Cargo.toml");
    let (mut pictures, mut settings) = (0, 0);
    for block in blocks() {
        let text = block.lines.join("\n");
        match block.fence {
            "console" => {}
            csv if csv.starts_with("csv ") => {}
            "text" => {
                assert!(PICTURES.iter().any(|p| text.starts_with(p)), "no test draws this picture:\n{text}");
                pictures += 1;
            }
            "toml" => {
                let folder = home.path().join(".config/ladderday");
                std::fs::create_dir_all(&folder).unwrap();
                std::fs::write(folder.join("settings.toml"), &text).unwrap();
                let (code, out, err) = home.run(&["settings", "--check"]);
                assert!(code == 0 && out.contains("reads well"), "{text}\n{err}");
                settings += 1;
            }
            "sh" => {
                for line in block.lines {
                    if let Some(words) = line.strip_prefix("target/dist/ladderday ") {
                        let mut shell = std::process::Command::new("sh");
                        shell.args(["-c", &format!("mkdir -p target/pages && '{program}' {words}")]);
                        let out = shell.current_dir(home.path()).env("HOME", home.path()).output().unwrap();
                        assert!(out.status.success(), "{line}: {out:?}");
                        continue;
                    }
                    // The rest is done on a bare clone, or needs what is named.
                    let done = match line.split_once(" && ").map_or(line, |l| l.0) {
                        l if l.starts_with("git clone ") => true,
                        ".ci/run" | "cargo test --release" => ci.contains("cargo test --release"),
                        "cargo run --release -- demo" => {
                            ci.contains("cargo build --release")
                                && ci.contains("target/release/ladderday demo")
                        }
                        "cargo install --path ." => manifest.contains("[[bin]]"),
                        l if l.ends_with("--profile dist") => manifest.contains("[profile.dist]"),
                        _ => false,
                    };
                    assert!(done, "nobody tries this: {line}");
                }
            }
            other => panic!("a block of no known sort: {other}"),
        }
    }
    assert!(pictures == PICTURES.len() && settings == 1, "{pictures} pictures, {settings} settings");
}

#[test]
fn what_the_package_takes_is_in_the_tree_or_made_by_the_lines_that_the_readme_shows() {
    let manifest: toml::Table = include_str!("../../Cargo.toml").parse().unwrap();
    let deb = &manifest["package"]["metadata"]["deb"];
    let shown: String = blocks().iter().filter(|b| b.fence == "sh").flat_map(|b| b.lines.clone()).collect();
    let mut made = 0;
    for asset in deb["assets"].as_array().unwrap() {
        let from = asset[0].as_str().unwrap();
        // The tool that packs reads this folder as the one of the profile it is told.
        let from = from.replace("target/release/", "target/dist/").replace("/*.1", "");
        let there = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(&from).exists();
        made += usize::from(from.starts_with("target/"));
        assert!(if from.starts_with("target/") { shown.contains(&from) } else { there }, "{from}");
    }
    assert!(made > 4 && shown.contains("cargo deb"));
}

#[test]
fn the_readme_names_the_commands_there_are() {
    let home = Home::new();
    let help = home.run(&["--help"]).1;
    let commands: BTreeSet<String> = help
        .lines()
        .skip_while(|l| *l != "Commands:")
        .skip(1)
        .take_while(|l| !l.is_empty())
        .filter_map(|l| l.strip_prefix("  "))
        .filter(|l| !l.starts_with(' '))
        .filter_map(|l| l.split_whitespace().next())
        .map(str::to_owned)
        .collect();
    assert!(commands.len() > 20, "{help}");
    let all = all_commands();
    let typed = all.iter().filter_map(|(c, _)| c.strip_prefix("ladderday "));
    let mut named: BTreeSet<&str> =
        typed.map(|c| c.strip_prefix("demo ").unwrap_or(c)).filter_map(|c| c.split(' ').next()).collect();
    let section = README.split("\n## Commands\n").nth(1).and_then(|s| s.split("\n## ").next()).unwrap();
    let listed = section.lines().filter(|l| l.starts_with("| `")).filter_map(|l| l.split('|').nth(1));
    named.extend(
        listed.flat_map(|cell| cell.split('`')).map(str::trim).filter(|w| !w.is_empty() && *w != ","),
    );
    let known = |c: &&&str| !c.starts_with("--") && !commands.contains(**c);
    let unknown: Vec<_> = named.iter().filter(known).collect();
    assert!(unknown.is_empty(), "the README names what there is not: {unknown:?}");
    let missing: Vec<_> = commands.iter().filter(|c| !named.contains(c.as_str()) && *c != "help").collect();
    assert!(missing.is_empty(), "the README does not name {missing:?}");
}

/// Pictures show a plan that has been searched for long, so that they stay as they are.
#[test]
fn the_readme_pictures_are_what_the_demo_shows() {
    const WORKING: [&str; 3] = ["improving", "looking the yard file over", "odds come"];
    let home = Home::new();
    let mut stale = String::new();
    for (now, season, key, begins, wide, high) in [
        // What the first command of the page opens.
        ("2026-09-01T09:00", "", "", PICTURES[0], 80, 24),
        ("2026-10-15T18:05", "harbor-2026", "2", PICTURES[1], 80, 24),
        ("2026-10-15T18:05", "harbor-2026", "4", PICTURES[2], 120, 40),
    ] {
        let drawn = blocks().into_iter().find(|b| b.lines.first().is_some_and(|l| l.starts_with(begins)));
        let picture: Vec<&str> = drawn.map_or_else(Vec::new, |b| b.lines);
        let mut args = vec!["demo", "--fresh", "--now", now];
        if !season.is_empty() {
            home.ok(&args);
            args.splice(..2, ["--season", season]);
        }
        let mut terminal = Terminal::start(&home, &args, wide, high);
        // Today tells the odds once the search beside it has ended.
        terminal.shows(&["% in time"]);
        let still = |terminal: &mut Terminal| {
            // Half a picture does not stand still.
            let (mut last, mut same) = (String::new(), 0);
            wait_for(|| {
                let screen = terminal.screen();
                let works = WORKING.iter().any(|w| screen.contains(w));
                same = if works || screen != last { 0 } else { same + 1 };
                last.clone_from(&screen);
                (same > 20).then_some(screen)
            })
        };
        still(&mut terminal);
        terminal.keys(key).shows(&[begins]);
        let screen = still(&mut terminal);
        let shown = screen.lines().map(|l| l.strip_prefix(' ').unwrap_or(l).trim_end());
        let most = if picture.is_empty() { usize::MAX } else { picture.len() };
        let shown: Vec<&str> = shown.filter(|l| !l.is_empty()).take(most).collect();
        if shown != picture {
            stale.extend(["\n", &shown.join("\n"), "\n"]);
        }
    }
    assert!(stale.is_empty(), "these are to be the README's pictures:\n{stale}");
}
