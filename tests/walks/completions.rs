//! What a shell is told while somebody types.

use super::terminal::Home;

/// What fish is offered for the last of these words, on this home's yard.
fn offered(home: &Home, words: &[&str]) -> Vec<String> {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_ladderday"));
    command.env("HOME", home.path()).env("COMPLETE", "fish").args(["--", "ladderday"]).args(words);
    let out = command.output().unwrap();
    assert!(out.status.success() && out.stderr.is_empty(), "{out:?}");
    let text = String::from_utf8(out.stdout).unwrap();
    text.lines().map(|l| l.split('\t').next().unwrap().to_owned()).collect()
}

#[test]
fn the_shell_is_offered_what_the_yard_has() {
    let home = Home::demo();
    let yard = home.yard().display().to_string();
    let on = |words: &[&str]| offered(&home, &[&["--yard", &yard][..], words].concat());
    let has = |words: &[&str], wanted: &str| {
        let found = on(words);
        assert!(found.iter().any(|f| f == wanted), "{words:?}: {found:?}");
    };
    has(&["--season", ""], "harbor-2026");
    has(&["season", "close", "tide"], "tide-2026");
    has(&["session", "people", "S26-1017", "--with", ""], "Wren");
    has(&["step", "done", "placement:HM26-25/"], "placement:HM26-25/stake.drive/up");
    has(&["print", "checklist", "--person", "W"], "Wren");
    has(&["buy", "order", ""], "GANNET");
    assert!(on(&["step", "done", "placement:HM26-25/"]).iter().all(|k| k.starts_with("placement:HM26-25/")));
    assert!(on(&["plan", ""]).iter().any(|p| p == "tonight"), "words of the program too");
    // No yard is no fault.
    assert!(offered(&Home::new(), &["step", "done", ""]).iter().all(|w| w.starts_with("--")));
}

#[test]
fn every_shell_gets_a_script_that_asks_the_program() {
    let home = Home::new();
    for shell in ["bash", "zsh", "fish"] {
        let (code, out, err) = home.run(&["completions", shell]);
        assert!(code == 0 && out.contains("COMPLETE") && out.contains("ladderday"), "{shell}: {err}{out}");
    }
}
