//! What two copies told apart waits on Today until it is decided, by keys.

use super::terminal::{Home, Terminal};

const NOW: [&str; 2] = ["--now", "2026-10-15T18:05"];

#[test]
fn what_two_copies_told_apart_is_decided_from_today() {
    let home = Home::demo();
    let lent = home.path().join("lent").display().to_string();
    let deed = |args: &[&str]| home.ok(&[args, &NOW].concat());
    deed(&["lend", &lent, "--mark", "B"]);
    for (yard, name) in [(home.yard().display().to_string(), "Front hedge"), (lent.clone(), "Yew hedge")] {
        let (code, _, said) = home
            .run(&[&["tell", "place", "HEDGE", &format!("name={name}"), "--yard", &yard], &NOW[..]].concat());
        assert_eq!(code, 0, "{said}");
    }
    assert!(deed(&["merge", &lent]).contains("1 conflict to decide"));
    assert!(deed(&["conflict", "list"]).contains("name of place HEDGE"));
    let mut terminal = Terminal::start(&home, &NOW, 80, 24);
    terminal.shows(&["told differently on two copies: name of place HEDGE"]);
    // What is next stands before it.
    terminal.keys("\x1b[B").keys("\r").shows(&[
        "Right is, name of place HEDGE",
        "Front hedge",
        "Yew hedge",
        "stands now",
    ]);
    // The one that stands is the first: the other is taken.
    let stands = deed(&["told", "place"]);
    terminal.keys("2").shows(&["decided K-"]);
    terminal.keys("q").ends();
    assert!(deed(&["conflict", "list"]).contains("nothing to decide"));
    let now = deed(&["told", "place"]);
    let other = if stands.contains("Yew hedge") { "Front hedge" } else { "Yew hedge" };
    assert!(now.contains(other), "{stands}\n{now}");
}
