//! The commands that the README names are those of the program.

use std::collections::BTreeSet;

use super::terminal::{Home, Terminal, wait_for};

const README: &str = include_str!("../../README.md");

/// The first words after `ladderday` in the code blocks, with those of "also:".
fn named() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for line in README.lines().filter_map(|l| l.strip_prefix("    ladderday")) {
        let word = line.split_whitespace().next().unwrap_or_default();
        if !word.is_empty() && word != "#" {
            found.insert(word.to_owned());
        }
        // What belongs to a command of its own: the words after "also:" of a command without deeds.
        let own = !["session", "kit"].contains(&word);
        if let Some(also) = line.split("also:").nth(1).filter(|_| own) {
            found.extend(also.split(',').map(|w| w.trim().to_owned()));
        }
    }
    found
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
    let named = named();
    let unknown: Vec<_> = named.difference(&commands).collect();
    assert!(unknown.is_empty(), "the README names what there is not: {unknown:?}");
    // `demo` stands in the block that starts everything, behind cargo.
    let told = |c: &&String| named.contains(*c) || ["help", "demo"].contains(&c.as_str());
    let missing: Vec<_> = commands.iter().filter(|c| !told(c)).collect();
    assert!(missing.is_empty() && README.contains("-- demo\n"), "the README does not name {missing:?}");
}

/// A picture of the README: the lines of its block, without the indent.
fn drawn(begins: &str) -> Vec<&'static str> {
    let from = README.lines().skip_while(|l| l.strip_prefix("    ").is_none_or(|l| !l.starts_with(begins)));
    from.map_while(|l| l.strip_prefix("    ")).collect()
}

/// Pictures show a plan that has been searched for long, so that they stay as they are.
#[test]
fn the_readme_pictures_are_what_the_demo_shows() {
    const WORKING: [&str; 3] = ["improving", "looking the yard file over", "odds come"];
    let home = Home::demo();
    let mut stale = String::new();
    // Walk begins with what to bring.
    for (keys, begins, wide, high) in
        [(["2", "\u{1b}"], "Walk  Midwinter", 80, 24), (["4", ""], "Plan  Midwinter", 120, 40)]
    {
        let picture = drawn(begins);
        assert!(picture.len() > 10, "the README has no picture of {begins:?}");
        let mut terminal =
            Terminal::start(&home, &["--season", "harbor-2026", "--now", "2026-10-15T18:05"], wide, high);
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
        terminal.keys(keys[0]).shows(&[begins]).keys(keys[1]);
        let screen = still(&mut terminal);
        let shown = screen.lines().map(|l| l.strip_prefix(' ').unwrap_or(l).trim_end());
        let shown: Vec<&str> = shown.filter(|l| !l.is_empty()).take(picture.len()).collect();
        if shown != picture {
            stale.extend(["\n    ", &shown.join("\n    "), "\n"]);
        }
    }
    assert!(stale.is_empty(), "these are to be the README's pictures:\n{stale}");
}
