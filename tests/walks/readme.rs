//! The commands that the README names are those of the program.

use std::collections::BTreeSet;

use super::terminal::Home;

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
